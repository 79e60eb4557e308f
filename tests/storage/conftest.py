"""Every test that asks for `database` runs on SQLite and on PostgreSQL, both real, each time in a new one."""

import shutil
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from service.storage import Database, embedded_url, migrate, open_database
from tests.postgres import Server, make_server

Opener = Callable[[], Database]


@pytest.fixture(scope="session")
def server() -> Iterator[Server]:
    """The tests' PostgreSQL."""
    made = make_server()
    yield made
    made.stop()


@pytest.fixture(scope="session")
def migrated_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """An embedded store in its newest shape, to be copied."""
    file = tmp_path_factory.mktemp("migrated") / "store.sqlite3"
    database = open_database(embedded_url(file))
    migrate(database)
    database.close()
    return file


@pytest.fixture(scope="session")
def migrated_name(server: Server) -> str:
    """The same on PostgreSQL."""
    name = server.create()
    database = open_database(server.url(name))
    migrate(database)
    database.close()
    return name


@pytest.fixture
def sqlite_url(tmp_path: Path, migrated_file: Path) -> str:
    """The address of a new embedded store."""
    return embedded_url(Path(shutil.copy(migrated_file, tmp_path / "store.sqlite3")))


@pytest.fixture
def postgresql_url(server: Server, migrated_name: str) -> Iterator[str]:
    """The address of a new store on PostgreSQL."""
    name = server.create(migrated_name)
    yield server.url(name)
    server.drop(name)


@pytest.fixture(params=["sqlite", "postgresql"])
def url(request: pytest.FixtureRequest) -> str:
    """The address of a new store in its newest shape, on each engine."""
    return str(request.getfixturevalue(f"{request.param}_url"))


@pytest.fixture
def database(url: str) -> Iterator[Database]:
    """A new store in its newest shape, on each engine."""
    opened = open_database(url)
    yield opened
    opened.close()


@pytest.fixture(params=["sqlite", "postgresql"])
def empty_url(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[str]:
    """The address of a store with nothing in it, on each engine."""
    if request.param == "sqlite":
        yield embedded_url(tmp_path / "empty.sqlite3")
        return
    server: Server = request.getfixturevalue("server")
    name = server.create()
    yield server.url(name)
    server.drop(name)


@pytest.fixture
def empty(empty_url: str) -> Iterator[Database]:
    """A store with nothing in it, on each engine."""
    opened = open_database(empty_url)
    yield opened
    opened.close()
