"""A disk that keeps only what was synced, under the statements of real approvals.

Killing a process takes nothing back that the system was handed, so it can't show what a power cut does. Here
the statements that the store sends to its driver are noted while proofs are sent and approved, and sent again
to an SQLite whose files lie on a disk made up here (a VFS). From what that disk was told, in order, follows
what is on it when the power goes after any step: what was synced, and of the rest nothing, or a part of it by
chance. The store is then opened as ever.

The made-up disk has no shared memory, so its one connection locks the file for itself; what is written and
synced is the same.
"""

import shutil
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from functools import partial
from pathlib import Path
from random import Random
from typing import Any, Final

import apsw
from sqlalchemy import Connection, event
from sqlalchemy.exc import DBAPIError

from service.errors import GirthwrightError
from service.storage import check, embedded_url, open_database
from service.storage.sqlite import ALWAYS, WRITING
from tests.storage.makers import answered, enquiry, open_shop, sent

STORE: Final = "store.sqlite3"
SECTOR: Final = 512
POWERSAFE: Final = 0x1000
"""A write that is cut off harms no byte beside it: what SQLite takes for granted of a Unix disk."""


@dataclass(frozen=True, slots=True)
class Step:
    """What the disk was told: to write `data` at a place, to cut to a length, to sync or to delete a file.

    The step "said" is no deed of the disk: from here on an approval has been acknowledged.
    """

    deed: str
    file: str
    at: int = 0
    data: bytes = b""


@dataclass(frozen=True, slots=True)
class Deed:
    """The statements of one writing, and the order whose approval it acknowledges when it is kept."""

    statements: list[tuple[str, Any]] = field(default_factory=list)
    approves: str = ""


@dataclass(frozen=True, slots=True)
class Cuts:
    """How many cuts there were, and after how many of them approvals were lost or the store was damaged."""

    points: int
    lost: int
    damaged: int


class Disk(apsw.VFS):
    """The made-up disk: files in memory, and everything it was told."""

    def __init__(self, name: str, files: dict[str, bytes]) -> None:
        super().__init__(name, base="")
        self.files = {file: bytearray(data) for file, data in files.items()}
        self.steps: list[Step] = []

    def told(self, step: Step) -> None:
        self.steps.append(step)

    def xFullPathname(self, name: str) -> str:  # noqa: N802 - SQLite's name
        return name

    def xAccess(self, pathname: str, flags: int) -> bool:  # noqa: N802 - SQLite's name
        del flags
        return pathname in self.files

    def xDelete(self, filename: str, syncdir: bool) -> None:  # noqa: FBT001, N802 - SQLite's name
        del syncdir
        self.files.pop(filename, None)
        self.told(Step("delete", filename))

    def xOpen(self, name: Any, flags: list[int]) -> "DiskFile":  # type: ignore[override] # noqa: ANN401, N802
        file = name.filename() if isinstance(name, apsw.URIFilename) else name or f"passing-{len(self.files)}"
        flags[1] = flags[0]
        self.files.setdefault(file, bytearray())
        return DiskFile(self, file)


class DiskFile:
    """A file on the made-up disk. Method names are SQLite's."""

    def __init__(self, disk: Disk, name: str) -> None:
        self.disk = disk
        self.name = name

    @property
    def data(self) -> bytearray:
        return self.disk.files[self.name]

    def xRead(self, amount: int, offset: int) -> bytes:  # noqa: N802
        return bytes(self.data[offset : offset + amount])

    def xWrite(self, data: bytes, offset: int) -> None:  # noqa: N802
        write(self.data, offset, data)
        self.disk.told(Step("write", self.name, offset, bytes(data)))

    def xTruncate(self, size: int) -> None:  # noqa: N802
        del self.data[size:]
        self.disk.told(Step("truncate", self.name, size))

    def xSync(self, _flags: int) -> None:  # noqa: N802
        self.disk.told(Step("sync", self.name))

    def xFileSize(self) -> int:  # noqa: N802
        return len(self.data)

    def xSectorSize(self) -> int:  # noqa: N802
        return 4096

    def xDeviceCharacteristics(self) -> int:  # noqa: N802
        return POWERSAFE

    def xFileControl(self, _op: int, _pointer: int) -> bool:  # noqa: N802
        return False

    def xCheckReservedLock(self) -> bool:  # noqa: N802
        return False

    def xLock(self, _level: int) -> None:  # noqa: N802
        """There is nobody else."""

    def xUnlock(self, _level: int) -> None:  # noqa: N802
        """There is nobody else."""

    def xClose(self) -> None:  # noqa: N802
        """It stays on the disk."""


def write(data: bytearray, at: int, new: bytes) -> None:
    """Write into a file, which grows as need be."""
    data.extend(bytes(max(0, at + len(new) - len(data))))
    data[at : at + len(new)] = new


def note_deeds(folder: Path, migrated: Path, approvals: int) -> tuple[bytes, list[Deed]]:
    """Send and approve proofs in a real store; its file before, and the statements of every writing."""
    file = Path(shutil.copy(migrated, folder / STORE))
    database = open_database(embedded_url(file))
    with database.writing() as connection:
        open_shop(connection)
    database.close()
    before, deeds = file.read_bytes(), [Deed()]

    def note(_c: object, _cursor: object, statement: str, given: Any, _x: object, _many: bool) -> None:  # noqa: ANN401, FBT001
        deeds[-1].statements.append((statement, given))

    database = open_database(embedded_url(file))
    event.listen(database.writer, "before_cursor_execute", note)

    def keep(do: Callable[[Connection], Any]) -> Any:  # noqa: ANN401 - whatever it returns
        with database.writing() as connection:
            done = do(connection)
        deeds[-1].statements.append(("COMMIT", ()))
        deeds.append(Deed())
        return done

    for _ in range(approvals):
        order, proof = keep(lambda connection: sent(connection, enquiry(connection)))
        keep(partial(answered, to=proof))
        deeds[-2] = Deed(deeds[-2].statements, order.id)
    event.remove(database.writer, "before_cursor_execute", note)
    database.close()
    return before, deeds[:-1]


def told_disk(before: bytes, deeds: Sequence[Deed], synchronous: str) -> list[Step]:
    """Do all of it on the made-up disk; what the disk was told."""
    disk = Disk("made-up", {STORE: before})
    connection = apsw.Connection(STORE, vfs="made-up")
    settings = [line.replace("synchronous = FULL", f"synchronous = {synchronous}") for line in WRITING]
    for line in ("PRAGMA locking_mode = EXCLUSIVE", *ALWAYS, *settings):
        connection.execute(line).fetchall()
    for deed in deeds:
        for statement, given in deed.statements:
            connection.execute(statement, given).fetchall()
        if deed.approves:
            disk.told(Step("said", deed.approves))
    steps = [*disk.steps]
    connection.close()
    disk.unregister()
    return steps


@dataclass
class Platter:
    """What lies on the disk for good, and what it was told since and has not synced."""

    files: dict[str, bytearray]
    waiting: list[Step] = field(default_factory=list)
    said: list[str] = field(default_factory=list)

    def take(self, step: Step) -> None:
        if step.deed == "said":
            self.said.append(step.file)
        elif step.deed == "sync":
            for one in self.waiting:
                if one.file == step.file:
                    apply(self.files, one)
            self.waiting = [one for one in self.waiting if one.file != step.file]
        else:
            self.waiting.append(step)

    def after_cut(self, chance: Random | None) -> dict[str, bytearray]:
        """What is left when the power goes now: what was synced and, with `chance`, some of the rest."""
        left = {file: bytearray(data) for file, data in self.files.items()}
        for step in self.waiting if chance else ():
            for piece in sectors(step):
                if chance and chance.random() < 1 / 2:
                    apply(left, piece)
        return left


def sectors(step: Step) -> Iterator[Step]:
    """What a disk does at once: a write falls into its sectors."""
    if step.deed != "write":
        yield step
        return
    first = step.at // SECTOR * SECTOR
    for start in range(first, step.at + len(step.data), SECTOR):
        low, high = max(start, step.at), min(start + SECTOR, step.at + len(step.data))
        yield Step("write", step.file, low, step.data[low - step.at : high - step.at])


def apply(files: dict[str, bytearray], step: Step) -> None:
    """Do on a disk what it was told."""
    if step.deed == "delete":
        files.pop(step.file, None)
        return
    data = files.setdefault(step.file, bytearray())
    if step.deed == "write":
        write(data, step.at, step.data)
    else:
        del data[step.at :]


def cut_everywhere(before: bytes, steps: Sequence[Step], folder: Path, points: int) -> Cuts:
    """Cut the power after so many of the steps, evenly spread, and open what is left each time."""
    platter, chance = Platter({STORE: bytearray(before)}), Random(20261125)  # noqa: S311 - the same every time
    made = lost = damaged = 0
    for number, step in enumerate(steps):
        platter.take(step)
        if (number + 1) * points // len(steps) == made:
            continue
        made += 1
        kept = approved_in(platter.after_cut(chance if made % 2 else None), folder)
        damaged += kept is None
        lost += kept is not None and not kept >= {*platter.said}
    return Cuts(made, lost, damaged)


def approved_in(files: dict[str, bytearray], folder: Path) -> set[str] | None:
    """The orders that are approved in what a cut left, opened as ever; None if it is damaged."""
    shutil.rmtree(folder, ignore_errors=True)
    folder.mkdir(parents=True)
    for name, data in files.items():
        (folder / name).write_bytes(data)
    try:
        database = open_database(embedded_url(folder / STORE))
        faults = check(database).faults
        with database.reading() as connection:
            kept = connection.exec_driver_sql(
                "SELECT d.order_id FROM decision d JOIN orders o ON o.id = d.order_id"
                " WHERE d.kind = 'approve' AND o.stage = 'approved'"
            ).scalars()
            approved = {*kept}
        database.close()
    except (GirthwrightError, DBAPIError):
        return None
    return None if faults else approved
