"""Orders in the store: numbered, found, listed, exact to the last bit, and never overwritten unseen."""

from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from service.design import Collar, make_pattern
from service.orders import MoveRefused
from service.pricing import estimate
from service.storage import (
    Database,
    DesignFrozen,
    NotKept,
    StaleWrite,
    change_order,
    check,
    count_by_stage,
    list_orders,
    order_by_id,
    order_by_number,
    orders_of,
    record_of,
)
from service.storage.columns import Document
from tests.makers import workshop, workshop_with
from tests.storage.makers import (
    KEPT,
    PATTERN,
    SHOP,
    act,
    answered,
    enquiry,
    open_shop,
    sent,
    shop_with_an_order,
)


def test_an_enquiry_gets_the_next_number_and_is_read_back_as_it_was_kept(database: Database) -> None:
    first = shop_with_an_order(database)
    with database.writing() as connection:
        second = enquiry(connection)
    with database.reading() as connection:
        assert order_by_id(connection, first.id) == first == order_by_number(connection, SHOP, 1)
        assert order_by_id(connection, second.id) == second == order_by_number(connection, SHOP, 2)
        assert orders_of(connection, second.customer_id) == (second,)
        with pytest.raises(NotKept):
            order_by_number(connection, SHOP, 3)
        with pytest.raises(NotKept, match="There is no order"):
            order_by_id(connection, "order-0")


def test_a_number_is_not_given_twice_when_an_enquiry_failed(database: Database) -> None:
    order = shop_with_an_order(database)
    with database.writing() as connection:
        assert enquiry(connection).number == order.number + 1
    with pytest.raises(NotKept), database.writing() as connection:
        enquiry(connection, workshop_id="shop-0")


def test_a_kept_design_draws_and_prices_the_same_as_when_it_was_made(database: Database) -> None:
    order = shop_with_an_order(database)
    with database.reading() as connection:
        kept = order_by_id(connection, order.id)
    assert kept.kept == KEPT
    made = make_pattern(kept.design, kept.kept)
    assert made == PATTERN
    assert estimate(made, kept.kept) == estimate(PATTERN, workshop())


@settings(max_examples=60, suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
@given(
    neck=st.floats(150, 915),
    minor=st.integers(0, 2**53),
    price=st.decimals(0, 100_000, places=4),
)
def test_lengths_and_money_come_back_exactly(
    database: Database, neck: float, minor: int, price: Decimal
) -> None:
    design = PATTERN.spec.model_copy(update={"neck": neck})
    leather = KEPT.leathers[0].model_copy(update={"price_per_m2": price})
    kept = KEPT.model_copy(update={"leathers": (leather,)})
    with database.writing() as connection:
        if check(database).rows["workshop"] == 0:
            open_shop(connection)
        order = enquiry(connection, design=design, kept=kept)
        priced = change_order(connection, replace(order, quote_minor=minor, currency="USD"), act())
    with database.reading() as connection:
        found = order_by_id(connection, order.id)
    assert found == priced
    assert (found.design.model_dump()["neck"], found.quote_minor) == (neck, minor)
    assert found.kept.leathers[0].price_per_m2 == price


@given(st.floats(150, 915), st.floats(7, 81))
def test_a_design_as_json_is_exact(neck: float, width: float) -> None:
    kind = Document(Collar)
    design = PATTERN.spec.model_copy(update={"neck": neck, "width": width})
    text = design.model_dump_json()
    assert kind.model.model_validate_json(text) == design


def test_the_board_lists_what_is_due_first(database: Database) -> None:
    with database.writing() as connection:
        open_shop(connection)
        enquiry(connection, due_on=None)
        enquiry(connection, due_on=date(2026, 12, 24))
        enquiry(connection, due_on=date(2026, 12, 4))
        enquiry(connection, due_on=date(2026, 12, 4))
    with database.reading() as connection:
        assert [card.number for card in list_orders(connection, SHOP)] == [3, 4, 2, 1]
        assert [card.number for card in list_orders(connection, SHOP, limit=2)] == [3, 4]
        assert list_orders(connection, "shop-0") == ()


def test_the_board_lists_only_the_stages_asked_for_and_counts_them(database: Database) -> None:
    order = shop_with_an_order(database)
    with database.writing() as connection:
        enquiry(connection)
        change_order(connection, replace(order, stage="quoted", quote_minor=5706, currency="USD"), act())
    with database.reading() as connection:
        (card,) = list_orders(connection, SHOP, stages=["quoted", "ready"])
        assert (card.number, card.quote_minor, card.customer, card.dog) == (1, 5706, "Ada Example", "Rex")
        assert count_by_stage(connection, SHOP) == {"enquiry": 1, "quoted": 1}


@pytest.mark.parametrize(
    ("typed", "numbers"),
    [
        ("", [1, 2, 3]),
        ("rex", [1]),
        ("ÉLODIE", [2]),
        ("bru élo", [2]),
        ("3", [3]),
        ("%", [3]),
        ("100%", [3]),
        ("_", []),
    ],
)
def test_search_finds_parts_of_names_and_the_number_in_any_letter_case(
    database: Database, typed: str, numbers: list[int]
) -> None:
    with database.writing() as connection:
        open_shop(connection)
        enquiry(connection)
        enquiry(connection, "Élodie Fictive", "Bruno")
        enquiry(connection, "Ivo Invented", "100% Dog")
    with database.reading() as connection:
        assert [card.number for card in list_orders(connection, SHOP, search=typed)] == numbers


def test_the_slower_of_two_makers_is_told_and_overwrites_nothing(database: Database) -> None:
    order = shop_with_an_order(database)
    with database.writing() as connection:
        kept = change_order(connection, replace(order, bench_notes="Dye twice."), act())
    assert kept.row_version == order.row_version + 1
    before = check(database)
    with pytest.raises(StaleWrite, match="Nothing was overwritten") as told, database.writing() as connection:
        change_order(connection, replace(order, bench_notes="Dye once."), act())
    assert (told.value.seen, told.value.now) == (1, 2)
    assert check(database) == before
    with database.reading() as connection:
        assert order_by_id(connection, order.id) == kept


def test_an_approved_design_and_price_are_frozen_but_the_bench_goes_on(database: Database) -> None:
    order = shop_with_an_order(database)
    with database.writing() as connection:
        _, proof = sent(connection, order)
        answered(connection, proof)
        approved = order_by_id(connection, order.id)
    wider = approved.design.model_copy(update={"width": 31.75})
    for changed in (replace(approved, design=wider), replace(approved, quote_minor=1, currency="USD")):
        with pytest.raises(DesignFrozen, match="send a new proof"), database.writing() as connection:
            change_order(connection, changed, act())
    with database.writing() as connection:
        making = change_order(connection, replace(approved, stage="making", bench_notes="Cut."), act())
        again, _ = sent(connection, replace(making, design=wider))
    assert (again.stage, again.version, again.design) == ("proof-sent", 2, wider)


def test_an_order_goes_only_where_it_may(database: Database) -> None:
    order = shop_with_an_order(database)
    with pytest.raises(MoveRefused), database.writing() as connection:
        change_order(connection, replace(order, stage="ready"), act())
    with pytest.raises(ValueError, match="keeps its number"), database.writing() as connection:
        change_order(connection, replace(order, number=7), act())


def test_every_change_is_on_the_record_without_a_word_of_what_was_written(database: Database) -> None:
    order = shop_with_an_order(database)
    with database.writing() as connection:
        changed = replace(order, stage="quoted", notes="Call Ada at home.", quote_minor=5706, currency="USD")
        change_order(connection, changed, act(), "quoted")
    with database.reading() as connection:
        entry = record_of(connection, SHOP, order.id)[-1]
    assert (entry.fact.action, entry.fact.who) == ("quoted", "member-1")
    assert entry.fact.detail == "enquiry to quoted, currency, notes, quote_minor"


def test_rows_changed_since_leave_a_kept_order_as_it_was(database: Database) -> None:
    order = shop_with_an_order(database)
    dearer = workshop_with(rates={"labour_per_hour": Decimal(99)})
    with database.reading() as connection:
        kept = order_by_id(connection, order.id)
    assert estimate(make_pattern(kept.design, kept.kept), kept.kept) != estimate(PATTERN, dearer)
