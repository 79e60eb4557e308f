"""Whatever is killed, and whenever: an approval that was acknowledged is kept, and the store is whole."""

import subprocess
import sys

from service.settings import ROOT
from service.storage import Database, answers_of, check, open_database, order_by_id
from tests.postgres import Server
from tests.storage.makers import open_shop

CYCLES = 3
ACKNOWLEDGED = 25


def opened(url: str) -> None:
    database = open_database(url)
    with database.writing() as connection:
        open_shop(connection)
    database.close()


def start(url: str, *mode: str) -> "subprocess.Popen[str]":
    words = [sys.executable, "-m", "tests.storage.approver", url, *mode]
    return subprocess.Popen(words, cwd=ROOT, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True)


def acknowledged(worker: "subprocess.Popen[str]", least: int) -> list[str]:
    assert worker.stdout is not None
    said = [worker.stdout.readline().strip() for _ in range(least)]
    assert all(said), "the worker ended by itself"
    return said


def killed(worker: "subprocess.Popen[str]") -> list[str]:
    """Kill it at once; what else it had acknowledged until then."""
    worker.kill()
    rest, _ = worker.communicate()
    return [line for line in rest.splitlines() if line]


def lost(database: Database, orders: list[str]) -> list[str]:
    with database.reading() as connection:
        return [
            order
            for order in orders
            if [answer.kind for answer in answers_of(connection, order)] != ["approve"]
            or order_by_id(connection, order).stage != "approved"
        ]


def test_killed_at_work_the_service_loses_no_acknowledged_approval(sqlite_url: str) -> None:
    opened(sqlite_url)
    said: list[str] = []
    for cycle in range(CYCLES):
        worker = start(sqlite_url)
        said += [*acknowledged(worker, ACKNOWLEDGED + 7 * cycle), *killed(worker)]
        database = open_database(sqlite_url)
        assert lost(database, said) == []
        assert check(database).faults == ()
        database.close()
    assert len(said) >= CYCLES * ACKNOWLEDGED


def test_a_killed_postgresql_loses_no_acknowledged_approval(server: Server, postgresql_url: str) -> None:
    opened(postgresql_url)
    said: list[str] = []
    for cycle in range(CYCLES):
        worker = start(postgresql_url)
        said += acknowledged(worker, ACKNOWLEDGED + 7 * cycle)
        server.kill()
        said += killed(worker)
        server.start()
        database = open_database(postgresql_url)
        assert lost(database, said) == []
        assert check(database).faults == ()
        database.close()
    assert len(said) >= CYCLES * ACKNOWLEDGED


def test_the_kills_would_show_an_approval_acknowledged_too_early(sqlite_url: str) -> None:
    opened(sqlite_url)
    worker = start(sqlite_url, "early")
    said = [*acknowledged(worker, 1), *killed(worker)]
    database = open_database(sqlite_url)
    assert lost(database, said)
    database.close()
