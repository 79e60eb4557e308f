"""Prints to read back: headings, paths out of a PDF by pdfium, and places found in a rendered page."""

from collections.abc import Iterator
from ctypes import c_float
from dataclasses import dataclass
from functools import cache

import numpy as np
import pypdfium2
import pypdfium2.raw
from numpy.typing import NDArray

from service.drawing import Heading, Paper, pattern_pdf
from tests.makers import pattern

POINTS_PER_INCH = 72  # ISO 32000-1:2008, 8.3.2.3: the default unit of user space is 1/72 in
CSS_PX_PER_INCH = 96  # CSS Values and Units Module Level 3, section 6.2: 1 in is 96 px
MM = 25.4 / POINTS_PER_INCH

Point = tuple[float, float]


def heading(*, scannable: bool = False, **changed: str) -> Heading:
    said = {
        "shop": "Oxlip Bench",
        "title": "Collar for Biscuit",
        "price": "$68.40",
        "link": "http://localhost/?neck=19+in",
    }
    said.update(changed)
    summary = (("Neck", "19 in (483 mm)"), ("Leather", said.pop("leather", "Chestnut bridle")))
    return Heading(system="imperial", summary=summary, scannable=scannable, **said)


def printed(paper: Paper = "a4", /, **typed: str) -> bytes:
    return pattern_pdf(pattern(**typed), heading(), paper)


@dataclass(frozen=True, slots=True)
class Shape:
    """A path of a PDF page: its points [mm] from the page's top left, without its line's width."""

    points: tuple[Point, ...]

    @property
    def box(self) -> tuple[float, float, float, float]:
        xs, ys = [x for x, _ in self.points], [y for _, y in self.points]
        return min(xs), min(ys), max(xs), max(ys)

    @property
    def size(self) -> Point:
        x0, y0, x1, y1 = self.box
        return x1 - x0, y1 - y0

    @property
    def middle(self) -> Point:
        x0, y0, x1, y1 = self.box
        return (x0 + x1) / 2, (y0 + y1) / 2


def opened(data: bytes) -> pypdfium2.PdfDocument:
    return pypdfium2.PdfDocument(data)


def shapes(page: pypdfium2.PdfPage) -> list[Shape]:
    """Every path on a page, from pdfium's own reading of its segments."""
    height = page.get_height()
    return [Shape(tuple(_points(one, height))) for one in page.get_objects([pypdfium2.raw.FPDF_PAGEOBJ_PATH])]


def _points(path: pypdfium2.PdfObject, height: float) -> Iterator[Point]:
    matrix = path.get_matrix()
    for n in range(pypdfium2.raw.FPDFPath_CountSegments(path)):
        x, y = c_float(), c_float()
        pypdfium2.raw.FPDFPathSegment_GetPoint(pypdfium2.raw.FPDFPath_GetPathSegment(path, n), x, y)
        px, py = matrix.on_point(x.value, y.value)
        yield px * MM, (height - py) * MM


def circles(page: list[Shape], radius: float) -> list[Point]:
    """Centres of the circles of this radius [mm], from left to right."""
    size = 2 * radius
    found = [
        one
        for one in page
        if len(one.points) >= 13 and max(abs(side - size) for side in one.size) < 0.008 * size
    ]
    return sorted(one.middle for one in found)


def squares(page: list[Shape], side: float, slack: float = 1.0) -> list[Shape]:
    """Closed boxes whose sides are within some slack [mm] of a length [mm]."""
    return [
        one
        for one in page
        if len(one.points) in {4, 5} and all(abs(length - side) < slack for length in one.size)
    ]


@cache
def rendered(data: bytes, page: int, dpi: int) -> NDArray[np.uint8]:
    """A page as grey pixels, rendered by pdfium."""
    bitmap = opened(data)[page].render(scale=dpi / POINTS_PER_INCH, grayscale=True)
    pixels: NDArray[np.uint8] = bitmap.to_numpy().reshape(bitmap.height, bitmap.width).copy()
    return pixels


def upright(pixels: NDArray[np.uint8], dpi: int, near: Point, strip: tuple[float, float]) -> float:
    """Where an upright line lies, x [mm]: the middle of what is dark near a place, in a strip under it."""
    mm = dpi / 25.4
    x0 = round((near[0] - 1.0) * mm)
    part = pixels[
        round((near[1] + strip[0]) * mm) : round((near[1] + strip[1]) * mm), x0 : round((near[0] + 1.0) * mm)
    ]
    darkness = (255 - part.astype(float)).sum(axis=0)
    return float((x0 + 0.5 + (darkness * np.arange(darkness.size)).sum() / darkness.sum()) / mm)
