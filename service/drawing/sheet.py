"""The full-scale sheet: what is drawn on it, recorded once in millimetres and replayed by any writer.

The origin is the top left corner, x to the right, y down. Nothing is rounded here.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from service.drawing.typeface import ASCENT, DESCENT, Weight, text_width
from service.geometry import Point, bounds

Step = tuple[Point, ...]
Box = tuple[float, float, float, float]
Anchor = Literal["start", "middle", "end"]

INK, SOFT, SADDLE = "#1b1815", "#6b645c", "#8a4b22"
_BEND = 0.5522847498307936
"""Control length of the cubic for a quarter circle of radius 1, 4/3 (sqrt 2 - 1): it leaves it by 0.027 %."""


@dataclass(frozen=True, slots=True)
class Pen:
    """How something is drawn: line width [mm], colour, dashes [mm]; a line width of nothing fills instead."""

    name: str
    width: float
    colour: str = INK
    dashes: tuple[float, ...] = ()


CUT = Pen("cut", 0.2)
"""Along it the knife goes; centred on the true edge."""
HOLE = Pen("hole", 0.15)
MARK = Pen("mark", 0.12, SADDLE)
"""What is stamped, set or laid on the leather, and not cut."""
FOLD = Pen("fold", 0.2, SADDLE, (3.0, 1.5))
CENTRE = Pen("centre", 0.1, SADDLE, (5.0, 1.0, 0.8, 1.0))
LAID = Pen("laid", 0.12, SADDLE, (1.2, 1.2))
"""The place of a part that lies on another."""
SEAM = Pen("seam", 0.1, SADDLE)
"""Where it is sewn: the line, and the holes of the stitches."""
CROSS = Pen("cross", 0.1)
DIMENSION = Pen("dimension", 0.1, SOFT)
THIN = Pen("thin", 0.15, SOFT)
TRIM = Pen("trim", 0.15, SOFT, (2.0, 2.0))
FILL = Pen("fill", 0.0)
TINT = Pen("tint", 0.0, "#ded7cc")
PENS = (TINT, DIMENSION, THIN, TRIM, CENTRE, LAID, CROSS, SEAM, FOLD, MARK, HOLE, CUT, FILL)
"""Every pen, in the order in which they are drawn."""


@dataclass(frozen=True, slots=True)
class Run:
    """One stroke of the pen: its start, and steps of one point (a line) or three (a cubic: controls, end)."""

    start: Point
    steps: tuple[Step, ...]
    closed: bool = False

    @property
    def points(self) -> tuple[Point, ...]:
        """All its points, a cubic's controls too: they hold the curve between them."""
        return (self.start, *(point for step in self.steps for point in step))

    def moved(self, dx: float, dy: float) -> "Run":
        steps = tuple(tuple((x + dx, y + dy) for x, y in step) for step in self.steps)
        return Run((self.start[0] + dx, self.start[1] + dy), steps, self.closed)


@dataclass(frozen=True, slots=True)
class Path:
    """Strokes drawn together; `name` tells one outline from another in a file.

    What is stamped again and again is drawn moved to each of its `places` [mm]; a writer writes it once.
    """

    pen: Pen
    runs: tuple[Run, ...]
    name: str = ""
    places: tuple[Point, ...] = ()

    @property
    def box(self) -> Box:
        """The points' bounds [mm], without the line's width."""
        left, top, right, foot = bounds([point for run in self.runs for point in run.points])
        if not self.places:
            return left, top, right, foot
        first, high, last, low = bounds(self.places)
        return left + first, top + high, right + last, foot + low

    @property
    def strokes(self) -> Iterator[Run]:
        """Every stroke where it is drawn."""
        if not self.places:
            yield from self.runs
        for place in self.places:
            yield from (run.moved(*place) for run in self.runs)

    def moved(self, dx: float, dy: float) -> "Path":
        if self.places:
            return replace(self, places=tuple((x + dx, y + dy) for x, y in self.places))
        return replace(self, runs=tuple(run.moved(dx, dy) for run in self.runs))


@dataclass(frozen=True, slots=True)
class Circle:
    """A true circle."""

    pen: Pen
    centre: Point
    radius: float
    name: str = ""

    @property
    def box(self) -> Box:
        """Bounds [mm], without the line's width."""
        (x, y), r = self.centre, self.radius
        return x - r, y - r, x + r, y + r

    def moved(self, dx: float, dy: float) -> "Circle":
        return replace(self, centre=(self.centre[0] + dx, self.centre[1] + dy))


@dataclass(frozen=True, slots=True)
class Text:
    """One line of text: `at` is on the baseline, `size` the em [mm]."""

    text: str
    at: Point
    size: float
    weight: Weight = "regular"
    anchor: Anchor = "start"
    colour: str = INK

    @property
    def width(self) -> float:
        """Width [mm] by the font's metrics."""
        return text_width(self.text, self.size, self.weight)

    @property
    def box(self) -> Box:
        """Bounds [mm]: width by the font's metrics, height from the tallest to the deepest letters."""
        x, y = self.at
        width = self.width
        left = x - {"start": 0.0, "middle": width / 2, "end": width}[self.anchor]
        return left, y - ASCENT * self.size, left + width, y + DESCENT * self.size

    def moved(self, dx: float, dy: float) -> "Text":
        return replace(self, at=(self.at[0] + dx, self.at[1] + dy))


Item = Path | Circle | Text


@dataclass(frozen=True, slots=True)
class Sheet:
    """A drawing of this width and height [mm] and everything on it."""

    width: float
    height: float
    items: tuple[Item, ...]


@dataclass(frozen=True, slots=True)
class Block:
    """Something drawn from its own top left corner, with the width and height [mm] it takes up."""

    items: tuple[Item, ...]
    width: float
    height: float


def moved(items: Iterable[Item], dx: float, dy: float) -> tuple[Item, ...]:
    """Return the same things further right and down [mm]."""
    return tuple(item.moved(dx, dy) for item in items)


def polyline(*points: Point) -> Run:
    """Return an open stroke through points [mm]."""
    return Run(points[0], tuple((point,) for point in points[1:]))


def polygon(points: Sequence[Point]) -> Run:
    """Return a closed stroke through corners [mm]."""
    return Run(points[0], tuple((point,) for point in points[1:]), closed=True)


def box_run(x0: float, y0: float, x1: float, y1: float) -> Run:
    """Return the closed outline of a rectangle between two corners [mm]."""
    return polygon(((x0, y0), (x1, y0), (x1, y1), (x0, y1)))


def cross(x: float, y: float, reach: float) -> tuple[Run, Run]:
    """Return the two lines of an upright cross at a point [mm] that reach so far [mm] either way."""
    return polyline((x - reach, y), (x + reach, y)), polyline((x, y - reach), (x, y + reach))


def stadium(x: float, y: float, length: float, width: float) -> Run:
    """Return a slot with round ends about its centre [mm]; length and width [mm] overall, the length along x.

    Source: four quarter circles as cubics, which leave the true arc by at most 0.027 %; derived.
    """
    r = width / 2
    reach, k = length / 2 - r, _BEND * r

    def at(*places: Point) -> Step:
        return tuple((x + px, y + py) for px, py in places)

    return Run(
        (x - reach, y - r),
        (
            at((reach, -r)),
            at((reach + k, -r), (reach + r, -k), (reach + r, 0.0)),
            at((reach + r, k), (reach + k, r), (reach, r)),
            at((-reach, r)),
            at((-reach - k, r), (-reach - r, k), (-reach - r, 0.0)),
            at((-reach - r, -k), (-reach - k, -r), (-reach, -r)),
        ),
        closed=True,
    )
