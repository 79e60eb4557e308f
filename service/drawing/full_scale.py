"""The pattern as files to print at full scale: one sheet as SVG, and PDF on tiles or on a roll."""

from service.design import Pattern
from service.drawing.correction import AS_IT_IS, Correction
from service.drawing.info_page import Heading, Tiling, info_pages
from service.drawing.pattern_sheet import PAD, bench_sheet
from service.drawing.pdf_writer import Layer, Page, write_pdf
from service.drawing.sheet import Box, Item, Sheet, Text, moved
from service.drawing.svg_writer import write_svg
from service.drawing.tiles import (
    LANDSCAPE,
    MARGIN,
    Grid,
    Paper,
    SheetPaper,
    Tile,
    grid,
    printable,
    room,
    shows,
    tile_foot,
    tile_frame,
    tile_marks,
    trim_lines,
)
from service.language import tr

ROUND = 40.0
"""What a small part may take besides its own length [mm], to lie clear of a trim line."""
BESIDE = 18.0
"""Between the information and the pattern on one long sheet [mm]."""


def pattern_svg(pattern: Pattern, heading: Heading) -> str:
    """Return the whole pattern at full scale as one SVG sheet, its information beside it."""
    return write_svg(whole_sheet(pattern, heading), heading.title)


def pattern_pdf(pattern: Pattern, heading: Heading, paper: Paper, correction: Correction = AS_IT_IS) -> bytes:
    """Return the pattern at full scale as PDF: information and tiles, or one long page for a roll."""
    if paper == "roll":
        whole = whole_sheet(pattern, heading)
        pages: tuple[Page, ...] = (Page(whole.width, whole.height, (Layer(whole.items),), grows=True),)
    else:
        pages = _tiled(pattern, heading, paper)
    subject = tr("Full-scale pattern from {shop}: print at 100 %", shop=heading.shop)
    return write_pdf(pages, heading.title, subject, correction)


def whole_sheet(pattern: Pattern, heading: Heading) -> Sheet:
    """Return information and pattern side by side on one long sheet; the information keeps to A4's height."""
    width, height = printable("a4")
    (info,) = info_pages(pattern, heading, width, height, None)
    sheet = bench_sheet(pattern)
    x = MARGIN + info.width + BESIDE
    items = (*moved(info.items, MARGIN, MARGIN), *moved(sheet.items, x, MARGIN))
    return Sheet(x + sheet.width, max(height, sheet.height) + 2 * MARGIN, items)


def _tiled(pattern: Pattern, heading: Heading, paper: SheetPaper) -> tuple[Page, ...]:
    others = sum(part.length + ROUND for part in pattern.parts[1:])
    trims = trim_lines(paper, max(pattern.strap.length, others) + 2 * PAD)
    sheet = bench_sheet(pattern, trims, room(paper))
    cut = grid(paper, sheet.width, sheet.height)
    width, height = LANDSCAPE[paper]
    infos = info_pages(pattern, heading, *printable(paper), Tiling(sheet, cut))
    boxes = tuple((item.box, item) for item in sheet.items)
    return (
        *(Page(width, height, (Layer(info.items, MARGIN, MARGIN),)) for info in infos),
        *(Page(width, height, _tile_layers(boxes, tile, cut, heading)) for tile in cut.tiles),
    )


def _tile_layers(
    boxes: tuple[tuple[Box, Item], ...], tile: Tile, cut: Grid, heading: Heading
) -> tuple[Layer, ...]:
    shown = tuple(item for box, item in boxes if shows(tile, cut, box, trimmed=isinstance(item, Text)))
    window = (MARGIN, MARGIN, MARGIN + tile.width, MARGIN + tile.height)
    sheet = Layer((*shown, *tile_marks(tile, cut)), MARGIN - tile.x, MARGIN - tile.y, window)
    return sheet, Layer((*tile_frame(tile, cut), *tile_foot(tile, cut, heading.title, heading.shop)))
