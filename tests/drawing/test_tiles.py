"""Paper sizes against the standards, and tiles that cover a sheet and can be joined."""

import csv
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.drawing.sheet import Circle, Text
from service.drawing.tiles import (
    LANDSCAPE,
    MARGIN,
    MARK_RADIUS,
    OVERLAP,
    RULE,
    Grid,
    SheetPaper,
    Tile,
    grid,
    key_map,
    match_marks,
    on_tile,
    printable,
    room,
    shows,
    tile_foot,
    tile_frame,
    tile_marks,
    trim_lines,
)
from tests.makers import DATA

papers = st.sampled_from(["a4", "letter"])
lengths = st.floats(30.0, 1500.0)


def rows(name: str) -> list[dict[str, str]]:
    with (DATA / name).open(encoding="utf-8") as lines:
        return list(csv.DictReader(lines))


def test_a4_is_the_size_of_iso_216() -> None:
    (a4,) = (row for row in rows("iso216.csv") if row["name"] == "A4")
    assert LANDSCAPE["a4"] == (float(a4["height_mm"]), float(a4["width_mm"]))


@pytest.mark.parametrize(("paper", "name"), [("a4", "A4"), ("letter", "Letter / ANSI A")])
def test_sheets_are_the_sizes_of_the_standards_in_mm_and_points(paper: SheetPaper, name: str) -> None:
    # ISO 216 and ANSI Y14.1, as listed in paper_sizes.csv.
    (size,) = (row for row in rows("paper_sizes.csv") if row["name"] == name)
    width, height = LANDSCAPE[paper]
    assert (width, height) == pytest.approx((float(size["height_mm"]), float(size["width_mm"])))
    points = width / 25.4 * 72, height / 25.4 * 72
    assert points == pytest.approx((float(size["height_pt"]), float(size["width_pt"])), abs=0.001)


def test_a_margin_is_left_unprinted() -> None:
    assert printable("a4") == (277.0, 190.0)
    assert printable("letter") == pytest.approx((259.4, 195.9))


@settings(deadline=None)
@given(papers, lengths, lengths)
def test_tiles_cover_the_sheet_and_neighbours_overlap(paper: SheetPaper, width: float, height: float) -> None:
    cut = grid(paper, width, height)
    assert len(cut.tiles) == cut.rows * cut.columns
    last = cut.tiles[-1]
    assert last.x + last.width >= width - 1e-6
    assert last.y + last.height >= height - 1e-6
    for left, right in pairwise(cut.tiles[: cut.columns]):
        assert left.x + left.width - right.x == pytest.approx(OVERLAP)
    for above, below in pairwise(cut.tiles[:: cut.columns]):
        assert above.y + above.height - below.y == pytest.approx(OVERLAP)


@settings(deadline=None)
@given(papers, lengths, lengths)
def test_there_is_no_tile_too_many(paper: SheetPaper, width: float, height: float) -> None:
    cut = grid(paper, width, height)
    wide = printable(paper)[0]
    if cut.columns > 1:
        assert (cut.columns - 1) * (wide - OVERLAP) + OVERLAP < width
    if cut.rows > 1:
        assert height > room(paper)


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_a_sheet_that_fills_a_tile_to_the_last_digit_takes_no_other(paper: SheetPaper) -> None:
    assert grid(paper, printable(paper)[0] * (1 + 1e-15), room(paper) * (1 + 1e-15)).tiles[1:] == ()


@settings(deadline=None)
@given(papers, lengths, lengths)
def test_every_tile_stays_within_the_printable_page(paper: SheetPaper, width: float, height: float) -> None:
    cut = grid(paper, width, height)
    page = LANDSCAPE[paper]
    for tile in cut.tiles:
        things = [
            *tile_frame(tile, cut),
            *tile_foot(tile, cut, "A long title " * 9, "The shop with a long name " * 5),
        ]
        for item in things:
            x0, y0, x1, y1 = item.box
            assert x0 >= MARGIN - 1e-9
            assert x1 <= page[0] - MARGIN + 1e-9
            assert y0 >= MARGIN - 1e-9
            assert y1 <= page[1] - MARGIN + 0.6  # room for a descender below the last line


@settings(deadline=None)
@given(papers, lengths, lengths)
def test_neighbours_carry_the_same_match_marks_at_the_same_place_of_the_sheet(
    paper: SheetPaper, width: float, height: float
) -> None:
    cut = grid(paper, width, height)
    marks = match_marks(cut)
    for here, there in neighbours(cut):
        shared = [mark for mark in marks if on_tile(mark, here) and on_tile(mark, there)]
        letters = [mark.letter for mark in shared]
        assert any(letters.count(letter) == 2 for letter in letters)
        drawn = [set(places(tile, cut)) for tile in (here, there)]
        assert {(mark.x, mark.y) for mark in shared} <= drawn[0] & drawn[1]


def neighbours(cut: Grid) -> list[tuple[Tile, Tile]]:
    pairs = [(a, b) for a in cut.tiles for b in cut.tiles if (b.row, b.column) == (a.row, a.column + 1)]
    return pairs + [
        (a, b) for a in cut.tiles for b in cut.tiles if (b.row, b.column) == (a.row + 1, a.column)
    ]


def places(tile: Tile, cut: Grid) -> list[tuple[float, float]]:
    return [item.centre for item in tile_marks(tile, cut) if isinstance(item, Circle)]


@settings(deadline=None)
@given(papers, lengths, lengths)
def test_no_two_marks_stand_on_each_other(paper: SheetPaper, width: float, height: float) -> None:
    marks = match_marks(grid(paper, width, height))
    for n, one in enumerate(marks):
        for other in marks[:n]:
            assert max(abs(one.x - other.x), abs(one.y - other.y)) > 2 * MARK_RADIUS


def test_pairs_of_marks_are_lettered_along_the_row() -> None:
    marks = match_marks(grid("a4", 714.0, 177.0))
    assert [mark.letter for mark in marks] == ["A", "A", "B", "B"]
    assert [mark.x for mark in marks] == [272.0, 272.0, 539.0, 539.0]


def test_after_z_letters_are_counted_on() -> None:
    letters = {mark.letter for mark in match_marks(grid("a4", 1500.0, 1500.0))}
    assert {"Z", "A1"} <= letters


def test_trim_lines_are_where_marks_stand() -> None:
    cut = grid("letter", 1108.0, 170.0)
    assert set(trim_lines("letter", 1108.0)) == {mark.x for mark in match_marks(cut)}


def test_a_trimmed_tile_shows_no_more_of_what_lies_behind_its_trim_line() -> None:
    cut = grid("a4", 714.0, 170.0)
    box = (273.0, 50.0, 280.0, 55.0)
    assert [shows(tile, cut, box) for tile in cut.tiles] == [True, True, False]
    assert [shows(tile, cut, box, trimmed=True) for tile in cut.tiles] == [False, True, False]


def test_each_tile_says_its_number_row_and_column_and_to_print_at_100_per_cent() -> None:
    cut = grid("a4", 714.0, 300.0)
    said = [
        item.text for item in tile_foot(cut.tiles[4], cut, "Collar", "Oxlip Bench") if isinstance(item, Text)
    ]
    assert "Tile 5 of 6" in said
    assert "Row 2, column 2. Print at 100 %, no scaling." in said
    rule = next(item for item in tile_foot(cut.tiles[4], cut, "", "") if getattr(item, "name", "") == "rule")
    assert rule.box[2] - rule.box[0] == pytest.approx(RULE)


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_a_long_title_stands_whole_under_a_tile_or_else_ends_in_an_ellipsis(paper: SheetPaper) -> None:
    cut = grid(paper, 714.0, 170.0)
    long = "Order 1042: Chestnut bridle collar, 1 1/2 in wide, to match a collar of 19 1/2 in"
    for title, whole in (("Collar, 1 in wide", True), (long, True), (long + " and more" * 30, False)):
        foot = [item for item in tile_foot(cut.tiles[0], cut, title, "Oxlip Bench") if isinstance(item, Text)]
        bold = [item for item in foot if item.weight == "bold"]
        said = " ".join(item.text for item in sorted(bold, key=lambda item: item.at[1]))
        assert (said == title) == whole
        assert ("…" in said) == (not whole)


def test_the_key_map_numbers_every_tile_within_its_width() -> None:
    cut = grid("a4", 714.0, 300.0)
    items, height = key_map(cut, (), 5.0, 7.0, 88.0)
    assert [item.text for item in items if isinstance(item, Text)] == ["1", "2", "3", "4", "5", "6"]
    for item in items[1:]:
        x0, y0, x1, y1 = item.box
        assert 5.0 - 1e-9 <= x0 < x1 <= 93.0 + 1e-9
        assert 7.0 - 1e-9 <= y0 < y1 <= 7.0 + height + 1e-9
