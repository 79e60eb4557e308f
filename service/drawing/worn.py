"""The worn view: the strap projected round a neck, from the buckle's side and from the ring's."""

from collections.abc import Callable, Sequence
from math import cos, pi, radians, sin, tau

from service.design import Pattern
from service.drawing.elements import drawing, group, line, path
from service.drawing.eye import BOX, COS_TILT, RADIUS, SIN_TILT, STEP, View, seen, strip
from service.drawing.letters import outline
from service.drawing.materials import band, domes, groove, laid_on, paints, rod
from service.drawing.palette import pressed, raised, tone
from service.geometry import Point, strap_outline


def worn_views(pattern: Pattern) -> tuple[str, str]:
    """Return two worn views as SVG: from the buckle's side and from the side of the ring."""
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
            band(view),
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
            band(view),
            _decoration(pattern, view),
            _ring(pattern, view),
        )
    )
    return drawing(BOX, content, "The collar as worn, from the ring's side", class_="worn")


def _ring(pattern: Pattern, view: View) -> str:
    """The ring tab and the D-ring, when they are on this side."""
    layout, fittings = pattern.layout, pattern.fittings
    middle = view.angle(layout.ring - layout.fold)
    turn = tau / view.flat
    corners = strip(view, 2 * layout.tab_half, layout.width / 2)
    rivets = [middle - layout.tab_reach * turn, middle + layout.tab_reach * turn]
    wire = fittings.ring.wire * view.scale
    return "".join(
        (
            laid_on(view, middle - layout.tab_half * turn, corners, view.thick),
            domes(view, rivets, fittings.tab_fastener.cap / 2 * view.scale, view.thick),
            rod(view, _d_ring(view, middle, view.width / 2 + wire * 0.75), wire),
            _bridge(view, middle, wire),
        )
    )


def _d_ring(view: View, angle: float, half: float) -> str:
    """Path data of a D: its straight side across the strap, its bow swung along it, standing off."""
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
    edges = [
        (-wide, top, 0.3),
        (0.0, top, 1.0),
        (wide, top, 0.3),
        (wide, -top, 0.3),
        (0.0, -top, 1.0),
        (-wide, -top, 0.3),
    ]
    points = [view.at(angle + along / RADIUS, height, off * share) for along, height, share in edges]
    crest = [view.at(angle - wide * 0.3 / RADIUS, side * top * 0.96, off) for side in (1, -1)]
    return path(
        line(points, closed=True), fill=view.skin, stroke=tone(view.leather, -0.5), stroke_width=0.6
    ) + path(
        line(crest), stroke=raised(view.leather), stroke_width=1.6, stroke_opacity=0.6, stroke_linecap="round"
    )


def _decoration(pattern: Pattern, view: View) -> str:
    layout, fittings = pattern.layout, pattern.fittings
    caps = ""
    if fittings.stud is not None:
        places = (view.angle(mark.x - layout.fold) for mark in pattern.strap.marks if mark.kind == "stud")
        caps = domes(view, [a for a in places if seen(a)], fittings.stud.diameter / 2 * view.scale, 0.0)
    return caps + _lettering(pattern, view)


def _lettering(pattern: Pattern, view: View) -> str:
    """Letters pressed into the leather, each turned with the strap; a light edge makes them look sunk."""
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
        if character != " " and seen(angle):
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
    along, down, up = scale * cos(angle), -scale * sin(angle) * SIN_TILT, scale * COS_TILT
    placed = f"{along:.3f} {down:.3f} 0 {up:.3f} {x:.2f} {y:.2f}"
    return f'<g transform="matrix({placed})">{path(shape)}</g>'


def _tail(pattern: Pattern, view: View) -> str:
    """The end of the strap past the buckle, lying on its beginning, with the holes either side of the bar."""
    layout = pattern.layout
    radius = layout.hole_diameter / 2 * view.scale
    bar = view.angle(0.0)
    turn = tau / view.flat
    angles = [(x, bar + (x - layout.target) * turn) for x in layout.holes if x != layout.target]
    before = "".join(
        view.round_at(angle, 0, radius) for x, angle in angles if x < layout.target and seen(angle)
    )
    after = "".join(
        view.round_at(angle, 0, radius, view.thick)
        for x, angle in angles
        if x > layout.target and seen(angle)
    )
    groove = _tail_groove(pattern, view, bar)
    return "".join(
        (
            path(before, fill=pressed(view.leather)),
            laid_on(view, bar, _tail_corners(pattern, view), view.thick),
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
    """Path data of the tail's edge groove: it ends before the taper rather than wobble round it."""
    layout = pattern.layout
    inset = view.width / 2 - groove(view)
    end = (layout.length - layout.target - layout.taper) / view.flat * tau
    steps = max(2, round(end / STEP))
    return "".join(
        line([view.at(bar + end * i / steps, side * inset, view.thick) for i in range(steps + 1)])
        for side in (1, -1)
    )


def _buckle(pattern: Pattern, view: View) -> str:
    """The frame, whose far side bears the prong, towards the incoming strap: stiff, in one plane."""
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
    return rod(view, frame, wire) + rod(view, prong, buckle.prong * view.scale)


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
    corners = strip(view, keeper.width, layout.width / 2 + layout.thickness * 0.8)
    return laid_on(view, start, corners, 2.2 * view.thick)
