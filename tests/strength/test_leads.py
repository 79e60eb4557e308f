"""How a lead fails, worked by hand from the same formulas as a collar's; what isn't known is never strong."""

from math import cos, radians
from typing import Any

import pytest

from service.strength import Mode, estimate_strength
from service.strength.kinds import modes_of
from service.workshop import Workshop
from tests.design.makers import demo, only
from tests.design.test_leads import made, shoulders


def modes(shop: Workshop | None = None, **changed: Any) -> dict[str, Mode]:  # noqa: ANN401 - any field of a wish
    return {mode.code: mode for mode in modes_of(made(shop, **changed), shop or demo())}


# 3/4 in of 3 mm leather at 15 N/mm² (the trade's minimum for cattle leather above 1.25 mm); 3 mm holes
# 12.7 mm from the cut end; a row of holes leaves 0.21 to 0.36 of the solid strap (old belting practice).
SOLID = 19.05 * 3 * 15
WORKED = {
    "strap": (SOLID, SOLID),
    "end-holes": (0.21 * SOLID, 0.36 * SOLID),
    "end-tear-out": (2 * 11.2 * 3 * 0.577 * 15, 4 * 11.2 * 3 * 0.577 * 15),
}


@pytest.mark.parametrize("code", WORKED)
def test_modes_are_as_worked_by_hand(code: str) -> None:
    mode = modes()[code]
    assert (mode.low, mode.high) == pytest.approx(WORKED[code], rel=1e-6)


def test_cords_of_a_plait_bear_what_is_left_along_their_slant() -> None:
    # Statics: n cords of width w/n at an angle a bear n (w/n) t f cos a along the handle.
    mode = modes(make="plaited-handle")["plait"]
    assert (mode.low, mode.high) == pytest.approx((SOLID * cos(radians(35)), 2 * SOLID * cos(radians(35))))
    assert "plait" not in modes()


def test_laps_are_judged_where_there_are_any() -> None:
    assert "lap-holes" not in modes()
    assert modes(shoulders(), length=1460.5)["lap-holes"].low == pytest.approx(0.21 * SOLID)


def test_a_snap_bears_what_its_supplier_states_or_is_named_as_unknown() -> None:
    assert modes(only("snaps", rated_load_n=1900))["snap"].low == 1900
    unknown = estimate_strength(made(only("snaps", rated_load_n=None)), demo()).unknown
    assert "snap" in {mode.code for mode in unknown}


def test_the_ring_of_a_slip_lead_bends_by_roark() -> None:
    # Roark, circular ring: yields at f pi^2 d^3 / (32 R); R is half the opening and half the wire.
    mode = modes(make="slip")["ring-bends"]
    assert mode.low == pytest.approx(120 * 9.8696044 * 4**3 / (32 * 14.7), rel=1e-6)
