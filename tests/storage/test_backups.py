"""A backup holds everything, is proved before it counts, and comes back whole."""

import json
import os
from pathlib import Path

import pytest

from service.storage import (
    BackupUnusable,
    Database,
    SentPhoto,
    StoreUnusable,
    backup,
    check,
    customer_by_id,
    let_wait,
    newest_proof,
    open_database,
    order_by_id,
    read_backup,
    restore,
    waiting_photos,
)
from tests.postgres import postgresql_programs
from tests.storage.makers import NOON, answered, enquiry, sent, shop_with_an_order


@pytest.fixture(autouse=True)
def client_programs(monkeypatch: pytest.MonkeyPatch) -> None:
    """PostgreSQL's own programs, of the release that the tests start."""
    monkeypatch.setenv("PATH", f"{postgresql_programs()}{os.pathsep}{os.environ['PATH']}")


def test_what_was_backed_up_comes_back_as_it_was(database: Database, tmp_path: Path) -> None:
    order = shop_with_an_order(database)
    with database.writing() as connection:
        order, proof = sent(connection, order)
        answered(connection, proof)
        order = order_by_id(connection, order.id)
        who = customer_by_id(connection, order.customer_id)
    before = check(database)
    kept = backup(database, tmp_path / "backups", NOON)
    assert kept.report == before
    assert read_backup(kept.file) == kept
    with database.writing() as connection:
        enquiry(connection)
    assert check(database) != before
    assert restore(database, kept.file) == before
    assert check(database) == before
    with database.reading() as connection:
        assert order_by_id(connection, order.id) == order
        assert customer_by_id(connection, order.customer_id) == who
        assert newest_proof(connection, order.id) == proof
    with database.writing() as connection:
        enquiry(connection)
    assert check(database).faults == ()


def test_a_backup_leaves_only_itself_and_its_note(database: Database, tmp_path: Path) -> None:
    shop_with_an_order(database)
    file = backup(database, tmp_path / "backups", NOON).file
    assert sorted((tmp_path / "backups").iterdir()) == sorted([file, file.with_name(f"{file.name}.json")])
    assert file.name.startswith("girthwright-20261125T120000")


def test_no_backup_holds_photos_of_a_form_that_was_not_sent(database: Database, tmp_path: Path) -> None:
    shop_with_an_order(database)
    before = check(database)
    content = bytes(range(256)) * 100
    with database.writing() as connection:
        let_wait(connection, "key", (SentPhoto("beach.jpg", 8, 6, content),), NOON)
    kept = backup(database, tmp_path, NOON)
    assert kept.report == before
    assert content[:256] not in kept.file.read_bytes()
    with database.reading() as connection:
        assert len(waiting_photos(connection, "key", NOON)) == 1
    assert restore(database, kept.file) == before
    with database.reading() as connection:
        assert waiting_photos(connection, "key", NOON) == ()


def test_a_backup_whose_bytes_changed_is_not_restored(database: Database, tmp_path: Path) -> None:
    shop_with_an_order(database)
    file = backup(database, tmp_path, NOON).file
    before = check(database)
    content = bytearray(file.read_bytes())
    content[len(content) // 2] ^= 1
    file.write_bytes(content)
    with pytest.raises(BackupUnusable, match="not those that were written"):
        restore(database, file)
    assert check(database) == before


def test_a_backup_without_its_note_is_not_restored(database: Database, tmp_path: Path) -> None:
    shop_with_an_order(database)
    file = backup(database, tmp_path, NOON).file
    file.with_name(f"{file.name}.json").unlink()
    with pytest.raises(BackupUnusable, match="can't be read"):
        restore(database, file)


def test_a_note_that_tells_of_another_store_is_noticed(database: Database, tmp_path: Path) -> None:
    shop_with_an_order(database)
    file = backup(database, tmp_path, NOON).file
    note = file.with_name(f"{file.name}.json")
    told = json.loads(note.read_text(encoding="utf-8"))
    told["report"]["rows"]["orders"] += 1
    note.write_text(json.dumps(told), encoding="utf-8")
    with pytest.raises(BackupUnusable, match="something else"):
        restore(database, file)


def test_a_store_with_a_broken_record_is_not_backed_up_as_if_it_were_sound(
    database: Database, tmp_path: Path
) -> None:
    shop_with_an_order(database)
    on = "" if database.file else " ON audit"
    with database.writing() as connection:
        connection.exec_driver_sql(f"DROP TRIGGER audit_changed{on}")
        connection.exec_driver_sql("UPDATE audit SET detail = 'nothing' WHERE number = 2")
    with pytest.raises(BackupUnusable, match="not as it was written, from entry 2 on"):
        backup(database, tmp_path / "backups", NOON)
    assert [*(tmp_path / "backups").iterdir()] == []


def test_without_its_client_programs_postgresql_says_what_to_install(
    postgresql_url: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("PATH", str(tmp_path))
    database = open_database(postgresql_url)
    with pytest.raises(StoreUnusable, match="postgresql-client"):
        backup(database, tmp_path, NOON)
    database.close()
