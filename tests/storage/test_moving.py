"""A store moves from SQLite to PostgreSQL, and back, without a row being another; or not at all."""

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from sqlalchemy import Connection, TableClause

from service.storage import (
    Database,
    NotCopied,
    add_photo,
    check,
    copy_store,
    embedded_url,
    mail_waiting,
    moving,
    open_database,
    order_by_id,
    queue_mail,
)
from service.storage.mail import Mail
from service.storage.photos import Photo
from tests.postgres import Server
from tests.storage.makers import NOON, SHOP, act, answered, enquiry, new_id, sent, shop_with_an_order


@pytest.fixture
def target(server: Server) -> Iterator[Database]:
    """A database with nothing in it."""
    name = server.create()
    database = open_database(server.url(name))
    yield database
    database.close()
    server.drop(name)


def filled(database: Database, orders: int = 3) -> None:
    """A store with something in every kind of column: money, measures, drawings, photos, mail."""
    order = shop_with_an_order(database)
    with database.writing() as connection:
        _, proof = sent(connection, order)
        answered(connection, proof, "ask-changes", message="Größer, bitte.\n犬 🐶 \u202fO’Neill")
        photo = Photo(new_id("photo"), order.id, "enquiry", "", "image/webp", 40, 30, NOON)
        add_photo(connection, photo, bytes(range(256)), act())
        queue_mail(connection, Mail(new_id("mail"), SHOP, order.id, "order-link", 0, NOON, NOON))
        for number in range(orders):
            enquiry(connection, f"Ada {number}")


def test_everything_goes_over_and_back_again(sqlite_url: str, target: Database, tmp_path: Path) -> None:
    source = open_database(sqlite_url)
    filled(source)
    before = check(source)
    copied = copy_store(source, target)
    assert check(target) == before
    assert (copied.rows, copied.heads) == (before.rows, before.heads)
    back = open_database(embedded_url(tmp_path / "back.sqlite3"))
    again = copy_store(target, back)
    assert again == copied
    assert check(back) == before
    with target.writing() as connection:
        order = enquiry(connection)
        assert order_by_id(connection, order.id) == order
        assert mail_waiting(connection).waiting == 1
    assert check(target).faults == ()
    source.close()
    back.close()


def test_a_database_that_holds_something_is_left_alone(sqlite_url: str, target: Database) -> None:
    source = open_database(sqlite_url)
    filled(source)
    copy_store(source, target)
    before = check(target)
    with pytest.raises(NotCopied, match=r"not empty \(it holds .*workshop"):
        copy_store(source, target)
    assert check(target) == before
    source.close()


def test_a_database_with_tables_of_others_is_left_alone(sqlite_url: str, target: Database) -> None:
    source = open_database(sqlite_url)
    filled(source)
    with target.writing() as connection:
        connection.exec_driver_sql("CREATE TABLE theirs (id integer)")
    with pytest.raises(NotCopied, match="other tables \\(theirs\\)"):
        copy_store(source, target)
    source.close()


def spoiled(of: str) -> Callable[[Connection, Connection, TableClause], None]:
    """A copying that changes one value on the way."""
    right = moving._copy_rows  # noqa: SLF001 - the step that goes wrong

    def copy(old: Connection, new: Connection, table: TableClause) -> None:
        right(old, new, table)
        if table.name == of:
            new.exec_driver_sql(f"UPDATE {of} SET value = value + 0.0001")  # noqa: S608

    return copy


def test_a_copy_that_differs_in_one_value_is_not_kept_at_all(
    sqlite_url: str, target: Database, monkeypatch: pytest.MonkeyPatch
) -> None:
    source = open_database(sqlite_url)
    filled(source)
    monkeypatch.setattr(moving, "_copy_rows", spoiled("measurement"))
    with pytest.raises(NotCopied, match="differs in measurement"):
        copy_store(source, target)
    assert {*check(target).rows.values()} == {0}
    monkeypatch.undo()
    copy_store(source, target)
    source.close()


def test_a_store_that_is_not_whole_is_not_moved(sqlite_url: str, target: Database) -> None:
    source = open_database(sqlite_url)
    filled(source)
    with source.writing() as connection:
        connection.exec_driver_sql("UPDATE photo SET sha256 = 'another'")
    with pytest.raises(NotCopied, match=r"photo .* is not what was kept"):
        copy_store(source, target)
    source.close()


def test_a_store_of_another_release_is_brought_up_before_it_moves(sqlite_url: str, target: Database) -> None:
    source = open_database(sqlite_url)
    with source.writing() as connection:
        connection.exec_driver_sql("DROP TRIGGER audit_changed")
    with pytest.raises(NotCopied, match="start the service once"):
        copy_store(source, target)
    source.close()


@pytest.mark.parametrize("count", [5_000, pytest.param(100_000, marks=pytest.mark.slow)])
def test_many_rows_go_over_without_a_difference(count: int, sqlite_url: str, target: Database) -> None:
    source = open_database(sqlite_url)
    filled(source)
    rows = [
        {"key": f"k{n}", "tries": n, "at": f"2026-11-25T12:00:00.{n % 1_000_000:06}Z"} for n in range(count)
    ]
    with source.writing() as connection:
        statement = "INSERT INTO throttle (key, tries, first_at, open_at) VALUES (:key, :tries, :at, :at)"
        connection.exec_driver_sql(statement, rows)
    copied = copy_store(source, target)
    assert copied.rows["throttle"] == count
    source.close()
