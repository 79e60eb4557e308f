"""How a limited-slip collar can fail: the strap bears the whole pull, the loop in two legs."""

from collections.abc import Iterator

from service.design import PLATE_RIVET, STRAIN_MAX, SlipPattern
from service.language import mark
from service.saying import say
from service.strength.modes import (
    BELTING,
    SHIGLEY,
    TRADE,
    Input,
    Mode,
    Strap,
    across,
    decoration_modes,
    held_by,
    length_input,
    ring_modes,
    shares_of,
    strap_of,
)
from service.strength.sections import holed_section, solid_strap, tear_out
from service.workshop import Assumptions

FOLD = mark("derived: two legs of the fold; the least if one carries all")
LOOP = mark("derived: two legs of the loop; the least if one carries all")


def slip_modes(pattern: SlipPattern, assumed: Assumptions) -> Iterator[Mode]:
    """Yield every way in which a limited-slip collar can fail.

    Source: as each says. Worked: 1 in of 3 mm leather at 15 N/mm²: a rivet hole of its folded ends 240 to
    411 N.
    """
    strap = strap_of(pattern, assumed)
    yield from _strap_modes(pattern, strap)
    yield from _end_modes(pattern, strap)
    yield from _loop_modes(pattern, strap)
    yield from ring_modes(pattern.fittings.ring, _folds(pattern), assumed)


def _folds(pattern: SlipPattern) -> tuple[float, ...]:
    return tuple(one.x for one in pattern.strap.marks if one.kind == "fold")


def _long_leg(pattern: SlipPattern) -> tuple[float, ...]:
    """The rivet holes through which the strap itself carries on: those past its folds, none of a plate."""
    first, last = _folds(pattern)
    holes = (one for one in pattern.strap.marks if one.kind == "rivet-hole" and one.name != PLATE_RIVET)
    return tuple(one.x for one in holes if first < one.x < last)


def _strap_modes(pattern: SlipPattern, strap: Strap) -> Iterator[Mode]:
    solid = solid_strap(strap.width, strap.thickness, strap.stress)
    tears = say("The strap tears where it has no hole")
    yield Mode("strap", "lets go", tears, (), solid, solid, "w t f", strap.inputs, TRADE)
    name, hole = say("The strap tears across a rivet hole of its ends"), pattern.fittings.fastener.hole
    yield across(strap, "end-holes", name, _long_leg(pattern), hole)
    yield from decoration_modes(pattern, strap)


def _end_modes(pattern: SlipPattern, strap: Strap) -> Iterator[Mode]:
    row, holes = pattern.fittings.fastener, _long_leg(pattern)
    # Where the fold would strain the leather too much it is skived, and then that is what carries.
    thin = min(strap.thickness, pattern.fittings.ring.wire * STRAIN_MAX / (1 - STRAIN_MAX))
    one = solid_strap(strap.width, thin, strap.stress)
    skived = length_input("t", mark("Thickness at the fold"), thin)
    inputs: tuple[Input, ...] = (strap.inputs[0], skived, strap.inputs[2])
    tears = say("A fold tears at its ring")
    yield Mode("fold", "lets go", tears, _folds(pattern), one, 2 * one, "w t f … 2 w t f", inputs, FOLD)
    first = min(mark_.x for mark_ in pattern.strap.marks if mark_.kind == "rivet-hole")
    edge = first - row.hole / 2
    # The fold halves the pull, and two rivets share that.
    out = tear_out(edge, strap.thickness, strap.stress)
    inputs = (length_input("a", mark("Hole's edge to the cut end"), edge), *strap.inputs[1:])
    name, formula = (
        say("The rivets of a folded end tear out to its cut end"),
        "4 a t · 0.577 f … 8 a t · 0.577 f",
    )
    yield Mode("end-tear-out", "lets go", name, holes, 2 * out, 4 * out, formula, inputs, SHIGLEY)
    yield held_by("end-fasteners", say("The rivets or posts of a folded end let go"), holes, row, 2)


def _loop_modes(pattern: SlipPattern, strap: Strap) -> Iterator[Mode]:
    """The lead's ring pulls on both legs of the loop; its lap is in one of them."""
    row = pattern.fittings.fastener
    low, high = holed_section(strap.width, strap.thickness, strap.stress, row.hole, strap.shares)
    inputs: tuple[Input, ...] = (*strap.inputs, shares_of(strap))
    name = say("The loop tears across a rivet hole of its lap")
    yield Mode("loop-holes", "lets go", name, (), low, 2 * high, "c w t f … 2 c w t f", inputs, BELTING)
    edge = min(one.x for one in pattern.loop.marks) - row.hole / 2
    out = tear_out(edge, strap.thickness, strap.stress)
    inputs = (length_input("a", mark("Hole's edge to the cut end"), edge), *strap.inputs[1:])
    name, formula = say("The loop's rivets tear out to its cut end"), "2 a t · 0.577 f … 8 a t · 0.577 f"
    yield Mode("loop-tear-out", "lets go", name, (), out, 4 * out, formula, inputs, LOOP)
    yield held_by("loop-fasteners", say("The loop's rivets or posts let go"), (), row, 2)
