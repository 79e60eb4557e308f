"""A document as PDF: sections of rows that flow over upright pages, then the pattern in rows at full size.

Unlike the maker's tables, nothing in it is ever shortened: a person puts their name to what it says.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from service.design import Pattern
from service.drawing.pattern_sheet import PAD, bench_sheet
from service.drawing.pdf_writer import Layer, Page, write_pdf
from service.drawing.row_cuts import row_cuts
from service.drawing.sheet import SADDLE, SOFT, THIN, Block, Box, Item, Path, Sheet, Text, moved, polyline
from service.drawing.text_blocks import stacked
from service.drawing.tiles import LANDSCAPE, MARGIN, SheetPaper
from service.drawing.typeface import Weight, text_width, wrapped
from service.language import tr

SIZE, LEADING = 3.3, 1.36
"""Size of the type [mm], about 9.4 pt, and how many of it from one line to the next."""
HEADING, TITLE = 4.2, 7.0
"""Sizes of a section's heading and of the title [mm]."""
FOOT = 9.0
"""Height of the strip that names document and page [mm]."""
GUTTER = 3.0
"""Between two columns [mm]."""
HEAD, BETWEEN, AROUND = 11.5, 5.0, 1.0
"""Above the rows of the pattern, under each of them, and at the top and foot of what each shows [mm]."""
LAST_LABEL = 12.0
"""The label of the strap's end reaches at most so far past it [mm]."""
TOGETHER = 60.0
"""A table no higher than this [mm] is never cut by a page's end."""


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
    flow = _Flow(high - 2 * MARGIN - FOOT)
    for slab in _slabs(document, wide - 2 * MARGIN):
        flow.write(slab)
    for row in _drawn(pattern, wide - 2 * MARGIN):
        flow.draw(row)
    bodies = flow.pages
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
    """The heading stays with the first row, a short table whole; a text may be cut between two lines."""
    base = 4.5 + HEADING
    head: tuple[Item, ...] = (
        Text(section.heading, (0.0, base), HEADING, "bold", colour=SADDLE),
        Path(THIN, (polyline((0.0, base + 1.3), (width, base + 1.3)),)),
    )
    y = base + 2.0
    slabs = [slab for row in section.rows for slab in _row(row, section, width)]
    whole = sum(slab.height for slab in slabs)
    if len(section.shares) > 1 and whole <= TOGETHER:
        slabs = [Block(tuple(stacked(slabs, 0.0, 0.0)), width, whole)]
    for slab in slabs:
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


@dataclass(frozen=True, slots=True)
class _Row:
    """A row of the pattern: its sheet, and the window of it that shows [mm]; `head` stands above it."""

    sheet: Sheet
    window: Box
    head: str = ""


class _Flow:
    """Pages as they fill, one thing under the other, each `room` [mm] high."""

    def __init__(self, room: float) -> None:
        self._room = room
        self._y = 0.0
        self.pages: list[list[Layer]] = [[]]

    def _place(self, height: float) -> float:
        """Where something so high starts [mm]; on a new page where this one has no room for it."""
        if self.pages[-1] and self._y + height > self._room:
            self.pages.append([])
            self._y = 0.0
        y, self._y = self._y, self._y + height
        return MARGIN + y

    def write(self, slab: Block) -> None:
        y = self._place(slab.height)
        self.pages[-1].append(Layer(slab.items, MARGIN, y))

    def draw(self, row: _Row) -> None:
        left, top, right, foot = row.window
        head = HEAD if row.head else 0.0
        y = self._place(head + foot - top + BETWEEN)
        if row.head:
            said = Text(row.head, (MARGIN, y + BETWEEN + SIZE), SIZE, colour=SOFT)
            self.pages[-1].append(Layer((said,)))
        y += head
        window = (MARGIN, y, MARGIN + right - left, y + foot - top)
        self.pages[-1].append(Layer(row.sheet.items, MARGIN - left, y - top, window))


def _drawn(pattern: Pattern, width: float) -> Iterator[_Row]:
    """The pattern's sheet cut into rows, each at most as wide as a page's text [mm]."""
    ends = row_cuts(pattern, pattern.strap.length + LAST_LABEL, width - PAD)
    cuts = tuple(PAD + x for x in ends)
    # One row more may be needed for small parts that found no room beside the strap's end.
    cuts = (*cuts, (cuts[-1] if cuts else 0.0) + width)
    sheet = bench_sheet(pattern, cuts)
    head = tr("The pattern, from left to right in rows; at full size when it is printed at 100 %.")
    for left, right in pairwise((0.0, *(x for x in cuts if x < sheet.width), sheet.width)):
        seen = [box for box in _boxes(sheet.items) if box[0] < right and box[2] > left]
        if seen:
            top, foot = min(box[1] for box in seen), max(box[3] for box in seen)
            yield _Row(sheet, (left, top - AROUND, right, foot + AROUND), head)
            head = ""


def _boxes(items: Iterable[Item]) -> Iterator[Box]:
    """How far everything reaches [mm], each stroke by itself: one path holds the leaders of all labels."""
    for item in items:
        if isinstance(item, Path):
            yield from (Path(item.pen, (run,)).box for run in item.strokes)
        else:
            yield item.box


def _foot(text: str, number: int, count: int, wide: float, high: float) -> Iterator[Item]:
    page, base = tr("Page {number} of {count}", number=number, count=count), high - MARGIN - 1.0
    yield Path(THIN, (polyline((MARGIN, base - 4.0), (wide - MARGIN, base - 4.0)),))
    room = wide - 2 * MARGIN - text_width(page, 2.6) - GUTTER
    yield Text(wrapped(text, room, 2.6)[0], (MARGIN, base), 2.6, colour=SOFT)
    yield Text(page, (wide - MARGIN, base), 2.6, anchor="end", colour=SOFT)
