"""A tag with a code that a telephone scans (QR code, ISO/IEC 18004): what it says, how large, on what."""

import re
from collections.abc import Sequence
from functools import lru_cache

import phonenumbers
import segno

from service.colour import contrast
from service.design.decoration import PHONE, PHONE_LEAST
from service.design.pattern import Finding, Mark, Plated
from service.design.plates import no_room, plates_on
from service.errors import DoesNotFit, Suggestion
from service.language import mark
from service.saying import Exact, in_turn, say

MODULE_LEAST = 0.4
"""Least side [mm] of a code's smallest square: what GS1 asks of codes that telephones read (0.396 mm), and
what a graver's or a laser's line draws cleanly. From memory."""
QUIET = 4
"""Squares left bare on every side. Source: ISO/IEC 18004:2015, 6.3.8."""
MAIL = re.compile(r"[^@\s:/]+@[^@\s:/]+\.[a-z]{2,}", re.IGNORECASE)
WEB = re.compile(
    r"(https?://)?(?:[a-z0-9-]{1,63}\.)+[a-z]{2,63}(?::\d{1,5})?(?:[/?#]\S*)?",
    re.IGNORECASE,
)
SOURCE = mark("ISO/IEC 18004:2015; from memory: the least size of a square")
BENT = say(
    "Engrave it dark on bright metal, leave four squares bare all round, bend the tag, and scan it with two"
    " telephones before it is set."
)
STRAIGHT = say(
    "Engrave it dark on bright metal, leave four squares bare all round, and scan it with two telephones"
    " before it is set."
)
"""How a code is put on a tag that is bent round a neck, and on one that lies flat. From memory."""
NO_TAG = Suggestion("qr", "", say("no QR tag"))


@lru_cache(maxsize=1024)
def scan_content(text: str, region: str) -> str | None:
    """Return what a code says for what was typed: a call, a mail, a page; None for anything else.

    `region` is the country of a number without + (ISO 3166 two letters). Source: RFC 3966 (tel), RFC 6068
    (mailto), RFC 9110 (https). Worked: "020 7946 0958" in GB is "tel:+442079460958", "oxlip.example/rex" is
    "https://oxlip.example/rex"; "javascript:1" is None.
    """
    if not text.isascii():
        return None
    if PHONE.fullmatch(text) and sum(sign.isdigit() for sign in text) >= PHONE_LEAST:
        return f"tel:{_dialled(text, region)}"
    if MAIL.fullmatch(text):
        return f"mailto:{text}"
    found = WEB.fullmatch(text)
    if found is None:
        return None
    return text if found[1] else f"https://{text}"


def _dialled(text: str, region: str) -> str:
    """A number as it is dialled: from abroad where there is one like it, else as it was typed."""
    try:
        number = phonenumbers.parse(text, region)
    except phonenumbers.NumberParseException:
        number = None
    if number and phonenumbers.is_valid_number(number):
        return phonenumbers.format_number(number, phonenumbers.PhoneNumberFormat.E164)
    return "".join(sign for sign in text if sign.isdigit() or sign == "+")


@lru_cache(maxsize=1024)
def squares_of(content: str) -> tuple[tuple[bool, ...], ...]:
    """Return the squares of a code, row by row, dark ones true, without the bare ones around them.

    At level M, or better where that needs no larger code. Source: ISO/IEC 18004:2015: 17 + 4 x version a
    side. Worked: "tel:+442079460958" has 17 bytes, so version 2: 25 a side.
    """
    made = segno.make(content, error="m", micro=False)
    return tuple(tuple(bool(dark) for dark in row) for row in made.matrix)


def code_side(plated: Plated) -> float:
    """Return the side of the largest code [mm], with what is bare around it, that a plate holds.

    Source: derived. Worked: 16 mm wide, holes 26 mm apart, caps of 9 mm: 16 mm.
    """
    return min(plated.plate.width, plated.plate.hole_distance - plated.fastener.cap)


def tag_for(
    plates: Sequence[Plated], content: str, room: tuple[float, float], ways: Sequence[Suggestion]
) -> Plated:
    """Return the plate on which a code is largest, of equal ones the shortest.

    `room` is how long and wide a plate may be [mm], `ways` what may be done instead. Source: derived. Raises
    DoesNotFit where no plate is small enough, or where squares would be smaller than 0.4 mm.
    """
    small = plates_on(plates, *room)
    if not small:
        raise no_room(plates, *room, ways)
    best = max(small, key=lambda one: (round(code_side(one), 6), -one.plate.length))
    count = len(squares_of(content))
    size = max(0.0, code_side(best)) / (count + 2 * QUIET)
    if size >= MODULE_LEAST:
        return best
    message = say(
        "The code for this has {count} squares a side. On the largest tag for this strap each would be"
        " {size}, and {least} is the least that is engraved cleanly and scanned. A shorter address has"
        " fewer.",
        count=count,
        size=Exact(size, 2),
        least=Exact(MODULE_LEAST, 2),
    )
    raise DoesNotFit(field="qr", message=message, would_work=tuple(ways))


def code_mark(plated: Plated, x: float, content: str) -> Mark:
    """Return the code on a plate at a place along the strap [mm], as large as the plate allows.

    Source: derived. Worked: 25 squares a side on 16 mm: 16 / 33 = 0.48 mm each.
    """
    side = code_side(plated)
    return Mark("code", x, length=side, width=side, text=content, count=len(squares_of(content)))


def tag_findings(one: Mark, metal: str, *, bent: bool = True) -> tuple[Finding, ...]:
    """Return what to know of a code on metal of a colour such as #c79a3e, on a tag that is bent or flat.

    Source: ISO/IEC 18004:2015; a code that is light on dark isn't read by every telephone, from memory.
    Worked: on black steel advice as well.
    """
    count = one.count or 0
    says = say(
        "The tag says {content}: {count} squares a side, {size} each.",
        content=one.text or "",
        count=count,
        size=Exact((one.length or 0.0) / (count + 2 * QUIET), 2),
    )
    note = Finding("tag-code", "note", in_turn(says, BENT if bent else STRAIGHT), SOURCE, "qr")
    if contrast(metal, "#000000") >= contrast(metal, "#ffffff"):
        return (note,)
    dark = say(
        "On metal this dark the code comes out light on dark, which not every telephone reads: choose a"
        " bright metal, or fill the ground."
    )
    return note, Finding("tag-dark", "advice", dark, mark("from memory"), "finish")
