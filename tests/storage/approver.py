"""Approves one proof after the other, several at a time, until it is killed; says each that is kept.

    python -m tests.storage.approver STORE [early]

With `early` it says so before it is kept: a control that must lose what it has said.
"""

import sys
import threading
import time

from service.storage import Database, open_database
from tests.storage.makers import answered, enquiry, sent

CLIENTS = 4
LONG_ENOUGH_S = 0.2


def approve(database: Database, *, early: bool) -> None:
    while True:
        with database.writing() as connection:
            order, proof = sent(connection, enquiry(connection))
        with database.writing() as connection:
            answered(connection, proof)
            if early:
                say(order.id)
                time.sleep(LONG_ENOUGH_S)
        if not early:
            say(order.id)


def say(order_id: str) -> None:
    sys.stdout.write(f"{order_id}\n")
    sys.stdout.flush()


def main(url: str, *, early: bool) -> None:
    database = open_database(url)
    clients = [
        threading.Thread(target=approve, args=(database,), kwargs={"early": early}) for _ in range(CLIENTS)
    ]
    for client in clients:
        client.start()


if __name__ == "__main__":
    main(sys.argv[1], early=len(sys.argv) > 2)
