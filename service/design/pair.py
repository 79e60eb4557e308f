"""A set: a buckle collar and a lead of one width, leather, metal and fastening, as one pattern."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from itertools import pairwise

from service.design.collar import make_collar
from service.design.lead import LeadPattern, make_lead
from service.design.lead_rows import LeadFittings
from service.design.pair_wish import CollarAndLead, collar_of_set, lead_of_set
from service.design.pattern import (
    CollarFittings,
    CollarPattern,
    Finding,
    Fittings,
    HardwareLine,
    Part,
    Pattern,
)
from service.language import mark
from service.workshop import Hardware, Workshop

STRAP = mark("Lead's strap")
"""What the lead's main strap is called beside the collar's."""

LETTERED = 1.5
"""Studs that stand further apart, in pitches asked for, have lettering between them."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SetFittings(Fittings):
    """The catalogue rows of both."""

    collar: CollarFittings
    lead: LeadFittings

    @property
    def hardware(self) -> dict[tuple[str, str], Hardware]:
        """The rows of the hardware by what a line of the hardware list calls them: kind and code."""
        return self.collar.hardware | self.lead.hardware


@dataclass(frozen=True, slots=True, kw_only=True)
class SetPattern(Pattern):
    """The pattern of a set, and of each of the two by itself."""

    spec: CollarAndLead
    fittings: SetFittings
    collar: CollarPattern
    lead: LeadPattern

    @property
    def ends(self) -> tuple[str, str]:
        """What the ends of its first strap are called, which is the collar's."""
        return self.collar.ends


def make_set(spec: CollarAndLead, workshop: Workshop) -> SetPattern:
    """Return the pattern of a set as it was asked for: the collar's parts, then the lead's.

    Source: common practice: both of one width, leather, metal and finish. Worked: its parts are a collar's
    and a lead's, nothing more. Raises NotStocked and DoesNotFit as either does.
    """
    collar = make_collar(collar_of_set(spec), workshop)
    lead = make_lead(lead_of_set(spec).model_copy(update={"studs": _pitch(collar)}), workshop)
    both = collar.fittings
    return SetPattern(
        spec=spec,
        fittings=SetFittings(
            leather=both.leather,
            finish=both.finish,
            stud=both.stud,
            stamps=both.stamps,
            plates=both.plates,
            dye=both.dye,
            lining=both.lining,
            thread=both.thread,
            collar=both,
            lead=lead.fittings,
        ),
        parts=(*collar.parts, *map(_of_lead, lead.parts)),
        hardware=_together((*collar.hardware, *lead.hardware)),
        joints=(*collar.joints, *lead.joints),
        findings=_once((*collar.findings, *lead.findings)),
        collar=collar,
        lead=lead,
    )


def _pitch(collar: CollarPattern) -> float | None:
    """The pitch of the collar's studs [mm], which the lead's come as near to as their run allows."""
    nominal, group = collar.spec.studs, 3 if collar.spec.stud_rows == "threes" else 1
    ring = collar.layout.ring
    places = sorted({mark.x for mark in collar.strap.marks if mark.kind == "stud" and mark.x > ring})
    steps = [after - before for before, after in pairwise(places[group // 2 :: group])]
    if nominal is None or not steps or min(steps) > LETTERED * nominal:
        return nominal
    return min(steps)


def _of_lead(part: Part) -> Part:
    """A part under a name of its own: both have a strap."""
    return replace(part, name=f"lead-{part.name}", title=STRAP if part.name == "strap" else part.title)


def _together(lines: Iterable[HardwareLine]) -> tuple[HardwareLine, ...]:
    """One line for each row of the catalogue."""
    found: dict[tuple[str, str], HardwareLine] = {}
    for line in lines:
        key = line.kind, line.code
        if key in found:
            count = found[key].quantity + line.quantity
            found[key] = line._replace(quantity=count, place=mark("collar and lead"))
        else:
            found[key] = line
    return tuple(found.values())


def _once(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """What is said of both is said once."""
    return tuple({(one.code, one.text): one for one in findings}.values())
