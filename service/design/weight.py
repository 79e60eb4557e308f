"""Whether a strap is stout enough for the dog that wears it, by what saddlers are used to."""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace
from math import sqrt
from typing import Any, TypeVar

from service.design.hardware import widths
from service.design.pattern import Finding, Pattern
from service.design.spec import Wish
from service.errors import DesignError, Suggestion
from service.language import mark
from service.saying import Exact, Length, Mass, say
from service.units import IN, LB, OZ_LEATHER
from service.workshop import Leather, Workshop

Make = Callable[[Any, Workshop], Pattern]
Made = TypeVar("Made", bound=Pattern)
Change = tuple[float, Suggestion, object]
"""A change: the section it makes [mm²], how it is suggested, and the value of its parameter."""
LIGHT = "light-for-weight"
"""Code of the advice to make a strap wider or thicker for a heavy dog."""
USUAL_SECTION = 1 * IN * 7 * OZ_LEATHER
"""Section [mm²] of the lightest strap that suits a dog of `USUAL_WEIGHT`: 1 in of 7 oz. Common practice."""
USUAL_WEIGHT = 30 * LB
"""The heaviest dog [kg] that 7 to 8 oz at 1 in suits; from 15 lb on. Common practice."""
CLEARLY = 0.9
"""A strap less than this share of what suits is clearly light. From memory."""


def suited_section(weight: float) -> float:
    """Return the section [mm²] of the lightest strap that suits a dog of a weight [kg].

    It grows with the root of the weight, as the pull does at the end of a slack lead. Source: derived from
    common practice: 7 oz at 1 in for 30 lb. Worked: 13.6 kg: 70.6 mm²; four times that: 141.1 mm².
    """
    return USUAL_SECTION * sqrt(weight / USUAL_WEIGHT)


def with_weight_advice(pattern: Made, workshop: Workshop, make: Make) -> Made:
    """Return the pattern with advice where its strap is clearly light for the dog; what it names was made.

    Source: `suited_section`. Worked: 1 in of 3 mm, 76.2 mm², for 30 kg, which takes 104.8 mm²: wider or
    thicker.
    """
    spec, strap, weight = pattern.spec, pattern.strap, pattern.spec.weight
    if weight is None or spec.width * strap.thickness >= CLEARLY * suited_section(weight):
        return pattern
    text = say(
        "A strap {width} wide and {thickness} thick is light for a dog of {weight}. Leather of {thin} to"
        " {thick}, {usual} wide, suits {least} to {most}. Heavier dogs get it wider and thicker, with screw"
        " posts.",
        width=Length(spec.width),
        thickness=Exact(strap.thickness),
        weight=Mass(weight),
        thin=Exact(7 * OZ_LEATHER),
        thick=Exact(8 * OZ_LEATHER),
        usual=Length(IN),
        least=Mass(USUAL_WEIGHT / 2),
        most=Mass(USUAL_WEIGHT),
    )
    source = mark("common practice; carried on with the root of the weight, derived")
    wider = [size for size in widths(workshop) if size > spec.width]
    thicker = [row for row in workshop.leathers if row.thickness > strap.thickness]
    enough = CLEARLY * suited_section(weight)
    kinds = (
        [(size * strap.thickness, _width(size), size) for size in wider],
        [(spec.width * row.thickness, _leather(row), row.code) for row in thicker],
    )
    made = [way for ways in kinds for way in _first(_by_need(ways, enough), pattern.spec, workshop, make)]
    stout = [way for section, way, _ in made if section >= enough]
    ways = tuple(stout or (way for _, way, _ in made))
    advice = Finding(LIGHT, "advice", text, source, "width", ways)
    return replace(pattern, findings=(*pattern.findings, advice))


def _by_need(ways: Iterable[Change], enough: float) -> list[Change]:
    """Those that are stout enough, the nearest first, and then the others, the stoutest first."""
    return sorted(ways, key=lambda way: (way[0] < enough, abs(way[0] - enough)))


def _first(ways: Iterable[Change], spec: Wish, workshop: Workshop, make: Make) -> Iterator[Change]:
    """The first of them that can be made."""
    for change in ways:
        _, way, value = change
        try:
            make(spec.model_copy(update={way.field: value}), workshop)
        except DesignError:
            continue
        yield change
        return


def _width(size: float) -> Suggestion:
    return Suggestion("width", f"{size:g} mm", say("{width} wide", width=Length(size)))


def _leather(row: Leather) -> Suggestion:
    way = say("{leather}, {thickness} thick", leather=row.name, thickness=Exact(row.thickness))
    return Suggestion("leather", row.code, way)
