"""How long a lead's straps are, so that taut it is as long as it was asked for: laps, billets and handles."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import asin, ceil, floor, hypot, pi

from service.design.layout import END_TO_RIVET, RIVET_PITCH
from service.design.lead_wish import LEAD_MAX, LEAD_MIN, Lead
from service.errors import DoesNotFit, Suggestion
from service.saying import Length, Limit, say
from service.workshop import ORing, Snap

LAP = 2 * END_TO_RIVET + RIVET_PITCH
"""How far two plies lie on each other [mm] where they are joined, with two rivets. Common practice."""
BILLET_ROOM = 12.7
"""Strap end to the fold round eye or ring [mm]: from the inner rivet to the fold 1 in. Common practice."""
LOOP = 203.2
"""A handle's loop laid flat, from the strap's end to its own [mm], 8 in: for a hand. Common practice."""
STRAP_MIN = 2 * LAP + 25.4
"""Shortest strap [mm]: a joint at each end, and 1 in between them. From memory."""
STRAPS_MOST = 6
"""Most straps that are lapped to one lead. From memory."""
BRANCH = 304.8
"""A coupler's branch, from its snap's tip to the ring [mm], 1 ft. From memory."""
CLEAR = 25.4
"""From one joint to the next [mm], at the least. From memory."""
GRIP, ARCH = 127.0, 38.1
"""A traffic loop spans 5 in of strap and stands 1 1/2 in off it [mm]: room for a hand. From memory."""
STOP, STOP_PITCH = 38.1, 12.7
"""A slip lead's stop along the strap, and from one of its two rivets to the other [mm]. From memory."""
RUNS_THROUGH = 2.0
"""A ring is so much wider [mm] than the strap that runs through it. From memory."""
SHORT = 1 / 3
"""The short lead's share of a lead in two parts. From memory."""
ROOMIER = 101.6, 304.8
"""So much longer a lead is suggested to be [mm] on which something has no room. From memory."""
NOISE = 1e-9


@dataclass(frozen=True, slots=True)
class Run:
    """What is taut between two ends: `head` is what snap or ring adds, `tail` what is past the last strap.

    All in mm; there are `quantity` of it. A `folded` one is one strap that is folded back at both ends.
    """

    name: str
    head: float
    straps: tuple[float, ...]
    tail: float = LOOP
    quantity: int = 1
    folded: bool = False

    @property
    def laps(self) -> int:
        """How many laps join its straps."""
        return len(self.straps) - 1

    @property
    def length(self) -> float:
        """From the snap's tip to the handle's end, taut [mm].

        Snap + (billet/2 - lap) + straps - (k - 1) lap + (handle/2 - lap). Source: common practice. Worked: a
        snap of 76.2, two straps of 609.6: 76.2 + 12.7 + 1219.2 - 50.8 + 203.2 = 1460.5 mm, 57 1/2 in.
        """
        if self.folded:
            return self.head + self.straps[0] - (BILLET_ROOM + LAP) - (self.tail + LAP)
        return self.head + BILLET_ROOM + sum(self.straps) - self.laps * LAP + self.tail


def passes(width: float, thickness: float) -> float:
    """Return how wide a ring's opening must be [mm] for a strap to run through it, laid across.

    Source: derived: the diagonal of its section, and 2 mm from memory. Worked: 19.05 by 3 mm: 21.3 mm.
    """
    return hypot(width, thickness) + RUNS_THROUGH


def arch_length(span: float, height: float) -> float:
    """Return the length [mm] of an arc over a span that stands so high [mm] in its middle.

    Source: derived (circle). Worked: 127 mm, 38.1 mm high: radius 72 mm, 155.5 mm.
    """
    radius = (span * span / 4 + height * height) / (2 * height)
    angle = asin(span / 2 / radius)
    return 2 * radius * (angle if height <= radius else pi - angle)


def stop_end(neck: float, thickness: float, ring: ORing) -> float:
    """Return how far from the first strap's start the stop's far edge is [mm], for a noose of a neck [mm].

    The noose is the strap from its fold to the stop, and the ring's opening; the strap's middle runs half its
    thickness outside the neck. Source: derived. Worked: neck 400, 3 mm, 25.4 mm ring: 371.3 mm.
    """
    return neck + pi * thickness - ring.inside - BILLET_ROOM


def straps_for(net: float, longest: float, first: float = STRAP_MIN) -> tuple[float, ...]:
    """Return the fewest straps, lapped, that are `net` long together, none longer than the leather gives.

    They are of one length, unless the first has to be longer than that. All in mm. Source: common practice.
    Worked: 1168.4 of leather that gives 609.6: two of 609.6.
    """
    count = max(1, ceil((net - LAP) / (longest - LAP) - NOISE))
    whole = net + (count - 1) * LAP
    if count == 1 or whole / count >= first:
        return (whole / count,) * count
    return (first, *((whole - first) / (count - 1),) * (count - 1))


@dataclass(frozen=True, slots=True)
class _Sizes:
    """What decides a lead's lengths: its wish, the leather's longest strap and thickness [mm], snap, ring."""

    spec: Lead
    longest: float
    thickness: float
    snap: Snap | None
    ring: ORing | None

    @property
    def head(self) -> float:
        """What the snap adds [mm], or of a slip lead the ring: from the side that the strap pulls on."""
        if self.snap is not None:
            return self.snap.length
        return 0.0 if self.ring is None else self.ring.inside + self.ring.wire

    @property
    def inside(self) -> float:
        """What the ring between two parts adds [mm]."""
        return 0.0 if self.ring is None else self.ring.inside

    @property
    def first(self) -> float:
        """Shortest first strap [mm]: what stands on it has to be clear of its ends."""
        if self.spec.make == "traffic-loop":
            return 4 * LAP + 2 * CLEAR + GRIP
        if self.spec.make == "slip" and self.spec.neck is not None and self.ring is not None:
            return max(STRAP_MIN, stop_end(self.spec.neck, self.thickness, self.ring) + CLEAR + LAP)
        return STRAP_MIN

    @property
    def ends(self) -> float:
        """What a run is longer than its straps together [mm]."""
        return self.head + BILLET_ROOM + LOOP

    @property
    def branch(self) -> float:
        """A coupler's branch [mm]."""
        return max(BRANCH, self.head + 2 * BILLET_ROOM + STRAP_MIN)

    def whole(self, run: float, share: float) -> float:
        """How long the lead is [mm] whose main run is so long; of two parts the long one has this share."""
        if self.spec.make == "two-part":
            return run / share + self.inside
        return run + (self.branch + self.inside if self.spec.make == "coupler" else 0.0)

    @property
    def least(self) -> float:
        """The shortest lead [mm]."""
        return self.whole(self.ends + self.first, 1 / 2)

    @property
    def most(self) -> float:
        """The longest lead [mm]."""
        if self.spec.make == "one-piece":
            return self.head + self.longest - (BILLET_ROOM + LAP) - (LOOP + LAP)
        straps = STRAPS_MOST * self.longest - (STRAPS_MOST - 1) * LAP
        return self.whole(self.ends + straps, 1 - SHORT)

    def run(self, name: str, length: float) -> Run:
        if self.spec.make == "one-piece":
            return Run(name, self.head, (length - self.head + BILLET_ROOM + 2 * LAP + LOOP,), folded=True)
        return Run(name, self.head, straps_for(length - self.ends, self.longest, self.first))


def runs_of(
    spec: Lead, longest: float, thickness: float, snap: Snap | None, ring: ORing | None
) -> tuple[Run, ...]:
    """Return the runs of a lead, the main one first, for leather that gives straps so long [mm].

    Where there are two, the second ends in the ring that the first one's snap holds. Source: common practice.
    Worked: 60 in of leather that gives 7 ft, a snap of 3 in: one strap of 48 1/2 in. Raises DoesNotFit with a
    length that works when it is too short or too long, and where a stop has no room.
    """
    sizes = _Sizes(spec, longest, thickness, snap, ring)
    _guard_stop(sizes)
    if sizes.most < sizes.least or spec.length > sizes.most + NOISE:
        raise _too_long(sizes)
    if spec.length < sizes.least - NOISE:
        raise _too_short(sizes)
    if spec.make == "two-part":
        both = spec.length - sizes.inside
        short = max(SHORT * both, sizes.ends + sizes.first)
        return sizes.run("long", both - short), sizes.run("short", short)
    if spec.make == "coupler":
        straps = (sizes.branch - sizes.head - 2 * BILLET_ROOM,)
        branch = Run("branch", sizes.head, straps, BILLET_ROOM, quantity=2)
        return sizes.run("lead", spec.length - sizes.inside - sizes.branch), branch
    return (sizes.run("lead", spec.length),)


def taut_length(runs: Sequence[Run], ring: ORing | None) -> float:
    """Return how long a lead of such runs is, taut [mm]: the next one begins at the other side of the ring.

    Source: derived. Worked: 1000 and 500 mm, a ring of 25.4 mm: 1525.4 mm.
    """
    return sum(run.length for run in runs) + (len(runs) - 1) * (0.0 if ring is None else ring.inside)


def _guard_stop(sizes: _Sizes) -> None:
    neck, ring = sizes.spec.neck, sizes.ring
    if neck is None or ring is None or sizes.spec.make != "slip":
        return
    sliding = Suggestion("neck", "", say("a stop that slides"))
    start = stop_end(neck, sizes.thickness, ring) - STOP
    if start < LAP + CLEAR:
        least = neck + LAP + CLEAR - start
        message = say(
            "The stop would stand on the ring's billet: it takes a neck of {neck}.",
            neck=Limit(least, "least"),
        )
        larger = Suggestion("neck", f"{ceil(least)} mm", say("{length}", length=Length(ceil(least))))
        raise DoesNotFit(field="neck", message=message, would_work=(larger, sliding))
    if sizes.first > sizes.longest:
        most = neck - (sizes.first - sizes.longest)
        message = say(
            "The stop has to stand on the first strap, and this leather gives straps of {longest} at most:"
            " that is enough for a neck of {neck}.",
            longest=Length(sizes.longest),
            neck=Limit(most, "most"),
        )
        raise DoesNotFit(field="neck", message=message, would_work=(sliding,))


def _too_short(sizes: _Sizes) -> DoesNotFit:
    message = say(
        "That is too short for a lead made like this: snap, joints and handle alone take {length}.",
        length=Limit(sizes.least, "least"),
    )
    least = ceil(sizes.least - NOISE)
    return DoesNotFit(field="length", message=message, would_work=(_to(least), *longer(sizes.spec, least)))


def _too_long(sizes: _Sizes) -> DoesNotFit:
    longest, most = Length(sizes.longest), Limit(sizes.most, "most")
    ways = (_to(floor(sizes.most + NOISE)),) if sizes.most >= sizes.least else ()
    if sizes.spec.make == "one-piece":
        message = say(
            "This leather gives straps of {longest} at most: in one piece that is a lead of {length}.",
            longest=longest,
            length=most,
        )
        return DoesNotFit(
            field="length",
            message=message,
            would_work=(Suggestion("make", "plain", say("straps lapped, with billet and handle")), *ways),
        )
    message = say(
        "That would take more than {count} straps of {longest}, the longest that this leather gives: a lead"
        " made like this can be {length} long.",
        count=STRAPS_MOST,
        longest=longest,
        length=most,
    )
    return DoesNotFit(field="length", message=message, would_work=ways)


def longer(spec: Lead, length: float) -> tuple[Suggestion, ...]:
    """Return lengths [mm] that what decorates a lead may have room on, if anything does.

    Source: from memory, 4 in and 1 ft more. Worked: 420 mm: 522 and 725 mm.
    """
    if not (spec.border or spec.lacing or spec.lettering or spec.qr or spec.studs is not None):
        return ()
    return tuple(_to(ceil(length + more)) for more in ROOMIER if length + more <= LEAD_MAX)


def _to(length: int) -> Suggestion:
    kept = min(max(length, LEAD_MIN), LEAD_MAX)
    return Suggestion("length", f"{kept:g} mm", say("{length} long", length=Length(kept)))
