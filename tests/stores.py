"""New stores for tests, on the engine that `pytest --engine` names, and everything that one holds."""

import atexit
import shutil
import tempfile
from collections import deque
from contextlib import closing
from functools import cache
from hashlib import sha256
from pathlib import Path
from typing import Any, Final

from sqlalchemy import inspect, text

from service.commands.opening import STORE
from service.storage import Database, embedded_url, migrate, open_database
from tests.postgres import Server, make_server

ENGINES: Final = ("sqlite", "postgresql")
AT_ONCE: Final = 12
"""So many stores of one run keep their connections to a PostgreSQL server."""
KEPT: Final = 60
"""So many stores of one run are kept there at all."""

_chosen = {"engine": "sqlite"}
_open: deque[tuple[str, Database]] = deque()


def use_engine(name: str) -> None:
    """Let every store from now on be on that engine."""
    _chosen["engine"] = name


def engine() -> str:
    """The engine that stores are made on."""
    return _chosen["engine"]


def new_store() -> Database:
    """An empty store in its newest shape, of its own, on the chosen engine."""
    if engine() == "sqlite":
        file = Path(tempfile.mkdtemp(dir=_folder())) / "store.sqlite3"
        shutil.copy(_migrated_file(), file)
        return open_database(embedded_url(file))
    return _served_store(*_server())


def data_beside(database: Database) -> Path:
    """The data folder of a service over a store: the one it lies in, or one of its own."""
    return Path(tempfile.mkdtemp(dir=_folder())) if database.file is None else database.file.parent


@cache
def store_of(data: Path) -> str:
    """The address of the store of a service that runs with such a data folder."""
    if engine() == "sqlite":
        return embedded_url(data / STORE)
    server, _ = _server()
    return server.url(server.create())


def _served_store(server: Server, migrated: str) -> Database:
    while len(_open) >= KEPT:
        name, oldest = _open.popleft()
        oldest.close()
        server.drop(name)
    for _, older in [*_open][:-AT_ONCE]:
        older.close()  # it opens its connections anew if it is asked again
    name = server.create(migrated)
    database = open_database(server.url(name))
    _open.append((name, database))
    return database


@cache
def _folder() -> Path:
    folder = Path(tempfile.mkdtemp(prefix="girthwright-"))
    atexit.register(shutil.rmtree, folder, ignore_errors=True)
    return folder


@cache
def _migrated_file() -> Path:
    file = _folder() / "new.sqlite3"
    with closing(open_database(embedded_url(file))) as database:
        migrate(database)
    return file


@cache
def _server() -> tuple[Server, str]:
    """A server for the run, and the name of a store on it to be copied."""
    server = make_server("fsync=off")  # nothing here cuts the power
    atexit.register(server.stop)
    name = server.create()
    with closing(open_database(server.url(name))) as database:
        migrate(database)
    return server, name


def contents(database: Database) -> dict[str, list[tuple[Any, ...]]]:
    """Everything that a store holds, by table."""
    with database.reading() as connection:
        tables = sorted(inspect(connection).get_table_names())
        rows = {name: connection.execute(text(f'SELECT * FROM "{name}"')) for name in tables}  # noqa: S608
        return {name: sorted((tuple(row) for row in found), key=repr) for name, found in rows.items()}


def contents_hash(database: Database) -> str:
    """A hash of everything that a store holds."""
    return sha256(repr(contents(database)).encode()).hexdigest()
