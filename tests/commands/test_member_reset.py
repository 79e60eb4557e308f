import io
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path

import pytest

from service.commands import main
from service.commands.opening import STORE
from service.storage import Member, SecondFactor, embedded_url, keep_second_factor, members_of, open_database
from service.storage import workshop_ids as ids
from service.web.passwords import matches

NEW = "another four plain words"


def told(monkeypatch: pytest.MonkeyPatch, password: str, *words: str) -> int:
    monkeypatch.setattr("sys.stdin", io.StringIO(f"{password}\n"))
    return main(["member", *words])


def only_member(data: Path, factor: SecondFactor | None = None) -> Member:
    """The one member there is, with a second factor if one is given."""
    with closing(open_database(embedded_url(data / STORE))) as database, database.writing() as connection:
        (one,) = members_of(connection, ids(connection)[0])
        if factor is not None:
            keep_second_factor(connection, one.id, factor)
        return one


def test_an_owner_who_has_lost_everything_gets_in_again(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    data = ("--data", str(tmp_path))
    assert told(monkeypatch, "four plain words here", "add", "Ola Owner", "--role", "owner", *data) == 0
    only_member(tmp_path, SecondFactor(secret="A" * 32, since=datetime.now(UTC)))
    assert told(monkeypatch, NEW, "reset", "Ola Owner", *data) == 0
    assert "asked for no second factor" in capsys.readouterr().out
    one = only_member(tmp_path)
    assert one.second_factor is None
    assert matches(NEW, one.password_hash)


@pytest.mark.parametrize(
    ("name", "password", "said"),
    [("Nobody", NEW, "Nobody called Nobody"), ("Ola Owner", "short", "12 to 128")],
)
def test_what_can_not_be_done_is_said_in_a_sentence(
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
    name: str,
    password: str,
    said: str,
) -> None:
    data = ("--data", str(tmp_path))
    told(monkeypatch, "four plain words here", "add", "Ola Owner", "--role", "owner", *data)
    assert told(monkeypatch, password, "reset", name, *data) == 1
    assert said in capsys.readouterr().err
    assert matches("four plain words here", only_member(tmp_path).password_hash)
