"""The kinds of things that are made: what makes the pattern of each, and what says it in words."""

from collections.abc import Callable
from typing import Any, overload

from service.design.collar import make_collar
from service.design.lead import make_lead
from service.design.lead_wish import Lead
from service.design.pair import SetPattern, make_set
from service.design.pair_wish import CollarAndLead
from service.design.pattern import CollarPattern, Pattern
from service.design.slip import SlipPattern, make_slip
from service.design.spec import Collar, LimitedSlip, Wish
from service.design.tell_collar import tell_collar
from service.design.tell_lead import tell_lead
from service.design.tell_pair import tell_pair
from service.design.tell_slip import tell_slip
from service.design.telling import Told
from service.design.ways import with_cures, with_ways_out
from service.design.weight import with_weight_advice
from service.errors import DesignError
from service.workshop import Workshop

Make = Callable[[Any, Workshop], Pattern]
MAKERS: dict[type[Wish], Make] = {
    Collar: make_collar,
    LimitedSlip: make_slip,
    Lead: make_lead,
    CollarAndLead: make_set,
}
"""What makes each kind's pattern of its wish."""
TELLERS: dict[type[Wish], Callable[[Any], Told]] = {
    Collar: tell_collar,
    LimitedSlip: tell_slip,
    Lead: tell_lead,
    CollarAndLead: tell_pair,
}
"""What says each kind's pattern in words."""


@overload
def make_pattern(spec: Collar, workshop: Workshop) -> CollarPattern: ...
@overload
def make_pattern(spec: LimitedSlip, workshop: Workshop) -> SlipPattern: ...
@overload
def make_pattern(spec: Wish, workshop: Workshop) -> Pattern: ...
def make_pattern(spec: Wish, workshop: Workshop) -> Pattern:
    """Return the pattern of a wish of any kind: parts, hardware, joints and findings, and what the kind adds.

    Source: common practice for the layout, derived for fit. Worked: an existing collar of 19 in, 1 in wide,
    six holes: a strap of 27 1/2 in (698.5 mm). Raises NotStocked when hardware is missing and DoesNotFit
    when it can't be made, naming what would work.
    """
    make = MAKERS[type(spec)]
    try:
        pattern = make(spec, workshop)
    except DesignError as problem:
        raise with_ways_out(problem, spec, workshop, make) from problem
    collar = collar_in(pattern)
    if collar is not None:
        pattern = with_cures(pattern, collar, workshop, make)
    return with_weight_advice(pattern, workshop, make)


def try_pattern(spec: Wish, workshop: Workshop) -> tuple[Pattern | None, tuple[DesignError, ...]]:
    """Return the pattern of a wish, or all that stands in its way.

    Studs and lettering hang on everything else but not on each other: when neither can be, both are named.
    Source: derived. Worked: studs at 9 mm and “É”: one error for the studs, one for the letter.
    """
    try:
        return make_pattern(spec, workshop), ()
    except DesignError as problem:
        return None, _decorations_apart(spec, workshop) or (problem,)


def told(pattern: Pattern) -> Told:
    """Return a pattern of any kind in words.

    Source: derived. Worked: a buckle collar's title is "Chestnut collar, 1 in wide, for a neck of 19 in".
    """
    return TELLERS[type(pattern.spec)](pattern)


def collar_in(pattern: Pattern) -> CollarPattern | None:
    """Return the buckle collar that a pattern is, or that there is in a set; None where there is none."""
    if isinstance(pattern, SetPattern):
        return pattern.collar
    return pattern if isinstance(pattern, CollarPattern) else None


def _decorations_apart(spec: Wish, workshop: Workshop) -> tuple[DesignError, ...]:
    """The problem of the studs and that of the lettering, when each has its own."""
    if not spec.lettering or spec.studs is None:
        return ()
    found: dict[str, DesignError] = {}
    for left_out in ({"lettering": ""}, {"studs": None}):
        try:
            make_pattern(spec.model_copy(update=left_out), workshop)
        except DesignError as problem:
            found.setdefault(problem.field, problem)
    return tuple(found.values()) if len(found) > 1 else ()
