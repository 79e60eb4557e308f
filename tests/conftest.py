"""What holds for every test."""

import pytest
from hypothesis import settings

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
