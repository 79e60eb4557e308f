"""Typed parameters: what they mean, and what is said when they mean nothing."""

import re
from typing import get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import ValidationError

from service.design import PARAMETERS, WISHES, Collar, Wish, make_pattern, read_wish, with_unit
from service.design.reading import READERS, UNITS, read_parameter
from service.design.spec import NECK_MAX, NECK_MIN, Coat, Fingers, Measured
from service.errors import DesignError, DesignRefused
from service.geometry import End
from service.typed import read_length
from service.workshop import Fastening, Style, Workshop
from tests.design.makers import collar, demo, workshop
from tests.wishes import read_collar

SHOP = demo()


def read(**typed: str) -> Collar:
    return read_collar({"neck": "19 in", **typed}, SHOP)


def problems(**typed: str) -> dict[str, DesignError]:
    with pytest.raises(DesignRefused) as caught:
        read(**typed)
    return {problem.field: problem for problem in caught.value.problems}


# What is not typed.


def test_only_a_neck_is_needed() -> None:
    assert read() == collar()
    assert read().model_dump() == {
        "kind": "collar",
        "schema_version": 1,
        "neck": 482.6,
        "measured": "existing-collar",
        "fingers": 2,
        "coat": "short",
        "adult": None,
        "ring_at": "tab",
        "throat": None,
        "weight": None,
        "width": 25.4,
        "style": "centre-bar",
        "keepers": "fewest",
        "end": "english-point",
        "holes": None,
        "pitch": None,
        "leather": "chestnut",
        "dye": "",
        "finish": "brass",
        "fastening": "rivet",
        "grooves": "one",
        "border": "",
        "lacing": "",
        "studs": None,
        "stud_rows": "single",
        "lettering": "",
        "letters": "stamped",
        "lining": "",
        "thread": "",
        "qr": "",
        "stamp": None,
    }


@pytest.mark.parametrize("name", [name for name in PARAMETERS if name != "neck"])
@pytest.mark.parametrize("empty", ["", "   "])
def test_an_empty_parameter_takes_its_default(name: str, empty: str) -> None:
    assert read(**{name: empty}) == read()


def test_a_neck_that_is_missing_is_asked_for_with_an_example_that_works() -> None:
    for typed in ({}, {"neck": "  "}, {"width": "1 in"}):
        with pytest.raises(DesignRefused, match="Type the dog's neck, for example 16 1/2 in"):
            read_collar(typed, SHOP)
    with pytest.raises(DesignRefused) as caught:
        read_collar({}, workshop(units="cm"))
    (problem,) = caught.value.problems
    assert problem.message.said("metric").endswith("for example 42 cm.")


def test_every_parameter_but_the_schemas_version_can_be_typed() -> None:
    fields = {name for wish in WISHES.values() for name in wish.model_fields}
    assert set(PARAMETERS) == set(READERS) == fields - {"schema_version"}
    assert "schema_version" in problems(schema_version="1")


def test_a_finish_that_is_not_asked_for_is_one_that_is_complete() -> None:
    without_brass_heel_bars = workshop(
        buckles=tuple(row for row in SHOP.buckles if (row.style, row.finish) != ("heel-bar", "brass"))
    )
    assert read_collar({"neck": "19 in"}, without_brass_heel_bars).finish == "brass"
    assert read_collar({"neck": "19 in", "style": "heel-bar"}, without_brass_heel_bars).finish == "nickel"
    assert (
        read_collar({"neck": "19 in", "style": "heel-bar", "finish": "brass"}, without_brass_heel_bars).finish
        == "brass"
    )


# What is typed.


@pytest.mark.parametrize(
    ("typed", "field", "value"),
    [
        ({"neck": "16 1/2"}, "neck", 419.1),
        ({"neck": "41,9 cm"}, "neck", 419.0),
        ({"weight": "22 lb"}, "weight", 9.97903214),
        ({"weight": "10kg"}, "weight", 10.0),
        ({"weight": "1 lb"}, "weight", 0.45359237),
        ({"width": "3/4"}, "width", 19.05),
        ({"width": "25 mm"}, "width", 25.0),
        ({"holes": "8"}, "holes", 8),
        ({"holes": "AUTO"}, "holes", None),
        ({"pitch": "3/4 in"}, "pitch", 19.05),
        ({"pitch": "Auto"}, "pitch", None),
        ({"studs": "2"}, "studs", 50.8),
        ({"stamp": "9"}, "stamp", 9.0),
        ({"stamp": "auto"}, "stamp", None),
        ({"lettering": "  bella   rose "}, "lettering", "BELLA ROSE"),
        ({"lettering": "café"}, "lettering", "CAFÉ"),
        ({"lettering": "straße"}, "lettering", "STRAßE"),  # a sharp s has no single capital
        ({"style": "heel-bar"}, "style", "heel-bar"),
    ],
)
def test_a_typed_parameter_means_this(typed: dict[str, str], field: str, value: object) -> None:
    assert getattr(read(**typed), field) == value


def test_a_bare_number_is_in_the_workshops_units() -> None:
    metric = workshop(units="cm")
    wish = read_collar({"neck": "42", "width": "25", "weight": "20", "pitch": "20", "studs": "50"}, metric)
    assert (wish.neck, wish.width, wish.weight, wish.pitch, wish.studs) == (420, 25, 20, 20, 50)


# What can't be read. Everything at once, each with what would work.


def test_every_complaint_is_gathered_before_any_is_raised() -> None:
    found = problems(
        neck="long", width="9 in", holes="2", colour="red", finish="gold", pitch="x", studs="1000 in"
    )
    assert set(found) == {"neck", "width", "holes", "colour", "finish", "pitch", "studs"}
    for problem in found.values():
        assert len(str(problem.message)) > 20


def test_a_parameter_nobody_knows_is_refused_with_those_there_are() -> None:
    problem = problems(color="red")["color"]
    assert "“color”" in str(problem.message)
    assert all(name in str(problem.message) for name in PARAMETERS)
    assert len(str(problems(**{"x" * 5000: "1"})["x" * 40].message)) < 400


@pytest.mark.parametrize("name", ["neck", "weight", "width", "pitch", "studs", "stamp"])
@pytest.mark.parametrize("text", ["x", "-5", "1e3", "161/2", "1,234", "nan", "5 6 7", "½½", "0"])
def test_what_is_tried_next_is_something_the_same_parameter_takes(name: str, text: str) -> None:
    problem = problems(**{name: text})[name]
    if "Try: " in str(problem.message):
        assert isinstance(read(**{name: str(problem.message).split("Try: ")[1]}), Collar)


@pytest.mark.parametrize(
    ("name", "least", "most"),
    [
        ("neck", NECK_MIN, NECK_MAX),
        ("pitch", 8, 60),
        ("studs", 8, 200),
        ("stamp", 3, 25),
        ("weight", 0.45, 130),
    ],
)
def test_limits_that_are_named_are_inside_the_limits(name: str, least: float, most: float) -> None:
    unit = "kg" if name == "weight" else "mm"
    for value in (least, most):
        assert getattr(read(**{name: f"{value:g} {unit}"}), name) == value
    for value in (least - 0.01, most + 0.01):
        assert name in problems(**{name: f"{value:g} {unit}"})
    said = str(problems(**{name: "500 in" if unit == "mm" else "999 lb"})[name].message)
    if name in {"neck", "pitch", "studs"}:
        span = said.partition("outside ")[2].removeprefix("what a collar is made for here, ")
        low, high = span.split(" to ")
        for end in (low.split(" (")[0], re.split(r" \(|[.;]", high)[0]):
            assert getattr(read(**{name: end}), name) == read_length(end).value


def test_one_pound_is_a_dog() -> None:
    assert "1 lb" in str(problems(weight="0.9 lb")["weight"].message)
    assert "286 lb" in str(problems(weight="287 lb")["weight"].message)
    assert read(weight="286 lb").weight == pytest.approx(129.727, abs=0.001)


@pytest.mark.parametrize(
    ("typed", "meant"), [("42 in", "42 cm"), ("419 cm", "419 mm"), ("6 mm", "6 in"), ("42 mm", "42 cm")]
)
def test_a_neck_no_dog_has_asks_whether_another_unit_was_meant(typed: str, meant: str) -> None:
    problem = problems(neck=typed)["neck"]
    assert f"Did you mean {meant}?" in str(problem.message)
    assert (problem.would_work[0].field, problem.would_work[0].value) == ("neck", meant)
    for way in problem.would_work:
        assert NECK_MIN <= read(neck=way.value).neck <= NECK_MAX


@pytest.mark.parametrize(
    ("name", "options"),
    [
        ("measured", get_args(Measured)),
        ("fingers", tuple(map(str, get_args(Fingers)))),
        ("coat", get_args(Coat)),
        ("style", get_args(Style)),
        ("end", get_args(End)),
        ("fastening", get_args(Fastening)),
        ("kind", ("collar", "limited-slip", "set", "lead")),
        ("leather", tuple(row.code for row in SHOP.leathers)),
        ("finish", tuple(row.code for row in SHOP.finishes)),
    ],
)
def test_a_choice_that_is_none_lists_those_there_are(name: str, options: tuple[str, ...]) -> None:
    problem = problems(**{name: "whatever"})[name]
    assert [way.value for way in problem.would_work] == list(options)
    assert all(str(way.text) in str(problem.message) for way in problem.would_work)
    for option in options:
        wish = read_wish({"neck": "19 in", "head": "21 in", name: option}, SHOP)
        assert str(getattr(wish, name)) == option


@pytest.mark.parametrize(
    ("name", "typed"),
    [
        ("weight", "heavy"),
        ("weight", "900 lb"),
        ("pitch", "x"),
        ("holes", "2"),
        ("adult", "3 in"),
        ("stamp", "1 mm"),
    ],
)
def test_what_may_be_left_empty_can_be_left_empty_where_it_is_refused(name: str, typed: str) -> None:
    (way,) = problems(**{name: typed})[name].would_work
    assert (way.field, way.value) == (name, "")
    assert read(**way.values) == read()


def test_too_long_an_address_for_a_tag_is_not_cut_to_another_one() -> None:
    problem = problems(qr="HTTPS://EXAMPLE.ORG/" + "A" * 80)["qr"]
    assert "AAA" not in str(problem.message)
    assert [way.values for way in problem.would_work] == [{"qr": ""}]


def test_a_neck_there_must_be_is_not_left_empty() -> None:
    assert problems(neck="x")["neck"].would_work == ()


@pytest.mark.parametrize(
    ("typed", "nearest"), [("23 mm", ["20 mm", "25.4 mm"]), ("3 in", ["40 mm", "50.8 mm"])]
)
def test_a_width_without_hardware_suggests_the_two_nearest(typed: str, nearest: list[str]) -> None:
    problem = problems(width=typed)["width"]
    assert [way.value for way in problem.would_work] == nearest
    for way in problem.would_work:
        assert make_pattern(read(width=way.value), SHOP).layout.width == read_length(way.value).value


@pytest.mark.parametrize("text", ["2", "13", "6.5", "-6", "six", "６", "006"])
def test_holes_are_a_whole_number_from_3_to_12(text: str) -> None:
    assert "auto, or a whole number from 3 to 12" in str(problems(holes=text)["holes"].message)


def test_lettering_that_is_too_long_or_can_not_be_shown_is_refused() -> None:
    assert "40 is the most" in str(problems(lettering="A" * 41)["lettering"].message)
    assert "can't be shown" in str(problems(lettering="BEL\x00LA")["lettering"].message)


@given(st.dictionaries(st.sampled_from(PARAMETERS) | st.text(max_size=8), st.text(max_size=60), max_size=8))
def test_any_text_is_read_or_refused(typed: dict[str, str]) -> None:
    result = attempt_to_read(typed, SHOP)
    if isinstance(result, Wish):
        assert result == type(result).model_validate(result.model_dump())
    else:
        assert result
        assert all(problem.message for problem in result)
        assert {problem.field for problem in result} <= {name.strip()[:40] for name in typed} | set(typed) | {
            "neck",
            "head",
        }


NUMBERS = st.from_regex(r"[1-9][0-9]?([.,][0-9]|½| 1/2| and a half)?", fullmatch=True)


@given(st.sampled_from(sorted(UNITS)), NUMBERS | st.text(max_size=12), st.sampled_from(["in", "cm"]))
def test_with_its_unit_a_number_means_the_same_in_every_workshop(name: str, text: str, units: str) -> None:
    here = SHOP.model_copy(update={"units": units})
    there = SHOP.model_copy(update={"units": "cm" if units == "in" else "in"})
    whole = with_unit(name, text, here)
    assert meaning(name, whole, here) == meaning(name, text, here)
    assert meaning(name, whole, there) == meaning(name, whole, here)
    assert with_unit(name, whole, there) == whole


def meaning(name: str, text: str, shop: Workshop) -> object:
    """What a text means, or that it is refused."""
    try:
        return read_parameter(name, text, shop)
    except DesignError:
        return DesignError


def attempt_to_read(typed: dict[str, str], shop: Workshop) -> Wish | tuple[DesignError, ...]:
    try:
        return read_wish(typed, shop)
    except DesignRefused as refusal:
        return refusal.problems


# The limits of the wish itself.


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("neck", float("nan")),
        ("neck", float("inf")),
        ("neck", 149.9),
        ("width", float("nan")),
        ("holes", 2),
        ("holes", 6.5),
        ("pitch", float("nan")),
        ("studs", -1.0),
        ("weight", float("nan")),
        ("stamp", float("nan")),
        ("lettering", "A" * 41),
        ("style", "roller"),
        ("kind", "lead"),
        ("schema_version", 2),
        ("colour", "red"),
    ],
)
def test_a_wish_that_can_not_be_meant_is_never_made(field: str, value: object) -> None:
    with pytest.raises(ValidationError):
        collar(**{field: value})


@given(st.floats(7.0, 80.5))
def test_every_width_that_hardware_is_stocked_for_makes_a_wish(width: float) -> None:
    narrow, broad = (SHOP.buckles[i].model_copy(update={"width": size}) for i, size in enumerate((8.0, 80.0)))
    shop = workshop(buckles=(narrow, broad))
    result = attempt_to_read({"neck": "30 in", "width": f"{width:.3f} mm"}, shop)
    if isinstance(result, Wish):
        assert result.width == pytest.approx(width, abs=0.001)
    else:
        assert [problem.field for problem in result] == ["width"]


def test_stamps_that_are_not_there_are_not_listed() -> None:
    with pytest.raises(DesignRefused, match="The workshop has: none"):
        read_collar({"neck": "19 in", "stamp": "30 mm"}, workshop(stamps=()))
