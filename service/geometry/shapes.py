"""Measures of closed polygons: area and bounds."""

from collections.abc import Iterator, Sequence

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
