"""Numbers and codes in plain words, in the reader's own system of measures."""

from datetime import UTC, date, datetime
from decimal import Decimal
from functools import lru_cache

from babel import Locale, UnknownLocaleError
from babel.dates import format_date, format_datetime
from babel.numbers import format_currency

from service.design import Collar, HoleFit, Pattern
from service.units import IN, System, show_length

_NUMBERS = (
    "no",
    "one",
    "two",
    "three",
    "four",
    "five",
    "six",
    "seven",
    "eight",
    "nine",
    "ten",
    "eleven",
    "twelve",
)
WAYS = {
    "existing-collar": "from an existing collar",
    "tape-two-fingers": "tape, two fingers under it",
    "tape-snug": "tape, snug",
}
"""How a neck was measured, in a few words."""
_ON_THE_NAPE = 0.5  # degrees: less than a millimetre on any neck


def number(count: int) -> str:
    """A count in words up to twelve, in figures beyond."""
    return _NUMBERS[count] if 0 <= count < len(_NUMBERS) else str(count)


def plural(count: int, one: str, many: str = "") -> str:
    """A count and its noun: "one hole", "six holes"."""
    return f"{number(count)} {one if count == 1 else many or one + 's'}"


def ring_place(hole: HoleFit) -> str:
    """Where the ring stands on a hole: "on the nape", or how far round from it."""
    if abs(hole.ring_offset_deg) < _ON_THE_NAPE:
        return "on the nape"
    side = "towards the buckle's end" if hole.ring_offset_deg < 0 else "towards the tail"
    return f"{abs(hole.ring_offset_deg):.0f}° {side}"


def fit_sentence(pattern: Pattern, system: System) -> str:
    """The fit on the target hole in one sentence."""
    fit = pattern.fit
    girth, neck = show_length(fit.inside_girth, system), show_length(fit.neck, system)
    room = plural(max(0, round(fit.fingers)), "finger")
    return f"On the second hole the collar measures {girth} inside, {room} over a neck of {neck}."


def title(pattern: Pattern, system: System) -> str:
    """The collar's name: "Chestnut bridle collar, 1 in wide, for a neck of 19 in"."""
    spec = pattern.spec
    width, neck = show_length(spec.width, system), show_length(spec.neck, system)
    return f"{pattern.fittings.leather.name} collar, {width} wide, {measure_words(spec)} {neck}"


def measure_words(spec: Collar) -> str:
    """What the neck measure is the measure of."""
    return "to match a collar of" if spec.measured == "existing-collar" else "for a neck of"


def sentence(pattern: Pattern, system: System) -> str:
    """The whole collar in one sentence, for those who don't see the drawing."""
    spec, layout = pattern.spec, pattern.layout
    holes = f"{plural(len(layout.holes), 'hole')} {show_length(layout.pitch, system)} apart"
    said = [f"{title(pattern, system)}: {pattern.fittings.finish.name.lower()}, {holes}"]
    studs = sum(mark.kind == "stud" for mark in pattern.strap.marks)
    if studs:
        said.append(plural(studs, "stud"))
    if spec.lettering:
        said.append(f"lettered “{spec.lettering}”")
    return f"{', '.join(said)}; the strap is {show_length(layout.length, system)} long."


def file_name(pattern: Pattern, system: System, kind: str) -> str:
    """A name for a saved file, safe on every system: "collar-19-in-1-in-chestnut.pdf"."""
    spec = pattern.spec
    unit, name = (IN, "in") if system == "imperial" else (10.0, "cm")
    neck, width = (f"{round(mm / unit, 2):g}-{name}" for mm in (spec.neck, spec.width))
    return f"collar-{neck}-{width}-{spec.leather}.{kind}"


@lru_cache(maxsize=64)
def _locale(region: str) -> Locale:
    try:
        return Locale.parse(f"en_{region}")
    except UnknownLocaleError:
        return Locale.parse("en")


@lru_cache(maxsize=16_384)
def money(amount: Decimal, currency: str, region: str) -> str:
    """An amount as it is written in English in a country [ISO 3166]: "$45.30"."""
    return format_currency(amount, currency, locale=_locale(region))


def coins(minor: int, currency: str, digits: int, region: str) -> str:
    """A sum kept in minor units, `digits` decimals small, as it is written: "$45.30"."""
    return money(Decimal(minor).scaleb(-digits), currency, region)


def day(date_: date, region: str) -> str:
    """A day with its weekday, as it is written in English in a country: "Saturday, December 12, 2026"."""
    return format_date(date_, "full", locale=_locale(region))


def moment(at: datetime, region: str) -> str:
    """A moment by the clock that is the same for everybody: "November 25, 2026, 14:02 UTC"."""
    at = at.astimezone(UTC)
    written = format_date(at.date(), "long", locale=_locale(region))
    return f"{written}, {format_datetime(at, 'HH:mm', locale=_locale(region))} UTC"
