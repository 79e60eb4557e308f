"""Measures of polygons, compared with Shapely's."""

from math import cos, pi, sin

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import Polygon

from service.geometry import Point, area, bounds


@st.composite
def stars(draw: st.DrawFn) -> list[Point]:
    """A closed polygon that never crosses itself: corners at growing angles, some far out and some near."""
    radii = draw(st.lists(st.floats(1, 90), min_size=3, max_size=12))
    steps = len(radii)
    return [(r * cos(2 * pi * i / steps), r * sin(2 * pi * i / steps)) for i, r in enumerate(radii)]


@given(stars())
def test_area_and_bounds_are_shapelys(star: list[Point]) -> None:
    polygon = Polygon(star)
    assert area(star) == pytest.approx(polygon.area)
    assert area(star[::-1]) == pytest.approx(-polygon.area)
    assert bounds(star) == polygon.bounds


def test_a_corner_given_twice_changes_nothing() -> None:
    doubled: list[Point] = [(0, 0), (2, 0), (2, 0), (2, 3), (0, 3)]
    assert area(doubled) == 6
