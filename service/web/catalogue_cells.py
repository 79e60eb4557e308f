"""A cell of the catalogue: read as a maker types it, shown to be typed again, put in a file, in words."""

import re
import unicodedata
from collections.abc import Callable, Mapping
from decimal import Decimal
from typing import Any, Final, get_args

from babel import Locale
from babel.numbers import format_currency, get_currency_symbol, is_currency

from service.design import thread_size
from service.errors import Unreadable
from service.language import tr, tr_many
from service.saying import Listed, Message, say
from service.text import clean_line
from service.typed import read_length
from service.units import FL_OZ, LB, OZ_LEATHER, SQ_FT, show_both, show_mm
from service.web.catalogue_columns import Column, Kind, Sheet
from service.web.parameters import width_value
from service.web.shop_words import locale_of
from service.web.typed import reads_as
from service.web.typed_number import (
    GRAVITY,
    read_counted,
    read_grams,
    read_millilitres,
    read_money,
    read_newtons,
    read_number,
    read_share,
    read_square_metres,
    read_tex,
    read_thickness,
)
from service.workshop import Workshop

CODE: Final = re.compile(r"[a-z0-9][a-z0-9-]{0,39}")
COLOUR: Final = re.compile(r"#[0-9a-f]{6}")
LIMITS: Final = ("gt", "ge", "lt", "le")
CODES: Final = say("A code is made of small letters, figures and hyphens.")
COLOURS: Final = say("A colour is # and six figures from 0 to f.")
TWO: Final = 2
SPACE: Final = "space"
"""How the gap between words is written among the signs of a set of stamps."""
BARE: Final[Mapping[Kind, str]] = {
    "thickness": "mm",
    "length": "mm",
    "width": "mm",
    "volume": "ml",
    "area": "m²",
    "tex": "tex",
}
"""The unit that a bare number means."""
NOTHING: Final = re.compile(r"0+(?:[.,]0+)? ?(?:mm)?")


def money_signs(workshop: Workshop) -> tuple[str, ...]:
    """Return what may stand beside a sum in the workshop's currency: its letters and its signs."""
    code = workshop.rates.currency
    locale = locale_of(workshop.region)
    return tuple({code, get_currency_symbol(code, locale=locale), get_currency_symbol(code, locale="en")})


def money_words(amount: Decimal, workshop: Workshop) -> str:
    """Return a price with every decimal it has, a tenth of a coin too: "$0.125"."""
    locale, currency = locale_of(workshop.region), workshop.rates.currency
    finer = amount != round(amount, workshop.rates.minor_digits)
    return str(format_currency(amount, currency, locale=locale, decimal_quantization=not finer))


def read_cell(column: Column, text: str, workshop: Workshop) -> Any:  # noqa: ANN401 - each has its own type
    """Return what a column's text means; raises Unreadable."""
    return READERS[column.kind](column, text, workshop)


def _read_money(column: Column, text: str, workshop: Workshop) -> Decimal:
    return read_money(text, money_signs(workshop), column.example)


def _read_languages(_column: Column, text: str, _workshop: Workshop) -> tuple[str, ...]:
    codes = tuple(part.strip().lower() for part in text.replace(";", ",").split(",") if part.strip())
    names = Locale.parse("en").languages
    if (
        not codes
        or len({*codes}) < len(codes)
        or any(len(code) != TWO or code not in names for code in codes)
    ):
        reason = say("Give each language once, by its two letters, with commas between.")
        raise Unreadable(text, reason, "en, de")
    return codes


def _read_as(wanted: re.Pattern[str], text: str, reason: Message, example: str) -> str:
    word = text.strip().lower()
    if wanted.fullmatch(word) is None:
        raise Unreadable(text, reason, example)
    return word


def _read_length(text: str) -> float:
    """A length [mm]; nothing at all is one too: a gap may be 0."""
    return 0.0 if NOTHING.fullmatch(text.strip().lower()) else read_length(text, assume="mm").value


def _read_choice(column: Column, text: str, workshop: Workshop) -> str:
    options = column.options(workshop) if column.options else ()
    wanted = " ".join(text.split()).casefold()
    for value, label in options:
        if wanted in {value.casefold(), label.casefold()}:
            return value
    if not options:
        raise Unreadable(text, say("There is none to choose yet: add a metal finish first."), "brass")
    listed = Listed(tuple(label for _, label in options[:12]))
    reason = say("“{typed}” is none of: {listed}.", typed=clean_line(text[:40], 40), listed=listed)
    raise Unreadable(text, reason, options[0][1])


def _read_signs(text: str) -> dict[str, float]:
    found: dict[str, float] = {}
    for line in text.splitlines():
        sign, _, share = line.strip().rpartition(" ")
        if not line.strip():
            continue
        sign = " " if sign.strip().lower() == SPACE else sign.strip()
        if len(sign) != 1 or not sign.isprintable():
            seen = "".join(one for one in line.strip()[:20] if one.isprintable())
            reason = say("“{line}” is no sign and its width.", line=seen)
            raise Unreadable(text, reason, "A 1.2")
        if sign in found:
            raise Unreadable(text, say("“{sign}” stands there twice.", sign=sign), f"{sign} {share}")
        found[sign] = float(read_number(share, "1.2"))
    return found


def _read_whole(text: str, example: str) -> int:
    number = read_number(text, example)
    if number != int(number):
        raise Unreadable(text, say("A whole number is needed here."), example)
    return int(number)


def _read_currency(text: str) -> str:
    code = text.strip().upper()
    if not is_currency(code):
        raise Unreadable(text, say("That is no currency's three letters (ISO 4217)."), "USD")
    return code


def _read_figure(column: Column, text: str) -> float:
    """A plain number, with the column's own unit after it or none."""
    typed = unicodedata.normalize("NFKC", text).strip()
    unit = unicodedata.normalize("NFKC", column.unit)
    number = typed[: -len(unit)].rstrip() if typed.casefold().endswith(unit.casefold()) else typed
    return float(read_number(number, column.example))


READERS: Final[Mapping[Kind, Callable[[Column, str, Workshop], Any]]] = {
    "text": lambda _column, text, _: clean_line(text, 120),
    "code": lambda _column, text, _: _read_as(CODE, text, CODES, "london-tan"),
    "colour": lambda _column, text, _: _read_as(COLOUR, text, COLOURS, "#7a3b1d"),
    "thickness": lambda _column, text, _: read_thickness(text),
    "length": lambda _column, text, _: _read_length(text),
    "width": lambda _column, text, _: _read_length(text),
    "money": _read_money,
    "share": lambda _column, text, _: read_share(text),
    "minutes": lambda column, text, _: read_counted(text, ("min", "minutes"), column.example),
    "hours": lambda column, text, _: read_counted(text, ("h", "hours"), column.example),
    "grams": lambda _column, text, _: read_grams(text),
    "newtons": lambda _column, text, _: read_newtons(text),
    "volume": lambda _column, text, _: float(read_millilitres(text)),
    "area": lambda _column, text, _: float(read_square_metres(text)),
    "tex": lambda _column, text, _: read_tex(text),
    "figure": lambda column, text, _: _read_figure(column, text),
    "choice": _read_choice,
    "signs": lambda _column, text, _: _read_signs(text),
    "currency": lambda _column, text, _: _read_currency(text),
    "whole": lambda column, text, _: _read_whole(text, column.example),
    "languages": _read_languages,
}


def show_cell(column: Column, value: Any, workshop: Workshop) -> str:  # noqa: ANN401 - as above
    """Return a value as somebody would have typed it, so that it is read as exactly the same again."""
    if value is None:
        return ""
    match column.kind:
        case "width" if reads_as(width_value(value), value):
            return width_value(value)
        case "thickness" | "length" | "width" | "volume" | "area" | "tex" | "figure":
            return f"{plain_cell(column, value)} {BARE.get(column.kind, column.unit)}"
        case "share":
            return f"{_plain(value * 100)} %"
        case "money":
            digits = workshop.rates.minor_digits
            return f"{value:.{digits}f}" if value == round(value, digits) else _plain(value)
    return plain_cell(column, value)


def plain_cell(column: Column, value: Any) -> str:  # noqa: ANN401 - as above
    """Return a value as a file holds it: bare numbers in the column's own unit, shares as fractions."""
    if value is None:
        return ""
    if isinstance(value, Decimal):
        return _plain(value)
    if isinstance(value, float):
        return repr(value).removesuffix(".0")
    if column.kind == "languages":
        return ", ".join(value)
    if column.kind == "signs":
        signs = sorted(value.items())
        return "\n".join(f"{SPACE if sign == ' ' else sign} {share!r}" for sign, share in signs)
    return str(value)


def say_cell(column: Column, value: Any, workshop: Workshop) -> str:  # noqa: ANN401 - as above
    """Return a value in words for a card or a comparison, in both units where that helps."""
    if value is None or value == "":
        return ""
    sayer = SAYERS.get(column.kind)
    return show_cell(column, value, workshop) if sayer is None else sayer(column, value, workshop)


def _say_choice(column: Column, value: str, workshop: Workshop) -> str:
    options = column.options(workshop) if column.options else ()
    return dict(options).get(value, value)


def _say_width(_column: Column, value: float, workshop: Workshop) -> str:
    in_inches = workshop.units == "in" and not width_value(value).endswith("mm")
    return show_both(value, "imperial" if in_inches else "metric")


def _say_load(_column: Column, value: float, _workshop: Workshop) -> str:
    kg = float(Decimal(repr(value)) / GRAVITY)
    return tr(
        "{load} N (the weight of {kg} kg or {lb} lb)",
        load=f"{value:.0f}",
        kg=f"{kg:.0f}",
        lb=f"{kg / LB:.0f}",
    )


SAYERS: Final[Mapping[Kind, Callable[[Column, Any, Workshop], str]]] = {
    "width": _say_width,
    "thickness": lambda _column, value, _: f"{show_mm(value, 2)} ({value / OZ_LEATHER:.1f} oz)",
    "length": lambda _column, value, _: show_mm(value, 2),
    "money": lambda _, value, shop: money_words(value, shop),
    "minutes": lambda _column, value, _: f"{_plain(value)} min",
    "hours": lambda _column, value, _: f"{_plain(value)} h",
    "grams": lambda _column, value, _: f"{value:g} g",
    "newtons": _say_load,
    "volume": lambda _column, value, _: f"{round(value, 1):g} ml ({value / FL_OZ:.1f} fl oz)",
    "area": lambda _column, value, _: f"{round(value, 3):g} m² ({value / SQ_FT:.1f} sq ft)",
    "tex": lambda _column, value, _: thread_size(value).said("metric"),
    "choice": _say_choice,
    "signs": lambda _column, value, _: tr_many(
        "{count} sign: {signs}", "{count} signs: {signs}", len(value), signs="".join(sorted(value)).strip()
    ),
}


def check_limits(sheet: Sheet, column: Column, value: float | Decimal, workshop: Workshop) -> None:
    """Raise Unreadable for a number outside what the column takes, saying what that is."""
    limits = _limits(sheet, column.name)
    low, high = limits.get("ge", limits.get("gt")), limits.get("le", limits.get("lt"))
    fits = (
        value >= limits.get("ge", value)
        and value <= limits.get("le", value)
        and ("gt" not in limits or value > limits["gt"])
        and ("lt" not in limits or value < limits["lt"])
    )
    if fits:
        return

    def said(limit: float | Decimal) -> str:
        return show_cell(column, type(value)(limit), workshop)

    lowest = None if low is None else said(low)
    highest = None if high is None else said(high)
    reason = _outside(limits, tr(column.label), lowest or "", highest or "", said(value))
    raise Unreadable(str(value), reason, column.example or highest or lowest or "")


def _outside(limits: Mapping[str, Any], name: str, low: str, high: str, typed: str) -> Message:
    places = {"name": name, "low": low, "high": high, "typed": typed}
    if not high:
        return say("{name} must be at least {low}; {typed} was typed.", **places)
    if "gt" in limits:
        return say("{name} must be more than {low}, and at most {high}; {typed} was typed.", **places)
    if "lt" in limits:
        return say("{name} must be from {low} to less than {high}; {typed} was typed.", **places)
    return say("{name} must be from {low} to {high}; {typed} was typed.", **places)


def _limits(sheet: Sheet, name: str) -> dict[str, Any]:
    """The limits of a column's numbers, by pydantic's names for them."""
    field = sheet.model.model_fields[name]
    inner = [info for part in get_args(field.annotation) for info in getattr(part, "__metadata__", ())]
    marks = [*field.metadata, *(mark for info in inner for mark in getattr(info, "metadata", ()))]
    return {one: getattr(mark, one) for mark in marks for one in LIMITS if hasattr(mark, one)}


def _plain(number: Decimal) -> str:
    return f"{number.normalize():f}"
