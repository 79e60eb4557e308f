"""The worn view: the strap projected round a neck, from the buckle's side and from the ring's."""

from collections.abc import Iterable, Iterator
from functools import partial
from math import cos, pi, radians, sin, tau

from service.design import CollarPattern, Layout, Mark, Part, paint_of
from service.drawing.buckle import Buckle, buckle_on, corners, frame
from service.drawing.elements import Box, Brush, Figure, again, named, path, turned
from service.drawing.eye import COS_TILT, QUARTER, RADIUS, SIN_TILT, View, run, seen
from service.drawing.lacing import stitch_pair
from service.drawing.letters import FINE, outline_of
from service.drawing.materials import ABOVE, BELOW, Look, collar, laid_on, look, rod
from service.drawing.motifs import border_step, grouped, runs_of, stamp_pair
from service.drawing.palette import pressed, raised, tone
from service.drawing.planes import Row, on_planes
from service.drawing.plates import worn_plates
from service.drawing.seam import seam_row, swollen_seam, tail_seam
from service.drawing.swollen import swollen
from service.geometry import End, Point, end_bends, end_radius
from service.language import tr

KEEPER = 2.2
"""How many thicknesses of leather a keeper, the outermost ply, stands off the strap."""
LIGHT = "translate(.3 .5)"
"""How far the light edge of a border's stamp shows beside it [mm]."""
LEAST, MOST, LEGIBLE = radians(34), radians(58), radians(72)
"""How far the eye looks past the nape, and as far to its side something can be read [rad]. By eye."""
MARGIN = 80.0
"""Kept free round what is drawn [units]."""


def worn_views(pattern: CollarPattern) -> tuple[Figure, Figure]:
    """Return two worn views of one scale and frame: from the buckle's side and from the side of the ring."""
    tail = tau * (pattern.layout.length - pattern.layout.target) / pattern.fit.flat
    buckle_turn = max(radians(24), min(radians(54), tail * 0.46))
    near, far = _view(pattern, buckle_turn), _view(pattern, pi + _past_the_nape(pattern))
    shapes, buckle, bow = _round_the_neck(pattern, near), buckle_on(pattern, near), _bow(pattern, far)
    if not pattern.layout.tab_half:
        bow = _bow(pattern, near, way=1)  # away from the buckle
    wire, same = pattern.fittings.ring.wire * far.scale, pattern.layout.swell is None
    box = _box(near, (*corners(buckle), *((x + d, y + d) for x, y in bow for d in (-wire, wire))))
    return (
        Figure(
            box,
            _buckle_side(pattern, near, shapes, buckle) + _ring_in_fold(pattern, near, bow),
            tr("The collar as worn, from the buckle's side"),
            "worn",
        ),
        Figure(
            box,
            _ring_side(pattern, far, shapes if same else _round_the_neck(pattern, far), bow),
            tr("The collar as worn, from the ring's side")
            if pattern.layout.tab_half
            else tr("The collar as worn, from behind"),
            "worn",
        ),
    )


def _round_the_neck(pattern: CollarPattern, view: View) -> tuple[str, ...]:
    """The form and the strap: a straight strap is seen alike from everywhere."""
    layout = pattern.layout
    if layout.swell is None:
        return collar(view, layout.grooves)
    return swollen(view, layout)


def _past_the_nape(pattern: CollarPattern) -> float:
    """How far past the nape the eye looks [rad]: far enough to read the lettering, if there is any."""
    nape = pattern.layout.fold + pattern.fit.flat / 2
    turn, read = (
        tau / pattern.fit.flat,
        [mark for mark in pattern.strap.marks if mark.kind in ("lettering", "plate") and mark.x > nape],
    )
    if not read:
        return LEAST
    if not pattern.layout.tab_half:  # no ring is to be seen as well
        return min(pi / 2, (read[0].x - nape) * turn)
    last = max(mark.x + (mark.length or 0.0) / 2 for mark in read)
    return max(LEAST, min(MOST, max(0.58 * (read[0].x - nape) * turn, (last - nape) * turn - LEGIBLE)))


def _view(pattern: CollarPattern, turned: float) -> View:
    layout, fit = pattern.layout, pattern.fit
    thick, lining = pattern.fittings.thickness, pattern.fittings.lining
    deep = thick + (0.0 if lining is None else lining.padding)
    scale = RADIUS / (fit.inside_girth / tau + deep)
    return View(
        turned,
        scale,
        fit.flat,
        layout.width * scale,
        thick * scale,
        fit.neck / tau * scale,
        pattern.strap.width * scale,
        deep * scale,
    )


def _box(view: View, points: Iterable[Point]) -> Box:
    """Return the view box round strap, form and these points, with a margin; its middle is the neck's."""
    half, rise = view.widest / 2, view.neck * SIN_TILT
    broad = RADIUS + KEEPER * view.thick
    tall = (half + view.thick) * COS_TILT + broad * SIN_TILT
    xs, ys = zip(*points, strict=True)
    wide = max(broad, *xs, -min(xs)) + MARGIN
    top = min(-(half + ABOVE) * COS_TILT - rise, -tall, *ys) - MARGIN
    return -wide, top, 2 * wide, max((half + BELOW) * COS_TILT + rise, tall, *ys) + MARGIN - top


def _look(pattern: CollarPattern, side: str) -> Look:
    fittings = pattern.fittings
    slotted = fittings.tab_fastener.kind == "screw-post"
    inside = "" if fittings.lining is None else fittings.lining.colour
    return look(side, fittings.colour, fittings.finish.colour, inside, slotted=slotted)


def _buckle_side(pattern: CollarPattern, view: View, shapes: tuple[str, ...], buckle: Buckle) -> str:
    own, bar = _look(pattern, "buckle"), view.angle(0.0)
    shoulder = bar + (pattern.layout.length - pattern.layout.target - pattern.layout.taper) * tau / view.flat
    tail, metal = _tail(pattern, view, own), rod(own, frame(buckle), buckle.wire)
    decoration, letters = _decoration(pattern, view, own)
    return "".join(
        (
            _edge(own, view.beyond(bar, shoulder, view.width / 2, view.thick)),
            own.ground % shapes,
            decoration,
            # The strap's end lies over the bar, and a heel bar is a side of the frame.
            *((metal, tail) if pattern.spec.style == "heel-bar" else (tail, metal)),
            _prong(pattern, view, own, buckle),
            _keepers(pattern, view, own),
            letters,
        )
    )


def _ring_side(pattern: CollarPattern, view: View, shapes: tuple[str, ...], bow: tuple[Point, ...]) -> str:
    own = _look(pattern, "ring")
    ring = edge = ""
    if pattern.layout.tab_half:
        ring, span = _ring(pattern, view, own, bow), _tab_span(pattern, view)
        edge = _edge(own, view.beyond(*span, view.width / 2, view.thick))
    decoration, letters = _decoration(pattern, view, own)
    # The letters' shapes come last: on a page, compressing finds them again in the flat strap, if it is near.
    return edge + own.ground % shapes + decoration + ring + letters


def _edge(own: Look, d: str) -> str:
    return path(d, fill=tone(own.leather, -0.55)) if d else ""


def _tab_span(pattern: CollarPattern, view: View) -> tuple[float, float]:
    """The angles from the eye [rad] between which the ring tab lies."""
    layout, turn = pattern.layout, tau / view.flat
    middle = view.angle(layout.ring - layout.fold)
    start, end = (middle + (x - layout.ring) * turn for x in layout.tab_span)
    return start, end


def _ring_in_fold(pattern: CollarPattern, view: View, bow: tuple[Point, ...]) -> str:
    """The bow of a ring whose straight side lies between the legs of the fold; the tail goes under it."""
    if pattern.layout.tab_half:
        return ""
    wire = pattern.fittings.ring.wire * view.scale
    return rod(_look(pattern, "buckle"), f"M{run(bow[:1])}C{run(bow[1:])}", wire)


def _round(view: View, brush: Brush, angles: Iterable[float], radius: float, off: float = 0.0) -> str:
    """Draw something round, such as a stud, on the strap's middle at every angle that is seen."""
    return "".join([brush.draw(view.lying(angle, 0, radius / 10, off)) for angle in angles if seen(angle)])


def _ring(pattern: CollarPattern, view: View, own: Look, bow: tuple[Point, ...]) -> str:
    """The ring tab and the D-ring."""
    layout, fittings = pattern.layout, pattern.fittings
    middle = view.angle(layout.ring - layout.fold)
    turn = tau / view.flat
    rivets = (middle + (x - layout.ring) * turn for x in layout.tab_rivets)
    tab = view.strip(*_tab_span(pattern, view), view.width / 2, view.thick)
    wire = fittings.ring.wire * view.scale
    return "".join(
        (
            laid_on(view, own, tab),
            _round(view, own.cap, rivets, fittings.tab_fastener.cap / 2 * view.scale, view.thick),
            rod(own, f"M{run(bow[:1])}C{run(bow[1:])}Z", wire),
            _bridge(view, own, middle, wire),
        )
    )


def _bow(pattern: CollarPattern, view: View, way: int = -1) -> tuple[Point, ...]:
    """The D-ring's bow, swung along the strap or back, so that it is seen from its side: two bends."""
    wire = pattern.fittings.ring.wire * view.scale
    half = view.width / 2 + wire * 0.75
    angle, lean = view.angle(pattern.layout.ring - pattern.layout.fold), radians(30)
    x, y = view.at(angle, 0.0, view.thick)
    side = sin(lean) * sin(angle) + way * cos(lean) * cos(angle)
    depth = sin(lean) * cos(angle) - way * cos(lean) * sin(angle)
    # A D is a little squarer than a half circle: it leaves the straight side at right angles.
    places = ((0, 1), (0.95, 1), (1.5, 0.62), (1.5, 0), (1.5, -0.62), (0.95, -1), (0, -1))
    return tuple(
        (x + half * out * side, y + half * (out * depth * SIN_TILT - up * COS_TILT)) for out, up in places
    )


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
    return own.hump.draw(f"M{run(points)}Z") + own.crest.draw(f"M{run(crest)}")


def _decoration(pattern: CollarPattern, view: View, own: Look) -> tuple[str, str]:
    """What adorns the strap, and the shapes of its letters, which it uses by their name."""
    layout, stud = pattern.layout, pattern.fittings.stud
    caps = ""
    if stud is not None:
        size = stud.diameter / 20 * view.scale
        studs = (mark for mark in pattern.strap.marks if mark.kind == "stud")
        places = ((view.angle(mark.x - layout.fold), mark.y * view.scale) for mark in studs)
        caps = "".join([own.stud.draw(view.lying(angle, y, size)) for angle, y in places if seen(angle)])
    plates = worn_plates(pattern, view, own)
    letters, shapes = _lettering(pattern, view, own)
    seam = swollen_seam(pattern, view, own.words)
    return seam + on_planes(view, _rows(pattern, own)) + caps + letters + plates, shapes


def _rows(pattern: CollarPattern, own: Look) -> Iterator[Row]:
    """What repeats along both edges: stitches, the border's stamps, the lace."""
    seam = seam_row(pattern, own.words)
    if seam is not None:
        yield seam
    for kind, pair in (("border", _stamps), ("lacing", _laces)):
        marks = [mark for mark in pattern.strap.marks if mark.kind == kind]
        if marks:
            name, fold = f"{own.words}-{kind}", pattern.layout.fold
            runs = tuple((x - fold, step, count) for x, step, count in runs_of(marks))
            yield Row(name, runs, partial(grouped, name, pair(marks[0], own.leather), border_step(marks[0])))


def _stamps(mark: Mark, leather: str) -> str:
    """A stamp at each edge; a light edge makes it look sunk."""
    shape = stamp_pair(mark.name, abs(mark.y))
    light = path(shape, fill=raised(leather), fill_opacity=0.55, transform=LIGHT)
    return light + path(shape, fill=pressed(leather))


def _laces(mark: Mark, leather: str) -> str:
    return stitch_pair(mark.name, abs(mark.y), border_step(mark), leather)


def _lettering(pattern: CollarPattern, view: View, own: Look) -> tuple[str, str]:
    """Letters pressed into the leather, each turned with the strap; a light edge makes them look sunk."""
    stamps = pattern.fittings.stamps
    if stamps is None:
        return "", ""
    mark = next(mark for mark in pattern.strap.marks if mark.kind == "lettering")
    x = mark.x - (mark.length or 0.0) / 2 - pattern.layout.fold
    letters: list[str] = []
    for character in mark.text or "":
        advance = stamps.advances[character] * stamps.height
        angle = view.angle(x + advance / 2)
        x += advance + stamps.gap
        if character != " " and seen(angle):
            shape = outline_of(character, stamps.height)
            letters.append(turned(shape, view.lying(angle, 0, view.scale / FINE)))
    if not letters:
        return "", ""
    paint = paint_of(pattern.spec)
    light = again(own.words, fill=raised(own.leather), fill_opacity=0.55, transform="translate(5 8)")
    inked = again(own.words, fill=paint.colour if paint else pressed(own.leather))
    return light + inked, named("".join(letters), own.words)


def _tail(pattern: CollarPattern, view: View, own: Look) -> str:
    """The end of the strap past the buckle, lying on its beginning, with the holes either side of the bar."""
    layout = pattern.layout
    radius = layout.hole_diameter / 2 * view.scale
    bar, turn = view.angle(0.0), tau / view.flat
    before = (bar + (x - layout.target) * turn for x in layout.holes if x < layout.target)
    after = (bar + (x - layout.target) * turn for x in layout.holes if x > layout.target)
    return "".join(
        (
            _round(view, own.hole, before, radius),
            laid_on(view, own, _tail_face(pattern, view, bar)),
            _tail_grooves(pattern, view, bar, own),
            tail_seam(pattern, view, own.words),
            _round(view, own.hole, after, radius, view.thick),
        )
    )


def _tail_grooves(pattern: CollarPattern, view: View, bar: float, own: Look) -> str:
    """The edge grooves past the bar; they end where the tip begins."""
    layout, off = pattern.layout, view.thick
    shoulder = bar + (layout.length - layout.target - layout.taper) * tau / view.flat
    heights = [view.width / 2 - inset * view.scale for inset in layout.grooves]
    lines = [
        f"M{run((view.at(bar, y, off),))}{view.along(min(shoulder, QUARTER), y, off)}"
        for height in heights
        for y in (height, -height)
    ]
    return own.groove.draw("".join(lines)) if lines else ""


def _tail_face(pattern: CollarPattern, view: View, bar: float) -> str:
    """Path data of the strap past the bar: it rises on to its own beginning just before it."""
    half = view.width / 2
    rise = bar - 6 * view.thick / RADIUS
    low, high = view.at(rise, 20 - half), view.at(rise, half - view.thick * SIN_TILT)
    return f"M{run((low,))}L{_round_the_end(pattern, view, bar)[1:]}L{run((high,))}"


def _round_the_end(pattern: CollarPattern, view: View, bar: float) -> str:
    """Path data from the bar round the strap's end and back."""
    spec, layout, turn = pattern.spec, pattern.layout, tau / view.flat
    half, off = view.width / 2, view.thick
    shoulder = bar + (layout.length - layout.target - layout.taper) * turn
    last = min(shoulder, QUARTER)  # an end that reaches behind the neck stops where it goes out of sight
    start = run((view.at(bar, -half, off),))
    there, back = view.along(last, -half, off), view.along(bar, half, off, back=True)
    ends = [
        view.at(min(shoulder + x * turn, QUARTER), y * view.scale, off) for x, y in _end_of(layout, spec.end)
    ]
    return f"M{start}{there}{'L' if spec.end == 'square' else 'C'}{run(ends)}{back}"


def _end_of(layout: Layout, end: End) -> tuple[Point, ...]:
    """The end from shoulder to shoulder, in mm past the shoulder and mm up: corners, or ends of bends."""
    half = layout.width / 2
    if end == "square":
        corner = half - layout.taper
        return (0.0, -half), (layout.taper, -corner), (layout.taper, corner), (0.0, half)
    return end_bends(end_radius(end, layout.width), half)


def _prong(pattern: CollarPattern, view: View, own: Look, buckle: Buckle) -> str:
    """The prong, out of the target hole and over the frame's far side."""
    size = pattern.layout.hole_diameter / 2 * view.scale
    line = run((buckle.at(0.0, 0.0), buckle.at(-buckle.reach - buckle.wire * 0.3, 0.0)))
    prong = rod(own, f"M{line}", pattern.fittings.buckle.prong * view.scale)
    return _round(view, own.hole, (view.angle(0.0),), size, view.thick) + prong


def _keepers(pattern: CollarPattern, view: View, own: Look) -> str:
    """The fixed keeper between the fold's rivets, and the sliding one just before the tail narrows."""
    layout = pattern.layout
    fixed = None if layout.keeper is None else layout.keeper - layout.fold
    drawn = []
    for part in pattern.parts:
        if part.name == "keeper" and fixed is not None:
            drawn.append(_keeper(part, fixed, view, own))
        elif part.name == "sliding-keeper":
            narrows = layout.length - layout.target - layout.taper
            least = 0.0 if fixed is None else fixed + 1.5 * part.width
            drawn.append(_keeper(part, max(narrows - part.width, least), view, own))
    return "".join(drawn)


def _keeper(part: Part, at: float, view: View, own: Look) -> str:
    turn = tau / view.flat
    start = view.angle(at - part.width / 2)
    if not seen(start):
        return ""
    half, off = view.width / 2 + view.thick * 0.8, KEEPER * view.thick
    end, inset = start + part.width * turn, 0.16 * part.width * turn
    grooves = (
        f"M{run((view.at(angle, half, off), view.at(angle, -half, off)))}"
        for angle in (start + inset, end - inset)
    )
    return laid_on(view, own, view.strip(start, end, half, off)) + own.groove.draw("".join(grooves))
