"""The runs of the strap that decoration may go on, and how to divide one evenly."""

from dataclasses import dataclass

from service.design.grooves import EDGE_MARGIN
from service.design.lining import SEAM_IN
from service.design.pattern import Layout
from service.design.spec import Border, Lacing


@dataclass(frozen=True, slots=True)
class Zone:
    """A clear run of the strap's outer side, from `start` to `end` along the blank [mm]."""

    start: float
    end: float

    @property
    def length(self) -> float:
        """Length of the run [mm]; not below 0."""
        return max(0.0, self.end - self.start)

    @property
    def middle(self) -> float:
        """Middle of the run [mm]."""
        return (self.start + self.end) / 2


FROM_HAND = 12.7
"""What is lettered near a hand keeps so far from the run's end [mm], where it can. By eye."""


@dataclass(frozen=True, slots=True)
class Ground:
    """What decoration goes on: a strap's `width`, what is along its edges, how far all keeps off them [mm].

    `main` is the clear run that all goes on; `opposite` another, in which studs and border are mirrored at
    the `axis` [mm], or None. What is lettered stands in the middle of its run, or `at_hand`, near its end.
    """

    width: float
    grooves: tuple[float, ...]
    border: Border
    margin: float
    main: Zone
    opposite: Zone | None = None
    axis: float = 0.0
    lacing: Lacing = ""
    at_hand: bool = False

    def seat(self, run: Zone, length: float, spare: float) -> float:
        """Return the middle [mm] of what is so long, and has so much to `spare` at each end, on a run [mm].

        Source: by eye, 12.7 mm off the end at the hand, or half of what is left. Worked: 40 mm with 6 to
        spare on a run from 100 to 200 mm: 150 mm, and at the hand 200 - 6 - 20 - 12.7 = 161.3 mm.
        """
        if not self.at_hand:
            return run.middle
        left = max(0.0, run.length - length - 2 * spare)
        return run.end - spare - length / 2 - min(FROM_HAND, left / 2)


def ground_of(layout: Layout) -> Ground:
    """Return what a buckle collar's decoration goes on, either side of its ring.

    Source: common practice. Worked: its axis is the ring, its main run that between ring tab and holes.
    """
    short, long = clear_zones(layout)
    opposite = short if layout.tab_half else None
    lines = layout.grooves or (() if layout.lined is None else (SEAM_IN,))
    return Ground(
        layout.width, lines, layout.border, layout.margin, long, opposite, layout.ring, layout.lacing
    )


def clear_zones(layout: Layout) -> tuple[Zone, Zone]:
    """Return the two clear zones of a collar: tail end to ring tab, and ring tab to the tightest hole.

    The first is covered by nothing even on the tightest hole; with the ring in the fold there is only the
    second, from the tail's end on. The second ends before the buckle's frame too, as it lies on the hole to
    wear. 3 mm are kept free at each end. Source: common practice. Worked: 482.6 mm on a 25.4 mm strap:
    42.8 - 6 mm long, and 241.3 - 25.4 - 20.7 - 2 - 6 mm long.
    """
    tab_start, tab_end = layout.ring - layout.tab_half, layout.ring + layout.tab_half
    # A short tail may end on the folded leg, where the rivets are; a forced one may reach past the ring.
    covered = max(layout.fold + layout.tail, 2 * layout.fold)
    # What stands up from the strap would lie under the buckle's frame.
    first_hole = min(layout.holes[0] - layout.hole_diameter / 2, layout.target - layout.frame)
    if not layout.tab_half:
        start = covered + EDGE_MARGIN
        return Zone(start, start), Zone(start, first_hole - EDGE_MARGIN)
    return (
        Zone(covered + EDGE_MARGIN, tab_start - EDGE_MARGIN),
        Zone(max(tab_end, covered) + EDGE_MARGIN, first_hole - EDGE_MARGIN),
    )


NOISE = 1e-6


def mirrored_runs(ground: Ground, count: int, step: float, fewest: int) -> tuple[tuple[float, int], ...]:
    """Return where runs of so many things begin, a step [mm] apart: on the main run, and in the opposite one.

    There as many stand at the same distances from the axis as have room, if that is the `fewest`.
    Source: derived. Worked: 187.2 mm in 59 steps of 3.17 mm: 11 before the ring.
    """
    main, opposite = ground.main, ground.opposite
    nearest = 2 * ground.axis - main.start
    mirrored = int((nearest - opposite.start) / step + NOISE) if opposite else 0
    runs = (main.start, count), (nearest - mirrored * step, mirrored)
    return runs if mirrored >= fewest else runs[:1]


def even_pitch(run: float, nominal: float, least: float = 0.0) -> tuple[int, float]:
    """Return the number of gaps and the pitch [mm] nearest to `nominal` that divides a run evenly.

    All in mm; a pitch below `least` is never taken, unless one gap is already smaller. Source: common
    practice. Worked: a run of 187 mm at 50.8 mm: four gaps of 46.75 mm (three would be 62.3 mm).
    """
    few = max(1, int(run // nominal))
    gaps = min(
        (n for n in (few, few + 1) if n == 1 or run / n >= least), key=lambda n: abs(run / n - nominal)
    )
    return gaps, run / gaps
