"""Tapered collars: wide in the middle, narrow at both ends, and what follows from that outline."""

from itertools import pairwise
from math import cos, pi

import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st
from shapely import Point as Spot
from shapely import Polygon

from service.design import CollarPattern, end_templates, make_pattern, weigh
from service.design.taper import LEG_CLEAR, STEEPEST
from service.errors import DesignError, DoesNotFit
from service.geometry import area, bounds, width_at
from service.pricing.quote import blanks_area
from tests.design.makers import attempt, collar, demo, made, marks, patterns, wishes

ENDS = ["english-point", "round", "square"]


def tapered() -> st.SearchStrategy[CollarPattern]:
    """The pattern of any tapered wish that can be made."""
    return patterns(throat=st.floats(16, 90), pitch=st.none() | st.floats(10, 30))


def test_a_straight_collar_is_as_it_was_before_there_was_a_throat() -> None:
    pattern = made()
    assert pattern.spec.throat is None
    assert pattern.layout.swell is None
    assert marks(pattern, "width") == []
    assert bounds(pattern.strap.outline)[3] == pattern.strap.width / 2 == pytest.approx(12.7)


def test_it_widens_from_behind_the_fold_to_before_the_holes_by_half_a_cosine() -> None:
    # Trade handbook, styles (common practice): wide at the throat, cosine-eased to buckle width at both ends.
    pattern = made(throat=45.0)
    layout, swell = pattern.layout, pattern.layout.swell
    assert swell is not None
    assert swell.start == pytest.approx(2 * layout.fold + LEG_CLEAR)
    assert swell.start + swell.end == pytest.approx(2 * layout.ring)
    assert swell.full - swell.start == pytest.approx((swell.end - swell.start) / 3)
    for share in (0.0, 0.25, 0.5, 0.8, 1.0):
        x = swell.start + share * (swell.full - swell.start)
        eased = 25.4 + (45 - 25.4) * (1 - cos(pi * share)) / 2
        assert width_at(x, layout.width, swell) == pytest.approx(eased)
        # Mirrored about the ring, as far as the holes leave room for it.
        assert width_at(2 * layout.ring - x, layout.width, swell) == pytest.approx(eased)


@settings(suppress_health_check=[HealthCheck.filter_too_much])
@given(tapered())
def test_its_outline_is_mirrored_and_true_to_the_cosine(pattern: CollarPattern) -> None:
    outline, swell = pattern.strap.outline, pattern.layout.swell
    assert swell is not None
    assert {(x, -y) for x, y in outline} == set(outline)
    assert bounds(outline) == pytest.approx((0, -swell.widest / 2, pattern.layout.length, swell.widest / 2))
    for n in range(1, 60):
        x = swell.start + (swell.end - swell.start) * n / 60
        edge = width_at(x, pattern.layout.width, swell) / 2
        # Chords leave the curve by at most 0.005 mm, as arcs' chords do.
        assert Polygon(outline).exterior.distance(Spot(x, edge)) < 0.0051


@settings(suppress_health_check=[HealthCheck.filter_too_much])
@given(tapered())
def test_both_ends_keep_the_buckles_width_so_that_end_templates_stay_valid(pattern: CollarPattern) -> None:
    straight = make_pattern(pattern.spec.model_copy(update={"throat": None}), demo())
    layout = pattern.layout
    assert layout.swell is not None
    assert layout.length == straight.layout.length
    assert layout.holes == straight.layout.holes
    ends = [x for x, _ in straight.strap.outline if x < 2 * layout.fold or x > layout.holes[0]]
    kept = [x for x, _ in pattern.strap.outline if x < 2 * layout.fold or x > layout.holes[0]]
    assert kept == ends
    assert layout.swell.start > 2 * layout.fold
    assert layout.swell.end < layout.holes[0] - layout.hole_diameter / 2
    assert end_templates(pattern, "in") == end_templates(straight, "in")


@settings(suppress_health_check=[HealthCheck.filter_too_much])
@given(tapered())
def test_no_edge_is_steeper_than_thirty_degrees_and_grooves_follow_it(pattern: CollarPattern) -> None:
    outline = pattern.strap.outline
    swell = pattern.layout.swell
    assert swell is not None
    eased = [(x, y) for x, y in outline if y > 0 and swell.start <= x <= swell.end]
    for (x1, y1), (x2, y2) in pairwise(eased):
        if x1 != x2:
            assert abs((y2 - y1) / (x2 - x1)) <= STEEPEST + 1e-6
    leather = Polygon(outline)
    insets = [inset for inset in pattern.layout.grooves for _ in (1, -1)]
    for inset, groove in zip(insets, marks(pattern, "groove"), strict=True):
        for point in groove.line[1:-1]:
            assert leather.contains(Spot(point))
            if inset < point[0]:
                assert leather.exterior.distance(Spot(point)) == pytest.approx(inset, abs=0.01)


@settings(suppress_health_check=[HealthCheck.filter_too_much])
@given(tapered())
def test_all_decoration_is_inside_the_leather(pattern: CollarPattern) -> None:
    leather = Polygon(pattern.strap.outline)
    for mark in pattern.strap.marks:
        if mark.kind in {"stud", "lettering"}:
            half = (mark.diameter or mark.height or 0.0) / 2
            assert leather.contains(Spot(mark.x, mark.y + half))
            assert leather.contains(Spot(mark.x, mark.y - half))


def test_mass_and_leather_follow_from_the_outline() -> None:
    straight, wide = made(), made(throat=45.0)
    swell = wide.layout.swell
    assert swell is not None
    # A half cosine has half the area of the rectangle round it: two eases and the plateau.
    more = (45 - 25.4) * ((swell.back - swell.full) + (swell.full - swell.start))
    assert area(wide.strap.outline) - area(straight.strap.outline) == pytest.approx(more, abs=0.5)
    assert weigh(wide).leather - weigh(straight).leather == pytest.approx(more * 3 * 0.95e-3, abs=0.01)
    # It is charged by the rectangle that it is cut from.
    wider = float(blanks_area(wide) - blanks_area(straight)) * 1e6
    assert wider == pytest.approx((45 - 25.4) * wide.layout.length, abs=1.1)


def test_where_the_ring_rests_is_not_changed_by_what_is_even_about_it() -> None:
    # What is added is symmetric about the ring: its moment points at it, so the ring rests nearer to the nape
    # or stays away by more, and never on the other side.
    straight, wide = weigh(made()).rest_deg, weigh(made(throat=60.0)).rest_deg
    assert straight is not None
    assert wide is not None
    assert straight * wide > 0


@pytest.mark.parametrize("end", ENDS)
def test_the_marker_is_told_where_the_width_changes(end: str) -> None:
    pattern = made(throat=45.0, end=end)
    named = [row.name for row in pattern.stations]
    assert named.index("Widens from here") < named.index("Widest from here") < named.index("Ring")
    assert named.index("Ring") < named.index("Widest to here") < named.index("Width of the ends again")


@pytest.mark.parametrize(
    ("wish", "field"),
    [
        ({"throat": 20.0}, "throat"),
        ({"throat": 25.9}, "throat"),
        ({"throat": 140.0, "neck": 300.0}, "throat"),
        ({"throat": 40.0, "keepers": "sliding"}, "keepers"),
        ({"throat": 40.0, "border": "rope"}, "border"),
        ({"throat": 40.0, "neck": 200.0, "width": 15.875, "holes": 3, "pitch": 60.0}, "throat"),
    ],
)
def test_what_has_no_room_is_refused_with_what_would_work(wish: dict[str, object], field: str) -> None:
    with pytest.raises(DoesNotFit) as refused:
        made(**wish)
    assert refused.value.field == field
    assert refused.value.would_work
    for way in refused.value.would_work:
        value = None if way.field == "throat" and not way.value else way.value.removesuffix(" mm")
        make_pattern(collar(**{**wish, way.field: value}), demo())


@given(wishes(throat=st.floats(10, 150)))
def test_every_throat_makes_a_pattern_or_a_refusal_with_a_field(wish: object) -> None:
    found = attempt(wish)  # type: ignore[arg-type]
    if isinstance(found, DesignError):
        assert found.field
        return
    assume(found.layout.swell is not None)
    assert found.strap.width == found.spec.throat
