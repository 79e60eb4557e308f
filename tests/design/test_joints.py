"""Joints: their plies, stacks and stations, what is said of them, and of a stack that nothing closes."""

from itertools import product
from typing import get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.design import CollarPattern, Joint, joint_notes, make_pattern
from service.design.joints import PROUD_MAX, PROUD_MIN, grip_finding, joints_of, proud, skive_to
from service.units import IN
from service.workshop import Fastener, Fastening
from tests.design.makers import codes, collar, demo, made, marks, only, patterns, text_of, workshop

SHOP = demo()
RIVETS = [row for row in SHOP.fasteners if row.finish == "brass" and row.kind == "rivet"]


def rivet(low: float, high: float, post: float | None = None) -> Fastener:
    changed = {"code": f"rivet-{low:g}", "grip_min": low, "grip_max": high, "post": post}
    return RIVETS[0].model_copy(update=changed)


def held(stack: float, row: Fastener, place: str = "fold") -> Joint:
    """A joint of two plies, as the engine makes it."""
    return Joint("Joint", place, (10.0,), 2, stack, row, 1, proud(row, stack), skive_to(row, 2, stack))


# Where they are.


def test_the_joints_of_a_heel_bar_collar_are_in_the_order_of_its_strap() -> None:
    pattern = made(style="heel-bar")
    # Common practice: 1/2 in to the first rivet, 1 in to the next, fold at 2 1/2 in, the other leg mirrored.
    assert [(row.name, row.plies, row.quantity) for row in pattern.joints] == [
        ("Fold, outer", 2, 1),
        ("Fold, inner", 2, 1),
        ("Ring tab", 2, 2),
        ("Keeper lap", 2, 0),
    ]
    outer, inner, tab, keeper = pattern.joints
    assert outer.stations == pytest.approx((12.7, 114.3))
    assert inner.stations == pytest.approx((38.1, 88.9))
    assert sum(tab.stations) / 2 == pytest.approx(pattern.layout.ring)
    assert keeper.stations == (pattern.layout.keeper,)
    assert (keeper.fastener, keeper.closing) == (None, "sewn, or glued and riveted")


def test_a_centre_bar_collar_has_no_joint_of_a_keeper() -> None:
    assert [row.place for row in made().joints] == ["fold", "fold", "ring tab"]


@given(patterns())
def test_every_rivet_hole_of_the_strap_belongs_to_one_joint(pattern: CollarPattern) -> None:
    holes = sorted(mark.x for mark in marks(pattern, "rivet-hole"))
    assert sorted(x for row in pattern.joints if row.fastener for x in row.stations) == holes


@given(patterns())
def test_the_joints_take_as_many_fasteners_as_are_laid_out(pattern: CollarPattern) -> None:
    laid_out = {line.code: line.quantity for line in pattern.hardware}
    wanted: dict[str, int] = {}
    for row in pattern.joints:
        if row.fastener:
            wanted[row.fastener.code] = wanted.get(row.fastener.code, 0) + row.quantity
    assert {code: laid_out[code] for code in wanted} == wanted


@given(patterns())
def test_a_stack_is_the_sum_of_its_plies(pattern: CollarPattern) -> None:
    gauges = [one.plate.gauge for one in pattern.fittings.plates]
    for row in pattern.joints:
        leather = pattern.strap.thickness
        # A plate lies on one ply; at the fold a lining is one of three; all else is leather on leather.
        plies = leather + gauges.pop(0) if row.name == "Plate" else row.plies * leather
        if row.place == "fold" and pattern.fittings.lining is not None:
            plies = 2 * leather + pattern.fittings.lining.thickness
        assert row.stack == pytest.approx(plies)


@pytest.mark.parametrize("ounces", [7, 8, 9])
def test_two_plies_of_7_to_9_oz_take_a_rivet_of_the_middle_sizes(ounces: int) -> None:
    # Common practice: a leather ounce is 1/64 in; two plies of 7 to 9 oz take a medium double-cap rivet.
    pattern = make_pattern(collar(), only("leathers", thickness=ounces * IN / 64))
    row = pattern.joints[0]
    assert row.stack == pytest.approx(2 * ounces * 0.396875)
    assert row.fastener is not None
    assert row.fastener.code in {"brass-rivet-medium", "brass-rivet-long"}
    assert row.closes


# How far a post stands proud.


@pytest.mark.parametrize(
    ("post", "stack", "stands"), [(8.2, 6.0, 2.2), (8.2, 6.6, 1.6), (8.2, 5.0, 3.2), (None, 6.0, None)]
)
def test_a_post_stands_proud_of_the_stack_by_what_it_is_longer(
    post: float | None, stack: float, stands: float | None
) -> None:
    assert proud(rivet(5.0, 6.6, post), stack) == (None if stands is None else pytest.approx(stands))


@pytest.mark.parametrize(
    ("leather", "fastening"), list(product([row.code for row in SHOP.leathers], get_args(Fastening)))
)
def test_in_every_demo_leather_posts_stand_1_6_to_3_2_mm_proud(leather: str, fastening: str) -> None:
    # Common practice: 1/16 to just under 1/8 in; more and the post leans when set. A screw post isn't set.
    for row in made(leather=leather, fastening=fastening).joints:
        assert row.proud is None if fastening == "screw-post" else PROUD_MIN <= (row.proud or 0) <= PROUD_MAX


def test_a_post_that_stands_too_proud_is_told_with_what_is_right() -> None:
    assert joint_notes([held(6.0, rivet(5.0, 6.6, 10.0))]) == (
        "Fold: 4 mm proud before setting, not 1.6 to 3.2",
    )


# What to skive to.


@pytest.mark.parametrize(
    ("stack", "expected"),
    [(6.0, None), (6.2, None), (6.21, 6.6), (6.6, 6.6), (8.0, 6.6), (2.0, None)],
)
def test_what_is_over_or_may_be_over_the_grip_is_skived_to_it(stack: float, expected: float | None) -> None:
    # Common practice: leather is sold an ounce (1/64 in) wide, 7 to 8 oz being 2.78 to 3.18 mm: half to
    # either side of the middle, twice for two plies, is 0.397 mm.
    assert skive_to(rivet(5.0, 6.6), 2, stack) == expected


def test_each_note_is_said_once_with_the_places_it_is_about() -> None:
    long, short = rivet(6.6, 8.2, 9.8), rivet(5.0, 6.6, 8.2)
    assert joint_notes([held(6.4, short), held(6.4, short), held(6.4, short, "ring tab")]) == (
        "Fold, ring tab: 1.8 mm proud before setting",
        "Fold, ring tab: skive to 6.6 mm if thicker",
    )
    assert joint_notes([held(9.0, long), held(6.0, short, "ring tab")]) == (
        "Fold: skive to 8.2 mm",
        "Ring tab: 2.2 mm proud before setting",
    )
    assert joint_notes([held(6.0, rivet(5.0, 6.6))]) == ()


# A stack that nothing closes.


@given(st.floats(1.2, 6), st.floats(2, 8), st.floats(0, 4))
def test_a_stack_outside_the_grip_is_warned_about_with_the_thickness_that_would_do(
    thickness: float, low: float, spread: float
) -> None:
    row, stack = rivet(low, low + spread), 2 * thickness
    shop, pattern = workshop(fasteners=(row,)), made()
    finding = grip_finding([held(stack, row)], pattern.fittings, shop)
    assert (finding is None) == (low <= stack <= low + spread)
    if finding:
        assert finding.severity == "warning"
        assert ("skive" in str(finding.text)) == (stack > row.grip_max)
        assert ("washer" in str(finding.text)) == (stack < row.grip_min)


def test_the_warning_names_joints_plies_stack_grips_and_the_thickness_to_skive_to() -> None:
    pattern = make_pattern(collar(), workshop(fasteners=(rivet(2.0, 3.0), rivet(3.2, 4.0))))
    assert text_of(pattern, "grip") == (
        "At the fold and the ring tab 2 plies make 6 mm, and the workshop's rivets in solid brass close 2 to"
        " 3 mm and 3.2 to 4 mm: skive to 4 mm in all, 2 mm a ply."
    )


def test_the_warning_names_only_the_joint_that_it_is_about() -> None:
    shop = workshop(fasteners=(rivet(5.0, 6.6), rivet(7.0, 8.0)))
    joints = [held(6.0, shop.fasteners[0]), held(6.9, shop.fasteners[1], "ring tab")]
    finding = grip_finding(joints, made().fittings, shop)
    assert finding is not None
    assert str(finding.text).startswith("At the ring tab 2 plies make 6.9 mm")
    assert "add a washer or leather to bring it to 7 mm" in str(finding.text)


def test_a_joint_that_is_sewn_is_not_warned_about() -> None:
    pattern = made(style="heel-bar")
    (keeper,) = [row for row in joints_of(pattern.layout, pattern.fittings) if row.place == "keeper"]
    assert keeper.closes
    assert "grip" not in codes(pattern)


@pytest.mark.parametrize(("style", "fixed"), [("centre-bar", 0), ("heel-bar", 1)])
def test_a_sliding_keeper_is_one_part_more_with_a_lap_and_no_place_on_the_strap(
    style: str, fixed: int
) -> None:
    plain, more = (made(style=style, keepers=keepers) for keepers in ("fewest", "sliding"))
    assert more.strap == plain.strap
    assert [part.name for part in more.parts[2:]] == ["keeper"] * fixed + ["sliding-keeper"]
    # Common practice: 2 (W + 1) + 2 plies t + 15 mm, round strap and tail: 52.8 + 12 + 15 mm.
    assert more.parts[-1].length == pytest.approx(79.8)
    assert (more.joints[-1].name, more.joints[-1].stations) == ("Sliding keeper lap", ())
    assert more.joints[:-1] == plain.joints
