"""Outlines of straps, compared with the same shapes built by Shapely, the reference library."""

from math import hypot, pi

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import LinearRing, Polygon, box
from shapely import Point as Spot
from shapely.affinity import translate
from shapely.geometry.base import BaseGeometry

from service.geometry import End, area, end_bends, end_radius, end_taper, rectangle, strap_outline

ENDS: tuple[End, ...] = ("english-point", "round", "square")
CHORD = 0.005  # mm: how far a chord may leave its arc

ends = st.sampled_from(ENDS)
straps = st.tuples(st.floats(200, 1500), st.floats(8, 80))


def disc(x: float, y: float, radius: float) -> BaseGeometry:
    return Spot(x, y).buffer(radius, quad_segs=2000)


def reference(length: float, width: float, end: End) -> BaseGeometry:
    """The strap as its maker would draw it, with a ruler and compasses."""
    half = width / 2
    if end == "round":
        return box(0, -half, length - half, half).union(disc(length - half, 0, half))
    if end == "square":
        clip = width / 4
        straight = box(0, -half, length, half)
        corner = Polygon([(length - clip, half), (length, half), (length, half - clip)])
        return straight - corner - Polygon([(x, -y) for x, y in corner.exterior.coords])
    # Two arcs of radius (w² + (w/2)²) / w = 1.25 w, round centres square to where they leave the edges.
    radius, start = 1.25 * width, length - width
    lens = disc(start, half - radius, radius) & disc(start, radius - half, radius)
    return box(0, -half, start, half) | (lens & box(start, -half, length, half))


def flipped(outline: tuple[tuple[float, float], ...]) -> set[tuple[float, float]]:
    return {(x, -y) for x, y in outline}


@given(straps, ends)
def test_an_outline_is_the_shape_that_ruler_and_compasses_draw(strap: tuple[float, float], end: End) -> None:
    length, width = strap
    drawn, ideal = Polygon(strap_outline(length, width, end)), reference(length, width, end)
    assert drawn.is_valid
    assert (drawn ^ ideal).area <= CHORD * ideal.length
    assert drawn.hausdorff_distance(ideal) <= 2 * CHORD


@given(straps, ends)
def test_an_outline_is_the_same_on_both_sides_of_the_centre_line_to_the_last_bit(
    strap: tuple[float, float], end: End
) -> None:
    outline = strap_outline(*strap, end)
    assert flipped(outline) == set(outline)


@given(straps, ends)
def test_an_outline_is_a_simple_ring_counter_clockwise_without_doubled_corners(
    strap: tuple[float, float], end: End
) -> None:
    outline = strap_outline(*strap, end)
    ring = LinearRing(outline)
    assert ring.is_simple
    assert ring.is_ccw
    assert len(set(outline)) == len(outline)


@given(straps, ends)
def test_an_outline_is_as_long_and_as_wide_as_the_blank(strap: tuple[float, float], end: End) -> None:
    length, width = strap
    assert Polygon(strap_outline(length, width, end)).bounds == (0, -width / 2, length, width / 2)


def test_the_tip_of_a_point_and_of_a_round_end_is_on_the_centre_line() -> None:
    for end in ("english-point", "round"):
        assert (500.0, 0.0) in strap_outline(500.0, 25.4, end)


def test_a_square_end_is_clipped_by_a_quarter_of_the_width_at_45_degrees() -> None:
    corners = set(strap_outline(500.0, 40.0, "square"))
    assert corners == {(0, 20), (0, -20), (490, -20), (500, -10), (500, 10), (490, 20)}


@pytest.mark.parametrize("end", ENDS)
def test_outlines_differ_only_by_their_straight_run_when_the_neck_changes(end: End) -> None:
    short, long = strap_outline(500.0, 25.4, end), strap_outline(600.0, 25.4, end)
    moved = translate(Polygon(short), xoff=100.0) | box(0, -12.7, 200, 12.7)
    assert (moved ^ Polygon(long)).area < 1e-6


def test_tapers_are_those_of_the_trade() -> None:
    # Common practice: a point as long as the strap is wide, a round end a half circle.
    assert end_taper("english-point", 25.4) == 25.4
    assert end_taper("round", 25.4) == 12.7
    assert end_radius("english-point", 25.4) == pytest.approx(31.75)  # 1 1/4 in on a 1 in strap
    assert end_radius("round", 25.4) == pytest.approx(12.7)


@given(st.floats(8, 80), st.sampled_from(["english-point", "round"]), st.floats(0, 0.9))
def test_bends_are_arcs_about_one_middle_however_far_inside_the_edge(
    width: float, end: End, share: float
) -> None:
    inset = share * width / 2
    half, radius = width / 2 - inset, end_radius(end, width) - inset
    (hx, hy), (nx, ny), (tip, nought), *_, (x, y) = bends = end_bends(radius, half)
    assert (nought, x, y) == (0.0, 0.0, half)
    assert [(x, -y) for x, y in reversed(bends[:5])] == list(bends[:5])
    # Bernstein's polynomials; the arc's middle is a radius from the edge, square to it.
    for t in (0.0, 0.2, 0.4, 0.5, 0.7, 0.9, 1.0):
        weights = (1 - t) ** 3, 3 * t * (1 - t) ** 2, 3 * t * t * (1 - t), t**3
        at = [
            sum(w * c for w, c in zip(weights, cs, strict=True))
            for cs in ((0, hx, nx, tip), (-half, hy, ny, 0))
        ]
        assert hypot(at[0], at[1] - (radius - half)) == pytest.approx(radius, rel=3e-4)


def test_areas_by_formula() -> None:
    assert area(rectangle(50, 20)) == 1000
    half_circle = area(strap_outline(500, 30, "round")) - 485 * 30
    assert half_circle == pytest.approx(pi * 15**2 / 2, rel=5e-4)
    assert area(strap_outline(500, 40, "square")) == pytest.approx(500 * 40 - 10 * 10)


@given(straps)
def test_a_plain_strip_is_shapelys_box(strap: tuple[float, float]) -> None:
    length, width = strap
    assert Polygon(rectangle(length, width)).equals(box(0, -width / 2, length, width / 2))
