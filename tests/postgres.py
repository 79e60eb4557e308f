"""A real PostgreSQL server of the tests' own, in a new folder, reached by a socket there, gone at the end."""

import os
import shutil
import signal
import subprocess
import tempfile
import time
from contextlib import closing
from dataclasses import dataclass, field
from pathlib import Path

import psycopg
import pytest

READY_S = 30


@dataclass(slots=True)
class Server:
    """A server's programs and folder; `start` it, `kill` it, `stop` it."""

    programs: Path
    folder: Path
    user: str | None
    settings: tuple[str, ...] = ()
    process: subprocess.Popen[bytes] | None = None
    made: list[str] = field(default_factory=list)

    def start(self) -> None:
        """Start it as our own child, so that nothing is left of it when killed, and wait until it answers."""
        words: list[str | Path] = [self.programs / "postgres", "-D", self.folder / "data", "-k", self.folder]
        for setting in ("listen_addresses=", *self.settings):
            words += ["-c", setting]
        with (self.folder / "log").open("ab") as log:
            self.process = subprocess.Popen(words, user=self.user, group=self.user, stdout=log, stderr=log)
        until = time.monotonic() + READY_S
        while True:
            try:
                psycopg.connect(self.url("postgres")).close()
            except psycopg.OperationalError:
                assert self.process.poll() is None, (self.folder / "log").read_text(encoding="utf-8")
                assert time.monotonic() < until, "PostgreSQL did not answer in time"
                time.sleep(0.02)
            else:
                return

    def kill(self) -> None:
        """End it as a crash would: every process of it at once, with nothing said."""
        assert self.process is not None
        children = Path(f"/proc/{self.process.pid}/task/{self.process.pid}/children")
        pids = [self.process.pid, *map(int, children.read_text(encoding="ascii").split())]
        for pid in pids:
            os.kill(pid, signal.SIGKILL)
        self.process.wait()

    def stop(self) -> None:
        """End it as it wants to be, and clear its folder away."""
        if self.process is not None and self.process.poll() is None:
            self.process.send_signal(signal.SIGINT)
            self.process.wait(timeout=READY_S)
        shutil.rmtree(self.folder)

    def url(self, name: str) -> str:
        """The address of a database of it."""
        return f"postgresql://postgres@/{name}?host={self.folder}"

    def create(self, template: str = "template0") -> str:
        """Make a new database and return its name."""
        name = f"t{len(self.made)}"
        self.made.append(name)
        self.tell(f"CREATE DATABASE {name} TEMPLATE {template}")
        return name

    def drop(self, name: str) -> None:
        """Take a database away, whoever is in it."""
        self.tell(f"DROP DATABASE {name} WITH (FORCE)")

    def tell(self, statement: str) -> None:
        """Run a statement outside of any database of the tests."""
        with closing(psycopg.connect(self.url("postgres"), autocommit=True)) as connection:
            connection.execute(statement.encode())


def make_server(*settings: str) -> Server:
    """A server with such settings, made and started; where there is no PostgreSQL, it is said what helps."""
    programs = postgresql_programs()
    folder = Path(tempfile.mkdtemp(prefix="girthwright-pg-"))
    user = "postgres" if os.geteuid() == 0 else None  # PostgreSQL refuses to run as root
    if user is not None:
        shutil.chown(folder, user, user)
    words: list[str | Path] = [
        programs / "initdb",
        "-D",
        folder / "data",
        "-U",
        "postgres",
        "--auth=trust",
        "--no-sync",
    ]
    words += ["--data-checksums", "--encoding=UTF8", "--locale=C.UTF-8"]
    subprocess.run(words, user=user, group=user, check=True, capture_output=True)
    server = Server(programs, folder, user, settings)
    server.start()
    return server


def postgresql_programs() -> Path:
    """The folder with PostgreSQL's server; the test fails with what would help when there is none."""
    places = [
        Path(os.environ.get("POSTGRES_BIN", "")),
        *sorted(Path("/usr/lib/postgresql").glob("*/bin"))[::-1],
    ]
    found = shutil.which("postgres", path=os.pathsep.join(map(str, places)) + os.pathsep + os.defpath)
    if found is None:
        pytest.fail("PostgreSQL's server is missing: run deploy/test, which brings it (Debian: postgresql).")
    return Path(found).parent
