"""Where things on a strap round a neck are drawn: an eye a little above it, turned to one angle.

The neck stands upright; every drawing is scaled so that the outside of the strap has a radius of 100 units. A
place on the strap is an angle round the neck (0 at the buckle's bar, growing along the blank), a height (0 on
the strap's middle, up) and how far it stands off the strap's outside.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import cos, pi, radians, sin, tau

from service.drawing.elements import line, oval
from service.geometry import Point

RADIUS = 100.0
TILT = radians(19)
"""How far the eye is above the strap's plane [rad]."""
COS_TILT, SIN_TILT = cos(TILT), sin(TILT)
BOX = (-124.0, -88.0, 248.0, 176.0)
"""View box of a worn view."""
LOWER = 12.0
"""The strap's plane is drawn this much above the box's middle, so that its front sits in the centre."""
STEP = radians(8)
"""Long edges are drawn in steps of this angle [rad]: their chords leave the round by 0.25 units."""


@dataclass(frozen=True, slots=True)
class View:
    """An eye turned to one angle of the neck [rad]; `scale` in units per mm, `flat` the girth in mm of strap.

    `width` and `thick` are the strap's, in units; `leather` and `metal` are colours.
    """

    turned: float
    scale: float
    flat: float
    width: float
    thick: float
    leather: str
    metal: str

    @property
    def skin(self) -> str:
        """Paint of the leather's face."""
        return f"url(#skin-{self.leather[1:]})"

    @property
    def shine(self) -> str:
        """Paint of the metal."""
        return f"url(#shine-{self.metal[1:]})"

    def angle(self, x: float) -> float:
        """Return the angle [rad] from the eye to a place x [mm] past the buckle's bar, between -pi and pi."""
        return (tau * x / self.flat - self.turned + pi) % tau - pi

    def at(self, angle: float, height: float, off: float = 0.0) -> Point:
        """Return where a place is drawn: angle from the eye [rad], height, distance off the strap."""
        radius = RADIUS + off
        return radius * sin(angle), radius * cos(angle) * SIN_TILT - height * COS_TILT - LOWER

    def round_at(self, angle: float, height: float, radius: float, off: float = 0.0) -> str:
        """Return path data of a circle lying on the strap."""
        x, y = self.at(angle, height, off)
        return oval(x, y, (radius * cos(angle), -radius * sin(angle) * SIN_TILT), (0.0, -radius * COS_TILT))

    def piece(self, start: float, corners: Sequence[Point], off: float) -> str:
        """Return path data of leather lying round the strap; corners in mm past `start` [rad] and mm up."""
        turn = tau / self.flat
        radius, scale = RADIUS + off, self.scale * COS_TILT
        drawn = []
        for x, y in corners:
            angle = start + x * turn
            drawn.append((radius * sin(angle), radius * cos(angle) * SIN_TILT - y * scale - LOWER))
        return line(drawn, closed=True)


def front(height: float, off: float, *, back: bool = False) -> str:
    """Path data along the visible half of the strap at a height, left to right, or back."""
    radius = RADIUS + off
    y = -height * COS_TILT - LOWER
    side, sweep = (1, 1) if back else (-1, 0)
    start, end = side * radius, -side * radius
    return f"{start:.2f} {y:.2f}A{radius:.2f} {radius * SIN_TILT:.2f} 0 0 {sweep} {end:.2f} {y:.2f}"


def strip(view: View, length: float, half: float) -> list[Point]:
    """A rectangle from 0 to `length` in fine steps, so that it bends with the neck [mm]."""
    steps = max(2, round(length / view.flat * tau / STEP))
    xs = [length * i / steps for i in range(steps + 1)]
    return [*((x, half) for x in xs), *((x, -half) for x in reversed(xs))]


def seen(angle: float, limit: float = 82) -> bool:
    return abs(angle) < radians(limit)
