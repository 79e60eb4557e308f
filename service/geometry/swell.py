"""A strap that is wider in its middle: eased by half a cosine from its width to the widest and back."""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from math import ceil, cos, hypot, pi, sqrt

from service.geometry.outlines import FLAT, End, upper_end
from service.geometry.shapes import Point


@dataclass(frozen=True, slots=True)
class Swell:
    """Where a strap widens, all [mm]: from `start` to `full`, `widest` as far as `back`, narrow at `end`."""

    start: float
    full: float
    back: float
    end: float
    widest: float


def width_at(x: float, width: float, swell: Swell | None) -> float:
    """Return how wide [mm] a strap is at x [mm], of this width [mm] at its ends.

    Source: derived, half a cosine: w + (W - w) (1 - cos pi s) / 2. Worked: from 25 to 45 mm, half way up the
    ease: 35 mm.
    """
    if swell is None or not swell.start < x < swell.end:
        return width
    rising = (x - swell.start) / (swell.full - swell.start) if x < swell.full else 1.0
    falling = (swell.end - x) / (swell.end - swell.back) if x > swell.back else 1.0
    return width + (swell.widest - width) * (1 - cos(pi * min(rising, falling))) / 2


def upper_edge(length: float, width: float, end: End, swell: Swell | None = None) -> tuple[Point, ...]:
    """Return the corners [mm] of a strap's upper edge from the straight cut to the tip.

    Bends become chords that leave them by at most 0.005 mm. Source: derived. Worked: a square end on 100 by
    20 mm: (0, 10), (95, 10), (100, 5).
    """
    middle = () if swell is None else tuple(_eased(width, swell))
    return ((0.0, width / 2), *middle, *((length + x, y) for x, y in upper_end(end, width)))


def _eased(width: float, swell: Swell) -> Iterator[Point]:
    for start, end in ((swell.start, swell.full), (swell.back, swell.end)):
        # A chord of a curve y leaves it by y'' h h / 8 at the most.
        bend = (swell.widest - width) / 4 * (pi / (end - start)) ** 2
        steps = max(2, ceil((end - start) / sqrt(8 * FLAT / bend)))
        for n in range(steps + 1):
            x = start + (end - start) * n / steps
            yield x, width_at(x, width, swell) / 2


def mirrored(upper: tuple[Point, ...]) -> tuple[Point, ...]:
    """Return the closed outline [mm] of what has this upper edge, counter-clockwise with y up.

    Source: derived; exactly mirrored in y = 0. Worked: (0, 1), (2, 1) is a rectangle of 2 by 2.
    """
    lower = [(x, -y) for x, y in upper[1:] if y > 0]
    start, half = upper[0]
    return ((start, half), (start, -half), *lower, *reversed(upper[1:]))


def inside(upper: tuple[Point, ...], by: float) -> tuple[Point, ...]:
    """Return the upper edge [mm] of what lies `by` [mm] inside another, from the same straight cut on.

    Each side is moved inwards and meets the next where both cross; the tip is where the edge meets its own
    mirror image. Source: derived. Worked: (0, 10), (95, 10), (100, 5) by 2 mm: (0, 8), (94.17, 8), (98,
    4.17).
    """
    first, last = upper[0], upper[-1]
    before = (first[0] - 1.0, first[1])
    previous = upper[-2]
    # Past the tip the edge goes on as its own mirror image.
    after = (previous[0], -previous[1]) if last[1] == 0 else (last[0], -last[1])
    points = (before, *upper, after)
    ways = [_unit(a, b) for a, b in pairwise(points)]
    moved: list[Point] = []
    for corner, (u, v) in zip(upper, pairwise(ways), strict=True):
        x, y = _corner(corner, u, v, by)
        if y <= 0:
            x0, y0 = moved[-1]
            moved.append((x0 + (x - x0) * y0 / (y0 - y), 0.0))
            break
        moved.append((x, y))
    return tuple(moved)


def cut_out(upper: tuple[Point, ...], start: float, stop: float) -> tuple[Point, ...]:
    """Return what of an upper edge lies from `start` to `stop`, cut straight there; x rises, all in mm.

    Source: derived. Worked: (0, 10), (100, 10) from 20 to 60: (20, 10), (60, 10).
    """
    kept = [point for point in upper if start < point[0] < stop]
    ends = [(x, _height(upper, x)) for x in (start, stop) if upper[0][0] <= x <= upper[-1][0]]
    return tuple(sorted({*kept, *ends}, key=lambda point: (point[0], -point[1])))


def _height(upper: tuple[Point, ...], at: float) -> float:
    for (x0, y0), (x1, y1) in pairwise(upper):
        if x0 <= at <= x1 and x1 > x0:
            return y0 + (y1 - y0) * (at - x0) / (x1 - x0)
    return upper[-1][1]


def _corner(b: Point, before: Point, after: Point, by: float) -> Point:
    """Where two sides that meet at b, each as a unit vector, cross once both are moved to their right."""
    (ux, uy), (vx, vy) = before, after
    # Both moved sides keep their distance from b: the crossing lies on the halving line between them.
    share = by / (1 + ux * vx + uy * vy)
    return b[0] + (uy + vy) * share, b[1] - (ux + vx) * share


def _unit(a: Point, b: Point) -> Point:
    dx, dy = b[0] - a[0], b[1] - a[1]
    size = hypot(dx, dy)
    return dx / size, dy / size
