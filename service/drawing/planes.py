"""What repeats along a strap round a neck, drawn a few at a time: on a dozen planes that touch the strap."""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from itertools import pairwise
from math import ceil, cos, radians, sin, tau

from service.drawing.eye import COS_TILT, RADIUS, SIN_TILT, View

EDGES = tuple(map(radians, (-86, *range(-75, 76, 15), 86)))
"""The angles from the eye at which one plane meets the next [rad].

Half of 15 degrees from where it touches, a plane is 0.86 % of the radius off the strap; the outermost two end
where what lies on them would stick out at its sides.
"""
MIDDLES = tuple((start + end) / 2 for start, end in pairwise(EDGES))
PLANES = tuple(
    f"matrix({cos(a):.4f} {-sin(a) * SIN_TILT:.4f} 0 {COS_TILT:.4f}"
    f" {RADIUS * sin(a):.0f} {RADIUS * cos(a) * SIN_TILT:.0f})"
    for a in MIDDLES
)
"""What lays something drawn face on, in units, on each of them."""

Run = tuple[float, float, int]
"""Where things begin [mm past the buckle's bar], the step from one to the next [mm], and how many."""


@dataclass(frozen=True, slots=True)
class Row:
    """Things alike that repeat along the strap in runs.

    `groups` draws groups of so many of them in mm about their middle, each called `name` and its count.
    """

    name: str
    runs: tuple[Run, ...]
    groups: Callable[[Iterable[int]], str]


def on_planes(view: View, rows: Iterable[Row]) -> str:
    """Return rows of things as an eye sees them, the first undermost."""
    laid: list[str] = [""] * len(PLANES)
    groups = []
    for row in rows:
        counts = set()
        for run in row.runs:
            for plane, count, off in _shares(view, run):
                counts.add(count)
                laid[plane] += f'<use href="#{row.name}-{count}" x="{off:.2f}"/>'
        groups.append(row.groups(sorted(counts)))
    scale = f"scale({view.scale:.4f})"
    shown = [
        f'<g transform="{plane}{scale}">{things}</g>'
        for plane, things in zip(PLANES, laid, strict=True)
        if things
    ]
    return "".join((*groups, *shown))


def _shares(view: View, run: Run) -> Iterator[tuple[int, int, float]]:
    """How many of a run each plane bears, and how far past the plane's middle theirs is [mm]."""
    x, step, count = run
    turn, first = tau * step / view.flat, view.angle(x)
    # A run that goes on behind the neck may come round on the other side.
    for start in (first, first - tau):
        if start > EDGES[-1] or start + count * turn < EDGES[0]:
            continue
        high = max(0, ceil((EDGES[0] - start) / turn - 0.5))
        for plane, edge in enumerate(EDGES[1:]):
            low, high = high, min(count, max(0, ceil((edge - start) / turn - 0.5)))
            if low < high:
                yield plane, high - low, ((start - MIDDLES[plane]) / turn + (low + high) / 2) * step
