"""Where things on a strap round a neck are drawn: an eye a little above it, turned to one angle.

The neck stands upright; every drawing is scaled so that the outside of the strap has a radius of 1000 units.
A unit is finer than a screen shows, so places are written as whole numbers. A place on the strap is an angle
round the neck (0 at the buckle's bar, growing along the blank), a height (0 on the strap's middle, up) and
how far it stands off the strap's outside.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from math import cos, pi, radians, sin, tau

from service.geometry import Point

RADIUS = 1000.0
TILT = radians(13)
"""How far the eye is above the strap's plane [rad]."""
COS_TILT, SIN_TILT = cos(TILT), sin(TILT)
STEP = radians(3)
"""From one place on a curve to the next [rad]: a chord leaves the circle by 0.03 % of its radius."""
QUARTER = pi / 2
"""Angle from the eye [rad] at which the strap goes out of sight."""


@dataclass(frozen=True, slots=True)
class View:
    """An eye turned to one angle of the neck [rad]; `scale` in units per mm, `flat` the girth in mm of strap.

    `width` and `thick` are the strap's, `widest` where it swells, `deep` how far it reaches inwards with its
    padding, and `neck` is the radius of the neck inside it, in units.
    """

    turned: float
    scale: float
    flat: float
    width: float
    thick: float
    neck: float
    widest: float
    deep: float

    def angle(self, x: float) -> float:
        """Return the angle [rad] from the eye to a place x [mm] past the buckle's bar, between -pi and pi."""
        return (tau * x / self.flat - self.turned + pi) % tau - pi

    def at(self, angle: float, height: float, off: float = 0.0) -> Point:
        """Return where a place is drawn: angle from the eye [rad], height, distance off the strap."""
        radius = RADIUS + off
        return radius * sin(angle), radius * cos(angle) * SIN_TILT - height * COS_TILT

    def lying(self, angle: float, height: float, size: float, off: float = 0.0) -> str:
        """Return the transform of something drawn face on, `size` times as large and lying on the strap."""
        # `at` written out: a border takes dozens of these, each with the same sine and cosine.
        across, along, radius = sin(angle), cos(angle), RADIUS + off
        y = radius * along * SIN_TILT - height * COS_TILT
        return _MATRIX % (size * along, -size * across * SIN_TILT, size * COS_TILT, radius * across, y)

    def along(self, angle: float, height: float, off: float, *, back: bool = False) -> str:
        """Return path data from where the pen is, round the strap to an angle [rad] ahead or back.

        A line round the strap is drawn as an arc of an ellipse, exactly.
        """
        radius = RADIUS + off
        x, y = self.at(angle, height, off)
        return _ARC % (radius, radius * SIN_TILT, back, x, y)

    def strip(self, start: float, end: float, half: float, off: float) -> str:
        """Return path data of a strip round the strap between two angles [rad], `half` its half width.

        What has gone behind the neck is left out.
        """
        start, end = max(start, -QUARTER), min(end, QUARTER)
        (x1, y1), (x2, y2) = self.at(start, half, off), self.at(end, -half, off)
        there, back = self.along(end, half, off), self.along(start, -half, off, back=True)
        return f"M{x1:.0f} {y1:.0f}{there}L{x2:.0f} {y2:.0f}{back}Z"

    def beyond(self, start: float, end: float, half: float, off: float) -> str:
        """Return path data of what a strip shows of itself beyond the strap: `strip` lies before it.

        That is its thickness where it ends or goes out of sight, and its upper edge behind the neck.
        """
        shown = []
        for a in (max(start, -QUARTER), min(end, QUARTER)):
            if (RADIUS + off) * abs(sin(a)) > RADIUS:
                corners = ((half, off), (half, 0.0), (-half, 0.0), (-half, off))
                shown.append(f"M{run(self.at(a, *corner) for corner in corners)}Z")
        for a, b in ((max(start, QUARTER), end), (start, min(end, -QUARTER))):
            if a < b:
                there, back = self.along(b, half, off), self.along(a, half, 0.0, back=True)
                shown.append(f"M{run((self.at(a, half, off),))}{there}L{run((self.at(b, half),))}{back}Z")
        return "".join(shown)


_ARC = "A%.0f %.0f 0 0 %d %.0f %.0f"
_MATRIX = "matrix(%.3g %.3g 0 %.3g %.0f %.0f)"


def round_line(height: float) -> str:
    """Return path data of the near half of a line round the strap's outside."""
    y = -height * COS_TILT
    return _LINE % (-_LINED, y, _LINED, _LINED * SIN_TILT, _LINED, y)


_LINED = RADIUS - 6  # within the strap by half a line's breadth, so that no line sticks out at its sides
_LINE = "M%.0f %.0fA%.0f %.0f 0 0 0 %.0f %.0f"


def between(radius: float, height: float, radius_2: float, height_2: float, *, far: bool = False) -> str:
    """Return path data of what lies between two level circles round the neck, of their near or far halves."""
    # An arc across a whole ellipse must not be broader than its ends are apart: radii are rounded first.
    radius, radius_2 = round(radius), round(radius_2)
    y, y_2 = -height * COS_TILT, -height_2 * COS_TILT
    return _BETWEEN % (
        -radius, y, radius, radius * SIN_TILT, far, 2 * radius,
        radius_2, y_2, radius_2, radius_2 * SIN_TILT, not far, -2 * radius_2,
    )  # fmt: skip


_BETWEEN = "M%d %.0fa%d %.0f 0 0 %d %d 0L%d %.0fa%d %.0f 0 0 %d %d 0Z"


def level(radius: float, height: float) -> str:
    """Return path data of a level disc inside the neck."""
    radius = round(radius)
    tall = round(radius * SIN_TILT)
    return _LEVEL % (-radius, -height * COS_TILT, radius, tall, 2 * radius, radius, tall, -2 * radius)


_LEVEL = "M%d %.0fa%d %d 0 0 0 %d 0a%d %d 0 0 0 %d 0"


def seen(angle: float) -> bool:
    """Return whether something round is seen at an angle from the eye [rad]: not where it would stick out."""
    return -_SEEN < angle < _SEEN


_SEEN = radians(82)  # by eye


def run(points: Iterable[Point]) -> str:
    """Return places one after the other, as path data."""
    return " ".join(map(_POINT, points))


_POINT = "%.0f %.0f".__mod__
