"""The pieces of a lead with their marks: straps, billets, handles, loops and stops. All sizes in mm."""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import groupby
from math import cos, radians

from service.design.decorate import decorate, trim
from service.design.grooves import EDGE_MARGIN, groove_insets, groove_marks
from service.design.lacing import edge_margin, lace_holes, lace_of
from service.design.layout import END_TO_RIVET, KEEPER_LAP, KEEPER_WIDTH, RIVET_PITCH, keeper_blank
from service.design.lead_lengths import (
    ARCH,
    BILLET_ROOM,
    CLEAR,
    GRIP,
    LAP,
    LOOP,
    STOP,
    STOP_PITCH,
    Run,
    arch_length,
    longer,
    stop_end,
)
from service.design.lead_rows import LeadFittings
from service.design.lead_wish import Lead
from service.design.pattern import Finding, Mark, Part
from service.design.zones import Ground, Zone
from service.errors import DoesNotFit, Suggestion
from service.geometry import rectangle
from service.language import mark
from service.saying import Limit, OffSpool, in_turn, say
from service.workshop import Workshop

BILLET = 2 * (BILLET_ROOM + LAP)
"""A billet's length: folded, half of it reaches from the eye over the strap's end."""
HANDLE = 2 * (LOOP + LAP)
"""A handle's length: its loop, and both its ends on the strap's."""
PLAIT = 35.0
"""Angle of a plait's cords to its length [degrees]. From memory."""
CORD, CORD_MIN = 5.0, 4.0
"""Usual and least width of a plait's cords. From memory."""
CORDS = 3, 5
"""Fewest and most cords of a plait. Common practice."""
STOP_OVER = 6.35
"""A stop is so much wider than the ring's opening, 1/4 in. From memory."""
STOP_BAND = 1.0
"""A sliding stop is made for a strap so much wider than it is. Common practice for keepers."""
NOOSE, OPENS = 609.6, 152.4
"""Strap of a slip lead that runs through its ring [mm]: the whole noose, 24 in, or what one with a fixed stop
opens by to pass the head, 6 in. It stays plain. From memory."""
AT_LOOP, AT_SNAP, AT_HANDLE = mark("Rivet, traffic loop"), mark("Rivet, snap"), mark("Rivet, handle")
"""What rivets are called that are not at a strap's end; those have no name, so that straps can be alike."""
STRAPS = {
    "lead": mark("Strap"),
    "long": mark("Strap, long lead"),
    "short": mark("Strap, short lead"),
    "branch": mark("Strap, coupler"),
}
"""What the straps of a run are called."""


def cords(width: float) -> int:
    """Return how many cords a handle of a strap's width is slit into.

    Source: common practice: three to five. Worked: 19.05 mm: three of 6.35; 25.4: five of 5.1 mm. Raises
    DoesNotFit when three would be narrower than 4 mm.
    """
    if width < CORDS[0] * CORD_MIN:
        message = say(
            "A plaited handle takes a strap {width} wide: its cords would be too thin.",
            width=Limit(CORDS[0] * CORD_MIN, "least"),
        )
        plain = Suggestion("make", "plain", say("a plain handle"))
        raise DoesNotFit(field="width", message=message, would_work=(plain,))
    return max(CORDS[0], min(CORDS[1], int(width // CORD)))


def cord_length(plaited: float) -> float:
    """Return how long cords are cut that come to a length when they are plaited.

    Source: derived: 1 / cos of the plait's angle. Worked: 406.4 mm at 35 degrees: 496.1 mm.
    """
    return plaited / cos(radians(PLAIT))


def stop_middle(spec: Lead, fittings: LeadFittings) -> float | None:
    """Return how far from the first strap's start a slip lead's fixed stop has its middle [mm], or None."""
    if spec.make != "slip" or spec.neck is None or fittings.ring is None:
        return None
    return stop_end(spec.neck, fittings.leather.thickness, fittings.ring) - STOP / 2


def lead_parts(
    spec: Lead, workshop: Workshop, fittings: LeadFittings, runs: Sequence[Run]
) -> tuple[tuple[Part, ...], tuple[Finding, ...], LeadFittings]:
    """Return the pieces of leather of a lead, the main strap first, what to know of them, and the fittings.

    The main strap is the one that the handle is on. Source: common practice. Worked: a plain one of one
    strap: strap, billet of 127 mm, handle of 508 mm. Raises DoesNotFit when grooves, cords or what decorates
    it have no room, and NotStocked when what decorates it is lacking.
    """
    cut = _Cutter(spec, workshop, fittings)
    parts = tuple(_cut(cut, spec, runs))
    return parts, tuple(_of_all(one, parts) for one in cut.findings), cut.fittings


def studs_on(parts: Sequence[Part]) -> int:
    """Return how many studs are set on some pieces."""
    return sum(part.quantity * sum(one.kind == "stud" for one in part.marks) for part in parts)


def _stamps_on(parts: Sequence[Part]) -> int:
    return sum(
        part.quantity * sum(one.count or 0 for one in part.marks if one.kind == "border") for part in parts
    )


def _lace_holes_on(parts: Sequence[Part]) -> int:
    return sum(part.quantity * lace_holes(part.marks) for part in parts)


COUNTS = {"studs-spaced": studs_on, "border-spaced": _stamps_on, "laced": _lace_holes_on}
"""What is said of the main strap and is on the others too: how many there are."""


def _of_all(finding: Finding, parts: Sequence[Part]) -> Finding:
    """What is said of the main strap alone, with how much of it there is on all of them."""
    counted = COUNTS.get(finding.code)
    if counted is None:
        return finding
    count = counted(parts)
    said = [say("On the lead:"), finding.text]
    if count == counted((replace(parts[0], quantity=1),)):
        pass
    elif finding.code == "laced":
        lace = OffSpool(lace_of(parts))
        together = say(
            "That is on the main strap; on all of them together {count} holes and {lace} of lace.",
            count=count,
            lace=lace,
        )
        said.append(together)
    else:
        said.append(say("That is on the main strap; on all of them together {count}.", count=count))
    return finding._replace(text=in_turn(*said))


def strap_name(run: Run) -> str:
    """Return what the first part of a run's straps is called; the next ones have a number behind it."""
    return "strap" if run.name in {"lead", "long"} else f"{run.name}-strap"


def _cut(cut: "_Cutter", spec: Lead, runs: Sequence[Run]) -> Iterator[Part]:
    if spec.make == "one-piece":
        yield cut.folded(runs[0].straps[0])
        return
    yield from (
        *(part for run in runs for part in cut.straps(run)),
        cut.billets(sum(run.quantity * (2 if run.name == "branch" else 1) for run in runs)),
        cut.handle(sum(run.name != "branch" for run in runs)),
        *cut.extras(),
    )


class _Cutter:
    """What all pieces of one lead share: width, leather, grooves and the holes of its fasteners."""

    def __init__(self, spec: Lead, workshop: Workshop, fittings: LeadFittings) -> None:
        self.spec, self.workshop, self.fittings = spec, workshop, fittings
        self.width, self.thickness = spec.width, fittings.leather.thickness
        self.insets = groove_insets(spec.width, spec.grooves)
        self.lap_hole, self.end_hole = fittings.lap_fastener.hole, fittings.end_fastener.hole
        self.margin = edge_margin(spec, self.insets)
        self.findings: tuple[Finding, ...] = ()
        """What to know of the main strap, once it is decorated."""

    def strip(self, name: str, title: str, length: float, marks: Sequence[Mark], quantity: int = 1) -> Part:
        """A strip as wide as the lead, its grooves from end to end."""
        grooves = groove_marks(self.insets, self.width, length)
        outline = rectangle(length, self.width)
        return Part(name, title, quantity, length, self.width, self.thickness, outline, (*marks, *grooves))

    def straps(self, run: Run) -> Iterator[Part]:
        """Straps that are alike are one part; the one at the hand comes first."""
        last, main = run.laps, strap_name(run) == "strap"
        made = [
            (
                length,
                (
                    *self.joint(0.0, self.lap_hole if n else self.end_hole),
                    *(() if n else self.on_first(run)),
                    *self.joint(length - LAP, self.end_hole if n == last else self.lap_hole),
                    *self.decorated(LAP if n else self.covered(run), length - LAP, main=main and n == last),
                ),
            )
            for n, length in reversed(tuple(enumerate(run.straps)))
        ]
        name = strap_name(run)
        for number, ((length, marks), alike) in enumerate(groupby(made)):
            title = STRAPS[run.name] if number == 0 else mark("Further strap")
            each = f"{name}-{number + 1}" if number else name
            yield self.strip(each, title, length, marks, run.quantity * len(tuple(alike)))

    def joint(self, start: float, hole: float) -> tuple[Mark, ...]:
        """A strap's end in a lap, from `start` on: two rivets, and the line that the other end comes to."""
        line = start + LAP if start == 0.0 else start
        return (
            *_rivets(start, hole),
            Mark("lap", line, length=LAP, width=self.width, name="riveted"),
        )

    def on_first(self, run: Run) -> tuple[Mark, ...]:
        """What stands on the first strap of the main run: a traffic loop, or a slip lead's stop."""
        middle = stop_middle(self.spec, self.fittings)
        if middle is not None:
            return tuple(self.stop_rivets(middle))
        if self.spec.make != "traffic-loop" or run.name != "lead":
            return ()
        near, far = LAP + CLEAR, LAP + CLEAR + LAP + GRIP
        return (
            Mark("lap", near, length=LAP, width=self.width, name="riveted"),
            *_rivets(near, self.lap_hole, AT_LOOP),
            *_rivets(far, self.lap_hole, AT_LOOP),
            Mark("lap", far + LAP, length=LAP, width=self.width, name="riveted"),
        )

    def covered(self, run: Run) -> float:
        """How far a run's first strap is covered from its start: by its joint, and by what stands on it.

        Of a slip lead that is what runs through the ring, but no more than half of what is left.
        """
        middle = stop_middle(self.spec, self.fittings)
        if self.spec.make == "slip":
            start, opens = (LAP, NOOSE) if middle is None else (middle + STOP / 2, OPENS)
            return min(start + opens, (start + run.straps[0] - LAP) / 2)
        looped = self.spec.make == "traffic-loop" and run.name == "lead"
        return 3 * LAP + CLEAR + GRIP if looped else LAP

    def decorated(self, start: float, end: float, *, main: bool) -> tuple[Mark, ...]:
        """What adorns a strap that is clear from `start` to `end`; on the main one all of it has to fit."""
        spec, zone = self.spec, Zone(start + EDGE_MARGIN, end - EDGE_MARGIN)
        ground = Ground(
            self.width, self.insets, spec.border, self.margin, zone, lacing=spec.lacing, at_hand=True
        )
        if not main:
            return trim(spec, ground, self.fittings.stud)
        try:
            marks, self.findings, self.fittings = decorate(spec, self.workshop, ground, self.fittings, None)
        except DoesNotFit as problem:
            ways = *problem.would_work, *longer(spec, spec.length)
            raise DoesNotFit(field=problem.field, message=problem.message, would_work=ways) from problem
        return marks

    def stop_rivets(self, middle: float) -> Iterator[Mark]:
        for side in (-1, 1):
            yield Mark(
                "rivet-hole",
                middle + side * STOP_PITCH / 2,
                diameter=self.end_hole,
                name=mark("Rivet, stop"),
            )

    def folded(self, length: float) -> Part:
        """A lead in one piece: each end comes back over the strap, and its rivets go through both."""
        hole, far = self.end_hole, length - 2 * (LOOP + LAP)
        marks = (
            *_rivets(0.0, hole, AT_SNAP),
            Mark("fold", BILLET_ROOM + LAP, width=self.width),
            *_rivets(BILLET - LAP, hole, AT_SNAP),
            Mark("lap", BILLET, length=LAP, width=self.width, name="riveted"),
            Mark("lap", far, length=LAP, width=self.width, name="riveted"),
            *_rivets(far, hole, AT_HANDLE),
            *_rivets(length - LAP, hole, AT_HANDLE),
            *self.decorated(BILLET, far, main=True),
        )
        return self.strip("strap", STRAPS["lead"], length, marks)

    def billets(self, quantity: int) -> Part:
        marks = (
            *_rivets(0.0, self.end_hole),
            Mark("fold", BILLET / 2, width=self.width),
            *_rivets(BILLET - LAP, self.end_hole),
        )
        return self.strip("billet", mark("Billet"), BILLET, marks, quantity)

    def handle(self, quantity: int) -> Part:
        hole = self.end_hole
        ends: tuple[Mark, ...]
        if self.spec.make != "plaited-handle":
            ends = (*_rivets(0.0, hole), *_rivets(HANDLE - LAP, hole))
            return self.strip("handle", mark("Handle"), HANDLE, ends, quantity)
        count, slit = cords(self.width), cord_length(2 * LOOP)
        length = slit + 2 * LAP
        slits = (
            Mark("slit", length / 2, self.width * (n / count - 0.5), length=slit) for n in range(1, count)
        )
        ends = (*_rivets(0.0, hole), *slits, *_rivets(length - LAP, hole))
        outline = rectangle(length, self.width)
        return Part(
            "handle",
            mark("Handle, to be plaited"),
            quantity,
            length,
            self.width,
            self.thickness,
            outline,
            ends,
        )

    def extras(self) -> Iterator[Part]:
        """The traffic loop; a slip lead's stop, two pieces with the strap between or a band that slides."""
        if self.spec.make == "traffic-loop":
            length = arch_length(GRIP, ARCH) + 2 * LAP
            marks = (*_rivets(0.0, self.lap_hole), *_rivets(length - LAP, self.lap_hole))
            yield self.strip("traffic-loop", mark("Traffic loop"), length, marks)
        ring = self.fittings.ring
        if self.spec.make != "slip" or ring is None:
            return
        if self.spec.neck is None:
            length = keeper_blank(self.width, self.thickness, 1)
            lap = Mark("lap", length - KEEPER_LAP, length=KEEPER_LAP, width=KEEPER_WIDTH)
            outline = rectangle(length, KEEPER_WIDTH)
            yield Part("stop", mark("Sliding stop"), 1, length, KEEPER_WIDTH, self.thickness, outline, (lap,))
        else:
            width = ring.inside + STOP_OVER
            held = tuple(self.stop_rivets(STOP / 2))
            yield Part("stop", mark("Stop"), 2, STOP, width, self.thickness, rectangle(STOP, width), held)


def stop_slips(spec: Lead, fittings: LeadFittings) -> bool:
    """Tell whether a sliding stop could be pulled through the ring that it is to stay in front of.

    Source: derived: the band is as wide as the strap, with 1 mm of play and its own two plies. Worked: 19.05
    by 3 mm: 26.05 mm, which does not pass 25.4 mm.
    """
    if spec.make != "slip" or spec.neck is not None or fittings.ring is None:
        return False
    return spec.width + STOP_BAND + 2 * fittings.leather.thickness <= fittings.ring.inside


def _rivets(start: float, hole: float, name: str = "") -> tuple[Mark, Mark]:
    """The two rivet holes of a lap that begins there; on a strap of several laps named after it."""
    first = start + END_TO_RIVET
    return (
        Mark("rivet-hole", first, diameter=hole, name=name),
        Mark("rivet-hole", first + RIVET_PITCH, diameter=hole, name=name),
    )
