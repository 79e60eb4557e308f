"""The shelves: what an order at the bench takes off them, and gives back when it isn't made."""

from dataclasses import replace

import pytest

from service.orders import Stage, pieces_for
from service.storage import (
    Counted,
    Database,
    Order,
    StaleWrite,
    change_order,
    count_stock,
    needed_pieces,
    order_by_id,
    record_of,
    stock_of,
    verify_record,
)
from tests.makers import pattern, workshop
from tests.storage.makers import PATTERN, SHOP, act, answered, enquiry, open_shop, sent

RIVET = next(line.code for line in PATTERN.hardware if line.kind == "rivet")
DYED = pattern(leather="natural", dye="fern-dye")
AREA = pieces_for(PATTERN, workshop().rates)[0].count
FULL = [
    Counted("fasteners", RIVET, 100, 20, 0),
    Counted("buckles", PATTERN.fittings.buckle.code, 1, None, 0),
    Counted("leathers", PATTERN.fittings.leather.code, 10_000, None, 0),
]


@pytest.fixture
def approved(database: Database) -> tuple[Database, Order]:
    """A shop that has counted some rows, with an approved order."""
    with database.writing() as connection:
        open_shop(connection)
        count_stock(connection, SHOP, FULL, act())
        order, proof = sent(connection, enquiry(connection))
        answered(connection, proof)
        return database, order_by_id(connection, order.id)


def shelves(database: Database) -> dict[str, int]:
    with database.reading() as connection:
        return {row.kind: row.count for row in stock_of(connection, SHOP)}


def move(database: Database, order: Order, *stages: Stage) -> Order:
    for stage in stages:
        with database.writing() as connection:
            order = order_by_id(connection, order.id)
            order = change_order(connection, replace(order, stage=stage), act(), "stage-moved")
    return order


def actions(database: Database, order: Order) -> list[str]:
    with database.reading() as connection:
        verify_record(connection, SHOP)
        return [entry.fact.action for entry in record_of(connection, SHOP, order.id)]


def test_an_order_at_the_bench_takes_its_pieces_once_and_only_of_what_is_counted(
    approved: tuple[Database, Order],
) -> None:
    database, order = approved
    with database.reading() as connection:
        assert needed_pieces(connection, SHOP)["fasteners", RIVET] == 4
    move(database, order, "making", "ready", "making", "ready")
    assert shelves(database) == {"fasteners": 96, "buckles": 0, "leathers": 10_000 - AREA}
    assert actions(database, order).count("stock-taken") == 1
    with database.reading() as connection:
        assert not needed_pieces(connection, SHOP)


def test_what_is_called_off_at_the_bench_goes_back_and_what_is_finished_does_not(
    approved: tuple[Database, Order],
) -> None:
    database, order = approved
    called_off = move(database, order, "making", "cancelled")
    assert shelves(database) == {"fasteners": 100, "buckles": 1, "leathers": 10_000}
    assert called_off.taken == ""
    assert actions(database, order)[-4:] == ["stock-taken", "stage-moved", "stock-put-back", "stage-moved"]


def test_a_finished_collar_that_is_called_off_has_used_its_pieces_up(
    approved: tuple[Database, Order],
) -> None:
    database, order = approved
    move(database, order, "making", "ready", "cancelled")
    assert shelves(database)["fasteners"] == 96


def test_a_change_at_the_bench_gives_back_and_the_next_one_takes_anew(
    approved: tuple[Database, Order],
) -> None:
    database, order = approved
    order = move(database, order, "making")
    with database.writing() as connection:
        _, proof = sent(connection, order)
        answered(connection, proof)
    assert shelves(database)["fasteners"] == 100
    move(database, order, "making")
    assert shelves(database)["fasteners"] == 96


def test_more_may_go_out_than_was_counted_and_an_order_of_nothing_counted_moves_too(
    approved: tuple[Database, Order],
) -> None:
    database, order = approved
    with database.writing() as connection:
        seen = next(row for row in stock_of(connection, SHOP) if row.kind == "fasteners").row_version
        rows = [Counted("fasteners", RIVET, 1, None, seen), Counted("buckles", FULL[1].code, None, None, 1)]
        count_stock(connection, SHOP, rows, act())
        second, proof = sent(connection, enquiry(connection, "Bo Placeholder"))
        answered(connection, proof)
    move(database, order, "making")
    assert shelves(database) == {"fasteners": -3, "leathers": 10_000 - AREA}
    with database.writing() as connection:
        gone = [
            Counted(row.kind, row.code, None, None, row.row_version) for row in stock_of(connection, SHOP)
        ]
        count_stock(connection, SHOP, gone, act())
    move(database, second, "making", "cancelled")
    assert shelves(database) == {}
    assert "stock-taken" not in actions(database, second)


def test_a_count_of_a_row_that_has_moved_meanwhile_is_not_kept(approved: tuple[Database, Order]) -> None:
    database, order = approved
    move(database, order, "making")
    with pytest.raises(StaleWrite), database.writing() as connection:
        count_stock(connection, SHOP, [replace(FULL[0], count=90, seen=1)], act())
    assert shelves(database)["fasteners"] == 96


def test_a_move_that_is_refused_takes_nothing(approved: tuple[Database, Order]) -> None:
    database, order = approved
    with pytest.raises(StaleWrite), database.writing() as connection:
        change_order(connection, replace(order, stage="making", row_version=1), act(), "stage-moved")
    assert shelves(database)["fasteners"] == 100


def test_a_dyed_collar_takes_its_dye_off_the_shelf_in_whole_millilitres() -> None:
    # 0.018825 m² of blanks, both faces, of 120 ml that cover 0.85 m²: 5.3 ml.
    taken = {(one.kind, one.code): one.count for one in pieces_for(DYED, workshop().rates)}
    assert taken["dyes", "fern-dye"] == 6
    plain = {(one.kind, one.code) for one in pieces_for(PATTERN, workshop().rates)}
    assert not [code for kind, code in plain if kind == "dyes"]
