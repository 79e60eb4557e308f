"""The commands that keep a store safe: back it up, bring a backup back, prove it, move it."""

import sys
from collections.abc import Mapping
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path
from typing import Final

from service.commands.opening import STORE, NotStarted, alone, brought_up, opened
from service.settings import Settings
from service.storage import (
    Database,
    Report,
    StorageDamaged,
    StoreUnusable,
    backup,
    backup_to,
    check,
    copy_store,
    open_database,
    read_backup,
    restore,
)

REPLACED: Final = "before-restore"
"""The folder among the backups for what a restore replaces; nothing in it is ever deleted."""
BESIDE: Final = ("", "-wal", "-shm")
"""The endings of the files that SQLite keeps a store in (sqlite.org/tempfiles.html)."""


def back_up(settings: Settings, given: Mapping[str, str]) -> None:
    """Copy the whole store, and prove the copy; the service may go on meanwhile."""
    with closing(_there(settings)) as database:
        if given["file"]:
            file = Path(given["file"])
            if file.exists():
                raise NotStarted(f"There is a {file} already: name another file.")
            made = backup_to(database, file)
        else:
            made = backup(database, settings.backups, _now())
    size = made.file.stat().st_size / 1e6
    print(f"Backed up to {made.file} ({size:.1f} MB), and proved whole: {_holds(made.report)}.")


def bring_back(settings: Settings, given: Mapping[str, str]) -> None:
    """Put a backup in place of what the store holds; what was there is kept."""
    file = Path(given["file"])
    kept = read_backup(file)
    with alone(settings):
        _ask(f"This puts the backup {file} ({_holds(kept.report)}) in place of what the store holds.", given)
        was = _set_aside(settings)
        if was is not None:
            print(f"What was there is kept in {was}.")
        with closing(opened(settings)) as database:
            restore(database, file)
            brought_up(database)
            report = check(database)
    _refuse_faults(report)
    print(f"Restored from {file}, and proved whole: {_holds(report)}. Start the service again.")


def look_over(settings: Settings, _: Mapping[str, str]) -> None:
    """Prove that the store is whole, and say what it holds; nothing is changed."""
    with closing(_there(settings)) as database:
        report = check(database)
    print(f"The store has the shape {report.revision}.")
    width = max(map(len, report.rows), default=0)
    for table, count in report.rows.items():
        print(f"  {table:<{width}} {count:>9,}")
    for workshop, head in report.heads.items():
        print(f"The record of workshop {workshop} holds, from entry 1 to entry {head.number}: {head.hash}")
    _refuse_faults(report)
    print("Everything is whole: files, references, the record, every proof, drawing and photo.")


def copy_to(settings: Settings, given: Mapping[str, str]) -> None:
    """Copy the whole store to another, empty database, and prove that they are the same."""
    with alone(settings), closing(_there(settings)) as source, closing(open_database(given["url"])) as target:
        copied = copy_store(source, target)
        place = target.url.render_as_string()  # without its password
    print(f"Copied {sum(copied.rows.values()):,} rows in {len(copied.rows)} tables to {place}.")
    for workshop, head in copied.heads.items():
        print(f"The record of workshop {workshop} ends there as here, at entry {head.number}: {head.hash}")
    print("Rows and hashes of every table agree. To use it, set GIRTHWRIGHT_DATABASE to that address.")


def _there(settings: Settings) -> Database:
    """Open a store that is there already."""
    if not settings.database and not (settings.data / STORE).exists():
        raise NotStarted(f"There is no store in {settings.data}; name its folder with --data.")
    return opened(settings)


def _set_aside(settings: Settings) -> Path | None:
    """Keep what the store holds now, as a backup if it is whole, else its files as they are."""
    if not settings.database and not (settings.data / STORE).exists():
        return None
    folder = settings.backups / REPLACED
    try:
        with closing(opened(settings)) as database:
            return backup(database, folder, _now()).file if any(check(database).rows.values()) else None
    except (StoreUnusable, StorageDamaged) as fault:
        if settings.database:
            raise NotStarted(
                f"What the store holds can't be kept: {fault} Give an empty database."
            ) from fault
        return _moved(settings.data / STORE, folder)


def _moved(store: Path, folder: Path) -> Path:
    """Move the files of a store that is not whole out of the way."""
    folder.mkdir(parents=True, exist_ok=True)
    target = folder / f"as-it-was-{_now():%Y%m%dT%H%M%SZ}.sqlite3"
    for ending in BESIDE:
        part = store.with_name(store.name + ending)
        if part.exists():
            part.rename(target.with_name(target.name + ending))
    return target


def _ask(question: str, given: Mapping[str, str]) -> None:
    if given["yes"]:
        return
    if not sys.stdin.isatty():
        raise NotStarted(f"{question} To do it without being asked, add --yes.")
    if input(f"{question} Type yes to do it: ").strip().lower() != "yes":
        raise NotStarted("Nothing was changed.")


def _refuse_faults(report: Report) -> None:
    if report.faults:
        wrong = "".join(f"\n  {fault}" for fault in report.faults)
        raise NotStarted(f"The store is not whole:{wrong}\nRestore the last backup that is.")


def _holds(report: Report) -> str:
    entries = sum(head.number for head in report.heads.values())
    return f"{report.rows.get('orders', 0):,} orders and {entries:,} entries of the record"


def _now() -> datetime:
    return datetime.now(UTC)
