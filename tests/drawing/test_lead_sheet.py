"""Leads at full scale: every part on the sheet as it is cut, slits as cuts, and words that are a lead's."""

from io import StringIO
from typing import get_args

import ezdxf
import pytest
from ezdxf.entities import LWPolyline

from service.design.lead_wish import Make
from service.drawing.dxf_writer import pattern_dxf
from service.drawing.pattern_sheet import bench_sheet
from service.drawing.sheet import CUT, Circle, Path, Text
from service.drawing.tiles import trim_lines
from tests.design.test_leads import made, shoulders


@pytest.mark.parametrize("make", get_args(Make))
def test_every_part_of_a_lead_is_on_the_sheet_at_full_scale(make: Make) -> None:
    pattern = made(make=make)
    sheet = bench_sheet(pattern)
    for part in pattern.parts:
        (cut,) = [one for one in sheet.items if isinstance(one, Path) and one.name == part.name]
        left, top, right, foot = cut.box
        assert (right - left, foot - top) == pytest.approx((part.length, part.width), abs=0.5)
    holes = [one for one in sheet.items if isinstance(one, Circle)]
    marks = [one for part in pattern.parts for one in part.marks if one.kind == "rivet-hole"]
    assert len(holes) == len(marks)


def test_the_slits_of_a_plait_are_cut_lines_on_the_sheet_and_in_the_file_for_a_cutter() -> None:
    pattern = made(make="plaited-handle")
    slits = [one for one in bench_sheet(pattern).items if isinstance(one, Path) and one.name == "slit"]
    assert [one.pen for one in slits] == [CUT, CUT]
    file = ezdxf.read(StringIO(pattern_dxf(pattern)))
    cut = [one for one in file.modelspace() if isinstance(one, LWPolyline) and one.dxf.layer == "CUT"]
    # Three parts, each a closed outline, and the two slits, which are open.
    assert sorted(one.closed for one in cut) == [False, False, True, True, True]


def test_a_lap_of_a_lead_is_not_said_to_be_glued_and_no_end_is_called_a_buckle_s() -> None:
    said = {one.text for one in bench_sheet(made(make="plaited-handle")).items if isinstance(one, Text)}
    assert "Lap to this line" in said
    assert not any("glued" in text or "uckle" in text for text in said)
    assert "Left end" in said
    assert any(text.startswith("Slit 496.1 mm") for text in said)


@pytest.mark.parametrize("make", get_args(Make))
@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_no_label_of_a_lead_lies_across_a_trim_line(make: Make, paper: str) -> None:
    pattern = made(None if make == "one-piece" else shoulders(), make=make)
    trims = trim_lines(paper, 4000.0)  # type: ignore[arg-type]
    sheet = bench_sheet(pattern, trims)
    titles = tuple(f"{part.title}, cut" for part in pattern.parts)
    for one in sheet.items:
        if isinstance(one, Text) and one.size < 2.5 and not one.text.startswith(titles):
            left, _, right, _ = one.box
            assert not any(left < trim < right for trim in trims), one.text
