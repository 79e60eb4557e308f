"""The seam that holds a lining: its holes on the sheet, its stitches on the flat strap and as worn."""

from collections.abc import Iterator
from itertools import pairwise
from math import tau

from service.design import STITCH_HOLE, CollarPattern, Mark, stitch_holes, stitch_of
from service.drawing.elements import brush, path
from service.drawing.eye import QUARTER, View, seen
from service.drawing.palette import tone
from service.drawing.sheet import SEAM, Circle, Item, Path, polyline
from service.geometry import Point

THREAD = 0.8
"""Width of the thread where it is drawn on the strap [mm]. By eye."""
SHOWN = 0.74
"""Share of a stitch that is seen: between two of them the thread dips into the leather. By eye."""


def seam_of(pattern: CollarPattern) -> Mark | None:
    """Return the seam along the strap, or None."""
    return next((mark for mark in pattern.strap.marks if mark.kind == "stitch"), None)


def seam_items(mark: Mark, at: Point) -> Iterator[Item]:
    """Yield a seam's line and its holes, the strap laid at a point [mm] on a sheet."""
    yield Path(SEAM, (polyline(*((at[0] + x, at[1] - y) for x, y in mark.line)),), "stitch")
    for x, y in stitch_holes(mark):
        yield Circle(SEAM, (at[0] + x, at[1] - y), STITCH_HOLE / 2, "stitch-hole")


def flat_seam(pattern: CollarPattern) -> str:
    """Return the stitches on the flat strap, each as long as it is."""
    mark, thread = seam_of(pattern), pattern.fittings.thread
    if mark is None or thread is None:
        return ""
    line = " ".join(f"{x:.2f} {-y:.2f}" for x, y in mark.line)
    stitch = stitch_of(mark)
    dashes = f"{SHOWN * stitch:.3f} {(1 - SHOWN) * stitch:.3f}"
    # A dark edge under the thread: it stands out from leather of its own colour too.
    return path(
        f"M{line}",
        fill="none",
        stroke=tone(thread.colour, -0.6),
        stroke_width=THREAD + 0.5,
        stroke_dasharray=dashes,
    ) + path(f"M{line}", fill="none", stroke=thread.colour, stroke_width=THREAD, stroke_dasharray=dashes)


def worn_seam(pattern: CollarPattern, view: View, *, tail: bool) -> str:
    """Return the stitches that are seen on the strap round a neck, or on its tail past the buckle."""
    mark, thread = seam_of(pattern), pattern.fittings.thread
    if mark is None or thread is None:
        return ""
    layout, off = pattern.layout, view.thick if tail else 0.0
    turn, bar = tau / view.flat, view.angle(0.0)
    drawn = []
    for (x0, y0), (x1, y1) in pairwise(stitch_holes(mark)):
        if tail != (min(x0, x1) > layout.target):
            continue
        ends = [bar + (x - layout.target) * turn if tail else view.angle(x - layout.fold) for x in (x0, x1)]
        if max(ends) > QUARTER or not all(map(seen, ends)):
            continue
        a = view.at(ends[0], y0 * view.scale, off)
        b = view.at(ends[1], y1 * view.scale, off)
        drawn.append(f"M{a[0]:.0f} {a[1]:.0f}l{(b[0] - a[0]) * SHOWN:.0f} {(b[1] - a[1]) * SHOWN:.0f}")
    d, wide = "".join(drawn), round(THREAD * view.scale)
    if not d:
        return ""
    dark = brush(fill="none", stroke=tone(thread.colour, -0.6), stroke_width=round(1.6 * wide))
    return dark.draw(d) + brush(fill="none", stroke=thread.colour, stroke_width=wide).draw(d)
