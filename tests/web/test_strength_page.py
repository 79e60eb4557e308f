"""The estimate of strength on the pages: what it says, what it is careful about, and where its links go."""

import json
from typing import Any

import pytest
from starlette.testclient import TestClient

from service.design import make_pattern
from service.strength import estimate_strength
from service.web.query import Asked
from service.web.strength_page import StrengthPage, strength_page
from service.web.strength_words import rough
from service.workshop import Assumptions
from tests.makers import LINK, client, collar, parsed, workshop, workshop_with

HTMX = {"HX-Request": "true", "HX-Request-Type": "partial"}


@pytest.fixture(scope="module")
def ask() -> TestClient:
    return client()


def page(frame: str = "", **typed: str) -> StrengthPage:
    return strength_page(Asked({"neck": "19 in", **typed}), workshop(), frame=frame)


def words(tree: Any) -> str:  # noqa: ANN401 - a tree of lxml
    return " ".join(tree.text_content().split())


def test_the_weakest_comes_first_with_its_range_and_how_it_compares() -> None:
    made = page(weight="25 kg")
    assert made.weakest == "The strap tears across a size hole: 240 to 410 N"
    assert made.weight == "the weight of 24 kg or 53 lb"
    assert made.by_hand == "At the least 1.5 times 163 N, the highest pull of a dog, on average."
    assert made.snatch.startswith("At the least 17 % of 1400 N, this dog at a run")
    assert made.outrun
    assert made.first == "The size hole in use begins to lengthen: 130 to 330 N"
    assert made.breaking[0].times == "1.5 times"


def test_what_is_not_known_is_said_and_stands_last() -> None:
    made = page()
    assert len(made.unknown) == 3
    assert [row.amount for row in made.breaking[-3:]] == ["unknown: test it"] * 3
    assert all(row.times == "" for row in made.breaking[-3:])


def test_without_a_weight_no_snatch_is_made_up() -> None:
    made = page()
    assert made.snatch == "With the dog's weight, the pull at the end of a slack lead is estimated too."
    assert not made.outrun


def test_figures_are_never_rounded_up() -> None:
    assert [rough(number) for number in (240.03, 1143, 99.9, 161.1, 7.6, 0.4)] == [
        "240", "1100", "99", "160", "7", "0"
    ]  # fmt: skip


def test_every_assumption_of_the_workshop_is_told() -> None:
    assumed = Assumptions(leather_n_mm2=17, metal_n_mm2=233, lead_n_m=3456, speed_m_s=5.5, pull_n=77)
    asked = Asked({"neck": "19 in", "weight": "20 kg"})
    said = " ".join(strength_page(asked, workshop_with(assumptions=assumed)).assumed)
    assert all(figure in said for figure in (" 17 N", "233", "3456", "5.5 m/s", "77 N", "21 to 36 %"))


def test_a_change_leads_to_that_design_and_stays_in_the_frame() -> None:
    way = page(leather="chestnut").ways[0]
    assert way.href == "/?neck=19+in&leather=chestnut&width=30+mm"
    assert way.then == "The strap tears across a size hole: 280 to 480 N"
    assert (
        page(frame="/embed", leather="chestnut").ways[0].href
        == "/embed?neck=19+in&leather=chestnut&width=30+mm"
    )


def test_the_page_works_by_itself_and_warns_first(ask: TestClient) -> None:
    answer = ask.get(f"/strength?{LINK}")
    tree = parsed(answer.text)
    assert answer.status_code == 200
    assert "never a rating: not for tie-out, lifting or vehicle restraint" in words(
        tree.get_element_by_id("estimate")[0]
    )
    assert tree.xpath("//main//a[text()='Back to the design']/@href") == [f"/?{LINK}"]


def test_a_script_gets_only_the_part(ask: TestClient) -> None:
    answer = ask.get(f"/strength?{LINK}", headers=HTMX)
    assert answer.text.lstrip().startswith('<div id="estimate">')
    assert "HX-Request" in answer.headers["Vary"]
    framed = parsed(ask.get(f"/embed/strength?{LINK}", headers=HTMX).text)
    assert all(href.startswith("/embed?") for href in framed.xpath("//a/@href"))


def test_what_cannot_be_made_has_no_strength(ask: TestClient) -> None:
    for path in ("/strength", "/embed/strength"):
        assert ask.get(f"{path}?neck=lots").status_code == 422
        assert ask.get(f"{path}?neck=lots", headers=HTMX).status_code == 422


def test_the_numbers_are_those_of_the_engine(ask: TestClient) -> None:
    told = json.loads(ask.get(f"/design.json?{LINK}&weight=55+lb").text)["strength"]
    made = make_pattern(collar(weight="55 lb"), workshop())
    found = estimate_strength(made, workshop())
    assert told["weakest"] == found.weakest.code == told["modes"][0]["code"]
    assert [one["low"] for one in told["modes"]] == [
        None if mode.low is None else pytest.approx(mode.low) for mode in (*found.breaking, *found.giving)
    ]
    assert {one["code"] for one in told["demands"]} == {"firm", "strong", "jerk", "peak", "snatch"}
    assert told["assumptions"] == {
        **workshop().assumptions.model_dump(), "holes_low": 0.21, "holes_high": 0.36
    }  # fmt: skip


def test_it_is_said_in_german_too(ask: TestClient) -> None:
    text = words(parsed(ask.get(f"/strength?{LINK}", headers={"Accept-Language": "de"}).text))
    assert "Der Riemen reißt an einem Verstellloch durch: 240 bis 410 N" in text
    assert "unbekannt: prüfen" in text
    assert "nie eine Zusage" in text
