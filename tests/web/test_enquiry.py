"""Asking the shop to make a design."""

from typing import Any

import pytest

from service.orders import sha256_hex
from service.pricing import estimate
from service.storage import (
    Database,
    customer_by_id,
    dogs_of,
    link_by_token,
    links_of,
    measurements_of,
)
from service.web import enquiry
from tests.makers import LINK, client, parsed, pattern, workshop
from tests.web.customers import ASK, WHO, Customer, full_disk, hidden, said
from tests.web.shop_makers import Shop


@pytest.fixture
def shop() -> Shop:
    return Shop()


def send(shop: Shop, path: str = ASK, **typed: str) -> Any:  # noqa: ANN401 - a response
    browser = client(shop.app)
    browser.follow_redirects = False
    return browser.post(path, data={**hidden(browser.get(ASK).text), **WHO, **typed})


def test_the_configurator_leads_to_it_with_the_whole_design(shop: Shop) -> None:
    page = parsed(client(shop.app).get(f"/?{LINK}&lettering=BISCUIT").text)
    links = page.xpath("//a[starts-with(@href, '/ask')]/@href")
    assert links
    assert all("lettering=BISCUIT" in link and "neck=19+in" in link for link in links)


def test_the_example_can_not_be_asked_for(shop: Shop) -> None:
    assert "/ask" not in client(shop.app).get("/").text


def test_it_shows_the_collar_what_was_chosen_and_the_price(shop: Shop) -> None:
    answer = client(shop.app).get(ASK)
    price = estimate(pattern(lettering="BISCUIT"), workshop()).total
    assert answer.status_code == 200
    assert f"${price}" in said(answer.text)
    assert "BISCUIT" in said(answer.text)
    assert len(parsed(answer.text).xpath("//figure/*[local-name()='svg']")) == 2


def test_an_enquiry_is_kept_whole_and_leads_to_its_page(shop: Shop) -> None:
    answer = send(shop)
    assert answer.status_code == 303
    order, token = shop.kept(1), answer.headers["location"].removeprefix("/o/")
    price = estimate(pattern(lettering="BISCUIT", weight="45 lb"), workshop()).total
    assert (order.stage, order.quote_minor, order.currency) == ("enquiry", int(price * 100), "USD")
    assert order.design == pattern(lettering="BISCUIT", weight="45 lb").spec
    assert [row.code for row in order.kept.leathers] == ["chestnut"]
    assert order.notes == "For walks.\nBy Christmas."
    with shop.database.reading() as connection:
        customer = customer_by_id(connection, order.customer_id)
        (dog,) = dogs_of(connection, customer.id)
        measured = {row.what: (row.typed, row.value) for row in measurements_of(connection, dog.id)}
        answers = {row.what: (row.fingers, row.coat) for row in measurements_of(connection, dog.id)}
        link = link_by_token(connection, token)
    assert (customer.name, customer.email, dog.name) == ("Ada Example", "ada@mail.example", "Biscuit")
    assert measured["neck"] == ("19 in", 482.6)
    assert measured["weight"][0] == "45 lb"
    assert answers == {"neck": (2, "short"), "weight": (None, None)}
    assert link is not None
    assert (link.order_id, link.purpose) == (order.id, "order")


def test_only_the_hash_of_the_page_s_secret_is_kept() -> None:
    customer = Customer()
    token = customer.order_page.removeprefix("/o/")
    assert len(token) == 43
    assert token not in str(customer.contents())
    with customer.shop.database.reading() as connection:
        assert [link.token_hash for link in links_of(connection, customer.order.id)] == [
            sha256_hex(token.encode())
        ]


def test_the_same_form_sent_twice_is_one_order(shop: Shop) -> None:
    browser = client(shop.app)
    browser.follow_redirects = False
    data = {**hidden(browser.get(ASK).text), **WHO}
    first, second = (browser.post(ASK, data=data) for _ in range(2))
    assert (first.status_code, second.status_code) == (303, 303)
    assert first.headers["location"] == second.headers["location"]
    assert shop.maker.get("/shop/orders/2").status_code == 404


def test_the_same_form_with_other_words_is_asked_about_and_keeps_them(shop: Shop) -> None:
    browser = client(shop.app)
    browser.follow_redirects = False
    data = {**hidden(browser.get(ASK).text), **WHO}
    where = browser.post(ASK, data=data).headers["location"]
    again = browser.post(ASK, data={**data, "notes": "Wider, please."})
    assert again.status_code == 409
    assert where in again.text
    assert "Wider, please." in again.text
    assert hidden(again.text)["key"] != data["key"]
    assert shop.kept(1).notes == "For walks.\nBy Christmas."
    assert browser.post(ASK, data={**data, **hidden(again.text)}).status_code == 303
    assert shop.kept(2).number == 2


@pytest.mark.parametrize(
    ("typed", "field", "word"),
    [
        ({"name": " "}, "name", "Type your name"),
        ({"email": "", "phone": ""}, "email", "needs one of them"),
        ({"email": "ada at mail"}, "email", "one @"),
        ({"phone": "call me"}, "phone", "area code"),
        ({"dog": ""}, "dog", "dog's name"),
        ({"notes": "a\x07b"}, "notes", "can't be shown"),
        ({"notes": "x" * 2001}, "notes", "2000 is the most"),
        ({"name": "x" * 81}, "name", "80 is the most"),
        ({"agreed": ""}, "agreed", "Tick this"),
    ],
)
def test_what_is_wrong_is_said_beside_its_field_and_nothing_is_lost(
    shop: Shop, typed: dict[str, str], field: str, word: str
) -> None:
    answer = send(shop, **typed)
    page = parsed(answer.text)
    assert answer.status_code == 422
    assert word in page.xpath(f"//*[@id='mistake-{field}']")[0].text_content()
    assert page.xpath(f"//*[@class='wrongs']//a[@href='#field-{field}']")
    assert page.xpath(f"//*[@id='field-{field}']/@aria-invalid") == ["true"]
    kept = {**WHO, **typed}
    assert page.xpath("//*[@id='field-dog']/@value") == [kept["dog"]]
    assert page.xpath("//*[@id='field-email']/@value") == [kept["email"]]
    assert shop.maker.get("/shop/orders/1").status_code == 404


def test_a_phone_number_alone_is_enough(shop: Shop) -> None:
    assert send(shop, email="", phone="(201) 555-0123").status_code == 303


def test_a_form_without_its_key_is_not_taken_and_gets_a_new_one(shop: Shop) -> None:
    answer = send(shop, key="short")
    assert answer.status_code == 422
    assert len(hidden(answer.text)["key"]) == 43
    assert "Biscuit" in answer.text


def test_a_design_that_can_not_be_made_any_more_keeps_the_form_and_names_what_would(shop: Shop) -> None:
    answer = send(shop, f"/ask?{LINK.replace('chestnut', 'cork')}")
    page = parsed(answer.text)
    assert answer.status_code == 422
    assert "can’t be made" in said(answer.text)
    assert page.xpath("//*[@id='field-name']/@value") == ["Ada Example"]
    (way, *_) = page.xpath("//button[@name='look']/@formaction")
    seen = send(shop, way, look="1")
    assert seen.status_code == 200
    assert "Ada Example" in seen.text
    assert shop.maker.get("/shop/orders/1").status_code == 404


def test_an_unmakeable_design_is_the_configurator_s_to_explain(shop: Shop) -> None:
    answer = client(shop.app).get("/ask?neck=99", headers={"Accept": "text/html"})
    assert answer.status_code == 422
    assert 'id="wish"' in answer.text


def test_a_full_disk_loses_nothing_that_was_typed(shop: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(enquiry, "take_enquiry", full_disk)
    answer = send(shop)
    assert answer.status_code == 503
    assert answer.headers["Retry-After"]
    assert "Biscuit" in answer.text
    monkeypatch.undo()
    again = client(shop.app).post(ASK, data={**hidden(answer.text), **WHO}, follow_redirects=False)
    assert again.status_code == 303
    assert isinstance(shop.database, Database)


def test_only_the_service_s_own_page_can_send_it(shop: Shop) -> None:
    browser = client(shop.app)
    form = hidden(browser.get(ASK).text)
    answer = browser.post(ASK, data={**form, **WHO}, headers={"Sec-Fetch-Site": "cross-site"})
    assert answer.status_code == 403


def test_it_is_kept_by_no_cache_and_found_by_no_search(shop: Shop) -> None:
    headers = client(shop.app).get(ASK).headers
    assert headers["Cache-Control"] == "no-store"
    assert "noindex" in headers["X-Robots-Tag"]


def test_markup_in_what_is_typed_is_shown_as_it_is(shop: Shop) -> None:
    answer = send(shop, name="<b>Ada</b>", notes="</textarea><script>x</script>", agreed="")
    assert "<b>Ada" not in answer.text
    assert "<script>x" not in answer.text
