"""SVG that is well-formed, harmless and to scale whatever is written on it; read back by lxml."""

import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from lxml import etree

from service.drawing import pattern_svg
from service.drawing.sheet import CUT, FILL, FOLD, Circle, Path, Sheet, Text, box_run, polyline, stadium
from service.drawing.svg_writer import write_svg
from tests.drawing.prints import heading
from tests.makers import pattern

SVG = "{http://www.w3.org/2000/svg}"
HOSTILE = [
    "<script>alert(1)</script>",
    '" onload="alert(1)',
    "]]><!-- &amp; &#x0; <![CDATA[",
    "\x00\x08\x1b\ufffe\ud800",
    "javascript:alert(1)",
    "\u202e\u2066 turned about",
    "犬 🐶 ﷽ Ž",
    "x" * 500,
]
ALLOWED = {
    *("id", "class", "d", "cx", "cy", "r", "x", "y", "width", "height", "viewBox", "version", "baseProfile"),
    *("fill", "stroke", "stroke-width", "stroke-dasharray"),
    *("font-family", "font-size", "font-weight", "text-anchor", "textLength", "lengthAdjust"),
}
"""Geometry, presentation attributes (SVG 2, section 6.6), widths of text: nothing that runs or loads."""


def read(svg: str) -> etree._Element:
    return etree.fromstring(svg.encode(), etree.XMLParser(resolve_entities=False, no_network=True))


def check_harmless(svg: str) -> None:
    root = read(svg)
    for one in root.iter():
        assert one.tag in {f"{SVG}{name}" for name in ("svg", "g", "path", "circle", "text", "title", "defs")}
        assert set(one.attrib) <= ALLOWED
        for name, value in one.attrib.items():
            assert "url(" not in str(value), name


@pytest.mark.parametrize("text", HOSTILE)
def test_hostile_text_stays_text(text: str) -> None:
    svg = pattern_svg(pattern(), heading(shop=text, title=text, price=text, link=text, leather=text))
    check_harmless(svg)


@settings(deadline=None)
@given(st.text(max_size=60))
def test_any_text_gives_a_well_formed_file(text: str) -> None:
    check_harmless(write_svg(Sheet(100.0, 50.0, (Text(text, (10.0, 10.0), 3.0),)), text))


def test_only_what_xml_cannot_hold_is_lost() -> None:
    root = read(write_svg(Sheet(100.0, 50.0, (Text("a<b>&\x00 é犬", (10.0, 10.0), 3.0),)), "t"))
    assert [one.text for one in root.iter(f"{SVG}text")] == ["a<b>& é犬"]


def test_the_sheet_is_as_large_in_mm_as_its_view_box() -> None:
    root = read(pattern_svg(pattern(), heading()))
    width, height = str(root.get("width")), str(root.get("height"))
    assert width.endswith("mm")
    assert root.get("viewBox") == f"0 0 {width.removesuffix('mm')} {height.removesuffix('mm')}"


def test_the_same_design_gives_the_same_file() -> None:
    design = pattern(width="2 in", studs="1 in", lettering="REX", neck="26 in")
    assert pattern_svg(design, heading()) == pattern_svg(design, heading())


def test_coordinates_are_absolute_and_rounded_once() -> None:
    third = 1 / 3
    sheet = Sheet(
        10.0, 10.0, (Path(CUT, (box_run(third, third, 2 * third, 2.0), polyline((0, -1e-9), (1, 1)))),)
    )
    (path,) = read(write_svg(sheet, "")).iter(f"{SVG}path")
    assert path.get("d") == "M0.333 0.333L0.667 0.333L0.667 2L0.333 2ZM0 0L1 1"


def test_no_number_has_more_than_three_decimals() -> None:
    root = read(pattern_svg(pattern(neck="16 2/3 in"), heading()))
    numbers = [
        number for one in root.iter(f"{SVG}path") for number in re.findall(r"[0-9.]+", str(one.get("d")))
    ]
    assert len(numbers) > 200
    assert all(len(number.partition(".")[2]) <= 3 for number in numbers)


def test_curves_circles_and_pens_are_written_as_they_are() -> None:
    items = (
        Path(CUT, (stadium(50, 20, 30, 4),), "slot"),
        Circle(FOLD, (5, 6), 1.5, "size-hole"),
        Path(FILL, (box_run(0, 0, 1, 1),)),
    )
    root = read(write_svg(Sheet(100, 50, items), ""))
    (circle,) = root.iter(f"{SVG}circle")
    said = {str(name): str(value) for name, value in circle.attrib.items()}
    assert said == {"cx": "5", "cy": "6", "r": "1.5", "class": "size-hole"}
    pens = {str(group.get("id")): group for group in root.iter(f"{SVG}g") if group.get("id") != "text"}
    assert set(pens) == {"cut", "fold", "fill"}
    assert pens["cut"].get("stroke-width") == "0.2"
    assert pens["fold"].get("stroke-dasharray") == "3 1.5"
    assert pens["fill"].get("stroke") is None
    (slot,) = pens["cut"].iter(f"{SVG}path")
    assert str(slot.get("d")).count("C") == 4


def test_text_keeps_the_width_that_was_planned_for_it() -> None:
    label = Text("520.7 mm", (10.0, 10.0), 2.3, "bold", "middle")
    (text,) = read(write_svg(Sheet(100, 50, (label,)), "")).iter(f"{SVG}text")
    assert float(str(text.get("textLength"))) == pytest.approx(label.width, abs=0.001)


def test_it_says_what_to_print_it_at_and_has_the_squares_and_cautions() -> None:
    root = read(pattern_svg(pattern(), heading()))
    said = " ".join(str(one.text) for one in root.iter(f"{SVG}text"))
    assert "Print at 100 %" in said
    assert "Oxlip Bench" in said
    assert "never a rating" in said
    classes = {one.get("class") for one in root.iter(f"{SVG}path")}
    assert {"check-100-mm", "check-4-in", "strap", "ring-tab", "slot", "fold", "ring"} <= classes
