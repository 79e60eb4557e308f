"""A secret that was told would be found, wherever it was written."""

from contextlib import closing
from pathlib import Path

import pytest

from service.storage import embedded_url
from service.storage.driver import sqlite3
from tests.journeys import secrets

TOKEN = "uncommonly-long-and-random-token-of-a-link1"  # noqa: S105 - opens nothing


def test_a_planted_token_is_found_in_a_log_and_in_a_store(tmp_path: Path) -> None:
    (tmp_path / "log.txt").write_text("INFO 200 /p/another\n", encoding="utf-8")
    assert secrets.in_files(tmp_path, {TOKEN}) == []
    with (tmp_path / "log.txt").open("a", encoding="utf-8") as log:
        log.write(f"INFO 200 /p/{TOKEN}\n")
    with closing(sqlite3.connect(tmp_path / "store.sqlite3")) as store:
        store.execute("CREATE TABLE link (token TEXT)")
        store.execute("INSERT INTO link VALUES (?)", (TOKEN,))
        store.commit()
    assert secrets.in_files(tmp_path, {TOKEN}) == ["log.txt", "store.sqlite3"]
    assert secrets.in_store(embedded_url(tmp_path / "store.sqlite3"), {TOKEN}) == ["link"]


@pytest.mark.parametrize(("name", "told"), [("Link", True), ("Referer", True), ("Location", False)])
def test_a_token_is_found_in_headers_that_are_not_for_its_holder(name: str, told: bool) -> None:  # noqa: FBT001
    assert bool(secrets.in_headers({name: f"/p/{TOKEN}", "Vary": "Accept"}, {TOKEN})) is told


def test_tokens_are_told_from_other_addresses() -> None:
    assert secrets.in_text(f"http://a.example/p/{TOKEN}/answer /o/short /p/{TOKEN}x /static/{TOKEN}") == {
        TOKEN
    }
