"""What the border stamps leave: shapes of our own, and whole borders of them for a screen and for the sheet.

A shape is drawn about its middle in mm, y running down and its foot towards the strap's nearer edge; outlines
fill by the non-zero rule. Along the lower edge a stamp is turned half round, as it is in the hand.
"""

from collections.abc import Iterable, Iterator
from functools import lru_cache

from service.design import Mark
from service.drawing.elements import named, placed
from service.drawing.letters import Contour, Step
from service.drawing.sheet import MARK, Path, Run
from service.geometry import Point

_BEND = 0.5522847498
"""Control length of the cubic for a quarter circle of radius 1, 4/3 (sqrt 2 - 1)."""


def _dot(x: float, y: float, r: float) -> Contour:
    k = r * _BEND
    return Contour(
        (x - r, y),
        (
            ((x - r, y - k), (x - k, y - r), (x, y - r)),
            ((x + k, y - r), (x + r, y - k), (x + r, y)),
            ((x + r, y + k), (x + k, y + r), (x, y + r)),
            ((x - k, y + r), (x - r, y + k), (x - r, y)),
        ),
    )


SHAPES: dict[str, tuple[Contour, ...]] = {
    "dots": (_dot(0.0, 0.0, 1.0),),
    # One strand of a rope: it lies across the line and swells in its middle.
    "rope": (
        Contour(
            (-1.5, 1.3),
            (
                ((-1.5, -0.1), (-0.5, -1.3), (1.5, -1.3)),
                ((1.5, 0.1), (0.5, 1.3), (-1.5, 1.3)),
            ),
        ),
    ),
    # A bow, its ends towards the strap's edge, with a dot under it.
    "scallop": (
        Contour(
            (-2.3, -1.4),
            (
                ((-2.3, 0.2), (-1.2, 1.4), (0.0, 1.4)),
                ((1.2, 1.4), (2.3, 0.2), (2.3, -1.4)),
                ((1.7, -1.4),),
                ((1.6, -0.3), (0.9, 0.6), (0.0, 0.6)),
                ((-0.9, 0.6), (-1.6, -0.3), (-1.7, -1.4)),
            ),
        ),
        _dot(0.0, -0.75, 0.6),
    ),
    # A leaf along the edge, and its rib, which the leather keeps.
    "leaf": (
        Contour(
            (-3.2, 0.0),
            (
                ((-1.8, -1.47), (0.2, -2.48), (3.2, 0.0)),
                ((0.2, 2.48), (-1.8, 1.47), (-3.2, 0.0)),
            ),
        ),
        Contour((-2.4, 0.0), (((0.0, 0.22),), ((2.2, 0.0),), ((0.0, -0.22),))),
    ),
}
"""The contours of each stamp. A rib runs the other way round than its leaf, so that it stays empty."""


def _turned(shape: tuple[Contour, ...]) -> tuple[Contour, ...]:
    return tuple(
        Contour(_back(one.start), tuple(tuple(map(_back, step)) for step in one.steps)) for one in shape
    )


def _back(point: Point) -> Point:
    return -point[0], -point[1]


UPPER, LOWER = SHAPES, {name: _turned(shape) for name, shape in SHAPES.items()}


def along(mark: Mark) -> Iterator[float]:
    """Where on the strap each stamp of a border is struck, or each hole of a lacing punched [mm]."""
    count, step = mark.count or 0, border_step(mark)
    return (mark.x + (n - (count - 1) / 2) * step for n in range(count))


def border_path(mark: Mark, at: Point) -> Path:
    """Return a border's stamps for a sheet on which the strap's buckle end lies at a point [mm]."""
    shape = (UPPER if mark.y > 0 else LOWER)[mark.name]
    runs = tuple(Run(one.start, one.steps, closed=True) for one in shape)
    return Path(MARK, runs, "border", tuple((at[0] + x, at[1] - mark.y) for x in along(mark)))


def _steps(one: Contour) -> str:
    here, written = one.start, []
    for step in one.steps:
        written.append(("l" if len(step) == 1 else "c") + _from(here, step))
        here = step[-1]
    return "".join(written)


def _from(here: Point, step: Step) -> str:
    return " ".join(f"{x - here[0]:.2f} {y - here[1]:.2f}" for x, y in step)


@lru_cache(maxsize=256)
def stamp_pair(name: str, y: float) -> str:
    """Return path data of one stamp at each edge [mm], so far either side of the strap's middle."""
    return "".join(
        f"M{one.start[0]:.2f} {one.start[1] + side * y:.2f}{_steps(one)}z"
        for side, shapes in ((-1, UPPER), (1, LOWER))
        for one in shapes[name]
    )


def stamped(marks: Iterable[Mark]) -> tuple[tuple[float, int], ...]:
    """Return the stamps of both edges in groups of powers of two.

    Each group is its middle [mm from the buckle end] and how many pairs of stamps it is. Worked: a run of 59
    is groups of 32, 16, 8, 2 and 1.
    """
    groups = []
    for start, step, count in runs_of(marks):
        gone = 0
        while gone < count:
            size = 1 << (count - gone).bit_length() - 1
            groups.append((start + (gone + size / 2) * step, size))
            gone += size
    return tuple(groups)


def runs_of(marks: Iterable[Mark]) -> Iterator[tuple[float, float, int]]:
    """Yield the runs of stamps or laces, alike at both edges: begin [mm from the buckle end], step, count."""
    for mark in marks:
        if mark.kind in ("border", "lacing") and mark.y > 0:
            yield mark.x - (mark.length or 0.0) / 2, border_step(mark), mark.count or 1


def border_step(mark: Mark) -> float:
    """Return how far one stamp of a border is from the next [mm]."""
    return (mark.length or 0.0) / (mark.count or 1)


def doubled(ident: str, pair: str, step: float, largest: int) -> str:
    """Return a pair of stamps, already written, and groups of 2, 4, 8 … of it, each made of two smaller ones.

    They are drawn where `placed` puts them, by their middles, and called `ident` and their count. That is
    short for any length of border.
    """
    things, size = [named(pair, f"{ident}-1")], 1
    while size < largest:
        half, use = f"{size * step / 2:.3f}", placed(f"{ident}-{size}")
        size *= 2
        both = use.draw(f"translate(-{half})") + use.draw(f"translate({half})")
        things.append(named(both, f"{ident}-{size}"))
    return "".join(things)


def grouped(ident: str, pair: str, step: float, counts: Iterable[int]) -> str:
    """Return groups of so many of a pair of stamps, already written, a step [mm] apart about their middle.

    They are called `ident` and their count. To a hundredth of a millimetre: so most were drawn before.
    """
    things = [named(pair, f"{ident}-1"), *(_group(ident, round(step, 2), n) for n in counts if n > 1)]
    return "".join(things)


@lru_cache(maxsize=4096)
def _group(ident: str, step: float, count: int) -> str:
    use = placed(f"{ident}-1")
    places = [use.draw(f"translate({(n - (count - 1) / 2) * step:.3f})") for n in range(count)]
    return named("".join(places), f"{ident}-{count}")
