"""The embedded store: which SQLite is sound, and how each connection to it is set."""

import os
from collections.abc import Iterable, Iterator
from contextlib import closing, contextmanager
from pathlib import Path
from typing import Any, Final

from sqlalchemy import URL, Connection, Engine, create_engine, event
from sqlalchemy.pool import ConnectionPoolEntry

from service.storage.driver import sqlite3
from service.storage.faults import StoreUnusable, told_apart

BUSY_MS: Final = 5_000
"""How long another process that writes is waited for."""

ALWAYS: Final = (
    f"PRAGMA busy_timeout = {BUSY_MS}",
    "PRAGMA foreign_keys = ON",
    "PRAGMA recursive_triggers = ON",  # or INSERT OR REPLACE would go round the triggers against deleting
    "PRAGMA trusted_schema = OFF",
    "PRAGMA cell_size_check = ON",
)
WRITING: Final = (
    "PRAGMA journal_mode = WAL",
    "PRAGMA synchronous = FULL",  # less would lose acknowledged writes when the power goes
    f"PRAGMA journal_size_limit = {64 * 1024 * 1024}",
)
READING: Final = ("PRAGMA query_only = ON",)

SOUND: Final = (((3, 44, 6), (3, 45, 0)), ((3, 50, 7), (3, 51, 0)), ((3, 51, 3), (4, 0, 0)))
"""Releases from and below which SQLite is free of the WAL-reset fault (sqlite.org/wal.html#walresetbug).

It came with 3.7.0 and was mended in 3.51.3, 3.50.7 and 3.44.6; what is older lacks the tables used here.
"""


def refuse_faulty(version: tuple[int, int, int]) -> None:
    """Raise StoreUnusable for an SQLite that can lose what it has written."""
    if not any(first <= version < last for first, last in SOUND):
        shown = ".".join(map(str, version))
        raise StoreUnusable(
            f"SQLite {shown} can damage its file (the WAL-reset fault, mended in 3.51.3): install "
            "pysqlite3 0.6.1 or newer, or set the store to a PostgreSQL database."
        )


def sqlite_engines(path: Path) -> tuple[Engine, Engine]:
    """Return the engines that read and that write the file; it need not exist yet."""
    refuse_faulty(sqlite3.sqlite_version_info)
    return read_engine(path), _engine(path, (*ALWAYS, *WRITING), "BEGIN IMMEDIATE", size=1)


def read_engine(path: Path) -> Engine:
    """Return an engine that can't change the file."""
    return _engine(path, (*ALWAYS, *READING), "BEGIN", size=8)


def _engine(path: Path, settings: tuple[str, ...], begin: str, *, size: int) -> Engine:
    engine = create_engine(
        URL.create("sqlite", database=str(path)),
        module=sqlite3,
        connect_args={"check_same_thread": False},  # the pool hands a connection to one thread at a time
        pool_size=size,
        max_overflow=0,
    )

    @event.listens_for(engine, "connect")
    def _set(connection: Any, _: ConnectionPoolEntry) -> None:  # noqa: ANN401 - the driver has no types
        connection.isolation_level = None  # the driver's own transactions begin too late
        for setting in settings:
            connection.execute(setting)

    @event.listens_for(engine, "begin")
    def _begin(connection: Connection) -> None:
        connection.exec_driver_sql(begin)

    return engine


@contextmanager
def references_unchecked(connection: Connection) -> Iterator[None]:
    """Leave references unchecked while the block runs; it has to begin and end its own transaction."""
    if connection.dialect.name != "sqlite":
        yield
        return
    plain: Any = connection.connection.driver_connection
    plain.execute("PRAGMA foreign_keys = OFF")
    try:
        yield
    finally:
        plain.execute("PRAGMA foreign_keys = ON")


def copy_whole(source: Path, target: Path, without: Iterable[str] = ()) -> None:
    """Write one state of the file to another, while others write; the target appears when it is whole.

    Of the tables it is to be `without` there are no rows in it, and no trace of them.
    """
    part = target.with_name(f"{target.name}.part")
    part.unlink(missing_ok=True)
    with told_apart(), closing(sqlite3.connect(source, isolation_level=None)) as connection:
        connection.execute(f"PRAGMA busy_timeout = {BUSY_MS}")
        connection.execute("VACUUM INTO ?", (str(part),))
    with told_apart(), closing(sqlite3.connect(part, isolation_level=None)) as connection:
        connection.execute("PRAGMA secure_delete = ON")
        tables = {name for (name,) in connection.execute("SELECT name FROM sqlite_schema")}
        for name in tables.intersection(without):
            connection.execute(f'DELETE FROM "{name}"')  # noqa: S608 - a name of a table there
    keep_on_disk(part)
    part.replace(target)
    keep_on_disk(target.parent)


def pour_into(source: Path, target: Path) -> None:
    """Put the source's contents in place of the target's, in one transaction of the target."""
    with (
        told_apart(),
        closing(sqlite3.connect(f"{source.resolve().as_uri()}?mode=ro", uri=True)) as full,
        closing(sqlite3.connect(target, isolation_level=None)) as connection,
    ):
        for setting in (f"PRAGMA busy_timeout = {BUSY_MS}", *WRITING):
            connection.execute(setting)
        full.backup(connection)


def keep_on_disk(path: Path) -> None:
    """Wait until a file, or the names in a folder, are on the disk."""
    handle = os.open(path, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
