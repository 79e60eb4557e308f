"""The seam that holds a lining: its holes on the sheet, its stitches on the flat strap and as worn."""

from collections.abc import Callable, Iterable, Iterator
from functools import lru_cache, partial
from math import tau

from service.design import SEAM_IN, STITCH_HOLE, CollarPattern, Mark, seam_in, stitch_holes, stitch_of
from service.drawing.elements import again, named, path
from service.drawing.eye import QUARTER, STEP, View, run
from service.drawing.palette import tone
from service.drawing.planes import Row
from service.drawing.sheet import SEAM, Circle, Item, Path, polyline
from service.geometry import Point, end_bends, end_radius, width_at
from service.workshop import Thread

THREAD = 0.8
"""Width of the thread where it is drawn on the strap [mm]. By eye."""
EDGED = 1.6
"""So many times as broad is the dark edge under a thread. By eye."""
SIDE = QUARTER - 3 * STEP
"""Angle from the eye [rad] up to which thread is drawn: nearer to the outline it would stick out. By eye."""
SHOWN = 0.74
"""Share of a stitch that is seen: between two of them the thread dips into the leather. By eye."""


def seam_items(mark: Mark, at: Point) -> Iterator[Item]:
    """Yield a seam's line and its holes, the strap laid at a point [mm] on a sheet."""
    yield Path(SEAM, (polyline(*((at[0] + x, at[1] - y) for x, y in mark.line)),), "stitch")
    for x, y in stitch_holes(mark):
        yield Circle(SEAM, (at[0] + x, at[1] - y), STITCH_HOLE / 2, "stitch-hole")


def flat_seam(pattern: CollarPattern) -> str:
    """Return the stitches on the flat strap, each as long as it is."""
    mark, thread = seam_in(pattern.strap.marks), pattern.fittings.thread
    if mark is None or thread is None:
        return ""
    # Counted in stitches, so that a dash is one, whatever its length.
    line = path(_flat_line(pattern, mark), pathLength=mark.count or 1)
    return named(line, "flat-seam") + _sewn("flat-seam", thread.colour, THREAD, 1.0)


def _flat_line(pattern: CollarPattern, mark: Mark) -> str:
    """Path data of the seam on the flat strap; round the tip an arc stays an arc, one inside the edge's."""
    layout, end = pattern.layout, pattern.spec.end
    if layout.swell is not None or end == "square":
        return f"M{' '.join([f'{x:.2f} {-y:.2f}' for x, y in _fewer(mark.line)])}"
    (start, half), (shoulder, _) = mark.line[:2]
    radius = _radius(pattern)
    tip = shoulder + end_bends(radius, half)[2][0]
    return _ROUND % (start, -half, shoulder, radius, radius, tip, radius, radius, shoulder, half, start)


_ROUND = "M%.2f %.2fH%.2fA%.2f %.2f 0 0 1 %.2f 0A%.2f %.2f 0 0 1 %.2f %.2fH%.2f"


def _fewer(line: tuple[Point, ...]) -> tuple[Point, ...]:
    """Every third corner of a seam's bends, alike on both sides: fine enough for a screen."""
    upper = line[: (len(line) + 1) // 2]
    kept = (*upper[:2], *upper[2:-1:3], upper[-1]) if len(upper) > 3 else upper  # noqa: PLR2004 - no bend
    return (*kept, *((x, -y) for x, y in reversed(kept) if y > 0))


def _sewn(ident: str, colour: str, wide: float, stitch: float) -> str:
    """The line of a name, drawn in stitches: a dark edge lets thread stand out from leather of its colour."""
    dashes = f"{SHOWN * stitch:.3g} {(1 - SHOWN) * stitch:.3g}"
    return "".join(
        again(ident, fill="none", stroke=stroke, stroke_width=size, stroke_dasharray=dashes)
        for stroke, size in ((tone(colour, -0.6), round(EDGED * wide, 2)), (colour, wide))
    )


def seam_row(pattern: CollarPattern, ident: str) -> Row | None:
    """Return the stitches along both edges of a straight strap; `ident` is what their names begin with."""
    mark, thread = seam_in(pattern.strap.marks), pattern.fittings.thread
    if mark is None or thread is None or pattern.layout.swell is not None:
        return None
    layout, stitch, start = pattern.layout, stitch_of(mark), mark.line[0][0]
    stitches = start - layout.fold, stitch, int((layout.target - start) / stitch)
    name = f"{ident}-seam"
    return Row(name, (stitches,), partial(_few, name, layout.width / 2 - SEAM_IN, thread))


def _few(name: str, height: float, thread: Thread, counts: Iterable[int]) -> str:
    return "".join([_stitches(f"{name}-{count}", height, count, thread) for count in counts])


@lru_cache(maxsize=512)
def _stitches(ident: str, height: float, count: int, thread: Thread) -> str:
    """So many stitches along both edges, under a name, so high above and below the middle [mm].

    They are as long as the thread asks for, and not as they come out: a few together differ by 0.1 mm.
    """
    half = count * thread.stitch / 2
    line = "".join(f"M{-half:g} {y:g}h{2 * half:g}" for y in (height, -height))
    drawn = named(path(line), f"{ident}-line") + _sewn(f"{ident}-line", thread.colour, THREAD, thread.stitch)
    return named(drawn, ident)


def swollen_seam(pattern: CollarPattern, view: View, ident: str) -> str:
    """Return the stitches that are seen along the edges of a strap that swells, and nothing of another."""
    return "" if pattern.layout.swell is None else _drawn(pattern, view, f"{ident}-seam", _swollen_line)


def tail_seam(pattern: CollarPattern, view: View, ident: str) -> str:
    """Return the stitches that are seen on a strap's tail past the buckle."""
    return _drawn(pattern, view, f"{ident}-tail", _round_the_tail)


def _drawn(
    pattern: CollarPattern, view: View, name: str, line: Callable[[CollarPattern, Mark, View], str]
) -> str:
    """A seam along its line, which comes as path data in units; nothing where there is no seam."""
    mark, thread = seam_in(pattern.strap.marks), pattern.fittings.thread
    if mark is None or thread is None:
        return ""
    # In whole units: an element's attributes are written once for all collars that share them.
    wide, long = round(THREAD * view.scale), round(stitch_of(mark) * view.scale)
    return named(path(line(pattern, mark, view)), name) + _sewn(name, thread.colour, wide, long)


def _round_the_tail(pattern: CollarPattern, mark: Mark, view: View) -> str:
    """Path data of the seam past the bar, round the tip and back, as far as it is seen."""
    layout, off = pattern.layout, view.thick
    bar, turn = view.angle(0.0), tau / view.flat
    half, shoulder = layout.width / 2 - SEAM_IN, layout.length - layout.taper
    y, last = half * view.scale, min(bar + (shoulder - layout.target) * turn, SIDE)
    there = f"M{run((view.at(bar, y, off),))}{view.along(last, y, off)}"
    back = view.along(bar, -y, off, back=True)
    if bar + (layout.length - layout.target) * turn > SIDE:
        return f"{there}M{run((view.at(last, -y, off),))}{back}"
    square = pattern.spec.end == "square"
    places = (
        (*(one for one in mark.line if one[0] > shoulder), (shoulder, -half))
        if square
        else [(shoulder + x, -up) for x, up in end_bends(_radius(pattern), half)]
    )
    tip = run(view.at(bar + (x - layout.target) * turn, up * view.scale, off) for x, up in places)
    return f"{there}{'L' if square else 'C'}{tip}{back}"


def _radius(pattern: CollarPattern) -> float:
    """Radius of a seam's arcs round a tip that has some [mm]: they lie inside those of the edge."""
    return end_radius(pattern.spec.end, pattern.layout.width) - SEAM_IN


def _swollen_line(pattern: CollarPattern, _mark: Mark, view: View) -> str:
    """Path data of both seams along edges that rise and fall, as far as they are seen."""
    layout, lines = pattern.layout, []
    steps = round(2 * SIDE / STEP)
    for side in (1, -1):
        points = []
        for n in range(steps + 1):
            angle = -SIDE + n * STEP
            x = layout.fold + (angle + view.turned) % tau * view.flat / tau
            y = (width_at(x, layout.width, layout.swell) / 2 - SEAM_IN) * view.scale
            points.append(view.at(angle, side * y))
        lines.append(f"M{run(points)}")
    return "".join(lines)
