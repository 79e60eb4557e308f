"""From the dog to the strap, against tables computed elsewhere, hulls by Shapely and plain geometry."""

from decimal import Decimal
from math import asin, degrees, pi

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import Point, box

from service.design import make_pattern
from service.design.fit import (
    UNCERTAINTY,
    block_ease,
    combined_uncertainty,
    expanded_uncertainty,
    finger_steps,
    fingers_under,
    girth_to_flat,
    lining_adds,
    neck_inside,
    take_up,
)
from service.workshop import Lining
from tests.design.makers import IN, added, collar, demo, made, only, table

EASES = table("two_finger_ease.csv")
CHECKS = {row["id"]: row for row in table("check_values.csv")}

necks = st.floats(100, 900)


def within(check: str) -> object:
    return pytest.approx(float(CHECKS[check]["expected"]), abs=float(CHECKS[check]["abs_tol"]))


# Ease. The table was computed by convex hull, independently; F1 to F3 and B2, B3 are derived.


@pytest.mark.parametrize("row", EASES, ids=lambda row: f"neck {row['neck_mm']}")
def test_ease_for_fingers_is_the_tables(row: dict[str, str]) -> None:
    neck = float(row["neck_mm"])
    assert block_ease(neck, 36, 15) == pytest.approx(float(row["ease_block_w36_h15_mm"]), abs=0.005)
    assert block_ease(neck, 40, 20) == pytest.approx(float(row["ease_block_w40_h20_mm"]), abs=0.005)
    assert block_ease(neck, 0, 15) == pytest.approx(float(row["ease_point_gap_h15_mm"]), abs=0.005)
    assert 2 * pi * 15 == pytest.approx(float(row["ease_concentric_h15_mm"]), abs=0.005)


def test_uncertainties_combine_as_published() -> None:
    # M1, Bell, NPL Good Practice Guide 11 (2001): a string; M2, JCGM 100:2008, annex H.1: a gauge block, nm.
    string, block = combined_uncertainty((2.5, 0.3, 5.8, 0.7)), combined_uncertainty((25, 9.7, 2.9, 16.6))
    assert CHECKS["M1"]["expected"] == f"uc={string:.1f}, U(k=2)={2 * round(string, 1):.1f}"
    assert block == within("M2")


def test_ease_check_values() -> None:
    assert block_ease(350, 0) == within("F1")
    assert block_ease(350, 36) == within("F2")
    # A strap lifted all round is longer than one lifted by fingers on one side.
    assert 2 * pi * 15 == within("F3")
    assert block_ease(350, 36) < 2 * pi * 15


@given(necks, st.floats(5, 60), st.floats(5, 25))
def test_ease_is_what_the_hull_of_neck_and_block_has_more_than_the_neck(
    neck: float, width: float, height: float
) -> None:
    radius = neck / (2 * pi)
    if width / 2 >= radius:
        return  # no dog's neck is narrower than its owner's fingers
    disc = Point(0, 0).buffer(radius, quad_segs=3000)
    block = box(-width / 2, 0, width / 2, radius + height)
    assert block_ease(neck, width, height) == pytest.approx(
        (disc | block).convex_hull.length - neck, abs=0.01
    )


@given(necks)
def test_more_fingers_take_more_room_and_a_larger_neck_less(neck: float) -> None:
    steps = finger_steps(neck)
    assert list(steps) == sorted(steps)
    assert steps[0] == 0
    assert all(larger < step for larger, step in zip(finger_steps(neck + 10)[1:], steps[1:], strict=True))


@given(necks, st.sampled_from([0, 1, 2, 3]))
def test_the_ease_of_so_many_fingers_is_so_many_fingers(neck: float, count: int) -> None:
    steps = finger_steps(neck)
    assert fingers_under(steps[count], steps) == pytest.approx(count)


@given(necks, st.tuples(st.floats(-60, 200), st.floats(-60, 200)).map(sorted))
def test_more_ease_is_never_fewer_fingers(neck: float, eases: list[float]) -> None:
    steps = finger_steps(neck)
    less, more = (fingers_under(ease, steps) for ease in eases)
    assert less <= more
    assert less < 0 or eases[0] > -0.001
    assert less >= 0 or eases[0] < 0


@given(st.floats(116, 950), st.sampled_from([1, 2, 3]))
def test_the_neck_inside_a_girth_has_room_for_the_fingers_again(girth: float, fingers: int) -> None:
    neck = neck_inside(girth, fingers)
    assert neck + block_ease(neck, 18.0 * fingers) == pytest.approx(girth, abs=1e-6)


def test_a_girth_too_small_for_the_fingers_alone_leaves_no_neck() -> None:
    # A string round a block of 54 by 15 mm that stands on a point: 54 + 2 hypot(27, 15) = 115.8 mm.
    assert neck_inside(115.7, 3) == 0
    assert 0 < neck_inside(116, 3) < 5


# The bend. F = G + pi t + q, q = pi (d + t) / 4.


def test_the_strap_is_longer_than_the_girth_by_its_own_thickness_and_the_buckles_take_up() -> None:
    buckle = made().fittings.buckle
    assert (buckle.bar, made().layout.thickness) == (4.0, 3.0)  # what B2 and B3 hold for
    assert girth_to_flat(3, 0) == within("B3")
    # A fold half way round the bar takes twice what the quarter turn at the buckle does.
    assert 2 * take_up(buckle, 3) == within("B2")
    assert added(made()) == pytest.approx(
        float(CHECKS["B3"]["expected"]) + float(CHECKS["B2"]["expected"]) / 2, abs=0.002
    )


def test_padding_keeps_the_strap_at_its_outside_and_the_neck_at_its_inside() -> None:
    # 1 mm of lining on 2 mm of padding are 3 mm between the neck and the strap.
    padded = Lining(
        code="soft", name="Soft", colour="#d8b48a", thickness=1.0, padding=2.0, price_per_m2=Decimal(80)
    )
    assert lining_adds(padded) == within("B4")


def test_leaving_the_bend_out_would_make_the_collar_more_than_half_a_hole_tight() -> None:
    # The handbook's own warning: about 15 mm on 3 mm leather.
    assert added(made()) == pytest.approx(15, abs=0.2)
    assert added(made()) > IN / 2


def test_a_buckle_that_the_maker_has_measured_uses_that_measure() -> None:
    shop = only("buckles", take_up=7.5)
    fit = make_pattern(collar(neck=400, measured="tape-two-fingers"), shop).fit
    assert fit.flat == pytest.approx(400 + 3 * pi + 7.5)
    none = make_pattern(collar(neck=400, measured="tape-two-fingers"), only("buckles", take_up=0.0)).fit
    assert none.flat == pytest.approx(400 + 3 * pi)


# The three ways to measure.


@given(st.floats(180, 900))
def test_an_existing_collar_is_copied_and_nothing_is_added(neck: float) -> None:
    fit = made(neck=neck, measured="existing-collar").fit
    assert fit.flat == pytest.approx(neck)
    assert fit.inside_girth == pytest.approx(neck - added(made()))


@given(st.floats(180, 900))
def test_a_tape_over_two_fingers_is_the_inside_girth(neck: float) -> None:
    fit = made(neck=neck, measured="tape-two-fingers").fit
    assert fit.inside_girth == pytest.approx(neck)
    assert fit.flat == pytest.approx(neck + 3 * pi + pi * 7 / 4)
    assert fit.fingers == pytest.approx(2)
    assert fit.neck + fit.ease == pytest.approx(neck)


@pytest.mark.parametrize("row", [row for row in EASES if float(row["neck_mm"]) >= 200], ids=str)
def test_a_snug_tape_gets_two_fingers_of_ease(row: dict[str, str]) -> None:
    neck, ease = float(row["neck_mm"]), float(row["ease_block_w36_h15_mm"])
    fit = made(neck=neck, measured="tape-snug").fit
    assert fit.neck == neck
    assert fit.ease == pytest.approx(ease, abs=0.005)
    assert fit.inside_girth == pytest.approx(neck + ease, abs=0.005)
    assert fit.flat == pytest.approx(neck + ease + 3 * pi + pi * 7 / 4, abs=0.005)


@given(st.floats(180, 850))
def test_the_same_dog_measured_in_three_ways_gets_the_same_collar(neck: float) -> None:
    snug = made(neck=neck, measured="tape-snug")
    loose = made(neck=snug.fit.inside_girth, measured="tape-two-fingers")
    old = made(neck=snug.fit.flat, measured="existing-collar")
    assert loose.layout.length == pytest.approx(snug.layout.length)
    assert old.layout.length == pytest.approx(snug.layout.length)
    assert loose.fit.neck == pytest.approx(old.fit.neck, abs=1e-6) == pytest.approx(neck, abs=1e-6)


# Every hole.


@given(st.floats(200, 900), st.integers(3, 12), st.floats(8, 40))
def test_every_hole_tells_its_girth_ease_tail_and_where_the_ring_goes(
    flat: float, holes: int, pitch: float
) -> None:
    pattern = made(neck=flat, holes=holes, pitch=pitch)
    layout, fit = pattern.layout, pattern.fit
    for row, x in zip(fit.holes, layout.holes, strict=True):
        assert row.flat == pytest.approx(x - layout.fold)
        assert row.inside_girth == pytest.approx(row.flat - added(pattern))
        assert row.ease == pytest.approx(row.inside_girth - fit.neck)
        from_tip = holes - row.number  # k in the trade's sum: k p + tip
        assert row.tail == pytest.approx(from_tip * pitch + layout.tip)
        # The ring leaves the nape by half the change, and the whole turn is 2 F of both halves.
        assert row.ring_offset_deg == pytest.approx(360 * ((row.number - 2) * pitch) / (2 * flat))
    worn = fit.holes[1]
    assert (fit.flat, fit.inside_girth, fit.ease) == (worn.flat, worn.inside_girth, worn.ease)
    assert worn.ring_offset_deg == pytest.approx(0, abs=1e-9)
    assert fit.holes[0].ring_offset_deg < 0 < fit.holes[-1].ring_offset_deg


def test_one_inch_looser_on_19_in_turns_the_ring_by_nine_and_a_half_degrees() -> None:
    row = made(neck=19 * IN, holes=6, pitch=IN).fit.holes[2]
    assert row.ring_offset_deg == pytest.approx(9.474, abs=0.001)
    # Half an inch along a circle of 19 in, seen from its middle.
    radius = 19 * IN / (2 * pi)
    assert row.ring_offset_deg == pytest.approx(degrees(2 * asin(IN / 4 / radius)), abs=0.02)


# Uncertainty: root-sum-square of standard uncertainties, k = 2 (JCGM 100:2008, 5.1.2).


def test_a_tape_is_good_to_about_8_mm_and_an_old_collar_is_better() -> None:
    for measured in ("tape-two-fingers", "tape-snug"):
        assert expanded_uncertainty(measured) == pytest.approx(8, abs=0.3)
        assert made(neck=400, measured=measured).fit.uncertainty == expanded_uncertainty(measured)
    assert expanded_uncertainty("existing-collar") < expanded_uncertainty("tape-snug")
    for parts in UNCERTAINTY.values():
        assert max(parts) < sum(u * u for u in parts) ** 0.5 < sum(parts)


def test_the_demo_leather_is_the_one_these_sums_are_made_for() -> None:
    assert demo().leathers[0].thickness == 3.0
