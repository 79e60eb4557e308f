"""Paint in stamped letters: a short list of colours of our own, and which can be read on their ground."""

from dataclasses import dataclass

from service.colour import contrast
from service.design.pattern import Finding
from service.design.spec import Wish
from service.errors import Suggestion
from service.language import mark
from service.saying import Figure, Message, say

LARGE_TEXT = 3.0
"""Least contrast of large letters. WCAG 2.2, success criterion 1.4.3."""
MOST = 2
"""So many paints that read better are named."""


@dataclass(frozen=True, slots=True)
class Paint:
    """A paint for stamped letters: what it is called, and its colour when it is dry, #f4f1ea."""

    name: Message
    colour: str


PAINTS: dict[str, Paint] = {
    "white": Paint(say("white"), "#f4f1ea"),
    "gold": Paint(say("gold"), "#d1a437"),
    "red": Paint(say("red"), "#b3261e"),
    "blue": Paint(say("blue"), "#1f4e8c"),
    "black": Paint(say("black"), "#1b1a19"),
}
"""The paints that letters can have. Colours: by eye."""
WAYS: dict[str, Message] = {
    "stamped": say("stamped, plain"),
    "plate": say("engraved on a plate"),
    **{code: paint.name for code, paint in PAINTS.items()},
}
"""What the ways to put a text on are called."""


def paint_of(spec: Wish) -> Paint | None:
    """Return the paint of a wish's letters, or None where there are none or they stay plain.

    Source: derived. Worked: “REX” in white: that paint; white without a text: None.
    """
    return PAINTS.get(spec.letters) if spec.lettering else None


def readable(ground: str) -> tuple[str, ...]:
    """Return the paints that can be read on a ground such as #262322, the best first.

    Source: WCAG 2.2, 1.4.3, 3 to 1 for large letters. Worked: on #262322 white, gold; on white black, blue.
    """
    read = {code: contrast(ground, paint.colour) for code, paint in PAINTS.items()}
    return tuple(sorted((code for code in read if read[code] >= LARGE_TEXT), key=lambda code: -read[code]))


def paint_ways(ground: str) -> tuple[Suggestion, ...]:
    """Return the changes to those paints that can be read best on a ground such as #262322.

    Source: derived. Worked: on #262322 white paint and gold paint.
    """
    return tuple(
        Suggestion("letters", code, say("letters painted {colour}", colour=PAINTS[code].name))
        for code in readable(ground)[:MOST]
    )


def paint_finding(paint: Paint, ground: str) -> Finding | None:
    """Return advice where a paint can hardly be read on a ground such as #262322, with paints that can.

    Source: WCAG 2.2, 1.4.3. Worked: black (#1b1a19) on #262322 has a contrast of 1.1; white has 13.9.
    """
    found = contrast(ground, paint.colour)
    if found >= LARGE_TEXT:
        return None
    text = say(
        "Letters painted {colour} have a contrast of {found} to 1 to this leather; large letters want"
        " {asked}.",
        colour=paint.name,
        found=Figure(round(found, 1)),
        asked=Figure(LARGE_TEXT),
    )
    source = mark("WCAG 2.2, success criterion 1.4.3")
    return Finding("paint-contrast", "advice", text, source, "letters", paint_ways(ground))
