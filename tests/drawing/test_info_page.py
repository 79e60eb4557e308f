"""The information page: nothing on top of anything, nothing cut off, at its fullest too."""

from dataclasses import replace
from itertools import combinations

import pytest

from service.design import CollarPattern, wearable_sentence
from service.drawing import info_page
from service.drawing.info_page import INSIDE, STEP_IN, STEPS, Heading, Tiling, info_pages
from service.drawing.pattern_sheet import bench_sheet
from service.drawing.sheet import THIN, Block, Box, Path, Text
from service.drawing.text_blocks import Column, Setting, flowed, paragraphs, table
from service.drawing.tiles import SheetPaper, grid, printable
from tests.drawing.prints import heading
from tests.makers import pattern

FULLEST = {
    "neck": "36 in",
    "width": "2 in",
    "style": "heel-bar",
    "studs": "11 mm",
    "holes": "12",
    "pitch": "40 mm",
    "weight": "9 lb",
    "lettering": "ALEXANDRA 12345",
}
DESIGNS = [{"neck": "19 in"}, {"neck": "10 in", "width": "5/8 in"}, FULLEST]


def long_heading() -> Heading:
    return Heading(
        shop="The workshop with the longest of all names in the whole wide valley of the river",
        title="Heel-bar buckle collar, 2 in wide, in tan bridle leather and solid brass, with studs",
        price="$1,068.40",
        link="http://127.0.0.1:8000/?" + "&".join(f"parameter{n}=a+rather+long+value" for n in range(14)),
        system="metric",
        summary=tuple(
            (f"Name of a thing {n}", "A value that goes on for more than a line of it") for n in range(11)
        ),
        scannable=True,
    )


def pages(design: CollarPattern, said: Heading, paper: SheetPaper) -> tuple[Block, ...]:
    sheet = bench_sheet(design)
    return info_pages(design, said, *printable(paper), Tiling(sheet, grid(paper, sheet.width, sheet.height)))


def texts(page: Block) -> list[Text]:
    return [item for item in page.items if isinstance(item, Text)]


def meet(one: Box, other: Box) -> bool:
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]


@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize("said", [heading(), long_heading()], ids=["short", "long"])
@pytest.mark.parametrize("typed", DESIGNS, ids=["plain", "small", "fullest"])
def test_no_text_meets_another_or_leaves_the_page(
    typed: dict[str, str], said: Heading, paper: SheetPaper
) -> None:
    for page in pages(pattern(**typed), said, paper):
        written = texts(page)
        assert [(a.text, b.text) for a, b in combinations(written, 2) if meet(a.box, b.box)] == []
        for item in page.items:
            x0, y0, x1, y1 = item.box
            assert -1e-9 <= x0 <= x1 <= page.width + 1e-9
            assert -1e-9 <= y0 <= y1 <= page.height + 1e-9


@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize("typed", DESIGNS, ids=["plain", "small", "fullest"])
def test_one_page_is_enough_and_its_type_can_be_read(typed: dict[str, str], paper: SheetPaper) -> None:
    (page,) = pages(pattern(**typed), heading(), paper)
    assert min(text.size for text in texts(page)) >= 2.2  # 6.2 pt


def test_both_check_squares_are_whole_and_share_their_middle() -> None:
    (page,) = pages(pattern(), heading(), "a4")
    boxes = {item.name: item.box for item in page.items if isinstance(item, Path) and item.name}
    small, large = boxes["check-100-mm"], boxes["check-4-in"]
    assert (small[2] - small[0], small[3] - small[1]) == pytest.approx((100.0, 100.0))
    assert (large[2] - large[0], large[3] - large[1]) == pytest.approx((101.6, 101.6))
    assert small[0] - large[0] == pytest.approx(large[2] - small[2])


def test_only_what_is_cut_into_tiles_says_how_to_join_them() -> None:
    design = pattern()
    tiled = " ".join(text.text for page in pages(design, heading(), "a4") for text in texts(page))
    whole = " ".join(
        text.text for page in info_pages(design, heading(), 277.0, 190.0, None) for text in texts(page)
    )
    assert "tape it down" in tiled
    assert "tape it down" not in whole


def test_the_necks_it_can_be_worn_on_are_said() -> None:
    design = pattern(measured="tape-snug", fingers="3")
    said = " ".join(text.text for page in pages(design, heading(), "a4") for text in texts(page))
    assert " ".join(str(wearable_sentence(design.spec, design.fit)).split()) in said


def test_warnings_and_advice_are_said_and_notes_are_not() -> None:
    design = pattern(neck="12 in", holes="6", pitch="1 in")
    said = " ".join(text.text for page in pages(design, heading(), "a4") for text in texts(page))
    for finding in design.findings:
        start = " ".join(str(finding.text).split()[:4])
        assert (start in said) == (finding.severity != "note"), finding.text


def test_a_design_without_a_price_shows_none() -> None:
    plain = Heading("Shop", "Collar", None, "http://localhost/", "imperial", ())
    (page,) = pages(pattern(), plain, "a4")
    assert not any("$" in text.text for text in texts(page))


def test_more_than_a_page_holds_goes_on_to_another() -> None:
    design = pattern(**FULLEST)
    sheet = bench_sheet(design)
    cut = grid("a4", sheet.width, sheet.height)
    several = info_pages(design, heading(), 277.0, 145.0, Tiling(sheet, cut))
    assert len(several) > 1
    everything = " ".join(text.text for page in several for text in texts(page))
    assert "never a rating" in everything


@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize("typed", DESIGNS, ids=["plain", "small", "fullest"])
def test_type_is_set_smaller_rather_than_shorten_a_text(typed: dict[str, str], paper: SheetPaper) -> None:
    (page,) = pages(pattern(**typed), heading(), paper)
    assert [text.text for text in texts(page) if "…" in text.text] == []


def test_a_long_name_in_the_summary_has_the_room_it_takes() -> None:
    rows = (
        ("Neck", "19 in (483 mm)"),
        ("Gehalten durch", "Schraubnieten"),
        ("Riemen", "27 1/2 in (698.5 mm)"),
    )
    (page,) = pages(pattern(), replace(heading(), summary=rows), "a4")
    written = {text.text for text in texts(page)}
    assert {name for name, _ in rows} <= written
    assert {value for _, value in rows} <= written


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_a_long_title_is_set_smaller_before_it_is_shortened(paper: SheetPaper) -> None:
    title = "Order 1042: Chestnut bridle collar, 1 1/2 in wide, to match a collar of 19 1/2 in"
    (page,) = pages(pattern(), heading(title=title), paper)
    assert title in {text.text for text in texts(page)}


def test_an_address_that_a_telephone_reaches_is_printed_as_a_code_clear_of_all_else() -> None:
    for said in (heading(), heading(scannable=True)):
        (page,) = pages(pattern(), said, "letter")
        codes = [item for item in page.items if isinstance(item, Path) and item.name == "scan-code"]
        assert len(codes) == said.scannable
        for code in codes:
            x0, y0, x1, y1 = code.box
            quiet = 4 * (x1 - x0) / 29  # four of its 29 squares on every side (ISO/IEC 18004:2015, 6.3.8)
            around = (x0 - quiet, y0 - quiet, x1 + quiet, y1 + quiet)
            shapes = [item for item in page.items if isinstance(item, Path) and item is not code]
            assert not [one.name for one in shapes if one.pen.width == 0 and meet(one.box, around)]
            assert [text.text for text in texts(page) if meet(text.box, around)] == []


def test_cut_lengths_are_said_in_millimetres_first_and_that_they_decide() -> None:
    said = " ".join(text.text for text in texts(pages(pattern(), heading(), "a4")[0]))
    assert "from end to end: 698.5 mm (27 1/2 in)." in said
    assert "go by the millimetres." in said


def test_a_table_shortens_what_is_too_wide_for_its_column() -> None:
    block = table(
        "Cut",
        (Column(0.0, 0.4), Column(1.0, 0.5, "end")),
        [("A name beyond all bounds", "1 in")],
        Setting(50.0, 1.0),
    )
    first, second = (item for item in block.items if isinstance(item, Text) and item.text != "Cut")
    assert first.text.endswith("…")
    assert not meet(first.box, second.box)


def test_blocks_flow_into_columns_in_order() -> None:
    block = paragraphs("At the bench", ["One sentence."] * 3, Setting(80.0, 1.0))
    columns = flowed([block] * 5, 2.5 * block.height)
    assert [len(column) for column in columns] == [2, 2, 1]
    assert flowed([block], 1.0) == ((block,),)


@pytest.mark.parametrize("words", [1, 12, 25])
@pytest.mark.parametrize("neck", ["9 in", "11 in", "19 in"])
def test_the_map_of_the_tiles_keeps_clear_of_steps_however_long_they_are(
    neck: str, words: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    # In other languages the steps are longer than in English.
    longer = (STEPS[0], "Schnittmuster " * words)
    monkeypatch.setattr(info_page, "STEPS", longer)
    (page,) = pages(pattern(neck=neck), heading(), "a4")
    tiles = [item.box for item in page.items if isinstance(item, Path) and item.pen is THIN]
    tiles = [box for box in tiles if 6 < box[0] < 95 and box[1] > 90 and box[3] - box[1] > 3]
    steps = [text for text in texts(page) if text.at[0] == INSIDE + STEP_IN]
    assert tiles
    assert max(text.box[3] for text in steps) < min(box[1] for box in tiles)
