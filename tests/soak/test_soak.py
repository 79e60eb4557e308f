"""A short form of each part of the soak, with its control: `python -m tests.soak` runs the long one."""

from pathlib import Path
from unittest.mock import patch

import pytest

from service.storage import embedded_url, migrate, open_database, proofs
from tests.orders.test_life import without_the_hash
from tests.soak.fuzz import fuzz
from tests.soak.kills import kill_again_and_again
from tests.soak.life import live
from tests.soak.power_cut import cut_everywhere, note_deeds, told_disk
from tests.soak.safe import look_everywhere


@pytest.fixture
def new(tmp_path: Path) -> str:
    """The address of a new embedded store."""
    url = embedded_url(tmp_path / "new.sqlite3")
    database = open_database(url)
    migrate(database)
    database.close()
    return url


def test_a_power_cut_takes_no_approval_and_the_controls_show_what_it_could_take(
    tmp_path: Path, new: str
) -> None:
    (tmp_path / "noted").mkdir()
    before, deeds = note_deeds(tmp_path / "noted", Path(new.removeprefix("sqlite:///")), 34)
    full, normal, off = (told_disk(before, deeds, how) for how in ("FULL", "NORMAL", "OFF"))
    assert any(step.deed == "sync" and not step.file.endswith("-wal") for step in full), (
        "it moved to its file"
    )
    came = cut_everywhere(before, full, tmp_path / "cut", 40)
    assert (came.points, came.lost, came.damaged) == (40, 0, 0)
    assert cut_everywhere(before, normal, tmp_path / "cut", 8).lost > 0
    assert cut_everywhere(before, off, tmp_path / "cut", 16).damaged > 0


def test_a_killed_service_has_kept_every_approval_that_it_answered(tmp_path: Path, new: str) -> None:
    came = kill_again_and_again(new, tmp_path, cycles=2, approvals=20)
    assert len(came.said) >= 40
    assert came.lost == set()
    assert came.faults == []


def test_the_kills_would_show_an_answer_that_comes_before_it_is_kept(tmp_path: Path, new: str) -> None:
    assert kill_again_and_again(new, tmp_path, cycles=1, approvals=3, careless="early").lost


def test_pages_and_store_live_as_the_model_says_and_a_careless_rule_is_found() -> None:
    assert live(4, 12) >= 30
    with patch.object(proofs, "judge", without_the_hash), pytest.raises(AssertionError):
        live(20, 20)


def test_looking_at_every_address_changes_nothing() -> None:
    looked = look_everywhere(420)
    assert looked.unchanged
    assert looked.faults == []
    assert looked.told == []
    assert {"/", "/o/{token}", "/p/{token}", "/shop", "/shop/orders/{number}"} <= looked.opened


def test_an_approval_among_those_that_look_is_noticed() -> None:
    assert not look_everywhere(3, careless=True).unchanged


@pytest.mark.parametrize(("careless", "found"), [("", False), ("faulty", True)])
def test_what_the_description_allows_is_answered_without_a_fault(
    tmp_path: Path,
    careless: str,
    found: bool,  # noqa: FBT001
) -> None:
    came = fuzz(tmp_path, 2, phases="examples,fuzzing", forms=not careless, careless=careless)
    assert came.cases > came.operations / 2, came.said
    assert bool(came.faults) is found, came.said
