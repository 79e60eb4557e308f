"""A limited-slip collar from above, tight and open, true to scale; and its two blanks laid flat."""

from collections.abc import Callable
from math import ceil, cos, pi, sin, sqrt, tau

from service.colour import contrast
from service.design import Mark, Part, SlipPattern
from service.drawing.elements import Figure, disc, group, line, moved, path, words
from service.drawing.flat import (
    INK,
    PIECE,
    TEXT,
    FlatStrap,
    face_paint,
    flat_pieces,
    ruler,
    side_by_side,
    trimmings,
)
from service.drawing.palette import pressed, tone
from service.geometry import Point
from service.language import mark, tr
from service.units import System, show_both, show_mm

FUR, HEAD = "#cbd4cf", "#4d5a56"
"""The neck, and the outline of the head that has to pass."""
MARGIN = 12.0
"""Kept free round what is drawn [mm]."""
LETTERS = 0.085
"""Height of the letters in a picture's widths."""
FROM_END = mark("The flat strap, part {number} of {count}, from either end")


def slip_views(pattern: SlipPattern, system: System) -> tuple[tuple[str, Figure], ...]:
    """Return the collar from above, pulled tight and open, both of one scale and frame."""
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
    )


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
        return path(
            d, fill="none", stroke=tone(metal, -0.6), stroke_width=wire + 1.0, stroke_linecap="round"
        ) + path(d, fill="none", stroke=metal, stroke_width=wire, stroke_linecap="round")

    leg = layout.fold / radius
    hub = (wire + thick) / 2
    strap = band(arc(bar, tau - bar)) + band(arc(bar, bar + leg, thick)) + band(arc(-bar - leg, -bar, thick))
    wraps = "".join(
        band(
            f"M{_two(at(side * bar, -hub))}A{hub:.2f} {hub:.2f} 0 0 {side < 0:d} {_two(at(side * bar, hub))}"
        )
        for side in (1, -1)
    )
    rivets = (layout.reach, layout.reach + 25.4)
    caps = "".join(
        disc(*at(side * (bar + x / radius), thick * 1.5), 1.9)
        + disc(*at(side * (bar + x / radius), -thick * 0.5), 1.9)
        for side in (1, -1)
        for x in rivets
    )
    rings = rod(arc(bow, bar) + arc(-bar, -bow))
    loop, lead = _loop(pattern, at, arc, bow, hub, opened=opened)
    neck = path(disc(0, 0, _radius(fit.neck)), fill=FUR, stroke=tone(FUR, -0.2), stroke_width=0.6)
    head = path(
        disc(0, 0, _radius(fit.head)), fill="none", stroke=HEAD, stroke_width=0.8, stroke_dasharray="3 2.4"
    )
    size = 2 * -box[0] * LETTERS
    named = words(tr("neck"), 0, size * 0.35, font_size=round(size * 0.8, 1), text_anchor="middle", fill=INK)
    if opened:
        named += words(
            tr("head"),
            0,
            _radius(fit.head) - size * 0.5,
            font_size=round(size * 0.8, 1),
            text_anchor="middle",
            fill=HEAD,
        )
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
            path(caps, fill=metal, stroke=rivet_edge, stroke_width=0.5),
            named,
            foot,
        )
    )


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
    depth = layout.bars / 2
    inner = arc(-bow, bow, -hub)
    if opened:
        outer = arc(-bow, bow, hub)
        turn = f"M{_two(at(bow, -hub))}A{hub:.2f} {hub:.2f} 0 0 0 {_two(at(bow, hub))}"
        back = f"M{_two(at(-bow, -hub))}A{hub:.2f} {hub:.2f} 0 0 1 {_two(at(-bow, hub))}"
        top = at(0.0, hub)[1]
        return inner + outer + turn + back, f"M0 {top:.2f}V{top - depth:.2f}"
    leg = layout.span - ring.wire / 2
    (x, y), (_, low) = at(bow, hub), at(0.0, hub)
    peak = low - sqrt(leg * leg - ring.wire * ring.wire / 4)
    side = x + hub
    return (
        inner + f"M{-side:.2f} {y:.2f}L-2 {peak:.2f}H2L{side:.2f} {y:.2f}",
        f"M0 {peak:.2f}V{peak - depth:.2f}",
    )


def slip_flat(pattern: SlipPattern, system: System) -> tuple[Figure, ...]:
    """Return the flat strap in pieces that wrap to as many rows as needed."""
    strap = pattern.strap
    count = max(1, ceil(strap.length / PIECE))
    size = strap.length / count
    notes = _labels(strap, size) + ruler(strap.width, strap.length, size, system)
    return flat_pieces(FlatStrap(_piece(pattern, strap), notes, size, count, strap.width / 2), FROM_END)


def slip_details(pattern: SlipPattern) -> tuple[tuple[str, str, Figure], ...]:
    """Return the control loop's blank, with the distances of its rivets."""
    loop = pattern.loop
    half, unit = loop.width / 2, loop.length * 0.034
    beside = unit * 1.5  # half of the longest number
    box = (-beside, -half - 6.0, loop.length + 2 * beside, loop.width + unit * 5 + 6.0)
    places = (0.0, *(one.x for one in loop.marks), loop.length)
    leads = "".join(
        line([(x, half + 1), (x, half + unit * (1.2 if n % 2 else 2.4))]) for n, x in enumerate(places)
    )
    labels = "".join(
        words(show_mm(x).removesuffix(" mm"), x, half + unit * (2.2 if n % 2 else 3.4))
        for n, x in enumerate(places)
    )
    notes = path(leads, fill="none", stroke=INK, stroke_width=0.3) + group(
        labels, font_size=round(unit, 2), text_anchor="middle", fill=INK
    )
    caption = tr("Control loop, mm from its end")
    return (("loop", caption, Figure(box, moved(_piece(pattern, loop), 0, 0) + notes, caption, "detail")),)


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


def _labels(strap: Part, size: float) -> str:
    """What each end's marks are called, above the strap."""
    y = -strap.width / 2 - 4.5
    xs = sorted(one.x for one in _of(strap, "rivet-hole"))[:4]
    near = [
        ((xs[0] + xs[1]) / 2, tr("rivets")),
        (_of(strap, "fold")[0].x, tr("ring")),
        ((xs[2] + xs[3]) / 2, tr("rivets")),
    ]
    both = [*near, *((strap.length - x, name) for x, name in reversed(near))]
    texts = "".join(words(name, x, y) for name, x in side_by_side(((name, x) for x, name in both), size))
    return group(texts, font_size=TEXT, text_anchor="middle", fill=INK)
