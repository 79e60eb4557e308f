"""Long strips in pieces to cut out and join: each but the first has a tab that goes under the one before.

On its tab a piece carries what the piece before it ends with: laid on each other, lines meet lines.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from math import ceil

from service.drawing.info_page import SQUARE_IN, check_squares
from service.drawing.pdf_writer import Layer, Page
from service.drawing.sheet import (
    CUT,
    SADDLE,
    SOFT,
    THIN,
    TINT,
    Block,
    Item,
    Path,
    Run,
    Text,
    box_run,
    polygon,
    polyline,
)
from service.drawing.text_blocks import Setting, paragraphs, stacked
from service.drawing.tiles import FOOT, LANDSCAPE, MARGIN, SheetPaper, printable, sheet_foot
from service.drawing.typeface import shortened, wrapped
from service.language import tr

PIECE = 240.0
"""Length of a piece without its tab [mm]: with it, it is on A4 and Letter alike. Derived, as `LANDSCAPE`."""
LAST = 80.0
"""Length of the last piece at the least [mm]: a shorter one has no room for names. By eye."""
TAB = 15.0
"""Length of a tab [mm]: enough for glue to hold. From memory."""
POINTER = 1.6
"""Half the width of the triangles that show where two pieces meet [mm]."""
LABEL = 2.0
BETWEEN = 3.0
"""Between two pieces one under the other, at the least [mm]."""
BESIDE = 8.0
"""Between the squares and what is said beside them [mm]."""
TITLE = 6.5


@dataclass(frozen=True, slots=True)
class Strip:
    """A strip so long and high [mm] and what is drawn on it, x along it, y down from its upper edge."""

    length: float
    height: float
    items: tuple[Item, ...]


@dataclass(frozen=True, slots=True)
class Said:
    """What is said on the first sheet: by whom, what it is, steps in the squares, paragraphs beside them."""

    shop: str
    title: str
    steps: tuple[str, ...]
    beside: tuple[tuple[str, tuple[str, ...]], ...]


def seams(length: float) -> tuple[float, ...]:
    """Return where the pieces of a strip so long [mm] meet; the last has room for what is said at an end.

    Source: derived. Worked: 700 mm: at 240 and 480 mm; 491 mm: at 240 and 411 mm.
    """
    found = [n * PIECE for n in range(1, ceil(length / PIECE))]
    if found:
        found[-1] = min(found[-1], length - LAST)
    return tuple(found)


def strip_pages(strips: Iterable[Strip], paper: SheetPaper, said: Said) -> tuple[Page, ...]:
    """Return the pieces of strips one under another on sheets, the check squares on the first."""
    size, (wide, high) = LANDSCAPE[paper], printable(paper)
    squares = high - SQUARE_IN
    sheets = _sheets(strips, squares, high - FOOT)
    beside = tuple(_beside(said, wide - SQUARE_IN - BESIDE))
    sheets[0].append(Layer(tuple(check_squares(0.0, said.steps)), MARGIN, MARGIN + squares))
    sheets[0].append(Layer(beside, MARGIN + SQUARE_IN + BESIDE, MARGIN + squares))
    for number, sheet in enumerate(sheets[1:], 2):
        sheet.append(_foot(size, number, len(sheets), (said.title, said.shop)))
    return tuple(Page(*size, tuple(sheet)) for sheet in sheets)


def strip_sheets(strips: Iterable[Strip], paper: SheetPaper, of: tuple[str, str]) -> tuple[Page, ...]:
    """Return the pieces of several strips on sheets, each of which says of what it is and by whom."""
    size, room = LANDSCAPE[paper], printable(paper)[1] - FOOT
    sheets = _sheets(strips, room, room)
    for number, sheet in enumerate(sheets, 1):
        sheet.append(_foot(size, number, len(sheets), of))
    return tuple(Page(*size, tuple(sheet)) for sheet in sheets)


def _sheets(strips: Iterable[Strip], first: float, room: float) -> list[list[Layer]]:
    """Pieces one under another, where the first sheet may have another height for them [mm]."""
    sheets: list[list[Layer]] = [[]]
    y = 0.0
    for strip in strips:
        for piece in _pieces(strip):
            if y + strip.height > (first if len(sheets) == 1 else room):
                sheets.append([])
                y = 0.0
            sheets[-1].extend(_lowered(piece, MARGIN + y))
            y += strip.height + BETWEEN
    return sheets


def _foot(size: tuple[float, float], number: int, count: int, of: tuple[str, str]) -> Layer:
    which = tr("Sheet {number} of {count}", number=number, count=count)
    return Layer(tuple(sheet_foot(size, which, tr("Print at 100 %, no scaling."), of)))


def _beside(said: Said, width: float) -> Iterator[Item]:
    setting = Setting(width, 1.15)
    yield Text(shortened(said.shop, width, 3.0, "bold"), (0.0, 2.6), 3.0, "bold", colour=SADDLE)
    y = 3.2
    for line in wrapped(said.title, width, TITLE, "display"):
        y += TITLE * 1.15
        yield Text(line, (0.0, y), TITLE, "display")
    blocks: list[Block] = [paragraphs(heading, texts, setting) for heading, texts in said.beside]
    yield from stacked(blocks, 0.0, y + 4.0)


def _pieces(strip: Strip) -> Iterator[tuple[Layer, ...]]:
    """Each piece as layers of a page, its tab at the left margin and its upper edge at the top."""
    ends = (0.0, *seams(strip.length), strip.length)
    for n in range(len(ends) - 1):
        yield tuple(_piece(strip, n, ends))


def _lowered(piece: Sequence[Layer], y: float) -> Iterator[Layer]:
    for layer in piece:
        window = layer.window
        if window is not None:
            window = window[0], window[1] + y, window[2], window[3] + y
        yield Layer(layer.items, layer.dx, layer.dy + y, window)


def _piece(strip: Strip, n: int, ends: Sequence[float]) -> Iterator[Layer]:
    start, end = ends[n], ends[n + 1]
    left, height = MARGIN + TAB - start, strip.height
    yield Layer((Path(TINT, (box_run(start - TAB, 0.0, start, height),)),), left)
    shown = tuple(item for item in strip.items if _shows(item, start, end))
    yield Layer(shown, left, 0.0, (MARGIN, 0.0, left + end, height))
    meets = [start] if n + 2 == len(ends) else [start, end]
    said = tr("glue under {number}", number=n) if n else tr("hold here")
    yield Layer(
        (
            Path(CUT, (box_run(start - TAB, 0.0, end, height),), f"piece-{n + 1}"),
            Path(THIN, (polyline((start, 0.0), (start, height)),), "start"),
            Path(THIN, tuple(run for x in meets for run in _pointers(x, height)), "meets"),
            Text(said, (start - TAB / 2, height / 2 + LABEL / 3), LABEL, anchor="middle", colour=SOFT),
        ),
        left,
    )


def _shows(item: Item, start: float, end: float) -> bool:
    """Whether a piece shows a thing: a line where any is on it or its tab, a text if all of it is on it."""
    x0, _, x1, _ = item.box
    if isinstance(item, Text):
        return start <= x0 and x1 <= end
    return x1 >= start - TAB and x0 <= end


def _pointers(x: float, height: float) -> Iterator[Run]:
    """A triangle at each edge whose point is where two pieces meet."""
    for y, depth in ((0.0, 1.8 * POINTER), (height, height - 1.8 * POINTER)):
        yield polygon(((x, depth), (x - POINTER, y), (x + POINTER, y)))
