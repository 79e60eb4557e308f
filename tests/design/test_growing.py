"""A collar for a dog that still grows: holes that reach the neck it will have, and what is said of it."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.design import make_pattern
from service.design.fit import FINGER_WIDTH, TARGET, block_ease, neck_inside
from service.design.layout import TAIL
from service.design.spec import HOLES_MAX
from service.errors import DesignError
from tests.design.makers import IN, collar, demo

GROWING = "growing"


@given(
    neck=st.floats(240, 520),
    growth=st.floats(5, 160),
    fingers=st.sampled_from([1, 2, 3]),
    width=st.sampled_from([15.875, 19.05, 25.4]),
)
def test_its_holes_reach_the_grown_neck_with_the_fingers_wanted(
    neck: float, growth: float, fingers: int, width: float
) -> None:
    wish = collar(neck=neck, adult=neck + growth, measured="tape-snug", fingers=fingers, width=width)
    made = make_pattern(wish, demo())
    assert len(made.fit.holes) <= HOLES_MAX
    assert made.fit.holes[TARGET - 1].ease == pytest.approx(block_ease(neck, FINGER_WIDTH * fingers))
    assert neck_inside(made.fit.holes[-1].inside_girth, fingers) >= neck + growth - 0.01


def test_the_hole_that_is_named_is_the_first_that_fits_the_grown_dog() -> None:
    # By hand: 12 in snug, two fingers; at 1 in apart a neck that grows by 2 in is 2.0 holes further, and the
    # ease of two fingers is a little less on a larger neck (trade.md: 24.25 mm at 350, 17.15 mm at 600).
    made = make_pattern(collar(neck=12 * IN, adult=14 * IN, measured="tape-snug", pitch=IN), demo())
    said = next(one for one in made.findings if one.code == GROWING)
    assert said.severity == "note"
    assert "Hole 4" in said.text.said("imperial")
    assert "14 in" in said.text.said("imperial")
    fits = [neck_inside(hole.inside_girth, 2) for hole in made.fit.holes]
    assert fits[2] < 14 * IN <= fits[3]


def test_a_plain_collar_says_nothing_of_growing() -> None:
    assert GROWING not in {one.code for one in make_pattern(collar(), demo()).findings}


@pytest.mark.parametrize("adult", [400.0, 482.6])
def test_a_grown_neck_that_is_no_larger_is_refused_with_a_way_out(adult: float) -> None:
    with pytest.raises(DesignError, match="larger than it is now") as refused:
        make_pattern(collar(measured="tape-snug", adult=adult), demo())
    assert refused.value.field == "adult"
    assert [(way.field, way.value) for way in refused.value.would_work] == [("adult", "")]


def test_what_the_most_holes_do_not_reach_is_refused_with_what_they_do() -> None:
    with pytest.raises(DesignError, match="12 holes, the most there can be, reach a neck of") as refused:
        make_pattern(collar(neck=300, measured="tape-snug", adult=700), demo())
    assert refused.value.field == "adult"


def test_the_tail_of_a_fast_grower_is_warned_of() -> None:
    codes = {
        one.code for one in make_pattern(collar(neck=300, measured="tape-snug", adult=450), demo()).findings
    }
    assert {TAIL, GROWING} <= codes


def test_holes_that_were_set_are_kept_and_what_they_do_not_reach_is_said() -> None:
    made = make_pattern(collar(neck=300, measured="tape-snug", adult=450, holes=5, pitch=IN / 2), demo())
    assert len(made.layout.holes) == 5
    said = next(one for one in made.findings if one.code == GROWING)
    assert said.severity == "advice"
    assert [(way.field, way.value) for way in said.suggestions] == [("holes", "auto")]
