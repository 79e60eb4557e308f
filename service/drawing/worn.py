"""The worn view: the strap projected round a neck, from the buckle's side and from the ring's."""

from collections.abc import Callable
from math import asin, cos, pi, radians, sin, tan, tau

from service.design import Pattern
from service.drawing.elements import Figure, group, line, path
from service.drawing.eye import BOX, COS_TILT, RADIUS, SIN_TILT, View, seen
from service.drawing.letters import outline
from service.drawing.materials import Look, band, domes, groove, laid_on, look, rod
from service.drawing.palette import pressed, raised
from service.geometry import Point, end_radius


def worn_views(pattern: Pattern) -> tuple[Figure, Figure]:
    """Return two worn views: from the buckle's side and from the side of the ring."""
    tail = tau * (pattern.layout.length - pattern.layout.target) / pattern.fit.flat
    buckle_turn = max(radians(24), min(radians(54), tail * 0.46))
    own = look(pattern.fittings.leather.colour, pattern.fittings.finish.colour)
    return (
        _buckle_side(pattern, _view(pattern, buckle_turn), own),
        _ring_side(pattern, _view(pattern, pi + _past_the_ring(pattern)), own),
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
    )


def _buckle_side(pattern: Pattern, view: View, own: Look) -> Figure:
    content = "".join(
        (
            own.ground,
            band(view, own),
            _decoration(pattern, view, own),
            _tail(pattern, view, own),
            _keeper(pattern, view, own),
            _buckle(pattern, view, own),
        )
    )
    return Figure(BOX, content, "The collar as worn, from the buckle's side", "worn")


def _ring_side(pattern: Pattern, view: View, own: Look) -> Figure:
    content = "".join(
        (
            own.ground,
            band(view, own),
            _decoration(pattern, view, own),
            _ring(pattern, view, own),
        )
    )
    return Figure(BOX, content, "The collar as worn, from the ring's side", "worn")


def _ring(pattern: Pattern, view: View, own: Look) -> str:
    """The ring tab and the D-ring, when they are on this side."""
    layout, fittings = pattern.layout, pattern.fittings
    middle = view.angle(layout.ring - layout.fold)
    turn = tau / view.flat
    half_tab = layout.tab_half * turn
    tab = view.strip(middle - half_tab, middle + half_tab, view.width / 2, view.thick)
    rivets = [middle - layout.tab_reach * turn, middle + layout.tab_reach * turn]
    wire = fittings.ring.wire * view.scale
    return "".join(
        (
            laid_on(view, own, tab),
            domes(view, own, rivets, fittings.tab_fastener.cap / 2 * view.scale, view.thick),
            rod(own, _d_ring(view, middle, view.width / 2 + wire * 0.75), wire),
            _bridge(view, own, middle, wire),
        )
    )


def _d_ring(view: View, angle: float, half: float) -> str:
    """Path data of a D: its straight side across the strap, its bow swung along it, standing off."""
    lean = radians(24)
    x0, y0 = view.at(angle, 0.0, view.thick)
    side = cos(lean) * cos(angle) + sin(lean) * sin(angle)
    depth = sin(lean) * cos(angle) - cos(lean) * sin(angle)

    def bow(out: float, height: float) -> Point:
        return x0 + half * out * side, y0 + half * (out * depth * SIN_TILT - height * COS_TILT)

    # A D is a little squarer than a half circle: two bends that leave the straight side at right angles.
    start, turn, end = bow(0, 1), bow(1.5, 0), bow(0, -1)
    bends = (start, bow(0.95, 1), bow(1.5, 0.62), turn, bow(1.5, -0.62), bow(0.95, -1), end)
    return _BOW % sum(bends, ())


_POINT = "%.1f %.1f".__mod__
_BOW = "M%.1f %.1f" + "C%.1f %.1f %.1f %.1f %.1f %.1f" * 2 + "Z"


def _bridge(view: View, own: Look, angle: float, wire: float) -> str:
    """The hump of the tab over the ring's straight side."""
    wide, top, whole = 0.9 * wire, view.width / 2, wire + 2 * view.thick
    foot = 0.3 * whole
    # Seen from the side the crest would hide the hump's near foot: it rises no further than it is wide.
    crown = foot + min(0.7 * whole, 0.8 * wide * cos(angle) / max(abs(sin(angle)), 0.01))
    edges = [(-wide, foot), (0.0, crown), (wide, foot)]
    corners = [(x, top, off) for x, off in edges] + [(x, -top, off) for x, off in reversed(edges)]
    points = [view.at(angle + x / RADIUS, height, off) for x, height, off in corners]
    crest = [view.at(angle - wide * 0.3 / RADIUS, side * top * 0.96, crown) for side in (1, -1)]
    return own.hump.draw(line(points, closed=True, rough=True)) + own.crest.draw(line(crest, rough=True))


def _decoration(pattern: Pattern, view: View, own: Look) -> str:
    layout, fittings = pattern.layout, pattern.fittings
    caps = ""
    if fittings.stud is not None:
        places = (view.angle(mark.x - layout.fold) for mark in pattern.strap.marks if mark.kind == "stud")
        caps = domes(view, own, [a for a in places if seen(a)], fittings.stud.diameter / 2 * view.scale, 0.0)
    return caps + _lettering(pattern, view, own)


def _lettering(pattern: Pattern, view: View, own: Look) -> str:
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
    light = group(content, fill=raised(own.leather), fill_opacity=0.55, transform="translate(.5 .8)")
    return light + group(content, fill=pressed(own.leather))


def _letter(view: View, character: str, angle: float, height: float) -> str:
    x, y = view.at(angle, 0.0)
    scale = view.scale
    shape = outline(character, (0.0, 0.0), height)
    along, down, up = scale * cos(angle), -scale * sin(angle) * SIN_TILT, scale * COS_TILT
    placed = f"{along:.3f} {down:.3f} 0 {up:.3f} {x:.1f} {y:.1f}"
    return f'<g transform="matrix({placed})">{path(shape)}</g>'


def _tail(pattern: Pattern, view: View, own: Look) -> str:
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
    return "".join(
        (
            own.hole.draw(before),
            laid_on(view, own, _tail_face(pattern, view, bar)),
            own.tail_groove.draw(_tail_groove(pattern, view, bar)),
            own.hole.draw(after),
        )
    )


def _tail_face(pattern: Pattern, view: View, bar: float) -> str:
    """Path data of the strap past the target hole: two arcs round the neck and the end between them."""
    layout = pattern.layout
    half, off, turn = view.width / 2, view.thick, tau / view.flat
    straight = layout.length - layout.target - layout.taper
    shoulder = bar + straight * turn
    (x1, y1), (x2, y2) = view.at(bar, -half, off), view.at(bar, half, off)
    there, back = view.along(shoulder, -half, off), view.along(bar, half, off, back=True)
    ends = [view.at(shoulder + x * turn, y * view.scale, off) for x, y in _end_bends(pattern)]
    curve = ("C" if pattern.spec.end != "square" else "L") + " ".join(map(_POINT, ends))
    return f"M{x1:.1f} {y1:.1f}{there}{curve}{back}L{x2:.1f} {y2:.1f}Z"


def _end_bends(pattern: Pattern) -> list[Point]:
    """The end from shoulder to shoulder, in mm past the shoulder and mm up: corners, or ends of bends.

    An arc of radius R and sweep s is drawn with handles of 4/3 tan(s/4) R, off by less than 0.03 % of R.
    """
    width, taper = pattern.layout.width, pattern.layout.taper
    half = width / 2
    if pattern.spec.end == "square":
        return [(taper, taper - half), (taper, half - taper), (0.0, half)]
    radius = end_radius(pattern.spec.end, width)
    sweep = pi / 2 if taper >= radius else asin(taper / radius)
    handle = 4 / 3 * tan(sweep / 4) * radius
    near = (taper - handle * cos(sweep), -handle * sin(sweep))
    return [(handle, -half), near, (taper, 0.0), (near[0], -near[1]), (handle, half), (0.0, half)]


def _tail_groove(pattern: Pattern, view: View, bar: float) -> str:
    """Path data of the tail's edge groove: it ends before the taper rather than wobble round it."""
    layout = pattern.layout
    inset = view.width / 2 - groove(view)
    end = bar + (layout.length - layout.target - layout.taper) / view.flat * tau
    starts = ((height, view.at(bar, height, view.thick)) for height in (inset, -inset))
    return "".join(f"M{x:.1f} {y:.1f}{view.along(end, h, view.thick)}" for h, (x, y) in starts)


def _buckle(pattern: Pattern, view: View, own: Look) -> str:
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
    return rod(own, frame, wire) + rod(own, prong, buckle.prong * view.scale)


def _frame(at: Callable[[float, float], Point], left: float, right: float, half: float, corner: float) -> str:
    """Path data of a rectangle with round corners, drawn through a projection `at(along, height)`."""
    bent = corner * 0.45  # where the handles of a quarter circle end, from its corner
    sides = ((right, half, -1, -1), (left, half, 1, -1), (left, -half, 1, 1), (right, -half, -1, 1))
    data: list[str] = []
    for i, (x, y, inwards, down) in enumerate(sides):
        upright, level = (x, y + down * corner), (x + inwards * corner, y)
        handles = (x, y + down * bent), (x + inwards * bent, y)
        # Going round, one corner is met by its upright side first, the next by its level side.
        run = (upright, *handles, level) if i % 2 == 0 else (level, *reversed(handles), upright)
        (x0, y0), *bend = (at(*point) for point in run)
        data.append(
            f"{'L' if data else 'M'}{x0:.1f} {y0:.1f}C" + " ".join(f"{u:.1f} {v:.1f}" for u, v in bend)
        )
    return "".join(data) + "Z"


def _keeper(pattern: Pattern, view: View, own: Look) -> str:
    layout = pattern.layout
    if layout.keeper is None:
        return ""
    keeper = next(part for part in pattern.parts if part.name == "keeper")
    turn = tau / view.flat
    start = view.angle(layout.keeper - layout.fold - keeper.width / 2)
    half = (layout.width / 2 + layout.thickness * 0.8) * view.scale
    return laid_on(view, own, view.strip(start, start + keeper.width * turn, half, 2.2 * view.thick))
