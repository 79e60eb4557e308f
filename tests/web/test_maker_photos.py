"""Photos on the maker's page of an order."""

from typing import Any

import pytest

from service.storage import Photo, photos_of
from service.web import maker_photos
from tests.makers import parsed
from tests.web.customers import Customer, said
from tests.web.photo_makers import opened, photo_file
from tests.web.shop_makers import Shop, words

TAKEN = ("taken", ("camera.jpg", photo_file(), "image/jpeg"))
CHOSEN = ("chosen", ("a.webp", photo_file("WEBP", (90, 60)), "image/webp"))
PATH = "/shop/orders/1/photos"


@pytest.fixture
def shop() -> Shop:
    shop = Shop()
    shop.order()
    return shop


def add(shop: Shop, *files: Any, role: Any = "maker", **fields: str) -> Any:  # noqa: ANN401 - a response
    nothing = [("taken", ("", b"", "application/octet-stream"))]
    return shop.browsers[role].post(PATH, data={"caption": "", **fields}, files=list(files) or nothing)


def kept(shop: Shop) -> tuple[Photo, ...]:
    with shop.database.reading() as connection:
        return photos_of(connection, shop.kept(1).id)


def test_photos_are_kept_with_their_caption_and_are_the_shops_own(shop: Shop) -> None:
    answer = add(shop, TAKEN, CHOSEN, caption="Edges dyed")
    assert (answer.status_code, answer.headers["location"]) == (303, "/shop/orders/1#photos")
    assert [(one.purpose, one.caption, one.width) for one in kept(shop)] == [
        ("bench", "Edges dyed", 800),
        ("bench", "Edges dyed", 90),
    ]
    page = parsed(shop.maker.get("/shop/orders/1").text)
    small = shop.maker.get(page.xpath("//*[@class='gallery']//img/@src")[0])
    assert opened(small.content).size == (320, 240)
    assert small.headers["cache-control"] == "no-store"
    assert shop.actions(shop.kept(1)).count("photo-added") == 2


def test_the_camera_is_offered(shop: Shop) -> None:
    page = parsed(shop.maker.get("/shop/orders/1").text)
    assert page.xpath("//input[@type='file' and @capture='environment']/@accept") == ["image/*"]


def test_the_customer_sees_what_is_ticked_and_nothing_else() -> None:
    customer = Customer()
    shop = customer.shop
    add(shop, TAKEN)
    assert "finished collar" not in said(customer.browser.get(customer.order_page).text)
    [photo] = kept(shop)
    theirs = f"{customer.order_page}/photos/{photo.id}.jpg"
    assert customer.browser.get(theirs).status_code == 404
    assert shop.post(f"{PATH}/{photo.id}", shown="yes", caption="Done <b>").status_code == 303
    assert customer.browser.get(theirs).status_code == 200
    text = customer.browser.get(customer.order_page).text
    assert "Your finished order Done <b>" in said(text)
    assert shop.post(f"{PATH}/{photo.id}", caption="Done").status_code == 303
    assert customer.browser.get(theirs).status_code == 404


def test_a_photo_is_removed_and_the_record_says_so(shop: Shop) -> None:
    add(shop, TAKEN)
    [photo] = kept(shop)
    assert shop.post(f"{PATH}/{photo.id}", do="remove").status_code == 303
    assert kept(shop) == ()
    assert shop.actions(shop.kept(1))[-1] == "photo-removed"
    assert shop.maker.get(f"{PATH}/{photo.id}.jpg").status_code == 404


def test_nothing_changed_is_not_recorded(shop: Shop) -> None:
    add(shop, TAKEN, caption="Done")
    [photo] = kept(shop)
    before = shop.actions(shop.kept(1))
    shop.post(f"{PATH}/{photo.id}", caption="Done")
    assert shop.actions(shop.kept(1)) == before


@pytest.mark.parametrize(
    ("files", "caption", "word"),
    [
        ((), "Done", "Take a photo or choose one first."),
        ((("taken", ("x.jpg", b"nothing", "image/jpeg")),), "Done", "x.jpg: It can't be read as a photo."),
        ((TAKEN,), "x" * 121, "120 is the most"),
    ],
)
def test_what_is_wrong_is_said_in_its_place_and_the_caption_stays(
    shop: Shop, files: tuple[Any, ...], caption: str, word: str
) -> None:
    answer = add(shop, *files, caption=caption)
    assert answer.status_code == 422
    assert word in words(answer)
    assert parsed(answer.text).xpath("//*[@id='photo-caption']/@value") == [caption]
    assert kept(shop) == ()


def test_a_caption_that_is_too_long_changes_nothing(shop: Shop) -> None:
    add(shop, TAKEN, caption="Done")
    [photo] = kept(shop)
    assert shop.post(f"{PATH}/{photo.id}", caption="x" * 121).status_code == 422
    assert kept(shop)[0].caption == "Done"


def test_an_order_keeps_so_many_photos_at_most(shop: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(maker_photos, "ORDER_MAX", 1)
    assert add(shop, TAKEN).status_code == 303
    answer = add(shop, CHOSEN)
    assert answer.status_code == 422
    assert "Remove some first" in words(answer)
    assert len(kept(shop)) == 1


def test_a_reader_looks_and_changes_nothing(shop: Shop) -> None:
    add(shop, TAKEN)
    [photo] = kept(shop)
    assert add(shop, TAKEN, role="read-only").status_code == 403
    assert shop.post(f"{PATH}/{photo.id}", "read-only", do="remove").status_code == 403
    assert shop.browsers["read-only"].get(f"{PATH}/{photo.id}.jpg").status_code == 200
    assert not parsed(shop.browsers["read-only"].get("/shop/orders/1").text).xpath("//input[@type='file']")


def test_another_orders_photo_is_not_found(shop: Shop) -> None:
    shop.order("Bo Example", "Bo")
    add(shop, TAKEN)
    [photo] = kept(shop)
    assert shop.maker.get(f"/shop/orders/2/photos/{photo.id}.jpg").status_code == 404
    assert shop.post(f"/shop/orders/2/photos/{photo.id}", do="remove").status_code == 404


def test_the_customers_page_shows_the_photos_of_all_their_orders(shop: Shop) -> None:
    add(shop, TAKEN, caption="Edges dyed")
    page = parsed(shop.maker.get(f"/shop/customers/{shop.kept(1).customer_id}").text)
    assert page.xpath("//*[@class='gallery']//span/text()") == ["Edges dyed"]
