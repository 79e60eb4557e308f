"""The store's shape: up, down and up again with rows in it, killed half-way, and never a trigger lost."""

import json
import shutil
import subprocess
import sys
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext
from sqlalchemy import inspect

from service.settings import ROOT
from service.storage import (
    Database,
    StoreUnusable,
    add_customer,
    add_dog,
    add_measurement,
    check,
    measurements_of,
    migrate,
    migrating,
    open_database,
    order_by_id,
    shape,
    triggers,
)
from service.storage.tables import METADATA
from tests.storage.makers import act, answered, customer, dog, neck, open_shop, sent, shop_with_an_order

TRIGGERS = {
    "sqlite": {"audit": 2, "catalogue": 2, "proof": 2, "proof_drawing": 2, "decision": 2},
    "postgresql": {"audit": 2, "catalogue": 2, "proof": 2, "proof_drawing": 2, "decision": 2},
}

NEWEST = max(
    path.stem.removeprefix("step_") for path in (migrating.MIGRATIONS / "versions").glob("step_*.py")
)
"""The project's newest step."""

STEP = '''"""A step of the tests: customers get a town, and the answers' table is built anew."""

import sqlalchemy as sa
from alembic import op

revision, down_revision, branch_labels, depends_on = "9000", "{NEWEST}", None, None
STRICT = {STRICT}


def rebuild() -> str:
    return "always" if op.get_bind().dialect.name == "sqlite" else "never"


def upgrade() -> None:
    with op.batch_alter_table("customer", recreate=rebuild(), table_kwargs=STRICT) as table:
        table.add_column(sa.Column("town", sa.Text, nullable=False, server_default=""))
    with op.batch_alter_table("decision", recreate=rebuild(), table_kwargs=STRICT) as table:
        table.alter_column("message", new_column_name="wanted")
    {THEN}


def downgrade() -> None:
    with op.batch_alter_table("decision", recreate=rebuild(), table_kwargs=STRICT) as table:
        table.alter_column("wanted", new_column_name="message")
    with op.batch_alter_table("customer", recreate=rebuild(), table_kwargs=STRICT) as table:
        table.drop_column("town")
'''


def steps(folder: Path, then: str = "", strict: str = "{}") -> Path:
    """The project's steps and one more after them."""
    copy = Path(shutil.copytree(migrating.MIGRATIONS, folder / "steps"))
    more = STEP.replace("{THEN}", then).replace("{STRICT}", strict).replace("{NEWEST}", NEWEST)
    (copy / "versions" / "step_9000.py").write_text(more, encoding="utf-8")
    return copy


@pytest.fixture
def one_more_step(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(migrating, "MIGRATIONS", steps(tmp_path))


def filled(database: Database) -> None:
    """An order with an approved proof."""
    order = shop_with_an_order(database)
    with database.writing() as connection:
        _, proof = sent(connection, order)
        answered(connection, proof)


def columns(database: Database, table: str) -> set[str]:
    with database.reading() as connection:
        return {column["name"] for column in inspect(connection).get_columns(table)}


def test_an_empty_store_gets_the_newest_shape_and_a_second_time_changes_nothing(empty: Database) -> None:
    assert shape(empty).found is None
    assert not shape(empty).fits
    migrate(empty)
    assert shape(empty).fits
    assert migrate(empty) is None


def test_the_steps_make_exactly_the_tables_of_the_code(database: Database) -> None:
    with database.reading() as connection:
        context = MigrationContext.configure(connection, opts={"render_as_batch": True})
        assert compare_metadata(context, METADATA) == []


def test_down_and_up_again_leaves_the_same_shape(database: Database) -> None:
    def listing() -> dict[str, list[Any]]:
        with database.reading() as connection:
            seen = inspect(connection)
            return {
                name: [
                    *((c["name"], str(c["type"]), c["nullable"]) for c in seen.get_columns(name)),
                    *sorted(str(i["name"]) for i in seen.get_indexes(name)),
                    *sorted(str(f["name"]) for f in seen.get_foreign_keys(name)),
                    *sorted(str(c["name"]) for c in seen.get_check_constraints(name)),
                    *sorted(str(c["name"]) for c in seen.get_unique_constraints(name)),
                    *sorted(triggers.found(connection).items()),
                ]
                for name in seen.get_table_names()
            }

    before = listing()
    assert len(before) == len(METADATA.tables) + 1
    migrate(database, "base")
    assert [*listing()] == ["alembic_version"]
    migrate(database)
    assert listing() == before


@pytest.mark.usefixtures("one_more_step")
def test_up_down_and_up_with_rows_keeps_every_row_and_trigger(database: Database) -> None:
    filled(database)
    before = check(database)
    assert before.faults == ()
    for revision, town in (("head", True), (NEWEST, False), ("head", True), (NEWEST, False)):
        migrate(database, revision)
        after = check(database)
        assert (after.rows, after.heads, after.faults) == (before.rows, before.heads, ())
        assert ("town" in columns(database, "customer")) is town
    assert check(database) == before


def test_a_neck_of_before_fingers_and_coat_were_kept_says_neither(database: Database) -> None:
    with database.writing() as connection:
        open_shop(connection)
        who = customer()
        add_customer(connection, who, act())
        pet = dog(who)
        add_dog(connection, pet)
        told = replace(neck(pet), fingers=3, coat="thick-over")
        add_measurement(connection, told)
        assert measurements_of(connection, pet.id) == (told,)
    before = check(database)
    for revision, there in (("0004", False), ("head", True), ("0004", False), ("head", True)):
        migrate(database, revision)
        assert ({"fingers", "coat"} <= columns(database, "measurement")) is there
    with database.reading() as connection:
        assert measurements_of(connection, pet.id) == (replace(told, fingers=None, coat=None),)
    assert (check(database).faults, check(database).heads) == ((), before.heads)


def test_every_kept_table_has_its_triggers(database: Database) -> None:
    with database.reading() as connection:
        names = [*triggers.found(connection)]
        assert names == triggers.expected(connection)
    wanted = TRIGGERS[database.url.get_backend_name()]
    assert {table: sum(n.rsplit("_", 1)[0] == table for n in names) for table in wanted} == wanted
    assert len(names) == sum(wanted.values())


@pytest.mark.usefixtures("one_more_step")
def test_a_rebuilt_table_would_lose_its_triggers_if_they_were_not_laid_anew(
    sqlite_url: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    database = open_database(sqlite_url)
    monkeypatch.setattr(triggers, "install", lambda _: None)
    with pytest.raises(StoreUnusable, match="the trigger audit_changed is missing"):
        migrate(database)
    assert shape(database).found == NEWEST
    assert check(database).faults == ()
    database.close()


def test_a_trigger_that_someone_took_away_is_missed_and_laid_again(database: Database) -> None:
    on = "" if database.file else " ON audit"
    with database.writing() as connection:
        connection.exec_driver_sql(f"DROP TRIGGER audit_changed{on}")
    assert shape(database).triggers_missing == ("audit_changed",)
    assert check(database).faults == ("the trigger audit_changed is missing",)
    migrate(database)
    assert shape(database).fits


def test_a_rebuilt_table_that_is_no_longer_strict_is_refused(
    sqlite_url: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(migrating, "MIGRATIONS", steps(tmp_path, strict='{"sqlite_strict": False}'))
    database = open_database(sqlite_url)
    with pytest.raises(StoreUnusable, match="customer is not STRICT"):
        migrate(database)
    assert shape(database).found == NEWEST
    database.close()


def test_a_step_that_fails_leaves_the_store_as_it_was(
    database: Database, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    filled(database)
    before = check(database)
    monkeypatch.setattr(migrating, "MIGRATIONS", steps(tmp_path, "raise RuntimeError"))
    with pytest.raises(RuntimeError):
        migrate(database)
    assert check(database) == before
    assert "town" not in columns(database, "customer")


def test_a_store_of_a_newer_release_is_not_touched(database: Database) -> None:
    with database.writing() as connection:
        connection.exec_driver_sql("UPDATE alembic_version SET version_num = '9999'")
    with pytest.raises(StoreUnusable, match="newer release"):
        migrate(database)
    assert shape(database).found == "9999"


@pytest.mark.usefixtures("one_more_step")
def test_an_embedded_store_is_copied_before_it_changes(sqlite_url: str) -> None:
    database = open_database(sqlite_url)
    order = shop_with_an_order(database)
    before = check(database)
    copy = migrate(database)
    database.close()
    assert copy is not None
    old = open_database(f"sqlite:///{copy}")
    assert check(old) == before
    with old.reading() as connection:
        assert order_by_id(connection, order.id) == order
    old.close()


def kills(url: str, folder: Path, *mode: str) -> list[dict[str, Any]]:
    words = [sys.executable, "-m", "tests.storage.killed_migration", str(steps(folder)), url, *mode]
    done = subprocess.run(words, cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == 0 or mode, done.stderr
    return [json.loads(line) for line in done.stdout.splitlines()]


def test_killed_at_any_statement_the_store_is_the_old_one_or_the_new_one(url: str, tmp_path: Path) -> None:
    database = open_database(url)
    filled(database)
    database.close()
    *cut, whole = kills(url, tmp_path)
    assert len(cut) >= 15
    old = cut[0]["state"]
    assert old["revision"] == NEWEST
    assert [line for line in cut if line["state"] != old or line["faults"]] == []
    assert whole["state"]["revision"] == "9000"
    assert whole["faults"] == []
    assert whole["state"]["rows"] == old["rows"]


def test_the_kills_would_show_a_store_left_half_way(sqlite_url: str, tmp_path: Path) -> None:
    database = open_database(sqlite_url)
    filled(database)
    database.close()
    *cut, _ = kills(sqlite_url, tmp_path, "each-alone")
    assert any(line["faults"] or line["state"] != cut[0]["state"] for line in cut)
