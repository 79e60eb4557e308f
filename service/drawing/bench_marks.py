"""A part at full scale: its outline, and the marks a maker cuts, punches, folds and sets by."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from service.design import Mark, Part
from service.drawing.lacing import lacing_items
from service.drawing.letters import contours
from service.drawing.motifs import border_path
from service.drawing.plates import plate_items
from service.drawing.seam import seam_items
from service.drawing.sheet import (
    CENTRE,
    CROSS,
    CUT,
    FOLD,
    HOLE,
    LAID,
    MARK,
    Circle,
    Item,
    Path,
    Run,
    cross,
    polygon,
    polyline,
    stadium,
)
from service.workshop import LetterStamps

OVERHANG = 1.5
"""Centre crosses, folds and centre lines reach this far [mm] past what they belong to."""


@dataclass(frozen=True, slots=True)
class Place:
    """Where a part lies on a sheet [mm]: its buckle end and its centre line."""

    x: float
    y: float


def part_items(part: Part, at: Place, stamps: LetterStamps | None) -> Iterator[Item]:
    """Yield a part's outline, its centre line and its marks."""
    yield Path(CUT, (polygon([(at.x + x, at.y - y) for x, y in part.outline]),), part.name)
    yield Path(CENTRE, tuple(_centre_line(part, at)))
    holes = [mark for mark in part.marks if mark.diameter is not None]
    for mark in holes:
        yield _round(mark, at)
    if holes:
        yield Path(CROSS, tuple(_crosses(holes, at)))
    for mark in part.marks:
        if mark.kind == "stitch":
            yield from seam_items(mark, (at.x, at.y))
        elif mark.line:
            yield Path(MARK, (polyline(*((at.x + x, at.y - y) for x, y in mark.line)),), mark.kind)
        else:
            yield from _other(mark, part, at, stamps)
    yield from plate_items(part.marks, (at.x, at.y))
    yield from lacing_items(part.marks, (at.x, at.y))


def _edges(width: float, at: Place, start: float, end: float) -> tuple[Run, Run]:
    """Both ends of something that lies across the strap, and is as wide."""
    top, foot = at.y - width / 2, at.y + width / 2
    ends = (at.x + start, at.x + end)
    return polyline((ends[0], top), (ends[0], foot)), polyline((ends[1], top), (ends[1], foot))


def _round(mark: Mark, at: Place) -> Circle:
    pen = MARK if mark.kind == "stud" else HOLE
    return Circle(pen, (at.x + mark.x, at.y - mark.y), (mark.diameter or 0.0) / 2, mark.kind)


def _crosses(marks: Iterable[Mark], at: Place) -> Iterator[Run]:
    for mark in marks:
        reach = 1.0 if mark.kind == "stud" else (mark.diameter or 0.0) / 2 + OVERHANG
        yield from cross(at.x + mark.x, at.y - mark.y, reach)


def _other(mark: Mark, part: Part, at: Place, stamps: LetterStamps | None) -> Iterator[Item]:
    x, y = at.x + mark.x, at.y - mark.y
    wide = part.width if mark.width is None else mark.width
    half = wide / 2 + OVERHANG
    if mark.kind == "slot" and mark.length is not None and mark.width is not None:
        yield Path(HOLE, (stadium(x, y, mark.length, mark.width),), "slot")
    elif mark.kind in ("groove", "slit") and mark.length is not None:
        pen = MARK if mark.kind == "groove" else CUT
        yield Path(pen, (polyline((x - mark.length / 2, y), (x + mark.length / 2, y)),), mark.kind)
    elif mark.kind == "border":
        yield border_path(mark, (at.x, at.y))
    elif mark.kind == "fold":
        yield Path(FOLD, (polyline((x, y - half), (x, y + half)),), "fold")
    elif mark.kind == "lap":
        yield Path(LAID, (polyline((x, y - half), (x, y + half)),), "lap")
    elif mark.kind == "ring":
        yield Path(CENTRE, (polyline((x, y - half), (x, y + half)),), "ring")
    elif mark.kind in ("keeper", "ring-tab") and mark.length is not None:
        start, end = mark.x - mark.length / 2, mark.x + mark.length / 2
        yield Path(LAID, _edges(wide, at, start, end), f"{mark.kind}-place")
    elif mark.kind == "lettering" and mark.text and mark.height is not None and stamps is not None:
        shapes = contours(mark.text, (x, y), mark.height, stamps.gap, stamps.advances)
        if shapes:
            yield Path(
                MARK, tuple(Run(shape.start, shape.steps, closed=True) for shape in shapes), "lettering"
            )


def _centre_line(part: Part, at: Place) -> Iterator[Run]:
    """Along the middle, from edge to edge, with a gap for lettering."""
    start = -OVERHANG
    for mark in part.marks:
        if mark.kind == "lettering" and mark.length is not None:
            yield polyline((at.x + start, at.y), (at.x + mark.x - mark.length / 2 - OVERHANG, at.y))
            start = mark.x + mark.length / 2 + OVERHANG
    yield polyline((at.x + start, at.y), (at.x + part.length + OVERHANG, at.y))
