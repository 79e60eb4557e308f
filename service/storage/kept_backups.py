"""The backups in a folder: which there are, and which are kept as time goes on."""

import re
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Final

from service.storage.backups import NOTE

NAME: Final = re.compile(r"girthwright-(\d{8}T\d{6})(\d{6})Z\.(?:dump|sqlite3)")
ALL_FOR: Final = timedelta(hours=48)
"""So long every backup is kept; after that the last of each day, and then of each month."""
DAYS, MONTHS = timedelta(days=30), timedelta(days=365)
HALF_MADE: Final = ".part"


@dataclass(frozen=True, slots=True)
class KeptBackup:
    """A backup that counts: its note is beside it."""

    file: Path
    at: datetime


def backups_in(folder: Path) -> tuple[KeptBackup, ...]:
    """Return a folder's backups, the newest first; only names are read."""
    found = (KeptBackup(file, at) for file in folder.glob("girthwright-*") if (at := _moment(file)))
    whole = (kept for kept in found if _note(kept.file).exists())
    return tuple(sorted(whole, key=lambda kept: kept.at, reverse=True))


def to_keep(moments: Iterable[datetime], now: datetime) -> set[datetime]:
    """Return the moments whose backups are kept: all of 48 h, a day's last for 30 d, a month's for a year.

    The newest of all is always kept.
    """
    kept: set[datetime] = set()
    seen: set[str] = set()
    for at in sorted(moments, reverse=True):
        day, month = f"{at:%Y-%m-%d}", f"{at:%Y-%m}"
        age = now - at
        of_day, of_month = age <= DAYS and day not in seen, age <= MONTHS and month not in seen
        if not kept or age <= ALL_FOR or of_day or of_month:
            kept.add(at)
        seen |= {day, month}
    return kept


def clear_out(folder: Path, now: datetime) -> tuple[Path, ...]:
    """Delete the backups of a folder that are kept no longer, and return them; other files are left alone."""
    there = backups_in(folder)
    kept = to_keep((one.at for one in there), now)
    gone = tuple(one.file for one in there if one.at not in kept)
    for file in gone:
        _note(file).unlink()  # first, so that what is left half-way doesn't count
        file.unlink()
    for file in folder.glob(f"girthwright-*{HALF_MADE}"):
        if now.timestamp() - file.stat().st_mtime > ALL_FOR.total_seconds():
            file.unlink()
    return gone


def _moment(file: Path) -> datetime | None:
    found = NAME.fullmatch(file.name)
    if found is None:
        return None
    try:
        return datetime.strptime("".join(found.groups()), "%Y%m%dT%H%M%S%f").replace(tzinfo=UTC)
    except ValueError:
        return None


def _note(file: Path) -> Path:
    return file.with_name(file.name + NOTE)
