"""Measures of closed polygons: area, bounds, inside, distance to the edge."""

from collections.abc import Iterator, Sequence
from math import hypot

Point = tuple[float, float]


def _edges(outline: Sequence[Point]) -> Iterator[tuple[Point, Point]]:
    return zip(outline, (*outline[1:], outline[0]), strict=True)


def area(outline: Sequence[Point]) -> float:
    """Return the area [mm²] of a closed polygon given as its corners [mm], positive when counter-clockwise.

    Source: the shoelace formula (surveyor's formula), derived. Worked: a 2 by 3 rectangle gives 6.
    """
    return sum(x1 * y2 - x2 * y1 for (x1, y1), (x2, y2) in _edges(outline)) / 2


def bounds(outline: Sequence[Point]) -> tuple[float, float, float, float]:
    """Return the least and greatest coordinates (x0, y0, x1, y1) [mm] of the corners [mm].

    Source: derived. Worked: (0, 0), (4, 1), (2, 3) gives (0, 0, 4, 3).
    """
    xs = [x for x, _ in outline]
    ys = [y for _, y in outline]
    return min(xs), min(ys), max(xs), max(ys)


def holds(outline: Sequence[Point], point: Point) -> bool:
    """Tell whether a point [mm] is inside a closed polygon [mm].

    Source: the even-odd rule, derived. Worked: (1, 1) is inside the 2 by 3 rectangle at the origin.
    """
    x, y = point
    inside = False
    for (x1, y1), (x2, y2) in _edges(outline):
        if (y1 > y) != (y2 > y) and x < (x2 - x1) * (y - y1) / (y2 - y1) + x1:
            inside = not inside
    return inside


def edge_distance(outline: Sequence[Point], point: Point) -> float:
    """Return the least distance [mm] from a point [mm] to the edge of a closed polygon [mm].

    Source: derived. Worked: (1, 1) in the 2 by 3 rectangle at the origin is 1 mm from its edge.
    """
    return min(_segment_distance(a, b, point) for a, b in _edges(outline))


def _segment_distance(a: Point, b: Point, point: Point) -> float:
    dx, dy = b[0] - a[0], b[1] - a[1]
    px, py = point[0] - a[0], point[1] - a[1]
    squared = dx * dx + dy * dy
    along = 0.0 if squared == 0 else max(0.0, min(1.0, (px * dx + py * dy) / squared))
    return hypot(px - along * dx, py - along * dy)
