"""Outlines of straps: a straight cut at x = 0 and a shaped end at x = length, y = 0 on the centre line."""

from functools import lru_cache
from math import acos, asin, ceil, cos, pi, sin, sqrt, tan
from typing import Literal

from service.geometry.shapes import Point

End = Literal["english-point", "round", "square"]

FLAT = 0.005
"""Greatest gap [mm] between an arc and its chords; half a sharp scribed line is ten times wider."""


def end_taper(end: End, width: float) -> float:
    """Return how far [mm] from the tip a strap of this width [mm] begins to narrow.

    An English point is as long as the strap is wide, a round end is a half circle, a square end has its
    corners clipped by a quarter of the width. Source: common practice. Worked: an English point on 25.4 mm
    is 25.4 mm long.
    """
    return {"english-point": width, "round": width / 2, "square": width / 4}[end]


def end_radius(end: End, width: float) -> float:
    """Return the radius [mm] of both arcs of a round end or English point on a strap of this width [mm].

    One arc, tangent to the strap edge, meets its mirror image on the centre line: (taper² + (width/2)²) /
    width. Source: derived. Worked: an English point on 25.4 mm: 31.75 mm; a round end: 12.7 mm.
    """
    taper, half = end_taper(end, width), width / 2
    return (taper * taper + half * half) / width


@lru_cache(maxsize=256)
def end_bends(radius: float, half: float) -> tuple[Point, ...]:
    """Return both arcs of a strap's end as cubic bends [mm]: x past where they leave the edge, y up.

    Takes their radius and half the strap's width [mm]; of what lies inside a strap both are less by as much.
    Two handles and an end for each, from y = -half to y = half; the tip is the third point.
    Source: handles of 4/3 tan(s/4) R for a sweep s are off by less than 0.03 % of the radius, derived.
    Worked: a half circle on 20 mm has its tip 10 mm on, its first handle 5.523 mm.
    """
    tip = sqrt(max(0.0, radius * radius - (radius - half) ** 2))
    # Each arc's middle lies on the line through the shoulders: a radius from its own, across the strap.
    sweep = asin(min(1.0, tip / radius))
    handle = 4 / 3 * tan(sweep / 4) * radius
    near = (tip - handle * cos(sweep), -handle * sin(sweep))
    return (handle, -half), near, (tip, 0.0), (near[0], -near[1]), (handle, half), (0.0, half)


@lru_cache(maxsize=256)
def upper_end(end: End, width: float) -> tuple[Point, ...]:
    """Return the corners [mm] from where a taper starts to the tip, on the side y > 0; x from the tip.

    Source: as `strap_outline`. Worked: a square end on 20 mm: (-5, 10), (0, 5).
    """
    half, taper = width / 2, end_taper(end, width)
    if end == "square":
        return ((-taper, half), (0.0, half - taper))
    radius = end_radius(end, width)
    sweep = pi / 2 if end == "round" else asin(taper / radius)
    steps = ceil(sweep / (2 * acos(1 - FLAT / radius)))
    arc = [
        (radius * sin(sweep * i / steps) - taper, half - radius * (1 - cos(sweep * i / steps)))
        for i in range(steps)
    ]
    return (*arc, (0.0, 0.0))


def strap_outline(length: float, width: float, end: End) -> tuple[Point, ...]:
    """Return the corners [mm] of a strap blank, counter-clockwise with y up, exactly mirrored in y = 0.

    Takes the length from the straight cut to the tip [mm], the width [mm] and the shape of the end. Arcs
    become chords that leave them by at most 0.005 mm. Source: common practice; the English point's arcs are
    tangent to the edge, radius (taper² + (width/2)²) / width, derived. Worked: 25.4 mm wide, 25.4 mm point,
    radius 31.75 mm.
    """
    upper = [(length + x, y) for x, y in upper_end(end, width)]
    lower = [(x, -y) for x, y in upper if y > 0]
    half = width / 2
    return ((0.0, half), (0.0, -half), *lower, *reversed(upper))


def rectangle(length: float, width: float) -> tuple[Point, ...]:
    """Return the corners [mm] of a plain strip of this length [mm] and width [mm], counter-clockwise, y up.

    Source: derived. Worked: 50 by 20 has the corner (50, -10).
    """
    half = width / 2
    return ((0.0, half), (0.0, -half), (length, -half), (length, half))
