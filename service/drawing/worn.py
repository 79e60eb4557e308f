"""The worn view: the strap projected round a neck, seen a little from above.

The neck stands upright; every drawing is scaled so that the outside of the strap has a radius of 100 units. A
place on the strap is an angle round the neck (0 at the buckle's bar, growing along the blank), a height (0 on the
strap's middle, up) and how far it stands off the strap's outside.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from math import cos, pi, radians, sin, tau

from service.design import Pattern
from service.drawing.elements import definitions, drawing, gradient, group, line, number, oval, path
from service.drawing.letters import outline
from service.drawing.palette import pressed, raised, tone
from service.geometry import Point, strap_outline

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

    `width`, `thick` are the strap's, in units; `skin` names the gradient of its leather, `shine` that of its metal.
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
        """Return where a place is drawn: angle from the eye [rad], height and distance off the strap [units]."""
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


def worn_views(pattern: Pattern) -> tuple[str, str]:
    """Return two worn views as SVG: from the buckle's side, and from the side of the ring and the lettering."""
    tail = tau * (pattern.layout.length - pattern.layout.target) / pattern.fit.flat
    buckle_turn = max(radians(24), min(radians(54), tail * 0.46))
    return (
        _buckle_side(pattern, _view(pattern, buckle_turn)),
        _ring_side(pattern, _view(pattern, pi + _past_the_ring(pattern))),
    )


def _past_the_ring(pattern: Pattern) -> float:
    """How far past the ring the eye looks [rad]: far enough to read the lettering, if there is any."""
    layout = pattern.layout
    words = next((mark.x for mark in pattern.strap.marks if mark.kind == "lettering"), layout.ring)
    return max(radians(34), min(radians(58), 0.58 * tau * (words - layout.ring) / pattern.fit.flat))


def _view(pattern: Pattern, turned: float) -> View:
    layout = pattern.layout
    scale = RADIUS / (pattern.fit.inside_girth / tau + layout.thickness)
    return View(
        turned,
        scale,
        pattern.fit.flat,
        layout.width * scale,
        layout.thickness * scale,
        pattern.fittings.leather.colour,
        pattern.fittings.finish.colour,
    )


def _buckle_side(pattern: Pattern, view: View) -> str:
    content = "".join(
        (
            paints(view.leather, view.metal),
            _band(view),
            _decoration(pattern, view),
            _tail(pattern, view),
            _keeper(pattern, view),
            _buckle(pattern, view),
        )
    )
    return drawing(BOX, content, "The collar as worn, from the buckle's side", class_="worn")


def _ring_side(pattern: Pattern, view: View) -> str:
    content = "".join(
        (
            paints(view.leather, view.metal),
            _band(view),
            _decoration(pattern, view),
            _ring(pattern, view),
        )
    )
    return drawing(BOX, content, "The collar as worn, from the ring's side", class_="worn")


@lru_cache(maxsize=256)
def paints(leather: str, metal: str) -> str:
    """Return the gradients for a leather and a metal, and the neck: what depends on nothing but colours."""
    skin = [(0, -0.66), (0.08, -0.42), (0.34, 0.17), (0.52, 0.03), (0.84, -0.26), (0.94, -0.44), (1, -0.66)]
    shine = [(0, 0.55), (0.3, 0.08), (0.62, -0.38), (1, 0.20)]
    fade = [(0.0, "#5d6668", 0.0), (0.34, "#5d6668", 0.26), (0.62, "#5d6668", 0.30), (1.0, "#5d6668", 0.0)]
    defs = definitions(
        gradient(
            f"skin-{leather[1:]}",
            (-RADIUS, 0, RADIUS, 0),
            [(at, tone(leather, amount), 1.0) for at, amount in skin],
        ),
        gradient(
            f"shine-{metal[1:]}",
            (0, 0, 9, 20),
            [(at, tone(metal, amount), 1.0) for at, amount in shine],
            spreadMethod="reflect",
        ),
        gradient("neck", (0, BOX[1], 0, BOX[1] + BOX[3]), fade),
    )
    return defs + path(NECK, fill="url(#neck)")


NECK = "M-84-88C-86-56-91-34-95-14C-99 12-100 40-116 88H116C100 40 99 12 95-14C91-34 86-56 84-88Z"
"""Outline of the neck: narrower towards the head, wider towards the shoulders."""


def _front(height: float, off: float, *, back: bool = False) -> str:
    """Path data along the visible half of the strap at a height, left to right, or back from right to left."""
    radius = RADIUS + off
    y = -height * COS_TILT - LOWER
    side, sweep = (1, 1) if back else (-1, 0)
    return f"{side * radius:.2f} {y:.2f}A{radius:.2f} {radius * SIN_TILT:.2f} 0 0 {sweep} {-side * radius:.2f} {y:.2f}"


def _groove(view: View) -> float:
    """How far the edge groove runs from the strap's edge [units]: 3 mm, less on a narrow strap. Common practice."""
    return min(3 * view.scale, view.width * 0.16)


def _band(view: View) -> str:
    half, line_in = view.width / 2, view.width / 2 - _groove(view)
    leather = view.leather
    return "".join(
        (
            path(f"M{_front(-half - 1.2, -2.5)}", fill="none", stroke="#000", stroke_width=4, stroke_opacity=0.16),
            path(f"M{_front(half, 0)}L{_front(-half, 0, back=True)}Z", fill=view.skin),
            path(f"M{_front(half, 0)}L{_front(half, -view.thick, back=True)}Z", fill=tone(leather, -0.5)),
            path(
                f"M{_front(line_in, 0)}M{_front(-line_in, 0)}",
                fill="none",
                stroke=pressed(leather),
                stroke_width=0.9,
                stroke_opacity=0.75,
            ),
            path(
                f"M{_front(line_in - 0.9, 0)}M{_front(-line_in - 0.9, 0)}M{_front(half - 0.4, 0)}",
                fill="none",
                stroke=raised(leather),
                stroke_width=0.6,
                stroke_opacity=0.5,
            ),
        )
    )


def _seen(angle: float, limit: float = 82) -> bool:
    return abs(angle) < radians(limit)


def _strip(view: View, length: float, half: float) -> list[Point]:
    """A rectangle from 0 to `length` in fine steps along its long sides, so that it bends with the neck [mm]."""
    steps = max(2, round(length / view.flat * tau / STEP))
    xs = [length * i / steps for i in range(steps + 1)]
    return [*((x, half) for x in xs), *((x, -half) for x in reversed(xs))]


def _laid_on(view: View, start: float, corners: Sequence[Point], off: float) -> str:
    """A piece lying on the strap, with its shadow, its cut edge and its face."""
    face = view.piece(start, corners, off)
    leather = view.leather
    # From above, the cut edge of a piece shows over its face by its thickness, foreshortened.
    edge = f"translate(0 -{view.thick * SIN_TILT:.1f})"
    return "".join(
        (
            path(face, fill="#000", fill_opacity=0.30, transform="translate(1.2 2.4)"),
            path(face, fill=tone(leather, -0.55), transform=edge),
            path(face, fill=view.skin, stroke=raised(leather), stroke_width=0.5, stroke_opacity=0.45),
        )
    )


def _wire(view: View, d: str, wire: float) -> str:
    """A round wire: its shadow, its dark edge, its body and the light along it."""
    wide = round(wire, 1)
    up = f"translate(-{number(wide * 0.16)} -{number(wide * 0.2)})"
    body = "".join(
        (
            path(d, stroke="#000", stroke_width=wide, stroke_opacity=0.28, transform="translate(1.4 2.4)"),
            path(d, stroke=tone(view.metal, -0.62), stroke_width=round(wide + 0.9, 1)),
            path(d, stroke=view.shine, stroke_width=wide),
            path(d, stroke=tone(view.metal, 0.8), stroke_width=round(wide * 0.2, 2), stroke_opacity=0.75, transform=up),
        )
    )
    return group(body, fill="none", stroke_linejoin="round", stroke_linecap="round")


def _caps(view: View, angles: Sequence[float], radius: float, off: float) -> str:
    """Domed caps of rivets or studs along the strap's middle."""
    if not angles:
        return ""
    ring = "".join(view.round_at(angle, 0, radius, off) for angle in angles)
    dome = "".join(view.round_at(angle, 0, radius * 0.86, off + radius * 0.28) for angle in angles)
    light = "".join(view.round_at(angle - 0.02, radius * 0.3, radius * 0.28, off + radius * 0.4) for angle in angles)
    return "".join(
        (
            path(ring, fill=tone(view.metal, -0.62), stroke="#000", stroke_width=1.2, stroke_opacity=0.25),
            path(dome, fill=view.shine),
            path(light, fill=tone(view.metal, 0.85), fill_opacity=0.7),
        )
    )


def _ring(pattern: Pattern, view: View) -> str:
    """The ring tab and the D-ring, when they are on this side."""
    layout, fittings = pattern.layout, pattern.fittings
    middle = view.angle(layout.ring - layout.fold)
    turn = tau / view.flat
    corners = _strip(view, 2 * layout.tab_half, layout.width / 2)
    rivets = [middle - layout.tab_reach * turn, middle + layout.tab_reach * turn]
    wire = fittings.ring.wire * view.scale
    return "".join(
        (
            _laid_on(view, middle - layout.tab_half * turn, corners, view.thick),
            _caps(view, rivets, fittings.tab_fastener.cap / 2 * view.scale, view.thick),
            _wire(view, _d_ring(view, middle, view.width / 2 + wire * 0.75), wire),
            _bridge(view, middle, wire),
        )
    )


def _d_ring(view: View, angle: float, half: float) -> str:
    """Path data of a D: its straight side across the strap under the tab, its bow swung along the strap, standing off."""
    lean = radians(24)
    x0, y0 = view.at(angle, 0.0, view.thick)
    side = cos(lean) * cos(angle) + sin(lean) * sin(angle)
    depth = sin(lean) * cos(angle) - cos(lean) * sin(angle)

    def bow(turn: float) -> Point:
        # A D is a little squarer than a half circle: its bow leaves the straight side at right angles.
        out = half * 1.5 * sin(turn) ** 0.8
        return x0 + out * side, y0 + out * depth * SIN_TILT - half * cos(turn) * COS_TILT

    return line([bow(pi * i / 24) for i in range(25)], closed=True)


def _bridge(view: View, angle: float, wire: float) -> str:
    """The hump of the tab over the ring's straight side."""
    wide, top, off = 0.9 * wire, view.width / 2, wire + 2 * view.thick
    edges = [(-wide, top, 0.3), (0.0, top, 1.0), (wide, top, 0.3), (wide, -top, 0.3), (0.0, -top, 1.0), (-wide, -top, 0.3)]
    points = [view.at(angle + along / RADIUS, height, off * share) for along, height, share in edges]
    crest = [view.at(angle - wide * 0.3 / RADIUS, side * top * 0.96, off) for side in (1, -1)]
    return path(
        line(points, closed=True), fill=view.skin, stroke=tone(view.leather, -0.5), stroke_width=0.6
    ) + path(line(crest), stroke=raised(view.leather), stroke_width=1.6, stroke_opacity=0.6, stroke_linecap="round")


def _decoration(pattern: Pattern, view: View) -> str:
    layout, fittings = pattern.layout, pattern.fittings
    caps = ""
    if fittings.stud is not None:
        places = (view.angle(mark.x - layout.fold) for mark in pattern.strap.marks if mark.kind == "stud")
        caps = _caps(view, [a for a in places if _seen(a)], fittings.stud.diameter / 2 * view.scale, 0.0)
    return caps + _lettering(pattern, view)


def _lettering(pattern: Pattern, view: View) -> str:
    """Letters pressed into the leather, each turned with the strap; a light edge below makes them look sunk."""
    stamps = pattern.fittings.stamps
    if stamps is None:
        return ""
    mark = next(mark for mark in pattern.strap.marks if mark.kind == "lettering")
    x = mark.x - (mark.length or 0.0) / 2 - pattern.layout.fold
    letters: list[str] = []
    for character in mark.text or "":
        advance = stamps.advances[character] * stamps.height
        angle = view.angle(x + advance / 2)
        x += advance + stamps.gap
        if character != " " and _seen(angle):
            letters.append(_letter(view, character, angle, stamps.height))
    if not letters:
        return ""
    content = "".join(letters)
    light = group(content, fill=raised(view.leather), fill_opacity=0.55, transform="translate(.5 .8)")
    return light + group(content, fill=pressed(view.leather))


def _letter(view: View, character: str, angle: float, height: float) -> str:
    x, y = view.at(angle, 0.0)
    scale = view.scale
    shape = outline(character, (0.0, 0.0), height)
    placed = "%.3f %.3f 0 %.3f %.2f %.2f" % (
        scale * cos(angle),
        -scale * sin(angle) * SIN_TILT,
        scale * COS_TILT,
        x,
        y,
    )
    return f'<g transform="matrix({placed})">{path(shape)}</g>'


def _tail(pattern: Pattern, view: View) -> str:
    """The end of the strap past the buckle, lying on its beginning, with the holes either side of the bar."""
    layout = pattern.layout
    radius = layout.hole_diameter / 2 * view.scale
    bar = view.angle(0.0)
    turn = tau / view.flat
    angles = [(x, bar + (x - layout.target) * turn) for x in layout.holes if x != layout.target]
    before = "".join(view.round_at(angle, 0, radius) for x, angle in angles if x < layout.target and _seen(angle))
    after = "".join(
        view.round_at(angle, 0, radius, view.thick) for x, angle in angles if x > layout.target and _seen(angle)
    )
    groove = _tail_groove(pattern, view, bar)
    return "".join(
        (
            path(before, fill=pressed(view.leather)),
            _laid_on(view, bar, _tail_corners(pattern, view), view.thick),
            path(groove, fill="none", stroke=pressed(view.leather), stroke_width=0.8, stroke_opacity=0.6),
            path(after, fill=pressed(view.leather)),
        )
    )


def _tail_corners(pattern: Pattern, view: View) -> list[Point]:
    """The strap past the target hole, in mm past the bar, its straight sides in fine steps."""
    layout = pattern.layout
    length = layout.length - layout.target
    shape = _coarse(strap_outline(length, layout.width, pattern.spec.end)[2:])
    straight, half = length - layout.taper, layout.width / 2
    steps = max(2, round(straight / view.flat * tau / STEP))
    xs = [straight * i / steps for i in range(steps)]
    return [*((x, -half) for x in xs), *shape, *((x, half) for x in reversed(xs))]


def _coarse(shape: Sequence[Point]) -> list[Point]:
    """Every fourth corner of a mirrored end, its first, its tip and its last among them."""
    if len(shape) < 8:  # noqa: PLR2004 - a clipped end has four
        return list(shape)
    middle = len(shape) // 2
    lower = [*shape[:middle:4], shape[middle]]
    return [*lower, *((x, -y) for x, y in reversed(lower[:-1]))]


def _tail_groove(pattern: Pattern, view: View, bar: float) -> str:
    """Path data of the edge groove on the tail: it runs off before the taper rather than wobble round the point."""
    layout = pattern.layout
    inset = view.width / 2 - _groove(view)
    end = (layout.length - layout.target - layout.taper) / view.flat * tau
    steps = max(2, round(end / STEP))
    return "".join(
        line([view.at(bar + end * i / steps, side * inset, view.thick) for i in range(steps + 1)])
        for side in (1, -1)
    )


def _buckle(pattern: Pattern, view: View) -> str:
    """The frame, whose far side bears the prong, towards the incoming strap; it is stiff and lies in one plane."""
    buckle = pattern.fittings.buckle
    wire = buckle.bar * view.scale
    half = view.width / 2 + wire * 0.9
    reach = 0.62 * view.width + wire
    back = reach if pattern.spec.style == "centre-bar" else wire * 0.4
    angle = view.angle(0.0)
    x, y = view.at(angle, 0.0, view.thick * 1.6)

    def at(along: float, height: float) -> Point:
        return x + along * cos(angle), y - along * sin(angle) * SIN_TILT - height * COS_TILT

    frame = _frame(at, -reach, back, half, min(half, reach) * 0.42)
    prong = line([at(wire * 0.3, 0.0), at(-reach - wire * 0.1, 0.0)])
    return _wire(view, frame, wire) + _wire(view, prong, buckle.prong * view.scale)


def _frame(at: Callable[[float, float], Point], left: float, right: float, half: float, corner: float) -> str:
    """Path data of a rectangle with round corners, drawn through a projection `at(along, height)`."""
    centres = (
        (right - corner, half - corner, 0.0),
        (left + corner, half - corner, pi / 2),
        (left + corner, corner - half, pi),
        (right - corner, corner - half, 3 * pi / 2),
    )
    points = [
        at(x + corner * cos(begin + pi / 8 * i), y + corner * sin(begin + pi / 8 * i))
        for x, y, begin in centres
        for i in range(5)
    ]
    return line(points, closed=True)


def _keeper(pattern: Pattern, view: View) -> str:
    layout = pattern.layout
    if layout.keeper is None:
        return ""
    keeper = next(part for part in pattern.parts if part.name == "keeper")
    start = view.angle(layout.keeper - layout.fold - keeper.width / 2)
    corners = _strip(view, keeper.width, layout.width / 2 + layout.thickness * 0.8)
    return _laid_on(view, start, corners, 2.2 * view.thick)
