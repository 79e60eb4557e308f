"""Tables and paragraphs as blocks, and columns that they flow into."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from service.drawing.sheet import INK, SADDLE, SOFT, THIN, Anchor, Block, Item, Path, Text, moved, polyline
from service.drawing.typeface import Weight, shortened, text_width, wrapped

BODY = 2.75
"""Size of the type in tables and paragraphs [mm] at full scale, about 7.8 pt."""
LEADING = 1.34
HEADING = 3.3
AFTER = 3.4
"""Free under each block [mm] at full scale."""
GAP = 1.8
"""Least gap [mm] between two columns that are spread, at full scale."""
HAIR = 0.001
"""More room [mm] than its text needs, or rounding would shorten it."""


@dataclass(frozen=True, slots=True)
class Column:
    """A column of a table: where its text is set and how wide it may be, as shares of the table's width.

    `size` is that of its type, 1 being the table's; `before` how wide the gap before it is next to the others
    where columns are spread.
    """

    at: float
    room: float
    anchor: Anchor = "start"
    weight: Weight = "regular"
    colour: str = INK
    size: float = 1.0
    before: float = 1.0


@dataclass(frozen=True, slots=True)
class Setting:
    """How wide a column is [mm] and how large its type, 1 being full size."""

    width: float
    scale: float

    @property
    def body(self) -> float:
        """Size of body type [mm]."""
        return BODY * self.scale

    @property
    def line(self) -> float:
        """From one line to the next [mm]."""
        return BODY * LEADING * self.scale


def heading(title: str, setting: Setting) -> Block:
    """Return a block's title over a thin line."""
    size = HEADING * setting.scale
    items = (
        Text(title, (0.0, size * 0.8), size, "bold", colour=SADDLE),
        Path(THIN, (polyline((0.0, size * 1.2), (setting.width, size * 1.2)),)),
    )
    return Block(items, setting.width, size * 1.2 + 0.7 * setting.scale)


def table(title: str, columns: Sequence[Column], rows: Sequence[Sequence[str]], setting: Setting) -> Block:
    """Return a table; a text too wide for its place is shortened, so that it never meets its neighbour."""
    head = heading(title, setting)
    items: list[Item] = list(head.items)
    y = head.height
    for row in rows:
        y += setting.line
        base = y - setting.line * 0.25
        for column, text in zip(columns, row, strict=True):
            if text:
                size = setting.body * column.size
                fitting = shortened(text, column.room * setting.width, size, column.weight)
                at = (column.at * setting.width, base)
                items.append(Text(fitting, at, size, column.weight, column.anchor, column.colour))
    return Block(tuple(items), setting.width, y + AFTER * setting.scale)


def spread(columns: Sequence[Column], rows: Sequence[Sequence[str]], setting: Setting) -> tuple[Column, ...]:
    """Return columns each as wide as its widest text, with what is left of the width between them.

    Where less than the least gap is left, each is narrowed alike, and `table` will shorten.
    """
    sizes = [setting.body * column.size for column in columns]
    widths = [
        max(text_width(row[n], sizes[n], column.weight) for row in rows) for n, column in enumerate(columns)
    ]
    shares = sum(column.before for column in columns[1:])
    gap = max((setting.width - sum(widths)) / shares, GAP * setting.scale)
    squeeze = min(1.0, (setting.width - gap * shares) / sum(widths))
    placed: list[Column] = []
    x = 0.0
    for column, natural in zip(columns, widths, strict=True):
        width = natural * squeeze
        x += gap * column.before if placed else 0.0
        at = x + {"start": 0.0, "middle": 0.5, "end": 1.0}[column.anchor] * width
        placed.append(replace(column, at=at / setting.width, room=(width + HAIR) / setting.width))
        x += width
    return tuple(placed)


def paragraphs(title: str, texts: Sequence[str], setting: Setting) -> Block:
    """Return short paragraphs, each with a dash before it."""
    head = heading(title, setting)
    items: list[Item] = list(head.items)
    y = head.height
    indent = 3.0 * setting.scale
    for text in texts:
        for n, line in enumerate(wrapped(text, setting.width - indent, setting.body)):
            y += setting.line
            base = y - setting.line * 0.25
            if n == 0:
                items.append(Text("–", (0.0, base), setting.body, colour=SOFT))
            items.append(Text(line, (indent, base), setting.body))
        y += 0.5 * setting.scale
    return Block(tuple(items), setting.width, y + AFTER * setting.scale)


def flowed(blocks: Sequence[Block], height: float) -> tuple[tuple[Block, ...], ...]:
    """Return blocks in columns no higher than a height [mm], in order; one that is higher stands alone."""
    columns: list[list[Block]] = [[]]
    used = 0.0
    for block in blocks:
        if columns[-1] and used + block.height > height:
            columns.append([])
            used = 0.0
        columns[-1].append(block)
        used += block.height
    return tuple(tuple(column) for column in columns)


def stacked(blocks: Sequence[Block], x: float, y: float) -> Iterator[Item]:
    """Yield blocks one under another from a place [mm]."""
    for block in blocks:
        yield from moved(block.items, x, y)
        y += block.height
