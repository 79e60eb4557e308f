"""A limited-slip collar: a wish and a workshop become its pattern. Pure and deterministic."""

from dataclasses import dataclass, replace

from service.design.cautions import fold_finding
from service.design.decorate import decorate
from service.design.decoration import dye_for
from service.design.grooves import groove_findings, groove_marks
from service.design.hardware import (
    PLIES,
    by_code,
    fastener_for,
    not_stocked,
    ring_for,
    stud_in,
)
from service.design.joints import grip_finding, held
from service.design.layout import END_TO_RIVET, RIVET_PITCH
from service.design.measures import unusual_neck
from service.design.pattern import Finding, Fittings, HardwareLine, Joint, Mark, Part, Pattern
from service.design.plates import plate_joints, with_plates
from service.design.slip_layout import (
    HEAD_ROOM,
    LAPPED,
    SlipFit,
    SlipLayout,
    guard_head,
    slip_ground,
    slip_layout,
)
from service.design.spec import LimitedSlip
from service.errors import Suggestion
from service.geometry import rectangle
from service.language import mark
from service.saying import Exact, Length, say
from service.workshop import Fastener, Hardware, Ring, Workshop

RINGS = 3
"""Two at the strap's ends, and one on the loop for the lead."""
AT_AN_END = 2
"""Rivets at each folded end, and at the loop's lap."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SlipFittings(Fittings):
    """The catalogue rows that a limited-slip collar uses: three rings alike, one fastener for all joints."""

    ring: Ring
    fastener: Fastener

    @property
    def hardware(self) -> dict[tuple[str, str], Hardware]:
        """The rows of the hardware by what a line of the hardware list calls them: kind and code."""
        rows: dict[tuple[str, str], Hardware] = {
            ("ring", self.ring.code): self.ring,
            (self.fastener.kind, self.fastener.code): self.fastener,
        }
        return rows | super(SlipFittings, self).hardware


@dataclass(frozen=True, slots=True, kw_only=True)
class SlipPattern(Pattern):
    """A limited-slip collar's pattern: where everything lies, and its girths tight and open."""

    spec: LimitedSlip
    fittings: SlipFittings
    layout: SlipLayout
    fit: SlipFit

    @property
    def loop(self) -> Part:
        """The control loop."""
        return self.parts[1]


def make_slip(spec: LimitedSlip, workshop: Workshop) -> SlipPattern:
    """Return the pattern of a limited-slip collar as it was asked for.

    Source: common practice for tight and open; derived for what leather and rings take. Worked: neck 350,
    head 420: 350 mm tight and 440 mm open. Raises NotStocked and DoesNotFit.
    """
    guard_head(spec)  # before all else, which another kind of collar asks anew
    fittings = _fittings(spec, workshop)
    if spec.dye:
        fittings = replace(fittings, dye=dye_for(workshop, fittings.leather, spec.dye))
    thickness = fittings.leather.thickness
    layout, fit = slip_layout(spec, thickness, fittings.ring, fittings.fastener)
    ground = slip_ground(spec, layout)
    decoration, decorated, fittings = decorate(spec, workshop, ground, fittings, fit.tight)
    joints = (*_joints(layout, fittings), *plate_joints(fittings.plates, decoration, thickness))
    advice = grip_finding(joints, fittings, workshop), fold_finding(fittings.ring.wire, thickness)
    return SlipPattern(
        spec=spec,
        fittings=fittings,
        layout=layout,
        fit=fit,
        parts=_parts(layout, fittings, decoration),
        hardware=_hardware(fittings, sum(one.kind == "stud" for one in decoration)),
        joints=joints,
        findings=(
            *unusual_neck(spec, fit.neck),
            *_fit_findings(layout, fit),
            *groove_findings(spec),
            *(one for one in advice if one),
            *decorated,
        ),
    )


def ring_widths(workshop: Workshop) -> tuple[float, ...]:
    """Return every strap width [mm] that some ring of the workshop is made for, narrowest first."""
    return tuple(sorted({row.width for row in workshop.rings}))


def slip_missing(workshop: Workshop, spec: LimitedSlip, finish: str) -> tuple[str, ...]:
    """Name the kinds of hardware the workshop lacks for this wish in a finish; none when it is complete.

    Source: common practice: an order's hardware comes in one finish. Worked: no rings in black gives
    ("ring",).
    """
    found: dict[str, Hardware | None] = {
        "ring": ring_for(workshop, spec.width, finish),
        spec.fastening.replace("-", " "): fastener_for(workshop, spec.fastening, finish, 0.0),
    }
    if spec.studs is not None:
        found["stud"] = stud_in(workshop, finish)
    return tuple(name for name, row in found.items() if row is None)


def _fittings(spec: LimitedSlip, workshop: Workshop) -> SlipFittings:
    leather = by_code(workshop.leathers, spec.leather, "leather")
    finish = by_code(workshop.finishes, spec.finish, "finish")
    ring = ring_for(workshop, spec.width, spec.finish)
    fastener = fastener_for(workshop, spec.fastening, spec.finish, PLIES * leather.thickness)
    lacking = slip_missing(workshop, spec, spec.finish)
    if ring is None or fastener is None or lacking:
        ways = (Suggestion("studs", "", say("no studs")),) if spec.studs is not None else ()
        raise not_stocked(workshop, spec, slip_missing, ring_widths(workshop), ways=ways)
    stud = None if spec.studs is None else stud_in(workshop, spec.finish)
    return SlipFittings(leather=leather, finish=finish, ring=ring, fastener=fastener, stud=stud)


def _parts(layout: SlipLayout, fittings: SlipFittings, decoration: tuple[Mark, ...]) -> tuple[Part, ...]:
    hole, width, thickness = fittings.fastener.hole, layout.width, layout.thickness
    strap = Part(
        "strap",
        mark("Strap"),
        1,
        layout.strap,
        width,
        thickness,
        rectangle(layout.strap, width),
        (
            *_folded_end(layout, hole, width),
            *groove_marks(layout.grooves, width, layout.strap),
            *decoration,
        ),
    )
    ends = (END_TO_RIVET, END_TO_RIVET + RIVET_PITCH)
    places = (*ends, *(layout.loop - x for x in reversed(ends)))
    loop = Part(
        "loop",
        mark("Control loop"),
        1,
        layout.loop,
        width,
        thickness,
        rectangle(layout.loop, width),
        tuple(Mark("rivet-hole", x, diameter=hole, name=mark("Loop, rivet")) for x in places),
    )
    return strap, loop


def _folded_end(layout: SlipLayout, hole: float, width: float) -> tuple[Mark, ...]:
    """Both folded ends, alike: outer and inner rivet, the fold round the ring, and the other leg's holes."""
    outer, inner, fold = END_TO_RIVET, END_TO_RIVET + RIVET_PITCH, layout.fold
    near = (
        (outer, mark("Rivet, outer")),
        (inner, mark("Rivet, inner")),
        (2 * fold - inner, mark("Rivet, inner, other leg")),
        (2 * fold - outer, mark("Rivet, outer, other leg")),
    )
    both = (*near, *((layout.strap - x, name) for x, name in reversed(near)))
    folds = (Mark("fold", x, width=width) for x in (fold, layout.strap - fold))
    return (*(Mark("rivet-hole", x, diameter=hole, name=name) for x, name in both), *folds)


def _joints(layout: SlipLayout, fittings: SlipFittings) -> tuple[Joint, ...]:
    outer, inner, end = END_TO_RIVET, END_TO_RIVET + RIVET_PITCH, layout.strap
    first = (outer, inner, 2 * layout.fold - inner, 2 * layout.fold - outer)
    last = tuple(end - x for x in reversed(first))
    stack, row = LAPPED * layout.thickness, fittings.fastener
    return (
        held(mark("First end"), mark("first ring"), first, stack, row, AT_AN_END),
        held(mark("Second end"), mark("second ring"), last, stack, row, AT_AN_END),
        held(mark("Loop"), mark("control loop"), (), stack, row, AT_AN_END),
    )


def _hardware(fittings: SlipFittings, studs: int) -> tuple[HardwareLine, ...]:
    ring, row, finish = fittings.ring, fittings.fastener, fittings.finish.code
    lines = [
        HardwareLine("ring", ring.code, ring.name, finish, RINGS, mark("both ends and loop")),
        HardwareLine(row.kind, row.code, row.name, finish, 3 * AT_AN_END, mark("both ends and loop")),
    ]
    if fittings.stud is not None and studs:
        lines.append(
            HardwareLine("stud", fittings.stud.code, fittings.stud.name, finish, studs, mark("strap"))
        )
    return with_plates(tuple(lines), fittings.plates)


def _fit_findings(layout: SlipLayout, fit: SlipFit) -> tuple[Finding, ...]:
    use = say(
        "It closes when the lead pulls, down to {tight} and no tighter, and hangs loose otherwise: it is for"
        " walks with somebody at the lead, and comes off after them. Never on a dog that is alone, tied up,"
        " in a crate or at play.",
        tight=Length(fit.tight),
    )
    rings = say(
        "The rings are taken to stand {bars} apart from bar to bar where they touch. Lay two of yours"
        " together and measure: every millimetre less makes the collar one tighter.",
        bars=Exact(layout.bars),
    )
    order = say(
        "Thread both end rings and the lead's ring on the loop before its lap is riveted, and each end ring"
        " on the strap before its last rivet."
    )
    found = [
        Finding("limited-slip", "warning", use, mark("common practice"), None),
        Finding("rings-touch", "note", rings, mark("derived: D-rings half as deep as wide"), None),
        Finding("ring-first", "note", order, mark("common practice"), None),
    ]
    if fit.open > fit.head + HEAD_ROOM + 1:
        text = say(
            "The loop is as long as its lap takes: open it is {open}, more than the head needs.",
            open=Length(fit.open),
        )
        found.append(Finding("loop-longer", "note", text, mark("derived"), "head"))
    return tuple(found)
