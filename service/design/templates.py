"""What never changes with the neck, both ends of the strap, as templates; and the chart of what does."""

from collections.abc import Iterator
from dataclasses import dataclass
from math import ceil, floor

from service.design.collar import buckle_end
from service.design.fit import Added, added_by, flat_and_neck
from service.design.layout import TAIL, layout_for
from service.design.pattern import CollarPattern, Mark, Part
from service.design.ring import ring_marks
from service.design.spec import NECK_MAX, NECK_MIN
from service.errors import DesignError
from service.geometry import rectangle, strap_outline
from service.language import mark

STEPS = {"in": 12.7, "cm": 10.0}
"""From one neck of the chart to the next [mm], by the workshop's unit: 1/2 in and 1 cm. From memory."""
BEHIND = 12.0
"""A template reaches at least so far [mm] past the last hole on it: leather to hold it by. From memory."""
ROUND = 10.0
"""The line that a template is laid on is a multiple of this [mm] from its end: found on any rule."""
LONGEST = 250.0
"""A template is at most so long [mm]: it is on one sheet of A4 or Letter. Derived, as `LANDSCAPE`."""


@dataclass(frozen=True, slots=True)
class TipEnd:
    """The end with the size holes at a pitch [mm], x from the line it is laid on, the last hole first.

    `counts` are how many holes collars have at this pitch; `left` of the most have no room on it.
    """

    part: Part
    pitch: float
    counts: tuple[int, ...]
    left: int


@dataclass(frozen=True, slots=True)
class SizeRow:
    """A neck with its blank: `flat`, `length`, `ring` from the buckle end and the holes' `pitch`, all [mm].

    On the tightest hole the tail `reaches_ring`, or it doesn't.
    """

    neck: float
    flat: float
    length: float
    ring: float
    holes: int
    pitch: float
    reaches_ring: bool


@dataclass(frozen=True, slots=True)
class EndTemplates:
    """Both ends of a style, width and hardware, and the chart of blanks; x on `tips` is from their line.

    `added` is what a tape's inside girth needs to become flat [mm].
    """

    buckle: Part
    tips: tuple[TipEnd, ...]
    chart: tuple[SizeRow, ...]
    added: Added


def end_templates(pattern: CollarPattern, unit: str) -> EndTemplates:
    """Return the templates of a pattern's ends, and the chart of all necks that can be made, by a unit.

    Source: trade geometry, derived: the ends hang on style, width and hardware alone, and a blank is fold +
    flat + (n - 2) pitch + tip. Worked: 1 in wide on a bar with its fold at 63.5 mm: an existing collar of 19
    in is a blank of 698.5 mm (27 1/2 in).
    """
    layout, fittings = pattern.layout, pattern.fittings
    chart = tuple(size_chart(pattern, STEPS[unit]))
    added = added_by(fittings)
    marks = buckle_end(layout, fittings)
    if not layout.tab_half:
        marks = (*marks, *ring_marks(layout, 0.0))
    length = _round_up(layout.rivets[-1] + BEHIND)
    outline = rectangle(length, layout.width)
    title = mark("Buckle end")
    buckle = Part("buckle-end", title, 1, length, layout.width, layout.thickness, outline, marks)
    plans = {(row.pitch, row.holes) for row in chart} | {(layout.pitch, len(layout.holes))}
    pitches = sorted({pitch for pitch, _ in plans}, reverse=True)
    counts = {pitch: tuple(sorted(holes for p, holes in plans if p == pitch)) for pitch in pitches}
    tips = tuple(_tip_end(pattern, pitch, counts[pitch]) for pitch in pitches)
    return EndTemplates(buckle, tips, chart, added)


def _round_up(length: float) -> float:
    return ceil(length / ROUND) * ROUND


def _tip_end(pattern: CollarPattern, pitch: float, counts: tuple[int, ...]) -> TipEnd:
    """With as many holes as a sheet has room for; none is the target, for that counts from the buckle."""
    layout = pattern.layout
    here = min(counts[-1], 1 + floor((LONGEST - BEHIND - layout.tip) / pitch))
    length = _round_up(layout.tip + (here - 1) * pitch + BEHIND)
    marks = tuple(
        Mark("size-hole", length - layout.tip - k * pitch, diameter=layout.hole_diameter) for k in range(here)
    )
    outline = strap_outline(length, layout.width, pattern.spec.end)
    part = Part("tip-end", mark("Tip end"), 1, length, layout.width, layout.thickness, outline, marks)
    return TipEnd(part, pitch, counts, counts[-1] - here)


def size_chart(pattern: CollarPattern, step: float) -> Iterator[SizeRow]:
    """Yield a row for each neck [mm], a multiple of `step`, for which the strap can be made.

    It is measured as in the pattern's wish; lettering and studs are left out. Source: trade geometry,
    derived. Worked: an existing collar of 19 in on six holes, 1 in wide: 482.6 mm flat, 698.5 mm blank.
    """
    spec, fittings = pattern.spec, pattern.fittings
    added = added_by(fittings)
    for count in range(ceil(NECK_MIN / step), floor(NECK_MAX / step) + 1):
        wish = spec.model_copy(update={"neck": count * step, "adult": None, "throat": None})
        flat, _ = flat_and_neck(wish, added)
        try:
            layout, said = layout_for(wish, fittings, flat)
        except DesignError:
            continue
        reaches = any(one.code == TAIL for one in said)
        yield SizeRow(wish.neck, flat, layout.length, layout.ring, len(layout.holes), layout.pitch, reaches)
