"""Plates and codes as drawn: to size on the sheet, on the screen and for a cutter, and read by a scanner."""

from io import StringIO

import ezdxf
import numpy as np
import pypdfium2
import pytest
import zxingcpp
from ezdxf.entities import LWPolyline
from PIL import Image

from service.drawing import pattern_dxf, pattern_pdf, pattern_svg, preview_svg
from tests.design.makers import made, marks
from tests.drawing.prints import heading

WISH = {"qr": "+44 20 7946 0958", "lettering": "REX", "letters": "plate", "neck": 650}


def scanned(picture: Image.Image) -> set[str]:
    """What an independent reader finds in a picture."""
    return {one.text for one in zxingcpp.read_barcodes(np.asarray(picture.convert("L")))}


@pytest.mark.parametrize("qr", ["+44 20 7946 0958", "oxlip.example/rex", "rex@oxlip.example"])
def test_a_scanner_reads_the_code_on_the_printed_pattern(qr: str) -> None:
    pattern = made(qr=qr)
    (code,) = marks(pattern, "code")
    with pypdfium2.PdfDocument(pattern_pdf(pattern, heading(), "a4")) as document:
        # 300 dots to the inch: 5.7 dots to a square of 0.48 mm.
        found = set().union(*(scanned(page.render(scale=300 / 72).to_pil()) for page in document))
    assert found == {code.text}


def points(line: object) -> list[tuple[float, float]]:
    assert isinstance(line, LWPolyline)
    return [(x, y) for x, y, *_ in line.get_points()]


def test_a_pattern_without_a_code_reads_as_none() -> None:
    # The control: a reader that finds something anywhere would be noticed.
    with pypdfium2.PdfDocument(pattern_pdf(made(), heading(), "a4")) as document:
        assert not set().union(*(scanned(page.render(scale=300 / 72).to_pil()) for page in document))


def test_plate_rivets_and_engraving_are_on_their_layers_for_a_cutter() -> None:
    pattern = made(**WISH)
    space = ezdxf.read(StringIO(pattern_dxf(pattern))).modelspace()
    for one, mark in zip(pattern.fittings.plates, marks(pattern, "plate"), strict=True):
        holes = [c for c in space.query("CIRCLE") if c.dxf.layer == "HOLE"]
        half = one.plate.hole_distance / 2
        for x in (mark.x - half, mark.x + half):
            (hole,) = [c for c in holes if c.dxf.center.x == pytest.approx(x)]
            assert hole.dxf.radius == pytest.approx(one.fastener.hole / 2)
        boxes = [
            (min(p[0] for p in points(line)), max(p[0] for p in points(line)))
            for line in space.query("LWPOLYLINE")
            if line.dxf.layer == "MARK"
        ]
        ends = mark.x - (mark.length or 0) / 2, mark.x + (mark.length or 0) / 2
        assert any(box == pytest.approx(ends) for box in boxes)


def test_plates_are_named_on_the_sheet_and_drawn_in_their_metal() -> None:
    pattern = made(**WISH)
    sheet = pattern_svg(pattern, heading())
    assert sheet.count("Plate") >= 2
    assert "Code, 16 mm across" in sheet
    assert preview_svg(pattern, "imperial").count("scale(0.") >= 1
