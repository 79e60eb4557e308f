"""A customer's pages in a real browser, where the story (`test_story.py`) takes another turn."""

import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from service.app import create_app
from service.settings import Settings
from service.storage import (
    Act,
    Database,
    link_by_token,
    open_database,
    order_by_id,
    send_proof,
    workshop_ids,
)
from service.web.house import House
from service.web.proofs import make_proof
from tests.journeys.conftest import serving
from tests.journeys.test_everyone import COLOURS, LOOSE_ENDS, UNFOLD, violations
from tests.journeys.visitor import Visitor
from tests.stores import store_of

pytestmark = pytest.mark.browser

SIZES = ((360, 740), (1280, 800))
WIDE = 576
"""From here on two views of a collar stand side by side [px]."""
WISH = "/?neck=19+in&lettering=BISCUIT&weight=45+lb"
TARGETS = """[...document.querySelectorAll(
  'main button, main summary, main input:not([type=hidden], [type=checkbox]), main textarea,' +
  'main .button, .tick')]
  .map((one) => [one, one.getBoundingClientRect()])
  .filter(([one, box]) => one.checkVisibility() && box.width && (box.height < 44 || box.width < 44))
  .map(([one, box]) => `${one.outerHTML.slice(0, 80)}: ${box.width} x ${box.height}`)"""
OVER = """[...document.querySelectorAll('main *')]
  .filter((one) => one.checkVisibility() && !one.closest('svg, .aside'))
  .filter((one) => one.getBoundingClientRect().right > innerWidth + 0.5)
  .map((one) => one.outerHTML.slice(0, 80))"""

ROWS = """new Set([...document.querySelectorAll('.pair figure')]
  .map((one) => Math.round(one.getBoundingClientRect().top))).size"""


@dataclass
class Bench:
    """The maker at the same store as the service: sends proofs."""

    database: Database

    def send(self, page: Page, **changed: float) -> None:
        """Send the next proof of the order whose page is open, with the design changed."""
        token, now = page.url.partition("#")[0].rsplit("/", 1)[1], datetime.now(UTC)
        house: House = create_app(Settings(), self.database, workshop_ids_of(self.database)).state.house
        with self.database.reading() as connection:
            link = link_by_token(connection, token)
            assert link is not None
            order = order_by_id(connection, link.order_id)
        order = replace(order, design=order.design.model_copy(update=changed))
        made = make_proof(house, order)
        with self.database.writing() as connection:
            send_proof(connection, made.order, made.proof, made.drawings, Act("maker", "mia", now))


def workshop_ids_of(database: Database) -> str:
    """The one workshop in a store."""
    with database.reading() as connection:
        return workshop_ids(connection)[0]


@pytest.fixture(scope="module")
def data(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder of a service of its own."""
    folder = tmp_path_factory.mktemp("customer") / "data"
    folder.mkdir()
    return folder


@pytest.fixture(scope="module")
def base(data: Path) -> Iterator[str]:
    """The address of a service of its own."""
    with serving(data.parent) as (address, log):
        yield address
        assert "/o/" not in log.read_text("utf-8", "replace")


@pytest.fixture
def bench(base: str, data: Path) -> Iterator[Bench]:
    """The maker."""
    assert base
    database = open_database(store_of(data))
    yield Bench(database)
    database.close()


def well(page: Page, *, script: bool, targets: str = TARGETS, over: str = OVER) -> None:
    """Look at a page as everyone does."""
    width = page.viewport_size["width"] if page.viewport_size else 0
    if script:
        page.evaluate(UNFOLD)
        assert violations(page) == []
        assert page.evaluate(LOOSE_ENDS) == []
        page.emulate_media(color_scheme="dark")
        assert violations(page, COLOURS) == []
        page.emulate_media(color_scheme="light")
        assert page.evaluate(targets) == []
        assert page.evaluate(over) == []
        assert over is not OVER or page.evaluate(ROWS) in {0, 2 if width < WIDE else 1}
        assert page.evaluate("document.documentElement.scrollWidth") <= width


def ask(visit: Visitor, width: int, height: int, *, script: bool) -> Page:
    """Go from the configurator to the order's page."""
    page = visit(WISH, width=width, height=height, script=script)
    page.get_by_role("link", name="Ask the shop to make it").first.click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Ask the shop to make it")
    well(page, script=script)
    page.get_by_label("Your name").fill("Ada Example")
    page.get_by_role("button", name=re.compile("^Ask ")).click()
    expect(page).to_have_title(re.compile("^Error: "))
    expect(page.get_by_role("link", name="E-mail")).to_be_visible()
    expect(page.get_by_label("Your name")).to_have_value("Ada Example")
    well(page, script=script)
    page.get_by_label("E-mail").fill("ada@mail.example")
    page.get_by_label("Your dog's name").fill("Biscuit")
    page.get_by_label("Yes, keep this for my order").check()
    page.get_by_role("button", name=re.compile("^Ask ")).click()
    expect(page).to_have_url(re.compile("/o/[A-Za-z0-9_-]{43}$"))
    expect(page.get_by_role("heading", level=1)).to_have_text("Enquiry")
    well(page, script=script)
    return page


@pytest.mark.parametrize("script", [True, False])
def test_a_choice_of_language_keeps_what_is_typed_and_not_yet_sent(visit: Visitor, *, script: bool) -> None:
    page = visit(WISH, script=script)
    page.get_by_role("link", name="Ask the shop to make it").first.click()
    page.get_by_label("Your name").fill("Ada Example")
    page.locator("textarea").first.fill("She pulls.\nA lot.")
    page.get_by_role("button", name="Deutsch").click()
    expect(page.locator("html")).to_have_attribute("lang", "de")
    expect(page.locator("input[name=name]")).to_have_value("Ada Example")
    expect(page.locator("textarea").first).to_have_value("She pulls.\nA lot.")
    expect(page.locator("[role=alert], [aria-invalid]")).to_have_count(0)
    page.get_by_role("button", name="English").click()
    expect(page.get_by_label("Your name")).to_have_value("Ada Example")
    page.get_by_role("button", name=re.compile("^Ask ")).click()
    expect(page).to_have_title(re.compile("^Error: "))


def test_the_two_answers_stand_well_apart_on_a_phone(visit: Visitor, bench: Bench) -> None:
    page = ask(visit, 360, 740, script=True)
    bench.send(page)
    page.goto(page.url.replace("/o/", "/p/"))
    approve = page.get_by_role("button", name="Approve version 1").bounding_box()
    other = page.get_by_role("button", name="Ask for changes").bounding_box()
    assert approve is not None
    assert other is not None
    assert other["y"] - approve["y"] - approve["height"] > 200


def test_an_answer_to_a_proof_that_was_replaced_meanwhile_shows_the_new_one(
    visit: Visitor, bench: Bench
) -> None:
    page = ask(visit, 360, 740, script=True)
    bench.send(page)
    page.goto(page.url.replace("/o/", "/p/"))
    bench.send(page, neck=508.0)
    page.get_by_label("Your name").fill("Ada Example")
    page.get_by_role("button", name="Approve version 1").click()
    expect(page.get_by_text("The proof has changed, and nothing was recorded")).to_be_visible()
    expect(page.get_by_label("Your name")).to_have_value("Ada Example")
    well(page, script=True)
    page.get_by_role("button", name="Approve version 2").click()
    expect(page.get_by_text("Ada Example approved version 2.").first).to_be_visible()


def test_a_link_that_was_never_made_opens_nothing(visit: Visitor) -> None:
    page = visit("/o/" + "x" * 43)
    expect(page.get_by_role("heading", level=1)).to_have_text("There is nothing here")
    well(page, script=True)


def test_a_page_on_a_screen_tells_the_shop_that_it_was_looked_at(visit: Visitor) -> None:
    page = ask(visit, *SIZES[0], script=True)
    with page.expect_response(re.compile(r"/o/[A-Za-z0-9_-]{43}/seen$")) as told:
        page.reload()
    assert (told.value.request.method, told.value.status) == ("POST", 204)
