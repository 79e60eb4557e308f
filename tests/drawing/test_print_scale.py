"""Printed lengths against the outside: files read back by svgelements and pdfium, pages as pixels."""

import re
from io import StringIO
from itertools import pairwise

import pypdfium2
import pytest
from svgelements import SVG, Circle
from svgelements import Path as SvgPath

from service.design import Part
from service.drawing import Paper, pattern_pdf, pattern_svg, pdf_writer
from service.drawing.tiles import MARK_RADIUS
from tests.drawing.prints import (
    CSS_PX_PER_INCH,
    MM,
    Point,
    Shape,
    circles,
    heading,
    opened,
    printed,
    rendered,
    shapes,
    squares,
    upright,
)
from tests.makers import pattern

VECTOR = 0.01
RASTER = 0.10
DPI = 600
FAULT = 1.005
DESIGNS = [
    {"neck": "19 in"},
    {"neck": "14 in", "end": "round"},
    {"neck": "10 in", "width": "5/8 in", "end": "square"},
    {"neck": "32 in", "width": "2 in", "studs": "1/2 in"},
    {"neck": "19 in", "width": "2 in", "style": "heel-bar", "studs": "1 in", "lettering": "BISCUIT"},
    {"neck": "42 cm", "width": "20 mm", "fastening": "screw-post"},
]
SEAMED = {"neck": "40 cm", "holes": "8", "pitch": "25 mm"}
"""On A4 a seam falls between its first and seventh hole, which are 150 mm apart."""


def parsed(svg: str) -> SVG:
    return SVG.parse(StringIO(svg), reify=True, ppi=CSS_PX_PER_INCH)


def mm(px: float) -> float:
    return px * 25.4 / CSS_PX_PER_INCH


def svg_box(drawing: SVG, name: str) -> tuple[float, ...]:
    (path,) = (
        one for one in drawing.select() if isinstance(one, SvgPath) and one.values.get("class") == name
    )
    return tuple(mm(edge) for edge in path.bbox(with_stroke=False))


def svg_circles(drawing: SVG, name: str) -> list[tuple[float, float, float]]:
    found = [one for one in drawing.select() if isinstance(one, Circle) and one.values.get("class") == name]
    return [(mm(float(one.cx)), mm(float(one.cy)), mm(float(one.rx))) for one in found]


def worst_in_svg(svg: str, typed: dict[str, str]) -> float:
    """The greatest error [mm] of blanks, holes and check squares in an SVG."""
    design, drawing = pattern(**typed), parsed(svg)
    errors = []
    for part in design.parts:
        x0, y0, x1, y1 = svg_box(drawing, part.name)
        errors += [x1 - x0 - part.length, y1 - y0 - part.width]
    x0, y0, _, y1 = svg_box(drawing, "strap")
    for kind in ("rivet-hole", "size-hole", "stud"):
        wanted = [mark for mark in design.strap.marks if mark.kind == kind]
        found = svg_circles(drawing, kind)[: len(wanted)]
        for mark, (x, y, r) in zip(wanted, found, strict=True):
            errors += [x - x0 - mark.x, y - (y0 + y1) / 2, 2 * r - (mark.diameter or 0)]
    for name, side in (("check-100-mm", 100.0), ("check-4-in", 4 * 25.4)):
        x0, y0, x1, y1 = svg_box(drawing, name)
        errors += [x1 - x0 - side, y1 - y0 - side]
    return max(map(abs, errors))


@pytest.mark.parametrize("typed", DESIGNS, ids=str)
def test_an_svg_is_true_to_a_hundredth_of_a_millimetre(typed: dict[str, str]) -> None:
    assert worst_in_svg(pattern_svg(pattern(**typed), heading()), typed) <= VECTOR


def test_an_svg_half_a_per_cent_too_large_is_caught() -> None:
    svg = pattern_svg(pattern(neck="19 in"), heading())
    wrong = re.sub(
        r'(width|height)="([0-9.]+)mm"', lambda m: f'{m[1]}="{float(m[2]) * FAULT}mm"', svg, count=2
    )
    assert wrong != svg
    assert worst_in_svg(wrong, {"neck": "19 in"}) > VECTOR


def joined(document: pypdfium2.PdfDocument) -> list[tuple[list[Shape], float, float]]:
    """The tiles of a print, each with what brings it in line with the first by their match marks [mm].

    The program's own plan is not used: two neighbours share the marks at the right of the one and the
    left of the other.
    """
    tiles: list[tuple[list[Shape], float, float]] = []
    for page in document:
        found = shapes(page)
        if squares(found, 100.0):
            continue
        dx = dy = 0.0
        if tiles:
            before, bx, by = tiles[-1]
            right = [
                mark
                for mark in circles(before, MARK_RADIUS)
                if mark[0] > page.get_width() * MM - 20 and not 20 < mark[1] < 170
            ]
            left = [mark for mark in circles(found, MARK_RADIUS) if mark[0] < 20 and not 20 < mark[1] < 170]
            assert len(right) == len(left) == 2
            dx, dy = bx + right[0][0] - left[0][0], by + right[0][1] - left[0][1]
        tiles.append((found, dx, dy))
    return tiles


def worst_in_pdf(data: bytes, typed: dict[str, str]) -> float:
    """The greatest error [mm] of blank, holes and squares in a tiled PDF, its tiles laid together."""
    design, document = pattern(**typed), opened(data)
    info = shapes(document[0])
    checks = [(side, one) for side in (100.0, 4 * 25.4) for one in squares(info, side, 0.7)]
    assert len(checks) == 2
    errors = [length - side for side, one in checks for length in one.size]
    straps = [(found, dx, strap_in(found, design.strap)) for found, dx, _ in joined(document)]
    start = straps[0][2].box[0]
    for _, dx, strap in straps:
        errors += [strap.box[0] + dx - start, strap.box[2] + dx - start - design.strap.length]
    for kind in ("rivet-hole", "size-hole"):
        marks = [mark for mark in design.strap.marks if mark.kind == kind]
        radius = (marks[0].diameter or 0) / 2
        places = [
            x + dx - start
            for found, dx, strap in straps
            for x, y in circles(found, radius)
            if strap.box[1] < y < strap.box[3]
        ]
        errors += [min((place - mark.x for place in places), key=abs) for mark in marks]
    return max(map(abs, errors))


def strap_in(found: list[Shape], strap: Part) -> Shape:
    """The path most like the blank: it is drawn whole on every tile, and clipped."""
    return min(found, key=lambda one: abs(one.size[0] - strap.length) + abs(one.size[1] - strap.width))


@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize("typed", DESIGNS, ids=str)
def test_a_pdf_is_true_to_a_hundredth_of_a_millimetre_across_its_seams(
    typed: dict[str, str], paper: Paper
) -> None:
    assert worst_in_pdf(printed(paper, **typed), typed) <= VECTOR


def test_a_pdf_half_a_per_cent_too_large_is_caught(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(pdf_writer, "POINT", pdf_writer.POINT * FAULT)
    assert worst_in_pdf(printed(neck="19 in"), {"neck": "19 in"}) > VECTOR


def test_a_roll_is_one_page_with_squares_and_the_blank_at_its_size() -> None:
    document = opened(printed("roll", neck="19 in"))
    (page,) = document
    found = shapes(page)
    assert strap_in(found, pattern(neck="19 in").strap).size == pytest.approx((698.5, 25.4), abs=VECTOR)
    assert [one.size for one in squares(found, 100.0, 0.7)] == [pytest.approx((100.0, 100.0), abs=VECTOR)]
    assert [one.size for one in squares(found, 101.6, 0.7)] == [pytest.approx((101.6, 101.6), abs=VECTOR)]


def over_the_seam(data: bytes) -> float:
    """From the first to the seventh hole [mm] on pages rendered at 600 dpi, laid together by a mark."""
    document = opened(data)
    pages = [shapes(page) for page in document]
    size = pattern(**SEAMED).layout.hole_diameter / 2
    first_page = next(n for n, found in enumerate(pages) if len(circles(found, size)) > 1)
    first, last = circles(pages[first_page], size)[0], circles(pages[first_page + 1], size)[-2]
    right = max(circles(pages[first_page], MARK_RADIUS))
    left = min(
        circles(pages[first_page + 1], MARK_RADIUS), key=lambda mark: (mark[0], abs(mark[1] - right[1]))
    )

    def at(page: int, place: Point, radius: float) -> float:
        # Under its circle only the upright line of a cross is dark.
        return upright(rendered(data, page, DPI), DPI, place, (radius + 0.3, radius + 0.9))

    before_seam = at(first_page, right, MARK_RADIUS) - at(first_page, first, size)
    after_seam = at(first_page + 1, last, size) - at(first_page + 1, left, MARK_RADIUS)
    return before_seam + after_seam


def test_150_mm_over_a_seam_are_right_to_a_tenth_on_the_rendered_page() -> None:
    holes = pattern(**SEAMED).layout.holes
    assert holes[6] - holes[0] == pytest.approx(150.0)
    assert over_the_seam(printed(**SEAMED)) == pytest.approx(150.0, abs=RASTER)


def test_150_mm_half_a_per_cent_too_long_are_caught_on_the_rendered_page(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(pdf_writer, "POINT", pdf_writer.POINT * FAULT)
    wrong = over_the_seam(pattern_pdf(pattern(**SEAMED), heading(title="Too large"), "a4"))
    assert abs(wrong - 150.0) > 5 * RASTER


def test_holes_on_one_rendered_tile_are_as_far_apart_as_planned() -> None:
    data = printed(neck="19 in")
    places = circles(shapes(opened(data)[1]), 1.5)
    strap = [place for place in places if place[1] < 90]
    found = [upright(rendered(data, 1, DPI), DPI, place, (1.8, 2.6)) for place in strap]
    assert [right - left for left, right in pairwise(found)] == pytest.approx(
        [25.4, 50.8, 25.4], abs=RASTER / 2
    )


def test_the_rule_and_the_square_measure_100_mm_on_the_rendered_page() -> None:
    data = printed(neck="19 in")
    (square,) = squares(shapes(opened(data)[0]), 100.0, 0.7)
    x0, y0, x1, _ = square.box
    lines = [upright(rendered(data, 0, DPI), DPI, (x, y0), (20.0, 60.0)) for x in (x0, x1)]
    # The outer square's line is within reach too: what is found lies between the two.
    inner = [upright_nearest(data, x, y0 + 40.0) for x in (x0, x1)]
    assert lines[1] - lines[0] == pytest.approx((100.0 + 101.6) / 2, abs=RASTER)
    assert inner[1] - inner[0] == pytest.approx(100.0, abs=RASTER)


def upright_nearest(data: bytes, x: float, y: float) -> float:
    """The middle of the line [mm] within 0.3 mm of a place."""
    pixels, scale = rendered(data, 0, DPI), DPI / 25.4
    start = round((x - 0.3) * scale)
    dark = 255.0 - pixels[round(y * scale), start : round((x + 0.3) * scale)]
    return float((start + 0.5 + sum(n * value for n, value in enumerate(dark)) / sum(dark)) / scale)
