"""Whether a store is whole: what it holds, counted and proved in one state of it."""

from collections.abc import Iterator
from dataclasses import dataclass

from sqlalchemy import Connection, Table, func, inspect, select

from service.orders import ChainBroken, sha256_hex
from service.storage import triggers
from service.storage.audit import TrailHead, recorded_workshops, verify_record
from service.storage.database import Database
from service.storage.migrating import current_revision
from service.storage.tables import METADATA, PASSING, decision, photo, proof, proof_drawing

AT_ONCE = 50
"""So many rows are read at once: a drawing or a photo takes its room."""


@dataclass(frozen=True, slots=True)
class Report:
    """What a store holds: its revision, rows by table, each workshop's record's head, and what is wrong.

    What is only passing through (`PASSING`) is not counted.
    """

    revision: str | None
    rows: dict[str, int]
    heads: dict[str, TrailHead]
    faults: tuple[str, ...]


def check(database: Database) -> Report:
    """Return what a store holds, counted and proved in one state of it."""
    with database.reading() as connection:
        return look_over(connection)


def look_over(connection: Connection) -> Report:
    """Return what the store of a connection holds, and everything that is wrong with it."""
    faults = [*_damage(connection)] if connection.dialect.name == "sqlite" else []
    there = {*inspect(connection).get_table_names()}
    tables = [table for table in METADATA.sorted_tables if table.name in there - PASSING]
    rows = {
        table.name: connection.execute(select(func.count()).select_from(table)).scalar_one()
        for table in tables
    }
    missing = {*triggers.expected(connection)} - {*triggers.found(connection)}
    faults.extend(f"the trigger {name} is missing" for name in sorted(missing))
    heads: dict[str, TrailHead] = {}
    for name in recorded_workshops(connection) if "audit" in there else ():
        try:
            heads[name] = verify_record(connection, name)
        except ChainBroken as broken:
            faults.append(str(broken))
    if "proof" in there:
        faults.extend(_unlike(connection))
    return Report(current_revision(connection), rows, heads, tuple(faults))


def _damage(connection: Connection) -> Iterator[str]:
    """What SQLite finds wrong with its file."""
    said = connection.exec_driver_sql("PRAGMA integrity_check").scalars().all()
    broken = connection.exec_driver_sql("PRAGMA foreign_key_check").all()
    yield from (line for line in said if line != "ok")
    for row in broken:
        yield f"row {row[1]} of {row[0]} refers to a row of {row[2]} that isn't there"


def _unlike(connection: Connection) -> Iterator[str]:
    """What is no longer as it was when its hash was taken; and answers to something else than was sent."""
    own = proof.c
    sent = select(own.order_id, own.version, own.sha256, own.body)
    for order, version, sha256, body in connection.execute(sent).yield_per(AT_ONCE):
        if sha256_hex(body.encode()) != sha256:
            yield f"version {version} of the proof of {order} is not what was sent"
    for table in (proof_drawing, photo):
        for name, sha256, content in _contents(connection, table):
            if sha256_hex(content) != sha256:
                yield f"{table.name} {name} is not what was kept"
    same = (own.order_id == decision.c.order_id) & (own.version == decision.c.version)
    other = select(decision.c.order_id, decision.c.version).join(proof, same)
    for order, version in connection.execute(other.where(own.sha256 != decision.c.sha256)):
        yield f"the answer to version {version} of the proof of {order} is to another proof"


def _contents(connection: Connection, table: Table) -> Iterator[tuple[str, str, bytes]]:
    key = [*table.primary_key]
    for row in connection.execute(select(*key, table.c.sha256, table.c.content)).yield_per(AT_ONCE):
        *names, sha256, content = row
        yield " ".join(map(str, names)), sha256, content
