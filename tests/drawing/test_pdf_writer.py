"""PDF that asks to be printed as it is, always in the same bytes; read back by pdfium."""

import hashlib
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pypdfium2.raw import FPDF_PAGEOBJ_FORM as FORM

from service.drawing import Paper, pattern_pdf
from service.drawing.motifs import along
from service.drawing.pdf_writer import POINT, Layer, Page, write_pdf
from service.drawing.sheet import CUT, Circle, Text
from service.drawing.typeface import Weight
from service.settings import ROOT
from service.workshop import LetterStamps
from tests.design.makers import table
from tests.drawing.prints import heading, opened, printed
from tests.drawing.test_svg_writer import HOSTILE
from tests.makers import pattern, workshop, workshop_with
from tests.wishes import read_collar

PRINT = """
import hashlib
from service.drawing import pattern_svg
from tests.drawing.prints import heading, printed
from tests.makers import pattern
typed = dict(neck="26 in", width="2 in", studs="1 in", lettering="REX")
for paper in ("a4", "letter", "roll"):
    print(hashlib.sha256(printed(paper, **typed)).hexdigest())
print(hashlib.sha256(pattern_svg(pattern(**typed), heading()).encode()).hexdigest())
"""


def said(data: bytes) -> str:
    return "\n".join(page.get_textpage().get_text_bounded() for page in opened(data))


def test_a_length_is_as_many_points_as_published() -> None:
    # U1: ISO 32000 (a unit of user space is 1/72 in). The SVG says mm itself, of which CSS has 96 px an inch.
    row = next(row for row in table("check_values.csv") if row["id"] == "U1")
    assert pytest.approx(float(row["expected"].split(" / ")[1]), abs=float(row["abs_tol"])) == 100 * POINT


def test_two_processes_print_the_same_bytes() -> None:
    hashes = [
        subprocess.run(
            [sys.executable, "-c", PRINT],
            cwd=ROOT,
            env={"PYTHONHASHSEED": seed},
            capture_output=True,
            text=True,
            check=True,
        ).stdout
        for seed in ("1", "2")
    ]
    assert hashes[0] == hashes[1]
    assert len(set(hashes[0].split())) == 4


def test_printing_at_the_same_time_changes_no_byte() -> None:
    alone = [printed("a4"), printed("letter", neck="14 in"), printed("roll", lettering="REX")]
    with ThreadPoolExecutor(6) as pool:
        jobs = [
            pool.submit(job)
            for _ in range(4)
            for job in (
                lambda: printed("a4"),
                lambda: printed("letter", neck="14 in"),
                lambda: printed("roll", lettering="REX"),
            )
        ]
        assert [job.result() for job in jobs] == alone * 4


def test_it_asks_not_to_be_scaled_and_says_what_it_is() -> None:
    data = printed()
    assert b"/PrintScaling /None" in data  # ISO 32000-1, table 150: viewer preferences
    about = opened(data).get_metadata_dict()
    assert about["Title"] == "Collar for Biscuit"
    assert "100 %" in about["Subject"]


def test_nothing_but_the_projects_own_fonts_is_used_and_they_are_embedded() -> None:
    data = printed()
    names = {part.split(b" ")[0].split(b"\n")[0] for part in data.split(b"/FontName /")[1:]}
    assert {name.split(b"+")[1] for name in names} == {
        b"AtkinsonHyperlegibleNext-Regular",
        b"AtkinsonHyperlegibleNext-Bold",
        b"Besley-Bold",
    }
    assert data.count(b"/FontFile2 ") == len(names)


@pytest.mark.parametrize(
    ("paper", "points"),
    [("a4", (841.890, 595.276)), ("letter", (792.0, 612.0))],  # paper_sizes.csv, checked in test_tiles
)
def test_pages_are_the_paper_lying_on_its_side(paper: Paper, points: tuple[float, float]) -> None:
    for page in opened(printed(paper)):
        assert page.get_size() == pytest.approx(points, abs=0.001)


@pytest.mark.parametrize(
    "typed",
    [
        {"neck": "19 in"},
        {"neck": "19 in", "width": "2 in", "style": "heel-bar", "studs": "1 in", "lettering": "REX"},
        {"neck": "48 cm", "width": "20 mm"},
    ],
    ids=str,
)
def test_a_19_inch_collar_and_all_its_parts_fit_on_four_a4_pages(typed: dict[str, str]) -> None:
    assert len(opened(printed(**typed))) <= 4


def test_the_greatest_collar_is_printed_too() -> None:
    assert len(opened(printed("a4", neck="36 in", width="2 in", studs="11 mm"))) <= 7
    assert len(opened(printed("roll", neck="36 in", width="2 in", studs="11 mm"))) == 1


def test_every_distance_the_fit_and_all_cautions_are_on_the_first_page() -> None:
    design = pattern(neck="26 in", studs="1 in")
    text = opened(pattern_pdf(design, heading(), "a4"))[0].get_textpage().get_text_bounded()
    for station in design.stations:
        assert f"{station.x:.1f}".rstrip("0").rstrip(".") in text
    for words in (
        "Hole 2, target",
        "never a rating",
        "ring before the last rivet",
        "100 mm × 100 mm",
        "Oxlip Bench",
    ):
        assert words in text
    assert "Fold" in text


def test_every_tile_says_to_print_it_at_100_per_cent() -> None:
    document = opened(printed())
    for n in range(1, len(document)):
        text = document[n].get_textpage().get_text_bounded()
        assert f"Tile {n} of {len(document) - 1}" in text
        assert "Print at 100 %" in text


@pytest.mark.parametrize("text", HOSTILE)
def test_hostile_text_stays_text(text: str) -> None:
    loud = heading(shop=text, title=text, price=text, link=text, leather=text)
    for paper in ("a4", "roll"):
        assert len(opened(pattern_pdf(pattern(), loud, paper))) >= 1


@settings(max_examples=60, deadline=None)
@given(st.text(max_size=60))
def test_any_text_can_be_drawn(text: str) -> None:
    weights: tuple[Weight, ...] = ("regular", "bold", "display")
    lines = tuple(Text(text, (10.0, 10.0 * n), 3.0, weight) for n, weight in enumerate(weights, 1))
    document = opened(write_pdf((Page(100.0, 50.0, (Layer(lines),)),), text, text))
    assert len(document) == 1


def test_a_sign_the_fonts_lack_is_shown_as_a_question_mark() -> None:
    data = write_pdf((Page(100.0, 50.0, (Layer((Text("Rex 犬", (10.0, 10.0), 3.0),)),)),), "", "")
    assert "Rex ?" in said(data)


def test_stamps_the_font_lacks_are_drawn_as_frames() -> None:
    stamps = LetterStamps(code="own", name="Own", height=9, gap=1, advances={"É": 1.0, "♥": 1.0, "A": 1.0})
    rows = workshop_with(stamps=(stamps,))
    assert rows.stamps != workshop().stamps
    from service.design import make_pattern  # noqa: PLC0415 - only here are other stamps owned

    design = make_pattern(read_collar({"neck": "19 in", "lettering": "A♥É"}, rows), rows)
    assert len(opened(pattern_pdf(design, heading(), "a4"))) == 4


def test_what_lies_outside_its_window_is_not_seen() -> None:
    circle = Circle(CUT, (10.0, 10.0), 5.0)
    page = Page(60.0, 40.0, (Layer((circle,), 20.0, 0.0, (0.0, 0.0, 30.0, 40.0)),))
    pixels = opened(write_pdf((page,), "", ""))[0].render(scale=4, grayscale=True).to_numpy()
    half = round(30 / 60 * pixels.shape[1])
    assert pixels[:, : half - 1].min() < 100
    assert pixels[:, half + 1 :].min() == 255


def test_the_bytes_change_with_the_design() -> None:
    prints = {hashlib.sha256(printed(neck=neck)).hexdigest() for neck in ("19 in", "19 1/16 in", "18 in")}
    assert len(prints) == 3


def test_a_border_s_stamp_is_in_the_file_once_and_struck_in_every_place() -> None:
    design = pattern(neck="19 in", border="leaf")
    (page,) = opened(printed("roll", neck="19 in", border="leaf"))
    struck = [one.get_bounds() for one in page.get_objects(max_depth=1) if one.type == FORM]
    borders = [mark for mark in design.strap.marks if mark.kind == "border"]
    assert len(struck) == sum(mark.count or 0 for mark in borders)
    tiled = opened(printed("a4", neck="19 in", border="leaf"))
    shown = [one for page in tiled for one in page.get_objects(max_depth=1) if one.type == FORM]
    # Only those near where two tiles overlap, by 10 mm, are on both: a leaf is 6.4 mm long.
    assert len(struck) <= len(shown) <= len(struck) + 2 * 2 * len(tiled) * 3
    middle = sum(foot for _, foot, _, _ in struck) / len(struck)
    middles = sorted((left + right) / 2 for left, foot, right, _ in struck if foot > middle)
    wanted = sorted(x * POINT for mark in borders if mark.y > 0 for x in along(mark))
    assert [x - middles[0] for x in middles] == pytest.approx([x - wanted[0] for x in wanted], abs=0.03)
