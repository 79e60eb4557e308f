"""Bringing a store to the shape that this release keeps things in, all or nothing."""

from dataclasses import dataclass
from pathlib import Path
from typing import Final

from alembic import command
from alembic.config import Config
from alembic.runtime.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import Connection

from service.storage import triggers
from service.storage.database import Database
from service.storage.faults import StoreUnusable
from service.storage.sqlite import copy_whole
from service.storage.tables import PASSING

MIGRATIONS: Final = Path(__file__).parent / "migrations"
NOT_STRICT: Final = """
    SELECT name FROM pragma_table_list
    WHERE schema = 'main' AND type = 'table' AND NOT strict AND name NOT LIKE 'sqlite_%'
    AND name <> 'alembic_version' ORDER BY name
"""
EMPTY: Final = "base"
NEWEST: Final = "head"


@dataclass(frozen=True, slots=True)
class Shape:
    """The shape a store is in: `found` is its revision (None when empty), `wanted` this release's."""

    found: str | None
    wanted: str | None
    triggers_missing: tuple[str, ...]

    @property
    def fits(self) -> bool:
        return self.found == self.wanted and not self.triggers_missing


def shape(database: Database) -> Shape:
    """Return the shape the store is in."""
    with database.reading() as connection:
        return _shape(connection)


def current_revision(connection: Connection) -> str | None:
    """Return the revision a store is at, None when it is empty."""
    return MigrationContext.configure(connection).get_current_revision()


def migrate(database: Database, to: str = NEWEST) -> Path | None:
    """Bring the store to a revision; return the safety copy that was made of an embedded one.

    Everything happens in one transaction and is checked before it is kept: a process killed half-way leaves
    the store as it was. Raises StoreUnusable when a newer release has written it, or when the check fails.
    """
    before = shape(database)
    _refuse_unknown(before)
    target = _revision(to)
    if before.found == target and not before.triggers_missing:
        return None
    copy = _safety_copy(database, before)
    with database.rebuilding() as connection:
        triggers.remove(connection)
        settings = _settings(connection)
        if to == EMPTY or _is_older(target, before.found):
            command.downgrade(settings, to)
        else:
            command.upgrade(settings, to)
        triggers.install(connection)
        _check(connection)
    return copy


def _shape(connection: Connection) -> Shape:
    revision = current_revision(connection)
    missing = {*triggers.expected(connection)} - {*triggers.found(connection)}
    return Shape(revision, _revision(NEWEST), tuple(sorted(missing)))


def _settings(connection: Connection | None = None) -> Config:
    settings = Config()
    settings.set_main_option("script_location", str(MIGRATIONS).replace("%", "%%"))
    settings.set_main_option("path_separator", "os")
    settings.set_main_option("file_template", "step_%%(rev)s")
    settings.attributes["connection"] = connection
    return settings


def _revisions() -> list[str]:
    """Every revision, the oldest first."""
    steps = ScriptDirectory.from_config(_settings()).walk_revisions()
    return [step.revision for step in steps][::-1]


def _revision(name: str) -> str | None:
    return {EMPTY: None, NEWEST: _revisions()[-1]}.get(name, name)


def _refuse_unknown(found: Shape) -> None:
    if found.found is not None and found.found not in _revisions():
        raise StoreUnusable(
            f"The store was written by a newer release (its shape is {found.found}, this release knows "
            f"{found.wanted}): run that release, or restore the copy made before it."
        )


def _is_older(target: str | None, found: str | None) -> bool:
    order = [None, *_revisions()]
    return order.index(target) < order.index(found)


def _safety_copy(database: Database, before: Shape) -> Path | None:
    if database.file is None or before.found is None:
        return None
    copy = database.file.with_name(
        f"{database.file.stem}.before-change-of-{before.found}{database.file.suffix}"
    )
    copy_whole(database.file, copy, PASSING)
    return copy


def _check(connection: Connection) -> None:
    faults: list[str] = []
    missing = {*triggers.expected(connection)} - {*triggers.found(connection)}
    faults.extend(f"the trigger {name} is missing" for name in sorted(missing))
    if connection.dialect.name == "sqlite":
        loose = connection.exec_driver_sql(NOT_STRICT).scalars()
        faults.extend(f"the table {name} is not STRICT" for name in loose)
        broken = connection.exec_driver_sql("PRAGMA foreign_key_check").all()
        faults.extend(
            f"row {row[1]} of {row[0]} refers to a row of {row[2]} that isn't there" for row in broken
        )
    if faults:
        raise StoreUnusable(f"The store was left as it was, since after the change {'; '.join(faults)}.")
