"""Signing in with a real browser, with and without script, on a phone and on a desk."""

import re
import subprocess
import sys
from collections.abc import Iterator

import pytest
from playwright.sync_api import Page, expect
from pyotp import TOTP

from tests.journeys.conftest import PROJECT, environment, serving
from tests.journeys.test_everyone import COLOURS, UNFOLD, violations
from tests.journeys.test_maker import OVER, TARGETS
from tests.journeys.visitor import Visitor

pytestmark = pytest.mark.browser

PASSWORD = "four plain words here"  # noqa: S105 - of a member of a store made for this
WIDTHS = (360, 1280)


@pytest.fixture(scope="module")
def base(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """The address of a fresh service whose first member was made by the command that it names."""
    folder = tmp_path_factory.mktemp("door")
    with serving(folder) as (address, log):
        assert "Nobody can sign in yet" in log.read_text(encoding="utf-8")
        add = [sys.executable, "-m", "service", "member", "add", "Ola Owner", "--role", "owner"]
        command = [*add, "--data", str(folder / "data")]
        env = environment(folder / "data")
        subprocess.run(command, cwd=PROJECT, env=env, input=f"{PASSWORD}\n", text=True, check=True)
        yield address


def sign_in(page: Page, name: str = "Ola Owner", password: str = PASSWORD) -> None:
    page.get_by_label("Name", exact=True).fill(name)
    page.get_by_label("Password", exact=True).fill(password)
    page.get_by_role("button", name="Sign in").click()


@pytest.mark.parametrize("width", WIDTHS)
@pytest.mark.parametrize("script", [True, False], ids=["script", "no script"])
def test_a_member_signs_in_adds_another_and_signs_out(visit: Visitor, width: int, script: bool) -> None:  # noqa: FBT001
    page = visit("/shop/quote", width=width, script=script)
    expect(page.get_by_role("heading", name="Sign in")).to_be_visible()
    sign_in(page, password="not that one")  # noqa: S106 - a wrong one
    expect(page.get_by_role("alert")).to_contain_text("don't belong together")
    expect(page.get_by_label("Name", exact=True)).to_have_value("Ola Owner")
    expect(page.get_by_label("Password", exact=True)).to_have_value("")
    sign_in(page)
    expect(page).to_have_url(re.compile("/shop/quote$"))
    # On a phone the bar has no room for "Members": the foot of every page leads there too.
    (
        page.locator(".foot").get_by_role("link", name="Members") if script else page.locator(".who-name")
    ).click()
    name = f"Mia {'With' if script else 'Without'} {width}"
    page.get_by_label("Name", exact=True).fill(name)
    page.locator("#new-password").fill("short")
    page.get_by_role("button", name="Add this member").click()
    expect(page.get_by_role("alert")).to_contain_text("from 12 to 128")
    expect(page.get_by_label("Name", exact=True)).to_have_value(name)
    page.locator("#new-password").fill("another four plain words")
    page.get_by_role("button", name="Add this member").click()
    expect(page.get_by_role("status")).to_contain_text("can sign in")
    page.get_by_role("button", name="Sign out").click()
    expect(page.get_by_role("status")).to_contain_text("signed out")
    sign_in(page, name, "another four plain words")
    expect(page).to_have_url(re.compile("/shop$"))
    expect(page.get_by_role("link", name="Members")).to_have_count(0)
    page.get_by_role("link", name=name).click()
    expect(page.get_by_role("heading", name="Your sign-in")).to_be_visible()


def test_after_signing_out_the_browser_shows_nothing_when_it_goes_back(visit: Visitor) -> None:
    page = visit("/shop/members")
    sign_in(page)
    expect(page.get_by_role("heading", name="Members", exact=True)).to_be_visible()
    page.get_by_role("button", name="Sign out").click()
    expect(page.get_by_role("status")).to_contain_text("signed out")
    page.go_back()
    expect(page.get_by_role("heading", name="Sign in")).to_be_visible()


def test_scripts_do_not_see_the_session(visit: Visitor) -> None:
    page = visit("/shop")
    sign_in(page)
    expect(page).to_have_url(re.compile("/shop$"))
    assert page.evaluate("document.cookie") == ""
    (cookie,) = page.context.cookies()
    assert (cookie["name"], cookie["httpOnly"], cookie["sameSite"]) == ("s", True, "Lax")


def test_another_sites_page_cannot_send_a_form(visit: Visitor) -> None:
    page = visit("/shop/members")
    sign_in(page)
    expect(page.get_by_role("heading", name="Members", exact=True)).to_be_visible()
    form = f"""<form method="post" action="{visit.base}/shop/sign-out"><button>Win</button></form>"""
    page.route("http://elsewhere.example/", lambda route: route.fulfill(body=form, content_type="text/html"))
    page.goto("http://elsewhere.example/")
    page.get_by_role("button", name="Win").click()
    expect(page.get_by_role("heading", name="That was not sent from here")).to_be_visible()
    page.goto("/shop/members")
    expect(page.get_by_role("heading", name="Members", exact=True)).to_be_visible()
    visit.watch.elsewhere.remove("http://elsewhere.example/")


def test_axe_finds_nothing_and_a_thumb_finds_everything(visit: Visitor) -> None:
    page = visit("/shop/members")
    states = [page.url]

    def looked_at() -> None:
        for width in WIDTHS:
            page.set_viewport_size({"width": width, "height": 740})
            page.evaluate(UNFOLD)
            found = [*violations(page), *page.evaluate(OVER), *page.evaluate(TARGETS)]
            assert found == [], f"{page.url} at {width} px"
            assert page.evaluate("document.documentElement.scrollWidth <= innerWidth"), page.url
        page.emulate_media(color_scheme="dark")
        assert violations(page, COLOURS) == [], page.url
        page.emulate_media(color_scheme="light")
        states.append(page.url)

    looked_at()
    sign_in(page, password="not that one")  # noqa: S106 - a wrong one
    looked_at()
    expect(page.get_by_role("alert")).to_be_focused()
    sign_in(page)
    page.get_by_label("Name", exact=True).fill("Rea Reader With A Rather Long Name")
    page.locator("#new-password").fill("another four plain words")
    page.get_by_role("button", name="Add this member").click()
    expect(page.get_by_role("status")).to_be_visible()
    looked_at()
    page.get_by_label("Name", exact=True).fill("rea reader with a rather long name")
    page.get_by_role("button", name="Add this member").click()
    expect(page.get_by_role("alert")).to_be_focused()
    looked_at()
    assert len(states) == 5


def test_a_second_factor_is_asked_for_and_what_was_typed_outlives_a_session(visit: Visitor) -> None:
    page = visit("/shop/members")
    sign_in(page)

    def looked_at() -> None:
        for width in WIDTHS:
            page.set_viewport_size({"width": width, "height": 740})
            found = [*violations(page), *page.evaluate(OVER), *page.evaluate(TARGETS)]
            assert found == [], f"{page.url} at {width} px"

    page.get_by_label("Name", exact=True).fill("Fay Factor")
    page.get_by_label("What they may do").last.select_option("owner")
    page.locator("#new-password").fill("another four plain words")
    page.get_by_role("button", name="Add this member").click()
    expect(page.get_by_role("status")).to_contain_text("can sign in")
    page.get_by_role("button", name="Sign out").click()
    sign_in(page, "Fay Factor", "another four plain words")
    page.goto("/shop/members")
    page.get_by_text("Second factor: off").click()
    page.locator("#factor-now").fill("another four plain words")
    page.get_by_role("button", name="Set it up").click()
    expect(page.get_by_role("heading", name="Set up a second factor")).to_be_visible()
    looked_at()
    secret = page.locator(".secret").inner_text().replace(" ", "")
    page.get_by_label("Then type the code").fill(TOTP(secret).now())
    page.get_by_role("button", name="Turn it on").click()
    spare = page.locator(".spare-codes code").first.inner_text()
    looked_at()
    page.get_by_role("link", name="I have kept them").click()
    page.get_by_text("Second factor: on").click()
    looked_at()
    page.goto("/shop/data")
    looked_at()
    page.goto("/shop/catalogue/workshop")
    page.get_by_label("Name", exact=True).fill("Ferry Lane “Leather” & Söhne")
    page.context.clear_cookies()
    page.locator("main form button[type=submit]").first.click()
    expect(page.get_by_role("status")).to_contain_text("What you typed is kept")
    looked_at()
    sign_in(page, "Fay Factor", "another four plain words")
    expect(page.get_by_role("heading", name="Your code")).to_be_visible()
    looked_at()
    page.get_by_label("Code of six figures").fill(spare)
    page.get_by_role("button", name="Go in").click()
    expect(page.get_by_role("heading", name="Not sent yet")).to_be_visible()
    expect(page.get_by_text("Ferry Lane “Leather” & Söhne")).to_be_visible()
    looked_at()
    page.get_by_role("button", name="Send it now").click()
    expect(page.locator(".head-shop")).to_have_text("Ferry Lane “Leather” & Söhne")
