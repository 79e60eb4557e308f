"""A real service on a free port of this machine, a real browser, and pages watched while they are used."""

import os
import shutil
import socket
import subprocess
import sys
from collections.abc import Iterator, Mapping
from contextlib import contextmanager, suppress
from pathlib import Path
from time import monotonic, sleep

import httpx
import pytest
from playwright.sync_api import Browser, sync_playwright

from tests.journeys import secrets
from tests.journeys.visitor import Visitor, Watch
from tests.stores import engine, store_of

PROJECT = Path(__file__).resolve().parents[2]
START_S = 30


def free_port() -> int:
    with socket.socket() as door:
        door.bind(("127.0.0.1", 0))
        return int(door.getsockname()[1])


def wait_until_open(base: str, process: "subprocess.Popen[bytes]", log: Path) -> None:
    end = monotonic() + START_S
    while monotonic() < end and process.poll() is None:
        with suppress(httpx.TransportError):
            if httpx.get(f"{base}/healthz").status_code == httpx.codes.OK:
                return
        sleep(0.1)
    pytest.fail(f"The service did not open within {START_S} s:\n{log.read_text('utf-8', 'replace')}")


def environment(data: Path) -> dict[str, str]:
    """The environment of a command of the service: where its store is, unless that is in its data folder.

    All the tests' browsers are at one place, which is not held up.
    """
    store = "" if engine() == "sqlite" else store_of(data)
    return {**os.environ, "GIRTHWRIGHT_DATABASE": store, "GIRTHWRIGHT_LIMITS": "no"}


@contextmanager
def serving(
    folder: Path, *words: str, settings: Mapping[str, str] | None = None
) -> Iterator[tuple[str, Path]]:
    """A service of its own while it is needed: its address and its log; its data is in `data` in a folder.

    When it has ended, nothing in that folder may hold a secret of anyone who visited it.
    """
    log, data, port = folder / "log.txt", folder / "data", free_port()
    data.mkdir(exist_ok=True)
    command = [sys.executable, "-m", "service", "serve", "--port", str(port), "--data", str(data), *words]
    with (
        log.open("wb") as out,
        subprocess.Popen(
            command,
            cwd=PROJECT,
            env={**environment(data), **(settings or {})},
            stdout=out,
            stderr=subprocess.STDOUT,
        ) as process,
    ):
        try:
            wait_until_open(f"http://127.0.0.1:{port}", process, log)
            yield f"http://127.0.0.1:{port}", log
        finally:
            process.terminate()
    assert secrets.in_files(folder, secrets.seen) == []
    assert secrets.in_store(store_of(data), secrets.seen) == []


@pytest.fixture(scope="session")
def base(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """The address of a service that was started for these tests, with its data in a folder of its own."""
    with serving(tmp_path_factory.mktemp("service")) as (address, _log):
        yield address


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    names = ("chromium-headless-shell", "chromium", "chromium-browser")
    chromium = os.environ.get("CHROMIUM") or next(filter(None, map(shutil.which, names)), None)
    if chromium is None:
        pytest.fail("These tests drive Chromium: install it, or set CHROMIUM to where it is.")
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=chromium, args=["--no-sandbox"])
        yield browser
        browser.close()


@pytest.fixture
def watch(base: str) -> Watch:
    return Watch(base)


@pytest.fixture
def visit(base: str, browser: Browser, watch: Watch) -> Iterator[Visitor]:
    """A visitor; when the test is over, nothing may have gone wrong on the pages that were opened."""
    yield Visitor(base, browser, watch)
    for context in browser.contexts:
        watch.leave(context)
    assert watch.breaches == []
    assert watch.faults == []
    assert watch.elsewhere == []
    assert watch.told == []
