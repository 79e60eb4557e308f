"""The page with its script: what changes while someone types, and what must not."""

import re
from urllib.parse import parse_qs, urlsplit

import pytest
from playwright.sync_api import Page, Route, expect

from tests.journeys.visitor import Visitor, Watch

pytestmark = pytest.mark.browser


def caret(page: Page) -> tuple[str, int]:
    where = page.evaluate("[document.activeElement.id, document.activeElement.selectionStart]")
    return str(where[0]), int(where[1])


def query(page: Page) -> dict[str, str]:
    return {name: values[-1] for name, values in parse_qs(urlsplit(page.url).query).items()}


def type_neck(page: Page, text: str) -> None:
    page.locator("#field-neck").click()
    page.keyboard.type(text, delay=40)


def test_the_first_page_shows_an_example_and_asks_for_the_neck(visit: Visitor) -> None:
    page = visit()
    expect(page.locator("#worn")).to_contain_text("Example.")
    expect(page.locator("#worn svg").first).to_be_visible()
    expect(page.locator("#field-neck")).to_have_value("")
    expect(page.locator("#problems")).to_be_hidden()


def test_typing_a_neck_changes_drawing_price_and_words_and_leaves_the_caret_alone(visit: Visitor) -> None:
    page = visit()
    drawn, price = page.locator("#worn svg").first.inner_html(), page.locator(".total").inner_text()
    type_neck(page, "24 in")
    expect(page.locator("#note-neck")).to_have_text("24 in (610 mm)")
    expect(page.locator(".total")).not_to_have_text(price)
    expect(page.locator("#worn")).not_to_contain_text("Example")
    assert page.locator("#worn svg").first.inner_html() != drawn
    expect(page.locator("#status")).to_contain_text("24 in")
    assert caret(page) == ("field-neck", 5)


def test_the_caret_stays_in_the_middle_of_a_word_and_the_input_is_the_same_one(visit: Visitor) -> None:
    page = visit("/?neck=16+in")
    neck = page.locator("#field-neck").element_handle()
    page.locator("#field-neck").click()
    page.keyboard.press("Home")
    page.keyboard.press("ArrowRight")
    page.keyboard.press("Delete")
    page.keyboard.type("8")
    expect(page.locator("#note-neck")).to_have_text("18 in (457 mm)")
    assert caret(page) == ("field-neck", 2)
    assert page.evaluate("(neck) => neck === document.activeElement", neck)


def test_the_address_is_the_design(visit: Visitor) -> None:
    page = visit()
    history = page.evaluate("history.length")
    type_neck(page, "19 in")
    page.locator("[name=finish]").nth(1).check()
    expect(page).to_have_url(re.compile("neck=19.*finish=nickel"))
    assert query(page)["neck"] == "19 in"
    assert "lettering" not in query(page)
    assert "weight" not in query(page)
    assert page.evaluate("history.length") == history
    shown = page.locator("#outcome .lead").inner_text()
    again = visit(page.url)
    assert again.locator("#outcome .lead").inner_text() == shown
    assert again.locator("#share-link").input_value() == page.locator("#share-link").input_value()


def test_wrong_input_is_kept_said_beside_its_field_and_in_the_summary_and_keeps_the_last_drawing(
    visit: Visitor,
) -> None:
    page = visit("/?neck=16+in&lettering=BELLA")
    drawn = page.locator("#worn svg").first.inner_html()
    neck = page.locator("#field-neck")
    neck.click()
    page.keyboard.press("End")
    page.keyboard.type("ches wide")
    expect(neck).to_have_attribute("aria-invalid", "true")
    expect(neck).to_have_value("16 inches wide")
    expect(page.locator("#note-neck .wrong")).to_be_visible()
    told = page.locator("#note-neck .wrong").inner_text()
    expect(page.locator("#problems")).to_contain_text("One thing to put right")
    expect(page.locator("#problems")).to_contain_text(told)
    expect(page.locator("#status")).to_contain_text(told)
    assert page.locator("#worn svg").first.inner_html() == drawn
    assert caret(page)[0] == "field-neck"
    assert page.locator("#field-lettering").input_value() == "BELLA"
    assert "note-neck" in str(neck.get_attribute("aria-describedby")).split()
    page.keyboard.press("ControlOrMeta+A")
    page.keyboard.type("17 in")
    expect(page.locator("#problems")).to_be_hidden()
    assert neck.get_attribute("aria-invalid") is None


def test_choosing_leather_before_a_neck_is_typed_shows_it_on_the_example_without_a_reproach(
    visit: Visitor,
) -> None:
    page = visit()
    page.locator("[name=leather][value=moss]").check()
    expect(page.locator("#outcome .lead")).to_contain_text("Moss")
    expect(page.locator("#note-neck")).to_contain_text("neck")
    expect(page.locator("#problems")).to_be_hidden()
    assert page.locator("#field-neck").get_attribute("aria-invalid") is None


def test_what_a_choice_says_of_the_others_follows_and_the_choice_keeps_the_focus(visit: Visitor) -> None:
    page = visit("/?neck=19+in&finish=brass")
    black = page.locator("label", has=page.locator("[name=finish][value=black]"))
    expect(black).not_to_contain_text("not complete")
    page.locator("[name=width][value='2 in']").check()
    expect(black).to_contain_text("not complete")
    assert page.locator("[name=width]:checked").input_value() == "2 in"
    assert page.evaluate("document.activeElement.value") == "2 in"


def test_an_answer_that_comes_late_does_not_undo_a_newer_one(visit: Visitor) -> None:
    page = visit()
    held: list[Route] = []
    page.route(re.compile("neck=20"), lambda route: held.append(route))  # noqa: PLW0108 - Playwright marks its handlers
    page.locator("#field-neck").fill("20 in")
    page.wait_for_timeout(500)
    page.locator("#field-neck").fill("21 in")
    expect(page.locator("#note-neck")).to_contain_text("21 in")
    assert held, "The first change was asked for."
    for route in held:
        route.abort()
    page.wait_for_timeout(200)
    expect(page.locator("#note-neck")).to_contain_text("21 in")
    expect(page.locator("#connection")).to_be_empty()


def test_what_was_unfolded_stays_unfolded(visit: Visitor) -> None:
    page = visit("/?neck=16+in")
    page.locator("#price-fold > summary").click()
    page.locator("#price-line-1 > summary").click()
    before = page.locator("#price-line-1 dl").text_content()
    page.locator("#field-neck").fill("25 in")
    expect(page.locator("#note-neck")).to_contain_text("25 in")
    expect(page.locator("#price-line-1 dl")).not_to_have_text(before or "")
    expect(page.locator("#price-line-1 dl")).to_be_visible()


def test_what_few_look_at_comes_when_it_is_unfolded_and_follows_what_is_typed(visit: Visitor) -> None:
    page = visit("/?neck=19+in")
    expect(page.locator("#bench-brought > *")).to_have_count(0)
    page.locator("#bench-fold > summary").click()
    expect(page.locator("#list-3")).to_contain_text("698.5 mm")  # common practice: F + 8 1/2 in
    expect(page.locator("#bench-fold > p")).to_be_hidden()
    page.locator("#field-neck").fill("20 in")
    expect(page.locator("#list-3")).to_contain_text("723.9 mm")
    page.locator("#bench-fold > summary").click()
    page.locator("#field-neck").fill("21 in")
    expect(page.locator("#bench-brought > *")).to_have_count(0)  # nothing is kept that is no longer so
    page.locator("#bench-fold > summary").click()
    expect(page.locator("#list-3")).to_contain_text("749.3 mm")


def test_the_guide_comes_once_and_stays_while_one_types(visit: Visitor) -> None:
    page = visit()
    asked: list[str] = []
    page.on("request", lambda request: asked.append(request.url) if "/measure" in request.url else None)
    page.locator("#measure-fold > summary").click()
    expect(page.locator("#measure-fold .ways img").first).to_be_visible()
    page.locator("#field-neck").fill("17 in")
    expect(page.locator("#note-neck")).to_contain_text("17 in")
    expect(page.locator("#measure-fold .ways img").first).to_be_visible()
    assert len([url for url in asked if url.rpartition("/")[2] == "measure"]) == 1


def test_what_does_not_come_is_said_and_its_link_stays(visit: Visitor) -> None:
    page = visit("/?neck=19+in")
    page.route(re.compile("/bench"), lambda route: route.abort())
    page.locator("#bench-fold > summary").click()
    expect(page.locator("#connection")).to_have_text("Not updated: no connection. Your entries are kept.")
    expect(page.locator("#bench-fold a")).to_be_visible()


def test_without_a_connection_it_says_so_and_keeps_everything(visit: Visitor) -> None:
    page = visit("/?neck=16+in")
    page.context.set_offline(True)
    page.locator("#field-neck").fill("18 in")
    expect(page.locator("#connection")).to_have_text("Not updated: no connection. Your entries are kept.")
    expect(page.locator("#field-neck")).to_have_value("18 in")
    expect(page.locator("#worn svg").first).to_be_visible()
    page.context.set_offline(False)
    page.locator("#field-neck").fill("18.5 in")
    expect(page.locator("#note-neck")).to_contain_text("18 1/2 in")
    expect(page.locator("#connection")).to_be_empty()


@pytest.mark.parametrize(("status", "said"), [(500, "can't answer just now"), (429, "too many changes")])
def test_an_answer_that_is_no_design_is_not_shown_as_one(visit: Visitor, status: int, said: str) -> None:
    page = visit("/?neck=16+in")
    address, drawn = page.url, page.locator("#worn svg").first.inner_html()
    page.route(re.compile("neck=18"), lambda route: route.fulfill(status=status, body="<p>Sorry</p>"))
    page.locator("#field-neck").fill("18 in")
    expect(page.locator("#connection")).to_contain_text(said)
    expect(page.locator("#connection")).to_contain_text("Your entries are kept.")
    assert page.locator("#worn svg").first.inner_html() == drawn
    assert page.url == address


def test_the_link_can_be_copied_and_shared(visit: Visitor, base: str) -> None:
    page = visit(
        "/?neck=16+in",
        before=lambda page: page.add_init_script(
            "navigator.share = async (what) => { window.shared = what; }"
        ),
    )
    page.context.grant_permissions(["clipboard-read", "clipboard-write"])
    page.locator("[data-do=copy]").click()
    expect(page.locator("#status")).to_have_text("Link copied")
    assert page.evaluate("navigator.clipboard.readText()") == f"{base}/?neck=16+in"
    page.locator("[data-do=share]").click()
    assert page.evaluate("window.shared.url") == f"{base}/?neck=16+in"


def test_a_way_out_of_a_problem_leads_to_a_design_that_works(visit: Visitor) -> None:
    page = visit("/?neck=99&lettering=BELLA")
    page.goto("/?neck=42&lettering=BELLA")
    page.locator("#note-neck .fixes a").first.click()
    expect(page.locator("#problems")).to_be_hidden()
    expect(page.locator("#field-neck")).to_have_value(re.compile("42 ?cm"))
    expect(page.locator("#field-lettering")).to_have_value("BELLA")


def test_going_back_shows_the_page_of_the_address(visit: Visitor) -> None:
    page = visit()
    page.locator("#field-neck").fill("18 in")
    expect(page).to_have_url(re.compile("neck=18"))
    page.goto("/nowhere")
    expect(page.locator("h1")).to_be_visible()
    page.go_back()
    expect(page.locator("#field-neck")).to_have_value("18 in")
    expect(page.locator("#note-neck")).to_contain_text("18 in")
    expect(page.locator("#worn svg").first).to_be_visible()


def test_nothing_moves_while_someone_types(visit: Visitor) -> None:
    page = visit()
    type_neck(page, "16 1/2 in")
    expect(page.locator("#note-neck")).to_contain_text("419")
    page.keyboard.type("x")
    expect(page.locator("#problems")).to_be_visible()
    page.keyboard.press("Backspace")
    expect(page.locator("#problems")).to_be_hidden()
    page.wait_for_timeout(300)
    assert sum(page.evaluate("window.shifts")) < 0.01


def test_a_refusal_with_a_way_out_moves_only_what_is_below_it_and_little(visit: Visitor) -> None:
    page = visit()
    before = page.locator("#field-neck").bounding_box()
    type_neck(page, "42")
    expect(page.locator("#note-neck .fixes a")).to_be_visible()
    page.wait_for_timeout(300)
    assert page.locator("#field-neck").bounding_box() == before
    assert sum(page.evaluate("window.shifts")) < 0.05


def test_a_shift_would_be_noticed(visit: Visitor) -> None:
    page = visit()
    page.evaluate("document.querySelector('.stage').before('One line')")
    page.wait_for_timeout(300)
    assert sum(page.evaluate("window.shifts")) > 0.01


def test_a_breach_of_the_policy_would_be_noticed(visit: Visitor, watch: Watch) -> None:
    page = visit()
    page.evaluate("document.body.setAttribute('style', 'color: red')")
    page.wait_for_timeout(200)
    assert watch.breaches
    watch.breaches.clear()


def test_the_estimate_of_strength_comes_when_it_is_unfolded_and_follows_what_is_typed(visit: Visitor) -> None:
    page = visit("/?neck=19+in&weight=55+lb")
    expect(page.locator("#estimate")).to_have_count(0)
    page.locator("#strength-fold > summary").click()
    expect(page.locator("#estimate")).to_contain_text("never a rating")
    expect(page.locator("#estimate")).to_contain_text("17 % of 1400 N")
    page.locator("#field-weight").fill("5 kg")
    expect(page.locator("#estimate")).to_contain_text("of 630 N")
    page.locator("#estimate .downloads a").first.click()
    expect(page).to_have_url(re.compile("width="))


def test_a_way_out_leads_back_to_its_field_and_not_to_the_top(visit: Visitor) -> None:
    page = visit("/?neck=45+cm&throat=45+mm&border=leaf", width=360, height=740)
    page.locator("#note-border .fixes a").first.click()
    expect(page).to_have_url(re.compile("throat=45[^#]*#field-border$"))
    expect(page.locator("#note-border .wrong")).to_have_count(0)
    expect(page.locator("#tags-border label", has=page.locator("input:checked"))).to_be_in_viewport()
    expect(page.locator("input[name=border]:checked")).to_be_focused()


def test_a_lead_asks_for_a_neck_where_it_is_a_slip_lead_or_the_neck_is_wrong(visit: Visitor) -> None:
    page = visit("/?kind=lead")
    neck = page.locator(".fold:has(#field-neck)")
    expect(neck).to_be_hidden()
    page.locator("[name=make][value=slip]").check()
    expect(neck).to_be_visible()
    page.locator("[name=make][value=one-piece]").check()
    expect(neck).to_be_hidden()
    assert visit("/?kind=lead&neck=one").locator("#field-neck").is_visible()
