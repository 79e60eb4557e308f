"""For everyone: narrow and wide, light and dark, by keyboard, on a slow line, by WCAG 2.2."""

import re
from itertools import pairwise
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page, Response, expect

from service.design import KINDS
from tests.journeys.visitor import Visitor

pytestmark = pytest.mark.browser

EXAMPLE = "/"
DONE = "/?neck=16+1%2F2+in&lettering=BISCUIT&studs=2+in&weight=22+lb&style=heel-bar"
ERROR = "/?neck=99&holes=40&lettering=BISCUIT"
FULL = (
    "/?neck=36+in&width=1+1%2F2+in&style=heel-bar&holes=12&studs=1+in&lettering=BISCUIT+OF+OXLIP+0199"
    "&weight=30+lb&fastening=screw-post&measured=tape-snug&border=scallop"
)
ERRORS = "/?neck=x&weight=fat&width=9&holes=99&pitch=q&studs=z&lettering=%C3%89&stamp=x&colour=red"
STRENGTH = "/strength?neck=19+in&weight=55+lb&studs=2+in"
PRICE, BENCH = "/price?neck=19+in&studs=2+in", "/bench?neck=36+in&style=heel-bar&holes=12&studs=1+in"
COMPARED = "/compare?first-neck=19+in&first-weight=55+lb&neck=36+in&width=1+1%2F2+in&lettering=BISCUIT"
COMPARED_KINDS = "/compare?first-kind=limited-slip&first-neck=16+in&first-head=20+in&kind=lead&studs=2+in"
COMPARED_WRONG = "/compare?first-neck=19+in&first-colour=red&neck=99&holes=99"
SLIP = "/?kind=limited-slip&neck=16+in&head=19+in&weight=55+lb&border=rope"
LEAD = "/?kind=lead&make=two-part&length=72+in&weight=55+lb&studs=2+in&lettering=BISCUIT&letters=plate"
BOTH = "/?kind=set&neck=46+cm&make=traffic-loop&width=1+in&lacing=whip&lettering=BISCUIT&letters=gold"
STATES = (
    *(EXAMPLE, DONE, SLIP, LEAD, BOTH, ERROR, ERRORS, STRENGTH, PRICE, BENCH, "/files?neck=19+in"),
    *(COMPARED, COMPARED_KINDS, COMPARED_WRONG, "/measure", "/match", "/nowhere"),
)
WIDTHS = (320, 360, 1280)
RULES = {
    "runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"],
    "resultTypes": ["violations"],
}
COLOURS = {"runOnly": {"type": "rule", "values": ["color-contrast"]}, "resultTypes": ["violations"]}

FIRST_LOAD = 60_000  # bytes of bodies, compressed as they are sent

UNFOLD = "document.querySelectorAll('details').forEach((one) => { one.open = true; })"
TARGETS = """[...document.querySelectorAll(
  'button, summary, input[type=text], .tag, .fixes a, .downloads a, .jump, .head-shop a')]
  .map((one) => [one, one.getBoundingClientRect()])
  .filter(([one, box]) => one.checkVisibility() && box.width && (box.height < 44 || box.width < 44))
  .map(([one, box]) => `${one.outerHTML.slice(0, 80)}: ${box.width} x ${box.height}`)"""
OVER = """[...document.querySelectorAll('main *')]
  .filter((one) => one.checkVisibility() && !one.closest('svg, .aside'))
  .filter((one) => one.getBoundingClientRect().right > innerWidth + 0.5)
  .map((one) => one.outerHTML.slice(0, 80))"""
GAPS = """[...document.querySelectorAll('.tags')].flatMap((tags) => {
  const boxes = [...tags.children].map((tag) => tag.getBoundingClientRect());
  return boxes.flatMap((a, i) => boxes.slice(i + 1).map((b) =>
    Math.max(b.left - a.right, a.left - b.right, b.top - a.bottom, a.top - b.bottom)));
}).filter((gap) => gap < 7.9)"""
LOOSE_ENDS = """[...document.querySelectorAll('[aria-describedby]')]
  .flatMap((one) => one.getAttribute('aria-describedby').split(' '))
  .filter((id) => !document.getElementById(id))"""
PILE = (".seat", ".stage")
BROKEN = """[...document.querySelectorAll('.tag > span, legend, label, summary, h2, h3, th, td, dt, dd')]
  .filter((one) => one.checkVisibility())
  .flatMap((one) => {
    const words = [], texts = document.createTreeWalker(one, NodeFilter.SHOW_TEXT);
    while (texts.nextNode()) for (const found of texts.currentNode.data.matchAll(/[^\\s-]+/g)) {
      const range = document.createRange();
      range.setStart(texts.currentNode, found.index);
      range.setEnd(texts.currentNode, found.index + found[0].length);
      const lines = new Set([...range.getClientRects()].map((box) => Math.round(box.top)));
      if (lines.size > 1) words.push(found[0]);
    }
    return words;
  })"""
RUN_INTO = """[...document.querySelectorAll('.strip text')].flatMap((a, i, all) =>
  all.slice(i + 1).filter((b) => {
    const [one, other] = [a, b].map((text) => text.getBoundingClientRect());
    return one.left < other.right && other.left < one.right
      && one.top < other.bottom && other.top < one.bottom;
  }).map((b) => `${a.textContent} / ${b.textContent}`))"""
HIDDEN_FOCUS = """() => {
  const one = document.activeElement, box = one.getBoundingClientRect();
  const x = Math.min(Math.max(box.left + box.width / 2, 1), innerWidth - 1);
  const seen = [box.top + 3, box.top + box.height / 2, box.bottom - 3].filter((y) => {
    const top = document.elementFromPoint(x, y);
    return top && (one === top || one.contains(top) || top.contains(one));
  });
  return seen.length ? '' : `${one.outerHTML.slice(0, 80)} at ${box.top}`;
}"""


def violations(page: Page, rules: dict[str, Any] = RULES) -> list[str]:
    found: list[dict[str, Any]] = Axe().run(page, options=rules).response["violations"]
    return [f"{one['id']}: {one['help']}\n  {node['html'][:160]}" for one in found for node in one["nodes"]]


@pytest.mark.parametrize("script", [True, False], ids=["script", "no script"])
@pytest.mark.parametrize("state", STATES)
def test_axe_finds_nothing(visit: Visitor, state: str, script: bool) -> None:  # noqa: FBT001
    def without(page: Page) -> None:
        if not script:  # axe itself needs scripts to run, so those of the page are kept from it
            page.route(re.compile(r"\.js"), lambda route: route.abort())

    page = visit(state, before=without)
    page.evaluate(UNFOLD)
    for width in (WIDTHS[0], WIDTHS[-1]) if script else WIDTHS[1:2]:
        page.set_viewport_size({"width": width, "height": 740})
        assert violations(page) == []
    if script:
        page.emulate_media(color_scheme="dark")
        assert violations(page, COLOURS) == []


@pytest.mark.parametrize(
    "wrong", [{"neck": "sixteen"}, {"neck": "42", "weight": "fat", "holes": "99", "lettering": "É"}]
)
def test_axe_finds_nothing_while_the_last_drawing_stands_in(visit: Visitor, wrong: dict[str, str]) -> None:
    page = visit(DONE)
    page.evaluate(UNFOLD)
    for name, text in wrong.items():
        page.locator(f"#field-{name}").fill(text)
        expect(page.locator(f"#note-{name} .wrong")).to_be_visible()
    expect(page.locator("#problems")).to_be_visible()
    for scheme in ("light", "dark"):
        page.emulate_media(color_scheme=scheme)
        assert violations(page) == []


@pytest.mark.parametrize("language", ["en", "de"])
@pytest.mark.parametrize(
    "asked",
    [
        "neck=19+in&style=heel-bar",
        "neck=12+in&ring_at=fold",
        "kind=limited-slip&neck=14+in&head=17+in",
        "kind=lead&length=60+in&make=one-piece",
    ],
)
def test_no_label_of_the_flat_strap_runs_into_another(visit: Visitor, asked: str, language: str) -> None:
    page = visit(f"/?{asked}", before=lambda page: page.set_extra_http_headers({"Accept-Language": language}))
    assert page.locator(".strip text").count() > 4
    assert page.evaluate(RUN_INTO) == []


@pytest.mark.parametrize("asked", ["neck=5+in", "kind=limited-slip&neck=15+in&head=14+in"])
def test_what_is_wrong_is_read_whole_on_a_phone(visit: Visitor, asked: str) -> None:
    page = visit(f"/?{asked}", before=lambda page: page.set_extra_http_headers({"Accept-Language": "de"}))
    page.set_viewport_size({"width": 360, "height": 640})
    assert (
        page.evaluate(
            "(({scrollHeight, clientHeight}) => scrollHeight - clientHeight)(document.querySelector('.seat'))"
        )
        == 0
    )


def test_axe_finds_what_is_wrong_with_a_bad_page(browser: Any) -> None:  # noqa: ANN401 - Playwright's browser
    page = browser.new_page()
    page.set_content(
        "<title>Bad</title><main><h1>Bad</h1>"
        "<p style='color: #ccc; background: #fff'>pale</p><input><img src='x'></main>"
    )
    found = " ".join(violations(page))
    page.close()
    assert all(rule in found for rule in ("color-contrast", "label", "image-alt", "html-has-lang"))


@pytest.mark.parametrize("state", STATES)
def test_nothing_reaches_over_the_side(visit: Visitor, state: str) -> None:
    page = visit(state)
    page.evaluate(UNFOLD)
    for width in WIDTHS:
        page.set_viewport_size({"width": width, "height": 740})
        assert page.evaluate("document.documentElement.scrollWidth") <= width
        assert page.evaluate(OVER) == []


def test_what_is_touched_is_large_and_apart(visit: Visitor) -> None:
    page = visit(DONE)
    page.evaluate(UNFOLD)
    for width in WIDTHS:
        page.set_viewport_size({"width": width, "height": 740})
        assert page.evaluate(TARGETS) == []
        assert page.evaluate(GAPS) == []


def test_on_a_phone_two_views_as_broad_as_the_screen_come_with_the_price_and_the_neck(visit: Visitor) -> None:
    for width, height in ((360, 640), (360, 740), (412, 915)):
        page = visit(DONE, width=width, height=height)
        views = [page.locator("#worn svg").nth(k).bounding_box() for k in (0, 1)]
        neck, total = (page.locator(which).bounding_box() for which in ("#field-neck", ".total"))
        for box in (*views, neck, total):
            assert box is not None
            assert box["y"] >= 0
            assert box["y"] + box["height"] <= height
        for view in views:
            assert view is not None
            assert view["width"] == width
            assert view["height"] > 140


@pytest.mark.parametrize(("width", "height"), [(360, 740), (740, 360), (800, 1000), (1280, 900)])
def test_what_adorns_a_limited_slip_collar_is_as_well_in_sight_as_its_girths(
    visit: Visitor, width: int, height: int
) -> None:
    page = visit("/?kind=limited-slip&neck=45+cm&head=52+cm&lettering=BELLA", width=width, height=height)
    stage = page.locator(".stage").bounding_box()
    tight, opened, outside = (page.locator("#worn svg").nth(k).bounding_box() for k in (0, 1, 2))
    assert stage is not None
    for box in (tight, opened, outside):
        assert box is not None
        assert box["y"] + box["height"] <= stage["y"] + stage["height"] + 1
        assert box["height"] >= 0.62 * stage["height"] or box is outside
    assert outside is not None
    assert outside["width"] >= 0.45 * stage["width"]
    page.locator("[name=fastening]").last.scroll_into_view_if_needed()
    if height > 500:
        expect(page.locator("#worn svg").nth(2)).to_be_in_viewport(ratio=0.95)


def test_on_a_phone_the_collar_stays_in_sight_and_leaves_room_for_the_form(visit: Visitor) -> None:
    page = visit(DONE, width=360, height=740)
    page.locator("[name=style]").last.scroll_into_view_if_needed()
    box, ring_side = (page.locator(which).bounding_box() for which in (".hero", "#worn svg >> nth=1"))
    assert box is not None
    assert ring_side is not None
    assert 0 <= ring_side["y"] < 1
    assert ring_side["height"] > 0.2 * 740
    assert box["y"] + box["height"] < 0.36 * 740
    flat = visit(DONE, width=740, height=360)
    flat.locator("[name=style]").last.scroll_into_view_if_needed()
    box = flat.locator(".hero").bounding_box()
    assert box is not None
    assert box["y"] < 0


@pytest.mark.parametrize("state", [DONE, ERRORS])
def test_no_word_is_broken_in_two(visit: Visitor, state: str) -> None:
    page = visit(state)
    page.evaluate(UNFOLD)
    page.wait_for_load_state("networkidle")  # what is fetched once it is unfolded
    for width in WIDTHS:
        page.set_viewport_size({"width": width, "height": 740})
        assert page.evaluate(BROKEN) == []


def test_a_long_list_of_problems_leaves_the_form_where_it_was_and_leads_to_each_field(visit: Visitor) -> None:
    page = visit(ERRORS)
    seat, stage = (page.evaluate(f"document.querySelector('{one}').offsetHeight") for one in PILE)
    assert 0 < seat <= 0.7 * stage + 1
    ways = page.locator("#problems .complaints a[href^='#field-']")
    assert ways.count() == 8
    for at in range(ways.count()):
        way = ways.nth(at)
        name = str(way.get_attribute("href")).removeprefix("#field-")
        way.click()
        assert page.evaluate("document.activeElement.name") == name
        assert page.evaluate(HIDDEN_FOCUS) == ""
    assert page.evaluate("document.querySelector('.hero').getBoundingClientRect().bottom") < 0.45 * 740


@pytest.mark.parametrize(("width", "height"), [(360, 740), (1280, 800)])
def test_whatever_has_the_focus_can_be_seen(visit: Visitor, width: int, height: int) -> None:
    page = visit(DONE, width=width, height=height)
    page.evaluate(UNFOLD)
    hidden, stops = [], 0
    for key in ("Tab", "Shift+Tab"):
        for _ in range(60):
            page.keyboard.press(key)
            if page.evaluate("document.activeElement === document.body"):
                break
            stops += 1
            hidden.append(page.evaluate(HIDDEN_FOCUS))
    assert stops > 60
    assert [where for where in hidden if where] == []


def test_the_whole_story_by_keyboard(visit: Visitor) -> None:
    page = visit()
    press = page.keyboard.press
    press("Tab")
    expect(page.get_by_role("link", name="Skip to the design")).to_be_focused()
    press("Enter")
    press("Tab")
    expect(page.get_by_role("link", name="Details")).to_be_focused()
    press("Tab")
    expect(page.locator("#field-neck")).to_be_focused()
    page.keyboard.type("19 in")
    press("Tab")
    expect(page.locator("#field-weight")).to_be_focused()
    for _ in KINDS:
        press("Tab")
        expect(page.locator(".kinds a:focus")).to_have_count(1)
    press("Tab")
    expect(page.locator("[name=measured]:checked")).to_be_focused()
    press("ArrowDown")
    expect(page.locator("#outcome .lead")).to_contain_text("for a neck of 19 in")
    expect(page.locator("[name=measured]:checked")).to_be_focused()
    for _ in range(12):
        press("Tab")
        if page.evaluate("document.activeElement.textContent.trim()") == "Lettering":
            break
    press("Enter")
    press("Tab")
    expect(page.locator("#field-lettering")).to_be_focused()
    page.keyboard.type("bella")
    expect(page.locator("#note-lettering")).to_have_text("Stamped as BELLA")
    press("Enter")
    expect(page).to_have_url(re.compile("lettering=bella"))
    expect(page.locator("#outcome .lead")).to_contain_text("BELLA")


@pytest.mark.parametrize("state", [EXAMPLE, DONE])
def test_every_name_and_heading_is_in_order(visit: Visitor, state: str) -> None:
    page = visit(state)
    levels = [
        int(tag[1])
        for tag in page.evaluate("[...document.querySelectorAll('h1,h2,h3,h4')].map((one) => one.tagName)")
    ]
    assert levels[0] == 1
    assert levels.count(1) == 1
    assert all(after - before <= 1 for before, after in pairwise(levels))
    assert page.evaluate(LOOSE_ENDS) == []


@pytest.mark.parametrize("language", ["en", "de"])
@pytest.mark.parametrize("state", [EXAMPLE, DONE, FULL, ERRORS])
def test_a_first_load_is_light(visit: Visitor, state: str, language: str) -> None:
    answers: list[Response] = []

    def look(page: Page) -> None:
        page.set_extra_http_headers({"Accept-Language": language})
        page.on("response", lambda answer: answers.append(answer))  # noqa: PLW0108 - Playwright marks its handlers

    page = visit(state, before=look)
    expect(page.locator("html")).to_have_attribute("lang", language)
    page.wait_for_load_state("networkidle")
    weights = {answer.url: answer.request.sizes()["responseBodySize"] for answer in answers}
    table = "\n".join(f"{weight:7,} {url}" for url, weight in weights.items())
    print(f"\n{table}\n{sum(weights.values()):7,} in all")  # noqa: T201 - what was measured is worth reading
    assert len(weights) >= 6, table
    assert sum(weights.values()) < FIRST_LOAD, table


def test_print_leaves_the_form_out_and_says_that_it_is_not_to_scale(visit: Visitor) -> None:
    page = visit(DONE, width=794)
    page.emulate_media(media="print")
    expect(page.locator("#wish")).to_be_hidden()
    expect(page.locator("#worn svg").first).to_be_visible()
    expect(page.get_by_text("Not to scale: cut from the PDF pattern.")).to_be_visible()
