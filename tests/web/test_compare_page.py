"""Two designs side by side: what is said of them, what differs, and how their addresses are read."""

import re
from urllib.parse import parse_qsl, urlencode, urlsplit

import pytest
from lxml.html import HtmlElement
from starlette.testclient import TestClient

from service.drawing import figures, told_apart
from service.pricing import estimate
from service.strength import estimate_strength
from service.web.compare_page import ComparePage, compare_page, two_designs
from service.web.query import Asked
from tests.makers import app, client, parsed, pattern, workshop, workshop_with

HTMX = {"HX-Request": "true", "HX-Request-Type": "partial"}
TWO = "first-neck=19+in&first-studs=2+in&neck=48+cm&leather=black&width=30+mm"


@pytest.fixture(scope="module")
def ask() -> TestClient:
    return client()


def page(first: dict[str, str], second: dict[str, str]) -> ComparePage:
    return compare_page(Asked(first), Asked(second), workshop())


def words(tree: HtmlElement) -> str:
    return " ".join(tree.text_content().split())


def test_what_differs_is_marked_and_nothing_else_is() -> None:
    made = page({"neck": "19 in"}, {"neck": "19 in", "finish": "nickel"})
    assert {pair.name for pair in made.pairs if pair.differs} <= {
        "Metal",
        "Price",
        "It weighs",
        "Weakest place",
    }
    (metal,) = (pair for pair in made.pairs if pair.name == "Metal")
    assert metal.differs
    assert metal.first is not None
    assert metal.second is not None
    assert (metal.first.value, metal.second.value) == ("Solid brass", "Nickel plate")


def test_what_only_one_has_differs() -> None:
    made = page({"neck": "19 in"}, {"neck": "19 in", "lettering": "Bella"})
    (row,) = (pair for pair in made.pairs if pair.name == "Lettering")
    assert row.first is None
    assert row.differs


def test_price_mass_fit_and_the_weakest_place_are_those_of_the_engine() -> None:
    typed = {"neck": "19 in", "width": "1 1/4 in"}
    made = {pair.name: pair.second for pair in page({"neck": "19 in"}, typed).pairs}
    other = pattern(width="1 1/4 in")
    weakest = estimate_strength(other, workshop()).weakest
    price, weak, girth = made["Price"], made["Weakest place"], made["Inside girth"]
    assert price is not None
    assert weak is not None
    assert girth is not None
    assert price.value == f"${estimate(other, workshop()).total:.2f}"
    assert weak.other == weakest.name.said("imperial")
    assert girth.value.endswith(f"({other.fit.inside_girth:.0f} mm)")


def test_the_sum_between_them_is_said() -> None:
    cheap, dear = ({"neck": "19 in"}, {"neck": "19 in", "studs": "2 in"})
    sums = [estimate(pattern(**typed), workshop()).total for typed in ({}, {"studs": "2 in"})]
    assert f"The second costs ${sums[1] - sums[0]:.2f} more." in page(cheap, dear).said
    assert f"The second costs ${sums[1] - sums[0]:.2f} less." in page(dear, cheap).said
    assert page(cheap, cheap).said == (
        "So far both are the same. Change the second, and what differs is marked.",
    )


def test_both_are_told_in_the_measures_of_the_first() -> None:
    made = {pair.name: pair for pair in page({"neck": "48 cm"}, {"neck": "19 in"}).pairs}
    neck = made["Neck"].second
    assert neck is not None
    assert neck.value == "48.3 cm (19 in)"


def test_without_parameters_of_its_own_the_second_begins_as_the_first() -> None:
    first, second = two_designs(Asked({"first-neck": "19 in", "first-studs": "2 in"}))
    assert second == first == Asked({"neck": "19 in", "studs": "2 in"})


def test_the_two_are_taken_apart_with_what_was_given_twice() -> None:
    asked = Asked({"first-neck": "19 in", "neck": "20 in"}, ("first-neck", "neck"))
    assert two_designs(asked) == (Asked({"neck": "19 in"}, ("neck",)), Asked({"neck": "20 in"}, ("neck",)))


def test_each_error_stays_with_its_design_and_its_ways_out_keep_the_other(ask: TestClient) -> None:
    answer = ask.get("/compare?first-neck=19+in&first-colour=red&neck=48+cm&finish=black&width=2+in")
    assert answer.status_code == 422
    tree = parsed(answer.text)
    assert tree.xpath("//title")[0].text.startswith("Error: ")
    first, second = tree.xpath("//section[@class='side']")
    assert "colour" in words(first)
    assert "colour" not in words(second)
    assert "Metal" in words(second)
    for side in (first, second):
        for href in side.xpath(".//a/@href"):
            query = dict(parse_qsl(urlsplit(href).query))
            assert urlsplit(href).path == "/compare"
            assert query["first-neck"] == "19 in"
            assert query["neck"] == "48 cm"
    (leave,) = first.xpath(".//a/@href")
    assert ask.get(f"{leave}&finish=brass").status_code == 422  # the second's own finish twice
    mended = {**dict(parse_qsl(urlsplit(leave).query)), "finish": "brass"}
    assert ask.get(f"/compare?{urlencode(mended)}").status_code == 200


def test_what_can_be_made_is_shown_beside_what_cannot(ask: TestClient) -> None:
    tree = parsed(ask.get("/compare?first-neck=19+in&neck=lots").text)
    first, second = tree.xpath("//section[@class='side']")
    assert first.xpath(".//*[local-name()='svg']")
    assert not second.xpath(".//*[local-name()='svg']")
    (typed,) = tree.xpath("//input[@name='neck']")
    assert typed.get("value") == "lots"
    assert typed.get("aria-invalid") == "true"


@pytest.mark.parametrize(
    ("query", "status"),
    [
        ("", 422),
        (TWO, 200),
        ("first-first-neck=19+in&first-neck=19+in", 422),
        ("first-neck=19+in&first-neck=20+in", 422),
        ("first-neck=%ff", 422),
        ("first-neck=19+in&lettering=" + "x" * 9000, 414),
        ("&".join(f"a{n}=1" for n in range(65)), 422),
        ("first-neck=19+in&neck=<script>alert(1)</script>", 422),
    ],
)
def test_the_address_is_read_strictly(ask: TestClient, query: str, status: int) -> None:
    answer = ask.get(f"/compare?{query}")
    assert answer.status_code == status
    assert "<script>alert" not in answer.text


def test_two_designs_may_be_as_long_as_one_each(ask: TestClient) -> None:
    rest = {"width": "1 in", "leather": "chestnut", "finish": "brass", "style": "heel-bar", "end": "round"}
    rest |= {"holes": "6", "pitch": "1 in", "studs": "2 in", "weight": "20 kg", "fastening": "rivet"}
    rest |= {"measured": "tape-snug", "fingers": "2", "coat": "short", "grooves": "one", "keepers": "fewest"}
    one = {"neck": "19 in", **rest, "lettering": "BELLA", "stamp": "auto"}
    both = urlencode({f"first-{name}": text for name, text in one.items()} | one)
    assert len(both.split("&")) > 32
    assert ask.get(f"/compare?{both}").status_code == 200


def test_the_page_keeps_the_first_with_the_form_and_is_not_for_search_engines(ask: TestClient) -> None:
    tree = parsed(ask.get(f"/compare?{TWO}").text)
    hidden = {one.get("name"): one.get("value") for one in tree.xpath("//form//input[@type='hidden']")}
    assert hidden == {"first-neck": "19 in", "first-studs": "2 in"}
    assert tree.xpath("//meta[@name='robots']/@content") == ["noindex"]
    assert words(tree.xpath("//title")[0]) == "Two designs compared – Oxlip Bench"
    assert "never a rating" in words(tree.get_element_by_id("comparison"))
    marked = tree.xpath("//tbody[@class='differs']//th")
    assert marked
    assert all(words(one).endswith(" differs") for one in marked)  # in words, not by colour alone
    ids = tree.xpath("//@id")
    assert len(ids) == len(set(ids))  # each drawing paints with its own


def test_the_other_way_round_the_first_is_changed(ask: TestClient) -> None:
    (way,) = parsed(ask.get(f"/compare?{TWO}").text).xpath("//a[@id='swap']/@href")
    tree = parsed(ask.get(way).text)
    assert tree.xpath("//input[@name='neck']/@value") == ["19 in"]
    assert tree.xpath("//input[@name='first-leather']/@value") == ["black"]


def test_a_script_gets_the_comparison_and_the_address(ask: TestClient) -> None:
    answer = ask.get(f"/compare?{TWO}&studs=", headers=HTMX)
    assert answer.headers["HX-Replace-Url"] == f"/compare?{TWO}"
    assert "<html" not in answer.text
    assert 'id="comparison"' in answer.text


@pytest.mark.parametrize(("path", "window"), [("/", "_self"), ("/embed", "_blank")])
def test_a_design_leads_to_its_comparison_and_the_example_does_not(
    ask: TestClient, path: str, window: str
) -> None:
    (way,) = parsed(ask.get(f"{path}?neck=19+in&studs=2+in").text).xpath("//a[text()='Compare with another']")
    assert way.get("href") == "/compare?first-neck=19+in&first-studs=2+in#second"
    assert way.get("target") == window
    assert "Compare with another" not in ask.get(path).text


def test_figures_that_are_told_apart_use_their_own_names_and_no_other_change() -> None:
    made = figures(pattern(studs="2 in", lettering="Bella"), "imperial")
    other = told_apart(made, "second")
    plain, named = ("".join((*(view.svg for view in one.worn), *one.flat)) for one in (made, other))
    assert named.replace("second-", "") == plain
    pattern_of = r'\bid="([^"]+)"'
    names = re.findall(pattern_of, named)
    assert names
    assert all(name.startswith("second-") for name in names)
    used = re.findall(r'(?:url\(|href=")#([^")]+)', named)
    assert set(used) <= set(names)


def test_it_is_said_in_german_too(ask: TestClient) -> None:
    text = words(parsed(ask.get(f"/compare?{TWO}", headers={"Accept-Language": "de"}).text))
    assert "Zwei Entwürfe im Vergleich" in text
    assert "Hals anders" in text


def test_an_empty_workshop_compares_nothing() -> None:
    answer = client(app(rows=workshop_with(leathers=(), buckles=()))).get(f"/compare?{TWO}")
    assert answer.status_code == 200
    assert "still moving in" in answer.text or "yet" in answer.text


def test_a_second_without_a_first_is_told_in_its_own_measures(ask: TestClient) -> None:
    text = words(parsed(ask.get("/compare?neck=42+cm").text))
    assert "42 cm (16 9/16 in)" in text
    assert "16 9/16 in (420 mm)" not in text
