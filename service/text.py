"""The one rule for a line of text that is shown, printed or stamped.

Whatever passes is valid text of XML 1.0 and of HTML, reads in the order in which it is stored, and is
printable: no control, format, surrogate, private-use or unassigned code points (Unicode general categories
Cc, Cf, Cs, Co, Cn; the last holds the noncharacters). XML 1.0 (fifth edition), production 2 "Char", is wider.
"""

from __future__ import annotations

import unicodedata

from service.errors import Unreadable
from service.language import mark, tr
from service.saying import say

_SPACES = "\t\n\r"  # controls that typing and pasting leave behind; they mean a space
_LOST = "\N{REPLACEMENT CHARACTER}"  # stands where a character was lost on the way here
_SPARE = (
    4  # times the limit, for space and loose marks; beyond it composing is slow (quadratic) and pointless
)
_EXAMPLE = "Bella"

_NAMES = {
    "\x00": "null",
    "\x08": "backspace",
    "\x1b": "escape",
    "\x7f": "delete",
}
_KINDS = {
    "Cc": mark("control character"),
    "Cs": mark("half of a surrogate pair"),
    "Co": mark("private-use character"),
    "Cn": mark("unassigned character"),
}


def clean_line(text: str, limit: int) -> str:
    """One line of plain text, composed (NFC), its runs of white space made single spaces.

    `text` as typed; `limit` the most characters [code points, after composing].
    Returns the line; it may be empty. Raises `Unreadable` for text that is too long or holds a sign that
    can't be shown; the message names the sign, and what would work is the nearest line without it.
    Source: Unicode Standard Annex 15 (NFC); XML 1.0, production 2.
    Worked: clean_line("  Good   dog ", 20) is "Good dog".
    """
    head = text[: _SPARE * limit]
    bad = next((sign for sign in head if not _shows(sign)), None)
    if bad is not None:
        reason = say("{sign} can't be shown or stamped.", sign=_named(bad))
        raise Unreadable(text, reason, _nearest(head, limit))
    line = _composed(text) if head == text else text
    if len(line) > limit:
        reason = say("That is {count} characters, and {limit} is the most.", count=len(line), limit=limit)
        raise Unreadable(text, reason, _nearest(head, limit))
    return line


def _shows(sign: str) -> bool:
    return sign in _SPACES or (unicodedata.category(sign)[0] != "C" and sign != _LOST)


def _composed(text: str) -> str:
    return " ".join(unicodedata.normalize("NFC", text).split())


def _nearest(text: str, limit: int) -> str:
    kept = "".join(sign for sign in text if _shows(sign))
    return _composed(_composed(kept)[:limit]) or _EXAMPLE[:limit]


def _named(sign: str) -> str:
    kind = tr(_KINDS.get(unicodedata.category(sign), mark("hidden character")))
    name = _NAMES.get(sign) or unicodedata.name(sign, kind).lower()
    return f"U+{ord(sign):04X} {name}"
