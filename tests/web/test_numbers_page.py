"""What few look at: every line of the price, and the numbers for the bench."""

import json
from decimal import Decimal

import pytest
from lxml.html import HtmlElement
from starlette.testclient import TestClient

from service.pricing import estimate
from service.web.configurator import hole_rows
from service.web.numbers_page import Numbers, numbers_page
from service.web.query import Asked
from tests.makers import LINK, client, parsed, pattern, workshop

HTMX = {"HX-Request": "true", "HX-Request-Type": "partial"}


@pytest.fixture(scope="module")
def ask() -> TestClient:
    return client()


def numbers(**typed: str) -> Numbers:
    return numbers_page(Asked({"neck": "19 in", **typed}), workshop()).numbers


def words(tree: HtmlElement) -> str:
    return " ".join(tree.text_content().split())


def test_the_lines_add_up_to_the_total_and_each_has_its_inputs() -> None:
    made = numbers(studs="2 in", lettering="Bella")
    quote = estimate(pattern(studs="2 in", lettering="Bella"), workshop())
    assert sum(Decimal(row.amount.removeprefix("$")) for row in made.price_rows) == quote.total
    assert made.total == f"${quote.total:.2f}"
    assert all(row.inputs for row in made.price_rows)


def test_distances_from_the_buckle_end_are_in_millimetres_and_inches() -> None:
    rows = {row.name: (row.value, row.other) for row in numbers().distances[0].rows}
    assert rows["Fold"] == ("63.5 mm", "2 1/2 in")
    assert rows["Tip"] == ("698.5 mm", "27 1/2 in")


def test_every_piece_with_something_on_it_has_its_distances() -> None:
    made = numbers(kind="set", make="two-part", studs="2 in", width="1 in", length="6 ft")
    pieces = {part.piece: {row.name: row.value for row in part.rows} for part in made.distances}
    assert list(pieces)[:3] == ["Strap", "Ring tab", "Lead's strap"]
    assert {"Strap, short lead", "Billet, 2 of them", "Handle, 2 of them"} <= set(pieces)
    assert [part.buckle for part in made.distances] == [True, *[False] * (len(pieces) - 1)]
    # A billet of 5 in folds in its middle; its rivets are half an inch from its ends (common practice).
    assert pieces["Billet, 2 of them"] == {"Rivet": "114.3 mm", "Fold": "63.5 mm", "Right end": "127 mm"}
    plaited = numbers(kind="lead", make="plaited-handle", length="6 ft", width="1 in").distances[-1].rows
    # Cords of a loop of 16 in, 1 / cos 35 degrees longer (from memory), between two laps of 2 in.
    assert {row.name: row.value for row in plaited if "Slits" in row.name} == {
        "Slits begin": "50.8 mm",
        "Slits end": "546.9 mm",
    }


def test_parts_and_hardware_are_listed_to_lay_out() -> None:
    made = numbers(style="heel-bar")
    assert [row.name for row in made.parts] == ["Strap", "Ring tab", "Fixed keeper"]
    assert (made.parts[0].value, made.parts[0].other) == ("27 1/2 × 1 in", "698.5 × 25.4 mm, 3 mm thick")
    assert ("Heel-bar buckle 1 in", "1") in [(row.name, row.value) for row in made.hardware]


def test_lace_is_laid_out_beside_the_hardware() -> None:
    # Whipstitch takes 3.5 lengths (from memory) of two edges, 187.2 and 35.4 mm on the 19 in collar: 1558 mm,
    # which off a spool is the next half foot.
    assert not any("Lace" in row.name for row in numbers().hardware)
    lace = numbers(lacing="whip").hardware[-1]
    assert (lace.name, lace.other) == ("Lace, 2.4 mm wide: 5 1/2 ft (1.6 m)", "edges")


def test_joints_are_listed_with_what_holds_them_and_what_to_know() -> None:
    made = numbers(style="heel-bar")
    assert [(row.name, row.plies, row.stack, row.held_by, row.closes) for row in made.joints] == [
        ("Fold, outer", "2", "6 mm", "Double-cap rivet, medium", "closes 5 to 6.6 mm"),
        ("Fold, inner", "2", "6 mm", "Double-cap rivet, medium", "closes 5 to 6.6 mm"),
        ("Ring tab", "2", "6 mm", "2 × Double-cap rivet, medium", "closes 5 to 6.6 mm"),
        ("Keeper lap", "2", "6 mm", "sewn, or glued and riveted", ""),
    ]
    assert made.joint_notes == ("Fold, ring tab: 2.2 mm proud before setting",)


def test_every_number_of_a_design_is_on_one_of_the_two_pages(ask: TestClient) -> None:
    query = f"{LINK}&studs=2+in&style=heel-bar"
    told = json.loads(ask.get(f"/design.json?{query}").text)
    price, bench = (parsed(ask.get(f"/{name}?{query}").text) for name in ("price", "bench"))
    lines = words(price.get_element_by_id("main"))
    for line in told["price"]["lines"]:
        assert f"{line['label']} ${line['amount']}" in lines
        for one in line["inputs"]:
            assert f"{one['name']}{one['value']} {one['unit']}".rstrip() in lines
    assert f"Total ${told['price']['total']}" in lines
    listed = words(bench.get_element_by_id("main"))
    for part in told["parts"]:
        assert part["title"] in listed
    for row in told["hardware"]:
        assert f"{row['name']}{row['quantity']}" in listed
    made = pattern(studs="2 in", style="heel-bar", leather="chestnut", finish="brass", width="1 in")
    rows = bench.xpath("//table[contains(@class, 'holes')]/tbody/tr")
    for row, hole in zip(rows, hole_rows(made, "imperial"), strict=True):
        assert all(text in words(row) for text in (hole.girth, hole.ease, hole.fingers, hole.tail, hole.ring))


@pytest.mark.parametrize("name", ["price", "bench"])
def test_each_works_by_itself_and_leads_back(ask: TestClient, name: str) -> None:
    answer = ask.get(f"/{name}?{LINK}")
    tree = parsed(answer.text)
    assert answer.status_code == 200
    assert tree.xpath("//meta[@name='robots']/@content") == ["noindex"]
    assert tree.xpath("//main//a[text()='Back to the design']/@href") == [f"/?{LINK}"]
    assert words(tree.xpath("//h2")[0]) == words(
        parsed(ask.get(f"/?{LINK}").text).get_element_by_id("title")
    ).removesuffix(" – Oxlip Bench")


@pytest.mark.parametrize("name", ["price", "bench"])
def test_a_script_gets_only_the_part(ask: TestClient, name: str) -> None:
    for path in (f"/{name}", f"/embed/{name}", f"/embed/de/{name}"):
        answer = ask.get(f"{path}?{LINK}", headers=HTMX)
        assert answer.status_code == 200
        assert "<html" not in answer.text
        assert not parsed(f"<div>{answer.text}</div>").xpath(
            "//a"
        )  # what is brought into a frame leads nowhere
        assert answer.headers["Content-Language"] == ("de" if "/de/" in path else "en")
        assert "HX-Request" in answer.headers["Vary"]


@pytest.mark.parametrize("path", ["/", "/embed"])
def test_the_designs_page_leads_there_without_loading_it(ask: TestClient, path: str) -> None:
    tree = parsed(ask.get(f"{path}?{LINK}").text)
    assert [one.get("id") for one in tree.xpath("//details[contains(@class, 'later')]")] == [
        "measure-fold", "price-fold", "files-fold", "strength-fold", "bench-fold"
    ]  # fmt: skip
    for name in ("price", "files", "strength", "bench"):
        (way,) = tree.xpath(f"//*[@id='{name}-fold']//a")
        assert way.get("href") == f"/{name}?{LINK}"
        assert way.get("hx-get") == f"{path.rstrip('/')}/{name}?{LINK}"
        assert not words(tree.get_element_by_id(f"{name}-brought"))


def test_every_file_is_on_its_page_and_leaves_no_frame(ask: TestClient) -> None:
    tree = parsed(ask.get(f"/files?{LINK}").text)
    assert tree.xpath("//main//a[text()='Back to the design']/@href") == [f"/?{LINK}"]
    for path, window in ((f"/files?{LINK}", "_self"), (f"/embed/de/files?{LINK}", "_blank")):
        links = parsed(ask.get(path, headers=HTMX).text).xpath("//a")
        assert {one.get("target") for one in links} == {window}
        names = [one.get("href").partition("?")[0] for one in links]
        assert names[:3] == ["/pattern.pdf"] * 3
        assert names[3:] == [
            *("/templates.pdf", "/prints", "/pattern.svg"), *("/pattern.dxf", "/preview.svg", "/design.json")
        ]  # fmt: skip
        assert all(ask.get(one.get("href")).status_code == 200 for one in links)


@pytest.mark.parametrize("name", ["price", "bench", "files"])
def test_what_cannot_be_made_has_none(ask: TestClient, name: str) -> None:
    assert ask.get(f"/{name}?neck=lots").status_code == 422
    assert ask.get(f"/{name}", headers=HTMX).status_code == 422


def test_they_are_said_in_german_too(ask: TestClient) -> None:
    for name, text in (("price", "Der Preis, Zeile für Zeile"), ("bench", "Für die Werkbank")):
        assert text in words(parsed(ask.get(f"/{name}?{LINK}", headers={"Accept-Language": "de"}).text))
