"""How a collar can fail: every joint and section, what it bears and from which figures that comes.

The whole pull is counted at every section. The collar's two sides share it only while they run side by side;
where they meet the ring at 120 degrees each carries all of it (derived).
"""

from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from functools import partial
from math import floor, inf
from typing import Literal

from service.design import (
    LACE_HOLE,
    STITCH_HOLE,
    STRAIN_MAX,
    CollarPattern,
    Mark,
    Pattern,
    lace_stations,
    seam_in,
    stitch_of,
)
from service.language import mark
from service.saying import Exact, Figure, Message, named, say
from service.strength.sections import (
    bearing,
    bearing_backed,
    fold_round_bar,
    holed_section,
    pin_bends,
    pin_gives_way,
    pull_through,
    ring_bends,
    ring_gives_way,
    seam,
    solid_strap,
    tear_out,
)
from service.workshop import Assumptions, Fastener, ORing, Ring

Ends = Literal["lets go", "gives"]
"""Whether the dog is loose after it, or something has bent or stretched for good."""

BELTING = mark(
    "lace holes in old belting: 200 lbf per inch (1903 power-plant text) of 3/16 in at 3000 to 5000 psi"
    " (Raymond, Modern Shop Practice, vol. 1)"
)
TRADE = mark("width × thickness × strength")
SHIGLEY = mark("Shigley's Mechanical Engineering Design, 9th ed., p. 454; the share in shear is a metal's")
EUROCODE = mark("EN 1993-1-8, table 3.4, made for metal")
ROARK = mark("Roark, closed circular ring; a ring that isn't closed bears less")
HINGES = mark("derived: hinges in the wire; a ring that isn't closed bears less")
BAR = mark("a bar bent by an even load, W L / 8")
BAR_HINGE = mark("derived: a hinge in the middle of the bar")
SUPPLIER = mark("the supplier's figure, for this part alone")
UNKNOWN = mark("unknown: ask the supplier, or test one set in leather")
SEWN = mark("stitches × thread × 1.5, a rule of thumb of the thread trade")
FOLD = mark("derived: two legs of the fold; the least if one carries all")


@dataclass(frozen=True, slots=True)
class Input:
    """A figure behind a capacity: its letter in the formula, its name, and how it is said."""

    letter: str
    name: str
    value: Message


@dataclass(frozen=True, slots=True)
class Mode:
    """One way to fail: what happens, where, and from which pull to which [N]; None where that isn't known.

    `stations` are its distances from the buckle end [mm]; `formula` is in the letters of its source.
    """

    code: str
    ends: Ends
    name: Message
    stations: tuple[float, ...]
    low: float | None
    high: float | None
    formula: str
    inputs: tuple[Input, ...]
    source: str

    @property
    def known(self) -> bool:
        """Whether there is a figure for it."""
        return self.low is not None

    @property
    def least(self) -> float:
        """The least [N] it bears; endless where that isn't known, which is not to say that it is strong."""
        return inf if self.low is None else self.low


@dataclass(frozen=True, slots=True)
class Strap:
    """The strap's width, thickness [mm] and strength [N/mm²], and the shares that holes leave of it."""

    width: float
    thickness: float
    stress: float
    shares: tuple[float, float]
    inputs: tuple[Input, ...] = field(init=False)

    def __post_init__(self) -> None:
        size = (
            length_input("w", mark("Width"), self.width),
            length_input("t", mark("Thickness"), self.thickness),
        )
        object.__setattr__(
            self, "inputs", (*size, stress_input("f", mark("Leather's strength"), self.stress))
        )


def collar_modes(pattern: CollarPattern, assumed: Assumptions) -> Iterator[Mode]:
    """Yield every way in which a buckle collar can fail.

    Source: as each says. Worked: 1 in of 3 mm leather at 15 N/mm²: the row of size holes bears 240 to 411 N.
    """
    strap = strap_of(pattern, assumed)
    yield from _strap_modes(pattern, strap)
    yield from _fold_modes(pattern, strap)
    if pattern.layout.tab_half:
        yield from _tab_modes(pattern, strap)
    yield from ring_modes(pattern.fittings.ring, (pattern.layout.ring,), assumed)
    yield from _buckle_modes(pattern, strap, assumed)


def strap_of(pattern: Pattern, assumed: Assumptions) -> Strap:
    """Return the section of a pattern's strap, where it is narrowest, and what its leather bears.

    Source: the supplier's strength, else the workshop's. Worked: 25.4 by 3 mm at 15 N/mm².
    """
    leather = pattern.fittings.leather
    return Strap(
        pattern.spec.width,
        leather.thickness,
        leather.strength_n_mm2 or assumed.leather_n_mm2,
        (float(assumed.holes_low), float(assumed.holes_high)),
    )


def _strap_modes(pattern: CollarPattern, strap: Strap) -> Iterator[Mode]:
    layout = pattern.layout
    solid = solid_strap(strap.width, strap.thickness, strap.stress)
    tears = say("The strap tears where it has no hole")
    yield Mode("strap", "lets go", tears, (), solid, solid, "w t f", strap.inputs, TRADE)
    rows = partial(across, strap)
    hole = pattern.fittings.fold_fastener.hole
    yield rows("size-holes", say("The strap tears across a size hole"), layout.holes, layout.hole_diameter)
    yield rows("fold-holes", say("The strap tears across a rivet hole of the fold"), layout.rivets[2:], hole)
    at_ring = strap if layout.swell is None else replace(strap, width=layout.swell.widest)
    if layout.tab_half:
        yield across(
            at_ring,
            "ring-holes",
            say("The strap tears across a rivet hole of the ring tab"),
            layout.tab_rivets,
            pattern.fittings.tab_fastener.hole,
        )
    yield from _seam_modes(pattern, strap)
    yield from decoration_modes(pattern, strap)


def decoration_modes(pattern: Pattern, strap: Strap) -> Iterator[Mode]:
    """Yield how a strap of any kind tears where decoration takes leather from it: plates, lace, studs.

    Source: `across`. Worked: none on a plain strap.
    """
    rows, plates = partial(across, strap), pattern.fittings.plates
    if plates:
        riveted = tuple(
            mark.x + side * one.plate.hole_distance / 2
            for one, mark in zip(
                plates, (mark for mark in pattern.strap.marks if mark.kind == "plate"), strict=True
            )
            for side in (-1, 1)
        )
        tears = say("The strap tears across a rivet hole of the plate")
        yield rows("plate-holes", tears, riveted, max(one.fastener.hole for one in plates))
    laced = lace_stations(pattern.strap.marks)
    if laced:
        yield rows("lace-holes", say("The strap tears across a pair of lace holes"), laced, 2 * LACE_HOLE)
    studs = tuple(dict.fromkeys(mark.x for mark in pattern.strap.marks if mark.kind == "stud"))
    if studs:
        yield rows("stud-holes", say("The strap tears across a stud"), studs, 0.0)


def _seam_modes(pattern: CollarPattern, strap: Strap) -> Iterator[Mode]:
    if sewn := seam_in(pattern.strap.marks):
        half = (sewn.length or 0.0) / 2
        tears, ends = say("The strap tears across a pair of stitches"), (sewn.x - half, sewn.x + half)
        yield across(strap, "stitch-holes", tears, ends, 2 * STITCH_HOLE)
        yield _lining_mode(pattern, sewn)


def _lining_mode(pattern: CollarPattern, sewn: Mark) -> Mode:
    """Tears the lining loose: it takes of the pull what it is of the thickness, by way of the stitches.

    Those of both edges from the middle of what is worn to the hole bring it there.
    """
    layout, fittings = pattern.layout, pattern.fittings
    lining, thread = fittings.lining, fittings.thread
    name = say("The seam lets go of the lining")
    stations = pattern.fit.flat / 2 + layout.fold, layout.target
    if lining is None or thread is None or thread.strength_n is None:
        spool = Input("", mark("Thread"), named("" if thread is None else thread.name))
        return Mode("seam", "gives", name, stations, None, None, "", (spool,), UNKNOWN)
    count = 2 * floor((stations[1] - stations[0]) / stitch_of(sewn))
    share = lining.thickness / fittings.thickness
    load = seam(count, thread.strength_n) / share
    inputs = (
        Input("n", mark("Stitches from the ring to the hole"), named(str(count))),
        load_input("S", mark("Thread breaks at"), thread.strength_n),
        Input("a", mark("Lining's share"), say("{share} %", share=Figure(round(100 * share)))),
    )
    return Mode("seam", "gives", name, stations, load, load, "1.5 n S / a", inputs, SEWN)


def across(strap: Strap, code: str, name: Message, stations: tuple[float, ...], hole: float) -> Mode:
    """Return how a strap tears across holes of a diameter [mm] at stations [mm].

    Source: `holed_section`. Worked: 1 in of 3 mm at 15 N/mm²: 240 to 411 N.
    """
    low, high = holed_section(strap.width, strap.thickness, strap.stress, hole, strap.shares)
    inputs = (*strap.inputs, shares_of(strap))
    return Mode(code, "lets go", name, stations, low, high, "c w t f", inputs, BELTING)


def _fold_modes(pattern: CollarPattern, strap: Strap) -> Iterator[Mode]:
    layout, row, bar = pattern.layout, pattern.fittings.fold_fastener, pattern.fittings.buckle.bar
    # Where the fold would strain the leather too much it is skived, and then that is what carries.
    thickness = min(strap.thickness, bar * STRAIN_MAX / (1 - STRAIN_MAX))
    low, high = fold_round_bar(strap.width, thickness, strap.stress, layout.slot_width)
    yield Mode(
        "fold",
        "lets go",
        say("The fold tears beside the slot"),
        (layout.fold,),
        low,
        high,
        "(w − s) t f … 2 (w − s) t f",
        (
            strap.inputs[0],
            length_input("t", mark("Thickness at the fold"), thickness),
            length_input("s", mark("Slot"), layout.slot_width),
            strap.inputs[2],
        ),
        FOLD,
    )
    # The fold halves the pull: of what its rivets hold the other half stays in the long leg.
    edge = layout.rivets[0] - row.hole / 2
    one = tear_out(edge, strap.thickness, strap.stress)
    yield Mode(
        "fold-tear-out",
        "lets go",
        say("The fold's rivets tear out to the cut end"),
        layout.rivets[:2],
        2 * one,
        4 * one,
        "4 a t · 0.577 f … 8 a t · 0.577 f",
        (length_input("a", mark("Hole's edge to the cut end"), edge), *strap.inputs[1:]),
        SHIGLEY,
    )
    yield held_by("fold-fasteners", say("The fold's rivets or posts let go"), layout.rivets[:2], row, 2)


def _tab_modes(pattern: CollarPattern, strap: Strap) -> Iterator[Mode]:
    layout, row = pattern.layout, pattern.fittings.tab_fastener
    stations = layout.tab_rivets
    low, high = holed_section(strap.width, strap.thickness, strap.stress, row.hole, strap.shares)
    yield Mode(
        "tab-holes",
        "lets go",
        say("The ring tab tears across a rivet hole"),
        stations,
        low,
        2 * high,
        "c w t f … 2 c w t f",
        (*strap.inputs, shares_of(strap)),
        BELTING,
    )
    edge = layout.tab_span[1] - layout.tab_rivets[-1] - row.hole / 2
    one = tear_out(edge, strap.thickness, strap.stress)
    yield Mode(
        "tab-tear-out",
        "lets go",
        say("The ring tab's rivets tear out to its cut end"),
        stations,
        one,
        2 * one,
        "2 a t · 0.577 f … 4 a t · 0.577 f",
        (length_input("a", mark("Hole's edge to the cut end"), edge), *strap.inputs[1:]),
        SHIGLEY,
    )
    cap = pull_through(row.cap, strap.thickness, strap.stress)
    yield Mode(
        "tab-pull-through",
        "lets go",
        say("The ring tab is pulled over the rivets' caps"),
        stations,
        cap,
        2 * cap,
        "0.6 π d t f … 1.2 π d t f",
        (length_input("d", mark("Cap"), row.cap), *strap.inputs[1:]),
        EUROCODE,
    )
    yield held_by("tab-fasteners", say("The ring tab's rivets or posts let go"), stations, row, 1)


def held_by(code: str, name: Message, stations: tuple[float, ...], row: Fastener, times: int) -> Mode:
    """Return how two fasteners let go: at the least one bears all, `times` its load, at the most both alike.

    Source: the supplier's figure. Worked: 400 N each, once: 400 to 800 N.
    """
    load = row.rated_load_n
    inputs: tuple[Input, ...] = (Input("", mark("Rivet or post"), named(row.name)),)
    if load is None:
        return Mode(code, "lets go", name, stations, None, None, "", inputs, UNKNOWN)
    inputs = (*inputs, load_input("F", mark("One of them bears"), load))
    formula = "F … 2 F" if times == 1 else f"{times} F … {2 * times} F"
    return Mode(code, "lets go", name, stations, times * load, 2 * times * load, formula, inputs, SUPPLIER)


def ring_modes(row: Ring | ORing, stations: tuple[float, ...], assumed: Assumptions) -> Iterator[Mode]:
    """Yield how a ring at these stations [mm] gives way and bends.

    Source: Roark for the bend, hinges derived; the supplier's figure where there is one. Worked: 25.4 mm of
    4 mm wire at 200 N/mm²: 581 N draw it out of shape.
    """
    if row.rated_load_n is not None:
        inputs: tuple[Input, ...] = (
            Input("", mark("Ring"), named(row.name)),
            load_input("F", mark("Rated load"), row.rated_load_n),
        )
        load, name = row.rated_load_n, say("The ring gives way")
        yield Mode("ring", "lets go", name, stations, load, load, "F", inputs, SUPPLIER)
        return
    radius = ((row.inside if isinstance(row, ORing) else row.width) + row.wire) / 2
    inputs = (
        length_input("R", mark("Ring's mean radius"), radius),
        length_input("d", mark("Wire"), row.wire),
        stress_input("f", mark("Metal bends at"), assumed.metal_n_mm2),
    )
    pulled = ring_gives_way(radius, row.wire, assumed.metal_n_mm2)
    bent = ring_bends(radius, row.wire, assumed.metal_n_mm2)
    opens, bends = say("The ring is drawn out of shape"), say("The ring begins to bend")
    yield Mode("ring", "lets go", opens, stations, pulled, pulled, "2 f d³ / 3 R", inputs, HINGES)
    yield Mode("ring-bends", "gives", bends, stations, bent, bent, "π² f d³ / 32 R", inputs, ROARK)


def _buckle_modes(pattern: CollarPattern, strap: Strap, assumed: Assumptions) -> Iterator[Mode]:
    row, fold = pattern.fittings.buckle, (pattern.layout.fold,)
    frame = Input("", mark("Buckle"), named(row.name))
    if row.rated_load_n is not None:
        inputs: tuple[Input, ...] = frame, load_input("F", mark("Rated load"), row.rated_load_n)
        load, name = row.rated_load_n, say("The buckle gives way")
        yield Mode("buckle", "lets go", name, fold, load, load, "F", inputs, SUPPLIER)
    else:
        name = say("The buckle's frame or prong gives way")
        yield Mode("buckle", "lets go", name, fold, None, None, "", (frame,), UNKNOWN)
        length = row.width + row.bar
        inputs = (
            length_input("L", mark("Bar's length"), length),
            length_input("d", mark("Bar"), row.bar),
            stress_input("f", mark("Metal bends at"), assumed.metal_n_mm2),
        )
        folds = pin_gives_way(length, row.bar, assumed.metal_n_mm2)
        bent = pin_bends(length, row.bar, assumed.metal_n_mm2)
        opens, bends = say("The buckle's bar folds"), say("The buckle's bar begins to bend")
        yield Mode("bar", "lets go", opens, fold, folds, folds, "4 f d³ / 3 L", inputs, BAR_HINGE)
        yield Mode("bar-bends", "gives", bends, fold, bent, bent, "π f d³ / 4 L", inputs, BAR)
    yield from _prong_modes(pattern, strap)


def _prong_modes(pattern: CollarPattern, strap: Strap) -> Iterator[Mode]:
    layout, prong = pattern.layout, pattern.fittings.buckle.prong
    hole = layout.hole_diameter
    # A prong pulls its hole towards the tip: to the next hole, which is nearer than the tip.
    edge = min(layout.pitch, layout.tip) - hole
    torn = tear_out(edge, strap.thickness, strap.stress)
    yield Mode(
        "hole-tear-out",
        "lets go",
        say("The prong tears from one size hole into the next"),
        layout.holes,
        torn,
        torn,
        "2 a t · 0.577 f",
        (length_input("a", mark("Leather between two holes"), edge), *strap.inputs[1:]),
        SHIGLEY,
    )
    plain = bearing(prong, strap.thickness, strap.stress)
    backed = bearing_backed(
        prong, hole, strap.thickness, strap.stress, min(layout.pitch, layout.tip), strap.width / 2
    )
    yield Mode(
        "hole-stretches",
        "gives",
        say("The size hole in use begins to lengthen"),
        layout.holes,
        min(plain, backed),
        max(plain, backed),
        "d t f … k α d t f",
        (length_input("d", mark("Prong"), prong), length_input("h", mark("Hole"), hole), *strap.inputs[1:]),
        EUROCODE,
    )


def length_input(letter: str, name: str, size: float) -> Input:
    """Return a length [mm] as a figure behind a capacity."""
    return Input(letter, name, say("{size}", size=Exact(size)))


def stress_input(letter: str, name: str, stress: float) -> Input:
    """Return a stress [N/mm²] as a figure behind a capacity."""
    return Input(letter, name, say("{figure} N/mm²", figure=Figure(stress)))


def load_input(letter: str, name: str, load: float) -> Input:
    """Return a load [N] as a figure behind a capacity."""
    return Input(letter, name, say("{figure} N", figure=Figure(load)))


def shares_of(strap: Strap) -> Input:
    """Return what a row of holes leaves of a strap as a figure behind a capacity."""
    low, high = (Figure(100 * share) for share in strap.shares)
    return Input("c", mark("A row of holes leaves"), say("{low} to {high} %", low=low, high=high))
