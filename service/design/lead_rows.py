"""The catalogue rows of a lead: snap, ring and fasteners in one finish, and what of them is missing."""

from collections.abc import Iterator
from dataclasses import dataclass

from service.design.hardware import (
    by_code,
    closed_elsewhere,
    fastener_for,
    hardware_fits,
    not_stocked,
    stud_in,
)
from service.design.lead_lengths import passes
from service.design.lead_wish import Lead, Make
from service.design.pattern import Fittings
from service.errors import NotStocked, Suggestion
from service.saying import Exact, Message, say
from service.workshop import Fastener, Hardware, ORing, Snap, Workshop

LAP_PLIES, END_PLIES = 2, 3
"""Plies where straps are lapped, and where billet or handle hold a strap between them. Common practice."""
SNAPS: dict[Make, int] = {"slip": 0, "two-part": 2, "coupler": 3}
"""How many snaps a lead has, where that is not one."""
RINGED: tuple[Make, ...] = ("two-part", "slip", "coupler")
"""Makes with an O-ring."""


def end_plies(make: Make) -> int:
    """Return how many plies there are at snap and handle.

    Source: common practice: a strap folded on itself has no billet. Worked: in one piece two, else three.
    """
    return LAP_PLIES if make == "one-piece" else END_PLIES


@dataclass(frozen=True, slots=True, kw_only=True)
class LeadFittings(Fittings):
    """The catalogue rows that a lead uses; a slip lead has no snap, and only some makes have a ring."""

    snap: Snap | None
    ring: ORing | None
    lap_fastener: Fastener
    end_fastener: Fastener

    @property
    def hardware(self) -> dict[tuple[str, str], Hardware]:
        """The rows of the hardware by what a line of the hardware list calls them: kind and code."""
        rows: dict[tuple[str, str], Hardware] = {
            (one.kind, one.code): one for one in (self.lap_fastener, self.end_fastener)
        }
        if self.snap is not None:
            rows["snap", self.snap.code] = self.snap
        if self.ring is not None:
            rows["o-ring", self.ring.code] = self.ring
        return rows | super(LeadFittings, self).hardware


def lead_widths(workshop: Workshop) -> tuple[float, ...]:
    """Return every strap width [mm] that some snap of the workshop is made for, narrowest first."""
    return tuple(sorted({row.width for row in workshop.snaps}))


def snap_for(workshop: Workshop, width: float, finish: str) -> Snap | None:
    """Return the snap of a finish whose eye is nearest to a strap's width [mm], or None."""
    rows = [row for row in workshop.snaps if row.finish == finish and hardware_fits(width, row.width)]
    return min(rows, key=lambda row: abs(row.width - width), default=None)


def ring_for(workshop: Workshop, width: float, thickness: float, finish: str) -> ORing | None:
    """Return the smallest O-ring of a finish that a strap of this width and thickness [mm] runs through.

    Source: derived, `passes`. Worked: 19.05 by 3 mm: one of 25.4 mm, where there is 19.05, 25.4 and 31.75;
    None where none is wide enough.
    """
    wide = passes(width, thickness)
    rows = (row for row in workshop.o_rings if row.finish == finish and row.inside >= wide)
    return min(rows, key=lambda row: row.inside, default=None)


def lead_missing(workshop: Workshop, spec: Lead, finish: str) -> tuple[str, ...]:
    """Name the kinds of hardware the workshop lacks for a lead in a finish; none when it is complete.

    Source: common practice: an order's hardware comes in one finish. Worked: no snaps gives ("snap",).
    """
    thickness = by_code(workshop.leathers, spec.leather, "leather").thickness
    found: dict[str, Hardware | None] = {}
    if spec.make != "slip":
        found["snap"] = snap_for(workshop, spec.width, finish)
    if spec.make in RINGED:
        found["O-ring"] = ring_for(workshop, spec.width, thickness, finish)
    found[spec.fastening.replace("-", " ")] = fastener_for(workshop, spec.fastening, finish, 0.0)
    if spec.studs is not None:
        found["stud"] = stud_in(workshop, finish)
    return tuple(name for name, row in found.items() if row is None)


def lead_fittings(workshop: Workshop, spec: Lead) -> LeadFittings:
    """Return the catalogue rows for a lead.

    Source: common practice: two plies at a lap, three at billet and handle. Worked: 3 mm leather: rivets that
    close 6 mm, and others that close 9 mm. Raises NotStocked, naming what is missing and what is complete.
    """
    leather = by_code(workshop.leathers, spec.leather, "leather")
    finish = by_code(workshop.finishes, spec.finish, "finish")
    thickness = leather.thickness
    laps = fastener_for(workshop, spec.fastening, spec.finish, LAP_PLIES * thickness)
    ends = fastener_for(workshop, spec.fastening, spec.finish, end_plies(spec.make) * thickness)
    if laps is None or ends is None or lead_missing(workshop, spec, spec.finish):
        raise _not_stocked(workshop, spec)
    ringed = spec.make in RINGED
    return LeadFittings(
        leather=leather,
        finish=finish,
        stud=None if spec.studs is None else stud_in(workshop, spec.finish),
        snap=None if spec.make == "slip" else snap_for(workshop, spec.width, spec.finish),
        ring=ring_for(workshop, spec.width, thickness, spec.finish) if ringed else None,
        lap_fastener=laps,
        end_fastener=ends,
    )


def _not_stocked(workshop: Workshop, spec: Lead) -> NotStocked:
    lacking = lead_missing(workshop, spec, spec.finish)
    beside: tuple[Message, ...] = ()
    if spec.fastening.replace("-", " ") in lacking:
        beside = tuple(_fasteners_elsewhere(workshop, spec))
    ways = (Suggestion("studs", "", say("no studs")),) if lacking == ("stud",) else ()
    return not_stocked(workshop, spec, lead_missing, lead_widths(workshop), beside, ways)


def _fasteners_elsewhere(workshop: Workshop, spec: Lead) -> Iterator[Message]:
    """The stack that has to be closed, and what the workshop has to close it with in other finishes."""
    plies = end_plies(spec.make)
    stack = plies * by_code(workshop.leathers, spec.leather, "leather").thickness
    yield say("At billet and handle {plies} plies make {stack}.", plies=plies, stack=Exact(stack))
    yield from closed_elsewhere(workshop, spec.fastening)
