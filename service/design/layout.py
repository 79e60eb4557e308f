"""Where everything lies along the strap: the two ends, the size holes, the ring, and the guards on them."""

from dataclasses import dataclass
from math import ceil

from service.design.fit import TARGET, Added, added_by, grown_flat, neck_inside
from service.design.grooves import groove_insets
from service.design.lacing import edge_margin
from service.design.lining import FROM_SEAM, LINING_IN, SEAM_IN, guard_lining, padded_run
from service.design.pattern import CollarFittings, Finding, Layout
from service.design.ring import guard_fold, in_fold, ring_x
from service.design.ring_tab import EDGE_DIAMETERS, tab_rivets, tab_sizes, tab_span
from service.design.spec import HOLES_MAX, Collar
from service.design.taper import LEG_CLEAR, swell_for
from service.errors import DoesNotFit, Suggestion
from service.geometry import end_taper
from service.language import mark
from service.saying import Exact, Length, Limit, Message, say
from service.workshop import Fastener, Style

END_TO_RIVET = 12.7
"""Cut end to the first rivet centre [mm], 1/2 in. Common practice."""
RIVET_PITCH = 25.4
"""Rivet pitch along the strap [mm], 1 in. Common practice."""
SLOT_ROOM = 6.35
"""The slot is this much longer than the strap is wide [mm]: room for the bar, 1/4 in. Common practice."""
FRAME = 0.62
"""A buckle's frame reaches so many strap widths and its wire from its bar. By eye."""
SLOT_TO_RIVET = 9.525
"""End of the slot to the inner rivet centre [mm], 3/8 in. Common practice."""
PRONG_CLEARANCE = 1.0
"""Slot and size holes are this much wider than the prong [mm]. Derived."""
TIP_WIDTHS = 2.0
"""Last hole to the tip in strap widths. Common practice."""

AUTO_PITCHES = (25.4, 19.05, 12.7)
"""Pitches of size holes [mm] that `auto` tries, widest first. Common practice."""
AUTO_HOLES = (6, 5)
"""Numbers of size holes that `auto` tries. Common practice."""

TAIL = "tail"
"""Code of the warning of a tail that reaches the ring tab."""
SAME = 1e-9
"""Parts of a pitch within which a hole stands where it should."""
NOT_GROWING = Suggestion("adult", "", say("no room to grow into"))
TAIL_CLEAR = 10.0
"""The tail ends at least this far [mm] before the ring tab. Common practice."""
KEEPER_WIDTH = 12.0
"""Width of a keeper along the strap [mm]. From memory."""
FIXED_PLIES = 3
"""Plies that a fixed keeper goes round: two legs of the fold and the tail. A sliding one has two. Derived."""
KEEPER_LAP = 15.0
"""A keeper's ends lie on each other this far [mm]. Common practice."""
SLOT_EDGE_MIN = 3.0
"""Least leather [mm] between the slot and a rivet hole's edge. Common practice."""
TAPER_CLEAR = 6.0
"""The tip's taper ends at least this far [mm] before the last hole's edge. Common practice."""
PUNCHED: dict[str, Message] = {
    "rivet": say("rivet holes"),
    "screw-post": say("screw post holes"),
    "size": say("size holes"),
}
"""What the holes in a strap are called."""


@dataclass(frozen=True, slots=True)
class Ends:
    """The two end layouts: what depends on style, width and hardware and never on the neck, all [mm].

    `fold` from the buckle end; `slot_length`, `slot_width`; `tip` last hole to tip; `taper` of the tip;
    `tab_half`, `tab_reach` of the ring tab, nothing where the ring hangs in the fold; `hole` diameter of a
    size hole.
    """

    fold: float
    slot_length: float
    slot_width: float
    tip: float
    taper: float
    tab_half: float
    tab_reach: float
    hole: float


def ends_for(spec: Collar, fittings: CollarFittings) -> Ends:
    """Return the end layouts for a wish and its hardware.

    Source: common practice; slot/2 + 9.525 mm from fold to inner rivet; ring tab derived from bar, leather
    and cap. Worked: 25.4 mm strap: slot 31.75, fold 12.7 + 25.4 + 25.4 = 63.5 mm. Raises DoesNotFit when a
    hole is too near an edge, the slot too near a rivet or the taper too near a hole.
    """
    slot = spec.width + SLOT_ROOM
    reach, half = tab_sizes(spec, fittings)
    hole = fittings.buckle.prong + PRONG_CLEARANCE
    ends = Ends(
        fold=END_TO_RIVET + RIVET_PITCH + slot / 2 + SLOT_TO_RIVET,
        slot_length=slot,
        slot_width=hole,
        tip=TIP_WIDTHS * spec.width,
        taper=end_taper(spec.end, spec.width),
        tab_half=half,
        tab_reach=reach,
        hole=hole,
    )
    _guard_edges(spec, fittings.fold_fastener, ends)
    _guard_rivet_holes(fittings.fold_fastener)
    guard_fold(spec, fittings, RIVET_PITCH)
    guard_taper(ends)
    return ends


def _guard_edges(spec: Collar, fastener: Fastener, ends: Ends) -> None:
    for name, diameter in ((fastener.kind, fastener.hole), ("size", ends.hole)):
        guard_edge(spec.width, name, diameter)


def guard_edge(width: float, name: str, diameter: float) -> None:
    """Raise DoesNotFit when holes of a kind and diameter [mm] are too near a strap's edges.

    Source: common practice: two diameters. Worked: 3 mm holes take a strap 12 mm wide.
    """
    edge = EDGE_DIAMETERS * diameter
    if width / 2 < edge:
        message = say(
            "The {holes} are {diameter} wide and need {edge} from centre to edge: a strap of {strap} or"
            " wider.",
            holes=PUNCHED[name],
            diameter=Exact(diameter),
            edge=Exact(edge),
            strap=Limit(2 * edge, "least"),
        )
        raise DoesNotFit(field="width", message=message)


def _guard_rivet_holes(fastener: Fastener) -> None:
    hole = fastener.hole
    if hole / 2 > SLOT_TO_RIVET - SLOT_EDGE_MIN:
        message = say(
            "A {hole} hole leaves less than {edge} of leather to the slot: it takes a thinner rivet or post.",
            hole=Exact(hole),
            edge=Exact(SLOT_EDGE_MIN),
        )
        raise DoesNotFit(field="fastening", message=message)
    guard_cut_end(hole)


def guard_cut_end(hole: float) -> None:
    """Raise DoesNotFit when a rivet hole of this diameter [mm] is too near the cut end.

    Source: common practice: two diameters. Worked: 12.7 mm is enough for a hole of 6.3 mm.
    """
    if EDGE_DIAMETERS * hole > END_TO_RIVET:
        message = say(
            "A {hole} hole is too near the cut end, {end} away: it takes a thinner rivet or post.",
            hole=Exact(hole),
            end=Exact(END_TO_RIVET),
        )
        raise DoesNotFit(field="fastening", message=message)


def guard_taper(ends: Ends) -> None:
    """Raise DoesNotFit when a tip narrows too near the last hole; every end keeps to this, new ones too.

    Source: common practice: 6 mm past the hole's edge. Worked: tip 50.8, hole 4: a taper up to 42.8 mm.
    """
    if ends.taper > ends.tip - ends.hole / 2 - TAPER_CLEAR:
        message = say(
            "The tip begins to narrow too near the last hole: it takes a shorter end or a wider strap."
        )
        raise DoesNotFit(field="end", message=message)


def tail_limit(flat: float, ends: Ends) -> float:
    """Return the longest tail [mm] that ends before the ring tab, for a flat distance [mm].

    Source: common practice: F/2 less half the tab less 10 mm. Worked: 482.6 and tab 41.4: 210.6 mm.
    """
    return flat / 2 - ends.tab_half - TAIL_CLEAR


def hole_plan(
    spec: Collar, flat: float, ends: Ends, grown: float | None = None
) -> tuple[int, float, tuple[Finding, ...]]:
    """Return how many size holes at which pitch [mm] for a flat distance [mm], and what was done.

    On `auto` the pitch shrinks first (25.4, 19.05, 12.7), then the number (not below 5), until the tail on
    the tightest hole ends before the ring tab; forced values are kept and only warned about. With the
    flat distance of a dog that has `grown` [mm], there are as many holes as reach it. Source: common
    practice. Worked: 355.6 mm on a 25.4 mm strap: six holes at 19.05 mm. Raises DoesNotFit when a forced
    pitch leaves too little leather between two holes.
    """
    counts = AUTO_HOLES if spec.holes is None else (spec.holes,)
    pitches = _pitches(spec, ends.hole)
    limit = tail_limit(flat, ends)
    plans = [(n, p) for n in counts for p in pitches]
    if grown is not None and spec.holes is None:
        plans = [(n, p) for p in pitches if (n := _holes_to(grown - flat, p)) <= HOLES_MAX]
    fitting = next(((n, p) for n, p in plans if (n - 1) * p + ends.tip <= limit), None)
    n, p = fitting or min(plans, key=lambda plan: (plan[0] - 1) * plan[1])
    if fitting is None:
        return n, p, (_tail_warning(spec, (n - 1) * p + ends.tip - limit),)
    if fitting == plans[0]:
        return n, p, ()
    text = say(
        "{holes} holes at {pitch}, so that the tail ends before the ring even on the tightest hole;"
        " {many} at {wide} would reach it.",
        holes=n,
        pitch=Length(p),
        many=plans[0][0],
        wide=Length(plans[0][1]),
    )
    if in_fold(spec):
        text = say(
            "{holes} holes at {pitch}, so that the tail ends before the nape even on the tightest hole;"
            " {many} at {wide} would reach it.",
            holes=n,
            pitch=Length(p),
            many=plans[0][0],
            wide=Length(plans[0][1]),
        )
    return n, p, (Finding("holes-chosen", "note", text, mark("common practice"), "holes"),)


def _holes_to(further: float, pitch: float) -> int:
    """How many holes at a pitch reach so far past the target [mm], and no fewer than usual."""
    return max(AUTO_HOLES[-1], TARGET + ceil(further / pitch - SAME))


def _guard_growth(spec: Collar, flat: float, grown: float, pitch: float, added: Added) -> None:
    """Raise DoesNotFit when the grown dog's neck is no larger, or further than the most holes reach."""
    adult = Length(spec.adult or 0.0)
    most = flat + (HOLES_MAX - TARGET) * pitch
    if grown <= flat:
        message = say(
            "A growing dog's neck will be larger than it is now: {adult} is not. Measured snug, with nothing"
            " under the tape.",
            adult=adult,
        )
    elif spec.holes is None and grown > most:
        message = say(
            "{count} holes, the most there can be, reach a neck of {most} and not {adult}. Make this collar"
            " for now and a longer one later.",
            count=HOLES_MAX,
            most=Limit(neck_inside(most - added.all, spec.fingers), "most"),
            adult=adult,
        )
    else:
        return
    raise DoesNotFit(field="adult", message=message, would_work=(NOT_GROWING,))


def _pitches(spec: Collar, hole: float) -> tuple[float, ...]:
    """The pitches to try [mm], each with enough leather between two holes."""
    least = EDGE_DIAMETERS * hole
    if spec.pitch is None:
        return tuple(pitch for pitch in AUTO_PITCHES if pitch >= least) or (least,)
    if spec.pitch >= least:
        return (spec.pitch,)
    raise DoesNotFit(
        field="pitch",
        message=say(
            "Holes {hole} wide need a pitch of at least {pitch}.",
            hole=Exact(hole),
            pitch=Limit(least, "least"),
        ),
        would_work=(
            Suggestion("pitch", "12.7 mm", say("a pitch of {pitch}", pitch=Length(AUTO_PITCHES[-1]))),
            Suggestion("pitch", "auto", say("a pitch on auto")),
        ),
    )


def _tail_warning(spec: Collar, over: float) -> Finding:
    text = say(
        "On the tightest hole the tail comes {over} too near the ring tab and lifts it.", over=Length(over)
    )
    if in_fold(spec):
        text = say("On the tightest hole the tail reaches half way round, to the nape.")
    return Finding(TAIL, "warning", text, mark("common practice"), "holes")


def layout_for(spec: Collar, fittings: CollarFittings, flat: float) -> tuple[Layout, tuple[Finding, ...]]:
    """Return the layout of the strap for a flat distance F [mm], and what was done to make it fit.

    Blank length L = fold + F + (n - 2) p + tip. Source: common practice. Worked: 25.4 mm strap, F = 482.6
    mm, six holes at 25.4 mm: 698.5 mm (19 in gives 27 1/2 in). Raises DoesNotFit when the ring tab would
    sit on the folded leg.
    """
    ends = ends_for(spec, fittings)
    least = least_flat(ends)
    if flat < least:
        raise _neck_too_small(spec, least - flat)
    added = added_by(fittings)
    grown = grown_flat(spec, added)
    if grown is not None:
        _guard_growth(spec, flat, grown, _pitches(spec, ends.hole)[0], added)
    n, pitch, findings = hole_plan(spec, flat, ends, grown)
    target = ends.fold + flat
    guard_lining(spec.width, fittings.lining)
    seam = None if fittings.lining is None else SEAM_IN
    grooves = groove_insets(spec.width, spec.grooves, seam)
    lines = grooves if grooves or seam is None else (seam,)
    margin = max(edge_margin(spec, lines), 0.0 if seam is None else seam + FROM_SEAM)
    # Numbered from the buckle: the tightest hole first, the target second. From the tip a dog slips off.
    holes = tuple(target + (k - TARGET) * pitch for k in range(1, n + 1))
    length = holes[-1] + ends.tip
    outer, inner = END_TO_RIVET, END_TO_RIVET + RIVET_PITCH
    ring = ring_x(spec, ends.fold, flat, END_TO_RIVET + RIVET_PITCH / 2)
    layout = Layout(
        length=length,
        width=spec.width,
        thickness=fittings.leather.thickness,
        rivets=(outer, inner, 2 * ends.fold - inner, 2 * ends.fold - outer),
        fold=ends.fold,
        slot_length=ends.slot_length,
        slot_width=ends.slot_width,
        ring=ring,
        tab_half=ends.tab_half,
        tab_reach=ends.tab_reach,
        tab_rivets=tab_rivets(spec, ring, ends.tab_reach),
        tab_span=tab_span(spec, fittings, ring, ends.tab_half),
        holes=holes,
        hole_diameter=ends.hole,
        pitch=pitch,
        target=target,
        tip=ends.tip,
        taper=ends.taper,
        tail=length - holes[0],
        keeper=keeper_place(spec.style, ends.fold),
        grooves=grooves,
        border=spec.border,
        lacing=spec.lacing,
        margin=margin,
        swell=swell_for(spec, ends.fold, flat, holes[0] - ends.hole / 2),
        lined=None if seam is None else ends.fold + ends.slot_length / 2 + LINING_IN,
        padded=padded_run(fittings.lining, 2 * ends.fold, holes[0] - ends.hole / 2),
        frame=frame_reach(spec.width, fittings.buckle.bar) + fittings.buckle.bar / 2,
    )
    return layout, findings


def least_flat(ends: Ends) -> float:
    """Return the least flat distance [mm]: half of it is the folded leg, its clearance and half the ring tab.

    Source: derived. Worked: fold 63.5 and half tab 20.7: 2 x (63.5 + 3 + 20.7) = 174.4 mm.
    """
    return 2 * (ends.fold + LEG_CLEAR + ends.tab_half)


def _neck_too_small(spec: Collar, short: float) -> DoesNotFit:
    text = say(
        "A strap {width} wide is too bulky for this neck: the ring would sit on the folded end, {short}"
        " short. Is the measure right?",
        width=Length(spec.width),
        short=Length(short),
    )
    return DoesNotFit(field="neck", message=text)


def frame_reach(width: float, bar: float) -> float:
    """Return how far the side of a buckle's frame that bears the prong is from its bar [mm], middles.

    `width` of the strap and `bar` [mm]. Source: by eye, 0.62 of the width and the wire. Worked: 25.4 mm and
    4 mm: 19.7 mm.
    """
    return FRAME * width + bar


def keeper_place(style: Style, fold: float) -> float | None:
    """Return the middle of the fixed keeper [mm] on the outer leg, or None for a centre-bar buckle.

    It sits between the two rivets of the folded leg; `fold` [mm] from the buckle end. Source: common
    practice. Worked: fold 63.5: 127 - 25.4 = 101.6 mm.
    """
    return None if style == "centre-bar" else 2 * fold - END_TO_RIVET - RIVET_PITCH / 2


def keeper_blank(width: float, thickness: float, plies: int = FIXED_PLIES, lining: float = 0.0) -> float:
    """Return the cut length [mm] of a keeper round `plies` plies of strap of this width and thickness [mm].

    2 (W + 1) + 2 plies t + 15 mm of lap; a fixed keeper holds two legs and the tail, a sliding one strap and
    tail. Strap and tail are both lined, the leg isn't: two plies of `lining` [mm] more. Source: common
    practice.
    Worked: 25.4 wide, 3 mm, three plies: 52.8 + 18 + 15 = 85.8 mm.
    """
    return 2 * (width + 1) + 2 * (plies * thickness + 2 * lining) + KEEPER_LAP
