"""What was asked of a web service by OWASP ASVS 5.0.0, level 2, and where it is seen to hold.

The table `asvs.csv` has a line for each requirement of levels 1 and 2, in our own words. The standard is by
OWASP, under CC BY-SA 4.0: https://owasp.org/www-project-application-security-verification-standard/
"""

import ast
import csv
from collections import Counter
from functools import cache
from pathlib import Path
from typing import Final

import pytest

PROJECT: Final = Path(__file__).parents[2]
TABLE: Final = Path(__file__).with_name("asvs.csv")
STATES: Final = {"yes", "partly", "no", "who runs it", "not applicable"}
# OWASP ASVS 5.0.0: how many requirements of levels 1 and 2 each chapter has; 10 (OAuth) and 17 (WebRTC) are
# each answered in one line.
CHAPTERS: Final = Counter(
    dict(enumerate((27, 11, 19, 10, 9, 35, 18, 7, 7, 0, 14, 9, 13, 9, 13, 16), start=1))
)


def rows() -> list[dict[str, str]]:
    with TABLE.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


@cache
def defined_in(path: Path) -> frozenset[str]:
    """The tests that a file defines."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    named = {one.name for one in tree.body if isinstance(one, ast.FunctionDef | ast.ClassDef)}
    assigned = {
        target.id
        for one in tree.body
        if isinstance(one, ast.Assign)
        for target in one.targets
        if isinstance(target, ast.Name)
    }
    return frozenset(name for name in named | assigned if name.lower().startswith("test"))


def missing(named: str) -> list[str]:
    """Those of the named tests that are not there."""
    gone = []
    for one in named.split():
        path, _, name = one.partition("::")
        file = PROJECT / path
        if not file.is_file() or name not in defined_in(file):
            gone.append(one)
    return gone


def test_every_requirement_of_level_two_has_one_line() -> None:
    ids = [row["id"] for row in rows()]
    assert [one for one, times in Counter(ids).items() if times > 1] == []
    chapters = Counter(int(one.partition(".")[0]) for one in ids if not one.endswith("*"))
    assert chapters == +CHAPTERS
    assert [one for one in ids if one.endswith("*")] == ["10.*", "17.*"]


@pytest.mark.parametrize("row", rows(), ids=lambda row: row["id"])
def test_what_is_claimed_is_tested_and_what_is_not_has_its_reason(row: dict[str, str]) -> None:
    assert row["state"] in STATES
    assert row["level"] in {"1", "2"}
    assert len(row["asks"]) > 5
    assert len(row["how"]) >= 4
    assert missing(row["tests"]) == []
    if row["state"] in {"yes", "partly"}:
        assert row["tests"]


def test_a_test_that_is_not_there_would_be_noticed() -> None:
    here = "tests/security/test_asvs.py"
    wrong = [f"{here}::test_nothing_of_the_kind", "tests/nowhere.py::test_x"]
    assert missing(f"{here}::test_a_test_that_is_not_there_would_be_noticed {' '.join(wrong)}") == wrong
