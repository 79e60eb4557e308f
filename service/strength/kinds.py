"""How each kind of thing can fail: a new kind is a line."""

from collections.abc import Callable, Iterator
from dataclasses import replace
from typing import Any

from service.design import CollarPattern, LeadPattern, Pattern, SetPattern, SlipPattern
from service.saying import say
from service.strength.lead_modes import lead_modes
from service.strength.modes import Mode, collar_modes
from service.strength.slip_modes import slip_modes
from service.workshop import Assumptions, Workshop


def _set_modes(pattern: SetPattern, assumed: Assumptions) -> Iterator[Mode]:
    """Those of the collar and those of the lead, told apart."""
    for mode in collar_modes(pattern.collar, assumed):
        yield replace(mode, code=f"collar-{mode.code}", name=say("Collar: {what}", what=mode.name))
    for mode in lead_modes(pattern.lead, assumed):
        yield replace(mode, code=f"lead-{mode.code}", name=say("Lead: {what}", what=mode.name))


MODES: dict[type[Pattern], Callable[[Any, Assumptions], Iterator[Mode]]] = {
    CollarPattern: collar_modes,
    SlipPattern: slip_modes,
    LeadPattern: lead_modes,
    SetPattern: _set_modes,
}
"""What yields the ways in which a pattern of each kind can fail."""


def modes_of(pattern: Pattern, workshop: Workshop) -> tuple[Mode, ...]:
    """Return every way in which something can fail, the weakest first, the unknown ones last.

    Source: as each says. Worked: a collar 1 in wide of 3 mm leather at 15 N/mm²: the row of size holes bears
    240 to 411 N.
    """
    found = MODES[type(pattern)](pattern, workshop.assumptions)
    return tuple(sorted(found, key=lambda mode: mode.least))
