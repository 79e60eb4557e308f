"""A service killed again and again while customers approve, and every approval that it had answered."""

import threading
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from pathlib import Path
from random import Random
from typing import Final

import httpx
from sqlalchemy import Connection, text

from service.storage import Database, Link, check, make_link, open_database, token_hash, workshop_ids
from tests.soak.served import Service, service
from tests.storage.makers import act, enquiry, new_id, open_shop, sent

CLIENTS: Final = 4


@dataclass(frozen=True, slots=True)
class Waiting:
    """A proof that waits for its customer's approval, and the token that opens it."""

    order: str
    sha256: str
    token: str


@dataclass
class Kills:
    """What came of killing a service: approvals it had answered, and those lost; faults of the store."""

    cycles: int = 0
    said: list[str] = field(default_factory=list)
    lost: set[str] = field(default_factory=set)
    faults: list[str] = field(default_factory=list)
    ready_s: list[float] = field(default_factory=list)


def proofs_waiting(database: Database, count: int) -> list[Waiting]:
    """Send so many proofs, each with a link."""
    with database.writing() as connection:
        if not workshop_ids(connection):
            open_shop(connection)
        return [_proof_waiting(connection) for _ in range(count)]


def _proof_waiting(connection: Connection) -> Waiting:
    order, proof = sent(connection, enquiry(connection))
    token, now = f"{new_id('token'):-<43}", datetime.now(UTC)
    link = Link(new_id("link"), order.id, "proof", "Ada", token_hash(token), now, now + timedelta(days=1))
    make_link(connection, link, act())
    return Waiting(order.id, proof.sha256, token)


def approve(base: str, waiting: list[Waiting], said: Callable[[str], None]) -> None:
    """A customer after the other approves, until the service is gone; says who got an answer."""
    headers = {"Sec-Fetch-Site": "same-origin"}
    with suppress(httpx.TransportError, IndexError), httpx.Client(base_url=base, headers=headers) as browser:
        while True:
            one = waiting.pop()
            form = {"kind": "approve", "version": "1", "sha256": one.sha256, "key": f"key-of-{one.token}"}
            answer = browser.post(f"/p/{one.token}/answer", data={**form, "name": "Ada Example"})
            if answer.status_code == httpx.codes.SEE_OTHER:
                said(one.order)


def approve_until_killed(running: Service, waiting: list[Waiting], least: int) -> list[str]:
    """Let several customers approve at once, and kill the service after so many answers."""
    said: list[str] = []
    enough = threading.Event()

    def hear(order: str) -> None:
        said.append(order)
        if len(said) >= least:
            enough.set()

    customers = [threading.Thread(target=approve, args=(running.base, waiting, hear)) for _ in range(CLIENTS)]
    for customer in customers:
        customer.start()
    assert enough.wait(60), f"{len(said)} approvals were answered in a minute, not {least}"
    running.process.kill()
    for customer in customers:
        customer.join()
    return said


def kill_again_and_again(url: str, data: Path, *, cycles: int, approvals: int, careless: str = "") -> Kills:
    """Start the service, approve, kill it and look, so many times; at least so many approvals each time."""
    came, chance = Kills(), Random(20261125)  # noqa: S311 - the same every time
    for _ in range(cycles):
        database = open_database(url)
        least = approvals + chance.randrange(approvals // 4 + 1)
        waiting = proofs_waiting(database, least + 4 * CLIENTS)
        database.close()
        with service(data, url, careless) as running:
            came.ready_s.append(running.ready_s)
            came.said += approve_until_killed(running, waiting, least)
        look(url, came)
        came.cycles += 1
    return came


def look(url: str, came: Kills) -> None:
    """Count what was lost, and note what is wrong with the store."""
    kept = text(
        "SELECT d.order_id FROM decision d JOIN orders o ON o.id = d.order_id"
        " WHERE d.kind = 'approve' AND o.stage = 'approved'"
    )
    database = open_database(url)
    with database.reading() as connection:
        came.lost |= {*came.said} - {*connection.execute(kept).scalars()}
    came.faults += check(database).faults
    database.close()
