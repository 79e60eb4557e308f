"""A limited-slip collar from above, tight and open, true to scale; and its two blanks laid flat."""

from collections.abc import Callable
from math import cos, pi, sin, sqrt, tau

from service.colour import contrast
from service.design import Mark, Part, SlipPattern
from service.drawing.elements import Figure, disc, group, line, path, words
from service.drawing.flat import (
    INK,
    PIECE,
    TEXT,
    FlatStrap,
    above_for,
    detail_notes,
    drawn_labels,
    face_paint,
    flat_pieces,
    ruler,
    side_by_side,
    trimmings,
)
from service.drawing.palette import pressed, tone
from service.drawing.row_cuts import Rows, even_rows
from service.geometry import Point
from service.language import mark, spoken, tr
from service.units import System, show_both, show_inches, show_mm

FUR, HEAD = "#cbd4cf", "#4d5a56"
"""The neck, and the outline of the head that has to pass."""
MARGIN = 12.0
"""Kept free round what is drawn [mm]."""
LETTERS = 0.085
"""Height of the letters in a picture's widths."""
CAP = 1.8
"""How high a rivet's cap stands on the leather [mm]. By eye."""
DASHED: dict[str, str | float] = {"stroke_width": 0.8, "stroke_dasharray": "3 2.4"}
OUTSIDE = "outside"
"""What the names in the drawing of the strap's outside begin with."""
FROM_END = mark("The flat strap, part {number} of {count}, from either end")


def slip_views(pattern: SlipPattern, system: System) -> tuple[tuple[str, Figure], ...]:
    """Return the collar from above, pulled tight and open, both of one scale and frame.

    What adorns it can't be seen from there: if there is any, its outside is the third.
    """
    layout, fit, ring = pattern.layout, pattern.fit, pattern.fittings.ring
    depth = layout.bars / 2
    leg = layout.span - ring.wire / 2
    high = max(
        _radius(fit.tight) + sqrt(leg * leg - ring.wire * ring.wire / 4) + depth,
        _radius(fit.open) + depth,
    )
    wide = _radius(fit.open) + layout.thickness + MARGIN
    low = wide + 2 * wide * LETTERS * 2.7  # two lines under it
    box = (-wide, -high - MARGIN, 2 * wide, high + MARGIN + low)
    tight = tr("Pulled tight, inside"), show_both(fit.tight, system)
    wide_open = tr("Open, inside"), show_both(fit.open, system)
    return (
        (
            "worn-tight",
            Figure(box, _from_above(pattern, tight, box), tr("Seen from above, pulled tight"), "worn tall"),
        ),
        (
            "worn-open",
            Figure(
                box,
                _from_above(pattern, wide_open, box, opened=True),
                tr("Seen from above, open"),
                "worn tall",
            ),
        ),
        *_outside(pattern),
    )


def _outside(pattern: SlipPattern) -> tuple[tuple[str, Figure], ...]:
    """The strap from ring to ring with what is on it, laid straight; nothing of one that is plain."""
    letters, rest = trimmings(pattern, own=OUTSIDE)
    if not letters and not rest:
        return ()
    strap, fittings, layout = pattern.strap, pattern.fittings, pattern.layout
    start, end, half = layout.fold, strap.length - layout.fold, strap.width / 2
    leather, metal, wire = fittings.colour, fittings.finish.colour, fittings.ring.wire
    bow = half + wire / 2
    ends = "".join(
        f"M{x:.2f} {-bow:.2f}A{bow:.2f} {bow:.2f} 0 0 {way} {x:.2f} {bow:.2f}Z"
        for x, way in ((start, 0), (end, 1))
    )
    ident, paint = face_paint(leather, half, f"{OUTSIDE}-")
    edge = line([(start, -half), (end, -half), (end, half), (start, half)], closed=True)
    grooves = "".join(line([(start, -one.y), (end, -one.y)]) for one in _of(strap, "groove"))
    rivets = [one.x for one in _of(strap, "rivet-hole") if start < one.x < end]
    caps = "".join(disc(x, 0.0, fittings.fastener.cap / 2) for x in rivets)
    content = (
        paint,
        _rod(ends, metal, wire),
        path(edge, fill=f"url(#{ident})", stroke=tone(leather, -0.45), stroke_width=0.5),
        path(grooves, fill="none", stroke=pressed(leather), stroke_width=0.4, stroke_opacity=0.6)
        if grooves
        else "",
        letters,
        path(caps, fill=metal, stroke=tone(metal, -0.55), stroke_width=0.5),
        rest,
    )
    aside = bow + wire + 4
    box = (start - aside, -aside, end - start + 2 * aside, 2 * aside)
    return (
        (f"worn-{OUTSIDE}", Figure(box, "".join(content), tr("The outside, laid straight"), "worn long")),
    )


def _rod(d: str, metal: str, wire: float) -> str:
    """A round wire along path data."""
    edge = path(d, fill="none", stroke=tone(metal, -0.6), stroke_width=wire + 1.0, stroke_linecap="round")
    return edge + path(d, fill="none", stroke=metal, stroke_width=wire, stroke_linecap="round")


def _radius(girth: float) -> float:
    return girth / tau


def _from_above(
    pattern: SlipPattern,
    said: tuple[str, str],
    box: tuple[float, float, float, float],
    *,
    opened: bool = False,
) -> str:
    layout, fit, fittings = pattern.layout, pattern.fit, pattern.fittings
    girth, bars = (fit.open, layout.open_bars) if opened else (fit.tight, layout.bars)
    leather, metal, thick, wire = (
        fittings.colour,
        fittings.finish.colour,
        layout.thickness,
        fittings.ring.wire,
    )
    radius = _radius(girth) + thick / 2
    bar = bars / 2 / radius
    bow = bar - (layout.bars / 2 - wire / 2) / radius
    edge = tone(leather, -0.5)

    def at(angle: float, off: float = 0.0) -> tuple[float, float]:
        return (radius + off) * sin(angle), -(radius + off) * cos(angle)

    def arc(start: float, end: float, off: float = 0.0) -> str:
        (x1, y1), (x2, y2) = at(start, off), at(end, off)
        r = radius + off
        return f"M{x1:.2f} {y1:.2f}A{r:.2f} {r:.2f} 0 {int(end - start > pi)} 1 {x2:.2f} {y2:.2f}"

    def band(d: str) -> str:
        return path(d, fill="none", stroke=edge, stroke_width=thick + 0.9, stroke_linejoin="round") + path(
            d, fill="none", stroke=leather, stroke_width=thick - 0.3, stroke_linejoin="round"
        )

    def rod(d: str) -> str:
        return _rod(d, metal, wire)

    end = bar + layout.fold / radius
    hub = (wire + thick) / 2
    # The plies part before the bar, whose middle lies between them, as the rings' do.
    parts = bar + 3 * hub / radius
    strap = band(arc(parts, tau - parts)) + band(arc(parts, end, thick)) + band(arc(-end, -parts, thick))
    wraps = "".join(band(_wrap(at, side * parts, side * bar, thick, hub)) for side in (1, -1))
    cap = fittings.fastener.cap / 2 / radius
    caps = "".join(
        arc(middle - cap, middle + cap, off)
        for x in (layout.reach, layout.reach + 25.4)
        for middle in (bar + x / radius, -bar - x / radius)
        for off in (thick * 1.5 + CAP / 2, -thick / 2 - CAP / 2)
    )
    rings = rod(arc(bow, bar, thick / 2) + arc(-bar, -bow, thick / 2))
    loop, lead = _loop(pattern, at, arc, bow, hub, opened=opened)
    neck = path(disc(0, 0, _radius(fit.neck)), fill=FUR, stroke=tone(FUR, -0.2), stroke_width=0.6)
    head = path(disc(0, 0, _radius(fit.head)), fill="none", stroke=HEAD, **DASHED)
    size = 2 * -box[0] * LETTERS
    named = words(tr("neck"), 0, size * 0.35, font_size=round(size * 0.8, 1), text_anchor="middle", fill=INK)
    if opened:  # a narrow gap between neck and head has no room for a word: it is beside a dash of the line
        small = round(size * 0.8, 1)
        named += words(tr("head"), size * 0.5, size * 1.5, font_size=small, text_anchor="middle", fill=HEAD)
        left = -size * (0.75 + 0.22 * len(tr("head")))
        named += path(f"M{left:.1f} {size * 1.25:.1f}h{size * 0.8:.1f}", stroke=HEAD, **DASHED)
    lines = "".join(words(text, 0, -box[0] + size * (1.1 + 1.2 * n)) for n, text in enumerate(said))
    foot = group(lines, font_size=round(size, 1), text_anchor="middle", fill=INK)
    rivet_edge = tone(metal, -0.55)
    return "".join(
        (
            neck,
            head if opened else "",
            rod(lead),
            band(loop),
            rings,
            strap,
            wraps,
            path(caps, fill="none", stroke=rivet_edge, stroke_width=CAP + 0.6, stroke_linecap="round"),
            path(caps, fill="none", stroke=metal, stroke_width=CAP - 0.4, stroke_linecap="round"),
            named,
            foot,
        )
    )


def _wrap(at: Callable[..., Point], parts: float, bar: float, thick: float, hub: float) -> str:
    """Path data of the fold round a ring's bar: both plies swing out to it from where they part."""
    inner, outer, half = thick / 2 - hub, thick / 2 + hub, (parts + bar) / 2
    there = f"M{_two(at(parts))}C{_two(at(half))} {_two(at(half, inner))} {_two(at(bar, inner))}"
    turn = f"A{hub:.2f} {hub:.2f} 0 0 {bar < 0:d} {_two(at(bar, outer))}"
    return f"{there}{turn}C{_two(at(half, outer))} {_two(at(half, thick))} {_two(at(parts, thick))}"


def _two(point: tuple[float, float]) -> str:
    return f"{point[0]:.2f} {point[1]:.2f}"


def _loop(
    pattern: SlipPattern,
    at: Callable[..., Point],
    arc: Callable[..., str],
    bow: float,
    hub: float,
    *,
    opened: bool,
) -> tuple[str, str]:
    """Path data of the loop, round both bows, and of the lead's ring, which hangs in it."""
    layout, ring = pattern.layout, pattern.fittings.ring
    depth, lift = layout.bars / 2, layout.thickness / 2
    inner, turn = arc(-bow, bow, lift - hub), f"A{hub:.2f} {hub:.2f} 0 0"
    if opened:
        outer = arc(-bow, bow, lift + hub)
        there = f"M{_two(at(bow, lift - hub))}{turn} 0 {_two(at(bow, lift + hub))}"
        back = f"M{_two(at(-bow, lift - hub))}{turn} 1 {_two(at(-bow, lift + hub))}"
        top = at(0.0, lift + hub)[1]
        return inner + outer + there + back, f"M0 {top:.2f}V{top - depth:.2f}"
    leg = layout.span - ring.wire / 2
    peak = at(0.0, lift + hub)[1] - sqrt(leg * leg - ring.wire * ring.wire / 4)
    beside = bow - hub / at(0.0)[1]  # each leg comes up past the far side of its bow
    left, right = _two(at(-beside, lift)), _two(at(beside, lift))
    up = f"{turn} 0 {right}L2 {peak:.2f}H-2L{left}{turn} 0 {_two(at(-bow, lift - hub))}Z"
    return inner + up, f"M0 {peak:.2f}V{peak - depth:.2f}"


def slip_flat(pattern: SlipPattern, system: System) -> tuple[Figure, ...]:
    """Return the flat strap in pieces that wrap to as many rows as needed."""
    strap = pattern.strap
    rows = even_rows(pattern, PIECE)
    above, labels = _labels(strap, rows)
    notes = labels + ruler(strap.width, strap.length, rows, system)
    return flat_pieces(FlatStrap(_piece(pattern, strap), notes, rows, strap.width / 2, above), FROM_END)


def slip_details(pattern: SlipPattern) -> tuple[tuple[str, str, Figure], ...]:
    """Return the control loop's blank, whose two ends are alike, with the distances of its rivets."""
    loop = pattern.loop
    near = (0.0, *(one.x for one in loop.marks if one.x < loop.length / 2))
    says = tr(
        "from either end, mm and inches; {mm} ({inches}) long",
        mm=show_mm(loop.length),
        inches=show_inches(loop.length),
    )
    box, notes = detail_notes(loop.width, near, (-9.0, loop.length + 9.0), says, spoken())
    name = tr(loop.title)
    figure = Figure(box, _piece(pattern, loop) + notes, tr("{part}: {says}", part=name, says=says), "detail")
    return (("loop", name, figure),)


def _piece(pattern: SlipPattern, part: Part) -> str:
    """A blank with what is punched, folded and put on it."""
    leather, half = pattern.fittings.colour, part.width / 2
    ident, paint = face_paint(leather, half)
    light = max(INK, tone(leather, 0.75), key=lambda ink: contrast(ink, leather))
    edge = line([(0, -half), (part.length, -half), (part.length, half), (0, half)], closed=True)
    holes = "".join(disc(one.x, 0.0, (one.diameter or 0) / 2) for one in _of(part, "rivet-hole"))
    folds = "".join(line([(one.x, -half), (one.x, half)]) for one in _of(part, "fold"))
    grooves = "".join(line([(0, -one.y), (part.length, -one.y)]) for one in _of(part, "groove"))
    strap = part is pattern.strap
    letters, rest = trimmings(pattern) if strap else ("", "")
    return "".join(
        (
            paint if strap else "",
            path(edge, fill=f"url(#{ident})", stroke=tone(leather, -0.45), stroke_width=0.5),
            path(grooves, fill="none", stroke=pressed(leather), stroke_width=0.4, stroke_opacity=0.6)
            if grooves
            else "",
            letters,
            path(holes, fill="#e9ecea", stroke=pressed(leather), stroke_width=0.5),
            path(folds, fill="none", stroke=light, stroke_width=0.45, stroke_dasharray="2.4 1.6")
            if folds
            else "",
            rest,
        )
    )


def _of(part: Part, kind: str) -> list[Mark]:
    return [one for one in part.marks if one.kind == kind]


def _labels(strap: Part, rows: Rows) -> tuple[float, str]:
    """How high they reach [mm]; what each end's marks are called, above the strap."""
    y = -strap.width / 2 - 4.5
    xs = sorted(one.x for one in _of(strap, "rivet-hole"))[:4]
    near = [
        ((xs[0] + xs[1]) / 2, tr("rivets")),
        (_of(strap, "fold")[0].x, tr("ring")),
        ((xs[2] + xs[3]) / 2, tr("rivets")),
    ]
    both = [*near, *((strap.length - x, name) for x, name in reversed(near))]
    placed = side_by_side(((name, x) for x, name in both), rows)
    return above_for(placed), group(drawn_labels(placed, y), font_size=TEXT, text_anchor="middle", fill=INK)
