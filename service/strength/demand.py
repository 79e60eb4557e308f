"""What is asked of a collar: pulls by hand and by dogs, as measured, and the snatch of a slack lead."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from service.language import mark
from service.saying import Message, say
from service.strength.sections import snatch
from service.workshop import Assumptions

FIRM, STRONG, JERK = 40.0, 70.0, 141.0
"""Pulls on the lead [N]: firm, strong, a jerk. Carter, Roshier & McNally 2020, doi 10.1136/vr.105681."""
PEAK = 162.8
"""Mean of the highest pulls on a collar [N]. J. Bailey et al. 2025, doi 10.1016/j.jveb.2024.10.007."""
SMALL, SMALL_PEAK = 13.0, 1.22
"""Dogs up to so heavy [kg] pull at their highest so many times their weight. The same study."""
GRAVITY = 9.80665
"""Standard acceleration of free fall [m/s²]. ISO 80000-3."""
CARTER = mark("Carter, Roshier and McNally 2020, doi 10.1136/vr.105681")
BAILEY = mark("J. Bailey et al. 2025, doi 10.1016/j.jveb.2024.10.007")
DERIVED = mark("derived, by energy: F² = k m v² + 2 P F")


@dataclass(frozen=True, slots=True)
class Demand:
    """A pull [N] that a collar meets, by hand or as a snatch, with where the figure comes from."""

    code: str
    kind: Literal["hand", "snatch"]
    name: Message
    newtons: float
    source: str


def demands(weight: float | None, assumed: Assumptions) -> tuple[Demand, ...]:
    """Return what is asked of a collar for a dog of a weight [kg], or of one that isn't known.

    Without a weight there is no snatch. Source: as each says. Worked: 25 kg at 4 m/s on 5000 N/m: 40, 70,
    141, 162.8 and 1414 N; for 5 kg the fourth is 1.22 x 5 x 9.80665 = 59.8 N.
    """
    return tuple(_demands(weight, assumed))


def _demands(weight: float | None, assumed: Assumptions) -> Iterator[Demand]:
    yield Demand("firm", "hand", say("a firm pull on the lead"), FIRM, CARTER)
    yield Demand("strong", "hand", say("a strong pull on the lead"), STRONG, CARTER)
    yield Demand("jerk", "hand", say("a jerk on the lead"), JERK, CARTER)
    if weight is not None and weight <= SMALL:
        pull = SMALL_PEAK * weight * GRAVITY
        yield Demand("peak", "hand", say("the highest pull of a dog as small as this"), pull, BAILEY)
    else:
        yield Demand("peak", "hand", say("the highest pull of a dog, on average"), PEAK, BAILEY)
    if weight is not None:
        name = say("this dog at a run, stopped by the end of a slack lead")
        run = snatch(weight, assumed.speed_m_s, assumed.lead_n_m, assumed.pull_n)
        yield Demand("snatch", "snatch", name, run, DERIVED)
