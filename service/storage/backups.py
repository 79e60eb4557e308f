"""Backups: a whole copy with a note beside it of what is in it, proved before it counts, put back whole."""

import json
import os
import shutil
import subprocess
from collections.abc import Sequence
from dataclasses import asdict, dataclass
from datetime import UTC, datetime
from hashlib import file_digest
from pathlib import Path
from typing import Final

from sqlalchemy import URL, func, select

from service.storage.audit import TrailHead
from service.storage.database import Database
from service.storage.faults import StoreUnusable, told_apart
from service.storage.soundness import Report, check, look_over
from service.storage.sqlite import copy_whole, keep_on_disk, pour_into, read_engine
from service.storage.tables import PASSING

NOTE: Final = ".json"
"""Ending of the note beside a backup."""


@dataclass(frozen=True, slots=True)
class Backup:
    """A backup file, the SHA-256 of its bytes, and what is in it."""

    file: Path
    sha256: str
    report: Report


class BackupUnusable(StoreUnusable):
    """A backup can't be made, or is not what its note says; `faults` say why."""

    def __init__(self, file: Path, faults: Sequence[str]) -> None:
        self.file = file
        self.faults = tuple(faults)
        super().__init__(f"The backup {file} can't be used: {'; '.join(faults)}.")


def backup(database: Database, folder: Path, at: datetime) -> Backup:
    """Write a whole copy of the store into a folder, under the time; as `backup_to` does."""
    folder.mkdir(parents=True, exist_ok=True)
    kind = "dump" if database.file is None else "sqlite3"
    return backup_to(database, folder / f"girthwright-{at.astimezone(UTC):%Y%m%dT%H%M%S%fZ}.{kind}")


def backup_to(database: Database, file: Path) -> Backup:
    """Write a whole copy of the store to a file, prove it, and return it; raises BackupUnusable.

    Others read and write meanwhile. A backup counts once its note is beside it.
    """
    if not file.parent.is_dir():
        raise BackupUnusable(file, [f"there is no folder {file.parent}"])
    try:
        report = _dump(database, file) if database.file is None else _copy(database.file, file)
        if report.faults:
            file.unlink()
            raise BackupUnusable(file, report.faults)
        made = Backup(file, _sha256(file), report)
        _write(_note(file), json.dumps({"sha256": made.sha256, "report": asdict(report)}, indent=2))
    except OSError as fault:
        raise BackupUnusable(file, [f"it can't be written there ({fault.strerror or fault})"]) from fault
    return made


def read_backup(file: Path) -> Backup:
    """Return a backup whose bytes are those that were written; raises BackupUnusable."""
    try:
        note = json.loads(_note(file).read_text(encoding="utf-8"))
        report = note["report"]
        heads = {name: TrailHead(**head) for name, head in report["heads"].items()}
        kept = Report(report["revision"], report["rows"], heads, tuple(report["faults"]))
        found = _sha256(file)
    except (OSError, ValueError, KeyError, TypeError) as fault:
        raise BackupUnusable(file, [f"it or the note beside it can't be read ({fault})"]) from fault
    if found != note["sha256"]:
        raise BackupUnusable(file, ["its bytes are not those that were written"])
    return Backup(file, found, kept)


def restore(database: Database, file: Path) -> Report:
    """Put a backup in place of what the store holds, all or nothing, and return what it holds then.

    Raises BackupUnusable when the file is not what its note says, or the store is not what the file was.
    A backup of an older release has to be migrated after.
    """
    kept = read_backup(file)
    if database.file is None:
        where = f"--dbname={_conninfo(database)}"
        ways = ("--clean", "--if-exists", "--single-transaction", "--exit-on-error", "--no-owner")
        _run("pg_restore", database, *ways, where, str(file))
    else:
        with database.in_turn():
            pour_into(file, database.file)
    found = check(database)
    if found != kept.report:
        raise BackupUnusable(file, [*found.faults, "the store holds something else than it after restoring"])
    return found


def _copy(source: Path, file: Path) -> Report:
    copy_whole(source, file, PASSING)
    engine = read_engine(file)
    try:
        with told_apart(), engine.connect() as connection:
            return look_over(connection)
    finally:
        engine.dispose()


def _dump(database: Database, file: Path) -> Report:
    part = file.with_name(f"{file.name}.part")
    with database.reading() as connection:
        snapshot = connection.execute(select(func.pg_export_snapshot())).scalar_one()
        ways = ("--format=custom", "--no-owner", "--no-privileges", f"--snapshot={snapshot}")
        left_out = [f"--exclude-table-data={name}" for name in PASSING]
        _run("pg_dump", database, *ways, *left_out, f"--file={part}", _conninfo(database))
        report = look_over(connection)
    keep_on_disk(part)
    part.replace(file)
    keep_on_disk(file.parent)
    return report


def _run(tool: str, database: Database, *words: str) -> None:
    path = shutil.which(tool)
    if path is None:
        raise StoreUnusable(f"{tool} is missing: install PostgreSQL's client programs (postgresql-client).")
    secret = {"PGPASSWORD": str(database.url.password)} if database.url.password else {}
    done = subprocess.run(  # noqa: S603 - PostgreSQL's own program, told where and what
        [path, *words], env={**os.environ, **secret}, capture_output=True, text=True, check=False
    )
    if done.returncode:
        raise StoreUnusable(f"{tool} failed: {' '.join(done.stderr.split()) or done.returncode}")


def _conninfo(database: Database) -> str:
    """Where the database is, as libpq reads it, without the password: other users see a program's words."""
    url = database.url
    place = (url.username, None, url.host, url.port, url.database, url.query)
    return URL.create("postgresql", *place).render_as_string()


def _note(file: Path) -> Path:
    return file.with_name(file.name + NOTE)


def _write(path: Path, words: str) -> None:
    part = path.with_name(f"{path.name}.part")
    part.write_text(words, encoding="utf-8")
    keep_on_disk(part)
    part.replace(path)
    keep_on_disk(path.parent)


def _sha256(file: Path) -> str:
    with file.open("rb") as handle:
        return file_digest(handle, "sha256").hexdigest()
