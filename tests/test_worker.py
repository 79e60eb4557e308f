"""The worker does what is due, and nothing that goes wrong in one task ends it or holds up the other."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from service import worker as module
from service.settings import MailServer, Settings
from service.storage import (
    BackupUnusable,
    Database,
    SentPhoto,
    backups_in,
    let_wait,
    read_backup,
)
from service.worker import Worker, start_worker
from tests.makers import store
from tests.post.mail_server import TAKEN, Box, free_port, running
from tests.post.offices import SETTINGS, Office
from tests.stores import contents

NOON = datetime(2026, 11, 25, 12, tzinfo=UTC)


class Bench:
    """A worker with a clock to be turned, and what it said."""

    def __init__(self, database: Database, settings: Settings) -> None:
        self.now, self.said = NOON, list[str]()
        self.worker = Worker(settings, database, self.said.append, lambda: self.now)

    def round(self, **later: float) -> None:
        self.now += timedelta(**later)
        self.worker.round()


@pytest.fixture
def database() -> Iterator[Database]:
    made = store()
    yield made
    made.close()


@pytest.fixture
def bench(database: Database, tmp_path: Path) -> Bench:
    return Bench(database, replace(Settings(), backups=tmp_path / "backups"))


def made(bench: Bench) -> list[datetime]:
    return [kept.at for kept in backups_in(bench.worker.settings.backups)]


def test_a_backup_is_made_at_once_and_then_every_hour_and_each_is_whole(bench: Bench) -> None:
    for _ in range(60 * 3):
        bench.round(minutes=1)
    assert len(made(bench)) == 3
    assert made(bench) == [NOON + timedelta(minutes=minutes) for minutes in (121, 61, 1)]
    for kept in backups_in(bench.worker.settings.backups):
        assert read_backup(kept.file).report.faults == ()
    assert bench.said == []


def test_photos_of_a_form_that_nobody_sent_again_are_gone_after_two_hours(
    bench: Bench, database: Database
) -> None:
    with database.writing() as connection:
        let_wait(connection, "key", (SentPhoto("beach.jpg", 8, 6, b"a photo"),), NOON)
    bench.round(minutes=119)
    assert len(contents(database)["waiting_photo"]) == 1
    bench.round(minutes=1)
    assert contents(database)["waiting_photo"] == []
    assert bench.said == []


def test_after_a_restart_the_next_backup_waits_until_the_last_is_old_enough(
    bench: Bench, database: Database
) -> None:
    bench.round()
    again = Bench(database, bench.worker.settings)
    again.round(minutes=59)
    assert len(made(again)) == 1
    again.round(minutes=1)
    assert len(made(again)) == 2


def test_old_backups_are_cleared_out(bench: Bench) -> None:
    bench.worker.settings = replace(bench.worker.settings, backup_hours=12)
    for _ in range(10):
        bench.round(hours=12)
    assert len(made(bench)) == 5 + 2, "all of 48 hours, and the last of each day before"


def test_no_backups_are_made_where_none_are_wanted(bench: Bench) -> None:
    bench.worker.settings = replace(bench.worker.settings, backup_hours=0)
    bench.round()
    assert made(bench) == []


def test_a_backup_that_fails_is_said_once_and_tried_again_in_ten_minutes(
    bench: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fail(*_: object) -> None:
        tried.append(bench.now)
        raise BackupUnusable(Path("there"), ["the disk is full"])

    tried: list[datetime] = []
    monkeypatch.setattr(module, "backup", fail)
    for _ in range(25):
        bench.round(minutes=1)
    assert len(tried) == 3
    assert bench.said == ["Backup: The backup there can't be used: the disk is full."]
    monkeypatch.undo()
    bench.round(minutes=10)
    assert len(made(bench)) == 1


def test_mail_goes_out_and_a_mistake_in_it_does_not_hold_up_backups(
    database: Database, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    box = Box(answer=lambda to: "550 No" if to.startswith("no") else TAKEN)
    with running(box) as server:
        office = Office(server, database, NOON)
        office.queue(office.order())
        office.queue(office.order("nobody@mail.example"))
        bench = Bench(database, replace(SETTINGS, smtp=server, backups=tmp_path))
        bench.round()
        assert len(box.mails) == 1
        assert bench.said == ["Mail: 1 given up; the shop's page of mail and backups says why."]

        def fail(_: object) -> None:
            raise KeyError("ada@mail.example")

        monkeypatch.setattr(module, "deliver", fail)
        bench.round(hours=1)
        bench.round(hours=1)
        assert len(bench.said) == 2
        assert bench.said[1].startswith("Mail: KeyError in test_worker.py:")
        assert "ada@" not in bench.said[1], "a mistake's own words may name a person"
        assert len(made(bench)) == 3


def test_what_was_sent_is_forgotten_after_ninety_days(database: Database, tmp_path: Path) -> None:
    with running(Box()) as server:
        office = Office(server, database, NOON)
        first = office.queue(office.order())
        bench = Bench(database, replace(SETTINGS, smtp=server, backups=tmp_path, backup_hours=0))
        bench.round()
        assert office.kept(first).sent_at == NOON
        second = office.queue(office.order())
        bench.round(days=91)
        assert office.kept(second).sent_at == bench.now
        with pytest.raises(StopIteration):
            office.kept(first)


def test_a_worker_beside_the_service_ends_when_it_is_told_to(database: Database, tmp_path: Path) -> None:
    away = MailServer("smtp-plain", "localhost", free_port())
    worker = Worker(replace(SETTINGS, smtp=away, backups=tmp_path), database, lambda _: None)
    thread = start_worker(worker)
    worker.stop.set()
    thread.join(10)
    assert not thread.is_alive()
