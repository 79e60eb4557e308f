"""A workshop on its way to its first collar: what it lacks, and what it makes when nothing is said."""

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.design import Lack, first_needs, make_pattern, not_ready, usual_choices
from service.errors import DesignRefused, DoesNotFit
from service.workshop import Workshop
from tests.design.makers import demo, workshop
from tests.wishes import read_collar

NOT_NEEDED: dict[str, Any] = dict.fromkeys(("o_rings", "snaps", "studs", "plates"), ())
"""What a first collar can do without."""
EMPTY: dict[str, Any] = dict.fromkeys(("leathers", "finishes", "buckles", "rings", "fasteners"), ())
BRASS = demo().finishes[:1]
INCH = [row for row in demo().buckles if row.finish == "brass" and row.width == 25.4]


def shop(**rows: Any) -> Workshop:  # noqa: ANN401 - any table
    return workshop(**{**EMPTY, **NOT_NEEDED, **rows})


def test_an_empty_workshop_lacks_everything_and_says_so_to_whoever_asks_for_a_collar() -> None:
    lacks = [lack.kind for lack in first_needs(shop())]
    assert lacks == ["leather", "finish", "buckle", "ring", "fastener"]
    with pytest.raises(DesignRefused, match="needs: a leather, a metal finish, a buckle, a ring, a rivet"):
        read_collar({"neck": "19 in"}, shop())
    assert usual_choices(shop()) is None


def test_what_is_there_decides_what_is_lacking_still() -> None:
    begun = shop(leathers=demo().leathers, finishes=BRASS, buckles=INCH)
    assert first_needs(begun) == (Lack("ring", "brass", 25.4), Lack("fastener", "brass"))
    assert "a ring for a strap 1 in (25.4 mm) wide, a rivet or screw post." in str(not_ready(begun))
    rings = [row for row in demo().rings if row.finish == "brass" and row.width == 30.0]
    assert first_needs(shop(finishes=BRASS, rings=rings)) == (
        Lack("leather"),
        Lack("buckle", "brass", 30.0),
        Lack("fastener", "brass"),
    )


def test_a_workshop_of_one_buckle_makes_that_when_nothing_is_said() -> None:
    heel = [row for row in demo().buckles if row.style == "heel-bar" and row.width == 30.0][:1]
    posts = [row for row in demo().fasteners if row.kind == "screw-post"]
    small = workshop(buckles=heel, fasteners=posts)
    assert usual_choices(small) == ("heel-bar", 30.0, "screw-post")
    wish = read_collar({"neck": "19 in"}, small)
    assert (wish.style, wish.width, wish.fastening, wish.finish) == (
        "heel-bar",
        30.0,
        "screw-post",
        heel[0].finish,
    )
    assert make_pattern(wish, small).fittings.buckle == heel[0]


def test_with_hardware_of_25_mm_an_inch_is_still_the_usual_width() -> None:
    metric = [row.model_copy(update={"width": 25.0}) for row in INCH]
    assert usual_choices(workshop(buckles=metric)) == ("centre-bar", 25.4, "rivet")
    assert usual_choices(demo()) == ("centre-bar", 25.4, "rivet")


@given(st.data())
def test_a_workshop_lacks_nothing_exactly_when_it_can_make_a_collar(data: st.DataObject) -> None:
    def some(rows: tuple[Any, ...]) -> list[Any]:
        return data.draw(st.lists(st.sampled_from(rows), max_size=4, unique_by=lambda row: row.code))

    finishes = some(demo().finishes)
    known = {row.code for row in finishes}
    tables = {
        name: [row for row in some(getattr(demo(), name)) if row.finish in known]
        for name in ("buckles", "rings", "fasteners")
    }
    drawn = shop(leathers=some(demo().leathers), finishes=finishes, **tables)
    try:
        make_pattern(read_collar({"neck": "19 in"}, drawn), drawn)
    except DesignRefused:
        assert first_needs(drawn)
    except DoesNotFit:  # all is there, only its holes are too wide for the one width that it comes in
        assert not first_needs(drawn)
    else:
        assert not first_needs(drawn)
