"""How a lead can fail: its straps, their laps, what holds billet and handle, and its snap and ring."""

from collections.abc import Iterator
from math import cos, radians

from service.design import PLAIT, LeadPattern
from service.language import mark
from service.saying import Figure, named, say
from service.strength.modes import (
    SHIGLEY,
    SUPPLIER,
    TRADE,
    UNKNOWN,
    Input,
    Mode,
    Strap,
    across,
    decoration_modes,
    held_by,
    length_input,
    load_input,
    ring_modes,
    strap_of,
)
from service.strength.sections import solid_strap, tear_out
from service.workshop import Assumptions, Fastener

SLANTED = mark("derived: each cord takes its share of the pull, over the cosine of the plait's angle")


def lead_modes(pattern: LeadPattern, assumed: Assumptions) -> Iterator[Mode]:
    """Yield every way in which a lead can fail.

    Source: as each says. Worked: 3/4 in of 3 mm leather at 15 N/mm²: across a rivet hole 180 to 309 N.
    """
    strap, rows = strap_of(pattern, assumed), pattern.fittings
    solid = solid_strap(strap.width, strap.thickness, strap.stress)
    tears = say("The strap tears where it has no hole")
    yield Mode("strap", "lets go", tears, (), solid, solid, "w t f", strap.inputs, TRADE)
    yield across(
        strap,
        "end-holes",
        say("A strap tears across a rivet at billet or handle"),
        (),
        rows.end_fastener.hole,
    )
    yield from _torn_out(strap, "end-tear-out", rows.end_fastener)
    yield held_by(
        "end-fasteners", say("The rivets or posts of billet or handle let go"), (), rows.end_fastener, 2
    )
    if any(run.laps for run in pattern.runs):
        yield across(
            strap, "lap-holes", say("A strap tears across a rivet of a lap"), (), rows.lap_fastener.hole
        )
        yield held_by("lap-fasteners", say("The rivets or posts of a lap let go"), (), rows.lap_fastener, 1)
    if pattern.spec.make == "plaited-handle":
        yield _plait(strap)
    yield from decoration_modes(pattern, strap)
    yield from _snap_modes(pattern)
    if rows.ring is not None:
        yield from ring_modes(rows.ring, (), assumed)


def _plait(strap: Strap) -> Mode:
    """Cords share the pull, each along its own slant; of the handle's two sides the least is one alone."""
    one = solid_strap(strap.width, strap.thickness, strap.stress) * cos(radians(PLAIT))
    name, formula = say("The cords of the plaited handle tear"), "w t f cos α … 2 w t f cos α"
    inputs = (*strap.inputs, Input("α", mark("Angle of the cords"), say("{figure}°", figure=Figure(PLAIT))))
    return Mode("plait", "lets go", name, (), one, 2 * one, formula, inputs, SLANTED)


def _torn_out(strap: Strap, code: str, row: Fastener) -> Iterator[Mode]:
    """Two rivets in a row tear out to the cut end, or both share."""
    edge = 12.7 - row.hole / 2
    one = tear_out(edge, strap.thickness, strap.stress)
    inputs = (length_input("a", mark("Hole's edge to the cut end"), edge), *strap.inputs[1:])
    name, formula = say("The outermost rivet tears out to a cut end"), "2 a t · 0.577 f … 4 a t · 0.577 f"
    yield Mode(code, "lets go", name, (), one, 2 * one, formula, inputs, SHIGLEY)


def _snap_modes(pattern: LeadPattern) -> Iterator[Mode]:
    snap = pattern.fittings.snap
    if snap is None:
        return
    inputs: tuple[Input, ...] = (Input("", mark("Snap"), named(snap.name)),)
    name, load = say("The snap opens or breaks"), snap.rated_load_n
    if load is None:
        yield Mode("snap", "lets go", name, (), None, None, "", inputs, UNKNOWN)
    else:
        inputs = (*inputs, load_input("F", mark("Rated load"), load))
        yield Mode("snap", "lets go", name, (), load, load, "F", inputs, SUPPLIER)
