"""Where everything lies on a limited-slip collar: a strap between two rings, and a loop through both.

Lengths in mm. The strap is folded round the straight bar of a D-ring at each end; the loop runs through both
rings and carries the third, for the lead. Pulled tight, the rings touch; open, the loop lies flat between
them.
"""

from dataclasses import dataclass
from math import pi

from service.design.fit import neck_inside
from service.design.grooves import EDGE_MARGIN, groove_insets
from service.design.lacing import edge_margin
from service.design.layout import (
    END_TO_RIVET,
    RIVET_PITCH,
    guard_cut_end,
    guard_edge,
)
from service.design.ring import TAB_SLOPE
from service.design.ring_tab import EDGE_DIAMETERS, TAB_REACH
from service.design.spec import LimitedSlip
from service.design.zones import Ground, Zone
from service.errors import DoesNotFit, Suggestion
from service.saying import Length, Limit, say
from service.workshop import Fastener, Ring

HEAD_ROOM = 20.0
"""Open, the collar is this much wider than the head [mm]. Common practice."""
LAP = 2 * END_TO_RIVET + RIVET_PITCH
"""The loop's ends lie so far on each other [mm], with two rivets. Common practice."""
RING_DEPTH = 0.5
"""How far a D-ring is open across its bar, in its inside widths: it is half a circle. Derived."""
LAPPED = 2
"""Plies at a fold and at the loop's lap."""


@dataclass(frozen=True, slots=True)
class SlipLayout:
    """Both blanks and what the rings add, all [mm].

    `strap` and `loop` are cut lengths, `fold` from either end of the strap to its fold, `between` fold to
    fold; `bars` and `open_bars` from one ring's bar to the other's, tight and open; `take_up` what one fold
    takes of the girth; `span` from wire to wire along the open loop.
    """

    strap: float
    loop: float
    width: float
    thickness: float
    fold: float
    reach: float
    between: float
    bars: float
    open_bars: float
    take_up: float
    span: float
    grooves: tuple[float, ...]
    margin: float


@dataclass(frozen=True, slots=True)
class SlipFit:
    """The snug neck and the head it is made for, and its inside girths `tight` and `open`, all [mm]."""

    neck: float
    head: float
    tight: float
    open: float

    @property
    def travel(self) -> float:
        """How much wider it is open than tight [mm]."""
        return self.open - self.tight


def bars_touching(ring: Ring) -> float:
    """Return how far apart [mm] the bars of two equal D-rings are whose bows touch.

    Source: derived: from a bar's middle half a wire, half the inside width, a wire; twice. Worked: 25.4 mm of
    4 mm wire: 2 x (2 + 12.7 + 4) = 37.4 mm.
    """
    return 2 * (RING_DEPTH * ring.width + 1.5 * ring.wire)


def snug_neck(spec: LimitedSlip) -> float:
    """Return the snug neck [mm] that was measured.

    Source: derived. Worked: a snug tape of 350 mm is 350; with two fingers under it 374.25 mm is 350.
    """
    return spec.neck if spec.measured == "tape-snug" else neck_inside(spec.neck)


def slip_layout(spec: LimitedSlip, thickness: float, ring: Ring, row: Fastener) -> tuple[SlipLayout, SlipFit]:
    """Return where everything lies, and the girths, for leather of this thickness [mm], ring and fastener.

    Tight it is the neck, not less: fold to fold = neck + pi t - bars + 2 pi (d + t) / 4. Open it passes the
    head with 20 mm to spare, or more where the loop's lap needs a longer loop. Source: common practice for
    both girths; derived from wire d and leather t as a buckle's take-up is. Worked: neck 350, 3 mm leather,
    D-rings 25.4 mm inside of 4 mm wire: fold to fold 350 + 9.42 - 37.4 + 11.0 = 333.0 mm. Raises DoesNotFit
    when the head is no larger than the neck, or the strap too short for its folds.
    """
    neck = guard_head(spec)
    guard_edge(spec.width, row.kind, row.hole)
    guard_cut_end(row.hole)
    bars, used = bars_touching(ring), pi * (ring.wire + thickness) / 4
    reach = max(TAB_REACH, ring.wire / 2 + thickness + row.cap / 2 + TAB_SLOPE, EDGE_DIAMETERS * row.hole)
    fold = END_TO_RIVET + RIVET_PITCH + reach
    between = neck + pi * thickness - bars + 2 * used
    if between < 2 * fold:
        raise _too_short(spec, 2 * fold - between)
    # Along the open loop, from the middle of one bow's wire to the other's.
    wanted = spec.head + HEAD_ROOM - neck + ring.wire
    span = max(wanted, LAP + ring.wire + thickness)
    grooves = groove_insets(spec.width, spec.grooves)
    margin = edge_margin(spec, grooves)
    layout = SlipLayout(
        strap=between + 2 * fold,
        loop=2 * span + pi * (ring.wire + thickness) + LAP,
        width=spec.width,
        thickness=thickness,
        fold=fold,
        reach=reach,
        between=between,
        bars=bars,
        open_bars=bars + span - ring.wire,
        take_up=used,
        span=span,
        grooves=grooves,
        margin=margin,
    )
    return layout, SlipFit(neck, spec.head, _girth(layout, layout.bars), _girth(layout, layout.open_bars))


def _girth(layout: SlipLayout, bars: float) -> float:
    """Inside girth [mm] with the rings' bars so far apart."""
    return layout.between - 2 * layout.take_up + bars - pi * layout.thickness


def slip_ground(spec: LimitedSlip, layout: SlipLayout) -> Ground:
    """Return what decoration goes on: the strap between its folded ends.

    Source: common practice: 3 mm off the ends. Worked: a strap of 480 mm folded at 65: from 133 to 347 mm.
    """
    start = 2 * layout.fold + EDGE_MARGIN
    main = Zone(start, layout.strap - start)
    return Ground(layout.width, layout.grooves, spec.border, layout.margin, main, lacing=spec.lacing)


def guard_head(spec: LimitedSlip) -> float:
    """Return the snug neck [mm] of a head that is larger.

    Source: common practice. Worked: a neck of 400 and a head of 460: 400. Raises DoesNotFit when the head is
    no larger: then nothing else that could be changed makes the collar of use.
    """
    neck = snug_neck(spec)
    if spec.head > neck:
        return neck
    text = say(
        "The head, {head}, is no larger than the neck, {neck}: a collar that is pulled over it is of no use."
        " Measure the head at its widest, in front of the ears; if it is right, a buckle collar is better.",
        head=Length(spec.head),
        neck=Length(neck),
    )
    ways = (Suggestion("kind", "collar", say("a buckle collar")),)
    raise DoesNotFit(field="head", message=text, would_work=ways)


def _too_short(spec: LimitedSlip, short: float) -> DoesNotFit:
    text = say(
        "A strap {width} wide is too bulky for this neck: its folded ends would meet, {short} short. It takes"
        " a neck of {neck} or more.",
        width=Length(spec.width),
        short=Length(short),
        neck=Limit(spec.neck + short, "least"),
    )
    return DoesNotFit(field="neck", message=text)
