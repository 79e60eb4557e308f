"""The parts of the soak: each yields its figures, with the control's beside them."""

import re
import subprocess
import sys
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path
from statistics import median
from typing import Final, Self
from unittest.mock import patch

from service.orders import Accepted, Decision, Head
from service.storage import embedded_url, migrate, open_database, proofs
from tests.journeys import secrets
from tests.journeys.conftest import PROJECT
from tests.orders.test_life import without_the_hash
from tests.postgres import make_server
from tests.soak.fuzz import fuzz
from tests.soak.kills import Kills, kill_again_and_again
from tests.soak.life import live
from tests.soak.power_cut import Cuts, cut_everywhere, note_deeds, told_disk
from tests.soak.safe import look_everywhere
from tests.storage.races import run_races, undecided
from tests.stores import ENGINES, use_engine

NAMES: Final = {"sqlite": "SQLite", "postgresql": "PostgreSQL"}
SHORT_STORY: Final = "tests/journeys/test_maker.py::test_a_code_is_printed_large_enough_to_be_read"
KEEPING: Final = ("tests/web", "tests/post", "tests/commands", "tests/test_worker.py")
"""Tests of what keeps something; those of the store itself are on both engines wherever they run."""
PLANTED: Final = "planted-token-of-the-control-0123456789-abc"


@dataclass(frozen=True, slots=True)
class Figure:
    """A promise, how it was put to the test, what it came to, and what its control came to."""

    promise: str
    how: str
    came: str
    control: str
    holds: bool


def times(scale: float, whole: int, least: int = 1) -> int:
    """So many of a whole."""
    return max(least, round(whole * scale))


class Stores:
    """New stores in their newest shape, on a folder or on a server of the soak's own."""

    def __init__(self, folder: Path, engine: str) -> None:
        self.folder = folder
        self.server = make_server() if engine == "postgresql" else None
        self.made = 0

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        if self.server is not None:
            self.server.stop()

    def new(self) -> tuple[str, Path]:
        """The address of a new store, and a data folder for a service over it."""
        self.made += 1
        data = self.folder / f"{'sqlite' if self.server is None else 'postgresql'}-{self.made}"
        data.mkdir()
        url = (
            embedded_url(data / "store.sqlite3")
            if self.server is None
            else self.server.url(self.server.create())
        )
        with closing(open_database(url)) as database:
            migrate(database)
        return url, data


def power_cuts(folder: Path, scale: float) -> Iterator[Figure]:
    """The power goes after any write."""
    migrated = folder / "migrated.sqlite3"
    with closing(open_database(embedded_url(migrated))) as database:
        migrate(database)
    (folder / "noted").mkdir()
    approvals, points = times(scale, 120, least=34), times(scale, 1000, least=20)
    before, deeds = note_deeds(folder / "noted", migrated, approvals)
    cuts = {
        how: cut_everywhere(before, told_disk(before, deeds, how), folder / "cut", count)
        for how, count in (("FULL", points), ("NORMAL", points // 4), ("OFF", points // 4))
    }
    full, normal, off = cuts["FULL"], cuts["NORMAL"], cuts["OFF"]
    yield Figure(
        "A power cut takes no acknowledged approval and harms no store",
        f"{approvals} approvals, the power cut at {full.points:,} points (synchronous FULL, as served)",
        told_cuts(full),
        f"NORMAL: {told_cuts(normal)}; OFF: {told_cuts(off)}",
        full.lost == full.damaged == 0 and normal.lost > 0 and off.damaged > 0,
    )


def told_cuts(cuts: Cuts) -> str:
    """What cuts came to, in words."""
    return f"{cuts.points:,} cuts, {cuts.lost:,} with a loss, {cuts.damaged:,} with damage"


def kills(folder: Path, scale: float) -> Iterator[Figure]:
    """The service is killed while customers approve."""
    for engine in ENGINES:
        with Stores(folder, engine) as stores:
            came = kill_again_and_again(
                *stores.new(), cycles=times(scale, 50), approvals=times(scale, 104, 8)
            )
            control = kill_again_and_again(*stores.new(), cycles=2, approvals=4, careless="early")
        yield Figure(
            f"kill -9 takes no acknowledged approval, on {NAMES[engine]}",
            f"{came.cycles} kills of a service at which 4 customers approve; "
            f"open again in {median(came.ready_s):.1f} s",
            told_kills(came),
            f"answered before it is kept: {told_kills(control)}",
            not came.lost and not came.faults and bool(control.lost),
        )


def told_kills(came: Kills) -> str:
    """What kills came to, in words."""
    return (
        f"{len(came.said):,} acknowledged, {len(came.lost):,} lost, {len(came.faults):,} faults of the store"
    )


def take_all(wish: Decision, head: Head, **_: object) -> Accepted:
    """A careless rule: whatever is answered counts."""
    del head
    return Accepted(wish, "approved")


def races(folder: Path, scale: float) -> Iterator[Figure]:
    """Approvals and a new proof at the same moment."""
    count = times(scale, 1000, least=10)
    for engine in ENGINES:
        with Stores(folder, engine) as stores:
            wrong, came = run_races(stores.new()[0], count)
            with patch.object(proofs, "judge", take_all):
                careless, _ = run_races(stores.new()[0], times(scale, 100, least=10))
        won = Counter("edit" if one["edit"] == "done" else "approval" for one in came)
        open_ended = undecided(came)
        yield Figure(
            f"What is approved is what was shown last, once, on {NAMES[engine]}",
            f"{count:,} races of two approvals and a new proof",
            f"{won['approval']:,} approved, {won['edit']:,} told of the new proof, "
            f"{len(wrong) + len(open_ended)} wrong",
            f"without the rule: {len(careless)} wrong",
            not wrong and not open_ended and bool(careless),
        )


def safe(_folder: Path, scale: float) -> Iterator[Figure]:
    """Requests that only look."""
    for engine in ENGINES:
        use_engine(engine)
        looked = look_everywhere(times(scale, 10_000, least=300))
        control = look_everywhere(10, careless=True)
        yield Figure(
            f"Looking changes nothing, on {NAMES[engine]}",
            f"{looked.requests:,} GET, HEAD and OPTIONS of robots and previews; "
            f"{len(looked.opened)} addresses opened",
            f"its hash {'unchanged' if looked.unchanged else 'CHANGED'}, {len(looked.faults)} faults, "
            f"{len(looked.told)} headers with the token",
            f"one approval among them: {'unnoticed' if control.unchanged else 'noticed'}",
            looked.unchanged and not looked.faults and not looked.told and not control.unchanged,
        )
    use_engine("sqlite")


def lives(_folder: Path, scale: float) -> Iterator[Figure]:
    """The order's life at random, through pages and store."""
    examples, steps = times(scale, 200, least=4), 30
    for engine in ENGINES:
        use_engine(engine)
        found = different(examples, steps)
        with patch.object(proofs, "judge", without_the_hash):
            careless = different(20, 20)
        yield Figure(
            f"Pages and store do what a plain model says, on {NAMES[engine]}",
            f"{examples:,} random lives of an order, of up to {steps} steps each",
            found,
            f"with a rule that takes any hash, {careless}",
            found.endswith("none different") and not careless.endswith("none different"),
        )
    use_engine("sqlite")


def different(examples: int, steps: int) -> str:
    """Live so many lives, and tell how they differ from the model."""
    try:
        return f"{live(examples, steps):,} steps, none different"
    except AssertionError:
        return "a step came out differently"


def fuzzed(folder: Path, scale: float) -> Iterator[Figure]:
    """Whatever the description allows, and what it doesn't."""
    for name in ("whole", "faulty"):
        (folder / name).mkdir()
    phases = "examples,coverage,fuzzing" if scale >= 1 else "examples,fuzzing"
    whole = fuzz(folder / "whole", times(scale, 300), phases=phases)
    faulty = fuzz(folder / "faulty", 1, phases="examples", forms=False, careless="faulty")
    yield Figure(
        "Nothing that is sent is answered with a fault of ours",
        f"schemathesis, {whole.operations} operations, forms among them",
        f"{whole.cases:,} cases, {whole.faults} faults",
        f"a collar with lettering can't be drawn: {faulty.faults} faults",
        whole.faults == 0 and whole.cases > 0 and faulty.faults > 0,
    )


def stories(folder: Path, scale: float) -> Iterator[Figure]:
    """Every story in a real browser on both engines, and tokens in logs, stores and headers after it."""
    (folder / "log.txt").write_text(f"200 /p/{PLANTED}\n", encoding="utf-8")
    planted = secrets.in_files(folder, {PLANTED})
    for engine in ENGINES:
        done = run_tests(engine, *([str(one) for one in with_a_store()] if scale >= 1 else [SHORT_STORY]))
        found = re.search(r"([0-9]+) secrets were looked for in ([0-9]+) bytes", done.stdout)
        held, searched = (int(found[1]), int(found[2])) if found else (0, 0)
        yield Figure(
            f"No token is in a log, a store, or a header that others keep, on {NAMES[engine]}",
            f"the stories in a real browser; {searched / 1e6:.1f} MB of logs and stores searched",
            f"{held} tokens, {'0 found' if done.returncode == 0 else 'FAILED'}; {ended(done)}",
            f"a planted token: {len(planted)} found",
            done.returncode == 0 and held > 0 and bool(planted),
        )


def pages(_folder: Path, scale: float) -> Iterator[Figure]:
    """The tests of all that keeps something, on PostgreSQL."""
    done = run_tests("postgresql", *(KEEPING if scale >= 1 else ("tests/web/test_followed.py",)))
    yield Figure(
        "Pages, mail and commands keep on PostgreSQL what they keep on SQLite",
        "their tests, with every store on a real PostgreSQL",
        ended(done),
        "",
        done.returncode == 0,
    )


def long(_folder: Path, scale: float) -> Iterator[Figure]:
    """What the check does in short, at length: hostile texts in every address, rows that move."""
    whole = ("tests/web", "tests/storage", "-m", "slow")
    done = run_tests("sqlite", *(whole if scale >= 1 else ("tests/storage/test_moving.py",)))
    yield Figure(
        "Hostile texts break nothing, and many rows move whole",
        "5,000 texts in every address, 100,000 rows from one engine to the other",
        ended(done),
        "",
        done.returncode == 0,
    )


def with_a_store() -> list[Path]:
    """The stories that need a service of their own: those in which something is kept."""
    told = sorted(Path(PROJECT, "tests", "journeys").glob("test_*.py"))
    return [one for one in told if "serving(" in one.read_text(encoding="utf-8")]


def run_tests(engine: str, *which: str) -> "subprocess.CompletedProcess[str]":
    """Run tests with their stores on that engine."""
    words = [sys.executable, "-m", "pytest", "--quiet", "--engine", engine, *which]
    return subprocess.run(words, cwd=PROJECT, capture_output=True, text=True, check=False)


def ended(done: "subprocess.CompletedProcess[str]") -> str:
    """The last line that tests say, and which of them failed."""
    lines = (done.stdout.strip() or done.stderr.strip() or "nothing said").splitlines()
    return "; ".join(
        [*(line for line in lines if line.startswith(("FAILED", "ERROR"))), lines[-1].strip("= ")]
    )


PARTS: Final[dict[str, Callable[[Path, float], Iterator[Figure]]]] = {
    "power": power_cuts,
    "kills": kills,
    "races": races,
    "safe": safe,
    "lives": lives,
    "fuzz": fuzzed,
    "stories": stories,
    "pages": pages,
    "long": long,
}
