import json
import math
from decimal import Decimal
from typing import Any

import pytest
from pydantic import TypeAdapter

from service.design import make_pattern
from service.design.fit import block_ease
from service.pricing import estimate
from service.web.answers import DesignAnswer, design_json
from tests.makers import collar, pattern, workshop, workshop_with

WISHES: list[dict[str, str]] = [
    {},
    {"style": "heel-bar", "end": "round", "studs": "2 in", "lettering": "Rex"},
    {"neck": "42 cm", "width": "30 mm", "leather": "moss", "finish": "nickel", "end": "square"},
    {"neck": "30 in", "weight": "20 lb", "holes": "8", "pitch": "1 in"},
    {"measured": "tape-snug", "fastening": "screw-post", "width": "3/4 in"},
]
SIZES = {
    "rivet-hole": {"diameter"},
    "size-hole": {"diameter"},
    "slot": {"length", "width"},
    "fold": {"width"},
    "ring": {"width"},
    "stud": {"diameter"},
    "lettering": {"length", "height", "text"},
}


def answer(**typed: str) -> dict[str, Any]:
    made = pattern(**typed)
    return dict(json.loads(design_json(made, estimate(made, workshop()), workshop(), "imperial")))


@pytest.mark.parametrize("typed", WISHES)
def test_an_answer_is_what_its_type_says_and_no_more(typed: dict[str, str]) -> None:
    text = json.dumps(answer(**typed))
    TypeAdapter(DesignAnswer).validate_json(text, extra="forbid")


def test_the_main_strap_is_named_and_measured_from_its_buckle_end() -> None:
    strap = answer()["parts"][0]
    # Common practice: 19 in neck, 1 in wide, six holes at 1 in: 19 + 8 1/2 = 27 1/2 in.
    assert (strap["name"], strap["length"], strap["width"]) == ("strap", 698.5, 25.4)
    xs = [x for x, _ in strap["outline"]]
    assert (min(xs), max(xs)) == (0.0, 698.5)
    assert [mark["x"] for mark in strap["marks"] if mark["kind"] == "fold"] == [63.5]


@pytest.mark.parametrize("typed", WISHES)
def test_each_mark_has_the_sizes_that_apply_and_no_others(typed: dict[str, str]) -> None:
    for part in answer(**typed)["parts"]:
        for mark in part["marks"]:
            assert set(mark) == {"kind", "x", "y"} | SIZES[mark["kind"]]


def test_a_keepers_place_is_told_with_the_keeper() -> None:
    parts = {part["name"]: part for part in answer(style="heel-bar")["parts"]}
    # Between the two rivets of the folded leg: 2 × 63.5 - 12.7 - 12.7.
    assert parts["keeper"]["position"] == pytest.approx(101.6, abs=1e-6)
    assert "keeper" not in {mark["kind"] for mark in parts["strap"]["marks"]}
    assert "position" not in parts["strap"]


def test_holes_are_numbered_from_the_buckle_and_the_second_is_the_target() -> None:
    fit = answer()["fit"]
    assert [hole["number"] for hole in fit["holes"]] == [1, 2, 3, 4, 5, 6]
    assert [hole["target"] for hole in fit["holes"]].index(True) == 1
    girths = [hole["inside_girth"] for hole in fit["holes"]]
    assert girths == sorted(girths)
    assert fit["holes"][1]["flat"] == fit["flat"] == 482.6


def test_the_necks_it_fits_and_the_take_up_are_told() -> None:
    fit = answer(measured="tape-snug", fingers="3")["fit"]
    for neck, hole in ((fit["neck_least"], fit["holes"][0]), (fit["neck_most"], fit["holes"][-1])):
        assert neck + block_ease(neck, 3 * 18) == pytest.approx(hole["inside_girth"], abs=1e-5)
    # pi (4 + 3) / 4: a quarter turn round a bar of 4 mm of leather 3 mm thick.
    assert (fit["take_up"], fit["take_up_from"]) == (pytest.approx(5.497787, abs=1e-6), "derived")
    shop = workshop_with(buckles=tuple(row.model_copy(update={"take_up": 7.5}) for row in workshop().buckles))
    own = make_pattern(collar(), shop)
    told = json.loads(design_json(own, estimate(own, shop), shop, "imperial"))["fit"]
    assert (told["take_up"], told["take_up_from"]) == (7.5, "measured")


def test_numbers_are_the_engines_but_for_noise() -> None:
    made, told = pattern(neck="16 1/3 in"), answer(neck="16 1/3 in")
    assert told["fit"]["inside_girth"] == pytest.approx(made.fit.inside_girth, abs=5e-7)
    for part, engine in zip(told["parts"], made.parts, strict=True):
        for (x, y), corner in zip(part["outline"], engine.outline, strict=True):
            assert math.dist((x, y), corner) < 1e-6


def test_money_is_decimal_text_and_the_lines_add_up() -> None:
    price = answer(studs="2 in", lettering="Rex")["price"]
    assert sum(Decimal(line["amount"]) for line in price["lines"]) == Decimal(price["total"])
    assert price["currency"] == "USD"
    assert all(set(one) == {"name", "value", "unit"} for line in price["lines"] for one in line["inputs"])


def test_the_wish_is_told_back_whole() -> None:
    told = answer(lettering="Rex", holes="5")["spec"]
    assert told == json.loads(collar(lettering="Rex", holes="5").model_dump_json())


def test_findings_are_told_with_their_source_and_suggestions() -> None:
    found = {one["code"]: one for one in answer(neck="30 in", weight="20 lb")["findings"]}
    expected = {
        one.code: one for one in make_pattern(collar(neck="30 in", weight="20 lb"), workshop()).findings
    }
    assert found.keys() == expected.keys()
    assert all(one["source"] for one in found.values())


def test_joints_are_told_with_their_stack_and_what_closes_it() -> None:
    joints = {one["name"]: one for one in answer(style="heel-bar")["joints"]}
    assert list(joints) == ["Fold, outer", "Fold, inner", "Ring tab", "Keeper lap"]
    # Common practice: two plies of 3 mm, a post 1.6 to 3.2 mm proud; 1/2 in to the outer rivet, mirrored.
    assert joints["Fold, outer"] == {
        "name": "Fold, outer",
        "place": "fold",
        "stations": [12.7, 114.3],
        "plies": 2,
        "stack": 6.0,
        "fastener": {
            "kind": "rivet",
            "code": "brass-rivet-medium",
            "name": "Double-cap rivet, medium",
            "finish": "brass",
            "grip_min": 5.0,
            "grip_max": 6.6,
        },
        "quantity": 1,
        "proud": 2.2,
        "skive_to": None,
        "closing": "",
    }
    assert joints["Keeper lap"]["fastener"] is None
    assert joints["Keeper lap"]["closing"] == "sewn, or glued and riveted"


def test_a_stack_near_the_limit_is_told_with_what_to_skive_to() -> None:
    thick = next(row.code for row in workshop().leathers if row.thickness == 3.2)
    assert {one["skive_to"] for one in answer(leather=thick)["joints"]} == {6.6}
    assert {one["proud"] for one in answer(fastening="screw-post")["joints"]} == {None}


def test_a_keepers_lap_is_told_with_the_keeper() -> None:
    parts = {part["name"]: part for part in answer(style="heel-bar")["parts"]}
    # Common practice: 15 mm.
    assert parts["keeper"]["lap"] == 15.0
    assert parts["keeper"]["marks"] == []
    assert "lap" not in parts["strap"]
