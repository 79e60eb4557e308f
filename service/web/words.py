"""Numbers and codes in plain words, in the reader's own system of measures."""

from datetime import date, datetime
from decimal import Decimal
from functools import lru_cache

from babel import Locale, UnknownLocaleError
from babel.dates import format_date, format_datetime
from babel.numbers import format_currency

from service.design import LeadPattern, Pattern, Weighed, adornments, collar_in, told, weigh
from service.language import decimals, spoken, tr, within
from service.saying import Spelled
from service.units import IN, System, show_mass
from service.web.clock import zone_of
from service.workshop import Workshop

_AT_THE_THROAT = 170.0
"""Further from the nape than this [degrees] it is opposite. By eye."""
_ON_THE_NAPE = 0.5  # degrees: less than a millimetre on any neck


def number(count: int) -> str:
    """A count in words up to twelve where the language writes it so, in figures beyond."""
    return Spelled(count).said("imperial")


def ring_place(from_nape_deg: float) -> str:
    """Where the ring stands: on the nape, at the throat, or how far round, positive towards the tail."""
    if abs(from_nape_deg) < _ON_THE_NAPE:
        return tr("on the nape")
    if abs(from_nape_deg) > _AT_THE_THROAT:
        return tr("at the throat")
    turned = f"{abs(from_nape_deg):.0f}"
    if from_nape_deg < 0:
        return tr("{degrees}° towards the buckle's end", degrees=turned)
    return tr("{degrees}° towards the tail", degrees=turned)


def mass_sentences(pattern: Pattern, system: System) -> str:
    """What it weighs, what share of the dog that is if the dog wears it, and where a ring comes to rest."""
    if isinstance(pattern, LeadPattern):
        return _weight(weigh(pattern), None, system)
    worn = collar_in(pattern) or pattern
    found = weigh(worn)
    said = [_weight(found, pattern.spec.weight, system)]
    if found.rest_deg is not None:
        place = ring_place(found.rest_deg)
        said.append(tr("Where it turns freely, its ring comes to rest {place}.", place=place))
    if worn is not pattern:
        mass = show_mass(round(weigh(pattern).total) / 1000, system)
        said.append(tr("That is the collar; with the lead it is {mass}.", mass=mass))
    return " ".join(said)


def _weight(found: Weighed, dog: float | None, system: System) -> str:
    """Say what is weighed, what is not known of it and, with a dog's weight [kg], its share of that."""
    said = {"mass": show_mass(round(found.total) / 1000, system)}
    if dog is not None:
        said["share"] = decimals(f"{found.total / dog / 10:.1f}")
    if found.unknown:
        said["names"] = ", ".join(found.unknown)
        if dog is None:
            return tr("It weighs more than {mass}: the catalogue has no mass for {names}.", **said)
        return tr(
            "It weighs more than {mass}, {share} % of what the dog weighs:"
            " the catalogue has no mass for {names}.",
            **said,
        )
    if dog is None:
        return tr("It weighs about {mass}.", **said)
    return tr("It weighs about {mass}, {share} % of what the dog weighs.", **said)


def title(pattern: Pattern, system: System) -> str:
    """What is made, by its name: "Chestnut bridle collar, 1 in wide, for a neck of 19 in"."""
    return told(pattern).title.said(system)


def sentence(pattern: Pattern, system: System) -> str:
    """All of it in one sentence, for those who don't see the drawing."""
    words, dye = told(pattern), pattern.fittings.dye
    said = [
        *(() if dye is None else (tr("dyed {dye}", dye=within(dye.name)),)),
        within(pattern.fittings.finish.name),
        *(phrase.said(system) for phrase in words.phrases),
    ]
    said.extend(one.phrase.said(system) for one in adornments(pattern))
    if pattern.spec.lettering:
        said.append(tr("lettered “{text}”", text=pattern.spec.lettering))
    title, parts = words.title.said(system), ", ".join(said)
    return tr("{title}: {parts}; {length}.", title=title, parts=parts, length=words.length.said(system))


def file_name(pattern: Pattern, system: System, kind: str) -> str:
    """A name for a saved file, safe on every system: "collar-19-in-1-in-chestnut.pdf"."""
    spec, words = pattern.spec, told(pattern)
    unit, name = (IN, "in") if system == "imperial" else (10.0, "cm")
    sizes = (f"{round(mm / unit, 2):g}-{name}" for mm in (words.measures[0].size, spec.width))
    return "-".join((words.code, *sizes, f"{spec.leather}.{kind}"))


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
