"""The record in the store: a chain that shows what someone changed behind the triggers."""

import pytest

from service.orders import ChainBroken
from service.storage import (
    Database,
    check,
    last_entry,
    record,
    record_of,
    verify_record,
)
from service.storage.columns import moment_text
from tests.storage.makers import NOON, SHOP, act, open_shop


@pytest.fixture
def recorded(database: Database) -> Database:
    with database.writing() as connection:
        open_shop(connection)
        for number in range(8):
            record(connection, SHOP, "looked", act(minutes=number), order=f"order-{number % 2}")
        record(connection, "shop-2", "looked", act())
        for name in ("audit_changed", "audit_deleted") if database.file else ("audit_changed",):
            connection.exec_driver_sql(f"DROP TRIGGER {name}{'' if database.file else ' ON audit'}")
    return database


def test_each_workshop_has_a_chain_of_its_own(recorded: Database) -> None:
    with recorded.reading() as connection:
        head = verify_record(connection, SHOP)
        last = last_entry(connection, SHOP)
        assert verify_record(connection, "shop-2").number == 1
        assert len(record_of(connection, SHOP, "order-1")) == 4
        assert last is not None
        assert (head.number, head.hash) == (9, last.hash)
        assert last_entry(connection, "shop-0") is None
        assert verify_record(connection, "shop-0").number == 0
    assert {*check(recorded).heads} == {SHOP, "shop-2"}


@pytest.mark.parametrize(
    "deed",
    [
        "UPDATE audit SET who = 'nobody' WHERE number = 5",
        "UPDATE audit SET at = '2026-11-25T09:00:00.000000Z' WHERE number = 5",
        "UPDATE audit SET hash = prev WHERE number = 5",
        "DELETE FROM audit WHERE number = 5",
    ],
)
def test_what_someone_changed_behind_the_triggers_is_found(recorded: Database, deed: str) -> None:
    with recorded.writing() as connection:
        connection.exec_driver_sql(f"{deed} AND workshop_id = '{SHOP}'")
    with recorded.reading() as connection, pytest.raises(ChainBroken) as broken:
        verify_record(connection, SHOP)
    assert broken.value.number == 5


def test_an_end_that_was_cut_off_is_found_by_a_hash_kept_elsewhere(recorded: Database) -> None:
    with recorded.reading() as connection:
        head = verify_record(connection, SHOP)
    with recorded.writing() as connection:
        connection.exec_driver_sql(f"DELETE FROM audit WHERE number > 6 AND workshop_id = '{SHOP}'")  # noqa: S608
    with recorded.reading() as connection:
        verify_record(connection, SHOP)
        with pytest.raises(ChainBroken):
            verify_record(connection, SHOP, {head.number: head.hash})


def test_a_moment_is_written_in_utc_and_one_without_a_zone_is_refused() -> None:
    assert moment_text(NOON) == "2026-11-25T12:00:00.000000Z"
    with pytest.raises(ValueError, match="time zone"):
        moment_text(NOON.replace(tzinfo=None))
