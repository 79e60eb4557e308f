"""Where everything lies along the strap, against the trade's rules and against plain reckoning."""

from dataclasses import replace
from itertools import pairwise
from typing import get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import MultiPoint, Point, box

from service.design import CollarPattern, make_pattern
from service.design.layout import AUTO_PITCHES, ends_for, guard_taper, keeper_blank
from service.design.ring_tab import tab_blank
from service.errors import DoesNotFit
from service.geometry import End
from service.workshop import Workshop
from tests.design.makers import IN, codes, collar, demo, made, marks, mm, only, table, text_of, workshop

LENGTHS = table("strap_lengths.csv")


# Blank lengths. Published nowhere; common practice of collar makers, and the same sum in other widths.


@pytest.mark.parametrize("row", LENGTHS, ids=lambda row: f"{row['fold_to_hole_in']} at {row['width_in']} in")
def test_a_blank_is_as_long_as_the_trade_cuts_it(row: dict[str, str]) -> None:
    pattern = made(
        neck=mm(row["fold_to_hole_in"]),
        width=mm(row["width_in"]),
        holes=int(row["holes"]),
        pitch=mm(row["pitch_in"]),
    )
    assert pattern.strap.length == pytest.approx(mm(row["blank_in"]), abs=1e-9)
    assert pattern.layout.length == pattern.strap.length


@given(st.floats(180, 915))
def test_an_inch_strap_with_six_holes_an_inch_apart_is_eight_and_a_half_inches_longer_than_the_old_collar(
    flat: float,
) -> None:
    # Common practice.
    assert made(neck=flat, holes=6, pitch=IN).layout.length - flat == pytest.approx(8.5 * IN, abs=1e-9)


def test_the_buckle_end_of_an_inch_strap_has_its_holes_where_the_trade_punches_them() -> None:
    # Common practice, on a 1 in strap: 1/2 in to a rivet, 1 in to the next, 1 in to the fold, slot 1 1/4 in.
    layout = made().layout
    assert layout.rivets == pytest.approx((0.5 * IN, 1.5 * IN, 3.5 * IN, 4.5 * IN))
    assert layout.fold == pytest.approx(2.5 * IN)
    assert layout.slot_length == pytest.approx(1.25 * IN)
    assert layout.length - layout.holes[-1] == pytest.approx(2 * IN)


@pytest.mark.parametrize("width", ["5/8", "3/4", "1", "1 1/4", "1 1/2", "2"])
def test_the_slot_has_a_quarter_inch_of_room_and_is_a_millimetre_wider_than_the_prong(width: str) -> None:
    pattern = made(width=mm(width), neck=500)
    (slot,) = marks(pattern, "slot")
    assert slot.x == pattern.layout.fold
    assert slot.length == pytest.approx(mm(width) + IN / 4)  # common practice
    assert slot.width == pytest.approx(pattern.fittings.buckle.prong + 1)  # derived


# The fold.


@given(
    st.floats(200, 900),
    st.sampled_from([15.875, 20, 25.4, 31.75, 50.8]),
    st.floats(2, 8),
    st.sampled_from([1.2, 3, 6]),
)
def test_the_rivet_holes_of_both_legs_meet_whatever_the_bar_and_the_leather(
    flat: float, width: float, bar: float, thickness: float
) -> None:
    leathers = only("leathers", thickness=thickness).leathers
    shop = workshop(leathers=leathers, buckles=only("buckles", bar=bar).buckles)
    try:
        layout = make_pattern(collar(neck=flat, width=width), shop).layout
    except DoesNotFit as refusal:
        assert refusal.field in {"neck", "width"}  # noqa: PT017 - a neck may be too short for a wide strap
        return
    outer, inner, inner_back, outer_back = layout.rivets
    # Both legs leave the bar alike, so holes meet when they are equally far from the fold along the leather.
    assert layout.fold - inner == pytest.approx(inner_back - layout.fold, abs=1e-9)
    assert layout.fold - outer == pytest.approx(outer_back - layout.fold, abs=1e-9)
    assert 0 < outer < inner < layout.fold < inner_back < outer_back < layout.ring


# Which hole is which. Counted from the wrong end, the collar is four holes too large and slips off.


@given(st.floats(200, 900), st.integers(3, 12), st.floats(8, 60))
def test_the_target_is_the_second_hole_from_the_buckle(flat: float, holes: int, pitch: float) -> None:
    pattern = made(neck=flat, holes=holes, pitch=pitch)
    layout, rows = pattern.layout, pattern.fit.holes
    assert [row.number for row in rows] == list(range(1, holes + 1))
    assert [row.number for row in rows if row.target] == [2]
    assert sorted(layout.holes) == list(layout.holes)  # the first is the nearest to the buckle
    assert layout.holes[1] == layout.target == pytest.approx(layout.fold + flat)
    assert rows[0].inside_girth < rows[1].inside_girth < rows[-1].inside_girth
    assert rows[1].flat == pytest.approx(flat)


def test_one_hole_is_tighter_than_the_target_and_the_others_are_looser() -> None:
    rows = made(neck=19 * IN, holes=6, pitch=IN).fit.holes
    flats = [row.flat / IN for row in rows]
    assert flats == pytest.approx([18, 19, 20, 21, 22, 23])  # common practice: 1 tighter, n - 2 looser


@given(st.floats(200, 900), st.integers(3, 12), st.floats(8, 60))
def test_size_holes_stand_where_the_trade_counts_them_from_the_tip(
    flat: float, holes: int, pitch: float
) -> None:
    layout = made(neck=flat, holes=holes, pitch=pitch).layout
    from_tip = [layout.length - layout.tip - k * pitch for k in range(holes)]
    assert layout.holes == pytest.approx(from_tip[::-1], abs=1e-9)
    assert layout.target == pytest.approx(from_tip[holes - 2], abs=1e-9)


@given(st.tuples(st.floats(200, 900), st.floats(200, 900)).map(sorted), st.integers(3, 12), st.floats(8, 60))
def test_a_longer_neck_never_gets_a_shorter_blank(necks: list[float], holes: int, pitch: float) -> None:
    shorter, longer = (made(neck=neck, holes=holes, pitch=pitch).layout.length for neck in necks)
    assert shorter <= longer


# The ring.


@given(st.floats(200, 900))
def test_the_ring_is_centred_between_fold_and_target(flat: float) -> None:
    layout = made(neck=flat).layout
    (ring,) = marks(made(neck=flat), "ring")
    assert ring.x == layout.ring
    assert layout.ring - layout.fold == pytest.approx(layout.target - layout.ring, abs=1e-9)


def test_the_ring_tab_is_riveted_the_same_way_on_both_sides_and_clear_of_the_folded_leg() -> None:
    pattern = made()
    before, after = marks(pattern, "rivet-hole")[4:]
    ring = pattern.layout.ring
    assert ring - before.x == pytest.approx(after.x - ring)
    assert ring - pattern.layout.tab_half >= 2 * pattern.layout.fold


@pytest.mark.parametrize(
    ("wire", "thickness", "reach"), [(4, 3, 12.7), (3, 1.2, 12.7), (5.5, 6, 20), (2, 6, 14)]
)
def test_a_ring_tab_is_as_long_as_a_string_pulled_over_the_bar(
    wire: float, thickness: float, reach: float
) -> None:
    # The bar lies on the strap, so its middle is wire/2 up; the tab runs thickness/2 outside the bar,
    # and as much above the strap at the rivets. The hull of bar and rivets, less its base, is the string.
    bar = Point(0, wire / 2).buffer((wire + thickness) / 2, quad_segs=4000)
    rivets = MultiPoint([(-reach, thickness / 2), (reach, thickness / 2)])
    above = bar & box(-100, thickness / 2, 100, 100)
    string = (above | rivets).convex_hull.length - 2 * reach
    assert tab_blank(wire, thickness, reach, 8) == pytest.approx(string + 2 * 8, abs=1e-3)


def test_the_tabs_holes_are_at_the_same_distance_from_its_ends_as_on_the_strap() -> None:
    layout = made().layout
    first, last = marks(made(), "rivet-hole", "ring-tab")
    (tab,) = (part for part in made().parts if part.name == "ring-tab")
    assert first.x == pytest.approx(tab.length - last.x) == pytest.approx(layout.tab_half - layout.tab_reach)
    assert tab.length > 2 * layout.tab_half  # it has to climb over the bar


def test_a_tab_rivet_keeps_two_hole_diameters_to_the_tabs_cut_end() -> None:
    shop = only("fasteners", hole=6.0)
    pattern = make_pattern(collar(width=40, neck=500), shop)
    assert pattern.layout.tab_half - pattern.layout.tab_reach == pytest.approx(2 * 6.0)


# The keeper.


@pytest.mark.parametrize("width", ["3/4", "1", "1 1/2"])
def test_a_heel_bar_collar_has_a_fixed_keeper_between_its_rivet_pairs(width: str) -> None:
    pattern = made(width=mm(width), style="heel-bar", neck=500)
    (mark,) = marks(pattern, "keeper")
    _, _, inner_back, outer_back = pattern.layout.rivets
    cap = pattern.fittings.fold_fastener.cap
    assert mark.length is not None
    assert inner_back + cap / 2 < mark.x - mark.length / 2
    assert mark.x + mark.length / 2 < outer_back - cap / 2
    (part,) = (part for part in pattern.parts if part.name == "keeper")
    # Common practice: 2 (W + 1) + 2 (plies t) + 15 mm of lap; it holds both legs and the tail.
    assert part.length == pytest.approx(2 * (mm(width) + 1) + 2 * 3 * 3.0 + 15)
    assert part.length == keeper_blank(mm(width), 3.0)
    (lap,) = part.marks
    assert lap.kind == "lap"
    assert (lap.x, lap.length) == pytest.approx((part.length - 15, 15))


def test_a_centre_bar_collar_needs_no_keeper() -> None:
    pattern = made(style="centre-bar")
    assert [part.name for part in pattern.parts] == ["strap", "ring-tab"]
    assert marks(pattern, "keeper") == []
    assert pattern.layout.keeper is None


# The tail guard: on the tightest hole the tail ends 10 mm before the ring tab.


def clearance(pattern: CollarPattern) -> float:
    """From where the tail ends on the tightest hole to where the ring tab begins [mm]."""
    layout = pattern.layout
    tail = (len(layout.holes) - 1) * layout.pitch + layout.tip
    return (layout.ring - layout.tab_half) - (layout.fold + tail)


@given(st.floats(180, 915), st.sampled_from([15.875, 19.05, 25.4]))
def test_on_auto_the_widest_pitch_is_taken_whose_tail_ends_before_the_ring_tab(
    flat: float, width: float
) -> None:
    pattern = made(neck=flat, width=width)
    layout = pattern.layout
    plans = [(6, 25.4), (6, 19.05), (6, 12.7), (5, 12.7)]  # common practice: pitch first, then one hole less
    room = flat / 2 - layout.tab_half - 10
    fitting = [(n, p) for n, p in plans if (n - 1) * p + 2 * width <= room]
    assert (len(layout.holes), layout.pitch) == (fitting or plans[-1:])[0]
    assert ("tail" in codes(pattern)) == (not fitting)
    assert ("holes-chosen" in codes(pattern)) == (bool(fitting) and fitting[0] != plans[0])
    if fitting:
        assert clearance(pattern) >= 10 - 1e-9


@pytest.mark.parametrize(
    ("holes", "pitch", "fewer", "closer"),
    [(6, 25.4, 6, 19.05), (6, 19.05, 6, 12.7), (6, 12.7, 5, 12.7)],
)
def test_the_choice_changes_exactly_where_the_tail_would_reach_the_ring(
    holes: int, pitch: float, fewer: int, closer: float
) -> None:
    # 1 in strap: tip 50.8 mm, half tab 12.7 + 8 mm.
    flat = 2 * ((holes - 1) * pitch + 50.8 + 20.7 + 10)
    above, below = made(neck=flat + 0.01).layout, made(neck=flat - 0.01).layout
    assert (len(above.holes), above.pitch) == (holes, pitch)
    assert (len(below.holes), below.pitch) == (fewer, closer)


def test_what_was_done_about_the_tail_is_said() -> None:
    assert text_of(made(neck=14 * IN), "holes-chosen").startswith("6 holes at 3/4 in")
    assert "holes-chosen" not in codes(made(neck=19 * IN))


def test_forced_holes_and_pitch_are_kept_and_only_warned_about() -> None:
    pattern = made(neck=14 * IN, holes=6, pitch=IN)
    assert (len(pattern.layout.holes), pattern.layout.pitch) == (6, IN)
    assert clearance(pattern) < 10
    (warning,) = [finding for finding in pattern.findings if finding.code == "tail"]
    assert warning.severity == "warning"
    # Five holes are one pitch too many: 14 in / 2 - 20.7 - 10 - 50.8 mm leave room for three, and no narrower
    # strap is short enough by itself to leave room for five.
    assert [(way.field, way.value) for way in warning.suggestions] == [
        ("pitch", "auto"),
        ("holes", "4"),
        ("pitch", "19.05 mm"),
    ]


def test_a_forced_number_of_holes_still_lets_the_pitch_shrink_and_the_other_way_round() -> None:
    eight = made(neck=19 * IN, holes=8).layout
    assert (len(eight.holes), eight.pitch) == (8, 19.05)
    inch = made(neck=15.6 * IN, pitch=IN).layout
    assert (len(inch.holes), inch.pitch) == (5, IN)


@pytest.mark.parametrize("prong", [2.0, 3.0, 5.0, 6.0])
def test_auto_never_chooses_a_pitch_with_less_than_two_hole_diameters(prong: float) -> None:
    layout = make_pattern(collar(neck=200, width=30), only("buckles", prong=prong)).layout
    assert layout.pitch >= 2 * layout.hole_diameter
    assert layout.pitch in (*AUTO_PITCHES, 2 * layout.hole_diameter)


# The other guards, each on both sides of its limit.


def refusal(shop: Workshop, **wish: object) -> DoesNotFit:
    with pytest.raises(DoesNotFit) as caught:
        make_pattern(collar(**wish), shop)
    return caught.value


def test_a_size_hole_keeps_two_diameters_to_the_strap_edge() -> None:
    # Common practice. A 25.4 mm strap: holes up to 6.35 mm, prongs up to 5.35 mm.
    assert make_pattern(collar(), only("buckles", prong=5.34)).layout.hole_diameter == pytest.approx(6.34)
    refused = refusal(only("buckles", prong=5.36))
    assert "size holes are 6.4 mm wide" in str(refused.message)
    assert refused.field == "width"


def test_a_rivet_hole_keeps_two_diameters_to_the_strap_edge() -> None:
    # Common practice. 12.7 mm to the edge of a 1 in strap: holes up to 6.35 mm.
    pattern = make_pattern(collar(), only("fasteners", hole=6.34))
    assert {mark.diameter for mark in marks(pattern, "rivet-hole")} == {6.34}
    assert "rivet holes are 6.4 mm wide" in str(refusal(only("fasteners", hole=6.36)).message)


def broad(hole: float) -> Workshop:
    """A workshop with hardware 80 mm wide and rivets that need this hole [mm]."""
    return workshop(
        buckles=only("buckles", width=80.0).buckles,
        rings=only("rings", width=80.0).rings,
        fasteners=only("fasteners", hole=hole).fasteners,
    )


def test_a_rivet_hole_keeps_two_diameters_to_the_cut_end() -> None:
    # Common practice. 12.7 mm to the cut end: holes up to 6.35 mm.
    assert make_pattern(collar(width=80, neck=900), broad(6.34)).layout.rivets[0] == 12.7
    assert "too near the cut end" in str(refusal(broad(6.36), width=80, neck=900).message)


def test_three_millimetres_of_leather_stay_between_slot_and_rivet_hole() -> None:
    # Common practice. From the slot's end to the rivet's centre are 9.525 mm: holes up to 13.05 mm.
    message = "leaves less than 3 mm of leather to the slot"
    refused = refusal(broad(13.06), width=80, neck=900)
    assert message in str(refused.message)
    assert refused.field == "fastening"
    assert message not in str(refusal(broad(13.04), width=80, neck=900).message)
    layout, rivet = made().layout, made().fittings.fold_fastener
    assert layout.fold - layout.slot_length / 2 - layout.rivets[1] - rivet.hole / 2 >= 3


@given(st.sampled_from(get_args(End)), st.sampled_from([15.875, 20.0, 25.4, 50.8]))
def test_the_tip_begins_to_narrow_at_least_six_millimetres_past_the_last_hole(end: End, width: float) -> None:
    # Common practice.
    layout = made(end=end, width=width, neck=600).layout
    assert layout.length - layout.taper - (layout.holes[-1] + layout.hole_diameter / 2) >= 6


def test_a_tip_that_narrows_too_near_the_last_hole_is_refused() -> None:
    # Common practice: 6 mm past the hole's edge. None of today's ends is so long.
    ends = ends_for(collar(), made().fittings)
    limit = 50.8 - 4 / 2 - 6
    guard_taper(replace(ends, taper=limit - 0.001))
    with pytest.raises(DoesNotFit, match="begins to narrow too near the last hole") as caught:
        guard_taper(replace(ends, taper=limit + 0.001))
    assert caught.value.field == "end"


@given(st.floats(150, 300), st.sampled_from([15.875, 25.4, 50.8]))
def test_a_neck_on_which_the_ring_would_sit_on_the_folded_leg_is_refused(flat: float, width: float) -> None:
    fold, half_tab = 12.7 + 25.4 + (width + 6.35) / 2 + 9.525, made(width=width, neck=800).layout.tab_half
    least = 2 * (fold + 3 + half_tab)
    if flat >= least:
        layout = made(neck=flat, width=width).layout
        assert layout.ring - layout.tab_half >= 2 * layout.fold + 3 - 1e-9
    else:
        refused = refusal(demo(), neck=flat, width=width)
        assert any(why in str(refused.message) for why in ("too bulky", "too short"))
        assert all(way.value.endswith(" in") for way in refused.would_work if way.field == "neck")


# Only the middle changes with the neck.


@pytest.mark.parametrize("style", ["centre-bar", "heel-bar"])
def test_both_ends_are_the_same_on_every_neck(style: str) -> None:
    straps = [made(neck=flat, style=style, holes=6, pitch=IN) for flat in (300, 482.6, 900)]
    buckle_ends = {
        tuple(mark for mark in pattern.strap.marks if mark.x <= 2 * pattern.layout.fold) for pattern in straps
    }
    assert len(buckle_ends) == 1
    for first, other in pairwise(straps):
        tips = [
            [mark.x - pattern.layout.length for mark in marks(pattern, "size-hole")]
            for pattern in (first, other)
        ]
        assert tips[0] == pytest.approx(tips[1], abs=1e-9)
    assert len({pattern.parts[1:] for pattern in straps}) == 1
