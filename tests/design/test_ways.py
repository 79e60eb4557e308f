"""Ways out: each one suggested really leads to a design that can be made."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.design import make_pattern, read_wish
from service.design.layout import TAIL
from service.design.pattern import Finding
from service.design.ways import MOST
from service.errors import DesignError, DesignRefused
from tests.design.makers import demo, typed_wishes
from tests.wishes import read_collar


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
    plain = [way for way in problem.would_work if str(way.text).startswith("no extras")]
    assert problem.field in fields or not fields or plain
    for way in problem.would_work:
        assert str(way.text)
        assert refused(typed | way.values) is None


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
        ({"neck": "16 cm"}, "neck", []),
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
    ("typed", "fewest"),
    [
        ({"width": "2 in", "lacing": "whip", "border": "dots"}, 0),
        ({"lacing": "whip", "border": "dots", "throat": "1 3/4 in"}, 1),
        (
            {
                "lacing": "whip",
                "border": "dots",
                "throat": "1 3/4 in",
                "style": "heel-bar",
                "ring_at": "fold",
            },
            2,
        ),
    ],
)
def test_where_no_single_change_helps_the_fewest_together_do(typed: dict[str, str], fewest: int) -> None:
    typed = {"neck": "19 in", **typed}
    problem = refused(typed)
    assert problem is not None
    assert problem.would_work
    assert {len(way.also) for way in problem.would_work} == {fewest}
    for way in problem.would_work:
        assert refused(typed | way.values) is None
        assert all(str(one.text) in str(way.text) for one in way.also)


@pytest.mark.parametrize(
    ("typed", "necks"),
    [
        ({"neck": "16 cm"}, ["16 in"]),
        ({"neck": "16 cm", "weight": "60 lb"}, ["16 in"]),
        ({"neck": "160 mm"}, ["16 in"]),
        ({"neck": "16.5 cm", "width": "2 in"}, ["16.5 in"]),
        ({"neck": "16 cm", "weight": "1 kg"}, []),  # a neck of 16 in is none for a dog as small as that
        ({"neck": "6 1/4 in"}, []),  # 6.25 cm is no neck
        # The lettering doesn't fit, and that the dog is so heavy says why.
        ({"neck": "20 cm", "weight": "40 kg", "lettering": "BISCUIT 0199"}, ["20 in"]),
        ({"neck": "20 cm", "weight": "4 kg", "lettering": "BISCUIT 0199"}, []),
    ],
    ids=str,
)
def test_the_same_number_in_the_other_unit_comes_first_where_the_neck_may_be_wrong(
    typed: dict[str, str], necks: list[str]
) -> None:
    problem = refused(typed)
    assert problem is not None
    assert [way.value for way in problem.would_work if way.field == "neck"] == necks
    assert [way.value for way in problem.would_work[: len(necks)]] == necks


# A tail that reaches the ring tab.


def tail_warnings(typed: dict[str, str]) -> list[Finding]:
    pattern = make_pattern(read_collar(typed, demo()), demo())
    return [finding for finding in pattern.findings if finding.code == TAIL]


@settings(max_examples=200)
@given(typed_wishes(), st.floats(165, 420))
def test_what_would_clear_the_tail_of_the_ring_tab_does(typed: dict[str, str], neck: float) -> None:
    typed |= {"neck": f"{neck:.1f} mm"}
    if refused(typed) is not None:
        return
    for warning in tail_warnings(typed):
        for way in warning.suggestions:
            assert str(way.text) in str(warning.text)
            assert tail_warnings(typed | way.values) == []
        if not warning.suggestions:
            assert "would clear it" in str(warning.text) or "narrower strap" in str(warning.text)


@pytest.mark.parametrize(
    ("typed", "ways"),
    [
        # 7 in less half a tab, 10 mm and a tip of 4 in leave 45.5 mm: three pitches of 12.7, four of 11.
        ({"neck": "14 in", "width": "2 in"}, [("holes", "4"), ("pitch", "11 mm"), ("width", "40 mm")]),
        ({"neck": "16 in", "holes": "12"}, [("holes", "auto"), ("holes", "10"), ("pitch", "11 mm")]),
        ({"neck": "19 in", "pitch": "60 mm"}, [("pitch", "auto")]),
    ],
)
def test_one_of_each_kind_of_change_is_named(typed: dict[str, str], ways: list[tuple[str, str]]) -> None:
    (warning,) = tail_warnings(typed)
    assert [(way.field, way.value) for way in warning.suggestions][: len(ways)] == ways


def test_where_no_single_change_clears_the_tail_two_together_are_named_and_do() -> None:
    typed = {"neck": "165 mm", "width": "5/8 in"}
    (warning,) = tail_warnings(typed)
    assert warning.suggestions == ()
    assert warning.text.said("metric").endswith("3 holes 10 mm (3/8 in) apart would clear it.")
    assert tail_warnings(typed | {"holes": "3", "pitch": "10 mm"}) == []


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


@pytest.mark.parametrize(
    "typed",
    [
        {
            "neck": "20 cm",
            "lettering": "A VERY LONG TEXT INDEED 12345",
            "throat": "40 mm",
            "ring_at": "folded-tab",
            "dye": "acorn-dye",
        },
        {
            "kind": "set",
            "neck": "8 in",
            "studs": "1 1/2 in",
            "border": "scallop",
            "ring_at": "folded-tab",
            "grooves": "three",
            "adult": "50 cm",
        },
        {
            "kind": "lead",
            "studs": "10 mm",
            "border": "leaf",
            "qr": "https://example.org/x",
            "fastening": "screw-post",
            "grooves": "three",
            "finish": "black",
        },
    ],
)
def test_where_a_few_changes_are_not_enough_all_that_can_be_left_out_is(typed: dict[str, str]) -> None:
    spec = read_wish(typed, demo())
    with pytest.raises(DesignError) as refused:
        make_pattern(spec, demo())
    (way,) = refused.value.would_work
    assert str(way.text).startswith("no extras")
    assert len(way.values) > 3
    make_pattern(read_wish({**typed, **way.values}, demo()), demo())


def test_a_neck_too_short_for_anything_is_told_the_shortest_and_no_way_out() -> None:
    with pytest.raises(DesignError) as refused:
        make_pattern(read_wish({"neck": "6 1/4 in", "studs": "2 in"}, demo()), demo())
    assert "the shortest is" in str(refused.value.message)
    assert refused.value.would_work == ()
