"""The quick quote: three fields to a price, two taps to an order with a link."""

import re
from datetime import timedelta
from decimal import Decimal

import pytest

from service.pricing import estimate
from service.storage import (
    Act,
    change_columns,
    customer_by_id,
    link_by_token,
    links_of,
    list_orders,
    measurements_of,
)
from tests.makers import SHOP, parsed, pattern, workshop
from tests.web.shop_makers import Shop, words

DESIGN = {
    "neck": "16 1/2 in",
    "measured": "tape-snug",
    "width": "3/4 in",
    "leather": "black",
    "finish": "nickel",
}


PLAIN = {"measured": "existing-collar", "width": "1 in", "leather": "chestnut", "finish": "brass"}


@pytest.fixture
def shop() -> Shop:
    return Shop()


def form(shop: Shop, **typed: str) -> dict[str, str]:
    """What the second step sends for a design that is shown."""
    page = parsed(shop.maker.get("/shop/quote", params=DESIGN).text)
    hidden = {one.get("name"): one.get("value") for one in page.xpath('//section[@id="send"]//input')}
    return {**hidden, "name": "Ada Example", "contact": "(201) 555-0123", "called": "Rex", **typed}


def orders(shop: Shop) -> int:
    with shop.database.reading() as connection:
        return len(list_orders(connection, SHOP))


def test_the_page_begins_with_what_is_measured_and_no_complaint(shop: Shop) -> None:
    response = shop.maker.get("/shop/quote")
    assert response.status_code == 200
    page = parsed(response.text)
    assert page.xpath('//*[contains(@class, "wrong")]') == []
    names = page.xpath('//form[@id="wish"]/*//input[not(ancestor::details)]/@name')
    assert list(dict.fromkeys(names)) == ["neck", "weight", "measured", "width", "leather", "finish"]


def test_the_price_is_the_estimate_and_the_margin_is_the_shops(shop: Shop) -> None:
    said = words(shop.maker.get("/shop/quote", params=DESIGN))
    quote = estimate(pattern(**DESIGN), workshop())
    margin = next(line.amount for line in quote.lines if line.code == "margin")
    assert f"${quote.total}" in said
    assert f"Margin ${margin}, {margin / quote.before_tax * 100:.0f} %" in said
    assert f"{round(quote.minutes)} min at the bench" in said


@pytest.mark.parametrize("typed", [{"neck": "99 in"}, {"neck": "16 in", "width": "7 in"}, {"width": "1 in"}])
def test_what_cannot_be_made_says_what_would_work_on_this_page(shop: Shop, typed: dict[str, str]) -> None:
    response = shop.maker.get("/shop/quote", params=typed)
    assert response.status_code == 422
    page = parsed(response.text)
    assert page.xpath('//div[@id="wrong" and not(@hidden)]//a/@href') != []
    assert all(href.startswith("/shop/quote?") for href in page.xpath('//ul[@class="fixes"]//a/@href'))
    assert page.xpath('//section[@id="send"]//button') == []


def test_for_a_script_only_what_changes_comes_back(shop: Shop) -> None:
    response = shop.maker.get("/shop/quote", params=DESIGN, headers={"HX-Request": "true"})
    assert "<hx-partial" in response.text
    assert "<html" not in response.text
    assert response.headers["vary"].startswith("HX-Request")


def test_a_sent_quote_is_an_order_with_a_link_in_the_stage_quoted(shop: Shop) -> None:
    answer = shop.post("/shop/quote", **form(shop))
    assert answer.status_code == 303
    path = answer.headers["location"]
    assert path.startswith("/shop/orders/1/links/")
    kept = shop.kept(1)
    total = estimate(pattern(**DESIGN), workshop()).total
    assert (kept.stage, kept.quote_minor, kept.currency) == ("quoted", int(total * 100), "USD")
    assert kept.design == pattern(**DESIGN).spec
    assert kept.promised_on == shop.app.state.house.today + timedelta(days=21)
    with shop.database.reading() as connection:
        customer = customer_by_id(connection, kept.customer_id)
        measured = measurements_of(connection, kept.dog_id or "")
    assert (customer.name, customer.phone, customer.email) == ("Ada Example", "(201) 555-0123", "")
    assert [(row.what, row.typed, row.method) for row in measured] == [("neck", "16 1/2 in", "tape-snug")]
    address = parsed(shop.maker.get(path).text).xpath('//input[@id="share-link"]/@value')[0]
    token = re.fullmatch(r"http://localhost:8000/o/([A-Za-z0-9_-]{43})", address)
    assert token is not None
    with shop.database.reading() as connection:
        found = link_by_token(connection, token[1])
    assert found is not None
    assert found.order_id == kept.id


def test_a_quote_sent_twice_is_one_order(shop: Shop) -> None:
    fields = form(shop)
    shop.post("/shop/quote", **fields)
    assert shop.post("/shop/quote", **fields).headers["location"] == "/shop/orders/1"
    assert orders(shop) == 1
    with shop.database.reading() as connection:
        assert len(links_of(connection, shop.kept(1).id)) == 1


@pytest.mark.parametrize(
    ("field", "typed"),
    [
        ("name", ""),
        ("name", "\x00"),
        ("contact", ""),
        ("contact", "ada@"),
        ("contact", "12"),
        ("promised", "soon"),
        ("promised", "3026-01-01"),
    ],
)
def test_what_is_missing_is_asked_for_and_nothing_typed_is_lost(shop: Shop, field: str, typed: str) -> None:
    answer = shop.post("/shop/quote", **form(shop, **{field: typed}))
    assert answer.status_code == 422
    page = parsed(answer.text.replace("\x00", ""))
    assert page.xpath(f'//input[@id="send-{field}"]/@aria-invalid') == ["true"]
    assert page.xpath('//input[@id="field-neck"]/@value') == ["16 1/2 in"]
    kept = {"name": "Ada Example", "contact": "(201) 555-0123", "called": "Rex"}
    for name, value in kept.items():
        assert page.xpath(f'//input[@id="send-{name}"]/@value')[0] == (
            typed.replace("\x00", "") if name == field else value
        )
    assert orders(shop) == 0


def test_an_email_address_is_a_contact_too(shop: Shop) -> None:
    shop.post("/shop/quote", **form(shop, contact="ada@mail.example", called=""))
    with shop.database.reading() as connection:
        customer = customer_by_id(connection, shop.kept(1).customer_id)
    assert (customer.email, customer.phone) == ("ada@mail.example", "")
    assert shop.kept(1).dog_id is None


def test_another_price_than_the_one_on_the_screen_is_asked_about(shop: Shop) -> None:
    fields = form(shop)
    house = shop.app.state.house
    with shop.database.writing() as connection:
        rates = {"labour_per_hour": Decimal(60)}
        act = Act("maker", "maker", shop.now)
        house.shelf.put(change_columns(connection, SHOP, act, rates=rates, seen=1))
    answer = shop.post("/shop/quote", **fields)
    assert answer.status_code == 409
    assert "The catalogue has changed meanwhile" in words(answer)
    assert orders(shop) == 0
    page = parsed(answer.text)
    now = page.xpath('//input[@name="minor"]/@value')[0]
    assert int(now) > int(fields["minor"])
    assert shop.post("/shop/quote", **{**fields, "minor": now}).status_code == 303
    assert orders(shop) == 1


def test_a_reader_can_quote_nothing(shop: Shop) -> None:
    fields = form(shop)
    assert shop.browsers["read-only"].get("/shop/quote").status_code == 403
    assert shop.post("/shop/quote", "read-only", **fields).status_code == 403
    assert orders(shop) == 0


def test_a_quote_for_a_dog_that_is_known_asks_for_no_name(shop: Shop) -> None:
    first = shop.order()
    again = parsed(shop.maker.get("/shop/orders/1").text).xpath('//a[contains(text(), "same sizes")]/@href')[
        0
    ]
    page = parsed(shop.maker.get(again).text)
    assert page.xpath('//input[@id="field-neck"]/@value') == ["19 in"]
    assert page.xpath('//input[@id="send-name"]') == []
    fields = {one.get("name"): one.get("value") for one in page.xpath('//section[@id="send"]//input')}
    assert shop.post("/shop/quote", **fields).status_code == 303
    second = shop.kept(2)
    assert (second.customer_id, second.dog_id) == (first.customer_id, first.dog_id)
    assert second.design == first.design


@pytest.mark.parametrize(("typed", "minor"), [("45", 4500), ("45.50", 4550), ("45,5", 4550), ("", 4431)])
def test_an_agreed_price_is_the_price(shop: Shop, typed: str, minor: int) -> None:
    assert estimate(pattern(**{**DESIGN, **PLAIN}), workshop()).total == Decimal("44.31")
    assert shop.post("/shop/quote", **form(shop, **PLAIN, minor="4431", agreed=typed)).status_code == 303
    assert shop.kept(1).quote_minor == minor
    said = words(shop.maker.get("/shop/orders/1"))
    assert f"${minor / 100:.2f} as quoted" in said


def test_the_margin_follows_the_agreed_price(shop: Shop) -> None:
    """44.31 is 41.41 before 7 % of tax, 10.35 of it margin; at 30.00 it is 28.04, so that 3.02 are lost."""
    shop.post("/shop/quote", **form(shop, **PLAIN, minor="4431", agreed="30"))
    assert "Margin -$3.02, -11 %" in words(shop.maker.get("/shop/orders/1"))


@pytest.mark.parametrize("typed", ["0", "free", "1,234", "45.505", "-1", "１"])
def test_a_price_that_is_none_is_asked_for_again(shop: Shop, typed: str) -> None:
    answer = shop.post("/shop/quote", **form(shop, agreed=typed))
    assert answer.status_code == 422
    assert parsed(answer.text).xpath('//input[@id="send-agreed"]/@value') == [typed]


def test_what_nobody_asked_for_can_be_left_out(shop: Shop) -> None:
    page = parsed(shop.maker.get("/shop/quote", params={"neck": "19 in", "colour": "red"}).text)
    assert page.xpath('//div[@id="wrong"]//a/@href') == ["/shop/quote?neck=19+in"]


@pytest.mark.parametrize("customer", ["nobody", "\x00", "x" * 3000])
def test_a_customer_nobody_knows_is_not_there(shop: Shop, customer: str) -> None:
    assert shop.maker.get("/shop/quote", params={"customer": customer}).status_code == 404


@pytest.mark.parametrize(
    ("kind", "measures"),
    [
        ("lead", {"length": "150 cm"}),
        ("set", {"neck": "16 in", "length": "6 ft"}),
        ("limited-slip", {"neck": "14 in", "head": "17 in"}),
    ],
)
def test_anything_that_is_made_is_quoted(shop: Shop, kind: str, measures: dict[str, str]) -> None:
    begin = parsed(shop.maker.get("/shop/quote").text)
    (link,) = (
        href for href in begin.xpath("//nav[@class='kinds']//a/@href") if href.endswith(f"kind={kind}")
    )
    opened = shop.maker.get(link)
    assert opened.status_code == 200
    assert parsed(opened.text).xpath("//*[contains(@class, 'wrong') or @aria-invalid]") == []
    page = parsed(shop.maker.get("/shop/quote", params={"kind": kind, **measures}).text)
    sent = {one.get("name"): one.get("value") for one in page.xpath('//section[@id="send"]//input')}
    before = orders(shop)
    answer = shop.post("/shop/quote", **{**sent, "name": "Ada Example", "contact": "(201) 555-0123"})
    assert answer.status_code == 303
    assert orders(shop) == before + 1
    assert shop.kept(before + 1).design.kind == kind


def test_another_kind_is_quoted_for_the_same_dog(shop: Shop) -> None:
    known = shop.order(name="Bo Example", called="Tug")
    page = parsed(
        shop.maker.get("/shop/quote", params={"customer": known.customer_id, "dog": known.dog_id}).text
    )
    links = page.xpath("//nav[@class='kinds']//a/@href")
    assert len(links) == 4
    assert all(f"customer={known.customer_id}" in one and f"dog={known.dog_id}" in one for one in links)
