"""Tape and marking strip read back by pdfium, their pieces laid together where their lines are."""

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import pypdfium2
import pytest

from service.design import make_pattern, read_wish
from service.drawing import Correction, SheetPaper, pdf_writer, strip_pdf, tape_pdf
from service.drawing.strips import PIECE, TAB, seams
from tests.drawing.prints import heading, opened, rendered, shapes, squares, upright
from tests.makers import pattern, workshop

TRUE = 0.01
RASTER = 0.1
DPI = 600
FAULT = 1.005
GREY = 190
"""Lighter pixels are paper, or the grey of a tab."""
NECK_MOST = 915.0
"""The longest neck that is read [mm]: a tape must be longer."""
DESIGNS = [
    {},
    {"neck": "9 in", "width": "5/8 in"},
    {"neck": "34 in", "width": "2 in", "studs": "1 in", "style": "heel-bar", "lettering": "BISCUIT"},
    {"neck": "42 cm", "fastening": "screw-post", "holes": "8"},
]


@dataclass(frozen=True)
class Piece:
    """A piece as it is on its page: which page, its outline's box, and its ticks from its own line [mm]."""

    page: int
    box: tuple[float, float, float, float]
    top: list[float]
    foot: list[float]

    @property
    def length(self) -> float:
        return self.box[2] - self.box[0] - TAB


def pieces(data: bytes) -> list[Piece]:
    """Every outline with a tab, in the order of the pages, with the ends of lines on its edges."""
    found = []
    for number, page in enumerate(opened(data)):
        there = shapes(page)
        for one in there:
            wide, high = one.size
            if len(one.points) in {4, 5} and 15 < high < 60 and wide > TAB + 5 and abs(one.box[0] - 10) < 0.1:
                if abs(wide - TAB) < TRUE:
                    continue
                x0, y0, x1, y1 = one.box
                start = x0 + TAB
                lines = [line for shape in there for line in pairwise(shape.points)]
                uprights = [line for line in lines if abs(line[0][0] - line[1][0]) < 1e-4]
                ticks = [(x - start, y) for line in uprights for x, y in line if start + 0.05 < x < x1 + 0.05]
                top = sorted({round(x, 3) for x, y in ticks if abs(y - y0) < TRUE})
                foot = sorted({round(x, 3) for x, y in ticks if abs(y - y1) < TRUE})
                found.append(Piece(number, one.box, top, foot))
    return found


def worst(found: list[float], wanted: list[float]) -> float:
    """The greatest distance [mm] from a wanted place to the nearest found one, or the other way round."""
    missing = [min(abs(x - y) for y in found) for x in wanted]
    return max(*missing, *(min(abs(x - y) for y in wanted) for x in found))


def worst_on_tape(data: bytes) -> float:
    """The greatest error [mm] of a line on the tape, of its pieces' lengths, and of the square's sides."""
    errors = []
    mm: list[float] = []
    inches: list[float] = []
    start = 0.0
    for piece in pieces(data):
        mm += [start + x for x in piece.top]
        inches += [start + x for x in piece.foot]
        errors.append(abs(piece.length - 240.0))
        start += piece.length
    # 1 in is 25.4 mm exactly (international yard and pound agreement, 1959); tapes go by sixteenths.
    cut = [240.0, 480.0, 720.0, 960.0]
    errors.append(worst(mm, [float(x) for x in range(1, 961)]))
    sixteenths = [n * 25.4 / 16 for n in range(1, 605) if n * 25.4 / 16 < 960]
    errors.append(worst(inches, sorted([*sixteenths, *cut])))
    (square,) = squares(shapes(opened(data)[0]), 100.0, 0.7)
    errors += [abs(side - 100.0) for side in square.size]
    return max(errors)


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_every_line_of_the_tape_is_where_it_should_be(paper: SheetPaper) -> None:
    data = tape_pdf("Oxlip Bench", paper)
    assert len(pieces(data)) == 4
    assert sum(piece.length for piece in pieces(data)) > NECK_MOST
    assert worst_on_tape(data) <= TRUE


def test_a_tape_half_a_per_cent_too_long_is_caught(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(pdf_writer, "POINT", pdf_writer.POINT * FAULT)
    assert worst_on_tape(tape_pdf("Oxlip Bench", "a4")) > 10 * TRUE


def test_the_tape_is_right_to_a_tenth_over_its_length_on_the_rendered_page() -> None:
    data = tape_pdf("Oxlip Bench", "a4")
    total = 0.0
    for piece in pieces(data):
        x0, y0, x1, _ = piece.box
        # A tab is grey up to its line: what is lighter than that is made white.
        pixels = rendered(data, piece.page, DPI)
        lines = np.where(pixels > GREY, 255, pixels).astype(np.uint8)
        # Between the two scales only the lines of the ends are dark.
        start, end = (upright(lines, DPI, (x, y0), (12.7, 13.2)) for x in (x0 + TAB, x1))
        assert end - start == pytest.approx(240.0, abs=RASTER / 2)
        total += end - start
    assert total == pytest.approx(960.0, abs=RASTER)


def test_a_tape_is_one_sheet_of_each_paper() -> None:
    # ISO 216 (A4, 210 by 297 mm) and ANSI Y14.1 (size A, 8 1/2 by 11 in); 1/72 in a unit, ISO 32000-1.
    (a4,), (letter,) = opened(tape_pdf("Oxlip Bench", "a4")), opened(tape_pdf("Oxlip Bench", "letter"))
    assert a4.get_size() == pytest.approx((297 / 25.4 * 72, 210 / 25.4 * 72), abs=0.01)
    assert letter.get_size() == pytest.approx((792, 612), abs=0.01)


def test_the_tape_is_numbered_and_says_how_to_measure() -> None:
    text = text_of(opened(tape_pdf("Oxlip Bench", "a4")))
    assert {str(n) for n in range(1, 97)} <= {*text.split()}
    for said in ("Two fingers:", "Snug:", "it must be 100 mm", "glue under 3"):
        assert said in text


def test_the_last_piece_has_room_for_what_is_said_at_an_end() -> None:
    assert seams(240) == ()
    assert seams(700) == (240, 480)
    assert seams(491) == (240, 411)
    assert seams(250) == (170,)


def text_of(document: pypdfium2.PdfDocument) -> str:
    return " ".join(" ".join(page.get_textpage().get_text_bounded().split()) for page in document)


@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize("typed", DESIGNS, ids=str)
def test_the_strip_has_a_tick_at_every_station_of_its_collar(
    typed: dict[str, str], paper: SheetPaper
) -> None:
    design = pattern(**typed)
    data = strip_pdf(design, heading(), paper)
    start, found = 0.0, []
    for piece in pieces(data):
        found += [start + x for x in piece.foot]
        start += piece.length
    length = design.strap.length
    assert start == pytest.approx(length, abs=TRUE)
    assert worst(found, [row.x for row in design.stations] + [*seams(length)]) <= TRUE


@pytest.mark.parametrize(
    ("typed", "long"),
    [
        (
            {"kind": "set", "neck": "19 in", "studs": "2 in", "make": "two-part"},
            ["strap", "lead-strap", "lead-handle"],
        ),
        ({"kind": "lead", "make": "traffic-loop", "length": "10 ft"}, ["strap", "strap-2", "handle"]),
        ({"kind": "limited-slip", "neck": "16 in", "head": "20 in"}, ["strap", "loop"]),
    ],
    ids=str,
)
def test_every_long_piece_has_its_strip_with_a_tick_at_every_station(
    typed: dict[str, str], long: list[str]
) -> None:
    design = make_pattern(read_wish(typed, workshop()), workshop())
    data = strip_pdf(design, heading(), "a4")
    parts, left = [one for one in design.parts if one.name in long], pieces(data)
    assert [one.name for one in parts] == long
    for part in parts:
        start, found = 0.0, []
        for piece in left[: len(seams(part.length)) + 1]:
            found += [start + x for x in piece.foot]
            start += piece.length
        left = left[len(seams(part.length)) + 1 :]
        assert start == pytest.approx(part.length, abs=TRUE)
        assert worst(found, [*(row.x for row in design.stations_on(part)), *seams(part.length)]) <= TRUE
        assert part.title in text_of(opened(data))
    assert left == []


@pytest.mark.parametrize("typed", DESIGNS, ids=str)
def test_the_strip_names_every_station_but_studs_and_none_twice(typed: dict[str, str]) -> None:
    design = pattern(**typed)
    text = text_of(opened(strip_pdf(design, heading(), "a4")))
    for row in design.stations:
        name = (
            row.name.replace("Rivet", "Post").replace("rivet", "post") if "fastening" in typed else row.name
        )
        if row.name != "Stud":
            wanted = sum(other.name == row.name for other in design.stations)
            if name.startswith(("Hole", "Slot", "Fold", "Tip", "Lettering")):
                assert text.count(name + " ") >= wanted
            assert name in text
    assert ("studs in a run" in text) == ("studs" in typed)


def test_strips_stay_on_the_paper_and_clear_of_the_squares() -> None:
    for typed in DESIGNS:
        data = strip_pdf(pattern(**typed), heading(), "letter")
        (square,) = squares(shapes(opened(data)[0]), 101.6, 0.7)
        for piece in pieces(data):
            assert piece.box[2] < 279.4 - 9
            assert piece.box[3] < (square.box[1] if piece.page == 0 else 215.9 - 20)
            assert piece.length <= PIECE + TRUE


def test_the_same_strips_are_the_same_bytes() -> None:
    wrong = Correction(99.2, 100.3)
    for _ in range(2):
        assert tape_pdf("Oxlip Bench", "a4", wrong) == tape_pdf("Oxlip Bench", "a4", wrong)
        assert strip_pdf(pattern(), heading(), "a4") == strip_pdf(pattern(), heading(), "a4")
