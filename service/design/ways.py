"""Ways out of a wish that can't be made: each one has been tried before it is suggested."""

from collections.abc import Callable, Iterator
from typing import Any, get_args

from service.design.hardware import widths
from service.design.reading import CHOICE_NAMES, read_parameter
from service.design.spec import Collar
from service.errors import DesignError, GirthwrightError, Suggestion
from service.geometry import End
from service.saying import Length, named, say
from service.workshop import Fastening, Style, Workshop

Make = Callable[[Collar, Workshop], Any]
SAME_WIDTH = 1.0
"""Widths nearer than this [mm] take the same strap."""
MOST = 3
"""Most ways out that change the same parameter."""


def with_ways_out(problem: DesignError, spec: Collar, workshop: Workshop, make: Make) -> DesignError:
    """Return the problem with only those suggestions that `make` succeeds with.

    When none of its own is left, every other single choice is tried. Its field is then the one to change
    first. Source: derived. Worked: a neck too short for a strap 1 in wide suggests the widths that it is
    long enough for.
    """

    def works(way: Suggestion) -> bool:
        try:
            value = read_parameter(way.field, way.value, workshop)
            make(spec.model_copy(update={way.field: value}), workshop)
        except GirthwrightError:
            return False
        return True

    ways = [way for way in problem.would_work if works(way)]
    for way in () if ways else _other_choices(spec, workshop):
        if sum(way.field == found.field for found in ways) < MOST and works(way):
            ways.append(way)
    fields = [way.field for way in ways] or [problem.field]
    field = problem.field if problem.field in fields else fields[0]
    return type(problem)(field=field, message=problem.message, would_work=tuple(ways))


def _other_choices(spec: Collar, workshop: Workshop) -> Iterator[Suggestion]:
    """Every other choice that can be made with one change, nearest widths first."""
    for size in sorted(widths(workshop), key=lambda size: abs(size - spec.width)):
        if abs(size - spec.width) >= SAME_WIDTH:
            yield Suggestion("width", f"{size:g} mm", say("{width} wide", width=Length(size)))
    for field, options in (("fastening", Fastening), ("style", Style), ("end", End)):
        for option in get_args(options):
            if option != getattr(spec, field):
                yield Suggestion(field, option, CHOICE_NAMES[option])
    for row in workshop.finishes:
        yield Suggestion("finish", row.code, named(row.name))
    yield from _without_wishes(spec)


def _without_wishes(spec: Collar) -> Iterator[Suggestion]:
    """What was asked for and could be left out or left to the engine."""
    for field, value, text in (
        ("holes", "auto", say("holes on auto")),
        ("pitch", "auto", say("pitch on auto")),
        ("studs", "", say("no studs")),
        ("lettering", "", say("no lettering")),
    ):
        if getattr(spec, field):
            yield Suggestion(field, value, text)
