"""What is done in the background, by a thread of `serve` or by `worker`: mail, backups, clearing away."""

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from pathlib import Path
from threading import Event, Thread
from typing import Final

from service.errors import GirthwrightError
from service.post import Post, deliver
from service.settings import ROOT, Settings
from service.storage import Database, backup, backups_in, clear_out, forget_sent_mail, forget_waiting
from service.web import read_languages

EVERY_S: Final = 5
"""How long the worker rests between two rounds."""
AGAIN_AFTER: Final = timedelta(minutes=10)
"""When a backup that failed is tried again."""
SENT_KEPT_FOR: Final = timedelta(days=90)
"""So long it is kept that a mail was sent."""


@dataclass(slots=True)
class Worker:
    """The worker of a service; `say` gets a line for whoever runs it, and `stop` ends it."""

    settings: Settings
    database: Database
    say: Callable[[str], None]
    now: Callable[[], datetime] = lambda: datetime.now(UTC)
    stop: Event = field(default_factory=Event)
    post: Post | None = None
    next_backup: datetime | None = None
    said: dict[str, str] = field(default_factory=dict)

    def __post_init__(self) -> None:
        if self.settings.smtp is not None and self.post is None:
            self.post = Post(
                self.settings,
                self.database,
                self.settings.smtp,
                self.now,
                self.stop.is_set,
                read_languages(ROOT / "service" / "translations"),
            )

    def run(self) -> None:
        """Work until stopped. Nothing that goes wrong ends it: the next round is another try."""
        while not self.stop.is_set():
            self.round()
            self.stop.wait(EVERY_S)

    def round(self) -> None:
        """Do everything that is due; a task tells whether it did something, and did it well."""
        for name, task in (("Mail", self._mail), ("Backup", self._backup), ("Photos", self._photos)):
            try:
                if task():
                    self.said.pop(name, None)
            except GirthwrightError as fault:
                self._complain(name, str(fault))
            except Exception as fault:  # noqa: BLE001 - a mistake in one task must not end the others
                self._complain(name, f"{type(fault).__name__}{_place(fault)}")

    def _mail(self) -> bool:
        if self.post is None:
            return False
        done = deliver(self.post)
        if done.given_up:
            self.say(f"Mail: {done.given_up} given up; the shop's page of mail and backups says why.")
        if done.sent:
            with self.database.writing() as connection:
                forget_sent_mail(connection, self.now() - SENT_KEPT_FOR)
        return True

    def _backup(self) -> bool:
        now, folder, hours = self.now(), self.settings.backups, self.settings.backup_hours
        if not hours or (self.next_backup and now < self.next_backup):
            return False
        newest = next(iter(backups_in(folder)), None)
        if newest and now < newest.at + timedelta(hours=hours):
            self.next_backup = newest.at + timedelta(hours=hours)
            return False
        self.next_backup = now + AGAIN_AFTER
        backup(self.database, folder, now)
        clear_out(folder, now)
        self.next_backup = now + timedelta(hours=hours)
        return True

    def _photos(self) -> bool:
        forget_waiting(self.database, self.now())
        return True

    def _complain(self, name: str, trouble: str) -> None:
        """Say what is wrong once, not at every round."""
        if self.said.get(name) != trouble:
            self.said[name] = trouble
            self.say(f"{name}: {trouble}")


def start_worker(worker: Worker) -> Thread:
    """Let a worker work beside everything else; it ends when it is told to stop, or with the process."""
    thread = Thread(target=worker.run, name="worker", daemon=True)
    thread.start()
    return thread


def _place(fault: BaseException) -> str:
    """Where a mistake happened; its own words may hold what a person wrote."""
    trace = fault.__traceback__
    while trace is not None and trace.tb_next is not None:
        trace = trace.tb_next
    return f" in {Path(trace.tb_frame.f_code.co_filename).name}:{trace.tb_lineno}" if trace else ""
