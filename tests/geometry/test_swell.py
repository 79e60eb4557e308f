"""Straps that widen, and what lies evenly inside an edge."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import Point as Spot
from shapely import Polygon

from service.geometry import (
    End,
    Swell,
    area,
    inside,
    mirrored,
    strap_outline,
    upper_edge,
    width_at,
)

ENDS: tuple[End, ...] = ("english-point", "round", "square")


@pytest.mark.parametrize("end", ENDS)
def test_an_upper_edge_and_its_mirror_image_are_the_strap_outline(end: End) -> None:
    assert mirrored(upper_edge(200, 25.4, end)) == strap_outline(200, 25.4, end)


def test_the_area_of_a_swell_is_that_of_its_plateau_and_half_of_its_eases() -> None:
    # The mean of a half cosine from 0 to 1 is 1/2.
    swell = Swell(30, 60, 80, 120, 45)
    more = area(mirrored(upper_edge(200, 25, "square", swell))) - area(strap_outline(200, 25, "square"))
    assert more == pytest.approx(20 * (20 + 30 / 2 + 40 / 2), abs=0.5)
    assert width_at(45, 25, swell) == pytest.approx(35)
    assert [width_at(x, 25, swell) for x in (30, 120)] == [25, 25]
    assert width_at(70, 25, swell) == 45


def test_inside_a_clipped_end_the_corners_move_to_where_the_moved_sides_cross() -> None:
    # By hand: the slanting side at 45 degrees moves by 2 mm, so its corners by 2 tan 22.5 degrees.
    start, shoulder, tip = inside(((0, 10), (95, 10), (100, 5)), 2)
    assert start == pytest.approx((0, 8))
    assert shoulder == pytest.approx((95 - 2 * 0.41421356, 8))
    assert tip == pytest.approx((98, 5 - 2 * 0.41421356))


@given(
    st.sampled_from(ENDS),
    st.floats(12, 60),
    st.floats(0.5, 4),
    st.floats(2, 60) | st.none(),
)
def test_what_lies_inside_keeps_exactly_its_distance(
    end: End, width: float, by: float, more: float | None
) -> None:
    swell = None if more is None else Swell(40, 140, 180, 280, width + more)
    edge = upper_edge(480, width, end, swell)
    leather, within = Polygon(mirrored(edge)), inside(edge, by)
    assert within[-1][1] >= 0
    for point in within[1:]:
        assert leather.contains(Spot(point))
        assert leather.exterior.distance(Spot(point)) == pytest.approx(by, abs=0.004)
