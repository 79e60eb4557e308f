"""The type of the full-scale drawings: the fonts, how wide a text sets, and what they can't show."""

import re
import unicodedata
from functools import cache, lru_cache
from pathlib import Path
from threading import Lock
from typing import Literal

from reportlab.pdfbase.pdfmetrics import registerFont
from reportlab.pdfbase.ttfonts import TTFont

Weight = Literal["regular", "bold", "display"]

ASCENT, DESCENT = 0.76, 0.22
"""From the baseline to the top of an l and the foot of a p, as shares of the size; measured in the fonts."""

FAMILIES: dict[Weight, str] = {
    "regular": "Atkinson Hyperlegible Next",
    "bold": "Atkinson Hyperlegible Next",
    "display": "Besley",
}
_FILES: dict[Weight, str] = {
    "regular": "atkinson-hyperlegible-next-400.ttf",
    "bold": "atkinson-hyperlegible-next-700.ttf",
    "display": "besley-700.ttf",
}
# Whatever XML 1.0 (fifth edition), production 2 "Char", leaves out.
_UNWRITABLE = re.compile("[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
# reportlab keeps its fonts in one register for everybody.
_ONE_READER = Lock()


@cache
def font(weight: Weight) -> TTFont:
    """Return a font, read once and known to the PDF writer by the name of its weight."""
    with _ONE_READER:
        read = TTFont(weight, str(Path(__file__).with_name("fonts") / _FILES[weight]), shapable=False)
        registerFont(read)
    return read


@cache
def _widths(weight: Weight) -> dict[int, float]:
    return {code: thousandths / 1000 for code, thousandths in font(weight).face.charWidths.items()}


@lru_cache(maxsize=8192)
def text_width(text: str, size: float, weight: Weight = "regular") -> float:
    """Return how wide [mm] a line of text sets at a size [mm], by the font's advances, without kerning.

    A character the font has no shape for counts as wide as the size.
    Worked: "0" at 2 mm is 1.296 mm wide.
    """
    widths = _widths(weight)
    return size * sum(widths.get(ord(character), 1.0) for character in text)


@lru_cache(maxsize=4096)
def showable(text: str, weight: Weight = "regular") -> str:
    """Return a text in the font's own characters: an accent it lacks is left off, all else is a "?"."""
    known = _widths(weight)
    return "".join(sign if ord(sign) in known else _nearest(sign, known) for sign in text)


def _nearest(sign: str, known: dict[int, float]) -> str:
    plain = "".join(part for part in unicodedata.normalize("NFKD", sign) if not unicodedata.combining(part))
    return plain if plain and all(ord(part) in known for part in plain) else "?"


def writable(text: str) -> str:
    """Return a text without the code points that XML can't hold."""
    return _UNWRITABLE.sub("", text)


def wrapped(text: str, width: float, size: float, weight: Weight = "regular") -> tuple[str, ...]:
    """Return a text in lines no wider than a width [mm]; a word that is wider alone is broken."""
    lines: list[str] = []
    line = ""
    for word in _pieces(text, width, size, weight):
        longer = f"{line} {word}" if line else word
        if line and text_width(longer, size, weight) > width:
            lines.append(line)
            line = word
        else:
            line = longer
    return (*lines, line)


def _pieces(text: str, width: float, size: float, weight: Weight) -> list[str]:
    pieces = []
    for word in text.split():
        rest = word
        while text_width(rest, size, weight) > width and len(rest) > 1:
            cut = next(
                n
                for n in range(len(rest) - 1, 0, -1)
                if n == 1 or text_width(rest[:n], size, weight) <= width
            )
            pieces.append(rest[:cut])
            rest = rest[cut:]
        pieces.append(rest)
    return pieces


def shortened(text: str, width: float, size: float, weight: Weight = "regular") -> str:
    """Return a text that fits a width [mm] on one line, with an ellipsis in place of what is left off."""
    if text_width(text, size, weight) <= width:
        return text
    kept = text
    while kept and text_width(kept + "…", size, weight) > width:
        kept = kept[:-1]
    return kept.rstrip() + "…"
