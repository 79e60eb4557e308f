"""Edge grooves: where they run, what they leave for studs and letters, and when they are too many."""

import pytest
from hypothesis import given

from service.design import CollarPattern
from service.design.grooves import COUNTS, MIDDLE, groove_insets
from service.errors import DoesNotFit
from tests.design.makers import made, patterns


def grooves(pattern: CollarPattern) -> list[tuple[float, float, float]]:
    return [(m.x, m.y, m.length or 0.0) for m in pattern.strap.marks if m.kind == "groove"]


def test_one_groove_runs_3_mm_in_along_both_edges_and_off_the_buckle_end() -> None:
    # Common practice: 3 mm in from the edge; it runs off the end rather than round the point.
    pattern = made()
    shoulder = pattern.layout.length - pattern.layout.taper
    upper, lower = grooves(pattern)
    assert upper == pytest.approx((shoulder / 2, 9.7, shoulder))
    assert lower == pytest.approx((shoulder / 2, -9.7, shoulder))


@pytest.mark.parametrize(("count", "insets"), [("none", ()), ("one", (3.0,)), ("two", (3.0, 5.5))])
def test_each_further_groove_runs_further_in(count: str, insets: tuple[float, ...]) -> None:
    assert made(grooves=count).layout.grooves == pytest.approx(insets)


def test_on_a_narrow_strap_the_groove_is_nearer_to_the_edge() -> None:
    assert groove_insets(15.875, "one") == pytest.approx((2.54,))


@given(patterns())
def test_grooves_lie_in_pairs_on_the_strap_and_leave_its_middle(pattern: CollarPattern) -> None:
    ys = sorted(y for _, y, _ in grooves(pattern))
    assert ys == pytest.approx([-y for y in reversed(ys)])
    assert len(ys) == 2 * COUNTS[pattern.spec.grooves]
    assert all(abs(y) < pattern.strap.width / 2 for y in ys)
    if len(ys) > 2:
        assert min(map(abs, ys)) * 2 >= MIDDLE


def test_too_many_grooves_are_refused_with_what_works() -> None:
    with pytest.raises(DoesNotFit) as refused:
        made(width=15.875, grooves="three", neck=300.0)
    assert refused.value.field == "grooves"
    for way in refused.value.would_work:
        assert made(width=15.875, neck=300.0, **{way.field: way.value}) is not None


def test_several_grooves_keep_letters_and_studs_between_them_and_say_what_they_cost() -> None:
    pattern = made(width=38.1, grooves="three", studs=50.8, lettering="REX", neck=600.0)
    clear = pattern.strap.width / 2 - pattern.layout.grooves[-1]
    for mark in pattern.strap.marks:
        if mark.kind in {"stud", "lettering"}:
            assert (mark.diameter or mark.height or 0.0) / 2 < clear
    assert "grooves" in [finding.code for finding in pattern.findings]
    assert "grooves" not in [finding.code for finding in made().findings]
