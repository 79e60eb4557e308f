"""Paper: how a sheet is cut into overlapping tiles, and what each carries so that they can be joined."""

from collections.abc import Iterator
from dataclasses import dataclass
from math import ceil
from typing import Literal

from service.drawing.sheet import (
    SADDLE,
    SOFT,
    THIN,
    TINT,
    TRIM,
    Box,
    Circle,
    Item,
    Path,
    Run,
    Text,
    box_run,
    cross,
    moved,
    polyline,
)
from service.drawing.typeface import shortened, text_width, wrapped
from service.language import tr
from service.units import IN

Paper = Literal["a4", "letter", "roll"]
SheetPaper = Literal["a4", "letter"]

LANDSCAPE: dict[SheetPaper, tuple[float, float]] = {"a4": (297.0, 210.0), "letter": (11 * IN, 8.5 * IN)}
"""Width and height [mm]. Sources: ISO 216 (A4); ANSI Y14.1 (size A), in inches."""
MARGIN = 10.0
"""Left unprinted on every side [mm]: what desk printers can't reach, and some more. Common practice."""
OVERLAP = 10.0
"""Neighbouring tiles show the same strip [mm]. Common practice."""
SAME = 1e-9
"""So small a share of a tile needs no tile of its own."""
FOOT = 12.5
"""Height of the strip under each tile that says which one it is [mm]."""
MARK_RADIUS = 2.5
RULE = 100.0
"""Length of the rule on each tile [mm]."""
UNDER = 4.2
"""A tile's number stands so far [mm] under it on a map of one row, where no part lies."""


@dataclass(frozen=True, slots=True)
class Tile:
    """One tile: its row and column, counted from 1, and the piece of the sheet it shows [mm]."""

    row: int
    column: int
    x: float
    y: float
    width: float
    height: float


@dataclass(frozen=True, slots=True)
class Grid:
    """A sheet cut into tiles, and the pages [mm] that carry them."""

    page_width: float
    page_height: float
    tile_width: float
    tile_height: float
    rows: int
    columns: int
    tiles: tuple[Tile, ...]


@dataclass(frozen=True, slots=True)
class MatchMark:
    """A mark at a place of the sheet [mm] that the tiles on both sides of a seam carry."""

    x: float
    y: float
    letter: str


def printable(paper: SheetPaper) -> tuple[float, float]:
    """Return width and height [mm] inside the margins. Worked: A4 landscape, 277 by 190."""
    width, height = LANDSCAPE[paper]
    return width - 2 * MARGIN, height - 2 * MARGIN


def room(paper: SheetPaper) -> float:
    """Return how high a sheet may be to need one row of tiles [mm]. Worked: A4 landscape, 177.5."""
    return printable(paper)[1] - FOOT


def trim_lines(paper: SheetPaper, width: float) -> tuple[float, ...]:
    """Return where the tiles of a sheet so wide [mm] are trimmed, from its left [mm]: each overlap's middle.

    Worked: 700 mm on A4: at 272 and 539 mm.
    """
    tile, _ = printable(paper)
    step = tile - OVERLAP
    return tuple(n * step + OVERLAP / 2 for n in range(1, _count(width, tile)))


def _count(length: float, tile: float) -> int:
    # Heights are sums: one that is to fill a tile must not need another by the last digit of a float.
    return max(1, ceil((length - OVERLAP) / (tile - OVERLAP) - SAME))


def grid(paper: SheetPaper, width: float, height: float) -> Grid:
    """Return the tiles that cover a sheet [mm].

    Tiles are as wide as the paper prints, so that few are needed, and no higher than the sheet.
    Worked: 718.5 by 110 on A4: three tiles of 277 by 110 in one row.
    """
    wide, high = printable(paper)
    high -= FOOT
    columns, rows = _count(width, wide), _count(height, high)
    high = min(high, height)
    tiles = tuple(
        Tile(row + 1, column + 1, column * (wide - OVERLAP), row * (high - OVERLAP), wide, high)
        for row in range(rows)
        for column in range(columns)
    )
    return Grid(*LANDSCAPE[paper], wide, high, rows, columns, tiles)


def match_marks(cut: Grid) -> tuple[MatchMark, ...]:
    """Return the marks on every seam's middle, two to each neighbouring pair, lettered along the rows.

    Worked: three tiles in a row have two marks A between the first and the second and two marks B.
    """
    marks: list[MatchMark] = []
    step_x, step_y = cut.tile_width - OVERLAP, cut.tile_height - OVERLAP
    middle = OVERLAP / 2
    for tile in cut.tiles:
        if tile.column < cut.columns:
            letter = _letter(len(marks) // 2)
            x = tile.x + step_x + middle
            # Clear of the strips that tiles above and below share: those have marks of their own.
            top = tile.y + (middle if tile.row == 1 else OVERLAP + middle)
            foot = tile.y + tile.height - (middle if tile.row == cut.rows else OVERLAP + middle)
            marks += [MatchMark(x, top, letter), MatchMark(x, foot, letter)]
    for tile in cut.tiles:
        if tile.row < cut.rows:
            letter = _letter(len(marks) // 2)
            y = tile.y + step_y + middle
            marks += [MatchMark(tile.x + share * tile.width, y, letter) for share in (0.25, 0.75)]
    return tuple(marks)


def _letter(number: int) -> str:
    """A to Z, then A1 to Z1, and so on."""
    turn, place = divmod(number, 26)
    return chr(ord("A") + place) + (str(turn) if turn else "")


def shows(tile: Tile, cut: Grid, box: Box, *, trimmed: bool = False) -> bool:
    """Tell whether a tile, whole or trimmed, shows any of what lies in a box of the sheet [mm].

    Text is drawn where it can be read in the end: no trim line crosses a label, so it is drawn once.
    """
    inset = OVERLAP / 2 if trimmed else 0.0
    left = tile.x + (inset if tile.column > 1 else 0.0)
    top = tile.y + (inset if tile.row > 1 else 0.0)
    right = tile.x + tile.width - (inset if tile.column < cut.columns else 0.0)
    foot = tile.y + tile.height - (inset if tile.row < cut.rows else 0.0)
    x0, y0, x1, y1 = box
    return x0 < right and x1 > left and y0 < foot and y1 > top


def on_tile(mark: MatchMark, tile: Tile) -> bool:
    """Tell whether a tile shows a mark whole."""
    r = MARK_RADIUS
    return (
        tile.x <= mark.x - r
        and mark.x + r <= tile.x + tile.width
        and (tile.y <= mark.y - r and mark.y + r <= tile.y + tile.height)
    )


def tile_marks(tile: Tile, cut: Grid) -> Iterator[Item]:
    """Yield what joins a tile to its neighbours, in the sheet's places [mm]: match marks and trim lines."""
    for mark in match_marks(cut):
        if on_tile(mark, tile):
            yield Circle(THIN, (mark.x, mark.y), MARK_RADIUS, "match-mark")
            yield Path(THIN, cross(mark.x, mark.y, MARK_RADIUS + 1.0), "match-mark")
            yield _letter_of(mark, tile)
    trims = []
    if tile.column > 1:
        x = tile.x + OVERLAP / 2
        trims.append(polyline((x, tile.y), (x, tile.y + tile.height)))
    if tile.row > 1:
        y = tile.y + OVERLAP / 2
        trims.append(polyline((tile.x, y), (tile.x + tile.width, y)))
    if trims:
        yield Path(TRIM, tuple(trims), "trim")


def _letter_of(mark: MatchMark, tile: Tile) -> Text:
    """Towards the tile's middle, where it is neither clipped nor trimmed off."""
    away = MARK_RADIUS + 1.6
    if mark.x > tile.x + tile.width / 2:
        return Text(mark.letter, (mark.x - away, mark.y - 0.9), 3.2, "bold", "end")
    return Text(mark.letter, (mark.x + away, mark.y - 0.9), 3.2, "bold", "start")


def tile_frame(tile: Tile, cut: Grid) -> Iterator[Item]:
    """Yield the border of a tile, in the page's places [mm]."""
    box = box_run(MARGIN, MARGIN, MARGIN + cut.tile_width, MARGIN + cut.tile_height)
    yield Path(THIN, (box,), f"tile-{tile.row}-{tile.column}")


def tile_foot(tile: Tile, cut: Grid, title: str, shop: str) -> Iterator[Item]:
    """Yield the strip under a tile, in the page's places [mm]: which tile, of what, and a rule of 100 mm."""
    number = cut.tiles.index(tile) + 1
    name = tr("Tile {number} of {count}", number=number, count=len(cut.tiles))
    said = tr("Print at 100 %, no scaling.")
    if cut.rows > 1:
        place = tr("Row {row}, column {column}.", row=tile.row, column=tile.column)
        said = f"{place} {said}"
    x = MARGIN + max(text_width(name, 5.6, "display"), text_width(said, 2.6)) + 5
    yield from small_map(cut, number, x, cut.page_height - MARGIN - 10.5, 24.0, 10.5)
    page = cut.page_width, cut.page_height
    yield from sheet_foot(page, name, said, (title, shop), x + 27)


def sheet_foot(
    page: tuple[float, float], name: str, said: str, of: tuple[str, str], x: float = 0.0
) -> Iterator[Item]:
    """Yield the strip at the foot of a page so wide and high [mm]: which one, of what by whom, and a rule.

    What it is of stands from x on [mm], or right behind which one it is.
    """
    left, base = MARGIN, page[1] - MARGIN
    yield Text(name, (left, base - 5.2), 5.6, "display")
    yield Text(said, (left, base - 0.8), 2.6)
    x = x or left + max(text_width(name, 5.6, "display"), text_width(said, 2.6)) + 6
    room = page[0] - MARGIN - RULE - 8 - x
    yield from moved(_named(*of, room), x, base - 0.8)
    yield from rule(page[0] - MARGIN - RULE, base - 5.2)


def _named(title: str, shop: str, room: float) -> Iterator[Item]:
    """Shop under title, from the shop's baseline; a long title in smaller type, on two lines if need be."""
    sizes = (3.2, 2.9)
    size = next((size for size in sizes if text_width(title, size, "bold") <= room), sizes[-1])
    first, *rest = wrapped(title, room, size, "bold")
    lines = [first, shortened(" ".join(rest), room, size, "bold")] if rest else [first]
    for n, line in enumerate(reversed(lines)):
        yield Text(line, (0.0, -4.0 - 3.5 * n), size, "bold")
    yield Text(shortened(shop, room, 2.6), (0.0, 0.0), 2.6, colour=SOFT)


def rule(x: float, y: float) -> Iterator[Item]:
    """Yield a rule of 100 mm from a place [mm] to the right, a tick at every 5 mm, its numbers under it."""
    ticks = [polyline((x + mm, y), (x + mm, y - (2.6 if mm % 10 == 0 else 1.5))) for mm in range(0, 101, 5)]
    yield Path(THIN, (polyline((x, y), (x + RULE, y)), *ticks), "rule")
    yield Text("0 mm", (x, y + 3.4), 2.5, colour=SOFT)
    for mm in range(10, 101, 10):
        yield Text(str(mm), (x + mm, y + 3.4), 2.5, "regular", "middle" if mm < RULE else "end", SOFT)


def small_map(cut: Grid, here: int, x: float, y: float, width: float, height: float) -> Iterator[Item]:
    """Yield the tiles as small boxes that fit a width and height [mm], one of them (by number) filled."""
    span = cut.columns * cut.tile_width
    deep = cut.rows * cut.tile_height
    scale = min(width / span, height / deep)
    top = y + height - deep * scale
    for number, tile in enumerate(cut.tiles, 1):
        box = _map_box(tile, cut, scale, x, top)
        yield Path(TINT if number == here else THIN, (box,))
        if number == here:
            yield Path(THIN, (box,))


def _map_box(tile: Tile, cut: Grid, scale: float, x: float, y: float) -> Run:
    left = x + (tile.column - 1) * cut.tile_width * scale
    top = y + (tile.row - 1) * cut.tile_height * scale
    return box_run(left, top, left + cut.tile_width * scale, top + cut.tile_height * scale)


def key_map(
    cut: Grid, outlines: tuple[Run, ...], x: float, y: float, width: float
) -> tuple[tuple[Item, ...], float]:
    """Return the sheet in small with its numbered tiles, from a place [mm], so wide [mm], and its height."""
    last = cut.tiles[-1]
    scale = width / (last.x + last.width)

    def small(run: Run) -> Run:
        to = [(x + px * scale, y + py * scale) for px, py in run.points]
        return Run(to[0], tuple((point,) for point in to[1:]), run.closed)

    items: list[Item] = [Path(TINT, tuple(small(run) for run in outlines))]
    for number, tile in enumerate(cut.tiles, 1):
        corner = x + tile.x * scale, y + tile.y * scale
        far = corner[0] + tile.width * scale, corner[1] + tile.height * scale
        items.append(Path(THIN, (box_run(*corner, *far),)))
        place = (corner[0] + far[0]) / 2, far[1] + (UNDER if cut.rows == 1 else -1.2)
        items.append(Text(str(number), place, 3.8, "display", "middle", SADDLE))
    return tuple(items), (last.y + last.height) * scale + (UNDER + 0.9 if cut.rows == 1 else 0.0)
