"""The configurator on another site, in a real browser: two sites of this machine, one listed and one not."""

import re
import subprocess
import sys
from collections.abc import Iterator
from functools import partial
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from threading import Thread

import pytest
from playwright.sync_api import Browser, FrameLocator, Page, expect

from tests.journeys.conftest import PROJECT, environment, serving
from tests.journeys.test_door import PASSWORD, sign_in
from tests.journeys.test_everyone import UNFOLD, violations
from tests.journeys.test_maker import OVER, TARGETS
from tests.journeys.visitor import Visitor, Watch

pytestmark = pytest.mark.browser

SITE = """<!doctype html><html lang="en"><head><meta charset="utf-8"><title>A saddler's own site</title>
<meta name="viewport" content="width=device-width, initial-scale=1"></head>
<body><h1>A saddler's own site</h1>{line}<p id="after">Opening hours</p></body></html>"""
ISOLATED = {"Cross-Origin-Opener-Policy": "same-origin", "Cross-Origin-Embedder-Policy": "require-corp"}
WIDTHS = (360, 1280)


class Site(SimpleHTTPRequestHandler):
    """A site of few words; its isolated pages ask for isolation."""

    def end_headers(self) -> None:
        if "isolated" in self.path:
            for name, value in ISOLATED.items():
                self.send_header(name, value)
        super().end_headers()

    def log_message(self, *_: object) -> None:
        pass


@pytest.fixture(scope="module")
def base(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """A service of its own with an owner."""
    folder = tmp_path_factory.mktemp("embedding")
    with serving(folder) as (address, _log):
        add = [sys.executable, "-m", "service", "member", "add", "Ola Owner", "--role", "owner"]
        command = [*add, "--data", str(folder / "data")]
        env = environment(folder / "data")
        subprocess.run(command, cwd=PROJECT, env=env, input=f"{PASSWORD}\n", text=True, check=True)
        yield address


@pytest.fixture(scope="module")
def site(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[str, Path]]:
    """Another site of this machine: its address, and the folder of its pages."""
    folder = tmp_path_factory.mktemp("site")
    server = ThreadingHTTPServer(("127.0.0.1", 0), partial(Site, directory=folder))
    Thread(target=server.serve_forever, daemon=True).start()
    yield f"http://127.0.0.1:{server.server_port}", folder
    server.shutdown()
    server.server_close()


@pytest.fixture(scope="module")
def lines(base: str, site: tuple[str, Path], browser: Browser) -> dict[str, str]:
    """The lines that the shop's page offers once the owner has listed the site."""
    page = Visitor(base, browser, Watch(base))("/shop/connections")
    sign_in(page)
    page.get_by_label("Addresses of sites").fill(site[0])
    page.get_by_role("button", name="Keep this list").click()
    expect(page.get_by_role("status").filter(has_text="in force")).to_be_visible()
    found = {
        name: page.get_by_label(name, exact=True).input_value()
        for name in ("With a script", "Without a script")
    }
    page.context.close()
    return found


def page_on(visit: Visitor, site: tuple[str, Path], line: str, name: str = "page", width: int = 360) -> Page:
    """A page of the other site with that line in it."""
    (site[1] / f"{name}.html").write_text(SITE.format(line=line), encoding="utf-8")
    return visit(f"{site[0]}/{name}.html", width=width)


def frame_of(page: Page) -> FrameLocator:
    return page.frame_locator("iframe")


@pytest.fixture
def visit(base: str, site: tuple[str, Path], browser: Browser) -> Iterator[Visitor]:
    """A visitor of both sites; nothing may go wrong on either."""
    watch = Watch(base)
    yield Visitor(base, browser, watch)
    for context in browser.contexts:
        watch.leave(context)
    assert watch.breaches == []
    assert watch.faults == []
    assert watch.told == []
    assert [one for one in watch.elsewhere if not one.startswith(site[0])] == []


def no_bars(page: Page) -> bool:
    """Whether the frame is as tall as what is in it."""
    inside = page.frames[1]
    return bool(inside.evaluate("document.documentElement.scrollHeight <= window.innerHeight"))


@pytest.mark.parametrize("width", WIDTHS)
@pytest.mark.parametrize("name", ["page", "isolated"])
def test_one_line_shows_the_configurator_and_the_frame_fits_what_is_in_it(
    visit: Visitor, site: tuple[str, Path], lines: dict[str, str], width: int, name: str
) -> None:
    page = page_on(visit, site, lines["With a script"], name, width)
    assert page.evaluate("window.crossOriginIsolated") == (name == "isolated")
    frame = frame_of(page)
    expect(page.locator("iframe")).to_have_attribute(
        "title", re.compile("^Collars and leads to measure, by ")
    )
    expect(frame.locator("html")).to_have_class(re.compile("sized"))
    page.wait_for_function("document.querySelector('iframe').clientHeight > 2000")
    assert no_bars(page)
    before = page.locator("iframe").bounding_box()
    frame.get_by_label("neck", exact=False).first.fill("19 in")
    expect(frame.locator("#made")).to_have_text("Your design")
    frame.locator("details.fold summary").first.click()
    page.wait_for_function(
        f"document.querySelector('iframe').clientHeight > {before['height'] if before else 0}"
    )
    page.wait_for_timeout(300)
    assert no_bars(page)
    after, paragraph = page.locator("iframe").bounding_box(), page.locator("#after").bounding_box()
    assert after is not None
    assert paragraph is not None
    assert paragraph["y"] >= after["y"] + after["height"]
    assert not page.evaluate("document.documentElement.scrollWidth > innerWidth")
    assert (
        page.frames[1].url.endswith("/embed?neck=19+in&measured=existing-collar")
        or "neck=19" in page.frames[1].url
    )


def test_jumps_within_the_frame_move_the_page_round_it(
    visit: Visitor, site: tuple[str, Path], lines: dict[str, str]
) -> None:
    page = page_on(visit, site, lines["With a script"])
    expect(frame_of(page).locator("html")).to_have_class(re.compile("sized"))
    page.wait_for_function("document.querySelector('iframe').clientHeight > 2000")
    frame_of(page).locator("a.jump").click()
    page.wait_for_function("window.scrollY > 500")


@pytest.mark.parametrize("width", WIDTHS)
def test_the_drawing_stays_in_sight_while_the_page_round_the_frame_scrolls(
    visit: Visitor, site: tuple[str, Path], lines: dict[str, str], width: int
) -> None:
    page = page_on(visit, site, lines["With a script"], width=width)
    expect(frame_of(page).locator("html")).to_have_class(re.compile("sized"))
    page.wait_for_function("document.querySelector('iframe').clientHeight > 2000")
    leather = frame_of(page).locator("#field-leather, #tags-leather").first
    leather.scroll_into_view_if_needed()
    page.evaluate("window.scrollBy(0, 200)")
    page.wait_for_timeout(500)
    hero, price = (
        frame_of(page).locator(".hero").bounding_box(),
        frame_of(page).locator("#till").bounding_box(),
    )
    assert hero is not None
    assert price is not None
    assert -180 <= hero["y"] <= 60  # of its two views on a phone one may leave
    assert 100 <= price["y"] <= 740
    page.evaluate("window.scrollTo(0, 0)")
    page.wait_for_timeout(500)
    moved = page.frames[1].evaluate("document.querySelector('.hero').style.translate")
    assert moved in {"0px", "0px 0px"}


def test_asking_for_the_collar_opens_a_window_that_is_in_no_frame(
    visit: Visitor, site: tuple[str, Path], lines: dict[str, str], base: str
) -> None:
    page = page_on(visit, site, lines["With a script"])
    frame = frame_of(page)
    frame.get_by_label("neck", exact=False).first.fill("19 in")
    expect(frame.locator("#made")).to_have_text("Your design")
    with page.context.expect_page() as opened:
        frame.get_by_role("link", name=re.compile("Ask the shop to make it")).first.click()
    window = opened.value
    visit.watch.follow(window)
    window.wait_for_load_state()
    assert window.url.startswith(f"{base}/ask?neck=19+in")
    assert window.evaluate("window.top === window && window.opener === null")
    expect(window.get_by_role("heading", level=1)).to_be_visible()
    # The form is taken: it comes from a page of the service, whatever site led there.
    window.get_by_role("button", name=re.compile("to make it$")).click()
    expect(window.get_by_role("alert").or_(window.locator("[aria-invalid]").first).first).to_be_visible()


@pytest.mark.parametrize("query", ["", "?leather=chestnut&neck=42+cm"])
def test_a_design_in_the_lines_address_is_begun_with(
    visit: Visitor, site: tuple[str, Path], lines: dict[str, str], query: str
) -> None:
    line = lines["With a script"].replace("/embed.js", f"/embed.js{query}".replace("&", "&amp;"))
    page = page_on(visit, site, line)
    expect(frame_of(page).locator("#made")).to_have_text("Your design" if query else "An example")


def test_without_a_script_the_frame_scrolls_inside(
    visit: Visitor, site: tuple[str, Path], lines: dict[str, str]
) -> None:
    page = page_on(visit, site, lines["Without a script"])
    expect(frame_of(page).locator("#made")).to_have_text("An example")
    assert not no_bars(page)
    frame_of(page).get_by_label("neck", exact=False).first.fill("19 in")
    expect(frame_of(page).locator("#made")).to_have_text("Your design")


def test_a_site_that_is_not_listed_gets_a_link_instead(
    base: str, site: tuple[str, Path], lines: dict[str, str], browser: Browser
) -> None:
    watch = Watch(base)
    elsewhere = site[0].replace("127.0.0.1", "localhost")  # the same server, and another origin
    (site[1] / "other.html").write_text(SITE.format(line=lines["With a script"]), encoding="utf-8")
    page = Visitor(base, browser, watch)(f"{elsewhere}/other.html")
    link = page.get_by_role("link", name=re.compile("^Collars and leads to measure, by "))
    expect(link).to_be_visible(timeout=20_000)
    assert link.get_attribute("href") == f"{base}/"
    assert "frame-ancestors" in " ".join(watch.breaches)
    assert page.locator("iframe").count() == 0
    page.context.close()


def test_messages_of_others_move_nothing(
    visit: Visitor, site: tuple[str, Path], lines: dict[str, str]
) -> None:
    page = page_on(visit, site, lines["With a script"])
    page.wait_for_function("document.querySelector('iframe').clientHeight > 2000")
    page.wait_for_timeout(300)
    before = page.evaluate("document.querySelector('iframe').clientHeight")
    page.evaluate("postMessage({ girthwright: { height: 321 } }, '*')")
    page.evaluate(
        "document.body.append(Object.assign(document.createElement('iframe'), "
        "{ srcdoc: '<script>parent.postMessage({ girthwright: { height: 321 } }, \"*\")</script>' }))"
    )
    page.wait_for_timeout(500)
    assert page.evaluate("document.querySelector('iframe').clientHeight") == before


@pytest.mark.parametrize("width", WIDTHS)
def test_the_framed_page_is_for_everyone(visit: Visitor, width: int) -> None:
    page = visit("/embed?neck=19+in", width=width)
    page.evaluate(UNFOLD)
    assert violations(page) == []
    assert page.evaluate(TARGETS) == []
    assert page.evaluate(OVER) == []


@pytest.mark.parametrize("width", WIDTHS)
@pytest.mark.parametrize("dark", [False, True])
def test_the_connections_page_is_for_everyone(
    visit: Visitor,
    lines: dict[str, str],
    width: int,
    dark: bool,  # noqa: FBT001
) -> None:
    assert lines
    page = visit("/shop/connections", width=width, dark=dark)
    sign_in(page)
    page.get_by_label("What it is for").fill(f"The books {width} {dark}")
    page.get_by_label("Your password").fill(PASSWORD)
    page.get_by_role("button", name="Make a key").click()
    expect(page.get_by_label("shown this once")).to_have_value(re.compile("^gwk_"))
    assert violations(page) == []
    assert page.evaluate(TARGETS) == []
    assert page.evaluate(OVER) == []
    page.get_by_role("button", name=re.compile(f"The books {width} {dark}")).click()
    expect(page.get_by_role("status").filter(has_text="opens nothing")).to_be_visible()
