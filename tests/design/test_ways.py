"""Ways out: each one suggested really leads to a design that can be made."""

import pytest
from hypothesis import given, settings

from service.design import make_pattern, read_collar
from service.design.ways import MOST
from service.errors import DesignError, DesignRefused
from tests.design.makers import demo, typed_wishes


def refused(typed: dict[str, str]) -> DesignError | None:
    try:
        make_pattern(read_collar(typed, demo()), demo())
    except DesignError as problem:
        return problem
    return None


@settings(max_examples=400)
@given(typed_wishes())
def test_every_way_out_leads_to_a_design_that_can_be_made(typed: dict[str, str]) -> None:
    problem = refused(typed)
    if problem is None:
        return
    assert str(problem.message)
    assert problem.field in typed
    fields = [way.field for way in problem.would_work]
    assert problem.field in fields or not fields
    for way in problem.would_work:
        assert str(way.text)
        assert refused(typed | {way.field: way.value}) is None


@pytest.mark.parametrize(
    ("typed", "field", "ways"),
    [
        # The neck is too short for the strap: narrower ones, the nearest first.
        ({"neck": "7 in", "width": "2 in"}, "width", ["25.4 mm", "20 mm", "19.05 mm"]),
        # Screw posts need holes that 5/8 in has no room for.
        (
            {"neck": "19 in", "width": "5/8 in", "fastening": "screw-post"},
            "width",
            ["19.05 mm", "20 mm", "25.4 mm"],
        ),
        # Nothing that can be chosen helps: then it is the neck that should be looked at.
        ({"neck": "6 in"}, "neck", []),
    ],
)
def test_the_nearest_ways_out_come_first(typed: dict[str, str], field: str, ways: list[str]) -> None:
    problem = refused(typed)
    assert problem is not None
    assert problem.field == field
    values = [way.value for way in problem.would_work if way.field == "width"]
    assert values == ways
    assert len(values) <= MOST


@pytest.mark.parametrize(
    "typed",
    [
        {"neck": "12 in", "lettering": "A" * 40},
        {"neck": "19 in", "lettering": "ÉLAN"},
        {"neck": "19 in", "lettering": "É"},
        {"neck": "19 in", "stamp": "12 mm", "lettering": "X", "width": "5/8 in"},
        {"neck": "19 in", "stamp": "7 mm", "lettering": "X"},
        {"neck": "19 in", "pitch": "5/16 in"},
        {"neck": "19 in", "studs": "9 mm"},
        {"neck": "19 in", "holes": "12", "pitch": "60 mm", "lettering": "X", "studs": "2 in"},
        {"neck": "19 in", "finish": "black", "studs": "2 in"},
        {"neck": "19 in", "finish": "black", "fastening": "screw-post"},
    ],
    ids=str,
)
def test_there_is_a_way_out_of_every_ordinary_wish(typed: dict[str, str]) -> None:
    try:
        problem = refused(typed)
    except DesignRefused as unread:
        (problem,) = unread.problems
        assert "works" in str(problem.message)
        return
    assert problem is not None
    assert problem.would_work
