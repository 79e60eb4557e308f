"""End templates against whole straps: laid on their lines, they mark every hole where the pattern has it."""

from itertools import pairwise

import pytest

from service.design import end_templates, make_pattern
from tests.makers import collar, pattern, workshop

DESIGNS = [
    {},
    {"width": "5/8 in", "end": "square"},
    {"width": "2 in", "style": "heel-bar"},
    {"measured": "tape-snug", "fingers": "3"},
    {"measured": "tape-two-fingers", "holes": "8", "pitch": "3/4 in"},
]
NECKS = (9, 11.5, 14, 16, 19, 26, 32)


@pytest.mark.parametrize("typed", DESIGNS, ids=str)
def test_the_chart_says_what_the_pattern_of_each_neck_is(typed: dict[str, str]) -> None:
    chart = {round(row.neck, 6): row for row in end_templates(pattern(**typed), "in").chart}
    for neck in NECKS:
        row = chart.get(round(neck * 25.4, 6))
        if row is None:
            continue
        layout = make_pattern(collar(**{**typed, "neck": f"{neck} in"}), workshop()).layout
        said = row.length, row.ring, row.holes, row.pitch
        assert said == pytest.approx((layout.length, layout.ring, len(layout.holes), layout.pitch))
    assert len(chart) > 50


@pytest.mark.parametrize(("flat_in", "blank_in"), [(14, 22.5), (19, 27.5)])
def test_blanks_are_those_of_common_practice(flat_in: float, blank_in: float) -> None:
    # Common practice at 1 in wide, six holes 1 in apart: the flat distance + 8 1/2 in.
    made = end_templates(pattern(holes="6", pitch="1 in"), "in")
    (row,) = (row for row in made.chart if row.neck == pytest.approx(flat_in * 25.4))
    assert row.length == pytest.approx(blank_in * 25.4)


@pytest.mark.parametrize("typed", DESIGNS, ids=str)
@pytest.mark.parametrize("neck", ["14 in", "19 in", "26 in"])
def test_both_ends_laid_on_their_lines_mark_the_strap(typed: dict[str, str], neck: str) -> None:
    made = end_templates(pattern(**typed), "in")
    strap = make_pattern(collar(**{**typed, "neck": neck}), workshop())
    layout = strap.layout
    at = {(one.kind, round(one.x, 6)) for one in strap.strap.marks}
    assert {(one.kind, round(one.x, 6)) for one in made.buckle.marks} <= at
    assert made.buckle.length >= layout.rivets[-1] + 12
    (tip,) = (one for one in made.tips if one.pitch == layout.pitch)
    assert len(layout.holes) in tip.counts
    start = layout.length - tip.part.length
    holes = [start + one.x for one in tip.part.marks[: len(layout.holes)]]
    assert holes == pytest.approx(layout.holes[::-1][: len(holes)])
    assert len(layout.holes) - len(holes) <= tip.left


def test_lines_are_found_on_any_rule_and_templates_on_one_sheet() -> None:
    for typed in (*DESIGNS, {"holes": "12", "pitch": "2 in"}, {"width": "2 in", "holes": "12"}):
        made = end_templates(pattern(neck="30 in", **typed), "cm")
        for part in (made.buckle, *(tip.part for tip in made.tips)):
            assert part.length % 10 == 0
            assert part.length <= 250


def test_a_chart_in_centimetres_goes_up_by_one() -> None:
    chart = end_templates(pattern(), "cm").chart
    steps = {round(after.neck - before.neck, 6) for before, after in pairwise(chart)}
    assert steps == {10.0}


def test_a_tail_that_reaches_the_ring_is_told() -> None:
    chart = end_templates(pattern(holes="6", pitch="1 in"), "in").chart
    told = {row.neck for row in chart if row.reaches_ring}
    for row in chart:
        said = make_pattern(collar(neck=f"{row.neck / 25.4} in", holes="6", pitch="1 in"), workshop())
        assert (row.neck in told) == any(one.code == "tail" for one in said.findings)
