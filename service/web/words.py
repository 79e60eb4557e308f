"""Numbers and codes in plain words, in the reader's own system of measures."""

from datetime import date, datetime
from decimal import Decimal
from functools import lru_cache

from babel import Locale, UnknownLocaleError
from babel.dates import format_date, format_datetime
from babel.numbers import format_currency

from service.design import CollarPattern, adornments, weigh
from service.language import decimals, mark, spoken, tr, tr_many, within
from service.units import IN, System, show_length, show_mass
from service.web.clock import zone_of
from service.workshop import Workshop

_NUMBERS = (
    mark("no"),
    mark("one"),
    mark("two"),
    mark("three"),
    mark("four"),
    mark("five"),
    mark("six"),
    mark("seven"),
    mark("eight"),
    mark("nine"),
    mark("ten"),
    mark("eleven"),
    mark("twelve"),
)
WAYS = {
    "existing-collar": mark("from an existing collar"),
    "tape-two-fingers": mark("tape, two fingers under it"),
    "tape-snug": mark("tape, snug"),
}
"""How a neck was measured, in a few words."""
_ON_THE_NAPE = 0.5  # degrees: less than a millimetre on any neck


def number(count: int) -> str:
    """A count in words up to twelve where the language writes it so, in figures beyond."""
    return tr(_NUMBERS[count]) if 0 <= count < len(_NUMBERS) else str(count)


def ring_place(from_nape_deg: float) -> str:
    """Where the ring stands: "on the nape", or how far round from it, positive towards the tail."""
    if abs(from_nape_deg) < _ON_THE_NAPE:
        return tr("on the nape")
    turned = f"{abs(from_nape_deg):.0f}"
    if from_nape_deg < 0:
        return tr("{degrees}° towards the buckle's end", degrees=turned)
    return tr("{degrees}° towards the tail", degrees=turned)


def fit_sentence(pattern: CollarPattern, system: System) -> str:
    """The fit on the target hole in one sentence."""
    fit = pattern.fit
    fingers = max(0, round(fit.fingers))
    return tr_many(
        "On the second hole the collar measures {girth} inside, {count} finger over a neck of {neck}.",
        "On the second hole the collar measures {girth} inside, {count} fingers over a neck of {neck}.",
        fingers,
        count=number(fingers),
        girth=show_length(fit.inside_girth, system),
        neck=show_length(fit.neck, system),
    )


def mass_sentences(pattern: CollarPattern, system: System) -> str:
    """What the collar weighs, what share of the dog that is, and where its ring comes to rest."""
    found = weigh(pattern)
    said = {"mass": show_mass(found.total / 1000, system)}
    if found.unknown:
        names = ", ".join(found.unknown)
        text = tr("It weighs more than {mass}: the catalogue has no mass for {names}.", names=names, **said)
    elif pattern.spec.weight is None:
        text = tr("It weighs about {mass}.", **said)
    else:
        share = decimals(f"{found.total / pattern.spec.weight / 10:.1f}")
        text = tr("It weighs about {mass}, {share} % of what the dog weighs.", share=share, **said)
    if found.rest_deg is None:
        return text
    rest = tr("Where it turns freely, its ring comes to rest {place}.", place=ring_place(found.rest_deg))
    return f"{text} {rest}"


def title(pattern: CollarPattern, system: System) -> str:
    """The collar's name: "Chestnut bridle collar, 1 in wide, for a neck of 19 in"."""
    spec = pattern.spec
    said = {
        "leather": pattern.fittings.leather.name,
        "width": show_length(spec.width, system),
        "neck": show_length(spec.neck, system),
    }
    if spec.measured == "existing-collar":
        return tr("{leather} collar, {width} wide, to match a collar of {neck}", **said)
    return tr("{leather} collar, {width} wide, for a neck of {neck}", **said)


def sentence(pattern: CollarPattern, system: System) -> str:
    """The whole collar in one sentence, for those who don't see the drawing."""
    spec, layout = pattern.spec, pattern.layout
    pitch, holes = show_length(layout.pitch, system), len(layout.holes)
    dye = pattern.fittings.dye
    said = [
        *(() if dye is None else (tr("dyed {dye}", dye=within(dye.name)),)),
        within(pattern.fittings.finish.name),
        tr("{count} holes {pitch} apart", count=number(holes), pitch=pitch),
    ]
    said.extend(one.phrase.said(system) for one in adornments(pattern))
    if spec.lettering:
        said.append(tr("lettered “{text}”", text=spec.lettering))
    return tr(
        "{title}: {parts}; the strap is {length} long.",
        title=title(pattern, system),
        parts=", ".join(said),
        length=show_length(layout.length, system),
    )


def file_name(pattern: CollarPattern, system: System, kind: str) -> str:
    """A name for a saved file, safe on every system: "collar-19-in-1-in-chestnut.pdf"."""
    spec = pattern.spec
    unit, name = (IN, "in") if system == "imperial" else (10.0, "cm")
    neck, width = (f"{round(mm / unit, 2):g}-{name}" for mm in (spec.neck, spec.width))
    return f"collar-{neck}-{width}-{spec.leather}.{kind}"


@lru_cache(maxsize=64)
def _locale(code: str, region: str) -> Locale:
    try:
        return Locale.parse(f"{code}_{region}")
    except UnknownLocaleError:
        return Locale.parse(code)


def locale_in(region: str) -> Locale:
    """How dates and numbers are written in the reader's language in a country [ISO 3166]."""
    return _locale(spoken().code.partition("-")[0], region)


def money(amount: Decimal, currency: str, region: str) -> str:
    """An amount as it is written in the reader's language in a country [ISO 3166]: "$45.30"."""
    return _written(amount, currency, locale_in(region))


@lru_cache(maxsize=16_384)
def _written(amount: Decimal, currency: str, locale: Locale) -> str:
    return format_currency(amount, currency, locale=locale)


def coins(minor: int, currency: str, digits: int, region: str) -> str:
    """A sum kept in minor units, `digits` decimals small, as it is written: "$45.30"."""
    return money(Decimal(minor).scaleb(-digits), currency, region)


def day(date_: date, region: str) -> str:
    """A day with its weekday, in the reader's language in a country: "Saturday, December 12, 2026"."""
    return format_date(date_, "full", locale=locale_in(region))


def moment(at: datetime, workshop: Workshop) -> str:
    """A moment by the workshop's clock, with its zone: "November 25, 2026, 09:02 EST"."""
    locale, zone = locale_in(workshop.region), zone_of(workshop)
    written = format_date(at.astimezone(zone).date(), "long", locale=locale)
    return f"{written}, {format_datetime(at, 'HH:mm z', zone, locale=locale)}"
