"""The wish: what a person asks for, as one frozen value. Lengths in mm, mass in kg."""

from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field

from service.geometry import End
from service.workshop import Fastening, Style

Measured = Literal["existing-collar", "tape-two-fingers", "tape-snug"]
Fingers = Literal[1, 2, 3]
Coat = Literal["short", "thick-over", "thick-under"]
"""Where a tape lay on a thick coat: over it or under it, on the skin. On a short one there is no telling."""
Keepers = Literal["fewest", "sliding"]
"""As few as the buckle needs, none or a fixed one; or one more, which slides along the tail."""
Grooves = Literal["none", "one", "two", "three"]
"""Lines pressed along each edge of the strap."""
Border = Literal["", "dots", "rope", "scallop", "leaf"]
"""A stamp struck side by side along both edges."""
Lacing = Literal["", "whip", "loop", "double-loop"]
"""How both edges are laced."""
StudRows = Literal["single", "double", "zigzag", "threes"]
"""How studs stand: in one row or two, by turns above and below the middle, or in groups of three."""
Letters = Literal["stamped", "plate", "white", "gold", "red", "blue", "black"]
"""How a text is put on: stamped and left so, engraved on a plate, or stamped and painted in a colour."""

NECK_MIN, NECK_MAX = 150.0, 915.0
"""Shortest and longest neck measure [mm] that is read: a toy breed's puppy to a giant breed. From memory."""
HEAD_MAX = 1100.0
"""Greatest girth of a head that is read [mm]: a giant breed's, past its neck. From memory."""
WEIGHT_MIN, WEIGHT_MAX = 0.45, 130.0
"""Lightest and heaviest dog [kg]. From memory."""
HOLES_MIN, HOLES_MAX = 3, 12
"""Fewest and most size holes: one tighter and one looser than the target at the least. From memory."""
PITCH_MIN, PITCH_MAX = 8.0, 60.0
"""Least and greatest pitch of size holes [mm]. From memory."""
STUDS_MIN, STUDS_MAX = 8.0, 200.0
"""Least and greatest pitch of studs [mm]. From memory."""
STAMP_MIN, STAMP_MAX = 3.0, 25.0
"""Least and greatest height of letter stamps [mm]. From memory."""
TEXT_MAX = 40
"""Longest lettering [characters]. A strap has no room for more at the smallest stamps. From memory."""


RingAt = Literal["tab", "folded-tab", "fold"]
"""Where the ring hangs: opposite the buckle, under a tab or in a folded one, or in the buckle's fold."""
THROAT_MIN, THROAT_MAX = 10.0, 150.0
"""Least and greatest width of a tapered collar at its throat [mm]. From memory."""
QR_MAX = 80
"""Longest text of a code to scan [characters]. More makes squares too small for a strap. From memory."""


class Wish(BaseModel):
    """What every kind of thing is asked for with: how wide, of what, how decorated, for how heavy a dog.

    `dye` is empty for leather as it comes, `border` for none; `None` leaves a stamp to the engine; for
    studs, weight: none.
    """

    model_config = ConfigDict(frozen=True, extra="forbid")

    kind: str
    schema_version: Literal[1] = 1
    weight: Annotated[float, Field(ge=WEIGHT_MIN, le=WEIGHT_MAX)] | None = None
    width: Annotated[float, Field(ge=7, le=81)] = 25.4
    leather: str
    dye: str = ""
    finish: str
    fastening: Fastening = "rivet"
    grooves: Grooves = "one"
    border: Border = ""
    lacing: Lacing = ""
    studs: Annotated[float, Field(ge=STUDS_MIN, le=STUDS_MAX)] | None = None
    stud_rows: StudRows = "single"
    lettering: Annotated[str, Field(max_length=TEXT_MAX)] = ""
    letters: Letters = "stamped"
    qr: Annotated[str, Field(max_length=QR_MAX)] = ""
    stamp: Annotated[float, Field(ge=STAMP_MIN, le=STAMP_MAX)] | None = None


class Worn(Wish):
    """What goes round a neck, however it closes: the neck [mm] and how it was measured."""

    neck: Annotated[float, Field(ge=NECK_MIN, le=NECK_MAX)]
    measured: Measured = "existing-collar"
    coat: Coat = "short"


class Buckled(Worn):
    """What closes with a buckle. `None` for holes or pitch leaves it to the engine.

    `adult` is the snug neck [mm] that a growing dog will have, None for a grown one; `throat` how wide [mm] a
    tapered one is in its middle, None for straight edges. `lining` is empty for none, `thread` for the
    usual one.
    """

    fingers: Fingers = 2
    adult: Annotated[float, Field(ge=NECK_MIN, le=NECK_MAX)] | None = None
    style: Style = "centre-bar"
    keepers: Keepers = "fewest"
    end: End = "english-point"
    holes: Annotated[int, Field(ge=HOLES_MIN, le=HOLES_MAX)] | None = None
    pitch: Annotated[float, Field(ge=PITCH_MIN, le=PITCH_MAX)] | None = None
    throat: Annotated[float, Field(ge=THROAT_MIN, le=THROAT_MAX)] | None = None
    ring_at: RingAt = "tab"
    lining: str = ""
    thread: str = ""


class Collar(Buckled):
    """A buckle collar."""

    kind: Literal["collar"] = "collar"


class LimitedSlip(Worn):
    """A limited-slip collar: it closes to the snug neck and opens wide enough for the `head` [mm].

    An existing collar measures neither: it is a tape, snug or with two fingers under it.
    """

    kind: Literal["limited-slip"] = "limited-slip"
    head: Annotated[float, Field(ge=NECK_MIN, le=HEAD_MAX)]
    measured: Literal["tape-two-fingers", "tape-snug"] = "tape-snug"


def slides(spec: Collar) -> bool:
    """Tell whether a collar has a keeper that slides along its tail.

    Source: common practice: either buckle can have one. Worked: not unless it is asked for.
    """
    return spec.keepers == "sliding"
