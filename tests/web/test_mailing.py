"""What is queued when: nothing without a mail server, and nothing twice."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest

from service.settings import MailServer, Settings
from service.storage import Database, mail_failed, mail_given_up, mails_of, take_due_mail
from tests.makers import parsed
from tests.web.customers import ASK, WHO, Customer, hidden, said
from tests.web.shop_makers import Shop, words

MAIL = replace(
    Settings(),
    origin="http://localhost:8000",
    smtp=MailServer("smtps", "mail.example", 465),
    mail_from="orders@collars.example",
    mail_shop="ola@collars.example",
)


def shop(settings: Settings = MAIL) -> Shop:
    """A shop that sends mail."""
    made = Shop()
    house = made.app.state.house
    made.app.state.house = replace(house, settings=replace(settings, data=house.settings.data))
    return made


def queued(shop: Shop, number: int = 1) -> list[str]:
    """The kinds of mail that wait about an order."""
    with shop.database.reading() as connection:
        return sorted(mail.kind for mail in mails_of(connection, shop.kept(number).id))


def ask_again(customer: Customer, **typed: str) -> Any:  # noqa: ANN401 - a response
    form = hidden(customer.browser.get(ASK).text)
    return customer.browser.post(ASK, data={**form, **WHO, **typed})


def test_an_enquiry_is_told_to_the_shop_and_to_whoever_asked() -> None:
    customer = Customer(shop())
    assert queued(customer.shop) == ["enquiry-to-customer", "enquiry-to-shop"]
    ask_again(customer, email="", phone="(201) 555-0123")
    assert queued(customer.shop, 2) == ["enquiry-to-shop"]


def test_the_same_form_sent_twice_is_mailed_once() -> None:
    customer = Customer(shop())
    form = hidden(customer.browser.get(ASK).text)
    for _ in range(2):
        customer.browser.post(ASK, data={**form, **WHO})
    assert queued(customer.shop, 2) == ["enquiry-to-customer", "enquiry-to-shop"]


def test_nobody_can_fill_anothers_letter_box_by_asking_again_and_again() -> None:
    customer = Customer(shop())
    for _ in range(4):
        assert ask_again(customer, email="ADA@mail.example").status_code == 303
    kinds = [queued(customer.shop, number) for number in range(1, 6)]
    assert sum("enquiry-to-customer" in one for one in kinds) == 3
    assert all("enquiry-to-shop" in one for one in kinds)


def test_an_answer_is_told_to_the_shop_once_and_an_approval_gets_its_receipt() -> None:
    customer = Customer(shop())
    customer.proof()
    form = customer.form()
    for _ in range(2):
        assert customer.answer(form, "ask-changes", message="Wider, please.").status_code == 303
    assert queued(customer.shop)[:1] == ["answer-to-shop"]
    customer.proof()
    customer.answer(customer.form(), "approve", name="Ada Example")
    assert queued(customer.shop) == [
        "answer-to-shop",
        "answer-to-shop",
        "enquiry-to-customer",
        "enquiry-to-shop",
        "receipt",
    ]


def test_without_a_mail_server_nothing_is_queued_and_the_pages_say_what_to_do_instead() -> None:
    customer = Customer()
    customer.proof()
    customer.answer(customer.form(), "approve", name="Ada Example")
    assert queued(customer.shop) == []
    page = customer.shop.maker.get("/shop/orders/1")
    assert "This service sends no mail: make a link here and hand it on yourself." in words(page)
    refused = customer.shop.post("/shop/orders/1/mail", purpose="proof")
    assert refused.status_code == 422
    assert "sends no mail" in refused.json()["detail"]
    assert "Nothing is lost by that" in words(customer.shop.maker.get("/shop/upkeep"))


def test_a_maker_has_a_link_mailed_and_pressing_twice_mails_it_once() -> None:
    there = shop()
    there.order()
    there.proof(1)
    page = parsed(there.maker.get("/shop/orders/1").text)
    (button,) = page.xpath('//button[@name="purpose"][@value="proof"][contains(., "ada@mail.example")]')
    assert "Mail proof 1 to ada@mail.example" in button.text_content()
    (key,) = page.xpath('//form[contains(@action, "/mail")]//input[@name="key"]/@value')
    for _ in range(2):
        assert there.post("/shop/orders/1/mail", purpose="proof", key=key).status_code == 303
    assert queued(there) == ["proof-link"]
    there.post("/shop/orders/1/mail", purpose="order")
    assert queued(there) == ["order-link", "proof-link"]
    links = parsed(there.maker.get("/shop/orders/1").text).xpath('string(//*[@id="links"])')
    assert "A link to the proof" in links
    assert "waits to be sent" in links


@pytest.mark.parametrize(
    ("fields", "said"),
    [
        ({"purpose": "proof"}, "There is no proof yet"),
        ({"purpose": "everything"}, "A link opens an order or a proof"),
    ],
)
def test_what_cannot_be_mailed_is_said(fields: dict[str, str], said: str) -> None:
    there = shop()
    there.order()
    answer = there.post("/shop/orders/1/mail", **fields)
    assert answer.status_code == 422
    assert said in answer.json()["detail"]
    assert queued(there) == []


def test_a_customer_without_an_address_is_mailed_nothing() -> None:
    customer = Customer(shop())
    ask_again(customer, email="", phone="(201) 555-0123")
    page = customer.shop.maker.get("/shop/orders/2")
    assert "add the customer's e-mail address" in words(page)
    assert customer.shop.post("/shop/orders/2/mail", purpose="order").status_code == 422


def test_whoever_may_only_read_mails_nothing() -> None:
    there = shop()
    there.order()
    assert "/mail" not in there.browsers["read-only"].get("/shop/orders/1").text
    assert there.post("/shop/orders/1/mail", "read-only", purpose="order").status_code == 403
    assert queued(there) == []


def fail(database: Database, *, given_up: bool) -> None:
    """The next mail that is due can't be handed over."""
    with database.writing() as connection:
        at = datetime.now(UTC)
        mail = take_due_mail(connection, at, at)
        assert mail is not None
        if given_up:
            mail_given_up(connection, mail, "refused: 550 No <b>such</b> person", at)
        else:
            mail_failed(connection, mail, "put-off: 451 Later", at + timedelta(hours=1))


def test_what_was_not_delivered_is_shown_to_the_shop_and_tried_again_when_it_says_so() -> None:
    customer = Customer(shop())
    there = customer.shop
    fail(there.database, given_up=True)
    fail(there.database, given_up=False)
    board = there.maker.get("/shop")
    assert "1 mail could not be delivered." in words(board)
    page = there.maker.get("/shop/upkeep")
    text = words(page)
    assert "1 waits, 1 given up." in text
    assert "The mail server refuses it: 550 No <b>such</b> person" in text
    assert "tried once, again" in text
    assert "ola@collars.example" in text
    (first, *_) = parsed(page.text).xpath('//input[@name="mail"]/@value')
    assert there.post("/shop/upkeep/mail", "read-only", mail=first).status_code == 403
    assert there.post("/shop/upkeep/mail", mail=first).headers["location"] == "/shop/upkeep"
    assert "2 wait, 0 given up." in words(there.maker.get("/shop/upkeep"))
    assert "could not be delivered" not in words(there.maker.get("/shop"))
    assert there.post("/shop/upkeep/mail", mail="none").status_code == 404
    assert "Try again" not in there.browsers["read-only"].get("/shop/upkeep").text


def test_the_health_of_the_service_tells_of_its_mail() -> None:
    customer = Customer(shop())
    fail(customer.shop.database, given_up=True)
    told = customer.browser.get("/healthz").json()["mail"]
    assert told["sent_out"] is True
    assert (told["waiting"], told["given_up"]) == (1, 1)
    assert 0 <= told["oldest_waits_s"] < 60


def test_a_customer_is_told_that_the_address_was_mailed_once_it_was() -> None:
    customer = Customer(shop())
    assert "mailed to you" not in said(customer.browser.get(customer.order_page).text)
    with customer.shop.database.writing() as connection:
        connection.exec_driver_sql("UPDATE mail_queue SET sent_at = due_at")
    assert "A link to it was mailed to you as well." in said(customer.browser.get(customer.order_page).text)
