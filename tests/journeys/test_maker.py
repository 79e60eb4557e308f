"""A maker's day in a real browser: a quote from a phone, an order, a proof, a link to hand over."""

import re
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from service.storage import (
    Act,
    Member,
    MemberSession,
    add_member,
    open_database,
    start_session,
    token_hash,
    workshop_ids,
)
from tests.journeys.conftest import serving
from tests.journeys.test_everyone import COLOURS, UNFOLD, violations
from tests.journeys.visitor import Visitor
from tests.stores import store_of

pytestmark = pytest.mark.browser

WIDTHS = (360, 1280)
TARGETS = """[...document.querySelectorAll(
  'main button, main summary, main input:not([type=hidden], [type=radio]), main textarea, main select,' +
  '.bar a, .tag, .ticket, .fixes a, .downloads a')]
  .map((one) => [one, (one.closest('.tick') ?? one).getBoundingClientRect()])
  .filter(([one, box]) => one.checkVisibility() && box.width && (box.height < 44 || box.width < 44))
  .map(([one, box]) => `${one.outerHTML.slice(0, 80)}: ${box.width} x ${box.height}`)"""
OVER = """[...document.querySelectorAll('main *')]
  .filter((one) => one.checkVisibility() && !one.closest('svg, .aside, .stages-bar, .jumps'))
  .filter((one) => one.getBoundingClientRect().right > innerWidth + 0.5)
  .map((one) => one.outerHTML.slice(0, 80))"""
QR_MM = "document.querySelector('svg.qr').getBoundingClientRect().width / 96 * 25.4"
SECRET = "maker-of-the-journeys"  # noqa: S105 - of a session in a store of its own


def move_in(data: Path) -> None:
    """Somebody of the workshop is signed in."""
    database, now = open_database(store_of(data)), datetime.now(UTC)
    with database.writing() as connection:
        shop, act = workshop_ids(connection)[0], Act("maker", "mia", now)
        add_member(connection, Member("mia", shop, "Mia Maker", "no password", "owner", None, now), act)
        until = now + timedelta(days=1)
        start_session(connection, MemberSession(token_hash(SECRET), "mia", "a browser", now, now, until), act)
    database.close()


@pytest.fixture(scope="module")
def base(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """The address of a service of its own, in which a maker is signed in."""
    folder = tmp_path_factory.mktemp("maker")
    with serving(folder) as (address, _log):
        move_in(folder / "data")
        yield address


def signed_in(page: Page, base: str) -> None:
    """Have a page seen by somebody who is signed in."""
    page.context.add_cookies([{"name": "s", "value": SECRET, "url": base}])


def opened(visit: Visitor, path: str, *, width: int = 360, script: bool = True) -> Page:
    """A page of the shop, seen by somebody who is signed in."""
    height = 740 if width < 800 else 900
    return visit(
        path, width=width, height=height, script=script, before=lambda page: signed_in(page, visit.base)
    )


def quoted(page: Page, name: str, neck: str, *, script: bool) -> str:
    """A quote sent from the page that is open; the text of its link."""
    page.get_by_label("Neck", exact=True).fill(neck)
    page.get_by_role("radio", name="Tape, snug").check()
    if not script:
        page.get_by_role("button", name="Show the price").click()
    expect(page.locator("#quote-till .total")).to_contain_text("$")
    expect(page.locator("#sent-design button")).to_be_visible()
    page.get_by_role("link", name="Send this quote").click()
    page.get_by_label("Customer's name").fill(name)
    page.get_by_label("Phone or e-mail").fill("(201) 555-0123")
    page.get_by_label("Dog's name").fill("Rex")
    page.get_by_role("button", name="Make the link").click()
    expect(page.get_by_role("heading", name=f"Link for {name}")).to_be_visible()
    return page.get_by_label("The link, as text").input_value()


@pytest.mark.parametrize(("width", "script"), [(360, False), (1280, True)])
def test_a_quote_becomes_an_order_a_proof_and_a_link(visit: Visitor, width: int, script: bool) -> None:  # noqa: FBT001
    page = opened(visit, "/shop/quote", width=width, script=script)
    name = f"Ada {'With' if script else 'Without'} {width}"
    link = quoted(page, name, "19 in", script=script)
    assert re.fullmatch(rf"{visit.base}/o/[A-Za-z0-9_-]{{43}}", link)
    page.get_by_role("link", name="Back to order").click()
    page.get_by_role("button", name="Make proof 1").click()
    expect(page.get_by_role("heading", name="Proof sent")).to_be_visible()
    expect(page.locator("#links .answer")).to_have_text("No answer yet")
    page.get_by_role("button", name="Link to proof 1").click()
    proof = page.get_by_label("The link, as text").input_value()
    assert re.fullmatch(rf"{visit.base}/p/[A-Za-z0-9_-]{{43}}", proof)
    page.get_by_role("button", name="Revoke it for good").click()
    expect(page.get_by_text("Revoked")).to_be_visible()
    page.get_by_role("link", name="Orders", exact=True).click()
    page.get_by_label("Find an order").fill(f"{name} rex")
    page.get_by_role("button", name="Find").click()
    expect(page.locator(".ticket")).to_have_count(1)


def test_the_price_follows_what_is_typed_and_what_is_typed_to_send_it_stays(visit: Visitor) -> None:
    page = opened(visit, "/shop/quote")
    page.get_by_label("Neck", exact=True).fill("12 in")
    expect(page.locator("#quote-till .total")).to_contain_text("$")
    first = page.locator("#quote-till .total").inner_text()
    page.get_by_label("Customer's name").fill("Bo Placeholder")
    page.get_by_label("Neck", exact=True).fill("24 in")
    expect(page.locator("#quote-till .total")).not_to_have_text(first)
    expect(page.get_by_label("Customer's name")).to_have_value("Bo Placeholder")
    expect(page.locator("#sent-design input[name=neck]")).to_have_value("24 in")
    page.get_by_label("Neck", exact=True).fill("99 in")
    expect(page.locator("#wrong")).to_contain_text("Neck")
    expect(page.locator("#sent-design button")).to_have_count(0)


def test_the_price_and_the_next_tap_stay_in_reach_of_a_thumb(visit: Visitor) -> None:
    page = opened(visit, "/shop/quote?neck=19+in")
    for place in (0, 400, 900):
        page.evaluate(f"window.scrollTo(0, {place})")
        box = page.get_by_role("link", name="Send this quote").bounding_box()
        assert box is not None
        assert 740 / 2 < box["y"] < 740 - box["height"]


def test_a_code_is_printed_large_enough_to_be_read(visit: Visitor) -> None:
    page = opened(visit, "/shop/quote")
    quoted(page, "Cy Printed", "17 in", script=True)
    page.emulate_media(media="print")
    assert page.evaluate(QR_MM) >= 25


def test_a_changed_design_is_looked_over_and_kept(visit: Visitor) -> None:
    page = opened(visit, "/shop/quote")
    quoted(page, "Di Changed", "18 in", script=True)
    page.get_by_role("link", name="Back to order").click()
    page.get_by_role("link", name="Change the design").click()
    page.get_by_label("Neck", exact=True).fill("20 in")
    expect(page.locator("#keep tbody")).to_contain_text("20 in (508 mm)")
    page.get_by_role("button", name="Keep this design").click()
    expect(page.locator("#people .used")).to_contain_text("20 in (508 mm)")
    expect(page.locator("#trail")).to_contain_text("The design was changed")


def test_axe_finds_nothing_and_a_thumb_finds_everything(visit: Visitor) -> None:
    page = opened(visit, "/shop/quote")
    quoted(page, "Eve Looked-At-Closely", "15 in", script=True)
    link = page.url
    page.get_by_role("link", name="Back to order").click()
    order = page.url
    page.get_by_role("button", name="Make proof 1").click()
    customer = page.get_by_role("link", name="Eve Looked-At-Closely", exact=True).get_attribute("href") or ""
    shop = ("/shop", "/shop?q=nobody", "/shop/quote", "/shop/quote?neck=19+in", "/shop/quote?neck=99+in")
    for path in (
        *shop,
        "/shop/customers",
        "/shop/upkeep",
        customer,
        order,
        f"{order}/design?neck=20+in",
        link,
    ):
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
