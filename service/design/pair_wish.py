"""The wish for a set of collar and lead: what both are made of, and what either needs in stock."""

from typing import Annotated, Literal

from pydantic import Field

from service.design.hardware import hardware_fits, missing, widths
from service.design.lead_rows import lead_missing, lead_widths
from service.design.lead_wish import LEAD_MAX, LEAD_MIN, Lead, Make
from service.design.spec import Buckled, Collar
from service.workshop import Workshop

FROM_THE_SET = (
    *("length", "make", "weight", "width", "leather", "dye", "finish", "fastening", "grooves"),
    *("border", "lacing", "studs", "stud_rows"),
)
"""What the lead takes from the set: its edges and studs match the collar's (common practice); it is not
lettered."""


class CollarAndLead(Buckled):
    """A set: everything of a buckle collar, and the lead's finished length [mm] and make."""

    kind: Literal["set"] = "set"
    length: Annotated[float, Field(ge=LEAD_MIN, le=LEAD_MAX)] = 1524.0
    make: Make = "plain"


def collar_of_set(spec: CollarAndLead) -> Collar:
    """Return the collar's wish."""
    return Collar(**{name: getattr(spec, name) for name in Collar.model_fields if name != "kind"})


def lead_of_set(spec: CollarAndLead) -> Lead:
    """Return the lead's wish."""
    return Lead(**{name: getattr(spec, name) for name in FROM_THE_SET})


def set_missing(workshop: Workshop, spec: CollarAndLead, finish: str) -> tuple[str, ...]:
    """Name the kinds of hardware the workshop lacks for a set in a finish; none when it is complete.

    Source: common practice: both in one finish. Worked: what a collar and what a lead lacks, each once.
    """
    lacking = (
        *missing(workshop, collar_of_set(spec), finish),
        *lead_missing(workshop, lead_of_set(spec), finish),
    )
    return tuple(dict.fromkeys(lacking))


def set_widths(workshop: Workshop) -> tuple[float, ...]:
    """Return every strap width [mm] that there are both buckles and snaps for, narrowest first."""
    snaps = lead_widths(workshop)
    return tuple(size for size in widths(workshop) if any(hardware_fits(size, snap) for snap in snaps))
