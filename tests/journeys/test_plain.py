"""The same story without any script: a form, its button, and whole pages."""

import pytest
from playwright.sync_api import expect

from tests.journeys.visitor import Visitor

pytestmark = pytest.mark.browser


def test_a_neck_becomes_a_collar_by_pressing_the_button(visit: Visitor) -> None:
    page = visit(script=False)
    expect(page.locator("#worn")).to_contain_text("Example.")
    page.locator("#field-neck").fill("19 in")
    page.locator("[name=finish][value=nickel]").check()
    page.get_by_role("button", name="Show it").click()
    assert "neck=19" in page.url
    expect(page.locator("#worn")).not_to_contain_text("Example")
    expect(page.locator("#worn svg").first).to_be_visible()
    expect(page.locator("#note-neck")).to_have_text("19 in (483 mm)")
    expect(page.locator("[name=finish][value=nickel]")).to_be_checked()
    expect(page.locator("#outcome .lead")).to_contain_text("27 1/2 in long")  # common practice: F + 8 1/2 in


def test_wrong_input_keeps_everything_and_leads_from_the_summary_to_the_field(visit: Visitor) -> None:
    page = visit(script=False)
    page.locator("#field-neck").fill("nineteen")
    page.locator("#wish summary", has_text="Lettering").click()
    page.locator("#field-lettering").fill("BELLA & CO")
    page.locator("[name=leather][value=moss]").check()
    with page.expect_response(lambda answer: "neck=nineteen" in answer.url) as answer:
        page.locator("#field-neck").press("Enter")
    assert answer.value.status == 422
    expect(page).to_have_title("Error: Collars and leads to measure – Oxlip Bench")
    expect(page.locator(".seat")).to_be_focused()
    expect(page.locator("#problems")).to_contain_text("One thing to put right")
    expect(page.locator("#field-neck")).to_have_value("nineteen")
    expect(page.locator("#field-neck")).to_have_attribute("aria-invalid", "true")
    expect(page.locator("#note-neck .wrong")).to_be_visible()
    expect(page.locator("#field-lettering")).to_have_value("BELLA & CO")
    expect(page.locator("[name=leather][value=moss]")).to_be_checked()
    page.locator("#problems a").click()
    assert page.url.endswith("#field-neck")


def test_an_empty_neck_is_asked_for(visit: Visitor) -> None:
    page = visit(script=False)
    page.get_by_role("button", name="Show it").click()
    expect(page.locator("#problems")).to_contain_text("One thing to put right")
    expect(page.locator("#field-neck")).to_have_attribute("aria-invalid", "true")


def test_an_error_in_a_folded_part_unfolds_it(visit: Visitor) -> None:
    page = visit("/?neck=19+in&holes=99", script=False)
    expect(page.locator("#field-holes")).to_be_visible()
    expect(page.locator("#note-holes .wrong")).to_be_visible()
    expect(page.locator("#wish .fold[open]")).to_have_count(1)


def test_an_unknown_parameter_is_said_and_can_be_left_out(visit: Visitor) -> None:
    page = visit("/?neck=19+in&colour=red", script=False)
    expect(page.locator("#problems")).to_contain_text("colour")
    page.locator("#problems a").first.click()
    assert "colour" not in page.url
    expect(page.locator("#worn svg").first).to_be_visible()


@pytest.mark.parametrize(("name", "holds"), [("price", "#price-line-1"), ("bench", "#joints")])
def test_what_few_look_at_is_a_page_of_its_own_and_leads_back(visit: Visitor, name: str, holds: str) -> None:
    page = visit("/?neck=19+in", script=False)
    page.locator(f"#{name}-fold > summary").click()
    page.locator(f"#{name}-fold a").click()
    assert f"/{name}?neck=19" in page.url
    expect(page.locator(holds)).to_be_visible()
    page.get_by_role("link", name="Back to the design").click()
    assert page.url.endswith("/?neck=19+in")


def test_the_guide_is_a_page_of_its_own_and_what_was_typed_comes_back(visit: Visitor) -> None:
    page = visit("/?neck=19+in", script=False)
    page.locator("#measure-fold > summary").click()
    page.locator("#measure-fold a").click()
    expect(page.locator(".ways img")).to_have_count(4)
    page.get_by_role("link", name="Back to the design").click()
    expect(page.locator("#field-neck")).to_have_value("19 in")


@pytest.mark.parametrize("script", [True, False], ids=["script", "no script"])
def test_another_collar_is_compared_with_this_one(visit: Visitor, script: bool) -> None:  # noqa: FBT001
    page = visit("/?neck=19+in&studs=2+in", script=script)
    page.get_by_role("link", name="Compare with another").click()
    expect(page.locator("#comparison")).to_contain_text("So far both are the same.")
    expect(page.locator("#field-neck")).to_have_value("19 in")
    page.locator("[name=leather][value=black]").check()
    page.locator("#field-neck").fill("nineteen")
    page.get_by_role("button", name="Compare").click()
    expect(page.locator("#note-neck .wrong")).to_be_visible()
    expect(page.locator("[name=leather][value=black]")).to_be_checked()
    page.locator("#field-neck").fill("19 in")
    page.get_by_role("button", name="Compare").click()
    expect(page.locator(".differs").first).to_contain_text("differs")
    expect(page.locator(".side").last).to_contain_text("Black bridle collar")
    page.get_by_role("link", name="Change the first instead").click()
    expect(page.locator("[name=leather]:checked")).to_have_value("chestnut")
    page.get_by_role("link", name="Go on with this one").first.click()
    expect(page.locator("#outcome .lead")).to_contain_text("Black bridle collar")


def test_what_only_a_script_can_do_is_not_offered(visit: Visitor) -> None:
    page = visit("/?neck=19+in", script=False)
    expect(page.locator("[data-do=copy]")).to_be_hidden()
    expect(page.locator("[data-do=share]")).to_be_hidden()
    expect(page.locator("#share-link")).to_be_visible()
