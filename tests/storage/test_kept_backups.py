"""Of the backups in a folder all of two days stay, then one a day, then one a month."""

from datetime import UTC, datetime, timedelta
from pathlib import Path

from hypothesis import given
from hypothesis import strategies as st

from service.storage import backup, backups_in, clear_out, read_backup, to_keep
from tests.makers import store
from tests.storage.makers import NOON

HOURS = st.lists(st.integers(0, 24 * 500), max_size=200).map(
    lambda hours: {NOON - timedelta(hours=hour) for hour in hours}
)


def test_of_a_year_of_hourly_backups_ninety_odd_are_kept() -> None:
    kept = to_keep([NOON - timedelta(hours=hour) for hour in range(24 * 400)], NOON)
    assert sum(NOON - at <= timedelta(hours=48) for at in kept) == 49
    month = sorted(at for at in kept if timedelta(hours=48) < NOON - at <= timedelta(days=30))
    assert len(month) == 28
    assert {at.hour for at in month} == {23}, "the last of each day"
    older = sorted(at for at in kept if NOON - at > timedelta(days=30))
    assert [f"{at:%m}" for at in older] == [
        "11",
        "12",
        "01",
        "02",
        "03",
        "04",
        "05",
        "06",
        "07",
        "08",
        "09",
    ]


@given(HOURS)
def test_clearing_out_again_and_again_never_takes_what_clearing_once_would_keep(
    moments: set[datetime],
) -> None:
    kept = to_keep(moments, NOON)
    assert kept <= moments
    assert to_keep(kept, NOON) == kept
    assert not moments or max(moments) in kept
    for at in moments:
        if NOON - at <= timedelta(days=30):
            assert any(f"{one:%Y%m%d}" == f"{at:%Y%m%d}" for one in kept), "each day has one"
        if NOON - at <= timedelta(days=365):
            assert any(f"{one:%Y%m}" == f"{at:%Y%m}" for one in kept), "each month has one"


@given(HOURS)
def test_cleared_out_day_by_day_each_month_of_the_last_year_still_has_one(moments: set[datetime]) -> None:
    left = moments
    for days in range(400, -1, -1):
        now = NOON - timedelta(days=days)
        left = to_keep({at for at in left if at <= now}, now) | {at for at in left if at > now}
    months = {f"{at:%Y%m}" for at in moments if timedelta(0) <= NOON - at <= timedelta(days=365)}
    assert {f"{at:%Y%m}" for at in left} >= months


def test_only_backups_of_ours_that_count_are_seen_and_cleared(tmp_path: Path) -> None:
    database = store()
    made = [backup(database, tmp_path, NOON - timedelta(hours=hours)).file for hours in (0, 1, 61, 62)]
    strange = [
        tmp_path / name
        for name in ("notes.txt", "girthwright-20261301T000000000000Z.sqlite3", "mine.sqlite3")
    ]
    for file in strange:
        file.write_text("not ours", encoding="utf-8")
    half = tmp_path / "girthwright-20261125T110000000000Z.sqlite3"
    half.write_bytes(b"no note beside it")
    assert [kept.file for kept in backups_in(tmp_path)] == made
    assert clear_out(tmp_path, NOON) == (made[3],)
    assert [kept.at for kept in backups_in(tmp_path)] == [
        NOON - timedelta(hours=hours) for hours in (0, 1, 61)
    ]
    assert all(file.exists() for file in (*strange, half))
    assert not made[3].with_name(f"{made[3].name}.json").exists()
    assert read_backup(made[2]).report.faults == ()
    database.close()


def test_an_empty_or_missing_folder_holds_no_backups(tmp_path: Path) -> None:
    assert backups_in(tmp_path / "none") == ()
    assert clear_out(tmp_path, datetime.now(UTC)) == ()


def test_what_a_killed_backup_left_half_written_is_cleared_after_two_days(tmp_path: Path) -> None:
    part = tmp_path / "girthwright-20261125T110000000000Z.sqlite3.part"
    part.write_bytes(b"half")
    clear_out(tmp_path, datetime.now(UTC))
    assert part.exists()
    clear_out(tmp_path, datetime.now(UTC) + timedelta(hours=49))
    assert not part.exists()
