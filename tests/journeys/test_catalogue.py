"""From an empty workshop to its first collar on a phone without script; and every page of the catalogue."""

import re
from collections.abc import Iterator

import pytest
from playwright.sync_api import Page, expect

from tests.journeys.conftest import serving
from tests.journeys.test_everyone import COLOURS, UNFOLD, violations
from tests.journeys.test_maker import OVER, TARGETS, WIDTHS, move_in, opened
from tests.journeys.visitor import Visitor

pytestmark = pytest.mark.browser

HERE = "/shop/catalogue"


@pytest.fixture(scope="module")
def base(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """The address of a service with an empty workshop, in which its owner is signed in."""
    folder = tmp_path_factory.mktemp("catalogue")
    with serving(folder, "--workshop", "empty") as (address, _log):
        move_in(folder / "data")
        yield address


def step(page: Page, text: str) -> None:
    """Take a step that the checklist names."""
    page.goto(HERE)
    page.get_by_role("link", name=re.compile(f"^{text}")).click()


def filled(page: Page, **typed: str) -> None:
    for name, text in typed.items():
        page.locator(f"#field-{name}").fill(text)


def test_the_owner_of_an_empty_workshop_comes_to_the_first_collar_on_a_phone_without_script(
    visit: Visitor,
) -> None:
    page = opened(visit, "/", script=False)
    expect(page.get_by_role("heading", name="Nothing can be made here yet")).to_be_visible()
    page.get_by_role("link", name="Sign in and fill your catalogue").click()
    step(page, "Say what your workshop is called")
    filled(page, name="Teasel Bench")
    page.get_by_label("Country").select_option("GB")
    page.get_by_label("A bare number means").select_option("cm")
    page.get_by_role("button", name="Keep", exact=True).click()
    expect(page.get_by_role("status")).to_contain_text("Kept")
    step(page, "Add a leather")
    filled(page, name="Oak bark butt", thickness="99", price_per_m2="130")
    page.get_by_role("button", name="Add it").click()
    expect(page.locator("#wrong-thickness")).to_contain_text("from 1.2 mm to 6 mm")
    expect(page.locator("#field-name")).to_have_value("Oak bark butt")
    filled(page, thickness="8 oz")
    page.get_by_role("button", name="Add it").click()
    step(page, "Add a metal finish")
    filled(page, name="Brass")
    page.get_by_role("button", name="Add it").click()
    step(page, "Add a buckle")
    filled(page, name="Heel-bar buckle 20 mm", width="20 mm", bar="3,5", prong="3", price="2.90")
    page.get_by_label("Kind").select_option("heel-bar")
    page.get_by_role("button", name="Add it").click()
    expect(page.get_by_role("heading", name="Brass")).to_be_visible()
    step(page, "Add a D-ring for a strap 20 mm")
    expect(page.locator("#field-width")).to_have_value("20 mm")
    filled(page, name="D-ring 20 mm", wire="3.5", price="1.20")
    page.get_by_role("button", name="Add it").click()
    step(page, "Add a rivet")
    filled(page, name="Rivet", cap="9", hole="3", grip_min="5", grip_max="6.6", price="0.10")
    page.get_by_label("Kind").select_option("rivet")
    page.get_by_role("button", name="Add it").click()
    page.goto(HERE)
    expect(page.get_by_role("heading", name="Before you can sell anything you still need")).to_have_count(0)
    step(page, "Say what an hour of your work costs")
    filled(page, currency="GBP", labour_per_hour="22", margin="25 %", waste="30 %")
    page.get_by_role("button", name="Keep", exact=True).click()
    page.goto("/?neck=42+cm")
    expect(page.locator(".total").first).to_contain_text("£")
    expect(page.locator("#outcome")).to_contain_text("Oak bark butt")
    page.get_by_role("link", name=re.compile("[Aa]sk")).first.click()
    expect(page.get_by_role("link", name="The shop’s terms")).to_be_visible()


def test_a_table_is_pasted_looked_over_and_kept_without_script(visit: Visitor) -> None:
    page = opened(visit, f"{HERE}/consumables/import", script=False)
    page.get_by_label("Or its rows, pasted").fill("name\tprice\nThread and wax\t0,60\nCard and bag\t0.85")
    page.get_by_role("button", name="Show what it would change").click()
    expect(page.locator("main")).to_contain_text("2 added, 0 changed, 0 removed, 0 as they are")
    page.get_by_role("button", name="Keep these changes").click()
    expect(page.locator("main")).to_contain_text("Thread and wax")
    with page.expect_download() as told:
        page.get_by_role("link", name="Download (CSV)").click()
    file = told.value.path()
    page.goto(f"{HERE}/consumables/import")
    page.get_by_label("The file").set_input_files(
        {"name": "c.csv", "mimeType": "text/csv", "buffer": file.read_bytes()}
    )
    page.get_by_role("button", name="Show what it would change").click()
    expect(page.locator("main")).to_contain_text("the file says what the catalogue says already")


def test_axe_finds_nothing_and_a_thumb_finds_everything(visit: Visitor) -> None:
    page = opened(visit, HERE)
    paths = ["", "/leathers", "/leathers/row", "/buckles/row", "/stamps/row", "/times", "/rates", "/workshop"]
    paths += ["/terms", "/history", "/history/1", "/leathers/import", "/leathers/stock", "/studs/stock"]
    for path in (*(f"{HERE}{one}" for one in paths), "/terms"):
        for width in WIDTHS:
            page.set_viewport_size({"width": width, "height": 740})
            page.goto(path)
            page.evaluate(UNFOLD)
            found = [*violations(page), *page.evaluate(OVER), *page.evaluate(TARGETS)]
            assert found == [], f"{path} at {width} px"
            assert page.evaluate("document.documentElement.scrollWidth <= innerWidth"), path
        page.emulate_media(color_scheme="dark")
        assert violations(page, COLOURS) == [], path
        page.emulate_media(color_scheme="light")
