"""The code of a tag, as a browser draws it, read by an independent reader."""

from io import BytesIO

import numpy as np
import pytest
import zxingcpp
from PIL import Image
from playwright.sync_api import Browser

from service.drawing import preview_svg
from tests.design.makers import made


@pytest.mark.parametrize(("qr", "finish"), [("+44 20 7946 0958", "brass"), ("oxlip.example/rex", "nickel")])
def test_a_scanner_reads_the_code_on_the_screen(browser: Browser, qr: str, finish: str) -> None:
    pattern = made(qr=qr, finish=finish)
    page = browser.new_page(viewport={"width": 1600, "height": 900})
    drawing = preview_svg(pattern, "imperial").replace("<svg ", '<svg width="1600" ', 1)
    page.set_content(f'<body style="margin:0">{drawing}</body>')
    shot = Image.open(BytesIO(page.screenshot(full_page=True))).convert("L")
    page.close()
    said = next(mark.text for mark in pattern.strap.marks if mark.kind == "code")
    assert {one.text for one in zxingcpp.read_barcodes(np.asarray(shot))} == {said}
