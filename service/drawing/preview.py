"""The live preview: worn views, the flat strap folded into rows, and details of both ends."""

from dataclasses import dataclass

from service.design import Pattern
from service.drawing.elements import drawing, number
from service.drawing.eye import BOX
from service.drawing.flat import end_details, flat_pieces, flat_strap
from service.drawing.worn import worn_views

WIDE, MARGIN, GAP = 360.0, 10.0, 8.0
"""Width of the whole preview, the margin round it and the gap between its figures [px on a phone]."""
LETTERS = "'Atkinson Hyperlegible Next', Verdana, sans-serif"


@dataclass(frozen=True, slots=True)
class Figures:
    """Inline SVG elements, ready for a page: two worn views, the flat strap in pieces to wrap, two details.

    The pieces and the details use the drawing that the first piece holds: they belong on one page.
    """

    worn_buckle: str
    worn_ring: str
    flat: tuple[str, ...]
    buckle_end: str
    point: str


def figures(pattern: Pattern) -> Figures:
    """Return the figures of a pattern. Deterministic."""
    buckle_side, ring_side = worn_views(pattern)
    buckle_end, point = end_details(pattern)
    return Figures(buckle_side, ring_side, flat_pieces(flat_strap(pattern)), buckle_end, point)


def preview_svg(pattern: Pattern) -> str:
    """Return all figures of a pattern in one SVG file, one under the other, readable on a phone."""
    shown = figures(pattern)
    rows: list[str] = []
    y = 0.0
    inside = WIDE - 2 * MARGIN
    for figure, ratio in (
        (shown.worn_buckle, BOX[3] / BOX[2]),
        (shown.worn_ring, BOX[3] / BOX[2]),
        *((piece, _ratio(piece)) for piece in (*shown.flat, shown.buckle_end, shown.point)),
    ):
        high = inside * ratio
        rows.append(_placed(figure, y, inside, high))
        y += high + GAP
    return drawing((0, 0, WIDE, y), "".join(rows), "Preview of the collar", font_family=LETTERS)


def _ratio(figure: str) -> float:
    """Height over width of a figure, from its view box."""
    box = figure.split('viewBox="', 1)[1].split('"', 1)[0]
    wide, high = map(float, box.split()[2:])
    return high / wide


def _placed(figure: str, y: float, wide: float, high: float) -> str:
    place = f'x="{number(MARGIN)}" y="{number(y)}" width="{number(wide)}" height="{number(high)}"'
    return figure.replace("<svg ", f"<svg {place} ", 1)
