"""A collar's modes, worked by hand; the weakest named; and ways that were tried."""

from decimal import Decimal
from itertools import pairwise
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.design import CollarPattern, make_pattern
from service.strength import Estimate, Mode, estimate_strength, ratio, ways_to_strengthen
from service.strength.kinds import modes_of
from service.workshop import Assumptions, Workshop
from tests.design.makers import collar, demo, made, only, typed, workshop
from tests.wishes import read_collar

METAL = {"ring", "ring-bends", "bar", "bar-bends", "buckle", "fold-fasteners", "tab-fasteners"}


def estimate(pattern: CollarPattern, shop: Workshop | None = None) -> Estimate:
    return estimate_strength(pattern, shop or demo())


def modes(shop: Workshop | None = None, **changed: Any) -> dict[str, Mode]:  # noqa: ANN401 - any field of a wish
    rows = shop or demo()
    return {mode.code: mode for mode in modes_of(make_pattern(collar(**changed), rows), rows)}


# 1 in of 3 mm leather at 15 N/mm²; rivets of 9 mm caps in 3 mm holes, 12.7 mm from the cut end, 8 mm from the
# tab's; size holes of 4 mm at 25.4 mm for a prong of 3 mm; ring and bar of 4 mm wire at 120 N/mm².
WORKED = {
    "strap": (25.4 * 3 * 15, 25.4 * 3 * 15),
    "size-holes": (0.21 * 1143, 0.36 * 1143),
    "fold-holes": (0.21 * 1143, 0.36 * 1143),
    "ring-holes": (0.21 * 1143, 0.36 * 1143),
    "tab-holes": (0.21 * 1143, 2 * 0.36 * 1143),
    "fold": (21.4 * (8 / 3) * 15, 2 * 21.4 * (8 / 3) * 15),  # skived to 40 % of strain: 0.4 x 4 / 0.6 mm
    "fold-tear-out": (4 * 11.2 * 3 * 0.577 * 15, 8 * 11.2 * 3 * 0.577 * 15),
    "tab-tear-out": (2 * 6.5 * 3 * 0.577 * 15, 4 * 6.5 * 3 * 0.577 * 15),
    "tab-pull-through": (0.6 * 3.14159265 * 9 * 3 * 15, 1.2 * 3.14159265 * 9 * 3 * 15),
    "hole-tear-out": (2 * 21.4 * 3 * 0.577 * 15, 2 * 21.4 * 3 * 0.577 * 15),
    "hole-stretches": (3 * 3 * 15, 2.5 * 3 * 3 * 15),
    "ring": (4 * 1280 / 14.7, 4 * 1280 / 14.7),
    "ring-bends": (120 * 9.8696044 * 64 / (32 * 14.7), 120 * 9.8696044 * 64 / (32 * 14.7)),
    "bar": (8 * 1280 / 29.4, 8 * 1280 / 29.4),
    "bar-bends": (120 * 3.14159265 * 64 / (4 * 29.4), 120 * 3.14159265 * 64 / (4 * 29.4)),
}


def test_every_mode_of_a_plain_collar_is_worked_by_hand() -> None:
    found = modes()
    assert set(found) == {*WORKED, "fold-fasteners", "tab-fasteners", "buckle"}
    for code, (low, high) in WORKED.items():
        assert [found[code].low, found[code].high] == pytest.approx([low, high], rel=1e-4), code


def test_the_weakest_is_named_first_and_it_is_a_row_of_holes() -> None:
    found = estimate(made())
    assert found.weakest.code == "size-holes"
    assert [mode.least for mode in found.breaking] == sorted(mode.least for mode in found.breaking)
    assert found.giving[0].code == "hole-stretches"
    assert ratio(found.weakest, found.by_hand) == pytest.approx(240.03 / 162.8)


def test_what_is_not_known_is_named_and_never_counted_as_strong() -> None:
    found = estimate(made())
    assert {mode.code for mode in found.unknown} == {"fold-fasteners", "tab-fasteners", "buckle"}
    assert found.breaking[-3:] == found.unknown
    assert found.weakest.known
    assert all("unknown" in mode.source for mode in found.unknown)


def test_a_suppliers_figure_takes_the_place_of_an_estimate() -> None:
    shop = workshop(
        rings=only("rings", rated_load_n=900).rings,
        buckles=only("buckles", rated_load_n=800).buckles,
        fasteners=only("fasteners", rated_load_n=50).fasteners,
    )
    found = modes(shop)
    assert (found["ring"].low, found["buckle"].low) == (900, 800)
    assert {"bar", "bar-bends", "ring-bends"}.isdisjoint(found)
    assert (found["fold-fasteners"].low, found["fold-fasteners"].high) == (100, 200)
    assert (found["tab-fasteners"].low, found["tab-fasteners"].high) == (50, 100)
    best = estimate(make_pattern(collar(), shop), shop)
    assert best.weakest.code == "tab-fasteners"
    assert best.unknown == ()


def test_a_leathers_own_strength_goes_before_the_assumption() -> None:
    own = only("leathers", strength_n_mm2=30)
    assert modes(own)["strap"].low == pytest.approx(2 * 1143)
    assumed = workshop(assumptions=Assumptions(leather_n_mm2=30))
    assert modes(assumed)["strap"].low == pytest.approx(2 * 1143)
    assert modes(assumed)["ring"].low == modes()["ring"].low


def test_studs_are_a_row_of_holes_too() -> None:
    assert "stud-holes" not in modes()
    studded = modes(studs=50.8)["stud-holes"]
    assert studded.low == pytest.approx(240.03)
    assert len(studded.stations) > 1


def test_modes_stand_where_the_pattern_has_them() -> None:
    pattern, found = made(), modes()
    assert found["size-holes"].stations == pattern.layout.holes
    assert found["fold"].stations == pytest.approx((63.5,))
    assert found["fold-tear-out"].stations == pytest.approx((12.7, 38.1))
    assert found["fold-holes"].stations == pytest.approx((88.9, 114.3))


def test_what_is_asked_of_a_small_dogs_collar_goes_by_its_weight() -> None:
    small = {one.code: one.newtons for one in estimate(typed(weight="5 kg")).demands}
    assert small["peak"] == pytest.approx(1.22 * 5 * 9.80665)
    large = {one.code: one.newtons for one in estimate(typed(weight="25 kg")).demands}
    assert large == pytest.approx(
        {"firm": 40, "strong": 70, "jerk": 141, "peak": 162.8, "snatch": 1414.2}, abs=0.1
    )
    assert [one.code for one in estimate(typed()).demands] == ["firm", "strong", "jerk", "peak"]


def test_of_small_dogs_the_jerk_of_a_hand_is_the_greatest_pull_by_hand() -> None:
    assert estimate(typed(weight="5 kg")).by_hand.code == "jerk"
    assert estimate(typed(weight="13 kg")).by_hand.code == "peak"
    assert estimate(typed(weight="25 kg")).by_hand.code == "peak"


@settings(max_examples=30, deadline=None)
@given(thickness=st.floats(1.2, 5.5), more=st.floats(0, 0.5))
def test_a_thicker_strap_is_never_weaker(thickness: float, more: float) -> None:
    fixed = only("fasteners", grip_min=1, grip_max=20, post=None).fasteners
    thin, thick = (
        modes(workshop(leathers=only("leathers", thickness=size).leathers, fasteners=fixed))
        for size in (thickness, thickness + more)
    )
    for code in thin.keys() - METAL:
        assert thick[code].least >= thin[code].least * (1 - 1e-12), code


@pytest.mark.parametrize("finish", ["brass", "nickel"])
def test_a_wider_strap_is_never_weaker_in_its_leather(finish: str) -> None:
    sizes = sorted({row.width for row in demo().buckles if row.finish == finish})
    shop = only("buckles", prong=2.5, bar=4)  # a wider buckle may have a thicker prong, whose holes take more
    found = [modes(shop, width=size, finish=finish, neck=600.0, pitch=25.4) for size in sizes]
    assert len(found) > 3
    for narrow, wide in pairwise(found):
        for code in narrow.keys() - METAL:
            assert wide[code].least >= narrow[code].least * (1 - 1e-12), code


def test_each_way_was_made_and_is_stronger() -> None:
    pattern = made()
    ways = ways_to_strengthen(pattern, demo())
    assert [(way.change.field, way.change.value) for way in ways] == [
        ("width", "30 mm"),
        ("width", "50.8 mm"),
        ("leather", "havana"),
        ("leather", "moss"),
    ]
    for way in ways:
        changed = read_collar(
            {"neck": "19 in", "leather": "chestnut", way.change.field: way.change.value}, demo()
        )
        again = estimate(make_pattern(changed, demo()))
        assert again.weakest == way.weakest
        assert again.weakest.least > estimate(pattern).weakest.least


def test_posts_are_named_only_where_their_figure_is_known() -> None:
    posts = tuple(
        row.model_copy(update={"rated_load_n": 600.0}) if row.kind == "screw-post" else row
        for row in demo().fasteners
    )
    shop = workshop(fasteners=posts)
    assert "fastening" not in [way.change.field for way in ways_to_strengthen(made(), demo())]
    (way,) = [
        way
        for way in ways_to_strengthen(make_pattern(collar(), shop), shop)
        if way.change.field == "fastening"
    ]
    assert (way.change.value, way.unknown) == ("screw-post", 1)


def test_holes_further_apart_are_named_where_the_leather_between_them_is_weakest() -> None:
    shop = workshop(assumptions=Assumptions(holes_low=Decimal(1), holes_high=Decimal(1), metal_n_mm2=2000))
    close = make_pattern(collar(pitch=9.0, holes=4), shop)
    assert estimate(close, shop).weakest.code == "hole-tear-out"
    pitches = [way.change.value for way in ways_to_strengthen(close, shop) if way.change.field == "pitch"]
    assert pitches
    assert float(pitches[0].removesuffix(" mm")) > 9


def test_a_way_that_brings_a_new_warning_is_none() -> None:
    thick = tuple(
        row.model_copy(update={"thickness": 6.0}) if row.code == "moss" else row for row in demo().leathers
    )
    shop = workshop(leathers=thick)  # no rivet closes two plies of 6 mm
    leathers = [
        way.change.value
        for way in ways_to_strengthen(make_pattern(collar(), shop), shop)
        if way.change.field == "leather"
    ]
    assert "moss" not in leathers
    assert "havana" in leathers
