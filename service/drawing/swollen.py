"""A strap that swells round a neck: its edges rise and fall, so that it looks otherwise from every side."""

from collections.abc import Callable, Iterator
from functools import partial
from math import tau

from service.design import Layout
from service.drawing.eye import QUARTER, RADIUS, STEP, View, between, level, run
from service.drawing.materials import ABOVE, BELOW
from service.geometry import Point, width_at

EDGE_LINES = 5.0, 4.0
"""How far inside its edges the strap's dark and light lines run [units], as on a straight one."""

Height = Callable[[float], float]
"""How high something is at an angle from the eye [rad], in units."""


def swollen(view: View, layout: Layout) -> tuple[str, ...]:
    """Path data of the form and a strap that swells, as `materials.collar` of a straight one."""
    inner, neck = RADIUS - view.deep, round(view.neck)
    top, foot = view.widest / 2 + ABOVE, -view.widest / 2 - BELOW
    upper = partial(_half, view, layout)

    def lower(angle: float) -> float:
        return -upper(angle)

    def higher(angle: float, by: float) -> float:
        return upper(angle) + by

    def deeper(angle: float, by: float) -> float:
        return -upper(angle) - by

    insets = [inset * view.scale for inset in layout.grooves]
    dark, light = EDGE_LINES
    return (
        level(neck * 1.2, foot),
        _band(view, (inner, upper), (inner, lower), far=True),
        _ring(view, RADIUS, upper) + _ring(view, inner, upper),
        between(neck, foot, neck, top),
        level(neck, top),
        level(neck - 34, top + 6),
        *(
            _band(view, (inner, upper), (neck, partial(higher, by=up)))
            + _band(view, (RADIUS, lower), (neck, partial(deeper, by=down)))
            for up, down in ((38, 64), (14, 34))
        ),
        _band(view, (RADIUS, upper), (inner, upper)),
        _band(view, (RADIUS, lower), (RADIUS, upper)),
        "".join([_line(view, partial(higher, by=-y)) + _line(view, partial(deeper, by=-y)) for y in insets])
        + _line(view, partial(deeper, by=-dark)),
        "".join(
            [_line(view, partial(higher, by=-y - 9)) + _line(view, partial(deeper, by=9 - y)) for y in insets]
        )
        + _line(view, partial(higher, by=-light)),
    )


def _half(view: View, layout: Layout, angle: float) -> float:
    """Half the strap's width [units] at an angle from the eye [rad]."""
    x = layout.fold + (angle + view.turned) % tau * view.flat / tau
    return width_at(x, layout.width, layout.swell) / 2 * view.scale


def _places(
    view: View, radius: float, height: Height, start: float = -QUARTER, turn: float = 2 * QUARTER
) -> Iterator[Point]:
    steps = round(turn / STEP)
    for n in range(steps + 1):
        angle = start + turn * n / steps
        yield view.at(angle, height(angle), radius - RADIUS)


def _band(view: View, one: tuple[float, Height], other: tuple[float, Height], *, far: bool = False) -> str:
    """What lies between two lines round the neck, each of a radius and a height: far half or near."""
    start = QUARTER if far else -QUARTER
    there, back = (tuple(_places(view, radius, height, start)) for radius, height in (one, other))
    return f"M{run((*there, *reversed(back)))}Z"


def _ring(view: View, radius: float, height: Height) -> str:
    return f"M{run(_places(view, radius, height, turn=4 * QUARTER))}Z"


def _line(view: View, height: Height) -> str:
    # Within the strap by half a line's breadth, so that no line sticks out at its sides.
    return f"M{run(_places(view, RADIUS - 6, height))}"
