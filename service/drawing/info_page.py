"""The page that goes with a pattern: what is made, every distance, fit, cautions, how to print and join."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from service.design import AT_THE_BENCH, Part, Pattern, collar_in, kind_of, laid_out, told
from service.drawing.fit_table import fit_table
from service.drawing.joint_table import joint_table
from service.drawing.pattern_sheet import post_for_rivet
from service.drawing.scan_code import SIDE, scan_code
from service.drawing.sheet import (
    CUT,
    INK,
    SADDLE,
    SOFT,
    THIN,
    Block,
    Item,
    Path,
    Run,
    Sheet,
    Text,
    box_run,
    moved,
    polyline,
)
from service.drawing.text_blocks import Column, Setting, flowed, paragraphs, stacked, table
from service.drawing.tiles import Grid, key_map
from service.drawing.typeface import shortened, text_width, wrapped
from service.language import mark, tr
from service.units import IN, System, show_blank, show_cut, show_inches, show_mm

HEAD, FOOT = 19.0, 8.0
"""Heights of the strips with the title and with the address [mm]."""
TITLES = (7.0, 6.5, 6.0, 5.5, 5.0, 4.6)
"""Sizes that are tried for the title [mm] before it is shortened."""
COLUMN_GAP = 6.0
COLUMNS = 2
"""Columns beside the summary and the squares."""
SQUARE, SQUARE_IN = 100.0, 4 * IN
"""Sides of the two check squares [mm]. Common practice."""
INSIDE = 7.0
"""What stands in the squares keeps so far [mm] from the outer one."""
STEP, STEP_IN, FIRST_STEP = 3.0, 5.0, 18.0
"""Size of the steps in the squares, how far in their text stands, and the first one from the top [mm]."""
UNDER_MAP = 2.0
"""Less than the room there is for a map that would be too high [mm]: its numbers stay as they are."""
CODE_OUT = 2.0
"""The white around the code reaches so far [mm] past what stands beside it."""
NAMES, NAMES_MOST = 24.0, 36.0
"""Width of the names in the summary [mm]: usually, and for long ones at the most."""
SMALLER = 0.82
"""Names in the summary are so much smaller than values."""
SCALES = (1.12, 1.06, 1.0, 0.95, 0.9, 0.85, 0.8)
"""Sizes of type that are tried until everything fits; the least is 6 1/4 pt."""
STEPS = (
    mark("No scaling, and no fitting to the page."),
    mark(
        "Measure the two squares with a steel rule. If one is off, don't cut: set the printer to 100 %, or"
        " have the print corrected."
    ),
)
LAST_STEP = mark(
    "Before cutting, measure the strap from end to end: {length}."
    " Inches are to the nearest 1/16: go by the millimetres."
)


@dataclass(frozen=True, slots=True)
class Heading:
    """What the caller knows: shop, title, price, address, and the design's summary as names and values.

    `system` is the reader's; the two systems stand side by side where the maker measures. `scannable` tells
    whether a telephone reaches the address, so that a code of it is worth printing.
    """

    shop: str
    title: str
    price: str | None
    link: str
    system: System
    summary: tuple[tuple[str, str], ...]
    scannable: bool = False


Blocks = Callable[[Setting, float], Iterator[Block]]
"""What is said in the columns, for their setting and height [mm]."""


@dataclass(frozen=True, slots=True)
class Tiling:
    """The sheet that the pages after this one hold, and how it is cut into them."""

    sheet: Sheet
    cut: Grid


def info_pages(
    pattern: Pattern, heading: Heading, width: float, height: float, tiling: Tiling | None
) -> tuple[Block, ...]:
    """Return the information as pages so wide and high [mm]; without tiles as one, as wide as it needs."""
    last = tr(LAST_STEP, length=show_cut(pattern.strap.length, "metric"))
    steps = *map(tr, STEPS), *_join_steps(tiling), last

    def blocks(setting: Setting, _height: float) -> Iterator[Block]:
        return _blocks(pattern, heading, setting)

    return first_pages(heading, blocks, steps, (width, height), tiling, grows=tiling is None)


def first_pages(
    heading: Heading,
    said: Blocks,
    steps: Sequence[str],
    size: tuple[float, float],
    tiling: Tiling | None = None,
    *,
    grows: bool = False,
) -> tuple[Block, ...]:
    """Return what comes before the drawings as pages so wide and high [mm], or as one that grows in width.

    Summary and check squares with the steps stand at its left, what is said in columns beside them.
    """
    width, height = size
    first = SQUARE_IN
    room = height - HEAD - FOOT
    column = (width - first - 2 * COLUMN_GAP) / 2
    columns = _columns(said, column, room)
    pages = []
    items = [*_head(heading, width), *_foot(heading, width, height)]
    items.extend(_left(heading, steps, HEAD, height - FOOT, tiling))
    x = first + COLUMN_GAP
    for blocks in columns:
        if not grows and x + column > width + 0.01:
            pages.append(Block(tuple(items), width, height))
            items, x = [*_head(heading, width), *_foot(heading, width, height)], 0.0
        items.extend(stacked(blocks, x, HEAD))
        x += column + COLUMN_GAP
    pages.append(Block(tuple(items), max(width, x - COLUMN_GAP), height))
    return tuple(pages)


def _columns(said: Blocks, width: float, height: float) -> tuple[tuple[Block, ...], ...]:
    """In the largest type that keeps to the page and shortens nothing, or else that keeps to the page."""
    columns: tuple[tuple[Block, ...], ...] = ()
    within: tuple[tuple[Block, ...], ...] = ()
    for scale in SCALES:
        columns = flowed(tuple(said(Setting(width, scale), height)), height)
        if len(columns) <= COLUMNS:
            if not _shortened(columns):
                return columns
            within = within or columns
    return within or columns


def _shortened(columns: tuple[tuple[Block, ...], ...]) -> bool:
    items = (item for blocks in columns for block in blocks for item in block.items)
    return any(isinstance(item, Text) and item.text.endswith("…") for item in items)


def _head(heading: Heading, width: float) -> Iterator[Item]:
    price = heading.price or ""
    room = width - text_width(price, 5.0, "bold") - 6.0
    yield Text(shortened(heading.shop, room, 3.0, "bold"), (0.0, 2.6), 3.0, "bold", colour=SADDLE)
    size = next((size for size in TITLES if text_width(heading.title, size, "display") <= room), TITLES[-1])
    yield Text(shortened(heading.title, room, size, "display"), (0.0, 10.6), size, "display")
    if price:
        yield Text(price, (width, 10.6), 5.0, "bold", "end")
    yield Path(THIN, (polyline((0.0, 14.0), (width, 14.0)),))


def _foot(heading: Heading, width: float, height: float) -> Iterator[Item]:
    """The address on two lines; a very long one in smaller type."""
    tried = ((size, wrapped(heading.link, width, size)) for size in (2.2, 2.0, 1.8, 1.6, 1.4))
    size, lines = next(((size, lines) for size, lines in tried if len(lines) < 3), (1.4, ()))  # noqa: PLR2004
    for n, line in enumerate(reversed(lines)):
        yield Text(line, (0.0, height - 0.6 - 2.9 * n), size, colour=SOFT)


def _left(
    heading: Heading, steps: Sequence[str], top: float, foot: float, tiling: Tiling | None
) -> Iterator[Item]:
    y = foot - SQUARE_IN
    yield from _summary(heading.summary, top, y - 4.0)
    yield from check_squares(y, steps)
    yield from _in_the_squares(heading, y, tiling, _steps_height(steps))


def _summary(rows: Sequence[tuple[str, str]], top: float, foot: float) -> Iterator[Item]:
    """Names small and values large; the more rows, the smaller."""
    sizes = [4.0 - 0.2 * step for step in range(12)]
    size = next((size for size in sizes if _summary_height(rows, size) <= foot - top), sizes[-1])
    y, small, names = top, size * SMALLER, _names_width(rows, size)
    for name, value in rows:
        for n, text in enumerate(_summary_lines(value, size, names)):
            y += size * 1.36
            base = y - size * 0.36
            if n == 0:
                yield Text(shortened(name, names - 2.0, small), (0.0, base), small, colour=SOFT)
            yield Text(text, (names, base), size, "bold")


def _names_width(rows: Sequence[tuple[str, str]], size: float) -> float:
    longest = max((text_width(name, size * SMALLER) for name, _ in rows), default=0.0)
    return min(NAMES_MOST, max(NAMES, longest + 2.1))


def _summary_lines(value: str, size: float, names: float) -> tuple[str, ...]:
    return wrapped(value, SQUARE_IN - names, size, "bold")


def _summary_height(rows: Sequence[tuple[str, str]], size: float) -> float:
    names = _names_width(rows, size)
    return sum(len(_summary_lines(value, size, names)) for _, value in rows) * size * 1.36


def check_squares(y: float, steps: Sequence[str]) -> Iterator[Item]:
    """Yield both check squares, from the left and a height y [mm], with how to print in them.

    The two share their middle: 0.8 mm between the lines is enough to lay a rule to either.
    """
    inset = (SQUARE_IN - SQUARE) / 2
    yield Path(CUT, (box_run(0.0, y, SQUARE_IN, y + SQUARE_IN),), "check-4-in")
    yield Path(CUT, (box_run(inset, y + inset, inset + SQUARE, y + inset + SQUARE),), "check-100-mm")
    yield Text(tr("Print at 100 %"), (INSIDE, y + 11.0), 5.2, "display", colour=INK)
    base = y + FIRST_STEP
    for number, step in enumerate(steps, 1):
        yield Text(str(number), (INSIDE, base), STEP, "bold", colour=SADDLE)
        for line in _step_lines(step):
            yield Text(line, (INSIDE + STEP_IN, base), STEP)
            base += STEP * 1.3
        base += 1.0
    yield Text(
        tr("Inner line 100 mm × 100 mm, outer line 4 in × 4 in"),
        (SQUARE_IN / 2, y + SQUARE_IN - 4.5),
        2.6,
        "bold",
        "middle",
    )


def _step_lines(step: str) -> tuple[str, ...]:
    return wrapped(step, SQUARE_IN - 2 * INSIDE - STEP_IN, STEP)


def _steps_height(steps: Sequence[str]) -> float:
    """How far under the squares' top the last step ends [mm]."""
    return FIRST_STEP - STEP + sum(len(_step_lines(step)) * STEP * 1.3 + 1.0 for step in steps)


def _in_the_squares(heading: Heading, y: float, tiling: Tiling | None, used: float) -> Iterator[Item]:
    """What else has room in them under their steps: a code to scan, and the map of the tiles."""
    x, width, foot = INSIDE, SQUARE_IN - 2 * INSIDE, y + SQUARE_IN - 11.0
    left, top = x + width - SIDE + CODE_OUT, foot - SIDE + CODE_OUT
    code = scan_code(heading.link, left, top) if heading.scannable else None
    if code is not None:
        yield code
        yield Text(tr("Scan to open it again"), (left + SIDE / 2, top - 0.6), 2.2, "regular", "middle", SOFT)
        width -= SIDE
    if tiling is not None:
        outlines = tuple(_outlines(tiling.sheet))
        items, high = key_map(tiling.cut, outlines, x, 0.0, width)
        if high > (room := foot - y - used):
            items, high = key_map(tiling.cut, outlines, x, 0.0, width * (room - UNDER_MAP) / high)
        yield from moved(items, 0.0, foot - high)


def _join_steps(tiling: Tiling | None) -> tuple[str, ...]:
    if tiling is None or len(tiling.cut.tiles) == 1:
        return ()
    return (
        tr("Cut the later tiles along their dashed lines, through the match marks."),
        tr("Lay each on the tile before it until marks of the same letter meet, and tape it down."),
    )


def _outlines(sheet: Sheet) -> Iterator[Run]:
    for item in sheet.items:
        if isinstance(item, Path) and item.pen is CUT:
            yield from item.runs


def _blocks(pattern: Pattern, heading: Heading, setting: Setting) -> Iterator[Block]:
    rows = [
        (post_for_rivet(row.name, pattern), show_mm(row.x), show_inches(row.x))
        for row in pattern.stations
        if row.name != tr("Stud")
    ]
    collar = collar_in(pattern)
    buckled = collar is not None
    head = tr("Distances from the buckle end") if buckled else tr("Distances from the left end")
    yield table(head, DISTANCES, rows, setting)
    studs = [row.x for row in pattern.stations if row.name == tr("Stud")]
    if studs:
        head = tr("Studs from the buckle end, mm and in") if buckled else tr("Studs from there, mm and in")
        yield table(head, STUDS, _in_threes(studs), setting)
    yield table(tr("Cut"), CUTS, tuple(map(_cut_row, pattern.parts)), setting)
    hardware = [(str(line.quantity), line.name, tr(line.place)) for line in pattern.hardware]
    hardware += (("", what.said(heading.system), tr(place)) for what, place in laid_out(pattern))
    yield table(tr("Lay out"), HARDWARE, hardware, setting)
    yield joint_table(pattern, setting)
    if collar is not None:
        yield fit_table(collar.fit, heading.system, setting)
    sits = (one.said(heading.system) for one in told(pattern).sits[1 if told(pattern).holes else 0 :])
    said = (finding.text.said(heading.system) for finding in pattern.findings if finding.severity != "note")
    yield paragraphs(tr("On this design"), (*sits, *said), setting)
    yield paragraphs(tr("At the bench"), tuple(map(tr, AT_THE_BENCH)), setting)
    yield paragraphs(tr("For the wearer"), tuple(map(tr, kind_of(pattern.spec).cautions)), setting)


DISTANCES = (Column(0.0, 0.5), Column(0.75, 0.23, "end", "bold"), Column(1.0, 0.23, "end"))
STUDS = tuple(
    column
    for n in range(3)
    for column in (Column(0.12 + n / 3, 0.12, "end", "bold"), Column(0.29 + n / 3, 0.16, "end"))
)
CUTS = (Column(0.0, 0.29), Column(0.64, 0.34, "end", "bold"), Column(1.0, 0.35, "end"))
HARDWARE = (Column(0.06, 0.06, "end", "bold"), Column(0.09, 0.55), Column(1.0, 0.35, "end", colour=SOFT))


def _cut_row(part: Part) -> tuple[str, str, str]:
    size = part.length, part.width
    return f"{tr(part.title)}, {part.quantity}", show_blank(*size, "metric"), show_blank(*size, "imperial")


def _in_threes(studs: Sequence[float]) -> tuple[tuple[str, ...], ...]:
    cells = [
        text for x in studs for text in (show_mm(x).removesuffix(" mm"), show_inches(x).removesuffix(" in"))
    ]
    cells.extend([""] * (-len(cells) % 6))
    return tuple(tuple(cells[n : n + 6]) for n in range(0, len(cells), 6))
