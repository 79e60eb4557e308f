"""Exact factors between units; reading sizes and weights as people type them; showing them again.

One inch is 25.4 mm and one pound 0.45359237 kg, both exactly: international yard and pound agreement,
1959; repeated in NIST SP 811 (2008), appendix B. The leather ounce is 1/64 in: common practice.

Reading is exact until the last step: whole numbers and fractions all the way, one rounding to float at the
end. It never guesses. What could mean two sizes ("1,234", "15-16", "161/2") is refused with the way to
write it; only a missing unit is filled in, from `assume`, and `Reading.assumed` says so.

Showing follows the ruler in the reader's hand: inches to the nearest 1/16 in lowest terms; centimetres to
one decimal from 10 cm up, as a tape is read; millimetres to one decimal below, as a bench rule is read.
That is for what is measured on a dog. What is cut, punched or marked (`show_cut`, `show_blank`) is in
millimetres to 0.1 mm however long it is; its inches are an aid, and the millimetres decide.
"""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from typing import Literal

from service.errors import GirthwrightError, Unreadable

IN = 25.4
"""Millimetres in an inch, exactly."""

OZ_LEATHER = IN / 64
"""Millimetres in an ounce of leather thickness: 0.396875."""

LB = 0.45359237
"""Kilograms in a pound, exactly."""

System = Literal["imperial", "metric"]

_Kind = Literal["length", "weight"]

_LONGEST = 40  # characters; the longest sensible size, "1 foot 4 and three quarter inches", has 33
_MOST_DIGITS = 6  # before the decimal mark: a kilometre in mm
_TAPE = 100  # mm; from here up a size is read off a tape, below it off a bench rule
_FINEST = 64  # tapes and rules are divided no finer than 1/64 in


@dataclass(frozen=True, slots=True)
class Reading:
    """A size or weight as read.

    `value` in mm for a length, in kg for a weight; `unit` the unit it was given in, of two the larger ("in",
    "ft", "mm", "cm", "m", "lb", "oz", "kg", "g"); `assumed` whether no unit was typed; `system` the unit's;
    `text` as typed, without the space around it.
    """

    value: float
    unit: str
    assumed: bool
    system: System
    text: str


@dataclass(frozen=True, slots=True)
class _Unit:
    name: str
    kind: _Kind
    system: System
    size: Fraction  # in mm or kg
    spellings: str
    then: str = ""  # the smaller unit that may follow: feet, then inches


_INCH = Fraction("25.4")
_POUND = Fraction("0.45359237")
_UNITS = {
    unit.name: unit
    for unit in (
        _Unit("in", "length", "imperial", _INCH, "in ins inch inches \" ''"),
        _Unit("ft", "length", "imperial", 12 * _INCH, "ft foot feet '", then="in"),
        _Unit("mm", "length", "metric", Fraction(1), "mm millimetre millimetres millimeter millimeters"),
        _Unit("cm", "length", "metric", Fraction(10), "cm cms centimetre centimetres centimeter centimeters"),
        _Unit("m", "length", "metric", Fraction(1000), "m metre metres meter meters", then="cm"),
        _Unit("oz", "weight", "imperial", _POUND / 16, "oz ounce ounces"),
        _Unit("lb", "weight", "imperial", _POUND, "lb lbs pound pounds", then="oz"),
        _Unit("g", "weight", "metric", Fraction(1, 1000), "g gram grams gramme grammes"),
        _Unit("kg", "weight", "metric", Fraction(1), "kg kgs kilo kilos kilogram kilograms", then="g"),
    )
}
_BY_SPELLING = {word: unit for unit in _UNITS.values() for word in unit.spellings.split()}
_BARE_TAIL = {"ft", "lb"}  # 1' 4 and 3 lb 4 are common; 1 m 5 could be 1.05 or 1.5

_EXAMPLES = {
    ("length", "imperial"): "16 1/2 in",
    ("length", "metric"): "41.9 cm",
    ("weight", "imperial"): "22 lb",
    ("weight", "metric"): "10 kg",
}

# What keyboards and word processors put in place of plain signs. Signs that can't be seen become spaces, so
# that they never join two numbers into one.
_SIGNS = {
    **dict.fromkeys("′´‘’", "'"),
    **dict.fromkeys("″“”", '"'),
    **dict.fromkeys("‐‒–—−\N{NON-BREAKING HYPHEN}", "-"),
    **dict.fromkeys("\N{FRACTION SLASH}\N{DIVISION SLASH}", "/"),
    **dict.fromkeys("\N{ZERO WIDTH SPACE}\N{WORD JOINER}\N{ZERO WIDTH NO-BREAK SPACE}", " "),
    "\N{LEFT-TO-RIGHT MARK}": " ",
    **{sign: unicodedata.normalize("NFKC", sign) for sign in "㎜㎝㎏"},
    **{sign: f" {unicodedata.normalize('NFKC', sign).replace('⁄', '/')} " for sign in "¼½¾⅐⅑⅒⅓⅔⅕⅖⅗⅘⅙⅚⅛⅜⅝⅞"},
}
_FULL_WIDTH = ord("！") - ord("!")  # full-width signs stand in the same order as ASCII
_SPOKEN = re.compile(r"(?:^|\band )(?:(?:a|one) )?(half|quarter|three[ -]quarters?)(?: of)?(?: an?)?\b")

_QUANTITY = re.compile(
    r"""(?: (?:(?P<whole>[0-9]+)[ -])? (?P<top>[0-9]+)\ ?/\ ?(?P<bottom>[0-9]+)   # 16 1/2, 16-1/2, 1/2
          | (?P<decimal>[0-9]*[.,]?[0-9]+) (?![0-9.,]) )                           # 16, 16.5, 38,5, .5
        (?:\ |-(?=[a-z]))? (?P<unit>[a-z]+\.?|''|'|")? \ ?                         # 16 in, 16in., 16-inch
    """,
    re.VERBOSE,
)
_THOUSANDS = re.compile(r"[1-9][0-9]{0,2},[0-9]{3}")

_RANGE = "That is a range. Measure again and give one number; if it still falls between two, take the larger."
_FRACTION = "A fraction has one whole number above its line and one below."
_TOO_MANY = "There is more than one number here, and one is needed."
_TOO_BIG = "That number has too many digits."

# Why a text that doesn't follow the pattern can't be read: the first of these that fits is said.
_REASONS = tuple(
    (re.compile(pattern), reason)
    for pattern, reason in (
        (r"^$", "The {kind} is empty."),
        (r"^-", "A {kind} can't be negative."),
        (r"\b(?:nan|inf|infinity)\b", "That is no {kind} anyone can measure."),
        (r"^[^0-9]*$", "There is no number in it."),
        (r"[0-9] ?e ?[+-]?[0-9]", "Powers of ten aren't read here: write the number out."),
        (r"[0-9][.,][0-9]*[.,]|[.,]{2}", "There are two decimal marks in one number."),
        (r"[0-9][.,](?![0-9])", "No digit follows the decimal mark."),
        (r"[0-9].*(?:-|to|or).*[0-9]", _RANGE),
        (r"[.,][0-9]+ [0-9]+ ?/", "A decimal and a fraction are mixed: use one or the other."),
        (r"^/|/(?! ?[0-9])|/ ?[0-9]+ ?/|[.,][0-9]+ ?/|/ ?[0-9]*[.,]", _FRACTION),
    )
)


class _ReadError(GirthwrightError):
    """Why a text isn't read; becomes `Unreadable` where the whole text is at hand."""

    def __init__(self, reason: str, would_work: str = "") -> None:
        self.reason = reason
        self.would_work = would_work
        super().__init__(reason)


@dataclass(frozen=True, slots=True)
class _Part:
    amount: Fraction
    unit: _Unit | None
    below_one: bool  # a bare fraction: 1/2, not 16 1/2


def read_length(text: str, *, assume: str = "in") -> Reading:
    """Length as typed: "16 1/2 in", "16½", "41,9 cm", "1 ft 4 in".

    `text` what was typed; `assume` the unit where none was typed ("in", "ft", "mm", "cm", "m").
    Returns the reading, its value in [mm]. Raises `Unreadable` for whatever isn't one plain size.
    Worked: read_length("16 1/2").value is 419.1.
    """
    return _read(text, "length", assume)


def read_mass(text: str, *, assume: str = "lb") -> Reading:
    """Weight as typed: "22 lb", "10,5 kg", "3 lb 4 oz".

    `text` what was typed; `assume` the unit where none was typed ("lb", "oz", "kg", "g").
    Returns the reading, its value in [kg]. Raises `Unreadable` for everything that isn't one plain weight.
    Worked: read_mass("22 lb").value is 9.97903214.
    """
    return _read(text, "weight", assume)


def show_length(mm: float, system: System) -> str:
    """Length in the reader's own system.

    `mm` length [mm], of either sign; `system` the reader's.
    Returns inches to the nearest 1/16, or centimetres to one decimal, or millimetres below 10 cm.
    Worked: 419.1 mm is "16 1/2 in" or "41.9 cm"; 25.4 mm is "1 in" or "25.4 mm".
    """
    if system == "imperial":
        return show_inches(mm)
    if round(abs(mm), 1) < _TAPE:
        return show_mm(mm)
    return f"{_trimmed(mm / 10, 1)} cm"


def show_inches(mm: float) -> str:
    """Length in inches and sixteenths, in lowest terms.

    `mm` length [mm], of either sign. Worked: 419.1 mm is "16 1/2 in".
    """
    return _sixteenths(round(mm / IN * 16))


@lru_cache(maxsize=2048)
def _sixteenths(count: int) -> str:
    whole, rest = divmod(abs(count), 16)
    words = [str(whole)] if whole or not rest else []
    if rest:
        words.append(str(Fraction(rest, 16)))
    return f"{'-' if count < 0 else ''}{' '.join(words)} in"


def show_mm(mm: float, places: int = 1) -> str:
    """Length in millimetres, without zeros at the end.

    `mm` length [mm], of either sign; `places` the most decimals.
    Worked: 12.70 mm is "12.7 mm", 25.0 is "25 mm".
    """
    return f"{_trimmed(mm, places)} mm"


def show_both(mm: float, system: System) -> str:
    """Length in the reader's own system, and in the other in brackets.

    `mm` length [mm], of either sign; `system` the reader's.
    Worked: 419.1 mm is "16 1/2 in (419 mm)" or "41.9 cm (16 1/2 in)"; 12.7 mm is "1/2 in (12.7 mm)".
    """
    if system == "metric":
        return f"{show_length(mm, system)} ({show_inches(mm)})"
    return f"{show_inches(mm)} ({show_mm(mm, 0 if abs(mm) >= _TAPE else 1)})"


def show_cut(mm: float, system: System) -> str:
    """Length of what is cut or marked, to 0.1 mm, in both systems, the reader's first.

    `mm` length [mm], of either sign; `system` the reader's.
    Worked: 698.5 mm is "27 1/2 in (698.5 mm)" or "698.5 mm (27 1/2 in)".
    """
    if system == "metric":
        return f"{show_mm(mm)} ({show_inches(mm)})"
    return f"{show_inches(mm)} ({show_mm(mm)})"


def show_blank(length: float, width: float, system: System) -> str:
    """Size of a piece as it is cut, in one system, its unit written once.

    `length` and `width` [mm]; `system` the one wanted, metric to 0.1 mm.
    Worked: 698.5 by 25.4 mm is "27 1/2 × 1 in" or "698.5 × 25.4 mm".
    """
    show, unit = (show_inches, " in") if system == "imperial" else (show_mm, " mm")
    return f"{show(length).removesuffix(unit)} × {show(width)}"


def show_mass(kg: float, system: System) -> str:
    """Weight in the reader's own system, to one decimal.

    `kg` mass [kg]; `system` the reader's.
    Returns pounds, or ounces below a pound; kilograms, or grams below one.
    Worked: 10 kg is "22 lb" or "10 kg"; 0.45 kg is "15.9 oz" or "450 g".
    """
    number, small, ratio, large = (kg / LB, "oz", 16, "lb") if system == "imperial" else (kg, "g", 1000, "kg")
    if round(number * ratio, 1) < ratio:
        return f"{_trimmed(number * ratio, 1)} {small}"
    return f"{_trimmed(number, 1)} {large}"


def _trimmed(number: float, places: int) -> str:
    digits = f"{number:z.{places}f}"
    return digits.rstrip("0").rstrip(".") if "." in digits else digits


@lru_cache(maxsize=1024)
def _read(text: str, kind: _Kind, assume: str) -> Reading:
    assumed = _UNITS[assume]
    if assumed.kind != kind:
        raise ValueError(f"A {kind} can't be assumed to be in {assume}.")
    try:
        return _understood(text.strip(), kind, assumed)
    except _ReadError as error:
        raise Unreadable(text, error.reason, error.would_work or _EXAMPLES[kind, assumed.system]) from None


def _understood(typed: str, kind: _Kind, assumed: _Unit) -> Reading:
    if len(typed) > _LONGEST:
        raise _ReadError(f"That is too long for a {kind}: one number and its unit are enough.")
    parts = _parts(_plain(typed), kind)
    unit = parts[0].unit or assumed
    total = _total(parts, kind) * unit.size
    if not total:
        raise _ReadError(f"A {kind} of nothing can't be used.")
    return Reading(float(total), unit.name, parts[0].unit is None, unit.system, typed)


def _plain(typed: str) -> str:
    """Lower-case ASCII, single spaces, numbers in digits."""
    if not typed.isascii():
        typed = "".join(sign if sign.isascii() else _plain_sign(sign) for sign in typed)
    words = " ".join(typed.lower().split())
    if "half" in words or "quarter" in words:
        words = " ".join(_SPOKEN.sub(_in_digits, words).split())
    return words.replace(" and ", " ")


def _plain_sign(sign: str) -> str:
    if sign in _SIGNS:
        return _SIGNS[sign]
    if "！" <= sign <= "～":
        return chr(ord(sign) - _FULL_WIDTH)
    if unicodedata.category(sign) == "Zs":
        return " "
    digit = unicodedata.decimal(sign, None)  # any script's digits, but no superscripts
    if digit is None:
        seen = f"“{sign}”" if sign.isprintable() else f"The hidden sign U+{ord(sign):04X}"
        raise _ReadError(f"{seen} has no place in a number with its unit.")
    return str(digit)


def _in_digits(spoken: re.Match[str]) -> str:
    return {"half": " 1/2 ", "quarter": " 1/4 "}.get(spoken[1], " 3/4 ")


def _parts(plain: str, kind: _Kind) -> list[_Part]:
    """One or two quantities that make up the whole text."""
    parts: list[_Part] = []
    at = 0
    while at < len(plain) or not parts:
        found = _QUANTITY.match(plain, at)
        if found is None or len(parts) > 1:
            more = parts and any(sign.isdigit() for sign in plain[at:])
            raise _ReadError(
                _reason(plain, kind, _TOO_MANY if more else "That isn't a number with its unit.")
            )
        unit = _unit(found, kind)
        parts.append(_Part(_amount(found), unit, found["top"] is not None and found["whole"] is None))
        at = found.end()
    if len(parts) > 1 and parts[0].unit is None:
        raise _ReadError(_reason(plain, kind, _TOO_MANY))
    return parts


def _unit(found: re.Match[str], kind: _Kind) -> _Unit | None:
    word = found["unit"]
    if word is None:
        return None
    unit = _BY_SPELLING.get(word.removesuffix("."))
    if unit is None:
        raise _ReadError(_reason(found.string, kind, f"“{word}” is no unit known here."))
    if unit.kind != kind:
        raise _ReadError(f"“{word}” measures a {unit.kind}, and a {kind} is needed.")
    return unit


def _reason(plain: str, kind: _Kind, otherwise: str) -> str:
    fitting = (reason.format(kind=kind) for pattern, reason in _REASONS if pattern.search(plain))
    return next(fitting, otherwise)


def _amount(found: re.Match[str]) -> Fraction:
    if found["decimal"] is not None:
        return _decimal(found)
    whole, top, bottom = found["whole"] or "0", found["top"], found["bottom"]
    if max(len(whole), len(top), len(bottom)) > _MOST_DIGITS:
        raise _ReadError(_TOO_BIG)
    above, below = int(top), int(bottom)
    if below == 0:
        raise _ReadError("Nothing can be divided by zero.")
    if below > _FINEST:
        raise _ReadError(
            f"No rule is divided as fine as 1/{below}: use halves to sixty-fourths, or a decimal."
        )
    if above >= below:
        reason = (
            f"{top}/{bottom} is a whole or more: write a whole number, a space, then a fraction below one."
        )
        raise _ReadError(reason, _corrected(found, "top", _spaced(top, below)))
    return Fraction(int(whole) * below + above, below)


def _spaced(top: str, below: int) -> str:
    """The likely "16 1" in the 161 of 161/2, or nothing."""
    for split in range(1, len(top)):
        if top[split] != "0" and int(top[split:]) < below:
            return f"{top[:split]} {top[split:]}"
    return ""


def _decimal(found: re.Match[str]) -> Fraction:
    digits = found["decimal"]
    whole, _, places = digits.replace(",", ".").partition(".")
    if _THOUSANDS.fullmatch(digits):
        point = f"{whole}.{places}"
        reason = f"“{digits}” could be {point} or {whole}{places}: write the one you mean."
        raise _ReadError(reason, _corrected(found, "decimal", point))
    if len(whole) > _MOST_DIGITS:
        raise _ReadError(_TOO_BIG)
    return Fraction(int(whole + places), 10 ** len(places))


def _corrected(found: re.Match[str], group: str, better: str) -> str:
    """The whole text with one group put right; nothing where more may be wrong."""
    if not better or found["whole"] or found[0] != found.string:
        return ""
    return f"{found.string[: found.start(group)]}{better}{found.string[found.end(group) :]}"


def _total(parts: list[_Part], kind: _Kind) -> Fraction:
    """The parts added up, in the unit of the first."""
    first = parts[0]
    if len(parts) == 1 or first.unit is None:
        return first.amount
    second = parts[1]
    unit = second.unit
    if first.amount.denominator != 1:
        raise _ReadError("Only the last number may have a part of one.")
    if first.unit.name == "in" and second.below_one and unit in (None, first.unit):  # 16" 1/2
        return first.amount + second.amount
    if unit is None and first.unit.name in _BARE_TAIL and not second.below_one:  # 1' 4
        unit = _UNITS[first.unit.then]
    if unit is None:
        raise _ReadError("The second number needs its unit.")
    if unit.name != first.unit.then:
        raise _ReadError(f"“{first.unit.name}” and “{unit.name}” don't make up one {kind}: use one of them.")
    added = second.amount * unit.size / first.unit.size
    if added >= 1:
        raise _ReadError(
            f"The {unit.name} after the {first.unit.name} must come to less than one {first.unit.name}."
        )
    return first.amount + added
