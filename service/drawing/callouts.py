"""Labels along a part that never meet: each on a leader at its place, staggered over a few rows."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property

from service.drawing.sheet import DIMENSION, INK, SOFT, Anchor, Item, Path, Run, Text, polyline
from service.drawing.typeface import Weight, text_width

SIZE = 2.3
"""Size of a label's type [mm], about 6 1/2 pt."""
LEADING = 2.6
ROW_GAP = 1.4
GAP = 1.4
"""Least gap [mm] between two labels side by side, and between a label and another's leader."""
BESIDE = 0.7
"""A label beside its own leader keeps this far [mm] from it."""
ROWS = 5
PATIENCE = 2000
"""Steps after which the search for a place for every label is given up."""


@dataclass(frozen=True)
class Callout:
    """A label for a place x [mm]: its lines, the first in bold."""

    x: float
    lines: tuple[str, ...]

    @cached_property
    def width(self) -> float:
        """Width of the widest line [mm]."""
        return max(text_width(line, SIZE, _weight(n)) for n, line in enumerate(self.lines))


def _weight(line: int) -> Weight:
    return "regular" if line else "bold"


@dataclass(frozen=True, slots=True)
class Placed:
    """A callout with its row, counted from the part, and where its text is anchored [mm]."""

    callout: Callout
    row: int
    x: float
    anchor: Anchor

    @property
    def left(self) -> float:
        return self.x - {"start": 0.0, "middle": 0.5, "end": 1.0}[self.anchor] * self.callout.width

    @property
    def right(self) -> float:
        return self.left + self.callout.width


def stagger(callouts: Sequence[Callout], trims: Sequence[float] = ()) -> tuple[Placed, ...]:
    """Return a place for each callout, from left to right, each in the nearest row in which it meets nothing.

    Neither text and text meet, nor text and another's leader; no text crosses a trim line of the tiles [mm].
    Where that can't be had, in a crowd no strap has, leaders may cross text.
    Source: derived; depth-first, so that a label that blocks the next one is set again.
    Worked: of two labels 10 mm wide at 0 and at 3 mm the first stands in row 1, the second beside its leader.
    """
    order = sorted(callouts, key=lambda one: one.x)
    chosen: list[Placed] = []
    untried = [_spots(callout, ROWS) for callout in order[:1]]
    for _ in range(PATIENCE):
        if len(chosen) == len(order):
            return tuple(chosen)
        spot = next((one for one in untried[-1] if _free(one, chosen, trims)), None)
        if spot is not None:
            chosen.append(spot)
            untried.extend(_spots(callout, ROWS) for callout in order[len(chosen) : len(chosen) + 1])
        elif chosen:
            untried.pop()
            chosen.pop()
        else:
            break
    return _crowded(order, trims)


def _crowded(order: Sequence[Callout], trims: Sequence[float]) -> tuple[Placed, ...]:
    placed: list[Placed] = []
    for callout in order:
        spots = _spots(callout, len(order) + 1)
        clear = (one for one in spots if not _meets_text(one, placed) and not _split(one, trims))
        placed.append(next(clear, Placed(callout, len(order), callout.x + BESIDE, "start")))
    return tuple(placed)


def _spots(callout: Callout, rows: int) -> Iterator[Placed]:
    """Over or under its place as long as three rows suffice, then beside its leader."""
    yield from (Placed(callout, row, callout.x, "middle") for row in range(min(rows, 3)))
    for row in range(rows):
        yield Placed(callout, row, callout.x + BESIDE, "start")
        yield Placed(callout, row, callout.x - BESIDE, "end")


def _free(spot: Placed, placed: Sequence[Placed], trims: Sequence[float]) -> bool:
    if _split(spot, trims) or _meets_text(spot, placed):
        return False
    x = spot.callout.x
    return not any(
        (other.row > spot.row and spot.left - GAP < other.callout.x < spot.right + GAP)
        or (other.row < spot.row and other.left - GAP < x < other.right + GAP)
        for other in placed
    )


def _split(spot: Placed, trims: Sequence[float]) -> bool:
    return any(spot.left < trim < spot.right for trim in trims)


def _meets_text(spot: Placed, placed: Sequence[Placed]) -> bool:
    return any(
        other.row == spot.row and spot.left < other.right + GAP and other.left < spot.right + GAP
        for other in placed
    )


def depth(placed: Sequence[Placed]) -> float:
    """Return how far [mm] the labels reach from the line they start at."""
    if not placed:
        return 0.0
    rows = max(one.row for one in placed) + 1
    return rows * _row_height(placed)


def _row_height(placed: Sequence[Placed]) -> float:
    return max(len(one.callout.lines) for one in placed) * LEADING + ROW_GAP


def drawn(placed: Sequence[Placed], x: float, edge: float, side: int, reach: float = 0.0) -> Iterator[Item]:
    """Yield texts and leaders, x [mm] the part's left, `edge` [mm] the line the rows start at.

    `side` is 1 for rows going down and -1 for rows going up; leaders start `reach` [mm] before the edge.
    """
    if not placed:
        return
    height = _row_height(placed)
    leaders: list[Run] = []
    for one in placed:
        near = edge + side * (one.row * height + ROW_GAP)
        far = near - side * 0.5 if one.anchor == "middle" else near + side * LEADING * 0.8
        leaders.append(polyline((x + one.callout.x, edge - side * reach), (x + one.callout.x, far)))
        yield from _lines(one, x, near, side)
    yield Path(DIMENSION, tuple(leaders))


def _lines(one: Placed, x: float, near: float, side: int) -> Iterator[Text]:
    lines = one.callout.lines
    # Rows going up are filled from their foot, so that the last line stands nearest to the part.
    first = near + LEADING * 0.8 if side > 0 else near - LEADING * (len(lines) - 1) - 0.5
    for n, line in enumerate(lines):
        colour = SOFT if n else INK
        yield Text(line, (x + one.x, first + n * LEADING), SIZE, _weight(n), one.anchor, colour)
