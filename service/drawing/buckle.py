"""A buckle lying on a strap round a neck: its plane, and its frame in it."""

from collections.abc import Callable
from dataclasses import dataclass
from itertools import chain, starmap
from math import cos, sin

from service.design import CollarPattern, frame_reach
from service.drawing.eye import COS_TILT, SIN_TILT, View
from service.geometry import Point

Plane = Callable[[float, float], Point]
"""Where a place in a plane is drawn: along the strap and up from its middle [units]."""


@dataclass(frozen=True, slots=True)
class Buckle:
    """A buckle's frame in its plane: how far it reaches before the bar, past it and up [units], and its wire.

    Its far side bears the prong, towards the incoming strap.
    """

    at: Plane
    reach: float
    past: float
    half: float
    wire: float


def buckle_on(pattern: CollarPattern, view: View) -> Buckle:
    """Lay the buckle on the strap: stiff, in the plane that touches the strap where the bar is."""
    angle, wire = view.angle(0.0), pattern.fittings.buckle.bar * view.scale
    x, y = view.at(angle, 0.0, view.thick * 1.6)
    side, depth = cos(angle), sin(angle) * SIN_TILT
    reach = frame_reach(pattern.layout.width, pattern.fittings.buckle.bar) * view.scale
    return Buckle(
        at=lambda along, up: (x + along * side, y - along * depth - up * COS_TILT),
        reach=reach,
        past=reach if pattern.spec.style == "centre-bar" else 0.0,
        half=view.width / 2 + wire * 0.9,
        wire=wire,
    )


def corners(buckle: Buckle) -> tuple[Point, ...]:
    """Return the corners of what the frame covers."""
    at, wire = buckle.at, buckle.wire
    left, right, up = -buckle.reach - wire, buckle.past + wire, buckle.half + wire
    return at(left, up), at(left, -up), at(right, up), at(right, -up)


def frame(buckle: Buckle) -> str:
    """Return path data of the frame: a rectangle with round corners."""
    left, right, half = -buckle.reach, buckle.past, buckle.half
    corner = min(half, buckle.reach) * 0.42
    bent = corner * 0.45  # where the handles of a quarter circle end, from its corner
    # Round from the upper right: one corner is met by its upright side first, the next by its level side.
    places = (
        *((right, half - corner), (right, half - bent), (right - bent, half), (right - corner, half)),
        *((left + corner, half), (left + bent, half), (left, half - bent), (left, half - corner)),
        *((left, corner - half), (left, bent - half), (left + bent, -half), (left + corner, -half)),
        *((right - corner, -half), (right - bent, -half), (right, bent - half), (right, corner - half)),
    )
    return _FRAME % tuple(chain.from_iterable(starmap(buckle.at, places)))


_FRAME = f"M{'L'.join(['%.0f %.0fC%.0f %.0f %.0f %.0f %.0f %.0f'] * 4)}Z"
