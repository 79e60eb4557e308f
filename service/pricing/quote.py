"""The estimate: a pattern and a workshop become a price whose every line can be worked out again by hand."""

from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal

from service.design import Cut, HardwareLine, Part, Pattern, sewn
from service.language import decimals, mark, tr
from service.pricing.labour import overhead_for, standard_minutes, work_counts
from service.pricing.money import figure, money_figure, price_at_margin, smallest_coin, to_minor
from service.workshop import Consumable, Dye, Rates, TimePer, TimeStandard, Workshop

HUNDREDTH = Decimal("0.01")
"""Sizes are taken to this part of a millimetre, time to this part of a minute. Derived: under a coin."""
SQUARE_MM = Decimal("0.000001")
"""A square millimetre [m²]; leather is taken to it."""
FACES = 2
"""Faces of each part that are dyed: the back of a strap shows at its tail. Edges come out of what blanks have
more than outlines. From memory."""

UNITS: dict[TimePer, tuple[str, str]] = {
    "part": (mark("part"), mark("parts")),
    "dyed part": (mark("dyed part"), mark("dyed parts")),
    "hole": (mark("hole"), mark("holes")),
    "fastener": (mark("fastener"), mark("fasteners")),
    "stud": (mark("stud"), mark("studs")),
    "plate": (mark("plate"), mark("plates")),
    "letter": (mark("letter"), mark("letters")),
    "painted letter": (mark("painted letter"), mark("painted letters")),
    "border stamp": (mark("stamp of the border"), mark("stamps of the border")),
    "lace hole": (mark("lace hole"), mark("lace holes")),
    "metre of lace": (mark("m of lace"), mark("m of lace")),
    "metre of edge": (mark("m of edge"), mark("m of edge")),
    "stitch": (mark("stitch"), mark("stitches")),
    "metre of further groove": (mark("m of further groove"), mark("m of further groove")),
}
"""What steps are counted in, one and several; a step of the whole piece is done once and not counted."""

Count = tuple[TimeStandard, Decimal]


@dataclass(frozen=True, slots=True)
class QuoteInput:
    """A number behind a line: its name, the number written without a locale, its unit (empty for a count)."""

    name: str
    value: str
    unit: str


@dataclass(frozen=True, slots=True)
class QuoteLine:
    """A line of the estimate: `amount` [currency] is whole coins and follows from `inputs` alone."""

    code: str
    label: str
    amount: Decimal
    inputs: tuple[QuoteInput, ...]


@dataclass(frozen=True, slots=True)
class Quote:
    """An estimate for one collar, in the workshop's `currency` (ISO 4217).

    `total` [currency] is the sum of `lines`, `before_tax` [currency] that without the tax; `rounding`
    how it was rounded; `minutes` is standard time [min].
    """

    currency: str
    total: Decimal
    before_tax: Decimal
    lines: tuple[QuoteLine, ...]
    rounding: str
    minutes: Decimal


def estimate(pattern: Pattern, workshop: Workshop) -> Quote:
    """Return the price of one collar, line by line, every line unfolded to its inputs.

    Lines are leather, dye, lining, thread, one for each row of the hardware list, consumables, labour,
    overhead, margin and tax. Overhead, margin and tax are left out where the rate is 0: a workshop that
    charges no tax shows none. Source: derived; price = cost / (1 - margin).
    Worked: lines of 40.00 at a margin of 0.25 and a tax of 0.07: 53.33 before tax, 57.06 in all.
    """
    rates = workshop.rates
    counted = work_counts(pattern)
    counts = [(row, counted[row.per]) for row in workshop.times if counted[row.per]]
    minutes = _minutes(counts, rates)
    lines = [
        _leather(pattern, rates),
        *_dye(pattern, rates),
        *_lining(pattern, rates),
        *_thread(pattern, rates),
        *_hardware(pattern, rates),
    ]
    used = [(row, counted[row.per]) for row in workshop.consumables if counted[row.per]]
    if used:
        lines.append(_consumables(used, rates))
    if minutes:
        lines.append(_labour(counts, minutes, rates))
    if minutes and rates.overhead_per_month:
        lines.append(_overhead(minutes, rates))
    if rates.margin:
        lines.append(_margin(_total(lines), rates))
    before_tax = _total(lines)
    if rates.tax:
        lines.append(_tax(before_tax, rates))
    return Quote(
        currency=rates.currency,
        total=_total(lines),
        before_tax=before_tax,
        lines=tuple(lines),
        rounding=_rounding(rates),
        minutes=minutes,
    )


def _total(lines: list[QuoteLine]) -> Decimal:
    return sum([line.amount for line in lines], Decimal(0))


def _minutes(counts: list[Count], rates: Rates) -> Decimal:
    basic = sum([count * row.basic for row, count in counts], Decimal(0))
    return standard_minutes(basic, rates.rest, rates.contingency).quantize(HUNDREDTH, ROUND_HALF_UP)


def _money(name: str, amount: Decimal, rates: Rates, per: str = "") -> QuoteInput:
    unit = tr("{currency} per {unit}", currency=rates.currency, unit=per) if per else rates.currency
    return QuoteInput(name, money_figure(amount, rates.minor_digits), unit)


def _percent(name: str, share: Decimal) -> QuoteInput:
    return QuoteInput(name, figure(share * 100), "%")


def _leather(pattern: Pattern, rates: Rates) -> QuoteLine:
    """Σ length × width (× pieces) / (1 - waste) × price: parts are cut from rectangular blanks."""
    leather = pattern.fittings.leather
    inputs: list[QuoteInput] = []
    for part in _cut_from(pattern, "leather"):
        length, width = _blank(part)
        title = tr(part.title)
        if part.quantity != 1:
            inputs.append(QuoteInput(tr("{part}, pieces", part=title), str(part.quantity), ""))
        inputs.append(QuoteInput(tr("{part}, length", part=title), figure(length), "mm"))
        inputs.append(QuoteInput(tr("{part}, width", part=title), figure(width), "mm"))
    area = blanks_area(pattern)
    inputs += (
        QuoteInput(tr("Blanks together"), figure(area), "m²"),
        _percent(tr("Waste, share of the leather bought"), rates.waste),
        _money(tr("Price of the leather"), leather.price_per_m2, rates, "m²"),
    )
    amount = to_minor(area * leather.price_per_m2 / (1 - rates.waste), rates.minor_digits)
    return QuoteLine("leather", tr("Leather, {name}", name=leather.name), amount, tuple(inputs))


def _cut_from(pattern: Pattern, what: Cut) -> tuple[Part, ...]:
    return tuple(part for part in pattern.parts if part.of == what)


def blanks_area(pattern: Pattern, what: Cut = "leather") -> Decimal:
    """Return the area of a collar's blanks of its leather, or its lining, together [m²], to 1 mm².

    Parts are cut from rectangles. Source: derived. Worked: a strap of 698.5 × 25.4 mm and a ring
    tab of 25.4 × 60 mm are 0.019266 m².
    """
    parts = _cut_from(pattern, what)
    areas = [part.quantity * length * width for part in parts for length, width in [_blank(part)]]
    return (sum(areas, Decimal(0)) * SQUARE_MM).quantize(SQUARE_MM, ROUND_HALF_UP)


def _blank(part: Part) -> tuple[Decimal, Decimal]:
    return Decimal(f"{part.length:.2f}"), Decimal(f"{part.width:.2f}")


def leather_used(pattern: Pattern, rates: Rates) -> Decimal:
    """Return the leather that a collar uses up [m²], unrounded: its blanks and the waste beside them.

    Source: common practice, blanks / (1 - waste). Worked: blanks of 0.021 m² at a waste of 0.30 use 0.03 m².
    """
    return blanks_area(pattern) / (1 - rates.waste)


def _dye(pattern: Pattern, rates: Rates) -> list[QuoteLine]:
    """Blanks × faces / what a bottle covers × price of a bottle."""
    dye = pattern.fittings.dye
    if dye is None:
        return []
    inputs = (
        QuoteInput(tr("Blanks together"), figure(blanks_area(pattern)), "m²"),
        QuoteInput(tr("Faces dyed, in one coat"), str(FACES), ""),
        QuoteInput(tr("A bottle covers"), figure(Decimal(repr(dye.covers_m2))), "m²"),
        _money(tr("Price of a bottle"), dye.price, rates, tr("bottle")),
    )
    amount = to_minor(_bottles(pattern, dye) * dye.price, rates.minor_digits)
    return [QuoteLine("dye", tr("Dye, {name}", name=dye.name), amount, inputs)]


def _bottles(pattern: Pattern, dye: Dye) -> Decimal:
    return blanks_area(pattern) * FACES / Decimal(repr(dye.covers_m2))


def dye_used(pattern: Pattern) -> Decimal:
    """Return the dye that a collar uses up [ml], unrounded: one coat on both faces of its blanks; 0 for none.

    Source: derived from the bottle's label. Worked: 0.018 m² of blanks, and 120 ml that cover 0.9 m², use
    4.8 ml.
    """
    dye = pattern.fittings.dye
    return Decimal(0) if dye is None else _bottles(pattern, dye) * Decimal(repr(dye.bottle_ml))


def _lining(pattern: Pattern, rates: Rates) -> list[QuoteLine]:
    """Length × width / (1 - waste) × price of a lining, its padding among it."""
    lining = pattern.fittings.lining
    if lining is None:
        return []
    area = blanks_area(pattern, "lining")
    inputs = (
        QuoteInput(tr("Lining"), figure(area), "m²"),
        _percent(tr("Waste, share of the leather bought"), rates.waste),
        _money(tr("Price of the lining"), lining.price_per_m2, rates, "m²"),
    )
    amount = to_minor(area * lining.price_per_m2 / (1 - rates.waste), rates.minor_digits)
    return [QuoteLine("lining", tr("Lining, {name}", name=lining.name), amount, inputs)]


def lining_used(pattern: Pattern, rates: Rates) -> Decimal:
    """Return the lining that a collar uses up [m²], unrounded, with the waste beside it; 0 for none.

    Source: common practice, blank / (1 - waste). Worked: a blank of 0.014 m² at a waste of 0.30 uses 0.02 m².
    """
    return blanks_area(pattern, "lining") / (1 - rates.waste)


def _thread(pattern: Pattern, rates: Rates) -> list[QuoteLine]:
    """Metres × price of a metre."""
    thread, metres = pattern.fittings.thread, thread_used(pattern)
    if thread is None or not metres:
        return []
    inputs = (
        QuoteInput(tr("Thread, with its ends"), figure(metres), "m"),
        _money(tr("Price"), thread.price_per_m, rates, "m"),
    )
    amount = to_minor(metres * thread.price_per_m, rates.minor_digits)
    return [QuoteLine("thread", tr("Thread, {name}", name=thread.name), amount, inputs)]


def thread_used(pattern: Pattern) -> Decimal:
    """Return the thread that a collar's seam takes [m], to 1 cm; 0 for none.

    Source: derived, `sewn`. Worked: 5308 mm are 5.31 m.
    """
    seam = sewn(pattern.strap.marks, pattern.fittings)
    return Decimal(0) if seam is None else Decimal(f"{seam.thread / 1000:.2f}")


def _hardware(pattern: Pattern, rates: Rates) -> list[QuoteLine]:
    rows = pattern.fittings.hardware
    return [_hardware_line(line, rows[line.kind, line.code].price, rates) for line in pattern.hardware]


def _hardware_line(row: HardwareLine, price: Decimal, rates: Rates) -> QuoteLine:
    """Quantity × price."""
    inputs = (
        QuoteInput(tr("Quantity"), str(row.quantity), ""),
        _money(tr("Price"), price, rates, tr("piece")),
    )
    amount = to_minor(row.quantity * price, rates.minor_digits)
    return QuoteLine(f"{row.kind}-{row.code}", row.name, amount, inputs)


def _consumables(used: list[tuple[Consumable, Decimal]], rates: Rates) -> QuoteLine:
    """Σ count × price of what one collar uses up; one collar counts as 1."""
    inputs: list[QuoteInput] = []
    for row, count in used:
        if row.per == "collar":
            inputs.append(_money(row.name, row.price, rates, tr("piece")))
            continue
        one, several = UNITS[row.per]
        inputs.append(QuoteInput(row.name, figure(count), tr(one if count == 1 else several)))
        inputs.append(_money(row.name, row.price, rates, tr(one)))
    amount = sum([row.price * count for row, count in used], Decimal(0))
    return QuoteLine("consumables", tr("Consumables"), to_minor(amount, rates.minor_digits), tuple(inputs))


def _labour(counts: list[Count], minutes: Decimal, rates: Rates) -> QuoteLine:
    """Σ count × basic time, with its allowances the standard time, × rate; one collar counts as 1."""
    inputs: list[QuoteInput] = []
    for row, count in counts:
        if row.per == "collar":
            inputs.append(QuoteInput(row.step, figure(row.basic), tr("min each")))
            continue
        one, several = UNITS[row.per]
        inputs.append(QuoteInput(row.step, figure(count), tr(one if count == 1 else several)))
        inputs.append(QuoteInput(row.step, figure(row.basic), tr("min per {unit}", unit=tr(one))))
    inputs += (
        _percent(tr("Rest, share of the basic time"), rates.rest),
        _percent(tr("Contingency, share of the basic time"), rates.contingency),
        _standard_time(minutes),
        _money(tr("Labour"), rates.labour_per_hour, rates, "h"),
    )
    amount = to_minor(minutes * rates.labour_per_hour / 60, rates.minor_digits)
    return QuoteLine("labour", tr("Labour"), amount, tuple(inputs))


def _standard_time(minutes: Decimal) -> QuoteInput:
    return QuoteInput(tr("Standard time"), figure(minutes), "min")


def _overhead(minutes: Decimal, rates: Rates) -> QuoteLine:
    """A month's overhead / its productive hours × the standard time."""
    overhead, hours = rates.overhead_per_month, rates.productive_hours_per_month
    inputs = (
        _money(tr("Overhead"), overhead, rates, tr("month")),
        QuoteInput(tr("Productive time"), figure(hours), tr("h per month")),
        _standard_time(minutes),
    )
    amount = to_minor(overhead_for(minutes, overhead, hours), rates.minor_digits)
    return QuoteLine("overhead", tr("Workshop overhead"), amount, inputs)


def _margin(cost: Decimal, rates: Rates) -> QuoteLine:
    """Cost / (1 - margin) - cost, the cost being the sum of the lines above."""
    inputs = (
        _money(tr("Cost, the lines above"), cost, rates),
        _percent(tr("Margin, share of the price before tax"), rates.margin),
    )
    amount = to_minor(price_at_margin(cost, rates.margin) - cost, rates.minor_digits)
    return QuoteLine("margin", tr("Margin"), amount, inputs)


def _tax(before_tax: Decimal, rates: Rates) -> QuoteLine:
    """Price before tax × rate."""
    inputs = (_money(tr("Price before tax"), before_tax, rates), _percent(tr("Rate"), rates.tax))
    return QuoteLine("tax", rates.tax_name, to_minor(before_tax * rates.tax, rates.minor_digits), inputs)


def _rounding(rates: Rates) -> str:
    return tr(
        "Each line is rounded half up to {coin} {currency} and the total is the sum of the rounded lines;"
        " sizes are taken to 0.01 mm, edges to 1 mm, leather to 1 mm² and time to 0.01 min.",
        coin=decimals(figure(smallest_coin(rates.minor_digits))),
        currency=rates.currency,
    )
