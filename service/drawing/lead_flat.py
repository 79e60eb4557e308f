"""A lead's pieces laid flat, face up: the main strap in rows, and billet and handle with their distances."""

from itertools import pairwise

from service.colour import contrast
from service.design import PLATE_RIVET, LeadPattern, Mark, Part
from service.drawing.elements import Figure, disc, group, line, path
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
from service.language import mark, spoken, tr
from service.units import System

FROM_END = mark("The flat strap, part {number} of {count}, from the end at the snap")
SHOWN = 100.0
"""Of a long piece so much of its end is shown [mm]."""


def lead_strap(pattern: LeadPattern, system: System) -> tuple[Figure, ...]:
    """Return the main strap in pieces; the first holds the drawing."""
    strap = pattern.strap
    rows = even_rows(pattern, PIECE)
    above, labels = _labels(strap, rows)
    notes = labels + ruler(strap.width, strap.length, rows, system)
    _, paint = face_paint(pattern.fittings.colour, strap.width / 2)
    return flat_pieces(
        FlatStrap(paint + _piece(pattern, strap), notes, rows, strap.width / 2, above), FROM_END
    )


def lead_details(pattern: LeadPattern, *straps: Part) -> tuple[tuple[str, str, Figure], ...]:
    """Return some straps and the small pieces, of a long one its end: each its name, caption and picture."""
    parts = *straps, *pattern.parts[1:]
    return tuple((part.name, tr(part.title), _detail(pattern, part)) for part in parts)


def _piece(pattern: LeadPattern, part: Part) -> str:
    """A piece with what is cut, punched and folded on it, in the paint of the main strap."""
    leather, half, length = pattern.fittings.colour, part.width / 2, part.length
    ident, _ = face_paint(leather, half)
    light = max(INK, tone(leather, 0.75), key=lambda ink: contrast(ink, leather))
    holes = "".join(disc(one.x, -one.y, (one.diameter or 0) / 2) for one in _of(part, "rivet-hole"))
    across = "".join(
        line([(one.x, -half), (one.x, half)]) for one in part.marks if one.kind in ("fold", "lap")
    )
    along = "".join(line([_end(one, -1), _end(one, 1)]) for one in _of(part, "groove"))
    slits = "".join(line([_end(one, -1), _end(one, 1)]) for one in _of(part, "slit"))
    letters, rest = trimmings(pattern, part.marks, "flat" if part is pattern.strap else part.name)
    edge = line([(0, -half), (length, -half), (length, half), (0, half)], closed=True)
    return "".join(
        (
            path(edge, fill=f"url(#{ident})", stroke=tone(leather, -0.45), stroke_width=0.5),
            path(along, fill="none", stroke=pressed(leather), stroke_width=0.4, stroke_opacity=0.6)
            if along
            else "",
            path(slits, fill="none", stroke="#e9ecea", stroke_width=0.6) if slits else "",
            letters,
            path(holes, fill="#e9ecea", stroke=pressed(leather), stroke_width=0.5),
            rest,
            path(across, fill="none", stroke=light, stroke_width=0.45, stroke_dasharray="2.4 1.6"),
        )
    )


def _of(part: Part, kind: str) -> list[Mark]:
    return [one for one in part.marks if one.kind == kind]


def _end(one: Mark, side: int) -> tuple[float, float]:
    return one.x + side * (one.length or 0.0) / 2, -one.y


def _labels(strap: Part, rows: Rows) -> tuple[float, str]:
    """How high they reach [mm]; what is at each pair of rivets, above the strap."""
    y = -strap.width / 2 - 4.5
    rivets = sorted(one.x for one in _of(strap, "rivet-hole") if one.name != PLATE_RIVET)
    pairs = list(pairwise(rivets))[::2]
    named = [((a + b) / 2, tr("rivets")) for a, b in pairs]
    named += [(one.x, tr("fold")) for one in _of(strap, "fold")]
    placed = side_by_side(((name, x) for x, name in named), rows)
    return above_for(placed), group(drawn_labels(placed, y), font_size=TEXT, text_anchor="middle", fill=INK)


def _detail(pattern: LeadPattern, part: Part) -> Figure:
    """A piece with the distances of all that is on it, from its end; of a long piece, from the near one."""
    span = min(part.length, SHOWN)
    whole = part.length <= SHOWN * 1.5
    span = part.length if whole else SHOWN
    kinds = ("rivet-hole", "fold", "lap")
    places = tuple(sorted({0.0, *(one.x for one in part.marks if one.kind in kinds and one.x <= span)}))
    if whole:
        places = (*places, part.length)
    says = tr("distances from the cut end, mm and inches")
    frame = (-9.0, span + 9.0) if whole else (-9.0, span)
    box, notes = detail_notes(part.width, places, frame, says, spoken())
    label = tr("{part}: {says}", part=tr(part.title), says=says)
    return Figure(box, _piece(pattern, part) + notes, label, "detail")
