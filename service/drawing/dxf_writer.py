"""The parts as a DXF file in millimetres for a cutter or a laser: cuts, holes and marks, each on a layer."""

from collections.abc import Iterator
from io import StringIO
from itertools import pairwise
from math import ceil, dist, sqrt
from typing import Final

import ezdxf
from ezdxf import units
from ezdxf.layouts import BaseLayout

from service.design import Pattern
from service.drawing.bench_marks import OVERHANG, Place, part_items
from service.drawing.sheet import CENTRE, CROSS, CUT, FILL, FOLD, HOLE, LAID, MARK, SEAM, Circle, Path, Run
from service.geometry import Point

LAYERS: Final = {"CUT": 1, "HOLE": 3, "MARK": 5, "STITCH": 6, "GUIDE": 8}
"""The file's layers with the colours they are shown in, by their numbers in the format's index."""
ON: Final = {
    CUT: "CUT",
    HOLE: "HOLE",
    MARK: "MARK",
    FOLD: "MARK",
    LAID: "MARK",
    SEAM: "STITCH",
    FILL: "MARK",
    CENTRE: "GUIDE",
    CROSS: "GUIDE",
}
"""What each pen draws goes on this layer: guides are to look at, and no tool follows them."""
CHORD: Final = 0.005
"""A bend is written as chords that leave it by no more than this [mm], as outlines have them."""
BETWEEN: Final = 10.0
"""Between two parts, one above the other [mm]."""

ezdxf.options.write_fixed_meta_data_for_testing = True  # no clock and no chance: the same in, the same out


def pattern_dxf(pattern: Pattern) -> str:
    """Return every part at full scale, one above the other, the buckle end at x = 0; lengths in mm.

    Source: DXF R2000, $INSUNITS 4 is millimetres. Worked: a strap 698.5 mm long lies from x = 0 to x = 698.5.
    """
    document = ezdxf.new("R2000", units=units.MM)
    for name, colour in LAYERS.items():
        document.layers.add(name, color=colour)
    space = document.modelspace()
    y, blocks = 0.0, dict[tuple[Run, ...], str]()
    for part in pattern.parts:
        y += part.width / 2 + OVERHANG
        for item in part_items(part, Place(0.0, y), pattern.fittings.stamps):
            if isinstance(item, Circle):
                centre = item.centre[0], -item.centre[1]
                space.add_circle(centre, item.radius, dxfattribs={"layer": ON[item.pen]})
            elif isinstance(item, Path):
                if not item.places:
                    _add(space, item)
                    continue
                block = blocks.setdefault(item.runs, f"{item.name.upper()}-{len(blocks) + 1}")
                if block not in document.blocks:
                    _add(document.blocks.new(block), item)
                for x, down in item.places:
                    space.add_blockref(block, (x, -down), dxfattribs={"layer": ON[item.pen]})
        y += part.width / 2 + OVERHANG + BETWEEN
    file = StringIO()
    document.write(file)
    return file.getvalue()


def _add(space: BaseLayout, item: Path) -> None:
    for run in item.runs:
        corners = [(x, -down) for x, down in chords(run)]
        space.add_lwpolyline(corners, close=run.closed, dxfattribs={"layer": ON[item.pen]})


def chords(run: Run) -> tuple[Point, ...]:
    """Return the corners of a stroke [mm], its bends as chords that leave them by at most 0.005 mm.

    A cubic lies within 3/4 of its greatest second difference, over the square of the number of pieces, of its
    chords. Source: derived (Wang's bound for a cubic). Worked: a quarter circle of radius 2: eight chords.
    """
    corners = [run.start]
    for step in run.steps:
        corners.extend(_bend(corners[-1], step) if len(step) > 1 else step)
    if run.closed and corners[-1] == corners[0]:
        corners.pop()
    return tuple(corners)


def _bend(start: Point, step: tuple[Point, ...]) -> Iterator[Point]:
    points = (start, *step)
    differences = [
        dist((a[0] + c[0], a[1] + c[1]), (2 * b[0], 2 * b[1]))
        for (a, b), (_, c) in pairwise(pairwise(points))
    ]
    pieces = max(1, ceil(sqrt(0.75 * max(differences) / CHORD)))
    (ax, ay), (bx, by), (cx, cy), (dx, dy) = points
    for n in range(1, pieces + 1):
        t = n / pieces
        s = 1 - t
        a, b, c, d = s * s * s, 3 * s * s * t, 3 * s * t * t, t * t * t
        yield a * ax + b * bx + c * cx + d * dx, a * ay + b * by + c * cy + d * dy
