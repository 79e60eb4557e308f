"""What holds for every test."""

from typing import Any

import pytest
from hypothesis import settings

from tests.journeys import secrets
from tests.stores import ENGINES, use_engine

# An example may take its time: a slow machine is no fault in what is tested.
settings.register_profile("unhurried", settings(), deadline=None)
settings.load_profile("unhurried")


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption(
        "--engine", choices=ENGINES, default="sqlite", help="where the stores of the pages' tests are"
    )


def pytest_configure(config: pytest.Config) -> None:
    use_engine(config.getoption("--engine"))


looked: list[tuple[int, int]] = []
"""How many secrets each process of this run looked for, and in how many bytes."""


def pytest_sessionfinish(session: pytest.Session) -> None:
    found = len(secrets.seen), sum(secrets.searched)
    told = getattr(session.config, "workeroutput", None)
    if told is None:
        looked.append(found)
    else:
        told["secrets"] = found


@pytest.hookimpl(optionalhook=True)
def pytest_testnodedown(node: Any) -> None:  # noqa: ANN401 - a process of pytest-xdist, which has no types
    looked.append(getattr(node, "workeroutput", {}).get("secrets", (0, 0)))


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    held, searched = (sum(part) for part in zip(*looked, strict=True)) if looked else (0, 0)
    if searched:
        said = f"{held} secrets were looked for in {searched} bytes of logs and stores."
        terminalreporter.write_line(said)
