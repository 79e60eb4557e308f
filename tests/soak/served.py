"""A real service of the soak's own, to be asked, killed and started again."""

import os
import socket
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from random import SystemRandom
from time import monotonic

from tests.journeys.conftest import PROJECT, wait_until_open


@dataclass(frozen=True, slots=True)
class Service:
    """A service that runs: its address, its process, and how long it took to open [s]."""

    base: str
    process: "subprocess.Popen[bytes]"
    ready_s: float


def lasting_port() -> int:
    """A free port below those that a system gives to whoever connects, so that nobody takes it meanwhile."""
    while True:
        port = SystemRandom().randrange(20_000, 32_000)
        with suppress(OSError), socket.socket() as door:
            door.bind(("127.0.0.1", port))
            return port


@contextmanager
def service(data: Path, url: str = "", careless: str = "") -> Iterator[Service]:
    """A service over the store at `url`, or one in its data folder; killed at the end if it still runs.

    With `careless` it makes a mistake on purpose (see `tests/soak/careless.py`).
    """
    port, log = lasting_port(), data / "log.txt"
    program = ["tests.soak.careless", careless] if careless else ["service"]
    words = [sys.executable, "-m", *program, "serve", "--port", str(port), "--data", str(data)]
    before = monotonic()
    with (
        log.open("ab") as out,
        subprocess.Popen(
            words,
            cwd=PROJECT,
            env={**os.environ, "GIRTHWRIGHT_DATABASE": url, "GIRTHWRIGHT_LIMITS": "no"},
            stdout=out,
            stderr=subprocess.STDOUT,
        ) as process,
    ):
        try:
            wait_until_open(f"http://127.0.0.1:{port}", process, log)
            yield Service(f"http://127.0.0.1:{port}", process, monotonic() - before)
        finally:
            process.kill()
