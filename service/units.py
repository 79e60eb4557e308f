"""Exact factors between units, and sizes and weights as they are shown.

One inch is 25.4 mm and one pound 0.45359237 kg, both exactly: international yard and pound agreement,
1959; repeated in NIST SP 811 (2008), appendix B. The leather ounce is 1/64 in: common practice.

Showing follows the ruler in the reader's hand: inches to the nearest 1/16 in lowest terms; centimetres to
one decimal from 10 cm up, as a tape is read; millimetres to one decimal below, as a bench rule is read.
That is for what is measured on a dog. What is cut, punched or marked (`show_cut`, `show_blank`) is in
millimetres to 0.1 mm however long it is; its inches are an aid, and the millimetres decide. Decimals follow
the sign of the reader's language.
"""

from __future__ import annotations

from fractions import Fraction
from functools import lru_cache
from typing import Literal

from service.language import spoken

IN = 25.4
"""Millimetres in an inch, exactly."""

OZ_LEATHER = IN / 64
"""Millimetres in an ounce of leather thickness: 0.396875."""

LB = 0.45359237
"""Kilograms in a pound, exactly."""

FL_OZ = 29.5735295625
"""Millilitres in a fluid ounce of the US, exactly: 231 in³ / 128. NIST SP 811 (2008), appendix B."""

SQ_FT = 0.09290304
"""Square metres in a square foot, exactly."""

TICKET = 3000.0
"""Metric ticket times tex: a ticket counts threads of three strands, by their metric count (1000 / tex)."""

System = Literal["imperial", "metric"]

_TAPE = 100  # mm; from here up a size is read off a tape, below it off a bench rule


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
    if "." not in digits:
        return digits
    return digits.rstrip("0").rstrip(".").replace(".", spoken().decimal_sign)
