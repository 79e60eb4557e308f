"""The sheet with all parts: everything at its place, nothing on top of anything, nothing outside."""

from itertools import combinations

import pytest

from service.design import CollarPattern
from service.drawing.full_scale import whole_sheet
from service.drawing.pattern_sheet import bench_sheet
from service.drawing.sheet import CUT, FOLD, Box, Circle, Path, Sheet, Text
from service.drawing.tiles import grid, room, trim_lines
from tests.drawing.prints import heading
from tests.makers import pattern

DESIGNS: list[dict[str, str]] = [
    {"neck": neck, "width": width, "style": style, **more}
    for neck in ("14 in", "16.5 in", "19 in", "61 cm", "36 in")
    for width in ("3/4 in", "1 in", "2 in")
    for style in ("centre-bar", "heel-bar")
    for more in ({}, {"holes": "12", "pitch": "12.7 mm", "fastening": "screw-post"})
    if not (neck == "14 in" and width == "2 in" and more)
]
DECORATED: list[dict[str, str]] = [
    {"neck": neck, "width": width, "studs": studs, "lettering": lettering}
    for neck in ("20 in", "26 in", "36 in")
    for width in ("1 in", "1 1/2 in", "2 in")
    for studs in ("11 mm", "1 in", "2 in")
    for lettering in ("", "REX", "O'MALLEY 5")
]
TAPERED: list[dict[str, str]] = [
    {"neck": neck, "throat": throat, "style": style}
    for neck in ("15 in", "18 in", "26 in")
    for throat in ("1 1/2 in", "2 in", "3 in")
    for style in ("centre-bar", "heel-bar")
]
ALL = DESIGNS + DECORATED


def texts(sheet: Sheet) -> list[Text]:
    return [item for item in sheet.items if isinstance(item, Text)]


def meet(one: Box, other: Box) -> bool:
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]


def collisions(sheet: Sheet) -> list[tuple[str, str]]:
    boxes = [(text.text, text.box) for text in texts(sheet)]
    return [(a, b) for (a, one), (b, other) in combinations(boxes, 2) if meet(one, other)]


def path(sheet: Sheet, name: str) -> Path:
    (found,) = (item for item in sheet.items if isinstance(item, Path) and item.name == name)
    return found


@pytest.mark.parametrize("typed", ALL, ids=lambda typed: " ".join(typed.values()))
def test_no_label_meets_another_or_a_part_or_leaves_the_sheet(typed: dict[str, str]) -> None:
    design = pattern(**typed)
    for trims in ((), trim_lines("a4", design.strap.length), trim_lines("letter", design.strap.length)):
        sheet = bench_sheet(design, trims, 150.0)
        assert collisions(sheet) == []
        parts = [item.box for item in sheet.items if isinstance(item, Path) and item.pen is CUT]
        for text in texts(sheet):
            x0, y0, x1, y1 = text.box
            assert 0 <= x0 < x1 <= sheet.width
            assert 0 <= y0 < y1 <= sheet.height
            assert not any(meet(text.box, part) for part in parts)
            assert not any(x0 < trim < x1 for trim in trims)


def test_the_collision_check_sees_a_collision() -> None:
    label = Text("520.7 mm", (20.0, 10.0), 2.3)
    assert collisions(Sheet(50, 50, (label, label.moved(5.0, 0.5)))) == [("520.7 mm", "520.7 mm")]


@pytest.mark.parametrize("typed", ALL + TAPERED, ids=lambda typed: " ".join(typed.values()))
def test_one_row_of_tiles_is_enough(typed: dict[str, str]) -> None:
    design = pattern(**typed)
    for paper in ("a4", "letter"):
        sheet = bench_sheet(design, trim_lines(paper, design.strap.length), room(paper))
        assert grid(paper, sheet.width, sheet.height).rows == 1


@pytest.mark.parametrize("typed", ALL[::5], ids=lambda typed: " ".join(typed.values()))
def test_everything_lies_within_the_sheet_and_parts_do_not_overlap(typed: dict[str, str]) -> None:
    sheet = bench_sheet(pattern(**typed))
    for item in sheet.items:
        x0, y0, x1, y1 = item.box
        assert x0 >= 0
        assert y0 >= 0
        assert x1 <= sheet.width
        assert y1 <= sheet.height
    parts = [item.box for item in sheet.items if isinstance(item, Path) and item.pen is CUT]
    assert not any(meet(one, other) for one, other in combinations(parts, 2))


def check_marks(design: CollarPattern, sheet: Sheet) -> None:
    x0, y0, _, y1 = path(sheet, "strap").box
    middle = (y0 + y1) / 2
    for kind in ("rivet-hole", "size-hole", "stud"):
        wanted = [(mark.x, mark.y, mark.diameter) for mark in design.strap.marks if mark.kind == kind]
        drawn = [item for item in sheet.items if isinstance(item, Circle) and item.name == kind][
            : len(wanted)
        ]
        for item, (x, y, diameter) in zip(drawn, wanted, strict=True):
            assert item.centre == pytest.approx((x0 + x, middle - y))
            assert 2 * item.radius == pytest.approx(diameter)


def test_every_hole_and_stud_is_a_true_circle_at_its_place() -> None:
    design = pattern(neck="26 in", width="2 in", studs="1 in", lettering="REX")
    check_marks(design, bench_sheet(design))
    check_marks(design, bench_sheet(design, (100.0, 272.0), 175.0))


def test_parts_are_as_long_and_wide_as_their_blanks() -> None:
    design = pattern(width="2 in", style="heel-bar")
    sheet = bench_sheet(design)
    for part in design.parts:
        x0, y0, x1, y1 = path(sheet, part.name).box
        assert (x1 - x0, y1 - y0) == pytest.approx((part.length, part.width))


def test_the_fold_is_dashed_and_the_slot_lies_about_it() -> None:
    design = pattern()
    sheet = bench_sheet(design)
    fold, slot = path(sheet, "fold"), path(sheet, "slot")
    assert fold.pen is FOLD
    assert fold.pen.dashes
    assert (slot.box[0] + slot.box[2]) / 2 == pytest.approx(fold.box[0])
    assert slot.box[2] - slot.box[0] == pytest.approx(design.layout.slot_length)
    assert slot.box[3] - slot.box[1] == pytest.approx(design.layout.slot_width)


def test_every_distance_from_the_buckle_end_is_written_in_both_units() -> None:
    design = pattern(neck="26 in", studs="1 in")
    said = {text.text for text in texts(bench_sheet(design))}
    for station in design.stations:
        assert any(text.startswith(f"{station.x:.1f}".rstrip("0").rstrip(".")) for text in said), station
    assert {"520.7 mm", "20 1/2 in"} <= {text.text for text in texts(bench_sheet(pattern()))}


def test_parts_say_what_they_are_and_how_many_to_cut() -> None:
    said = {text.text for text in texts(bench_sheet(pattern(style="heel-bar")))}
    assert {"Strap, cut 1", "Ring tab, cut 1", "Fixed keeper, cut 1"} <= said
    assert {"1", "2, target", "6", "Fold", "Ring", "Keeper", "Buckle end"} <= said


def test_a_keeper_has_a_line_to_lap_to_and_says_how_it_is_closed() -> None:
    design = pattern(style="heel-bar")
    sheet = bench_sheet(design)
    keeper, lap = path(sheet, "keeper").box, path(sheet, "lap").box
    # Common practice: a keeper's ends lie on each other for 15 mm.
    assert keeper[2] - lap[0] == pytest.approx(15.0)
    assert lap[1] < keeper[1] < keeper[3] < lap[3]
    said = {text.text for text in texts(sheet)}
    assert {"Lap to this line, 15 mm:", "sewn, or glued and riveted", "70.8 mm"} <= said


def test_screw_posts_are_not_called_rivets() -> None:
    said = " ".join(text.text for text in texts(whole_sheet(pattern(fastening="screw-post"), heading())))
    assert "Post" in said
    assert "Rivet" not in said


@pytest.mark.parametrize("rows", ["single", "double", "zigzag"])
def test_runs_of_studs_are_named_once(rows: str) -> None:
    design = pattern(neck="26 in", width="2 in", studs="1 in", stud_rows=rows, lettering="REX")
    studs = sum(mark.kind == "stud" for mark in design.strap.marks)
    named = [text.text for text in texts(bench_sheet(design)) if "stud" in text.text.lower()]
    assert sum(int(name.split()[0]) if name[0].isdigit() else 1 for name in named) == studs
    assert len(named) <= 3


def test_lettering_is_drawn_as_outlines_of_its_height() -> None:
    sheet = bench_sheet(pattern(lettering="HEX", stamp="9 mm"))
    box = path(sheet, "lettering").box
    assert box[3] - box[1] == pytest.approx(9.0, abs=0.01)
    assert "HEX" not in {text.text for text in texts(sheet)}


def test_a_short_sheet_is_spread_over_the_height_asked_for() -> None:
    assert bench_sheet(pattern(), (), 175.0).height == pytest.approx(175.0)
    assert bench_sheet(pattern(), (), 20.0).height > 100.0


def test_small_parts_keep_clear_of_trim_lines() -> None:
    design = pattern(style="heel-bar")
    for trim in range(20, 260, 7):
        sheet = bench_sheet(design, (float(trim),))
        for name in ("ring-tab", "keeper"):
            x0, _, x1, _ = path(sheet, name).box
            assert not x0 - 5 < trim < x1 + 5


def test_a_part_says_its_size_in_both_units_to_a_tenth_of_a_millimetre() -> None:
    said = " ".join(text.text for text in texts(bench_sheet(pattern())))
    assert "698.5 × 25.4 mm (27 1/2 × 1 in), 3 mm thick" in said
