"""Laced edges: their holes on the sheet, and the lace round the edge on a screen."""

from collections.abc import Iterable, Iterator
from functools import lru_cache

from service.design import Mark
from service.drawing.elements import path
from service.drawing.motifs import along
from service.drawing.palette import DARK, lightness, tone
from service.drawing.sheet import CROSS, HOLE, Circle, Item, Path, cross
from service.geometry import Point

INSET = 4.0
"""How far in from the edge the holes are [mm], as in `design/lacing.py`."""
LACE = 2.4
"""Width of a lace [mm]: 3/32 in."""
OVER = 0.5
"""How far a lace stands over the edge it goes round [mm]. By eye."""
LEANS: dict[str, tuple[float, ...]] = {"whip": (0.35,), "loop": (0.0,), "double-loop": (0.3, -0.3)}
"""How far each lace leans on its way from its hole to the edge, in pitches. By eye."""
CHAIN = 1.3
"""Width of the chain that loops make along the edge [mm]. By eye."""
REACH = 0.8
"""How far the cross in a hole reaches past it [mm]."""


def lacing_items(marks: Iterable[Mark], at: Point) -> Iterator[Item]:
    """Yield the lace holes among a strap's marks, the strap laid at a point [mm]."""
    for mark in marks:
        if mark.kind != "lacing":
            continue
        y, radius = at[1] - mark.y, (mark.height or 0.0) / 2
        places = [at[0] + x for x in along(mark)]
        for x in places:
            yield Circle(HOLE, (x, y), radius, "lace-hole")
        yield Path(CROSS, tuple(line for x in places for line in cross(x, y, radius + REACH)))


def lace_tone(leather: str) -> str:
    """Return the tone in which lace is drawn on leather of a colour: one that stands out from it."""
    return tone(leather, -0.5 if lightness(leather) > DARK else 0.4)


@lru_cache(maxsize=256)
def stitch_pair(name: str, y: float, step: float, leather: str) -> str:
    """Return the lace of one hole at each edge, holes so far off the middle [mm] and a step [mm] apart."""
    shapes = []
    for side in (-1, 1):
        hole, edge = side * (y - LACE / 2), side * (y + INSET + OVER)
        for lean in LEANS[name]:
            # Along the lower edge everything is turned half round, as the border's stamps are.
            dx = -side * lean * step
            shapes.append(
                f"M-{LACE / 2} {hole:.2f}H{LACE / 2}L{dx + LACE / 2:.2f} {edge:.2f}H{dx - LACE / 2:.2f}z"
            )
        if name != "whip":
            inner = side * (y + INSET + OVER - CHAIN)
            half = step / 2
            shapes.append(f"M-{half:.2f} {inner:.2f}H{half:.2f}V{edge:.2f}H-{half:.2f}z")
    colour = lace_tone(leather)
    return path("".join(shapes), fill=colour, stroke=tone(colour, -0.5), stroke_width=0.3)
