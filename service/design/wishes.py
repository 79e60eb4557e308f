"""The kinds of things that can be asked for: the wish of each, its name, and what it needs in stock."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Annotated, Any

from pydantic import Field

from service.design.cautions import FOR_THE_HAND, FOR_THE_WEARER
from service.design.hardware import missing, widths
from service.design.lead_rows import lead_missing, lead_widths
from service.design.lead_wish import Lead
from service.design.pair_wish import CollarAndLead, set_missing, set_widths
from service.design.slip import ring_widths, slip_missing
from service.design.spec import Collar, LimitedSlip, Wish
from service.saying import Message, say
from service.workshop import Workshop

Lacking = Callable[[Workshop, Any, str], tuple[str, ...]]
"""What hardware a workshop lacks for a wish in a finish."""


@dataclass(frozen=True, slots=True)
class Kind:
    """How a kind is asked for: its wish, its name, and the measures without which nothing can be made.

    `reads_in` is the measure by which the reader's system is told, `lacking` says what hardware is missing,
    `widths` which straps [mm] there is hardware for, and `cautions` what is said to whoever has it.
    """

    wish: type[Wish]
    name: Message
    measures: tuple[str, ...]
    reads_in: str
    lacking: Lacking
    widths: Callable[[Workshop], tuple[float, ...]]
    cautions: tuple[str, ...] = FOR_THE_WEARER
    asks: tuple[str, ...] = field(init=False)
    """The parameters that mean something for this kind."""

    def __post_init__(self) -> None:
        fields = tuple(name for name in self.wish.model_fields if name not in NEVER)
        object.__setattr__(self, "asks", fields)


NEVER = ("schema_version", "kind")
"""What no form asks."""
KINDS: Mapping[str, Kind] = {
    "collar": Kind(Collar, say("buckle collar"), ("neck",), "neck", missing, widths),
    "limited-slip": Kind(
        LimitedSlip, say("limited-slip collar"), ("neck", "head"), "neck", slip_missing, ring_widths
    ),
    "set": Kind(
        CollarAndLead,
        say("collar and lead"),
        ("neck",),
        "neck",
        set_missing,
        set_widths,
        cautions=tuple(dict.fromkeys((*FOR_THE_WEARER, *FOR_THE_HAND))),
    ),
    "lead": Kind(Lead, say("lead"), (), "length", lead_missing, lead_widths, FOR_THE_HAND),
}
"""Every kind, in the order in which they are offered; the first is meant where none is named."""
USUAL_KIND = "collar"
WISHES: dict[str, type[Wish]] = {kind: one.wish for kind, one in KINDS.items()}
"""The wish of each kind."""
AnyWish = Annotated[Collar | LimitedSlip | CollarAndLead | Lead, Field(discriminator="kind")]
"""A wish of any kind, told apart by its kind."""


def kind_of(spec: Wish) -> Kind:
    """Return how a wish's kind is asked for."""
    return KINDS[spec.kind]


def complete_finishes(workshop: Workshop, spec: Wish) -> tuple[str, ...]:
    """Return the codes of the finishes in which the workshop has everything this wish needs."""
    lacking = kind_of(spec).lacking
    return tuple(row.code for row in workshop.finishes if not lacking(workshop, spec, row.code))
