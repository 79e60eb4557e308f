"""The customer's page that follows an order."""

from datetime import date

import pytest

from service.orders import WORDS
from service.storage import Act, link_by_token, revoke_link
from tests.makers import parsed
from tests.web.customers import Customer, said


@pytest.fixture
def customer() -> Customer:
    return Customer()


def page(customer: Customer) -> str:
    answer = customer.browser.get(customer.order_page)
    assert answer.status_code == 200
    return answer.text


def test_it_says_the_stage_and_what_is_next(customer: Customer) -> None:
    text = said(page(customer))
    assert text.startswith("Enquiry The shop has your enquiry and will answer you.")
    assert "For Biscuit." in text
    assert "An estimate" in text
    assert "For walks. By Christmas." in text
    assert "19 in (483 mm)" in text
    assert "No day is promised yet." in text
    assert "Take the collar off in a crate" in text
    assert "/p/" not in page(customer)


def test_it_shows_its_own_address_to_keep(customer: Customer) -> None:
    (kept,) = parsed(page(customer)).xpath("//*[@id='share-link']/@value")
    assert kept == f"http://localhost:8000{customer.order_page}"


def test_a_promised_day_is_said_with_its_weekday(customer: Customer) -> None:
    customer.change(promised_on=date(2026, 12, 12))
    assert "Promised for Saturday, December 12, 2026." in said(page(customer))


def test_it_follows_the_order_to_its_end(customer: Customer) -> None:
    for stage in ("quoted", "proof-sent", "approved", "making", "ready", "handed-over"):
        if stage == "proof-sent":
            customer.proof()
            assert f'href="{customer.proof_page}"' in page(customer)
        elif stage == "approved":
            assert customer.answer(customer.form(), "approve", name="Ada Example").status_code == 303
        else:
            customer.change(stage=stage)
        tree = parsed(page(customer))
        words = WORDS[customer.order.stage]
        assert customer.order.stage == stage
        assert tree.xpath("//h1")[0].text == words.name
        assert words.customer in said(page(customer))
        assert [one.text_content() for one in tree.xpath("//li[@aria-current='step']")] == [words.name]
    rows = parsed(page(customer)).xpath("//ol[@class='history']/li")
    told = " ".join(" ".join(row.text_content().split()) for row in reversed(rows))
    marks = ("asked to make it", "Quoted", "sent version 1", "Ada Example approved version 1", "Making")
    places = [told.index(mark) for mark in marks]
    assert places == sorted(places)


def test_changes_that_were_asked_for_are_told_with_their_words(customer: Customer) -> None:
    customer.proof()
    customer.answer(customer.form(), "ask-changes", message="The neck is 20 in.")
    text = said(page(customer))
    assert text.startswith("Changes asked")
    assert "Changes to version 1 of the proof were asked for. The neck is 20 in." in text


def test_a_cancelled_order_says_so_and_has_no_way_left(customer: Customer) -> None:
    customer.change(stage="cancelled")
    assert said(page(customer)).startswith("Cancelled Nothing will be made.")
    assert not parsed(page(customer)).xpath("//ol[@class='way']")


def test_nobody_s_link_is_not_found(customer: Customer) -> None:
    assert customer.browser.get("/o/" + "x" * 43, headers={"Accept": "text/html"}).status_code == 404


def test_a_link_to_the_proof_does_not_open_the_order(customer: Customer) -> None:
    customer.proof()
    customer.link("only-the-proof")
    assert customer.browser.get("/p/only-the-proof").status_code == 200
    assert customer.browser.get("/o/only-the-proof").status_code == 404
    assert "/o/only-the-proof" not in customer.browser.get("/p/only-the-proof").text


def test_a_closed_link_is_gone_and_says_what_to_do(customer: Customer) -> None:
    with customer.shop.database.writing() as connection:
        link = link_by_token(connection, customer.order_page.removeprefix("/o/"))
        assert link is not None
        revoke_link(connection, link.id, Act("maker", "maker", customer.shop.now))
    answer = customer.browser.get(customer.order_page)
    assert answer.status_code == 410
    assert "Ask the shop for a new link." in said(answer.text)


def test_looking_changes_nothing(customer: Customer) -> None:
    customer.proof()
    before = customer.contents()
    for path in (customer.order_page, customer.proof_page, f"{customer.proof_page}/version-1.pdf"):
        assert customer.browser.get(path).status_code == 200
        assert customer.browser.head(path, headers={"Sec-Purpose": "prefetch"}).status_code == 200
    assert customer.contents() == before


def test_it_is_kept_by_no_cache_and_found_by_no_search(customer: Customer) -> None:
    for path in (customer.order_page, "/o/unknown"):
        headers = customer.browser.get(path).headers
        assert headers["Cache-Control"] == "no-store"
        assert headers["X-Robots-Tag"] == "noindex, nofollow, noarchive"


def test_that_it_was_looked_at_is_noted_when_the_pages_script_says_so_and_by_nothing_else(
    customer: Customer,
) -> None:
    customer.proof()
    for path in (customer.order_page, customer.proof_page):
        for method in ("GET", "HEAD", "OPTIONS"):
            before = customer.contents()
            customer.browser.request(method, path, headers={"Sec-Purpose": "prefetch"})
            customer.browser.request(method, f"{path}/seen")
            assert customer.contents() == before
        assert "js/seen" in customer.browser.get(path).text
    assert customer.browser.post(f"{customer.order_page}/seen").status_code == 204
    with customer.shop.database.reading() as connection:
        link = link_by_token(connection, customer.order_page.removeprefix("/o/"))
    assert link is not None
    assert link.seen_at is not None
    again = customer.contents()
    assert customer.browser.post(f"{customer.proof_page}/seen").status_code == 204
    assert customer.contents() == again, "looked at again so soon, it is not written again"


def test_a_link_there_is_not_is_not_noted_and_an_ended_one_says_nothing(customer: Customer) -> None:
    assert customer.browser.post("/o/none/seen").status_code == 404
    customer.link("ended", days=-1)
    before = customer.contents()
    assert customer.browser.post("/p/ended/seen").status_code == 204
    assert customer.contents() == before


def test_other_sites_can_not_say_that_it_was_looked_at(customer: Customer) -> None:
    before = customer.contents()
    answer = customer.browser.post(f"{customer.order_page}/seen", headers={"Sec-Fetch-Site": "cross-site"})
    assert answer.status_code == 403
    assert customer.contents() == before
