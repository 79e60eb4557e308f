"""The audit in the store: who did what and when, as a chain for each workshop.

Its rules are those of `service.orders`: a fact holds ids, versions, hashes and sums, never names, contacts or
what was written, so that it stays when a customer is erased.
"""

from collections.abc import Iterator, Mapping
from dataclasses import asdict, dataclass, fields
from datetime import datetime
from typing import Any

from sqlalchemy import Connection, Select, insert, select

from service.orders import Actor, Entry, Fact, next_entry, verify_chain
from service.storage.columns import moment_text
from service.storage.tables import audit

FACT = tuple(field.name for field in fields(Fact))


@dataclass(frozen=True, slots=True)
class Act:
    """Who acts, and when: `who` is the id of a member, a link or a key, or the part of the service that acts.

    `address` is shortened and `agent` hashed by the caller.
    """

    actor: Actor
    who: str
    at: datetime
    address: str = ""
    agent: str = ""


@dataclass(frozen=True, slots=True)
class TrailHead:
    """The last entry's number and hash, to be noted outside the store."""

    number: int
    hash: str


def record(
    connection: Connection,
    workshop_id: str,
    action: str,
    act: Act,
    *,
    order: str = "",
    version: int = 0,
    sha256: str = "",
    detail: str = "",
) -> Entry:
    """Put a fact on a workshop's record, and return its entry."""
    at = moment_text(act.at)
    fact = Fact(at, act.actor, act.who, action, order, version, sha256, act.address, act.agent, detail)
    entry = next_entry(last_entry(connection, workshop_id), fact)
    row = {**asdict(fact), "number": entry.number, "prev": entry.prev, "hash": entry.hash}
    connection.execute(insert(audit).values(workshop_id=workshop_id, **row))
    return entry


def last_entry(connection: Connection, workshop_id: str) -> Entry | None:
    """Return the newest entry of a workshop's record."""
    chosen = _of(workshop_id).order_by(None).order_by(audit.c.number.desc()).limit(1)
    return next(_entries(connection, chosen), None)


def record_of(connection: Connection, workshop_id: str, order: str = "") -> tuple[Entry, ...]:
    """Return a workshop's entries, or those about one order, oldest first."""
    chosen = _of(workshop_id)
    return tuple(_entries(connection, chosen.where(audit.c.order == order) if order else chosen))


def verify_record(
    connection: Connection, workshop_id: str, witnesses: Mapping[int, str] | None = None
) -> TrailHead:
    """Return the head of a record that holds; raises ChainBroken naming the first entry that does not."""
    last = last_entry(connection, workshop_id)
    head = verify_chain(_entries(connection, _of(workshop_id)), witnesses)
    return TrailHead(0 if last is None else last.number, head)


def recorded_workshops(connection: Connection) -> tuple[str, ...]:
    """Return the ids of the workshops that have a record."""
    return tuple(connection.execute(select(audit.c.workshop_id).distinct().order_by("workshop_id")).scalars())


def _of(workshop_id: str) -> Select[Any]:
    return select(audit).where(audit.c.workshop_id == workshop_id).order_by(audit.c.number)


def _entries(connection: Connection, chosen: Select[Any]) -> Iterator[Entry]:
    for row in connection.execute(chosen).mappings():
        fact = Fact(**{name: row[name] for name in FACT})
        yield Entry(row["number"], fact, row["prev"], row["hash"])
