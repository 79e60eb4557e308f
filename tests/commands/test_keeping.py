"""The commands that keep a store safe say in plain sentences what they did, or what would help."""

import io
import os
import re
import threading
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import httpx
import pytest

from service.commands import main
from service.storage import Database, check, embedded_url, list_orders, migrate, open_database
from tests.makers import LINK, SHOP
from tests.postgres import Server, make_server, postgresql_programs
from tests.storage.makers import answered, enquiry, open_shop, sent
from tests.test_main import serving


def opened(folder: Path) -> Database:
    return open_database(embedded_url(folder / "girthwright.sqlite3"))


@pytest.fixture
def data(tmp_path: Path) -> Path:
    """A data folder with a shop that has three orders, one of them approved."""
    folder = tmp_path / "data"
    folder.mkdir()
    with closing(opened(folder)) as database:
        migrate(database)
        with database.writing() as connection:
            open_shop(connection)
            _, proof = sent(connection, enquiry(connection))
            answered(connection, proof)
            enquiry(connection, "Bea Example")
            enquiry(connection, "Cy Example")
    return folder


@pytest.fixture(scope="module")
def server() -> Iterator[Server]:
    made = make_server()
    yield made
    made.stop()


def add_order(folder: Path, name: str) -> None:
    with closing(opened(folder)) as database, database.writing() as connection:
        enquiry(connection, name)


def names(folder: Path) -> list[str]:
    with closing(opened(folder)) as database, database.reading() as connection:
        return [card.customer for card in list_orders(connection, SHOP)]


def spoil(folder: Path) -> None:
    """Overwrite the middle of the store's file, as a failing disk might."""
    with (folder / "girthwright.sqlite3").open("r+b") as file:
        size = file.seek(0, os.SEEK_END)
        file.seek(4096)
        file.write(b"\xff" * (size - 4096))


Said = pytest.CaptureFixture[str]


def test_a_backup_is_made_restored_and_what_was_there_is_kept(data: Path, capsys: Said) -> None:
    assert main(["backup", "--data", str(data)]) == 0
    said = capsys.readouterr().out
    found = re.fullmatch(
        r"Backed up to (\S+) \(0\.\d MB\), and proved whole: 3 orders and \d+ entries of the record\.\n", said
    )
    assert found, said
    assert Path(found[1]).parent == data / "backups"
    add_order(data, "Dee Example")
    assert main(["restore", found[1], "--yes", "--data", str(data)]) == 0
    said = capsys.readouterr().out
    assert names(data) == ["Ada Example", "Bea Example", "Cy Example"]
    kept = re.search(r"What was there is kept in (\S+before-restore\S+sqlite3)\.\n", said)
    assert kept, said
    assert "Start the service again" in said
    assert main(["restore", kept[1], "--yes", "--data", str(data)]) == 0
    assert "Dee Example" in names(data)


def test_a_backup_goes_where_it_is_told_to_and_over_nothing(data: Path, tmp_path: Path, capsys: Said) -> None:
    file = tmp_path / "mine.sqlite3"
    assert main(["backup", str(file), "--data", str(data)]) == 0
    assert main(["backup", str(file), "--data", str(data)]) == 1
    assert f"There is a {file} already" in capsys.readouterr().err
    assert main(["backup", str(tmp_path / "none" / "mine.sqlite3"), "--data", str(data)]) == 1
    assert "there is no folder" in capsys.readouterr().err
    assert main(["restore", str(file), "--data", str(tmp_path / "new")]) == 1
    assert "add --yes" in capsys.readouterr().err
    assert main(["restore", str(file), "--yes", "--data", str(tmp_path / "new")]) == 0
    assert "What was there" not in capsys.readouterr().out, "nothing was"
    assert names(tmp_path / "new") == names(data)


def test_a_damaged_store_is_said_to_be_moved_aside_and_the_backup_takes_its_place(
    data: Path, capsys: Said
) -> None:
    main(["backup", "--data", str(data)])
    file = next((data / "backups").glob("*.sqlite3"))
    spoil(data)
    assert main(["check", "--data", str(data)]) == 1
    assert "is damaged" in capsys.readouterr().err
    assert main(["restore", str(file), "--yes", "--data", str(data)]) == 0
    assert "as-it-was-" in capsys.readouterr().out
    assert len([*(data / "backups" / "before-restore").glob("as-it-was-*.sqlite3")]) == 1
    assert names(data) == ["Ada Example", "Bea Example", "Cy Example"]


def test_at_a_terminal_a_restore_is_asked_for(
    data: Path, capsys: Said, monkeypatch: pytest.MonkeyPatch
) -> None:
    main(["backup", "--data", str(data)])
    file = str(next((data / "backups").glob("*.sqlite3")))
    add_order(data, "Dee Example")
    for typed, code in (("no\n", 1), ("yes\n", 0)):
        monkeypatch.setattr("sys.stdin", io.StringIO(typed))
        monkeypatch.setattr("sys.stdin.isatty", lambda: True, raising=False)
        assert main(["restore", file, "--data", str(data)]) == code
    assert "Nothing was changed" in capsys.readouterr().err
    assert "Dee Example" not in names(data)


def test_a_file_that_is_no_backup_is_refused_before_anything_is_touched(data: Path, capsys: Said) -> None:
    before = names(data)
    (data / "notes.txt").write_text("no backup", encoding="utf-8")
    for file in ("none.sqlite3", "notes.txt"):
        assert main(["restore", str(data / file), "--yes", "--data", str(data)]) == 1
        assert "the note beside it can't be read" in capsys.readouterr().err
    assert names(data) == before
    assert not (data / "backups").exists()


def test_a_check_says_what_the_store_holds_and_what_is_wrong_with_it(data: Path, capsys: Said) -> None:
    assert main(["check", "--data", str(data)]) == 0
    said = capsys.readouterr().out
    assert re.search(r"^  orders +3$", said, re.MULTILINE)
    assert re.search(r"record of workshop shop-1 holds, from entry 1 to entry \d+: [0-9a-f]{64}", said)
    assert "Everything is whole" in said
    with closing(opened(data)) as database, database.writing() as connection:
        connection.exec_driver_sql("DROP TRIGGER proof_drawing_changed")
        connection.exec_driver_sql("UPDATE proof_drawing SET content = x'00'")
    assert main(["check", "--data", str(data)]) == 1
    said = capsys.readouterr().err
    assert "the trigger proof_drawing_changed is missing" in said
    assert "is not what was kept" in said


@pytest.mark.parametrize(
    ("statement", "said"),
    [
        ("UPDATE proof SET body = replace(body, 'Rex', 'Max')", "the proof of .* is not what was sent"),
        ("UPDATE decision SET sha256 = replace(sha256, 'a', 'b')", "is to another proof"),
        ("UPDATE audit SET detail = 'nothing' WHERE number = 3", "from entry 3 on"),
    ],
)
def test_what_was_changed_behind_the_services_back_is_found(
    data: Path, capsys: Said, statement: str, said: str
) -> None:
    table = statement.split()[1]
    with closing(opened(data)) as database, database.writing() as connection:
        connection.exec_driver_sql(f"DROP TRIGGER {table}_changed")
        assert connection.exec_driver_sql(statement).rowcount
    assert main(["check", "--data", str(data)]) == 1
    assert re.search(said, capsys.readouterr().err)


def test_without_a_store_nothing_is_made(tmp_path: Path, capsys: Said) -> None:
    for words in (["check"], ["backup"], ["copy-to", "sqlite:///x.sqlite3"]):
        assert main([*words, "--data", str(tmp_path / "none")]) == 1
        assert "There is no store in" in capsys.readouterr().err
    assert not (tmp_path / "none" / "girthwright.sqlite3").exists()


def test_while_the_service_runs_a_store_is_backed_up_but_not_replaced(data: Path, capsys: Said) -> None:
    with serving(data) as (_, address, _):
        assert main(["backup", str(data / "one.sqlite3"), "--data", str(data)]) == 0
        for words in (["restore", str(data / "one.sqlite3"), "--yes"], ["copy-to", "sqlite:///x.sqlite3"]):
            assert main([*words, "--data", str(data)]) == 1
            assert "is in use: stop the service and the worker" in capsys.readouterr().err
        assert httpx.get(f"{address}/healthz").json()["status"] == "ok"
    assert main(["restore", str(data / "one.sqlite3"), "--yes", "--data", str(data)]) == 0


def test_a_store_moves_to_postgresql_and_the_service_is_opened_on_it(
    data: Path, capsys: Said, server: Server, monkeypatch: pytest.MonkeyPatch
) -> None:
    with closing(opened(data)) as database:
        before = check(database)
    url = server.url(server.create())
    assert main(["copy-to", url, "--data", str(data)]) == 0
    said = capsys.readouterr().out
    assert before.heads[SHOP].hash in said
    assert "Rows and hashes of every table agree" in said
    assert main(["copy-to", url, "--data", str(data)]) == 1
    assert "not empty" in capsys.readouterr().err
    monkeypatch.setenv("GIRTHWRIGHT_DATABASE", url)
    monkeypatch.setenv("PATH", f"{postgresql_programs()}{os.pathsep}{os.environ['PATH']}")
    assert main(["check", "--data", str(data)]) == 0
    assert before.heads[SHOP].hash in capsys.readouterr().out
    with serving(data) as (_, address, _):
        assert httpx.get(f"{address}/healthz").json()["workshop"] == "Oxlip Bench"
    assert main(["backup", str(data / "served.dump"), "--data", str(data)]) == 0
    assert main(["restore", str(data / "served.dump"), "--yes", "--data", str(data)]) == 0
    assert "Restored from" in capsys.readouterr().out


def test_the_drill_a_backup_made_while_others_write_opens_elsewhere_with_the_same_answers(
    data: Path, tmp_path: Path, capsys: Said
) -> None:
    stop, database = threading.Event(), opened(data)

    def write(number: int) -> None:
        while not stop.is_set():
            with database.writing() as connection:
                _, proof = sent(connection, enquiry(connection, f"Writer {number}"))
            with database.writing() as connection:
                answered(connection, proof)

    writers = [threading.Thread(target=write, args=(number,)) for number in range(3)]
    for writer in writers:
        writer.start()
    try:
        for number in range(5):
            assert main(["backup", str(tmp_path / f"{number}.sqlite3"), "--data", str(data)]) == 0
    finally:
        stop.set()
        for writer in writers:
            writer.join()
        database.close()
    counts = []
    for number in range(5):
        place = tmp_path / f"place-{number}"
        assert main(["restore", str(tmp_path / f"{number}.sqlite3"), "--yes", "--data", str(place)]) == 0
        with (
            closing(opened(place)) as restored,
            closing(open_database(f"sqlite:///{tmp_path}/{number}.sqlite3")) as copy,
        ):
            assert check(restored) == check(copy)
            counts.append(check(restored).rows["orders"])
    assert counts == sorted(counts)
    assert counts[-1] > 3, "others wrote meanwhile"
    capsys.readouterr()
    questions = [f"/design.json?{LINK}", f"/preview.svg?{LINK}"]
    heads = []
    answers = []
    for folder in (tmp_path / "place-4", data):
        with serving(folder) as (_, address, said):
            assert "First start" not in said
            answers.append([httpx.get(address + question).content for question in questions])
        with closing(opened(folder)) as database:
            heads.append(check(database).heads[SHOP])
    assert answers[0] == answers[1]
    with closing(opened(data)) as database, database.reading() as connection:
        here = "SELECT hash FROM audit WHERE number = ?"
        witness = connection.exec_driver_sql(here, (heads[0].number,)).scalar_one()
    assert witness == heads[0].hash, "the backup's record is the beginning of the one that went on"
