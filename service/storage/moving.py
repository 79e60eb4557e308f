"""Moving a whole store to another database, of the same engine or the other, and proving the copy."""

import json
from collections.abc import Iterator
from dataclasses import dataclass
from hashlib import sha256
from typing import Final

from sqlalchemy import Connection, RowMapping, TableClause, column, func, inspect, select, table

from service.errors import GirthwrightError
from service.storage.audit import TrailHead
from service.storage.database import Database
from service.storage.migrating import migrate, shape
from service.storage.soundness import look_over
from service.storage.tables import METADATA

AT_ONCE: Final = 50
"""So many rows go over at once: a drawing or a photo takes its room."""


class NotCopied(GirthwrightError):
    """The store was not copied, and the other database holds nothing of it; the sentence says why."""


@dataclass(frozen=True, slots=True)
class Copied:
    """What was copied: rows and their hash by table, and the heads of the records."""

    rows: dict[str, int]
    hashes: dict[str, str]
    heads: dict[str, TrailHead]


def copy_store(source: Database, target: Database) -> Copied:
    """Copy everything to an empty database in one transaction; return what is proved to be there.

    Each table's rows are counted and hashed on both sides, and the records' heads compared, before anything
    is kept. Raises NotCopied.
    """
    if not shape(source).fits:
        raise NotCopied("The store has the shape of another release: start the service once, then copy it.")
    _refuse_filled(target)
    migrate(target)
    with source.reading() as old, target.writing() as new:
        before = look_over(old)
        if before.faults:
            raise NotCopied(f"The store is not whole: {'; '.join(before.faults)}. Restore a backup first.")
        for each in _tables():
            _copy_rows(old, new, each)
        hashes = {each.name: row_hash(old, each) for each in _tables()}
        after = look_over(new)
        wrong = [name for name, wanted in hashes.items() if row_hash(new, _plain(name)) != wanted]
        if wrong or after != before:
            what = ", ".join(wrong) or "; ".join(after.faults) or "the counts"
            raise NotCopied(f"The copy differs in {what}, so none of it was kept.")
    return Copied(after.rows, hashes, after.heads)


def row_hash(connection: Connection, of: TableClause) -> str:
    """Return one hash of all rows of a table as they lie in the store, whatever their order and engine."""
    rows = connection.execute(select(of)).yield_per(AT_ONCE)
    total = sha256()
    for digest in sorted(sha256(_canonical(row).encode()).digest() for row in rows.mappings()):
        total.update(digest)
    return total.hexdigest()


def _canonical(row: RowMapping) -> str:
    """A row as text that is the same for the same values on either engine."""
    return json.dumps({name: _told_apart(value) for name, value in row.items()}, sort_keys=True)


def _told_apart(value: float | str | bytes | None) -> object:
    match value:
        case float():
            return ["real", value.hex()]
        case bytes():
            return ["bytes", sha256(value).hexdigest()]
    return value


def _tables() -> Iterator[TableClause]:
    """Every table, those that others refer to first; its values are taken as they lie, unread."""
    return (_plain(each.name) for each in METADATA.sorted_tables)


def _plain(name: str) -> TableClause:
    return table(name, *(column(each.name) for each in METADATA.tables[name].columns))


def _copy_rows(old: Connection, new: Connection, of: TableClause) -> None:
    for rows in old.execute(select(of)).yield_per(AT_ONCE).mappings().partitions():
        new.execute(of.insert(), [{**row} for row in rows])


def _refuse_filled(target: Database) -> None:
    with target.reading() as connection:
        there = {*inspect(connection).get_table_names()}
        ours = [each for each in _tables() if each.name in there]
        held = [e.name for e in ours if connection.execute(select(func.count()).select_from(e)).scalar_one()]
    if held:
        raise NotCopied(f"The other database is not empty (it holds {', '.join(held)}): give a new one.")
    strange = there - {each.name for each in _tables()} - {"alembic_version"}
    if strange:
        raise NotCopied(
            f"The other database holds other tables ({', '.join(sorted(strange))}): give a new one."
        )
