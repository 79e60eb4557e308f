"""The live preview: worn views, the flat strap folded into rows, and details of both ends."""

import re
from dataclasses import dataclass
from typing import Final

from service.design import CollarPattern
from service.drawing.elements import Figure, group
from service.drawing.flat import end_details, flat_pieces, flat_strap
from service.drawing.worn import worn_views
from service.language import tr

WIDE, MARGIN, GAP = 360.0, 10.0, 8.0
"""Width of the whole preview, the margin round it and the gap between its figures [px on a phone]."""
LETTERS = "'Atkinson Hyperlegible Next', Verdana, sans-serif"


TAG: Final = re.compile(r"<[^>]*>")
NAMED: Final = re.compile(r'(\bid="|href="#|url\(#)')
"""Where a tag gives a name or uses one; in the text between tags nothing is a name."""


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


def figures(pattern: CollarPattern) -> Figures:
    """Return the figures of a pattern. Deterministic."""
    buckle_side, ring_side = worn_views(pattern)
    buckle_end, point = end_details(pattern)
    pieces = tuple(piece.inline() for piece in flat_pieces(flat_strap(pattern)))
    return Figures(buckle_side.inline(), ring_side.inline(), pieces, buckle_end.inline(), point.inline())


def told_apart(made: Figures, name: str) -> Figures:
    """Return the same figures under names of their own, for a page that shows those of another design too."""

    def under(text: str) -> str:
        return TAG.sub(lambda tag: NAMED.sub(rf"\1{name}-", tag[0]), text)

    flat = tuple(map(under, made.flat))
    return Figures(
        under(made.worn_buckle), under(made.worn_ring), flat, under(made.buckle_end), under(made.point)
    )


def preview_svg(pattern: CollarPattern) -> str:
    """Return all figures of a pattern in one SVG file, one under the other, readable on a phone."""
    rows: list[str] = []
    y = 0.0
    for figure in (*worn_views(pattern), *flat_pieces(flat_strap(pattern)), *end_details(pattern)):
        row, height = figure.placed(MARGIN, y, WIDE - 2 * MARGIN)
        rows.append(row)
        y += height + GAP
    content = group("".join(rows), font_family=LETTERS)
    return Figure((0.0, 0.0, WIDE, y), content, tr("Preview of the collar"), "preview").inline()
