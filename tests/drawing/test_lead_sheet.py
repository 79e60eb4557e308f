"""Leads at full scale: every part on the sheet as it is cut, slits as cuts, and words that are a lead's."""

from io import StringIO
from typing import Any, get_args

import ezdxf
import pypdfium2
import pytest
from ezdxf.entities import LWPolyline

from service.design.lead_wish import Make
from service.drawing import pattern_pdf
from service.drawing.dxf_writer import pattern_dxf
from service.drawing.pattern_sheet import bench_sheet
from service.drawing.sheet import CUT, Circle, Path, Text
from service.drawing.tiles import trim_lines
from service.units import show_mm
from tests.design.test_leads import made, shoulders
from tests.drawing.prints import heading
from tests.drawing.test_plates import scanned


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


ADORNED: tuple[dict[str, Any], ...] = (
    {"border": "leaf", "studs": 25.4, "stud_rows": "zigzag", "grooves": "none"},
    {"border": "rope", "lettering": "REX 0958", "letters": "gold"},
    {"lacing": "loop", "grooves": "none", "lettering": "REX", "letters": "plate", "qr": "020 7946 0958"},
)


@pytest.mark.parametrize("wish", ADORNED)
@pytest.mark.parametrize("make", ["plain", "two-part", "coupler"])
def test_what_decorates_a_lead_is_on_the_sheet_at_full_scale(make: Make, wish: dict[str, Any]) -> None:
    pattern = made(shoulders(), make=make, width=31.75, length=1800.0, **wish)
    items = bench_sheet(pattern).items
    paths = [one for one in items if isinstance(one, Path)]
    for part in pattern.parts:
        (cut,) = [one for one in paths if one.name == part.name]
        left, top, _, _ = cut.box
        for mark in part.marks:
            x, y = left + mark.x, top + part.width / 2 - mark.y
            half, tall = (mark.length or 0) / 2, (mark.height or mark.width or 0) / 2
            inside = [one for one in paths if one.name == mark.kind and encloses(one.box, (x, y))]
            if mark.kind in {"plate", "code"}:
                (drawn,) = inside
                quiet = 4 * 2 * half / (25 + 8) if mark.kind == "code" else 0.0  # ISO/IEC 18004, 6.3.8
                wanted = x - half + quiet, y - tall + quiet, x + half - quiet, y + tall - quiet
                assert drawn.box == pytest.approx(wanted, abs=0.05)
            elif mark.kind == "border":
                (drawn,) = inside
                # The box holds the curves' controls too: it reaches over, both sides alike.
                assert drawn.box == pytest.approx((x - half, y - tall, x + half, y + tall), abs=1.1)
                assert (drawn.box[1] + drawn.box[3]) / 2 == pytest.approx(y, abs=0.1)
            elif mark.kind == "lettering":
                (drawn,) = inside
                assert drawn.box[3] - drawn.box[1] == pytest.approx(mark.height, abs=1.0)
                assert drawn.box[2] - drawn.box[0] == pytest.approx(mark.length, abs=2)
            elif mark.kind == "lacing":
                middles = [one.centre[0] for one in items if isinstance(one, Circle) and lies(one, y)]
                step = (mark.length or 0) / (mark.count or 1)
                places = (x - half + (n + 0.5) * step for n in range(mark.count or 0))
                assert all(min(abs(place - one) for one in middles) < 0.01 for place in places)


def lies(one: Circle, y: float) -> bool:
    return one.name == "lace-hole" and abs(one.centre[1] - y) < 0.01


def encloses(box: tuple[float, float, float, float], at: tuple[float, float]) -> bool:
    return box[0] <= at[0] <= box[2] and box[1] - 0.01 <= at[1] <= box[3] + 0.01


def test_a_short_strap_s_edges_are_told_from_where_to_where() -> None:
    pattern = made(make="two-part", width=25.4, border="rope")
    (short,) = [part for part in pattern.parts if part.name == "short-strap"]
    border = next(one for one in short.marks if one.kind == "border")
    said = {one.text for one in bench_sheet(pattern).items if isinstance(one, Text)}
    half = (border.length or 0) / 2
    assert {show_mm(border.x - half), show_mm(border.x + half)} <= said


def test_a_scanner_reads_the_tag_of_a_lead() -> None:
    pattern = made(width=25.4, qr="+44 20 7946 0958", length=700.0)
    with pypdfium2.PdfDocument(pattern_pdf(pattern, heading(), "roll")) as document:
        found = set().union(*(scanned(page.render(scale=300 / 72).to_pil()) for page in document))
    assert found == {"tel:+442079460958"}
