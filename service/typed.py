"""Sizes and weights as people type them.

Reading is exact until the last step: whole numbers and fractions all the way, one rounding to float at the
end. It never guesses. What could mean two sizes ("1,234", "15-16", "161/2") is refused with the way to
write it; only a missing unit is filled in, from `assume`, and `Reading.assumed` says so.
"""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from typing import Literal

from service.errors import GirthwrightError, Unreadable
from service.saying import Message, say
from service.units import System

_Kind = Literal["length", "weight"]

_LONGEST = 40  # characters; the longest sensible size, "1 foot 4 and three quarter inches", has 33
_MOST_DIGITS = 6  # before the decimal mark: a kilometre in mm
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

EXAMPLES = {
    ("length", "imperial"): "16 1/2 in",
    ("length", "metric"): "41.9 cm",
    ("weight", "imperial"): "22 lb",
    ("weight", "metric"): "10 kg",
}
"""What would work where nothing typed can be put right, by the kind and the system that is assumed."""

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

_RANGE = say(
    "That is a range. Measure again and give one number; if it still falls between two, take the larger."
)
_FRACTION = say("A fraction has one whole number above its line and one below.")
_TOO_MANY = say("There is more than one number here, and one is needed.")
_NO_NUMBER = say("That isn't a number with its unit.")
_TOO_BIG = say("That number has too many digits.")

# Why a text that doesn't follow the pattern can't be read: the first of these that fits is said.
_REASONS = tuple(
    (re.compile(pattern), reason)
    for pattern, reason in (
        (r"^$", say("Nothing is typed.")),
        (r"^-", say("A measure can't be negative.")),
        (r"\b(?:nan|inf|infinity)\b", say("That is nothing anyone can measure.")),
        (r"^[^0-9]*$", say("There is no number in it.")),
        (r"[0-9] ?e ?[+-]?[0-9]", say("Powers of ten aren't read here: write the number out.")),
        (r"[0-9][.,][0-9]*[.,]|[.,]{2}", say("There are two decimal marks in one number.")),
        (r"[0-9][.,](?![0-9])", say("No digit follows the decimal mark.")),
        (r"[0-9].*(?:-|to|or).*[0-9]", _RANGE),
        (r"[.,][0-9]+ [0-9]+ ?/", say("A decimal and a fraction are mixed: use one or the other.")),
        (r"^/|/(?! ?[0-9])|/ ?[0-9]+ ?/|[.,][0-9]+ ?/|/ ?[0-9]*[.,]", _FRACTION),
    )
)


class _ReadError(GirthwrightError):
    """Why a text isn't read; becomes `Unreadable` where the whole text is at hand."""

    def __init__(self, reason: Message, would_work: str = "") -> None:
        self.reason = reason
        self.would_work = would_work
        super().__init__()


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


@lru_cache(maxsize=1024)
def _read(text: str, kind: _Kind, assume: str) -> Reading:
    assumed = _UNITS[assume]
    if assumed.kind != kind:
        raise ValueError(f"A {kind} can't be assumed to be in {assume}.")
    try:
        return _understood(text.strip(), kind, assumed)
    except _ReadError as error:
        raise Unreadable(text, error.reason, error.would_work or EXAMPLES[kind, assumed.system]) from None


def _understood(typed: str, kind: _Kind, assumed: _Unit) -> Reading:
    if len(typed) > _LONGEST:
        raise _ReadError(say("That is too long: one number and its unit are enough."))
    parts = _parts(_plain(typed), kind)
    unit = parts[0].unit or assumed
    total = _total(parts) * unit.size
    if not total:
        raise _ReadError(say("A measure of nothing can't be used."))
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
        if sign.isprintable():
            raise _ReadError(say("“{sign}” has no place in a number with its unit.", sign=sign))
        hidden = f"U+{ord(sign):04X}"
        raise _ReadError(say("The hidden sign {sign} has no place in a number with its unit.", sign=hidden))
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
            raise _ReadError(_reason(plain, _TOO_MANY if more else _NO_NUMBER))
        unit = _unit(found, kind)
        parts.append(_Part(_amount(found), unit, found["top"] is not None and found["whole"] is None))
        at = found.end()
    if len(parts) > 1 and parts[0].unit is None:
        raise _ReadError(_reason(plain, _TOO_MANY))
    return parts


def _unit(found: re.Match[str], kind: _Kind) -> _Unit | None:
    word = found["unit"]
    if word is None:
        return None
    unit = _BY_SPELLING.get(word.removesuffix("."))
    if unit is None:
        raise _ReadError(_reason(found.string, say("“{word}” is no unit known here.", word=word)))
    if unit.kind != kind and kind == "length":
        raise _ReadError(say("“{word}” measures a weight, and a length is needed.", word=word))
    if unit.kind != kind:
        raise _ReadError(say("“{word}” measures a length, and a weight is needed.", word=word))
    return unit


def _reason(plain: str, otherwise: Message) -> Message:
    return next((reason for pattern, reason in _REASONS if pattern.search(plain)), otherwise)


def _amount(found: re.Match[str]) -> Fraction:
    if found["decimal"] is not None:
        return _decimal(found)
    whole, top, bottom = found["whole"] or "0", found["top"], found["bottom"]
    if max(len(whole), len(top), len(bottom)) > _MOST_DIGITS:
        raise _ReadError(_TOO_BIG)
    above, below = int(top), int(bottom)
    if below == 0:
        raise _ReadError(say("Nothing can be divided by zero."))
    if below > _FINEST:
        reason = say(
            "No rule is divided as fine as 1/{below}: use halves to sixty-fourths, or a decimal.", below=below
        )
        raise _ReadError(reason)
    if above >= below:
        reason = say(
            "{top}/{bottom} is a whole or more: write a whole number, a space, then a fraction below one.",
            top=top,
            bottom=bottom,
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
        reason = say(
            "“{digits}” could be {point} or {whole}: write the one you mean.",
            digits=digits,
            point=point,
            whole=whole + places,
        )
        raise _ReadError(reason, _corrected(found, "decimal", point))
    if len(whole) > _MOST_DIGITS:
        raise _ReadError(_TOO_BIG)
    return Fraction(int(whole + places), 10 ** len(places))


def _corrected(found: re.Match[str], group: str, better: str) -> str:
    """The whole text with one group put right; nothing where more may be wrong."""
    if not better or found["whole"] or found[0] != found.string:
        return ""
    return f"{found.string[: found.start(group)]}{better}{found.string[found.end(group) :]}"


def _total(parts: list[_Part]) -> Fraction:
    """The parts added up, in the unit of the first."""
    first = parts[0]
    if len(parts) == 1 or first.unit is None:
        return first.amount
    second = parts[1]
    unit = second.unit
    if first.amount.denominator != 1:
        raise _ReadError(say("Only the last number may have a part of one."))
    if first.unit.name == "in" and second.below_one and unit in (None, first.unit):  # 16" 1/2
        return first.amount + second.amount
    if unit is None and first.unit.name in _BARE_TAIL and not second.below_one:  # 1' 4
        unit = _UNITS[first.unit.then]
    if unit is None:
        raise _ReadError(say("The second number needs its unit."))
    units = {"one": first.unit.name, "other": unit.name}
    if unit.name != first.unit.then:
        apart = say("“{one}” and “{other}” don't go together: use one of them.", **units)
        raise _ReadError(apart)
    added = second.amount * unit.size / first.unit.size
    if added >= 1:
        raise _ReadError(say("The {other} after the {one} must come to less than one {one}.", **units))
    return first.amount + added
