"""A document as PDF: sections of rows that flow over upright pages, then the pattern in rows at full size.

Unlike the maker's tables, nothing in it is ever shortened: a person puts their name to what it says.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import ceil

from service.design import Pattern
from service.drawing.pattern_sheet import bench_sheet
from service.drawing.pdf_writer import Layer, Page, write_pdf
from service.drawing.sheet import SADDLE, SOFT, THIN, Block, Item, Path, Sheet, Text, moved, polyline
from service.drawing.tiles import LANDSCAPE, MARGIN, SheetPaper
from service.drawing.typeface import Weight, text_width, wrapped

SIZE, LEADING = 3.3, 1.36
"""Size of the type [mm], about 9.4 pt, and how many of it from one line to the next."""
HEADING, TITLE = 4.2, 7.0
"""Sizes of a section's heading and of the title [mm]."""
FOOT = 9.0
"""Height of the strip that names document and page [mm]."""
GUTTER = 3.0
"""Between two columns [mm]."""
HEAD, BETWEEN = 6.0, 4.0
"""Above the rows of the pattern, and between two of them [mm]."""


@dataclass(frozen=True, slots=True)
class Section:
    """A heading and its rows; `shares` are the widths of a row's cells, `bold` the cells set in bold.

    `size` is that of the type [mm].
    """

    heading: str
    rows: tuple[tuple[str, ...], ...]
    shares: tuple[float, ...] = (1.0,)
    bold: tuple[int, ...] = ()
    size: float = SIZE


@dataclass(frozen=True, slots=True)
class Document:
    """What the document says: title, lines under it, sections; `foot` stands on every page."""

    title: str
    under: tuple[str, ...]
    sections: tuple[Section, ...]
    foot: str


def document_pdf(document: Document, pattern: Pattern, paper: SheetPaper) -> bytes:
    """Return the document, and after it the pattern at full size, as PDF. The same in, the same bytes out."""
    high, wide = LANDSCAPE[paper]
    room = high - 2 * MARGIN - FOOT
    texts = tuple(_flowed(tuple(_slabs(document, wide - 2 * MARGIN)), room))
    bodies = [*((Layer(items, MARGIN, MARGIN),) for items in texts), *_drawn(pattern, wide, room)]
    pages = tuple(
        Page(wide, high, (*layers, Layer(tuple(_foot(document.foot, number, len(bodies), wide, high)))))
        for number, layers in enumerate(bodies, 1)
    )
    return write_pdf(pages, document.title, document.foot)


def _slabs(document: Document, width: float) -> Iterator[Block]:
    """What is never cut by a page's end, one under the other."""
    for line in wrapped(document.title, width, TITLE, "display"):
        yield Block((Text(line, (0.0, TITLE), TITLE, "display"),), width, TITLE * 1.25)
    for under in document.under:
        for line in wrapped(under, width, SIZE):
            yield Block((Text(line, (0.0, SIZE), SIZE, colour=SOFT),), width, SIZE * LEADING)
    for section in document.sections:
        if section.rows:
            yield from _section(section, width)


def _section(section: Section, width: float) -> Iterator[Block]:
    """The heading stays with the first row; a row of one cell may be cut between two lines."""
    base = 4.5 + HEADING
    head: tuple[Item, ...] = (
        Text(section.heading, (0.0, base), HEADING, "bold", colour=SADDLE),
        Path(THIN, (polyline((0.0, base + 1.3), (width, base + 1.3)),)),
    )
    y = base + 2.0
    for row in section.rows:
        for slab in _row(row, section, width):
            yield Block((*head, *moved(slab.items, 0.0, y)), width, y + slab.height)
            head, y = (), 0.0


def _row(row: Sequence[str], section: Section, width: float) -> Iterator[Block]:
    size, line = section.size, section.size * LEADING
    x, cells = 0.0, []
    for number, (text, share) in enumerate(zip(row, section.shares, strict=True)):
        weight: Weight = "bold" if number in section.bold else "regular"
        lines = wrapped(text, share * width - GUTTER, size, weight)
        cells.append([Text(words, (x, size + line * n), size, weight) for n, words in enumerate(lines)])
        x += share * width
    if len(cells) == 1:
        for written in cells[0]:
            yield Block((Text(written.text, (0.0, size), size, written.weight),), width, line)
    else:
        yield Block(tuple(text for cell in cells for text in cell), width, line * max(map(len, cells)) + 0.6)


def _flowed(slabs: Sequence[Block], room: float) -> Iterator[tuple[Item, ...]]:
    items: list[Item] = []
    y = 0.0
    for slab in slabs:
        if items and y + slab.height > room:
            yield tuple(items)
            items, y = [], 0.0
        items.extend(moved(slab.items, 0.0, y))
        y += slab.height
    yield tuple(items)


def _drawn(pattern: Pattern, wide: float, room: float) -> Iterator[tuple[Layer, ...]]:
    """The pattern's sheet cut into rows as wide as the page, as many on a page as there is room for."""
    width = wide - 2 * MARGIN
    longest = pattern.strap.length + width
    sheet = bench_sheet(pattern, tuple(n * width for n in range(1, int(longest // width) + 1)))
    layers, y = [_drawn_head()], MARGIN + HEAD
    for n in range(max(1, ceil(sheet.width / width))):
        high = _row_height(sheet, n * width, width)
        if len(layers) > 1 and y + high > MARGIN + room:
            yield tuple(layers)
            layers, y = [_drawn_head()], MARGIN + HEAD
        layers.append(Layer(sheet.items, MARGIN - n * width, y, (MARGIN, y, MARGIN + width, y + high)))
        y += high + BETWEEN
    yield tuple(layers)


def _row_height(sheet: Sheet, x: float, width: float) -> float:
    """Down to the lowest thing that shows between x and x + width [mm]."""
    boxes = [item.box for item in sheet.items]
    return max((box[3] for box in boxes if box[0] < x + width and box[2] > x), default=0.0) + 1.0


def _drawn_head() -> Layer:
    said = "The pattern, from left to right in rows; at full size when it is printed at 100 %."
    return Layer((Text(said, (MARGIN, MARGIN + SIZE), SIZE, colour=SOFT),))


def _foot(text: str, number: int, count: int, wide: float, high: float) -> Iterator[Item]:
    page, base = f"Page {number} of {count}", high - MARGIN - 1.0
    yield Path(THIN, (polyline((MARGIN, base - 4.0), (wide - MARGIN, base - 4.0)),))
    room = wide - 2 * MARGIN - text_width(page, 2.6) - GUTTER
    yield Text(wrapped(text, room, 2.6)[0], (MARGIN, base), 2.6, colour=SOFT)
    yield Text(page, (wide - MARGIN, base), 2.6, anchor="end", colour=SOFT)
