"""The store: SQLite in the data folder, or a PostgreSQL server; read by many, written by one at a time."""

from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from pathlib import Path
from threading import Lock
from typing import Final

from sqlalchemy import URL, Connection, Engine, create_engine, make_url
from sqlalchemy.exc import ArgumentError

from service.storage.faults import StorageBusy, StorageUnavailable, StoreUnusable, told_apart
from service.storage.sqlite import references_unchecked, sqlite_engines

TURN_S: Final = 10
"""How long a writer waits for its turn."""
TURN: Final = 0x6769727468
"""The advisory lock that writers to a PostgreSQL store take in turn."""


@dataclass(frozen=True, slots=True)
class Database:
    """An open store. `url` says which; everything else about it is its own affair."""

    url: URL
    reader: Engine
    writer: Engine
    turn: Lock = field(default_factory=Lock, repr=False)

    @property
    def file(self) -> Path | None:
        """The file of an embedded store."""
        return Path(self.url.database or "") if self.url.get_backend_name() == "sqlite" else None

    @contextmanager
    def reading(self) -> Iterator[Connection]:
        """Read one state of the store, however long it takes; nothing can be changed."""
        with told_apart(), self.reader.connect() as connection, connection.begin():
            yield connection

    @contextmanager
    def writing(self) -> Iterator[Connection]:
        """Write alone; all of it is kept when the block ends, on disk, or none of it if the block raises."""
        with self.in_turn(), told_apart(), self.writer.begin() as connection:
            self._line_up(connection)
            yield connection

    @contextmanager
    def rebuilding(self) -> Iterator[Connection]:
        """Write alone with references unchecked, since SQLite rebuilds a table by dropping it."""
        with (
            self.in_turn(),
            told_apart(),
            self.writer.connect() as connection,
            references_unchecked(connection),
            connection.begin(),
        ):
            self._line_up(connection)
            yield connection

    @contextmanager
    def in_turn(self) -> Iterator[None]:
        """Keep other writers of this process out."""
        if not self.turn.acquire(timeout=TURN_S):
            raise StorageBusy(f"waited {TURN_S} s for other writers of this process")
        try:
            yield
        finally:
            self.turn.release()

    def _line_up(self, connection: Connection) -> None:
        """Wait for writers of other processes; SQLite does so by itself."""
        if self.file is None:
            connection.exec_driver_sql(f"SELECT pg_advisory_xact_lock({TURN})")

    def close(self) -> None:
        """Let go of every connection; an embedded store tidies itself first."""
        if self.file is not None and self.file.exists():
            # While others write for long, or on a file that is damaged, it stays as tidy as it is.
            with suppress(StorageUnavailable), told_apart(), self.writer.connect() as connection:
                connection.exec_driver_sql("PRAGMA optimize")
        self.reader.dispose()
        self.writer.dispose()


def open_database(url: str) -> Database:
    """Return the store at `sqlite:///folder/file` or `postgresql://user@host/name`; raises StoreUnusable."""
    try:
        place = make_url(url)
    except (ArgumentError, ValueError) as fault:
        raise StoreUnusable(_what_would_work("this is no address of a store")) from fault
    match place.get_backend_name():
        case "sqlite" if place.database and place.database != ":memory:":
            return _embedded(place)
        case "postgresql":
            return _served(place)
    raise StoreUnusable(_what_would_work(f"{place.render_as_string()} is no store that is kept"))


def embedded_url(file: Path) -> str:
    """Return the address of an embedded store."""
    return URL.create("sqlite", database=str(file)).render_as_string()


def _what_would_work(trouble: str) -> str:
    return f"{trouble}: give sqlite:///folder/file.sqlite3 or postgresql://user@host/name."


def _embedded(place: URL) -> Database:
    database = Database(place, *sqlite_engines(Path(place.database or "")))
    if database.file is not None and database.file.exists():
        with database.reading() as connection:
            found = connection.exec_driver_sql("PRAGMA quick_check(1)").scalar_one()
        if found != "ok":
            raise StoreUnusable(f"{database.file} is damaged ({found}); restore the last backup.")
    return database


def _served(place: URL) -> Database:
    place = place.set(drivername="postgresql+psycopg")
    engine = create_engine(
        place,
        pool_size=8,
        max_overflow=0,
        pool_pre_ping=True,
        connect_args={"options": f"-c lock_timeout={TURN_S}s -c timezone=UTC", "connect_timeout": TURN_S},
    )
    reader = engine.execution_options(isolation_level="REPEATABLE READ", postgresql_readonly=True)
    return Database(place, reader, engine)
