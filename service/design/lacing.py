"""Edge lacing: holes along both edges of the strap at a pitch that comes out even, and the lace they take."""

from collections.abc import Iterable
from dataclasses import dataclass

from service.design.grooves import decoration_margin
from service.design.lining import NO_LINING
from service.design.pattern import Finding, Mark, Part
from service.design.spec import Collar, Lacing, Wish
from service.design.taper import STRAIGHT
from service.design.tooling import NO_BORDER, NO_LACING, border_margin
from service.design.zones import Ground, even_pitch, mirrored_runs
from service.errors import DoesNotFit, Suggestion
from service.language import mark
from service.saying import Exact, Limit, Message, OffSpool, say

HOLE = 2.0
"""Diameter of a lace hole [mm], for a lace 3/32 in wide. From memory."""
PITCH, PITCH_LEAST = 5.0, 4.0
"""Usual and least pitch of lace holes [mm]; two diameters at the least. From memory."""
LACE = 2.4
"""Width of the lace [mm]: 3/32 in. From memory."""
INSET = 4.0
"""A hole's middle is so far in from the edge [mm]: two diameters, as edge distance is counted in joints."""
FROM_HOLES = 1.0
"""Studs and letters keep so far [mm] from the holes. From memory."""
BETWEEN = 6.0
"""Between the lacing of both edges so much is left [mm] at the least. From memory."""
FEWEST = 3
"""Fewest holes side by side that are laced. By eye."""


@dataclass(frozen=True, slots=True)
class Kind:
    """A way to lace an edge, and how much lace it takes, in lengths of the edge."""

    name: Message
    lengths: float


LACINGS: dict[str, Kind] = {
    "whip": Kind(say("whipstitch"), 3.5),
    "loop": Kind(say("single loops"), 5.0),
    "double-loop": Kind(say("double loops"), 7.0),
}
"""The ways to lace, the quickest first. 3.5 to 7 lengths of the edge: from memory."""


def lacing_margin(spec: Wish) -> float:
    """Return how far all else keeps from the edges [mm] of a strap that is laced.

    Source: derived. Worked: 4 mm to a hole's middle, 1 mm of it, 1 mm: 6 mm. Raises DoesNotFit where
    something else is on the edge already, or where the strap is too narrow.
    """
    margin = INSET + HOLE / 2 + FROM_HOLES
    if spec.grooves != "none":
        message = say("An edge groove and the lace want the same place: lace an edge that has none.")
        ways = Suggestion("grooves", "none", say("no groove")), NO_LACING
        raise DoesNotFit(field="lacing", message=message, would_work=ways)
    if spec.border:
        message = say("A border and the lace want the same place along the edge.")
        raise DoesNotFit(field="lacing", message=message, would_work=(NO_BORDER, NO_LACING))
    if isinstance(spec, Collar) and spec.lining:
        message = say("The lace and the seam of a lining want the same place along the edge.")
        raise DoesNotFit(field="lacing", message=message, would_work=(NO_LACING, NO_LINING))
    if isinstance(spec, Collar) and spec.throat is not None:
        message = say("Lacing runs along straight edges only.")
        raise DoesNotFit(field="lacing", message=message, would_work=(NO_LACING, STRAIGHT))
    if spec.width - 2 * margin < BETWEEN:
        message = say(
            "Lacing along both edges takes a strap {width} wide.", width=Limit(2 * margin + BETWEEN, "least")
        )
        raise DoesNotFit(field="lacing", message=message, would_work=(NO_LACING,))
    return margin


def edge_margin(spec: Wish, insets: tuple[float, ...]) -> float:
    """Return how far decoration keeps off the edges [mm] of a strap with grooves so far in [mm].

    Source: as what is on the edge says. Worked: one groove: 3 mm; laced: 6 mm. Raises DoesNotFit where that
    doesn't fit.
    """
    if spec.lacing:
        return lacing_margin(spec)
    if spec.border:
        return border_margin(spec.border, spec.width, insets)
    return decoration_margin(insets)


def lacing_marks(ground: Ground) -> tuple[tuple[Mark, ...], tuple[Finding, ...]]:
    """Return the lace holes of both edges as marks, each a run of them, and what was done; none without.

    Pitch times count is the length of the main run, a hole in the middle of each; on the
    other side of the ring as many at the same pitch as the tail leaves room for, if that is three.
    Source: common practice. Worked: a 19 in collar 1 in wide: 187.2 mm are 37 holes at 5.06 mm. Raises
    DoesNotFit when there is no room for three holes.
    """
    if not ground.lacing:
        return (), ()
    main = ground.main
    if main.length < FEWEST * PITCH_LEAST:
        message = say("There is no clear run long enough to lace.")
        raise DoesNotFit(field="lacing", message=message, would_work=(NO_LACING,))
    count, pitch = even_pitch(main.length, PITCH, PITCH_LEAST)
    marks = tuple(
        Mark(
            "lacing",
            start + n * pitch / 2,
            side * (ground.width / 2 - INSET),
            length=n * pitch,
            height=HOLE,
            name=ground.lacing,
            count=n,
        )
        for start, n in mirrored_runs(ground, count, pitch, FEWEST)
        for side in (1, -1)
    )
    return marks, (_finding(ground.lacing, marks, pitch),)


def lace_length(marks: Iterable[Mark]) -> float:
    """Return how much lace the runs among marks take [mm].

    Source: from memory, 3.5 to 7 lengths of the edge by the way of lacing. Worked: whipstitch along two edges
    of 200 mm: 2 x 200 x 3.5 = 1400 mm.
    """
    return sum((one.length or 0.0) * LACINGS[one.name].lengths for one in marks if one.kind == "lacing")


def lace_of(parts: Iterable[Part]) -> float:
    """Return how much lace all parts take together [mm]; 0 where none is laced.

    Source: derived. Worked: two straps alike take twice the lace of one.
    """
    return sum(part.quantity * lace_length(part.marks) for part in parts)


def lace_stations(marks: Iterable[Mark]) -> tuple[float, ...]:
    """Return where along the strap the lace holes among marks are [mm], each place once.

    Source: derived. Worked: three steps of 5 mm about 100 mm: 95, 100 and 105 mm.
    """
    runs = (one for one in marks if one.kind == "lacing" and one.y > 0 and one.count)
    return tuple(
        one.x + (n - ((one.count or 0) - 1) / 2) * (one.length or 0.0) / (one.count or 1)
        for one in runs
        for n in range(one.count or 0)
    )


def lace_holes(marks: Iterable[Mark]) -> int:
    """Return how many lace holes there are among marks. Source: derived. Worked: two runs of 37: 74."""
    return sum(one.count or 0 for one in marks if one.kind == "lacing")


def _finding(lacing: Lacing, marks: tuple[Mark, ...], pitch: float) -> Finding:
    text = say(
        "Laced in {kind}: {count} holes {hole} wide, {inset} in from the edges and {pitch} apart, so that"
        " each run comes out even; about {lace} of lace, {wide} wide. Holes along both edges weaken"
        " a strap where it carries most: leave them out for a dog that pulls, or choose it wider.",
        kind=LACINGS[lacing].name,
        count=lace_holes(marks),
        hole=Exact(HOLE),
        inset=Exact(INSET),
        pitch=Exact(pitch, 2),
        lace=OffSpool(lace_length(marks)),
        wide=Exact(LACE),
    )
    source = mark("common practice; from memory: how much lace it takes")
    return Finding("laced", "advice", text, source, "lacing", (NO_LACING,))
