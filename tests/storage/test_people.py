"""Customers and dogs: found, changed, measured with history, given out whole and erased for good."""

import json
from dataclasses import replace

import pytest

from service.storage import (
    Database,
    NotKept,
    OrdersOpen,
    Photo,
    StaleWrite,
    add_dog,
    add_measurement,
    add_photo,
    all_about,
    change_customer,
    change_dog,
    change_order,
    check,
    customer_by_id,
    dogs_of,
    erase_customer,
    find_customers,
    list_orders,
    measurements_of,
    order_by_id,
    photo_content,
    photos_of,
    record_of,
    remove_photo,
    verify_record,
)
from tests.storage.makers import (
    NOON,
    SHOP,
    act,
    answered,
    dog,
    enquiry,
    neck,
    new_id,
    open_shop,
    sent,
    shop_with_an_order,
)


def test_a_customer_is_found_by_name_contacts_and_dog_in_any_letter_case(database: Database) -> None:
    order = shop_with_an_order(database)
    with database.writing() as connection:
        other = enquiry(connection, "Örs Ötvös", "Brúnó")
    with database.reading() as connection:
        ada, ors = (customer_by_id(connection, each.customer_id) for each in (order, other))
        assert find_customers(connection, SHOP) == (ada, ors)
        for typed, found in (
            ("REX", (ada,)),
            ("ötv BRÚ", (ors,)),
            ("555", (ada, ors)),
            ("zed", ()),
            ("%", ()),
        ):
            assert find_customers(connection, SHOP, typed) == found, typed
        assert find_customers(connection, SHOP, limit=1) == (ada,)


def test_a_customer_and_a_dog_with_another_name_are_found_by_it_on_the_board(database: Database) -> None:
    order = shop_with_an_order(database)
    with database.writing() as connection:
        who = customer_by_id(connection, order.customer_id)
        change_customer(connection, replace(who, name="Ada Renamed"), act())
        (pet,) = dogs_of(connection, who.id)
        change_dog(connection, replace(pet, name="Maximus"))
    with database.reading() as connection:
        (card,) = list_orders(connection, SHOP, search="renamed maxim")
        assert list_orders(connection, SHOP, search="rex") == ()
    assert (card.customer, card.dog) == ("Ada Renamed", "Maximus")
    with pytest.raises(StaleWrite), database.writing() as connection:
        change_customer(connection, who, act())
    with pytest.raises(StaleWrite), database.writing() as connection:
        change_dog(connection, pet)


def test_a_new_measure_leaves_the_old_one_and_is_exact(database: Database) -> None:
    order = shop_with_an_order(database)
    third = 482.6 / 3
    with database.writing() as connection:
        (pet,) = dogs_of(connection, order.customer_id)
        add_measurement(connection, neck(pet, third, "160,87 mm", minutes=9))
    with database.reading() as connection:
        newest, oldest = measurements_of(connection, pet.id)
    assert (newest.value, newest.typed, newest.made_at) == (third, "160,87 mm", act(minutes=9).at)
    assert (oldest.value, oldest.typed) == (482.6, "19 in")


def test_all_about_a_customer_is_json_without_a_token_of_anything(database: Database) -> None:
    order = shop_with_an_order(database)
    with database.writing() as connection:
        _, proof = sent(connection, order)
        answered(connection, proof)
    with database.reading() as connection:
        told = all_about(connection, order.customer_id)
    text = json.dumps(told)
    assert told["customer"]["name"] == "Ada Example"
    assert told["dogs"][0]["measurements"][0]["typed"] == "19 in"
    assert told["orders"][0]["design"]["neck"] == order.design.model_dump()["neck"]
    assert told["answers"][0]["name"] == "Ada Example"
    assert told["proofs"][0]["sha256"] == proof.sha256
    assert "token_hash" not in text


def test_a_customer_with_an_order_under_way_is_not_erased(database: Database) -> None:
    order = shop_with_an_order(database)
    with pytest.raises(OrdersOpen, match="Orders 1 are under way"), database.writing() as connection:
        erase_customer(connection, order.customer_id, act())


def test_an_erased_customer_leaves_only_numbers_on_the_record(database: Database) -> None:
    order = shop_with_an_order(database)
    with database.writing() as connection:
        other = enquiry(connection, "Ivo Invented", "Bruno")
        priced = replace(order, quote_minor=5706, currency="USD")
        priced = change_order(connection, priced, act())
        _, proof = sent(connection, priced)
        answered(connection, proof)
        photo = Photo(new_id("photo"), order.id, "finished", "", "image/webp", 4, 3, NOON)
        add_photo(connection, photo, b"picture", act())
        for stage in ("making", "ready", "handed-over"):
            now = order_by_id(connection, order.id)
            change_order(connection, replace(now, stage=stage), act())
        erase_customer(connection, order.customer_id, act())
    report = check(database)
    assert report.faults == ()
    ones = ("customer", "dog", "orders", "measurement")
    nones = ("proof", "proof_drawing", "decision", "photo")
    assert {name: report.rows[name] for name in (*ones, *nones)} == dict.fromkeys(ones, 1) | dict.fromkeys(
        nones, 0
    )
    with database.reading() as connection:
        verify_record(connection, SHOP)
        record = record_of(connection, SHOP)
        assert order_by_id(connection, other.id) == other
        with pytest.raises(NotKept):
            order_by_id(connection, order.id)
    erased = next(entry.fact for entry in record if entry.fact.action == "order-erased")
    assert erased.detail == "order 1, handed-over, 2026-11-25, 5706 minor units of USD"
    # Whole words that no hash or id, all lower-case hexadecimal, can hold by chance.
    assert not any(word in str(record) for word in ("Ada", "Rex", "mail.example", "555 0100"))


def test_photos_are_listed_shown_and_taken_away(database: Database) -> None:
    order = shop_with_an_order(database)
    photo = Photo(new_id("photo"), order.id, "enquiry", "On the beach", "image/webp", 1200, 900, NOON)
    content = bytes(range(256)) * 40
    with database.writing() as connection:
        add_photo(connection, photo, content, act())
    with database.reading() as connection:
        assert photos_of(connection, order.id) == (photo,)
        assert photo_content(connection, photo.id) == ("image/webp", content)
    with database.writing() as connection:
        remove_photo(connection, photo.id, act())
        assert photos_of(connection, order.id) == ()
        with pytest.raises(NotKept):
            photo_content(connection, photo.id)


def test_a_customer_has_dogs_by_name(database: Database) -> None:
    with database.writing() as connection:
        open_shop(connection)
        order = enquiry(connection)
        who = customer_by_id(connection, order.customer_id)
        add_dog(connection, dog(who, "Bella"))
        assert [pet.name for pet in dogs_of(connection, who.id)] == ["Bella", "Rex"]
