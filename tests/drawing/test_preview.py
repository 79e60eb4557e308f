"""The live preview, read back by lxml and svgelements: safe in a page, true to the pattern, readable."""

import re
from collections.abc import Iterator
from itertools import pairwise

import pytest
from hypothesis import given, settings
from lxml import etree
from svgelements import Path as SvgPath

from service.design import CollarPattern, make_pattern, read_wish
from service.drawing import figures, preview_svg
from service.drawing.flat import PIECE
from service.drawing.row_cuts import even_rows
from service.drawing.typeface import ASCENT, text_width
from service.language import ENGLISH, Language, speaking
from service.settings import ROOT
from service.web.languages import read_languages
from tests.design.makers import made, marks, patterns
from tests.design.test_slip import made as slip
from tests.makers import workshop

SVG = "{http://www.w3.org/2000/svg}"
PHONE = 360  # px: the narrowest screen the preview is drawn for
LEAST = 9.0  # px: the smallest text, at the width of a phone
DRAWING_ONLY = {"svg", "g", "defs", "linearGradient", "radialGradient", "stop", "path", "text", "use"}
ROUND = re.compile(r"M(-?[\d.]+) (-?[\d.]+)a([\d.]+) \3 0 1 0 ([\d.]+) 0a\3 \3 0 1 0 -\4 0Z")

RICH = made(style="heel-bar", studs=40, lettering="REX & 7'")


def tree(svg: str) -> etree._Element:
    return etree.fromstring(svg.encode(), etree.XMLParser(no_network=True, resolve_entities=False))


def tags(root: etree._Element) -> set[str]:
    return {str(element.tag).removeprefix(SVG) for element in root.iter()}


def called(root: etree._Element, ident: str) -> list[etree._Element]:
    return [element for element in root.iter() if element.get("id") == ident]


def inner(root: etree._Element) -> list[etree._Element]:
    """The figures of a preview, from top to bottom."""
    return list(root.iter(f"{SVG}svg"))[1:]


def scale(root: etree._Element, figure: etree._Element) -> float:
    """How many px a millimetre of a figure is, when the preview is as wide as a phone."""
    box, view = (list(map(float, str(one.get("viewBox")).split())) for one in (root, figure))
    return PHONE / box[2] * float(str(figure.get("width"))) / view[2]


def inherited(element: etree._Element, name: str) -> str:
    """An attribute, or that of the nearest element round it which has one."""
    at: etree._Element | None = element
    while at is not None:
        if at.get(name):
            return str(at.get(name))
        at = at.getparent()
    raise AssertionError(name)


def discs(root: etree._Element) -> list[tuple[float, float, float]]:
    """Centre and radius [mm] of every circle drawn on the flat strap."""
    (body,) = called(root, "flat-body")
    found = []
    for path in body.iter(f"{SVG}path"):
        for x, y, radius, across in ROUND.findall(str(path.get("d"))):
            assert float(across) == pytest.approx(2 * float(radius), abs=0.011)
            found.append((float(x) + float(radius), float(y), float(radius)))
    return found


def texts(figure: etree._Element) -> Iterator[tuple[str, float, float]]:
    """Every text of a figure with its place along it and its height [mm]."""
    for element in figure.iter(f"{SVG}text"):
        yield str(element.text), float(str(element.get("x"))), float(inherited(element, "font-size"))


def check_safe(root: etree._Element) -> None:
    assert tags(root) <= DRAWING_ONLY
    named = [element.get("id") for element in root.iter() if element.get("id")]
    assert len(named) == len(set(named))
    idents = set(named)
    for element in root.iter():
        for name, value in element.attrib.items():
            assert "{" not in str(name), name
            assert str(name) != "style"
            assert not str(name).startswith("on")
            if name == "href":
                assert str(value).removeprefix("#") in idents
            for target in re.findall(r"url\(([^)]*)\)", str(value)):
                assert target.removeprefix("#") in idents
            assert "script:" not in str(value)


def check_true(root: etree._Element, pattern: CollarPattern) -> None:
    drawn = discs(root)
    for kind in ("rivet-hole", "size-hole", "stud"):
        for mark in marks(pattern, kind):
            assert mark.diameter is not None
            assert any(
                abs(x - mark.x) <= 0.01
                and abs(y + mark.y) <= 0.01
                and abs(radius - mark.diameter / 2) <= 0.01
                for x, y, radius in drawn
            ), mark


def check_readable(root: etree._Element, pattern: CollarPattern) -> None:
    said: list[str] = []
    assert len(inner(root)) >= 5  # two views, the flat strap in one piece or more, two details
    for figure in inner(root):
        px = scale(root, figure)
        for text, _, height in texts(figure):
            said.append(text)
            assert height * px >= LEAST, text
    holes = [str(number) for number in range(1, len(pattern.layout.holes) + 1)]
    ring = "ring tab" if pattern.layout.tab_half else "rivets and ring"
    assert {"rivets", "fold", ring, "inches", *holes} <= set(said)


@settings(max_examples=500)
@given(patterns())
def test_any_preview_is_safe_true_and_readable(pattern: CollarPattern) -> None:
    root = tree(preview_svg(pattern, "imperial"))
    check_safe(root)
    check_true(root, pattern)
    check_readable(root, pattern)


def test_a_preview_is_one_picture_with_a_name_and_so_is_each_of_its_figures() -> None:
    root = tree(preview_svg(RICH, "imperial"))
    assert root.tag == f"{SVG}svg"
    for figure in (root, *inner(root)):
        assert figure.get("role") == "img"
        assert len(str(figure.get("aria-label"))) > 10
    names = [figure.get("aria-label") for figure in inner(root)]
    assert len(set(names)) == len(names)


def test_the_figures_lie_one_under_the_other_inside_the_picture() -> None:
    root = tree(preview_svg(RICH, "imperial"))
    _, _, wide, high = map(float, str(root.get("viewBox")).split())
    below = 0.0
    for figure in inner(root):
        x, y, width, height = (float(str(figure.get(name))) for name in ("x", "y", "width", "height"))
        assert y >= below - 0.01
        assert 0 <= x <= x + width <= wide
        below = y + height
        view = list(map(float, str(figure.get("viewBox")).split()))
        assert width / height == pytest.approx(view[2] / view[3], rel=1e-3)  # nothing is stretched
    assert below <= high


def test_what_lets_a_drawing_through_would_stop_a_bad_one() -> None:
    good = preview_svg(RICH, "imperial")
    for bad in ('<path style="fill:red" d=""/>', '<g onload="x()"/>', "<script/>", '<use href="http://x/#a"/>',
                '<path fill="url(#nowhere)" d=""/>', "<image/>", '<use href="#nowhere"/>',
                '<g id="flat-body"/>'):  # fmt: skip
        with pytest.raises(AssertionError):
            check_safe(tree(good.replace("</svg>", f"{bad}</svg>")))
    moved = good.replace("M11.20 0.00a1.50", "M11.22 0.00a1.50")
    assert moved != good
    with pytest.raises(AssertionError):
        check_true(tree(moved), RICH)


def test_the_same_pattern_is_drawn_the_same_to_the_last_byte() -> None:
    again = made(style="heel-bar", studs=40, lettering="REX & 7'")
    assert preview_svg(RICH, "imperial") == preview_svg(again, "imperial")
    assert figures(RICH, "imperial") == figures(again, "imperial")
    assert preview_svg(made(), "imperial") != preview_svg(made(neck=483.0), "imperial")


@pytest.mark.parametrize("end", ["english-point", "round", "square"])
def test_another_library_finds_the_strap_and_its_slot_where_the_pattern_has_them(end: str) -> None:
    pattern = made(end=end)
    (body,) = called(tree(preview_svg(pattern, "imperial")), "flat-body")
    boxes = [
        tuple(subpath.bbox())
        for path in body.iter(f"{SVG}path")
        for subpath in SvgPath(path.get("d")).as_subpaths()
    ]
    layout = pattern.layout
    half, run = layout.width / 2, layout.slot_length / 2
    strap = (0, -half, layout.length, half)
    slot = (layout.fold - run, -layout.slot_width / 2, layout.fold + run, layout.slot_width / 2)
    for expected in (strap, slot):
        assert any(box == pytest.approx(expected, abs=0.01) for box in boxes), expected
    for x in layout.holes:
        assert any((box[0] + box[2]) / 2 == pytest.approx(x, abs=0.01) for box in boxes)


def test_the_pieces_of_the_flat_strap_lie_end_to_end_and_are_one_drawing() -> None:
    shown = figures(RICH, "imperial")
    pieces = [tree(piece) for piece in shown.flat]
    views = [list(map(float, str(piece.get("viewBox")).split())) for piece in pieces]
    wide = views[0][2]
    assert [view[0] for view in views] == pytest.approx(
        [views[0][0] + n * wide for n in range(len(views))], abs=0.05
    )
    assert {view[1:] == views[0][1:] for view in views} == {True}
    # The strap is in them whole; what is left empty beside it is less than 90 mm in all.
    assert -90.0 <= views[0][0] <= 0.0
    assert RICH.layout.length <= views[-1][0] + wide + 0.05 <= RICH.layout.length + 90.1
    assert [len(called(piece, "flat-art")) for piece in pieces] == [1, *[0] * (len(pieces) - 1)]


@settings(max_examples=150)
@given(patterns())
def test_no_label_of_the_flat_strap_is_cut_by_the_end_of_a_piece(pattern: CollarPattern) -> None:
    shown = figures(pattern, "imperial")
    first = tree(shown.flat[0])
    left, _, size, _ = map(float, str(first.get("viewBox")).split())
    for text, x, height in texts(first):
        if text in {"inches", "cm"}:
            continue  # it begins at the strap's end and is in the first piece whole
        half = text_width(text, height) / 2
        piece = (x - left) // size
        assert left + piece * size - 0.05 <= x - half
        assert x + half <= left + (piece + 1) * size + 0.05


KINDS: tuple[dict[str, str], ...] = (
    {"neck": "19 in"},
    {"neck": "10 in", "style": "heel-bar", "width": "3/4 in"},
    {"neck": "24 in", "style": "heel-bar", "width": "2 in", "lettering": "REX 07700", "studs": "2 in"},
    {"neck": "15 in", "ring_at": "fold", "width": "1 1/2 in"},
    {"kind": "limited-slip", "neck": "14 in", "head": "17 in"},
    {"kind": "lead", "length": "18 in", "make": "one-piece"},
    {"kind": "lead", "length": "12 ft", "make": "traffic-loop", "width": "1 in"},
    {"kind": "lead", "length": "5 ft", "make": "slip", "neck": "14 in"},
    {"kind": "set", "neck": "17 in", "length": "6 ft", "style": "heel-bar", "qr": "020 7946 0958"},
)
LANGUAGES = [ENGLISH, read_languages(ROOT / "service" / "translations")["de"]]


@pytest.mark.parametrize("language", LANGUAGES, ids=lambda one: one.code)
@pytest.mark.parametrize("typed", KINDS, ids=lambda typed: " ".join(typed.values()))
def test_no_two_labels_over_a_flat_strap_meet_in_any_kind(typed: dict[str, str], language: Language) -> None:
    with speaking(language):
        pieces = [
            tree(one)
            for one in figures(make_pattern(read_wish(typed, workshop()), workshop()), "metric").flat
        ]
    _, top, _, _ = map(float, str(pieces[0].get("viewBox")).split())
    labels: dict[str, list[tuple[float, float]]] = {}
    for one in pieces[0].iter(f"{SVG}text"):
        x, y, size = float(str(one.get("x"))), float(str(one.get("y"))), float(inherited(one, "font-size"))
        if y < 0:
            half = text_width(str(one.text), size) / 2
            labels.setdefault(str(one.get("y")), []).append((x - half, x + half))
            assert y - size * ASCENT >= top
    assert labels
    for line in labels.values():
        assert all(left[1] < right[0] for left, right in pairwise(sorted(line))), line


def test_lettering_and_studs_and_the_keeper_are_drawn_only_when_there_are_any() -> None:
    plain, rich = preview_svg(made(), "imperial"), preview_svg(RICH, "imperial")
    assert "rivets and keeper" in rich
    assert "rivets and keeper" not in plain
    assert len(rich) > len(plain)
    assert len(discs(tree(plain))) == 6 + 6
    studs = len(marks(RICH, "stud"))
    assert len(discs(tree(rich))) == 12 + 2 * studs  # each with its highlight


def test_the_details_name_each_distance_in_millimetres_and_inches() -> None:
    shown = figures(made(), "imperial")
    said = [text for text, _, _ in texts(tree(shown.details[0].svg))]
    # Common practice on a 1 in strap: 1/2, 1 1/2, fold at 2 1/2, 3 1/2 and 4 1/2 in.
    assert {"12.7", "38.1", "63.5", "88.9", "114.3"} <= set(said)
    assert {"1/2", "1 1/2", "2 1/2", "3 1/2", "4 1/2"} <= set(said)
    assert {"50.8", "2"} <= {text for text, _, _ in texts(tree(shown.details[1].svg))}


def test_a_metric_reader_has_a_ruler_in_centimetres_and_girths_in_centimetres_first() -> None:
    drawn = tuple(texts(tree(figures(made(), "metric").flat[0])))
    ruled = {text: x for text, x, _ in drawn if text in {"5", "10", "15"}}
    assert ruled == {"5": 50.0, "10": 100.0, "15": 150.0}
    assert "cm" in {text for text, _, _ in drawn}
    pulled = [text for text, _, _ in texts(tree(figures(slip(neck=380.0), "metric").worn[0].svg))]
    assert "38 cm (14 15/16 in)" in pulled


def test_no_piece_ends_in_a_word_where_others_do_not() -> None:
    # As few pieces as possible cut seven words in ten.
    cut = []
    for neck in range(320, 640, 20):
        pattern = made(neck=float(neck), lettering="BELLA")
        rows = even_rows(pattern, PIECE)
        ends = [
            {rows.number(mark.x + side * (mark.length or 0.0) / 2) for side in (-1, 1)}
            for mark in pattern.strap.marks
            if mark.kind in {"lettering", "plate"}
        ]
        cut.append(any(len(both) > 1 for both in ends))
    assert not any(cut)
