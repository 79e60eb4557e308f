"""The engine for leads: a wish and a workshop become straps, billets, handles, joints and findings."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import groupby

from service.design.cautions import fold_finding
from service.design.decoration import dye_for
from service.design.grooves import groove_findings
from service.design.joints import KEEPER_CLOSING, grip_finding, held
from service.design.layout import END_TO_RIVET, RIVET_PITCH, guard_cut_end, guard_edge
from service.design.lead_lengths import BILLET_ROOM, LAP, Run, runs_of, taut_length
from service.design.lead_parts import lead_parts, stop_slips, strap_name, studs_on
from service.design.lead_rows import LAP_PLIES, RINGED, SNAPS, LeadFittings, end_plies, lead_fittings
from service.design.lead_wish import Lead
from service.design.pattern import Finding, HardwareLine, Joint, Part, Pattern
from service.design.plates import plate_joints
from service.language import mark
from service.saying import Length, Message, in_turn, say, say_many
from service.workshop import Workshop

MANY_LAPS = 3
"""From so many laps on a lead is better cut from leather that gives longer straps. From memory."""
PAIR = (END_TO_RIVET, END_TO_RIVET + RIVET_PITCH)
"""Stations of a lap's two rivets [mm from the cut end]."""

STRAPS_OF = {
    "lead": say("Lead"),
    "long": say("Long lead"),
    "short": say("Short lead"),
    "branch": say("Each branch of the coupler"),
}
"""What runs are called."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LeadPattern(Pattern):
    """A lead's pattern: what is taut, from the snap that the dog's end has to the handle."""

    spec: Lead
    fittings: LeadFittings
    runs: tuple[Run, ...]

    @property
    def length(self) -> float:
        """From the first snap's tip, or the slip lead's ring, to the last handle's end, taut [mm]."""
        return taut_length(self.runs, self.fittings.ring)

    def straps_of(self, run: Run) -> tuple[Part, ...]:
        """Return the straps of a run, the one at the hand first, the one at the snap or ring last."""
        name = strap_name(run)
        return tuple(part for part in self.parts if part.name == name or part.name.startswith(f"{name}-"))


def make_lead(spec: Lead, workshop: Workshop) -> LeadPattern:
    """Return the pattern of a lead: pieces, joints, hardware and findings.

    Source: common practice; lengths derived. Worked: 57 1/2 in of leather that gives straps of 24 in, on a
    snap of 3 in: two straps of 24 in. Raises NotStocked when hardware is missing and DoesNotFit when it can't
    be made, naming only what would work.
    """
    fittings = lead_fittings(workshop, spec)
    if spec.dye:
        fittings = replace(fittings, dye=dye_for(workshop, fittings.leather, spec.dye))
    for row in (fittings.lap_fastener, fittings.end_fastener):
        guard_edge(spec.width, row.kind, row.hole)
        guard_cut_end(row.hole)
    leather = fittings.leather
    runs = runs_of(spec, leather.longest, leather.thickness, fittings.snap, fittings.ring)
    parts, decorated, fittings = lead_parts(spec, workshop, fittings, runs)
    plates = plate_joints(fittings.plates, parts[0].marks, leather.thickness)
    joints = (*_joints(spec, fittings, runs), *plates)
    return LeadPattern(
        spec=spec,
        fittings=fittings,
        parts=parts,
        hardware=tuple(_hardware(spec, fittings, joints, studs_on(parts))),
        joints=joints,
        findings=(
            *_length_findings(spec, fittings, runs),
            *_make_findings(spec, fittings, runs),
            *groove_findings(spec),
            *_stack_findings(joints, fittings, workshop),
            *decorated,
        ),
        runs=runs,
    )


def _joints(spec: Lead, fittings: LeadFittings, runs: Sequence[Run]) -> Iterator[Joint]:
    """Every joint of a lead; joints of one kind are one row, with all that hold them."""
    thickness, plies = fittings.leather.thickness, end_plies(spec.make)
    ends, laps = fittings.end_fastener, fittings.lap_fastener
    billets = sum(run.quantity * (2 if run.name == "branch" else 1) for run in runs)
    handles = sum(run.name != "branch" for run in runs)
    lapped = sum(run.quantity * run.laps for run in runs)
    yield held(mark("Billet"), mark("billet"), PAIR, plies * thickness, ends, 2 * billets, plies)
    if lapped:
        yield held(mark("Lap"), mark("lap"), PAIR, LAP_PLIES * thickness, laps, 2 * lapped)
    yield held(mark("Handle"), mark("handle"), PAIR, plies * thickness, ends, 2 * handles, plies)
    if spec.make == "traffic-loop":
        yield held(mark("Traffic loop"), mark("traffic loop"), PAIR, LAP_PLIES * thickness, laps, 4)
    if spec.make == "slip" and spec.neck is not None:
        yield held(mark("Stop"), mark("stop"), (), plies * thickness, ends, 2, plies)
    elif spec.make == "slip":
        stack = LAP_PLIES * thickness
        yield Joint(mark("Stop"), mark("stop"), (), LAP_PLIES, stack, None, closing=KEEPER_CLOSING)


def _hardware(
    spec: Lead, fittings: LeadFittings, joints: Sequence[Joint], studs: int
) -> Iterator[HardwareLine]:
    finish, snap, ring = fittings.finish.code, fittings.snap, fittings.ring
    if snap is not None:
        yield HardwareLine("snap", snap.code, snap.name, finish, SNAPS.get(spec.make, 1), mark("billet"))
    if ring is not None:
        place = mark("handle") if spec.make == "two-part" else mark("billet")
        yield HardwareLine("o-ring", ring.code, ring.name, finish, 1, place)
    wanted: dict[str, int] = {}
    for joint in joints:
        if joint.fastener is not None:
            wanted[joint.fastener.code] = wanted.get(joint.fastener.code, 0) + joint.quantity
    for row in dict.fromkeys(joint.fastener for joint in joints):
        if row is not None:
            yield HardwareLine(row.kind, row.code, row.name, finish, wanted[row.code], mark("joints"))
    if fittings.stud is not None and studs:
        yield HardwareLine("stud", fittings.stud.code, fittings.stud.name, finish, studs, mark("strap"))
    for one in fittings.plates:
        yield HardwareLine("plate", one.plate.code, one.plate.name, finish, 1, mark("strap"))


def _length_findings(spec: Lead, fittings: LeadFittings, runs: Sequence[Run]) -> Iterator[Finding]:
    """How long the straps are, and why there are so many of them."""
    text = in_turn(*(_run_said(run) for run in runs))
    yield Finding("lead-straps", "note", text, mark("common practice; lengths derived"), "length")
    most = max(run.laps for run in runs)
    if most >= MANY_LAPS:
        said = say(
            "{count} laps in one lead: each is a weak place, and stiff. {leather} gives straps of {longest}"
            " at most; a leather that gives longer ones takes fewer.",
            count=most,
            leather=fittings.leather.name,
            longest=Length(fittings.leather.longest),
        )
        yield Finding("lead-laps", "advice", said, mark("common practice"), "leather")
    if len(runs) > 1 and spec.make == "two-part":
        long, short = runs
        said = say(
            "The short lead is {short} long. The long one, {long}, snaps into the ring on its handle.",
            short=Length(short.length),
            long=Length(long.length),
        )
        yield Finding("lead-two", "note", said, mark("common practice"), "make")


def _run_said(run: Run) -> Message:
    if run.folded:
        return say(
            "One strap of {strap}, folded back {billet} round the snap's eye and {handle} for the handle.",
            strap=Length(run.straps[0]),
            billet=Length(BILLET_ROOM + LAP),
            handle=Length(run.tail + LAP),
        )
    first, last, name = run.straps[0], run.straps[-1], STRAPS_OF[run.name]
    if not run.laps:
        return say("{run}: one strap of {strap}.", run=name, strap=Length(first))
    if first == last:
        return say(
            "{run}: {count} straps of {strap}, each lapped {lap} on the next with two rivets.",
            run=name,
            count=len(run.straps),
            strap=Length(first),
            lap=Length(LAP),
        )
    return say_many(
        "{run}: a first strap of {strap} and another of {further}, lapped {lap} with two rivets.",
        "{run}: a first strap of {strap} and {count} of {further}, each lapped {lap} with two rivets.",
        len(run.straps) - 1,
        run=name,
        strap=Length(first),
        further=Length(last),
        lap=Length(LAP),
    )


def _make_findings(spec: Lead, fittings: LeadFittings, runs: Sequence[Run]) -> Iterator[Finding]:
    """What is to be known of how the lead is made."""
    source = mark("common practice")
    if spec.make == "slip":
        text = say(
            "A slip lead closes on the neck when the dog pulls. Never leave it on a dog that is alone, tied"
            " up or in play; not for a dog with eye, windpipe or neck trouble."
        )
        yield Finding("slip", "warning", text, source, "make")
        if spec.border or spec.lacing or spec.studs is not None:
            text = say("Where it runs through the ring the strap stays plain.")
            yield Finding("slip-plain", "note", text, source, "make")
    if stop_slips(spec, fittings):
        text = say(
            "The sliding stop would pass the ring's opening: it takes a smaller ring or a thicker stop."
        )
        yield Finding("stop-slips", "warning", text, mark("derived"), "make")
    if spec.make in RINGED:
        text = say("Put the ring on before the last rivet: {place}.", place=_ring_place(spec))
        yield Finding("ring-first", "note", text, source, "make")
    if spec.make == "coupler":
        text = say(
            "The lead's snap holds the coupler's ring: taken off, it is a lead for one dog. Each branch is"
            " {branch} long.",
            branch=Length(runs[1].length),
        )
        yield Finding("coupler", "note", text, source, "make")


def _height(joint: Joint) -> tuple[int, float]:
    return joint.plies, joint.stack


def _ring_place(spec: Lead) -> Message:
    if spec.make == "two-part":
        return say("on the short lead's handle")
    if spec.make == "coupler":
        return say("in one billet of each branch")
    return say("in the billet; the strap runs through it")


def _stack_findings(joints: Sequence[Joint], fittings: LeadFittings, workshop: Workshop) -> Iterator[Finding]:
    """Stacks that no fastener closes, each height apart; and how the eye strains the leather."""
    for _, alike in groupby(sorted(joints, key=_height), key=_height):
        finding = grip_finding(tuple(alike), fittings, workshop)
        if finding is not None:
            yield finding
    bars = [row for row in (fittings.snap and fittings.snap.bar, fittings.ring and fittings.ring.wire) if row]
    strain = fold_finding(min(bars), fittings.leather.thickness) if bars else None
    if strain is not None:
        yield strain
