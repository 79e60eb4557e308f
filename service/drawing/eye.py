"""Where things on a strap round a neck are drawn: an eye a little above it, turned to one angle.

The neck stands upright; every drawing is scaled so that the outside of the strap has a radius of 100 units. A
place on the strap is an angle round the neck (0 at the buckle's bar, growing along the blank), a height (0 on
the strap's middle, up) and how far it stands off the strap's outside.
"""

from dataclasses import dataclass
from math import cos, pi, radians, sin, tau

from service.drawing.elements import oval
from service.geometry import Point

RADIUS = 100.0
TILT = radians(19)
"""How far the eye is above the strap's plane [rad]."""
COS_TILT, SIN_TILT = cos(TILT), sin(TILT)
BOX = (-124.0, -88.0, 248.0, 176.0)
"""View box of a worn view."""
LOWER = 12.0
"""The strap's plane is drawn this much above the box's middle, so that its front sits in the centre."""


@dataclass(frozen=True, slots=True)
class View:
    """An eye turned to one angle of the neck [rad]; `scale` in units per mm, `flat` the girth in mm of strap.

    `width` and `thick` are the strap's, in units.
    """

    turned: float
    scale: float
    flat: float
    width: float
    thick: float

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

    def along(self, angle: float, height: float, off: float, *, back: bool = False) -> str:
        """Return path data from where the pen is, round the strap to an angle [rad] ahead or back.

        A line round the strap is drawn as an arc of an ellipse, exactly.
        """
        radius = RADIUS + off
        x, y = self.at(angle, height, off)
        return _ARC % (radius, radius * SIN_TILT, back, x, y)

    def strip(self, start: float, end: float, half: float, off: float) -> str:
        """Return path data of a strip round the strap between two angles [rad], `half` its half width."""
        (x1, y1), (x2, y2) = self.at(start, half, off), self.at(end, -half, off)
        there, back = self.along(end, half, off), self.along(start, -half, off, back=True)
        return f"M{x1:.1f} {y1:.1f}{there}L{x2:.1f} {y2:.1f}{back}Z"


_ARC = "A%.1f %.1f 0 0 %d %.1f %.1f"


def front(height: float, off: float, *, back: bool = False) -> str:
    """Path data along the visible half of the strap at a height, left to right, or back."""
    radius = RADIUS + off
    if back:
        radius = -radius
    y = -height * COS_TILT - LOWER
    return _FRONT % (-radius, y, radius, abs(radius) * SIN_TILT, back, radius, y)


_FRONT = "%.1f %.1fA%.1f %.1f 0 0 %d %.1f %.1f"


def seen(angle: float, limit: float = 82) -> bool:
    return abs(angle) < radians(limit)
