"""Customers with their dogs and orders, and how an order is made again."""

import pytest

from service.storage import customer_by_id, dogs_of
from tests.makers import parsed
from tests.web.shop_makers import Shop, words


@pytest.fixture
def shop() -> Shop:
    made = Shop()
    made.order("Ada Example", "Rex")
    made.order("Bo Placeholder", "Otto", neck="42 cm")
    return made


def path(shop: Shop, number: int = 1) -> str:
    return f"/shop/customers/{shop.kept(number).customer_id}"


def form(shop: Shop, **typed: str) -> dict[str, str]:
    page = parsed(shop.maker.get(path(shop)).text)
    seen = page.xpath('//input[@name="seen"]/@value')[0]
    kept = {"name": "Ada Example", "phone": "(201) 555-0123", "email": "ada@mail.example", "notes": ""}
    return {**kept, "seen": seen, **typed}


def test_the_list_shows_dogs_and_orders(shop: Shop) -> None:
    said = words(shop.maker.get("/shop/customers"))
    assert "Ada Example with Rex" in said
    assert "Order 2 enquiry" in said


@pytest.mark.parametrize("search", ["otto", "placeholder", "BO otto"])
def test_a_customer_is_found_by_name_and_dog(shop: Shop, search: str) -> None:
    page = parsed(shop.maker.get("/shop/customers", params={"q": search}).text)
    assert page.xpath('//p[@class="people-name"]/a/text()') == ["Bo Placeholder"]


def test_nobody_is_found_by_nonsense(shop: Shop) -> None:
    response = shop.maker.get("/shop/customers", params={"q": "%\x00_"})
    assert response.status_code == 200
    assert parsed(response.text).xpath('//p[@class="people-name"]') == []


def test_an_order_is_made_again_in_the_same_sizes(shop: Shop) -> None:
    href = parsed(shop.maker.get(path(shop, 2)).text).xpath('//a[@class="again"]/@href')[0]
    page = parsed(shop.maker.get(href).text)
    assert page.xpath('//input[@id="field-neck"]/@value') == ["42 cm"]
    assert "Otto of Bo Placeholder" in page.xpath("string(//h1)")


def test_contact_is_kept(shop: Shop) -> None:
    answer = shop.post(path(shop), **form(shop, name="Ada Sample", phone="(201) 555-0199"))
    assert answer.status_code == 303
    with shop.database.reading() as connection:
        kept = customer_by_id(connection, shop.kept(1).customer_id)
    assert (kept.name, kept.phone) == ("Ada Sample", "(201) 555-0199")
    assert "Ada Sample" in words(shop.maker.get("/shop", params={"q": "sample"}))


def test_a_stale_contact_is_answered_with_both(shop: Shop) -> None:
    old = form(shop, name="Mine")
    shop.post(path(shop), **form(shop, name="Theirs"))
    answer = shop.post(path(shop), **old)
    assert answer.status_code == 409
    page = parsed(answer.text)
    assert page.xpath('//input[@id="contact-name"]/@value') == ["Mine"]
    assert "Theirs" in page.xpath('string(//table[@class="against"])')


@pytest.mark.parametrize(
    ("field", "typed"),
    [("name", ""), ("email", "ada@"), ("phone", "12"), ("notes", "\x00"), ("name", "x" * 500)],
)
def test_what_is_wrong_is_said_beside_its_field(shop: Shop, field: str, typed: str) -> None:
    answer = shop.post(path(shop), **form(shop, **{field: typed}))
    assert answer.status_code == 422
    page = parsed(answer.text.replace("\x00", ""))
    assert page.xpath(f'//*[@id="contact-{field}"]/@aria-invalid') == ["true"]


def test_one_way_to_reach_a_customer_is_needed(shop: Shop) -> None:
    answer = shop.post(path(shop), **form(shop, email="", phone=""))
    assert answer.status_code == 422
    assert "so that you can answer" in words(answer)


def test_another_dog_is_kept_once(shop: Shop) -> None:
    for _ in range(2):
        assert shop.post(f"{path(shop)}/dogs", called="Biscuit", breed="beagle").status_code == 303
    with shop.database.reading() as connection:
        dogs = dogs_of(connection, shop.kept(1).customer_id)
    assert [(dog.name, dog.breed) for dog in dogs] == [("Biscuit", "beagle"), ("Rex", "whippet")]
    assert shop.post(f"{path(shop)}/dogs", called=" ", breed="").status_code == 422


def test_a_reader_sees_customers_and_changes_none(shop: Shop) -> None:
    response = shop.browsers["read-only"].get(path(shop))
    assert response.status_code == 200
    assert parsed(response.text).xpath('//main//button[@type="submit"]') == []
    assert shop.post(path(shop), "read-only", **form(shop, name="Changed")).status_code == 403
    assert shop.post(f"{path(shop)}/dogs", "read-only", called="Biscuit").status_code == 403


@pytest.mark.parametrize("key", ["nobody", "%00", "x" * 2000])
def test_a_customer_nobody_knows_is_not_there(shop: Shop, key: str) -> None:
    assert shop.maker.get(f"/shop/customers/{key}").status_code == 404


def test_a_customer_is_erased_by_name_once_nothing_is_under_way(shop: Shop) -> None:
    here = path(shop)
    assert shop.post(f"{here}/erase", sure="Ada Example").status_code == 403
    assert "type “Ada Example”" in words(shop.post(f"{here}/erase", "owner", sure="yes"))
    early = shop.post(f"{here}/erase", "owner", sure="Ada Example")
    assert early.status_code == 409
    assert "Orders 1 are under way" in words(early)
    shop.move(1, "cancelled")
    assert shop.post(f"{here}/erase", "owner", sure="Ada Example").status_code == 303
    assert shop.maker.get(here).status_code == 404
    assert shop.maker.get("/shop/orders/1").status_code == 404
    assert "Ada Example" not in words(shop.maker.get("/shop/customers"))
