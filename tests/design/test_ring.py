"""The ring in the fold beside the buckle, or opposite it in a folded tab, instead of under one."""

from dataclasses import replace
from math import dist

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import MultiPoint, Point

from service.design import CollarPattern, clear_zones, end_templates, told, weigh
from service.design.layout import END_TO_RIVET, RIVET_PITCH
from service.design.ring import guard_fold
from service.design.ring_tab import TAB_PITCH, folded_run
from service.drawing import preview_svg
from service.errors import DoesNotFit
from service.strength import estimate_strength
from tests.design.makers import collar, demo, made, marks, patterns


def in_fold() -> st.SearchStrategy[CollarPattern]:
    """The pattern of any collar with its ring in the fold that can be made."""
    return patterns(neck=st.floats(200, 915), ring_at=st.just("fold"), style=st.just("centre-bar"))


def test_it_hangs_between_the_rivets_of_the_outer_leg() -> None:
    # Common practice: buckle, rivet, ring, rivet. 63.5 mm to the fold on a 1 in strap; the middle between
    # rivets 12.7 and 38.1 mm from the cut end is mirrored to 127 - 25.4 mm.
    layout = made(ring_at="fold").layout
    assert layout.ring == pytest.approx(127 - 25.4)
    assert layout.ring == pytest.approx((layout.rivets[2] + layout.rivets[3]) / 2)
    assert layout.ring - layout.rivets[2] == pytest.approx(RIVET_PITCH / 2)
    assert END_TO_RIVET < 2 * layout.fold - layout.ring < END_TO_RIVET + RIVET_PITCH


def test_it_needs_no_tab_and_no_rivets_of_its_own() -> None:
    tab, fold = made(), made(ring_at="fold")
    assert [part.name for part in tab.parts] == ["strap", "ring-tab"]
    assert [part.name for part in fold.parts] == ["strap"]
    assert len(marks(tab, "rivet-hole")) == len(marks(fold, "rivet-hole")) + 2
    assert sum(row.quantity for row in fold.hardware if row.kind == "rivet") == 2
    assert [row.place for row in fold.hardware if row.kind == "ring"] == ["fold"]
    assert "Ring tab" not in [joint.name for joint in fold.joints]
    assert [joint.stack for joint in fold.joints] == [6.0, 6.0]
    assert fold.strap.outline == tab.strap.outline


def test_strength_is_that_of_the_strap_and_the_fold_alone() -> None:
    modes = {mode.code for mode in estimate_strength(made(ring_at="fold"), demo()).breaking}
    assert not {code for code in modes if code.startswith("tab") or code == "ring-holes"}
    assert {"fold-holes", "fold", "ring", "size-holes"} <= modes


@given(in_fold())
def test_decoration_has_one_run_from_the_tail_to_the_holes(pattern: CollarPattern) -> None:
    none, run = clear_zones(pattern.layout)
    layout = pattern.layout
    assert none.length == 0
    assert run.start >= max(layout.fold + layout.tail, 2 * layout.fold)
    for mark in pattern.strap.marks:
        if mark.kind in {"stud", "lettering", "plate"}:
            half = (mark.length or mark.diameter or 0.0) / 2
            assert run.start - 1e-6 <= mark.x - half
            assert mark.x + half <= run.end + 1e-6


@given(in_fold())
def test_it_stands_by_the_buckle_on_every_hole(pattern: CollarPattern) -> None:
    # Half a turn less what lies between bar and ring, of the girth that is worn: derived.
    away = pattern.layout.ring - pattern.layout.fold
    for hole in pattern.fit.holes:
        assert hole.ring_offset_deg == pytest.approx(180 - 360 * away / hole.flat)
        assert 0 < hole.ring_offset_deg < 180


def test_with_buckle_and_ring_together_it_comes_to_rest_at_the_throat() -> None:
    # All the metal hangs lowest: the ring comes to rest within 30 degrees of the throat, 180 from the nape.
    rest = weigh(made(ring_at="fold")).rest_deg
    assert rest is not None
    assert abs(rest) > 150
    nape = weigh(made()).rest_deg
    assert nape is not None
    assert abs(nape) < 90


def test_its_place_is_on_the_template_of_the_buckle_end() -> None:
    templates = end_templates(made(ring_at="fold"), "in")
    assert [mark.x for mark in templates.buckle.marks if mark.kind == "ring"] == pytest.approx([101.6])
    assert "ring" not in [mark.kind for mark in end_templates(made(), "in").buckle.marks]
    assert [row.ring for row in templates.chart] == pytest.approx([101.6] * len(templates.chart))


def test_where_it_has_no_room_it_is_refused_with_what_would_work() -> None:
    with pytest.raises(DoesNotFit) as keeper:
        made(ring_at="fold", style="heel-bar")
    assert [way.field for way in keeper.value.would_work] == ["style", "ring_at"]
    rows = made().fittings
    thick = replace(rows, ring=rows.ring.model_copy(update={"wire": 14.0}))
    with pytest.raises(DoesNotFit) as wire:
        guard_fold(collar(ring_at="fold"), thick, RIVET_PITCH)
    assert wire.value.field == "ring_at"
    assert [way.value for way in wire.value.would_work] == ["tab"]


@pytest.mark.parametrize(
    ("wire", "thickness", "reach"), [(4.0, 3.0, 12.7), (3.0, 2.0, 13.5), (5.0, 3.5, 16.0)]
)
def test_a_folded_tab_is_as_long_as_a_string_round_the_bar(
    wire: float, thickness: float, reach: float
) -> None:
    radius = (wire + thickness) / 2
    # The lower leg lies on the strap, the upper one on it: the hull of the bar and both rivets, by shapely.
    lower, upper = (reach, -radius), (reach, (thickness - wire) / 2)
    hull = Point(0, 0).buffer(radius, quad_segs=4000).union(MultiPoint([lower, upper])).convex_hull
    assert sum(folded_run(wire, thickness, reach)) == pytest.approx(
        hull.length - dist(lower, upper), abs=1e-4
    )


def test_a_folded_tab_is_three_plies_riveted_behind_the_ring() -> None:
    plain, pattern = made(), made(ring_at="folded-tab")
    layout, tab = pattern.layout, next(part for part in pattern.parts if part.name == "ring-tab")
    joint = next(one for one in pattern.joints if one.place == "ring tab")
    assert (joint.plies, joint.stack, joint.quantity) == (3, 9.0, 2)
    assert joint.stations == layout.tab_rivets == (layout.ring + 12.7, layout.ring + 12.7 + TAB_PITCH)
    # The ring stays where it was; nothing of its tab is on the side of the tail but what goes round the bar.
    assert layout.ring == plain.layout.ring
    assert layout.tab_span[0] == pytest.approx(layout.ring - 4 / 2 - 3)
    holes = [one.x for one in marks(pattern, "rivet-hole", "ring-tab")]
    lower, upper = folded_run(4.0, 3.0, layout.tab_reach)
    [ring] = [one.x for one in tab.marks if one.kind == "ring"]
    assert ring - holes[1] == pytest.approx(lower)
    assert holes[2] - ring == pytest.approx(upper)
    assert holes[1] - holes[0] == holes[3] - holes[2] == TAB_PITCH
    assert tab.length - holes[-1] == pytest.approx(holes[0])
    assert layout.tab_span[1] - layout.tab_rivets[1] == pytest.approx(holes[0])


def test_a_folded_tab_is_told_drawn_and_weighed_against_strength() -> None:
    plain, pattern = made(), made(ring_at="folded-tab")
    assert "on a folded tab" in " ".join(phrase.said("metric") for phrase in told(pattern).phrases)
    assert preview_svg(pattern, "imperial") != preview_svg(plain, "imperial")
    modes = {mode.code: mode for mode in estimate_strength(pattern, demo()).breaking}
    assert modes["tab-holes"].stations == pattern.layout.tab_rivets
    assert modes["ring-holes"].stations == pattern.layout.tab_rivets
    assert weigh(pattern).leather > weigh(plain).leather
