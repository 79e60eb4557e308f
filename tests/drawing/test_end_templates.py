"""The print of the end templates, read back by pdfium: sizes, holes, the chart's numbers, the same bytes."""

from dataclasses import replace

import pytest

from service.design import Part, end_templates
from service.drawing import AS_IT_IS, Correction, SheetPaper, templates_pdf
from tests.drawing.prints import Shape, circles, heading, opened, shapes, squares
from tests.makers import pattern

TRUE = 0.01
DESIGNS = [{}, {"width": "2 in", "style": "heel-bar"}, {"width": "5/8 in", "end": "round"}]


def printed(paper: SheetPaper = "a4", correction: Correction = AS_IT_IS, /, **typed: str) -> bytes:
    design = pattern(**typed)
    return templates_pdf(design, end_templates(design, "in"), heading(), "1 in, brass", paper, correction)


def there(part: Part, found: list[Shape]) -> bool:
    """Whether a page has a part with each of its holes, all to a hundredth of a millimetre."""
    outlines = [one for one in found if one.size == pytest.approx((part.length, part.width), abs=TRUE)]
    return any(_punched(part, outline.box, found) for outline in outlines)


def _punched(part: Part, box: tuple[float, float, float, float], found: list[Shape]) -> bool:
    middle = (box[1] + box[3]) / 2
    return all(
        any(
            centre == pytest.approx((box[0] + one.x, middle), abs=TRUE)
            for centre in circles(found, one.diameter / 2)
        )
        for one in part.marks
        if one.diameter
    )


@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize("typed", DESIGNS, ids=str)
def test_templates_and_squares_are_true_to_a_hundredth(typed: dict[str, str], paper: SheetPaper) -> None:
    made = end_templates(pattern(**typed), "in")
    pages = [shapes(page) for page in opened(printed(paper, **typed))]
    assert [one.size for one in squares(pages[0], 100.0, 0.7)] == [pytest.approx((100, 100), abs=TRUE)]
    assert [one.size for one in squares(pages[0], 101.6, 0.7)] == [pytest.approx((101.6, 101.6), abs=TRUE)]
    for part in (made.buckle, *(tip.part for tip in made.tips)):
        assert sum(there(part, page) for page in pages[1:]) == 1


def test_a_hole_a_tenth_off_is_caught() -> None:
    made = end_templates(pattern(), "in")
    pages = [shapes(page) for page in opened(printed())]
    wrong = replace(made.buckle, marks=tuple(one._replace(x=one.x + 0.1) for one in made.buckle.marks))
    assert not any(there(wrong, page) for page in pages)


@pytest.mark.parametrize(
    ("paper", "size"), [("a4", (297 / 25.4 * 72, 210 / 25.4 * 72)), ("letter", (792, 612))]
)
def test_pages_are_sheets_of_the_standards(paper: SheetPaper, size: tuple[float, float]) -> None:
    # ISO 216 (A4, 210 by 297 mm) and ANSI Y14.1 (size A, 8 1/2 by 11 in); 1/72 in a unit, ISO 32000-1.
    for page in opened(printed(paper)):
        assert page.get_size() == pytest.approx(size, abs=0.01)


def test_everything_is_inside_the_paper() -> None:
    for typed in (*DESIGNS, {"width": "2 in", "holes": "12", "pitch": "2 in", "neck": "34 in"}):
        for page in opened(printed("letter", **typed)):
            width, height = (side / 72 * 25.4 for side in page.get_size())
            for one in shapes(page):
                x0, y0, x1, y1 = one.box
                assert x0 > 3
                assert y0 > 3
                assert x1 < width - 3
                assert y1 < height - 3


@pytest.mark.parametrize(("neck", "blank", "inches"), [("14", 571.5, "22 1/2"), ("19", 698.5, "27 1/2")])
def test_the_chart_holds_blanks_of_common_practice(neck: str, blank: float, inches: str) -> None:
    # Common practice at 1 in wide, six holes 1 in apart: the flat distance + 8 1/2 in.
    page = opened(printed(holes="6", pitch="1 in"))[0]
    text = page.get_textpage()
    index, _ = text.search(f"{blank:g} mm").get_next()
    left, bottom, _, top = text.get_charbox(index)
    row = text.get_text_bounded(left=left - 75, bottom=bottom, right=left + 80, top=top)
    words = row.replace("in", " in ").split()
    assert {*f"{neck} in {blank:g} mm {inches} in".split()} <= {*words}


def test_the_same_templates_are_the_same_bytes() -> None:
    assert printed() == printed()
    assert printed("a4", Correction(99.2, 99.5)) == printed("a4", Correction(99.2, 99.5)) != printed()
