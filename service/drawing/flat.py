"""The flat strap, face up: in pieces that wrap to as many rows as needed, and details of both ends."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import count
from operator import itemgetter

from service.colour import contrast
from service.design import CollarPattern, Layout, Mark, Paint, Pattern, paint_of
from service.drawing.elements import (
    Figure,
    again,
    definitions,
    disc,
    gradient,
    group,
    line,
    moved,
    named,
    number,
    path,
    placed,
    words,
)
from service.drawing.lacing import stitch_pair
from service.drawing.letters import FINE, outline
from service.drawing.motifs import border_step, doubled, stamp_pair, stamped
from service.drawing.palette import engraved_in, pressed, raised, tone
from service.drawing.plates import code_on, engraving_path, plate_path, plate_rivets
from service.drawing.row_cuts import Rows, even_rows
from service.drawing.seam import flat_seam
from service.drawing.typeface import text_width
from service.geometry import Point, end_radius
from service.language import Language, mark, spoken, tr
from service.units import IN, System, show_inches, show_mm

PIECE = 192.0
"""Longest run of strap [mm] in one piece: on a phone's 330 px a 25 mm strap is 43 px high. Derived."""
ABOVE, BELOW = 15.0, 15.0
"""Room for labels above the strap and for the ruler below it [mm]."""
TEXT = 6.2
"""Height of small text [mm of strap]: 10 px or more on a phone."""
LINE = 6.8
"""From one line of labels to the next [mm]."""
BESIDE, NUMBER = 1.0, 4.8
"""A label keeps this far [mm] from what is beside it; what a hole's number takes either side, in its ring."""
OTHER_FONT = 1.15
"""A picture alone is shown in what font there is, which may set so much wider. By eye."""
AWAY, SAME = 40.0, 1e-6
"""A label that would be further [mm] from its place goes into the next line. By eye."""
ROOM = 3.5
"""A number on the ruler stays this far [mm] from the end of a piece, or is left out."""
WHOLE, BODY = '<use href="#flat-art"/>', '<use href="#flat-body"/>'
FROM_BUCKLE = mark("The flat strap, part {number} of {count}, from the buckle end")
INK = "#1e1a17"
FAINT = "#5c5650"


@dataclass(frozen=True, slots=True)
class FlatStrap:
    """The strap drawn once: `body` is leather and marks, `notes` the rest, shown in `rows`.

    `half` is half its width, `above` the room for what is said above it, both in mm.
    """

    body: str
    notes: str
    rows: Rows
    half: float
    above: float


def flat_strap(pattern: CollarPattern, system: System) -> FlatStrap:
    """Return the drawing of the flat strap and how many pieces it folds into."""
    layout, width = pattern.layout, pattern.strap.width
    rows = even_rows(pattern, PIECE)
    body = _leather(pattern) + flat_seam(pattern) + _marks(pattern)
    above, labels = _labels(layout, width / 2, rows)
    return FlatStrap(body, labels + ruler(width, layout.length, rows, system), rows, width / 2, above)


def flat_pieces(flat: FlatStrap, label: str = FROM_BUCKLE) -> tuple[Figure, ...]:
    """Return the pieces; the first holds the drawing, the others and the details use it by its id."""
    height = 2 * flat.half + flat.above + BELOW
    pieces = []
    for i in range(flat.rows.count):
        box = (flat.rows.span(i)[0], -flat.half - flat.above, flat.rows.size, height)
        content = group(group(flat.body, id="flat-body") + flat.notes, id="flat-art") if i == 0 else WHOLE
        said = tr(label, number=i + 1, count=flat.rows.count)
        pieces.append(Figure(box, content, said, "flat"))
    return tuple(pieces)


def _leather(pattern: CollarPattern) -> str:
    strap, leather = pattern.strap, pattern.fittings.colour
    half = strap.width / 2
    ident, face = face_paint(leather, half)
    d = _edge(pattern)
    grooves = "".join([_groove(mark) for mark in strap.marks if mark.kind == "groove"])
    return "".join(
        (
            face,
            path(d, fill=f"url(#{ident})", stroke=tone(leather, -0.45), stroke_width=0.5),
            path(grooves, fill="none", stroke=pressed(leather), stroke_width=0.4, stroke_opacity=0.6)
            if grooves
            else "",
        )
    )


def _groove(mark: Mark) -> str:
    return f"M{_through(mark.line)}" if mark.line else f"M0 {mark.y:.2f}H{mark.length:.2f}"


def _through(points: Iterable[Point]) -> str:
    """Path data through points [mm], y up."""
    return " ".join([f"{x:.2f} {-y:.2f}" for x, y in points])


@lru_cache(maxsize=256)
def face_paint(leather: str, half: float, own: str = "") -> tuple[str, str]:
    """Return the name and the definition of the face's paint on a strap of this half width [mm].

    `own` is what the name begins with, in a drawing that stands beside the flat strap's.
    """
    ident = f"{own}face-{leather[1:]}"
    stops = [
        (0.0, tone(leather, 0.10), 1.0),
        (0.5, tone(leather, 0.02), 1.0),
        (1.0, tone(leather, -0.16), 1.0),
    ]
    return ident, definitions(gradient(ident, (0, -half, 0, half), stops))


def _edge(pattern: CollarPattern) -> str:
    """Path data of the strap's edge; the ends' arcs stay arcs."""
    layout, end = pattern.layout, pattern.spec.end
    half, tip, start = layout.width / 2, layout.length, layout.length - layout.taper
    if layout.swell is not None:
        return f"M{_through(pattern.strap.outline)}Z"
    h, s, t = number(half), number(start), number(tip)
    if end == "square":
        c = number(half - layout.taper)
        return f"M0-{h}H{s}L{t}-{c}V{c}L{s} {h}H0Z"
    r = number(end_radius(end, layout.width))
    return f"M0-{h}H{s}A{r} {r} 0 0 1 {t} 0A{r} {r} 0 0 1 {s} {h}H0Z"


def _marks(pattern: CollarPattern) -> str:
    layout, fittings = pattern.layout, pattern.fittings
    leather = fittings.colour
    marks = pattern.strap.marks
    holes = "".join(
        [
            disc(mark.x, 0, (mark.diameter or 0) / 2)
            for mark in marks
            if mark.kind in ("rivet-hole", "size-hole")
        ]
    )
    letters, rest = trimmings(pattern)
    light = max(INK, tone(leather, 0.75), key=lambda ink: contrast(ink, leather))
    return "".join(
        (
            # First: on a page, compressing finds the letters of the worn view again, if they aren't too far.
            letters,
            path(holes + _slot(layout), fill="#e9ecea", stroke=pressed(leather), stroke_width=0.5),
            path(_across(layout), fill="none", stroke=light, stroke_width=0.45, stroke_dasharray="2.4 1.6"),
            path(_ring_tab(layout), fill="none", stroke=light, stroke_width=0.45, stroke_dasharray="1 1"),
            rest,
        )
    )


def trimmings(pattern: Pattern, marks: Sequence[Mark] | None = None, own: str = "flat") -> tuple[str, str]:
    """Return what is on a strap besides its holes: lettering, and studs, border and plates.

    It is the main strap of the pattern, or one with these marks; `own` is what its names begin with.
    """
    marks = pattern.strap.marks if marks is None else marks
    metal = pattern.fittings.finish.colour
    studs = [mark for mark in marks if mark.kind == "stud"]
    caps = "".join(disc(mark.x, 0.0 - mark.y, (mark.diameter or 0) / 2) for mark in studs)
    lights = "".join(disc(mark.x - 1, -1.2 - mark.y, (mark.diameter or 0) / 5) for mark in studs)
    rest = (
        path(caps, fill=metal, stroke=tone(metal, -0.55), stroke_width=0.5) if caps else "",
        path(lights, fill=tone(metal, 0.7)) if caps else "",
        _border(pattern, marks, own),
        _lacing(pattern, marks, own),
        _plates(pattern, marks),
    )
    return _lettering(pattern, marks, own), "".join(rest)


def _slot(layout: Layout) -> str:
    r = layout.slot_width / 2
    run = layout.slot_length - layout.slot_width
    start = layout.fold - run / 2
    return (
        f"M{start:.2f} {-r:.2f}h{run:.2f}a{r:.2f} {r:.2f} 0 0 1 0 {2 * r:.2f}"
        f"h{-run:.2f}a{r:.2f} {r:.2f} 0 0 1 0 {-2 * r:.2f}Z"
    )


def _across(layout: Layout) -> str:
    """Lines across the strap: the fold, the ring, and the keeper's two sides."""
    half = layout.width / 2
    xs = [layout.fold, layout.ring]
    if layout.keeper is not None:
        xs += [layout.keeper - 6, layout.keeper + 6]
    return "".join([f"M{x:.2f} {-half:.2f}V{half:.2f}" for x in xs])


def _ring_tab(layout: Layout) -> str:
    half, (start, end) = layout.width / 2 - 0.6, layout.tab_span
    if not layout.tab_rivets:
        return ""
    return f"M{start:.2f} {-half:.2f}H{end:.2f}V{half:.2f}H{start:.2f}Z"


def _lettering(pattern: Pattern, marks: Sequence[Mark], own: str) -> str:
    stamps = pattern.fittings.stamps
    mark = next((mark for mark in marks if mark.kind == "lettering"), None)
    if stamps is None or mark is None:
        return ""
    leather, paint = pattern.fittings.colour, paint_of(pattern.spec)
    d = outline(mark.text or "", (mark.x, 0.0), stamps.height, stamps.gap, stamps.advances)
    return _pressed_in(path(d, transform=f"scale({1 / FINE})"), f"{own}-words", leather, paint)


def _border(pattern: Pattern, every: Sequence[Mark], own: str) -> str:
    marks = [mark for mark in every if mark.kind == "border"]
    if not marks:
        return ""
    groups, pair = stamped(marks), path(stamp_pair(marks[0].name, abs(marks[0].y)))
    rows = "".join([placed(f"{own}-stamp-{n}").draw(f"translate({x:.3f})") for x, n in groups])
    stamps = doubled(f"{own}-stamp", pair, border_step(marks[0]), max(n for _, n in groups))
    return stamps + _pressed_in(rows, f"{own}-border", pattern.fittings.colour)


def _lacing(pattern: Pattern, every: Sequence[Mark], own: str) -> str:
    marks = [mark for mark in every if mark.kind == "lacing"]
    if not marks:
        return ""
    step = border_step(marks[0])
    pair = stitch_pair(marks[0].name, abs(marks[0].y), step, pattern.fittings.colour)
    groups = stamped(marks)
    rows = [placed(f"{own}-lace-{n}").draw(f"translate({x:.3f})") for x, n in groups]
    return doubled(f"{own}-lace", pair, step, max(n for _, n in groups)) + "".join(rows)


def _plates(pattern: Pattern, marks: Sequence[Mark]) -> str:
    """Plates riveted on, their rivets' caps, and what is engraved on them."""
    metal = pattern.fittings.finish.colour
    rows = {one.plate.code: one for one in pattern.fittings.plates}
    drawn = [
        path(plate_path(mark), fill=tone(metal, 0.12), stroke=tone(metal, -0.5), stroke_width=0.5)
        + path(
            "".join([disc(x, 0.0, one.fastener.cap / 2) for x in plate_rivets(one, mark)]),
            fill=metal,
            stroke=tone(metal, -0.55),
            stroke_width=0.5,
        )
        for mark in marks
        if mark.kind == "plate"
        for one in (rows[mark.name],)
    ]
    cut = "".join([engraving_path(mark) for mark in marks if mark.kind == "engraving"])
    ink = engraved_in(metal)
    drawn += (
        group(code_on(mark, f"translate({mark.x:.2f} 0)", 1.0), fill=ink)
        for mark in marks
        if mark.kind == "code"
    )
    return "".join(drawn) + (path(cut, fill=ink, transform=f"scale({1 / FINE})") if cut else "")


def _pressed_in(shapes: str, ident: str, leather: str, paint: Paint | None = None) -> str:
    """Shapes stamped into the leather, painted or not; a light edge makes them look sunk."""
    light = again(ident, fill=raised(leather), fill_opacity=0.5, transform="translate(.2 .35)")
    return named(shapes, ident) + light + again(ident, fill=paint.colour if paint else pressed(leather))


@lru_cache(maxsize=1024)
def _half(name: str) -> float:
    return text_width(name, TEXT) * OTHER_FONT / 2 + BESIDE


def _within(half: float, x: float, ends: tuple[float, float]) -> float:
    """Where to centre a label of half a width [mm] so that neither end cuts it."""
    return max(ends[0] + half, min(ends[1] - half, x))


def side_by_side(
    named: Iterable[tuple[str, float]], rows: Rows, numbered: Iterable[float] = ()
) -> tuple[tuple[str, float, int], ...]:
    """Return labels with where to centre them [mm], in which of a row's lines, counted from the strap.

    None is cut by a row's end or meets another: where the nearest line has no room left, it is in the next.
    Places that are `numbered` have a number over them in the first.
    """
    taken: dict[int, list[Taken]] = {}
    for x in numbered:
        taken.setdefault(rows.number(x), []).append((x - NUMBER, x + NUMBER, 0))
    placed = []
    for name, x in sorted(named, key=itemgetter(1)):
        number, half = rows.number(x), _half(name)
        here = taken.setdefault(number, [])
        at, in_line = next(_free(half, x, rows.span(number), here))
        here.append((at - half, at + half, in_line))
        placed.append((name, at, in_line))
    return tuple(placed)


Taken = tuple[float, float, int]
"""From where to where [mm] something is said, and in which line."""


def _free(
    half: float, x: float, ends: tuple[float, float], taken: Sequence[Taken]
) -> Iterator[tuple[float, int]]:
    """The places of a label that are free and near enough, line by line; each line the nearest."""
    wanted = _within(half, x, ends)
    for in_line in count():
        here = [(left, right) for left, right, there in taken if there == in_line]
        tries = (
            wanted,
            *(_within(half, one, ends) for left, right in here for one in (right + half, left - half)),
        )
        places = [
            at
            for at in tries
            if not any(left < at + half - SAME and at - half + SAME < right for left, right in here)
        ]
        at = min(places, key=lambda place: abs(place - x), default=None)
        if at is not None and (abs(at - x) <= AWAY or at == wanted):
            yield at, in_line


def drawn_labels(named: Iterable[tuple[str, float, int]], y: float) -> str:
    """Return labels as text whose lowest line stands at y [mm]."""
    return "".join([words(name, x, y - in_line * LINE) for name, x, in_line in named])


def above_for(named: Sequence[tuple[str, float, int]]) -> float:
    """Return how much room labels take above a strap [mm]."""
    return ABOVE + LINE * max((in_line for _, _, in_line in named), default=0)


def _labels(layout: Layout, half: float, rows: Rows) -> tuple[float, str]:
    """How high they reach [mm]; names above the strap, numbers above the holes, the target's in a ring."""
    y = -half - 4.5
    rivets = layout.rivets
    named = [
        (tr("rivets"), (rivets[0] + rivets[1]) / 2),
        (tr("fold"), layout.fold),
        (tr("rivets"), (rivets[2] + rivets[3]) / 2),
        *([(tr("ring tab"), layout.ring)] if layout.tab_half else []),
    ]
    if not layout.tab_half:
        named[2] = (tr("rivets and ring"), named[2][1])
    if layout.keeper is not None:
        named[2] = (tr("rivets and keeper"), named[2][1])
    placed = side_by_side(named, rows, layout.holes)
    texts = [drawn_labels(placed, y)]
    texts += [
        words(str(k), _within(_half(str(k)), x, rows.span(rows.number(x))), y, font_weight="bold")
        for k, x in enumerate(layout.holes, 1)
    ]
    edge = -layout.width / 2, -half  # a strap that swells is widest at its ring
    leads = "".join(
        [f"M{x:.2f} {y + 1.2:.2f}V{at:.2f}" for x, at in zip((layout.fold, layout.ring), edge, strict=True)]
    )
    target = path(disc(layout.target, y - 2.2, 4.4), fill="none", stroke=INK, stroke_width=0.6)
    return above_for(placed), (
        group("".join(texts), font_size=TEXT, text_anchor="middle", fill=INK)
        + target
        + path(leads, stroke=FAINT, stroke_width=0.35)
    )


def ruler(width: float, length: float, rows: Rows, system: System) -> str:
    """Return the distance from the cut end: a line, a tick each inch or centimetre, numbers at some."""
    step, each, unit = (IN, 2, tr("inches")) if system == "imperial" else (10.0, 5, "cm")
    y, end = width / 2 + 6.5, number(length)
    run = f"M0 {number(y)}H{end}"
    # A tick is a dash as long as the line is thin, on a line as broad as the tick is long.
    ticks = path(
        f"M-.2 {number(y - 1.2)}H{end}", stroke_width=2.4, stroke_dasharray=f"0.4 {step - 0.4:g}", **THIN
    )
    places = (
        i
        for i in range(each, int(length / step) + 1, each)
        if ROOM < (i * step - rows.start) % rows.size < rows.size - ROOM
    )
    numbers = "".join([_ruler_number(i, step) for i in places])
    low = group(
        numbers + _ruler_unit(unit),
        font_size=5.3,
        text_anchor="middle",
        fill=FAINT,
        transform=f"translate(0 {y + 6.6:.2f})",
    )
    return path(run, stroke_width=0.35, **THIN) + ticks + low


THIN: dict[str, str | float] = {"fill": "none", "stroke": FAINT}


@lru_cache(maxsize=128)
def _ruler_number(count: int, step: float) -> str:
    return words(str(count), count * step, 0)


@lru_cache(maxsize=8)
def _ruler_unit(name: str) -> str:
    return words(name, 1, 0, text_anchor="start")


def end_details(pattern: CollarPattern) -> tuple[Figure, Figure]:
    """Return the buckle end and the point, larger, with distances from the nearer end of the blank."""
    layout = pattern.layout
    outer, inner, inner_back, outer_back = layout.rivets
    fold, slot = layout.fold, layout.slot_length / 2
    marked = (0.0, outer, inner, fold - slot, fold, fold + slot, inner_back, outer_back)
    buckle_end = _detail(
        layout.width, 0.0, marked, (-7.0, outer_back + 9.0), tr("distances from the cut end, mm and inches")
    )
    back = layout.length - layout.holes[-2]
    # Rounded to a millionth of a millimetre, so that every neck shares one drawing of the point.
    places = tuple(round(x, 6) for x in (-back, -layout.tip, -layout.taper, 0.0))
    point = _detail(
        layout.width,
        layout.length,
        places,
        (round(-back - 9.0, 6), 8.0),
        tr("distances from the tip, mm and inches"),
    )
    return buckle_end, point


DETAIL_RATIO = 0.66
"""Height over width of a detail, when the strap is not too wide for it."""


def _detail(
    width: float, origin: float, places: tuple[float, ...], span: tuple[float, float], says: str
) -> Figure:
    """A stretch of the strap round `origin` with the distances of places from it, all [mm]."""
    box, notes = detail_notes(width, places, span, says, spoken())
    content = moved(BODY, -origin, 0) + notes
    return Figure(box, content, tr("Detail: {says}", says=says), "detail")


@lru_cache(maxsize=512)
def detail_notes(
    width: float,
    places: tuple[float, ...],
    span: tuple[float, float],
    says: str,
    _language: Language,  # kept apart for each: the numbers are in it
) -> tuple[tuple[float, float, float, float], str]:
    """Return view box and notes of a detail: each distance in mm and inches, in two rows by turns."""
    wide, half = span[1] - span[0], width / 2
    unit = wide * 0.034
    leads, bold, light = [], [], []
    for i, x in enumerate(places):
        y = half + unit * (2.6 if i % 2 == 0 else 5.6)
        leads.append(line([(x, half + unit * 0.3), (x, y - unit * 1.05)]))
        bold.append(words(show_mm(abs(x)).removesuffix(" mm"), x, y))
        light.append(words(show_inches(abs(x)).removesuffix(" in"), x, y + unit * 1.05))
    title = words(says, span[0] + wide / 2, half + unit * 8.6)
    height = max(wide * DETAIL_RATIO, width + unit * 10.4)
    top = -half - (height - width - unit * 9.4) / 2
    texts = group("".join(bold), font_weight="bold", fill=INK) + group("".join((*light, title)), fill=FAINT)
    notes = path("".join(leads), stroke_width=round(wide * 0.003, 2), **THIN) + group(
        texts, font_size=round(unit, 2), text_anchor="middle"
    )
    return (span[0], top, wide, height), notes
