"""Edge grooves: lines pressed along both edges of the strap, and how much of it they leave for the rest."""

from functools import lru_cache

from service.design.pattern import Finding, Mark
from service.design.spec import Grooves, Wish
from service.errors import DoesNotFit, Suggestion
from service.geometry import Point, Swell, inside, upper_edge
from service.language import mark
from service.saying import Limit, Message, say

COUNTS: dict[Grooves, int] = {"none": 0, "one": 1, "two": 2, "three": 3}
GROOVE_IN = 3.0
"""The first groove runs this far in from the edge [mm], less on a narrow strap. Common practice."""
GROOVE_SHARE = 0.16
"""It is never further in than this share of the strap's width. By eye."""
GROOVE_STEP = 2.5
"""One groove to the next [mm]. From memory."""
MIDDLE = 8.0
"""Between the innermost grooves of both edges this much is left [mm] at the least. From memory."""
EDGE_MARGIN = 3.0
"""Decoration keeps this far [mm] from the strap's edge and from the ends of a clear zone. Common practice."""
FROM_GROOVE = 1.0
"""Decoration keeps this far [mm] from the innermost of several grooves. From memory."""
SEVERAL = 2
NAMES: dict[str, Message] = {
    "none": say("no groove"),
    "one": say("one groove"),
    "two": say("two grooves"),
    "three": say("three grooves"),
}


def groove_insets(width: float, grooves: Grooves, seam: float | None = None) -> tuple[float, ...]:
    """Return how far in from each edge the grooves of a strap of this width run, all in mm.

    Where there is a `seam`, so far in, its stitches lie in the first one. Source: common practice: 3 mm in.
    Worked: two on 25.4 mm: 3 and 5.5 mm; one on 15.9 mm: 2.5 mm. Raises
    DoesNotFit when they leave less than 8 mm between them.
    """
    first = min(GROOVE_IN, width * GROOVE_SHARE) if seam is None else seam
    insets = tuple(first + n * GROOVE_STEP for n in range(COUNTS[grooves]))
    if COUNTS[grooves] >= SEVERAL and width - 2 * insets[-1] < MIDDLE:
        least = MIDDLE + 2 * (GROOVE_IN + (COUNTS[grooves] - 1) * GROOVE_STEP)
        message = say(
            "That many grooves leave too little of the strap between them: it takes one {width} wide.",
            width=Limit(least, "least"),
        )
        fewer = [one for one in COUNTS if COUNTS[one] < COUNTS[grooves]]
        ways = tuple(Suggestion("grooves", one, NAMES[one]) for one in reversed(fewer))
        raise DoesNotFit(field="grooves", message=message, would_work=ways)
    return insets


def groove_marks(
    insets: tuple[float, ...], width: float, shoulder: float, swell: Swell | None = None
) -> tuple[Mark, ...]:
    """Return the grooves of both edges as marks, from the buckle end to the shoulder of the tip [mm].

    A groove runs off the end rather than wobble round the point; where the strap swells it follows the edge.
    Source: common practice. Worked: one 3 mm in on 25.4 mm: at 9.7 mm and at -9.7 mm.
    """
    return tuple(
        Mark(
            "groove",
            shoulder / 2,
            side * (width / 2 - inset),
            length=shoulder,
            line=tuple((x, side * y) for x, y in _along(width, shoulder, swell, inset)),
        )
        for inset in insets
        for side in (1, -1)
    )


@lru_cache(maxsize=256)
def _along(width: float, shoulder: float, swell: Swell | None, inset: float) -> tuple[Point, ...]:
    """So far inside an edge that swells; nothing along a straight one."""
    if swell is None:
        return ()
    *edge, _ = inside((*upper_edge(shoulder, width, "square", swell)[:-2], (shoulder, width / 2)), inset)
    return (*edge, (shoulder, width / 2 - inset))


def decoration_margin(insets: tuple[float, ...]) -> float:
    """Return how far decoration keeps from the strap's edges [mm], for grooves so far in [mm].

    Source: common practice. Worked: one groove: 3 mm; two, the second 5.5 mm in: 6.5 mm.
    """
    return EDGE_MARGIN if len(insets) < SEVERAL else insets[-1] + FROM_GROOVE


def groove_findings(spec: Wish) -> tuple[Finding, ...]:
    """Return what to know about several grooves.

    Source: common practice. Worked: one groove: nothing.
    """
    if COUNTS[spec.grooves] < SEVERAL:
        return ()
    text = say(
        "Each groove takes a little of the leather's thickness at the edge, where it carries most: keep them"
        " shallow, less than a third of it in all, or choose fewer for a dog that pulls."
    )
    return (Finding("grooves", "advice", text, mark("common practice"), "grooves"),)
