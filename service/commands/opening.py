"""Opening the data folder and the store in it, for commands."""

import fcntl
from collections.abc import Iterator
from contextlib import closing, contextmanager
from datetime import UTC, datetime
from pathlib import Path
from secrets import token_urlsafe
from typing import Final

from service.errors import GirthwrightError
from service.settings import DEMO, ROOT, Settings
from service.storage import (
    Act,
    Database,
    embedded_url,
    found_workshop,
    load_workshop,
    migrate,
    open_database,
    workshop_ids,
)

FIRST: Final = {"demo": DEMO, "empty": ROOT / "deploy" / "empty" / "workshop.toml"}
"""The workshops that may move in at the first start."""
STORE: Final = "girthwright.sqlite3"
"""The embedded store's name in the data folder."""
IN_USE: Final = ".in-use"
"""The file that whoever uses the store holds a lock on."""


class NotStarted(GirthwrightError):
    """The command can't do what it is for; the sentence says why and what would help."""


@contextmanager
def the_store(settings: Settings, first: str = "demo") -> Iterator[tuple[Database, str]]:
    """Open the store in the shape of this release, and name the workshop in it, founded if it is new."""
    with closing(opened(settings)) as database:
        brought_up(database)
        yield database, _workshop(database, settings.data, first)


def opened(settings: Settings) -> Database:
    """Open the store as it is, in a data folder that can be used."""
    _usable(settings.data)
    return open_database(settings.database or embedded_url(settings.data / STORE))


def brought_up(database: Database) -> None:
    """Bring the store to the shape of this release, and say so when it had another."""
    copy = migrate(database)
    if copy is not None:
        print(f"The store was brought to this release; as it was before, it is kept in {copy}", flush=True)


@contextmanager
def in_use(settings: Settings) -> Iterator[None]:
    """Let others know that the store is in use for as long as the block runs; many may use it."""
    with _locked(settings, fcntl.LOCK_SH):
        yield


@contextmanager
def alone(settings: Settings) -> Iterator[None]:
    """Keep the store for this command alone; raises NotStarted while a service or worker uses it."""
    with _locked(settings, fcntl.LOCK_EX):
        yield


def _usable(data: Path) -> None:
    try:
        data.mkdir(parents=True, exist_ok=True)
        (data / ".writable").touch()
        (data / ".writable").unlink()
    except OSError as fault:
        raise NotStarted(
            f"The data folder {data} can't be used ({fault.strerror}); name another with --data."
        ) from fault


@contextmanager
def _locked(settings: Settings, kind: int) -> Iterator[None]:
    _usable(settings.data)
    with (settings.data / IN_USE).open("a", encoding="utf-8") as file:
        try:
            fcntl.flock(file, kind | fcntl.LOCK_NB)
        except BlockingIOError as fault:
            raise NotStarted(
                f"The data folder {settings.data} is in use: stop the service and the worker, or wait for the"
                " command that is at work, then run this again."
            ) from fault
        yield


def act() -> Act:
    """Return who acts when a command does."""
    return Act("service", "command", datetime.now(UTC))


def _workshop(database: Database, data: Path, first: str) -> str:
    """Return the id of the store's workshop; at the first start one moves in, the `first` if need be."""
    with database.reading() as connection:
        there = workshop_ids(connection)
    if not there:
        return _founded(database, data, first)
    if len(there) > 1:
        raise NotStarted("The store holds several workshops, and this release serves one: give it its own.")
    return there[0]


def _founded(database: Database, data: Path, first: str) -> str:
    own = data / "workshop.toml"
    rows = load_workshop(own if own.exists() else FIRST[first])
    with database.writing() as connection:
        if there := workshop_ids(connection):
            return there[0]  # service and worker start together, and the other was first
        made = found_workshop(connection, token_urlsafe(16), rows, act())
    which = {"demo": "the invented demo workshop", "empty": "an empty workshop"}[first]
    came = f"the workshop of {own}" if own.exists() else which
    print(f"First start: {came} has moved in.", flush=True)
    return made.workshop_id
