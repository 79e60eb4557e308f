"""A printer that is off, made up by scaling the rendered page: corrected for it, its print measures right."""

import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image

from service.drawing import Correction, Paper, pattern_pdf
from tests.drawing.prints import POINTS_PER_INCH, heading, opened, shapes, squares
from tests.makers import pattern

DPI = 600
RASTER = 0.1
"""As near as a steel rule is read [mm]."""
PRINTERS = [(99.2, 99.5), (97.0, 103.0), (100.6, 100.0), (100.0, 98.4)]


def out_of(printer: tuple[float, float], data: bytes, page: int = 0) -> NDArray[np.float64]:
    """How dark each pixel of a page is at 600 dpi, as a printer lays it that prints 100 mm as these [mm]."""
    image = opened(data)[page].render(scale=DPI / POINTS_PER_INCH, grayscale=True).to_pil()
    size = round(image.width * printer[0] / 100), round(image.height * printer[1] / 100)
    return 255.0 - np.asarray(image.resize(size, Image.Resampling.BICUBIC), dtype=float)


def line(strip: NDArray[np.float64], near: float) -> float:
    """Where a line crosses a strip of pixels [mm], within 0.3 mm of a place [mm]."""
    scale = DPI / 25.4
    start = round((near - 0.3) * scale)
    dark = strip[start : round((near + 0.3) * scale)]
    return float((start + 0.5 + (dark * np.arange(dark.size)).sum() / dark.sum()) / scale)


def square_on(paper: NDArray[np.float64], data: bytes, printer: tuple[float, float]) -> tuple[float, float]:
    """What the inner square measures on paper [mm], across and down."""
    inner = min(squares(shapes(opened(data)[0]), 101.0, 5.0), key=lambda shape: shape.size)
    x0, y0, x1, y1 = inner.box
    across, down = printer[0] / 100, printer[1] / 100
    x0, x1, y0, y1 = x0 * across, x1 * across, y0 * down, y1 * down
    scale = DPI / 25.4
    row = paper[round((y0 + 5) * scale)]
    column = paper[:, round((x0 + 3) * scale)]
    return line(row, x1) - line(row, x0), line(column, y1) - line(column, y0)


def printed(correction: Correction, paper: Paper = "a4") -> bytes:
    return pattern_pdf(pattern(neck="19 in"), heading(), paper, correction)


@pytest.mark.parametrize("printer", PRINTERS)
def test_corrected_for_its_printer_the_square_is_right(printer: tuple[float, float]) -> None:
    data = printed(Correction(*printer))
    assert square_on(out_of(printer, data), data, printer) == pytest.approx((100.0, 100.0), abs=RASTER)


def test_without_correction_the_same_printer_is_off() -> None:
    data = printed(Correction())
    found = square_on(out_of((99.2, 99.5), data), data, (99.2, 99.5))
    assert found == pytest.approx((99.2, 99.5), abs=RASTER)


def test_a_corrected_print_says_so_on_each_page_and_another_doesnt() -> None:
    for page in opened(printed(Correction(99.2, 99.5))):
        text = " ".join(page.get_textpage().get_text_bounded().split())
        assert "prints 100 mm as 99.2 mm across and 99.5 mm down" in text
    assert "prints 100 mm as" not in opened(printed(Correction()))[0].get_textpage().get_text_bounded()


def test_a_sheet_keeps_its_size_and_a_roll_grows_with_what_is_on_it() -> None:
    wrong = Correction(98.0, 102.0)
    for plain, corrected in zip(opened(printed(Correction())), opened(printed(wrong)), strict=True):
        assert plain.get_size() == corrected.get_size()
    (plain,), (corrected,) = opened(printed(Correction(), "roll")), opened(printed(wrong, "roll"))
    width, height = plain.get_size()
    assert corrected.get_size() == pytest.approx((width / 0.98, height / 1.02), rel=1e-5)
    strap = max(shape.size[0] for shape in shapes(corrected) if len(shape.points) > 3)
    assert strap == pytest.approx(698.5 / 0.98, abs=0.05)


def test_no_correction_changes_no_byte() -> None:
    assert printed(Correction()) == pattern_pdf(pattern(neck="19 in"), heading(), "a4")
