"""How a lead looks: the dog's end and the hand's end; between them the strap is broken off, not to scale.

Strap and metal lie face up, in mm; loops are ribbons that are seen from a little above.
"""

from collections.abc import Iterable, Iterator, Sequence
from math import ceil, floor

from service.design import LeadPattern, Mark, Part, Run
from service.drawing.elements import Figure, again, definitions, disc, gradient, group, line, named, path
from service.drawing.flat import trimmings
from service.drawing.motifs import border_step
from service.drawing.palette import pressed, tone
from service.geometry import Point
from service.language import tr

BILLET, LAP, ROOM = 63.5, 50.8, 12.7
"""A folded billet, a lap, and a billet's room before the strap's end [mm], as they are cut."""
RIVETS = (12.7, 38.1)
"""Rivets of a lap from where it begins [mm]."""
LOOP, BULGE = 203.2, 25.0
"""A handle's loop, and how far its two sides part as they are seen [mm]."""
BREAK = 70.0
"""So much strap is shown [mm] before it is broken off."""
BESIDE = 12.0
"""Kept free on all sides [mm]."""
FRAYED, TORN = 4.0, 14.0
"""What adorns a strap ends so far before a break, and what is broken off lies so far apart [mm]."""
LETTERED = ("lettering", "plate", "engraving", "code")
"""What is to be read."""
SIDE = 26.0
"""Half a picture's height at the least, in hundredths of its width: on a page two stand beside each other."""
Curve = tuple[Point, Point, Point, Point]


class _Brush:
    """The colours of one lead, and its half width [mm]."""

    def __init__(self, pattern: LeadPattern, view: str) -> None:
        fittings = pattern.fittings
        self.half = pattern.spec.width / 2
        self.leather, self.metal = fittings.colour, fittings.finish.colour
        self.pattern, self.view = pattern, view
        self.cap = fittings.end_fastener.cap / 2
        self.ident = f"{view}-face-{self.leather[1:]}"
        self.grooves = tuple(mark.y for mark in pattern.strap.marks if mark.kind == "groove")

    def paints(self) -> str:
        stops = [(0.0, tone(self.leather, 0.14), 1.0), (0.5, tone(self.leather, 0.02), 1.0)]
        stops.append((1.0, tone(self.leather, -0.2), 1.0))
        return definitions(gradient(self.ident, (0, -self.half, 0, self.half), stops))

    def face(self, d: str) -> str:
        return path(d, fill=f"url(#{self.ident})", stroke=tone(self.leather, -0.5), stroke_width=0.7)

    def lines(self, d: str) -> str:
        return path(d, fill="none", stroke=pressed(self.leather), stroke_width=0.5, stroke_opacity=0.65)

    def strip(self, start: float, end: float, *, torn_left: bool = False, torn_right: bool = False) -> str:
        """A run of strap from `start` to `end`, torn off where it goes on."""
        h = self.half
        right = _torn(end, h) if torn_right else f"L{end:.1f} {-h:.1f}V{h:.1f}"
        left = _torn(start, -h) if torn_left else f"H{start:.1f}"
        begin = f"M{start:.1f} {-h:.1f}"
        body = self.face(begin + right + left + "Z")
        grooves = "".join(f"M{start + 1.5:.1f} {y:.1f}H{end - 1.5:.1f}" for y in self.grooves)
        return body + (self.lines(grooves) if grooves else "")

    def lapped(self, start: float) -> str:
        """The end of a strap or billet that lies on another for a lap: its edge, and two rivets."""
        h = self.half
        edge = path(
            line([(start, -h), (start, h)]), fill="none", stroke=tone(self.leather, -0.6), stroke_width=1.1
        )
        return edge + self.rivets(start + at for at in RIVETS)

    def rivets(self, places: Iterator[float] | Sequence[float]) -> str:
        xs = tuple(places)
        caps = "".join(disc(x, 0.0, self.cap) for x in xs)
        lights = "".join(disc(x - self.cap * 0.25, -self.cap * 0.3, self.cap * 0.4) for x in xs)
        edge = tone(self.metal, -0.55)
        return path(caps, fill=self.metal, stroke=edge, stroke_width=0.6) + path(
            lights, fill=tone(self.metal, 0.65)
        )

    def trimmed(self, place: str, part: Part, shift: float, start: float, end: float) -> str:
        """What adorns a strap and is seen at a place from `start` to `end`, the strap so far to the right."""
        seen = tuple(_seen(part.marks, start - shift, end - shift))
        letters, rest = trimmings(self.pattern, seen, f"{self.view}-{place}-{part.name}")
        both = letters + rest
        return group(both, transform=f"translate({shift:.1f} 0)") if both else ""

    def ribbon(self, curve: Curve, *, inner: bool = False) -> str:
        """A strap on edge along a curve; its inner side is in the shade."""
        d = _ribbon(curve, self.half)
        if inner:
            return path(d, fill=tone(self.leather, -0.38), stroke=tone(self.leather, -0.6), stroke_width=0.7)
        grooves = "".join(_edge(curve, y) for y in self.grooves)
        return self.face(d) + (self.lines(grooves) if grooves else "")

    def rod(self, d: str, wire: float) -> str:
        """A round wire along path data."""
        fixed: dict[str, str | float] = {
            "fill": "none",
            "stroke_linecap": "round",
            "stroke_linejoin": "round",
        }
        return (
            path(d, stroke=tone(self.metal, -0.6), stroke_width=wire + 1.4, **fixed)
            + path(d, stroke=self.metal, stroke_width=wire, **fixed)
            + path(d, stroke=tone(self.metal, 0.6), stroke_width=wire * 0.3, stroke_opacity=0.8, **fixed)
        )


def _seen(marks: Iterable[Mark], start: float, end: float) -> Iterator[Mark]:
    """What adorns a strap from `start` to `end`; of a row along the edges so much of it as is there."""
    for one in marks:
        if one.kind in ("border", "lacing"):
            step, first = border_step(one), one.x - (one.length or 0.0) / 2
            low = max(0, ceil((start - first) / step))
            high = min(one.count or 0, floor((end - first) / step))
            if high > low:
                middle, count = first + (low + high) / 2 * step, high - low
                yield one._replace(x=middle, length=count * step, count=count)
        elif one.kind in ("stud", *LETTERED):
            half = (one.diameter or one.length or 0.0) / 2
            if start <= one.x - half and one.x + half <= end:
                yield one


def _torn(x: float, h: float) -> str:
    """A torn edge from one side of the strap to the other, at y = -h to h."""
    steps = ((0.0, -h), (3.0, -h * 0.5), (-2.0, 0.0), (3.0, h * 0.5), (0.0, h))
    return "".join(f"L{x + dx:.1f} {y:.1f}" for dx, y in steps)


def _edge(curve: Curve, dy: float) -> str:
    (ax, ay), (bx, by), (cx, cy), (ex, ey) = curve
    return f"M{ax:.1f} {ay + dy:.1f}C{bx:.1f} {by + dy:.1f} {cx:.1f} {cy + dy:.1f} {ex:.1f} {ey + dy:.1f}"


def _ribbon(curve: Curve, h: float) -> str:
    (ax, ay), (bx, by), (cx, cy), (ex, ey) = curve
    back = f"L{ex:.1f} {ey + h:.1f}C{cx:.1f} {cy + h:.1f} {bx:.1f} {by + h:.1f} {ax:.1f} {ay + h:.1f}Z"
    return _edge(curve, -h) + back


def _at(curve: Curve, t: float) -> Point:
    s = 1 - t
    weights = s * s * s, 3 * s * s * t, 3 * s * t * t, t * t * t
    x = sum(weight * point[0] for weight, point in zip(weights, curve, strict=True))
    return x, sum(weight * point[1] for weight, point in zip(weights, curve, strict=True))


def _loop(x: float, length: float, side: int) -> Curve:
    """One side of a loop that begins at x and reaches `length` from there; the near side is 1, the far -1."""
    return (
        (x, 0.0),
        (x + length * 0.42, side * BULGE * 0.1),
        (x + length * 1.01, side * BULGE * 1.9),
        (x + length, 0.0),
    )


def _plait(own: _Brush, curve: Curve) -> str:
    """Cords along a ribbon: by turns from one edge and the other, each ends under the next."""
    steps, runs = 15, []
    for n in range(2 * steps - 2):
        (ax, ay), (bx, by) = _at(curve, n / 2 / steps), _at(curve, (n / 2 + 1) / steps)
        side = own.half if n % 2 else -own.half
        runs.append(line([(ax, ay + side), (bx, by - side * 0.15)]))
    return path("".join(runs), fill="none", stroke=pressed(own.leather), stroke_width=1.3)


def _handle(own: _Brush, x: float, *, plaited: bool) -> str:
    """The handle of which the strap's end at x is a part: two plies over it, and the loop."""
    far, near = _loop(x, LOOP, -1), _loop(x, LOOP, 1)
    loop = own.ribbon(far, inner=True) + own.ribbon(near)
    if plaited:
        loop += _plait(own, near)
    return loop + own.strip(x - LAP, x) + own.lapped(x - LAP)


def _snap(own: _Brush, length: float, bar: float) -> str:
    """A snap: the far side of its eye at x = 0, its tip at -length."""
    side, neck = own.half + bar * 0.9, -length * 0.2
    eye = line([(bar * 0.8, -side), (-length * 0.1, -side)]) + (
        f"Q{neck:.1f} {-side:.1f} {neck:.1f} 0Q{neck:.1f} {side:.1f} {-length * 0.1:.1f} {side:.1f}"
        f"H{bar * 0.8:.1f}Z"
    )
    hook, wire = length * 0.15, max(3.5, length * 0.065)
    tip, root = -length + wire / 2, -length * 0.36
    turn = (tip - 2, -hook * 0.1)
    body = _edge(((root, 0.0), (root, -hook), (tip + hook, -hook * 1.15), turn), 0.0)
    body += _edge(
        (turn, (tip - 2, hook * 0.5), (tip + hook * 0.6, hook), (tip + hook * 1.6, hook * 0.8)), 0.0
    )
    gate = line([(root, 1.5), (tip + hook * 1.5, hook * 0.75)])
    swivel = line([(neck + 1.0, 0.0), (root, 0.0)])
    return own.rod(eye, bar) + own.rod(gate, wire * 0.55) + own.rod(body, wire) + own.rod(swivel, wire * 1.7)


def _snap_end(own: _Brush, pattern: LeadPattern, run: Run, end: float, *, torn: bool = True) -> str:
    """A snap in its billet, and the strap of a run from there to `end`."""
    snap = pattern.fittings.snap
    metal = "" if snap is None else _snap(own, snap.length, snap.bar)
    folded = pattern.spec.make == "one-piece"
    strap = own.strip(0.0 if folded else ROOM, end, torn_right=torn)
    cover = own.strip(0.0, BILLET)
    edge = path(
        line([(BILLET, -own.half), (BILLET, own.half)]),
        fill="none",
        stroke=tone(own.leather, -0.6),
        stroke_width=1.1,
    )
    shift = -BILLET if folded else ROOM
    clear = end - FRAYED if torn else end + ROOM - BILLET
    adorned = own.trimmed("snap", pattern.straps_of(run)[-1], shift, BILLET, clear)
    return metal + strap + adorned + cover + edge + own.rivets(ROOM + at for at in RIVETS)


def _ring(own: _Brush, pattern: LeadPattern, x: float) -> str:
    """An O-ring seen from its side, round x."""
    ring = pattern.fittings.ring
    if ring is None:
        return ""
    high, wide = (ring.inside + ring.wire) / 2, _ring_reach(pattern)
    bow = f"a{wide:.1f} {high:.1f} 0 1 0 "
    d = f"M{x - wide:.1f} 0{bow}{2 * wide:.1f} 0{bow}{-2 * wide:.1f} 0Z"
    return own.rod(d, ring.wire)


def _ring_reach(pattern: LeadPattern) -> float:
    """Half the width of a ring that is seen from its side [mm]."""
    ring = pattern.fittings.ring
    return 0.0 if ring is None else (ring.inside + ring.wire) / 2 * 0.55


def _turned(content: str, x: float, degrees: float = 0.0) -> str:
    return group(content, transform=f"translate({x:.1f} 0) rotate({degrees:g})")


def _dogs_end(own: _Brush, pattern: LeadPattern) -> tuple[str, float, float]:
    """The end on the dog, and from where to where it reaches [mm]."""
    make, snap = pattern.spec.make, pattern.fittings.snap
    long, main = 0.0 if snap is None else snap.length, pattern.runs[0]
    if make == "slip":
        return _noose(own, pattern), -LOOP, BILLET + BREAK
    if make == "coupler":
        wide = _ring_reach(pattern)
        span = 2 * wide - 8.0
        reach = 2 * ROOM + 2 * LAP + 40.0
        branch = _snap_end(own, pattern, pattern.runs[1], reach - ROOM, torn=False) + _covered(own, reach)
        name = f"{own.view}-branch"
        both = named(_turned(branch, -reach), name)
        both += "".join(again(name, transform=f"rotate({turn})") for turn in (13, -13))
        lead = _snap_end(own, pattern, main, BILLET + BREAK)
        return (
            both + _turned(lead, span + long) + _ring(own, pattern, wide - 4.0),
            -(reach + long),
            span + long + BILLET + BREAK,
        )
    if make == "traffic-loop":
        near = ROOM + LAP + 25.4
        far = near + LAP + 127.0
        end = far + LAP + 25.0
        arch: Curve = (
            (near + LAP, 0.0),
            (near + LAP + 25, 30.0),
            (far - 25, 30.0),
            (far, 0.0),
        )
        shade = path(_ribbon(arch, own.half), fill="#000", fill_opacity=0.22, transform="translate(0 5)")
        loop = own.strip(near, near + LAP) + own.strip(far, far + LAP)
        ends = own.lapped(near) + own.lapped(far)
        return _snap_end(own, pattern, main, end) + shade + loop + own.ribbon(arch) + ends, -long, end
    # Of two leads the last one, the short one, is on the dog.
    return _snap_end(own, pattern, pattern.runs[-1], BILLET + BREAK), -long, BILLET + BREAK


def _covered(own: _Brush, fold: float) -> str:
    """A billet that folds at `fold`, to the right, over the end of a strap."""
    return own.strip(fold - BILLET, fold) + own.lapped(fold - BILLET)


def _noose(own: _Brush, pattern: LeadPattern) -> str:
    """A slip lead's noose: the strap runs back through the ring at its end."""

    def mirrored(curve: Curve) -> Curve:
        a, b, c, e = ((-x, y) for x, y in curve)
        return a, b, c, e

    far, near = mirrored(_loop(0.0, LOOP, -1)), mirrored(_loop(0.0, LOOP, 1))
    wide = _ring_reach(pattern)
    through = own.strip(-2.0, BILLET + BREAK, torn_right=True)
    x, y = _at(far, 0.3) if pattern.spec.neck is not None else (2 * wide + 12.0, 0.0)
    high = own.half + 3.5
    stop = own.face(f"M{x - 7:.1f} {y - high:.1f}h14v{2 * high:.1f}h-14Z")
    if pattern.spec.neck is not None:
        stop += group(own.rivets((-3.4, 3.4)), transform=f"translate({x:.1f} {y:.1f})")
    billet = group(own.rivets((-47.0, -22.0)), transform="translate(0 3)")
    behind, before = (stop, "") if pattern.spec.neck is not None else ("", stop)
    return (
        own.ribbon(far, inner=True)
        + behind
        + through
        + _ring(own, pattern, wide)
        + own.ribbon(near)
        + billet
        + before
    )


def _hands_end(own: _Brush, pattern: LeadPattern) -> tuple[str, float, float]:
    """The end in the hand, and from where to where it reaches [mm]."""
    ring, snap, main = pattern.fittings.ring, pattern.fittings.snap, pattern.runs[0]
    hand, start = _held(own, pattern, main)
    if pattern.spec.make != "two-part" or ring is None or snap is None:
        return hand, start, LOOP
    # The short lead's handle, the long lead in it, and that one's own handle.
    wide = _ring_reach(pattern)
    snapped = LOOP + 2 * wide - 10.0 + snap.length
    end = snapped + BILLET + 30.0
    lead = _turned(_snap_end(own, pattern, main, BILLET + 30.0), snapped)
    short, left = _held(own, pattern, pattern.runs[1])
    joined = short + lead + _ring(own, pattern, LOOP + wide - 6.0)
    if not any(one.kind in LETTERED for one in pattern.strap.marks):
        return joined, left, end
    at = end + TORN - start
    return joined + _turned(hand, at), left, at + LOOP


def _held(own: _Brush, pattern: LeadPattern, run: Run) -> tuple[str, float]:
    """A run's strap with its handle from 0 on, and where it is broken off; all that is lettered is seen."""
    part, *others = pattern.straps_of(run)
    shift = (LOOP + LAP if pattern.spec.make == "one-piece" else 0.0) - part.length
    lettered = min((_left(one) + shift for one in part.marks if one.kind in LETTERED), default=0.0)
    clear = min(-(LAP + BREAK * 0.6), lettered - BESIDE)
    start = min(-(LAP + BREAK), clear)
    joint = ""
    if run.laps:
        joint, start = own.lapped(clear - LAP), clear - LAP - 48.0
    strap = own.strip(start, -2.0, torn_left=True)
    strap += own.trimmed("hand", part, shift, clear if run.laps else start + FRAYED, -LAP)
    if run.laps:
        before = next(iter(others), part)
        strap += own.trimmed("before", before, clear - before.length, start + FRAYED, clear - LAP)
    return strap + joint + _handle(own, 0.0, plaited=pattern.spec.make == "plaited-handle"), start


def _left(one: Mark) -> float:
    return one.x - (one.length or one.diameter or 0.0) / 2


def lead_views(pattern: LeadPattern) -> tuple[tuple[str, Figure], ...]:
    """Return both ends of a lead, each with the name it is kept under."""
    dogs, hands = _Brush(pattern, "dogs-end"), _Brush(pattern, "hands-end")
    slip = pattern.spec.make == "slip"
    first = tr("The noose of the slip lead") if slip else tr("The snap's end of the lead")
    return (
        ("worn-dogs-end", _framed(dogs, first, *_dogs_end(dogs, pattern))),
        ("worn-hands-end", _framed(hands, tr("The handle of the lead"), *_hands_end(hands, pattern))),
    )


def _framed(own: _Brush, label: str, content: str, start: float, end: float) -> Figure:
    left, wide = start - BESIDE, end - start + 2 * BESIDE
    high = max(wide * SIDE / 100, BULGE + own.half + BESIDE)
    return Figure((left, -high, wide, 2 * high), own.paints() + content, label, "worn")
