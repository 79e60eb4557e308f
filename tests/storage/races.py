"""A customer's approvals and a maker's new proof at the same moment, and what may come of it."""

import threading
from collections.abc import Callable, Iterable
from random import Random

from sqlalchemy import Connection
from sqlalchemy.exc import DBAPIError

from service.errors import GirthwrightError
from service.orders import Proof
from service.storage import Database, Order, answers_of, check, newest_proof, open_database, order_by_id
from tests.storage.makers import answered, enquiry, open_shop, sent


def wrongs(connection: Connection, order: Order) -> list[str]:
    """What is wrong with an order after a race: nothing but the newest proof may be approved, and once."""
    now, newest = order_by_id(connection, order.id), newest_proof(connection, order.id)
    approvals = [answer for answer in answers_of(connection, order.id) if answer.kind == "approve"]
    assert newest is not None
    found = [
        f"{answer.seen} is approved, {newest.seen} is the newest"
        for answer in approvals
        if answer.seen != newest.seen
    ]
    if (now.stage == "approved") != (len(approvals) == 1) or len(approvals) > 1:
        found.append(f"{len(approvals)} approvals at {now.stage}")
    if now.version != newest.version:
        found.append(f"the order is at version {now.version}, its proof at {newest.version}")
    return found


def race(databases: tuple[Database, Database], order: Order, proof: Proof, chance: Random) -> dict[str, str]:
    """Two customers' approvals and a maker's new proof at the same moment; what became of each."""
    came: dict[str, str] = {}
    start = threading.Barrier(3)

    def run(name: str, database: Database, deed: Callable[[Connection], object]) -> None:
        start.wait()
        try:
            with database.writing() as connection:
                deed(connection)
            came[name] = "done"
        except (GirthwrightError, DBAPIError) as fault:
            came[name] = type(fault).__name__

    customers, maker = databases
    runs: list[tuple[str, Database, Callable[[Connection], object]]] = [
        ("approve", customers, lambda c: answered(c, proof)),
        ("edit", maker, lambda c: sent(c, order)),
        ("again", customers, lambda c: answered(c, proof)),
    ]
    chance.shuffle(runs)
    threads = [threading.Thread(target=run, args=each) for each in runs]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return came


def run_races(url: str, count: int) -> tuple[list[str], list[dict[str, str]]]:
    databases = open_database(url), open_database(url)
    with databases[0].writing() as connection:
        open_shop(connection)
        prepared = [sent(connection, enquiry(connection)) for _ in range(count)]
    chance = Random(20261125)  # noqa: S311 - the same races every time
    came = [race(databases, order, proof, chance) for order, proof in prepared]
    with databases[0].reading() as connection:
        wrong = [line for order, _ in prepared for line in wrongs(connection, order)]
    wrong.extend(check(databases[0]).faults)
    for database in databases:
        database.close()
    return wrong, came


def undecided(came: Iterable[dict[str, str]]) -> list[dict[str, str]]:
    """The races that more than one or nobody won, or in which a loser was told something else than why."""
    found = []
    for one in came:
        won = {name for name, how in one.items() if how == "done"}
        lost = {how for how in one.values() if how != "done"}
        told = {"ProofChanged"} if won == {"edit"} else {"AlreadyApproved", "StaleWrite"}
        if won not in ({"approve"}, {"again"}, {"edit"}) or lost != told:
            found.append(one)
    return found
