"""Migrates a store again and again, killed at the first change, at the second ..., until it is through.

    python -m tests.storage.killed_migration FOLDER-OF-STEPS STORE [each-alone]

Each line tells, as JSON, what the store is like after one kill. With `each-alone` every statement is kept by
itself, as it would be without a transaction: a control that must leave a store half-way.
"""

import json
import os
import signal
import sys
from itertools import count
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, event, inspect

from service.storage import check, migrate, migrating, open_database

REBUILT = ("customer", "decision")


def migrate_until(killed_at: int, url: str, *, each_alone: bool) -> None:
    database, done = open_database(url), count(1)

    def before(*of: object) -> None:
        looks = len(of) > 2 and str(of[2]).lstrip().startswith(("SELECT", "PRAGMA", "BEGIN"))
        if not looks and next(done) == killed_at:
            os.kill(os.getpid(), signal.SIGKILL)

    def after(connection: Connection, *_: object) -> None:
        plain: Any = connection.connection.driver_connection
        if plain.in_transaction:
            plain.execute("COMMIT")
            plain.execute("BEGIN IMMEDIATE")

    event.listen(database.writer, "before_cursor_execute", before)
    event.listen(database.writer, "commit", before)
    if each_alone:
        event.listen(database.writer, "after_cursor_execute", after)
    migrate(database)
    database.close()


def look(url: str, *, killed: bool) -> None:
    database = open_database(url)
    report = check(database)
    with database.reading() as connection:
        names = inspect(connection).get_table_names()
        rebuilt = {name: [c["name"] for c in inspect(connection).get_columns(name)] for name in REBUILT}
    state = {"revision": report.revision, "rows": report.rows, "tables": names, "columns": rebuilt}
    line = json.dumps({"killed": killed, "faults": report.faults, "state": state}, sort_keys=True)
    sys.stdout.write(f"{line}\n")
    database.close()


def main(steps: str, url: str, *, each_alone: bool) -> None:
    vars(migrating)["MIGRATIONS"] = Path(steps)
    for killed_at in count(1):
        sys.stdout.flush()
        child = os.fork()
        if child == 0:
            migrate_until(killed_at, url, each_alone=each_alone)
            os._exit(0)
        _, status = os.waitpid(child, 0)
        killed = os.WIFSIGNALED(status) and os.WTERMSIG(status) == signal.SIGKILL
        look(url, killed=killed)
        if not killed:
            sys.exit(os.waitstatus_to_exitcode(status))


if __name__ == "__main__":
    main(sys.argv[1], sys.argv[2], each_alone=len(sys.argv) > 3)
