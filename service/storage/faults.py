"""What can go wrong with a store, told by the database's own codes.

GirthwrightError
├── StoreUnusable          the store can't be opened at all; someone has to change something first
├── StorageUnavailable     the store can't be read or written now; asking again later may work
│   ├── StorageFull        there is no room left on the disk
│   ├── StorageBusy        others were writing for too long
│   └── StorageDamaged     the file of an embedded store is not as it was written
├── NotKept                nothing is kept under that id
└── StaleWrite             someone else has changed it since it was read
"""

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Final

from sqlalchemy.exc import DBAPIError, OperationalError

from service.errors import GirthwrightError
from service.storage.driver import sqlite3


class StoreUnusable(GirthwrightError):
    """The store can't be opened; the sentence says why and what would help."""


class StorageUnavailable(GirthwrightError):
    """The store can't be read or written now; `reason` is the database's own word.

    If the connection broke while a write was being kept, it may have been: ask again with the same key.
    """

    said = "The store can't be reached just now. Try again in a moment"

    def __init__(self, reason: str) -> None:
        self.reason = reason
        super().__init__(f"{self.said}. ({reason})")


class StorageFull(StorageUnavailable):
    """There is no room left on the disk; reading still works."""

    said = "The disk is full; nothing was changed. Free some space and try again"


class StorageBusy(StorageUnavailable):
    """Others were writing for too long."""

    said = "Others are writing just now; nothing was changed. Try again in a moment"


class StorageDamaged(StorageUnavailable):
    """The file of an embedded store is not as it was written."""

    said = "The store's file is damaged; stop the service and restore the last backup"


class NotKept(GirthwrightError):
    """Nothing is kept under that id: `what` names the kind of thing, `key` is what was looked for."""

    def __init__(self, what: str, key: str) -> None:
        self.what = what
        self.key = key
        super().__init__(f"There is no {what} {key}; it may have been erased.")


class StaleWrite(GirthwrightError):
    """Someone else has changed `what` since it was read; `seen` and `now` are its versions."""

    def __init__(self, what: str, key: str, *, seen: int, now: int) -> None:
        self.what = what
        self.key = key
        self.seen = seen
        self.now = now
        super().__init__(
            f"Someone else has changed this {what} meanwhile. Nothing was overwritten: look at it as it is "
            "now, and change it again."
        )


SQLITE: Final = {
    5: StorageBusy,  # SQLITE_BUSY
    6: StorageBusy,  # SQLITE_LOCKED
    7: StorageUnavailable,  # SQLITE_NOMEM
    8: StorageUnavailable,  # SQLITE_READONLY
    10: StorageUnavailable,  # SQLITE_IOERR
    11: StorageDamaged,  # SQLITE_CORRUPT
    13: StorageFull,  # SQLITE_FULL
    14: StorageUnavailable,  # SQLITE_CANTOPEN
    26: StorageDamaged,  # SQLITE_NOTADB
}
"""SQLite's primary result codes (sqlite.org/rescode.html)."""

POSTGRESQL: Final = {
    "08": StorageUnavailable,  # connection exception
    "25006": StorageUnavailable,  # read only SQL transaction: a standby
    "40": StorageBusy,  # transaction rollback: deadlock, serialization
    "53": StorageUnavailable,  # insufficient resources
    "53100": StorageFull,  # disk full
    "55P03": StorageBusy,  # lock not available
    "57": StorageUnavailable,  # operator intervention: shutdown, cancelled
    "58": StorageUnavailable,  # system error: I/O
    "XX": StorageUnavailable,  # internal error: damaged data
}
"""PostgreSQL's SQLSTATE codes and classes (PostgreSQL documentation, appendix A)."""


@contextmanager
def told_apart() -> Iterator[None]:
    """Raise the store's troubles as StorageUnavailable and its kinds; other mistakes stay as they are."""
    try:
        yield
    except (DBAPIError, sqlite3.Error) as fault:
        kind = _kind(fault)
        if kind is None:
            raise
        raise kind(" ".join(str(getattr(fault, "orig", fault)).split())) from fault


def _kind(fault: Exception) -> type[StorageUnavailable] | None:
    said = getattr(fault, "orig", fault)
    code = getattr(said, "sqlite_errorcode", None)
    if isinstance(code, int):
        return SQLITE.get(code & 0xFF)  # the low byte of an extended code is the primary one
    state = getattr(said, "sqlstate", None)
    if isinstance(state, str):
        return POSTGRESQL.get(state) or POSTGRESQL.get(state[:2])
    return StorageUnavailable if isinstance(fault, OperationalError) else None  # no code: nobody answered
