"""The measuring guide: a drawing and steps for each way, by itself and beside the field."""

from xml.etree import ElementTree as ET

import pytest
from starlette.testclient import TestClient

from service.design import FOR_THE_WEARER
from service.settings import ROOT
from service.web.parameters import ALL
from tests.makers import LINK, client, parsed

HTMX = {"HX-Request": "true", "HX-Request-Type": "partial"}
DRAWINGS = sorted((ROOT / "static" / "img").glob("measure-*.svg"))


@pytest.fixture(scope="module")
def ask() -> TestClient:
    return client()


def test_every_way_of_measuring_has_a_drawing_with_words_for_it_and_steps(ask: TestClient) -> None:
    tree = parsed(ask.get("/measure").text)
    shown = {one.get("src").partition("?")[0].rpartition("/")[2] for one in tree.xpath("//dl//img")}
    assert shown == {path.name for path in DRAWINGS}
    assert {f"measure-{option.value}.svg" for option in ALL["measured"].fixed} < shown
    for way in tree.xpath("//dl/div[.//img]"):
        assert len(way.xpath(".//img")[0].get("alt")) > 80
        assert len(way.xpath(".//li")) >= 3


@pytest.mark.parametrize("path", DRAWINGS, ids=lambda path: path.stem)
def test_a_drawing_is_lines_alone_and_keeps_to_the_policy(path: object) -> None:
    root = ET.parse(str(path)).getroot()  # noqa: S314 - a file of ours
    kinds = {one.tag.rpartition("}")[2] for one in root.iter()}
    assert kinds <= {"svg", "g", "path", "circle", "rect"}  # words would stay in one language
    assert not [one for one in root.iter() if {"style", "onload", "href"} & set(one.attrib)]


def test_it_leads_back_to_the_design_and_says_what_to_take_care_of(ask: TestClient) -> None:
    tree = parsed(ask.get(f"/measure?{LINK}").text)
    assert tree.xpath("//a[text()='Back to the design']/@href") == [f"/?{LINK}"]
    assert parsed(ask.get("/measure").text).xpath("//a[text()='Back to the design']/@href") == ["/"]
    assert [one.text for one in tree.xpath("//*[@id='cautions']//li")] == list(FOR_THE_WEARER)


def test_half_a_design_is_enough_and_an_endless_one_too_much(ask: TestClient) -> None:
    assert ask.get("/measure?neck=lots&studs=").status_code == 200
    assert ask.get("/measure?neck=" + "x" * 9000).status_code == 414
    assert ask.get("/measure?neck=%ff").status_code == 422


@pytest.mark.parametrize(
    ("path", "at", "window"),
    [
        ("/", "/measure", "_self"),
        ("/embed", "/embed/measure", "_blank"),
        ("/embed/de", "/embed/de/measure", "_blank"),
    ],
)
def test_beside_the_field_it_is_fetched_and_its_links_leave_no_frame(
    ask: TestClient, path: str, at: str, window: str
) -> None:
    tree = parsed(ask.get(f"{path}?{LINK}").text)
    (way,) = tree.xpath("//form[@id='wish']//*[@id='measure-fold']//a")
    assert (way.get("href"), way.get("target")) == (f"/measure?{LINK}", window)
    assert way.get("hx-get") == f"{at}?{LINK}"
    answer = ask.get(way.get("hx-get"), headers=HTMX)
    part = parsed(f"<div>{answer.text}</div>")
    assert part.xpath("//img")
    assert {one.get("target") for one in part.xpath("//a")} == {window}
    assert answer.headers["Content-Language"] == ("de" if "/de/" in at else "en")


def test_one_may_find_it(ask: TestClient) -> None:
    assert "Allow: /measure$" in ask.get("/robots.txt").text
    assert not parsed(ask.get("/measure").text).xpath("//meta[@name='robots']")


def test_it_is_said_in_german_too(ask: TestClient) -> None:
    text = ask.get("/measure", headers={"Accept-Language": "de"}).text
    assert "Mit dem Maßband, zwei Finger" in text
    assert "Umschlag" in text
