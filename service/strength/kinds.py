"""How each kind of thing can fail: a new kind is a line."""

from collections.abc import Callable, Iterator
from typing import Any

from service.design import CollarPattern, LeadPattern, Pattern, SlipPattern
from service.strength.lead_modes import lead_modes
from service.strength.modes import Mode, collar_modes
from service.strength.slip_modes import slip_modes
from service.workshop import Assumptions, Workshop

MODES: dict[type[Pattern], Callable[[Any, Assumptions], Iterator[Mode]]] = {
    CollarPattern: collar_modes,
    SlipPattern: slip_modes,
    LeadPattern: lead_modes,
}
"""What yields the ways in which a pattern of each kind can fail."""


def modes_of(pattern: Pattern, workshop: Workshop) -> tuple[Mode, ...]:
    """Return every way in which something can fail, the weakest first, the unknown ones last.

    Source: as each says. Worked: a collar 1 in wide of 3 mm leather at 15 N/mm²: the row of size holes bears
    240 to 411 N.
    """
    found = MODES[type(pattern)](pattern, workshop.assumptions)
    return tuple(sorted(found, key=lambda mode: mode.least))
