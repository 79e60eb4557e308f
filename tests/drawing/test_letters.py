"""The stamped letters: sizes against the font file read by other means, outlines read back by svgelements."""

import struct
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from functools import partial
from io import BytesIO
from itertools import pairwise
from pathlib import Path

import pypdfium2
import pytest
import reportlab.pdfbase.pdfmetrics
import reportlab.pdfbase.ttfonts
from reportlab.pdfgen.canvas import Canvas
from svgelements import Path as SvgPath

from service.drawing.letters import CHARACTERS, Contour, advance, contours, outline, stamp_advances

FONTS = Path(__file__).parents[2] / "service" / "drawing" / "fonts"
PHONE = "07700 900123"


def tables() -> dict[str, bytes]:
    """Cut the font file into its tables by the OpenType specification, section "Table directory"."""
    data = (FONTS / "besley-700.ttf").read_bytes()
    (count,) = struct.unpack_from(">H", data, 4)
    records = [struct.unpack_from(">4sIII", data, 12 + 16 * index) for index in range(count)]
    return {tag.decode(): data[start : start + length] for tag, _, start, length in records}


def published_advances() -> dict[str, float]:
    """Advances over the capital height for every character, by reportlab's own reader of TrueType files."""
    face = reportlab.pdfbase.ttfonts.TTFontFile(str(FONTS / "besley-700.ttf"), validate=1)
    (capital,) = struct.unpack_from(">h", tables()["OS/2"], 88)  # OpenType, OS/2 table: sCapHeight
    (per_em,) = struct.unpack_from(">H", tables()["head"], 18)  # OpenType, head table: unitsPerEm
    return {chr(code): width * per_em / 1000 / capital for code, width in face.charWidths.items()}


def box(path: str) -> tuple[float, float, float, float]:
    """Left, top, right and bottom [mm] of path data in whole thousandths of a millimetre."""
    x0, y0, x1, y1 = SvgPath(path).bbox()
    return float(x0) / 1000, float(y0) / 1000, float(x1) / 1000, float(y1) / 1000


drawn = partial(outline, fine=1000)


def places(shapes: tuple[Contour, ...]) -> Iterator[tuple[float, float]]:
    for shape in shapes:
        yield shape.start
        for step in shape.steps:
            yield step[-1]


@pytest.mark.parametrize("character", sorted(CHARACTERS))
def test_an_advance_is_the_fonts_own(character: str) -> None:
    published = published_advances()[character]
    assert advance(character, 8.0) == pytest.approx(
        8.0 * published, abs=0.006
    )  # reportlab keeps whole 1/1000 em
    assert stamp_advances()[character] == advance(character, 1.0)


def test_the_advance_table_reads_hmtx_to_the_unit() -> None:
    # OpenType, hmtx table: the first glyph is .notdef and the second, in a subset of this font, is the space.
    (space,) = struct.unpack_from(">H", tables()["hmtx"], 4)
    (capital,) = struct.unpack_from(">h", tables()["OS/2"], 88)
    assert advance(" ", 1.0) == space / capital


def test_the_table_holds_every_character_and_the_space() -> None:
    assert set(stamp_advances()) == CHARACTERS
    assert set("ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789& ") <= CHARACTERS
    assert all(0.2 < share < 2.0 for share in stamp_advances().values())


@pytest.mark.parametrize("cap_height", [6.0, 8.0, 9.525, 12.0])
def test_a_flat_capital_is_as_tall_as_asked_and_centred(cap_height: float) -> None:
    for letter in "EHILTX":
        _, y0, _, y1 = box(drawn(letter, (30.0, 12.5), cap_height))
        assert y1 - y0 == pytest.approx(cap_height, abs=0.001)
        assert (y0 + y1) / 2 == pytest.approx(12.5, abs=0.001)


def test_round_capitals_overshoot_a_little_on_both_sides() -> None:
    _, y0, _, y1 = box(drawn("O", (0.0, 0.0), 10.0))
    assert -5.3 < y0 < -5.1
    assert 5.1 < y1 < 5.3


@pytest.mark.parametrize("text", ["BRAMBLE & CO", PHONE, "WHO'S #1?", "+44/7, A-B.C!"])
def test_the_path_read_back_has_the_extents_of_the_contours(text: str) -> None:
    shapes = contours(text, (71.3, 9.9), 7.0, 0.6)
    exact = "".join(
        f"M{shape.start[0] * 1000!r} {shape.start[1] * 1000!r}"
        + "".join(
            "LxC"[len(step) - 1] + " ".join(f"{x * 1000!r} {y * 1000!r}" for x, y in step)
            for step in shape.steps
        )
        + "z"
        for shape in shapes
    )
    assert box(drawn(text, (71.3, 9.9), 7.0, 0.6)) == pytest.approx(box(exact), abs=0.0015)


def test_relative_steps_end_where_the_contour_ends() -> None:
    shapes = contours(PHONE, (50.0, 10.0), 12.0, 0.5)
    read = [segment.end for segment in SvgPath(drawn(PHONE, (50.0, 10.0), 12.0, 0.5))]
    ends = [(point.x / 1000, point.y / 1000) for point in read if point is not None]
    for x, y in places(shapes):
        assert min(abs(end_x - x) + abs(end_y - y) for end_x, end_y in ends) <= 0.003


@pytest.mark.parametrize("letter", sorted(CHARACTERS - {" "}))
def test_the_cubics_keep_to_the_fonts_own_bounds(letter: str) -> None:
    x0, y0, x1, y1 = box(drawn(letter, (0.0, 0.0), 10.0))
    left, bottom, right, top = own_bounds(letter)
    # The header counts control points too, which lie outside the rounded corners of the slash.
    assert (x1 - x0, y1 - y0) == pytest.approx((right - left, top - bottom), abs=0.065)
    assert (y0, y1) == pytest.approx((5.0 - top, 5.0 - bottom), abs=0.015)


def own_bounds(letter: str) -> tuple[float, float, float, float]:
    """Bounds [mm] at 10 mm as the glyph's own header says: OpenType, glyf table, found by cmap format 4."""
    cut = tables()
    start, long = glyph_of(cut["cmap"], letter), struct.unpack_from(">h", cut["head"], 50)[0] == 1
    size, factor, form = (4, 1, ">I") if long else (2, 2, ">H")
    offset = struct.unpack_from(form, cut["loca"], start * size)[0] * factor
    (capital,) = struct.unpack_from(">h", cut["OS/2"], 88)
    left, bottom, right, top = struct.unpack_from(">4h", cut["glyf"], offset + 2)
    return left * 10 / capital, bottom * 10 / capital, right * 10 / capital, top * 10 / capital


def glyph_of(cmap: bytes, letter: str) -> int:
    (count,) = struct.unpack_from(">H", cmap, 2)
    offsets = [struct.unpack_from(">I", cmap, 8 + 8 * index)[0] for index in range(count)]
    at = next(offset for offset in offsets if struct.unpack_from(">H", cmap, offset) == (4,))
    (double,) = struct.unpack_from(">H", cmap, at + 6)
    for index in range(0, double, 2):
        (end,) = struct.unpack_from(">H", cmap, at + 14 + index)
        (start,) = struct.unpack_from(">H", cmap, at + 16 + double + index)
        (delta,) = struct.unpack_from(">H", cmap, at + 16 + 2 * double + index)
        place = at + 16 + 3 * double + index
        (jump,) = struct.unpack_from(">H", cmap, place)
        if start <= ord(letter) <= end:
            if jump == 0:
                return int((ord(letter) + delta) % 65536)
            (glyph,) = struct.unpack_from(">H", cmap, place + jump + 2 * (ord(letter) - start))
            return int((glyph + delta) % 65536)
    raise AssertionError(letter)


def test_a_letter_stands_in_the_middle_of_the_stamp_the_workshop_owns() -> None:
    own = box(drawn("H", (0.0, 0.0), 10.0))
    wide = box(drawn("H", (0.0, 0.0), 10.0, 0.0, {"H": 2.0}))
    assert wide == pytest.approx(own, abs=0.0011)
    first, second = (box(drawn(text, (0.0, 0.0), 10.0, 3.0, {"H": 2.0})) for text in ("H", "HH"))
    assert second[0] == pytest.approx(first[0] - (20.0 + 3.0) / 2, abs=0.0011)
    assert second[2] == pytest.approx(first[2] + (20.0 + 3.0) / 2, abs=0.0011)


def test_spacing_stands_between_letters_only() -> None:
    tight, loose = (box(drawn("HIH", (0.0, 0.0), 8.0, spacing)) for spacing in (0.0, 1.5))
    assert (loose[2] - loose[0]) - (tight[2] - tight[0]) == pytest.approx(2 * 1.5, abs=0.002)


def test_twice_the_height_is_twice_the_size() -> None:
    small, large = (box(drawn("GIRTH", (0.0, 0.0), height)) for height in (6.0, 12.0))
    assert large == pytest.approx([2 * value for value in small], abs=0.003)


def test_a_hole_in_a_letter_runs_the_other_way_round() -> None:
    outer, inner = sorted(contours("O", (0.0, 0.0), 10.0), key=span, reverse=True)
    assert turning(outer) * turning(inner) < 0


def span(shape: Contour) -> float:
    xs = [x for x, _ in places((shape,))]
    return max(xs) - min(xs)


def turning(shape: Contour) -> float:
    corners = list(places((shape,)))
    return sum(x1 * y2 - x2 * y1 for (x1, y1), (x2, y2) in pairwise([*corners, corners[0]]))


def test_a_stamp_the_font_has_no_shape_for_shows_as_a_frame() -> None:
    x0, y0, x1, y1 = box(drawn("\N{BLACK HEART SUIT}", (0.0, 0.0), 10.0, 0.0, {"\N{BLACK HEART SUIT}": 0.9}))
    assert (y0, y1) == (-5.0, 5.0)
    assert x0 == pytest.approx(-x1)
    assert advance("\N{BLACK HEART SUIT}", 10.0) == 7.0


def test_a_space_and_an_empty_text_draw_nothing() -> None:
    assert outline(" ", (0.0, 0.0), 8.0) == ""
    assert outline("", (0.0, 0.0), 8.0) == ""
    assert contours("", (0.0, 0.0), 8.0) == ()


def test_a_screen_is_sent_whole_twentieths_of_a_millimetre() -> None:
    for text in ("BRAMBLE & CO", PHONE):
        near = [float(side) / 20 for side in SvgPath(outline(text, (71.3, 9.9), 7.0, 0.6)).bbox()]
        assert near == pytest.approx(box(drawn(text, (71.3, 9.9), 7.0, 0.6)), abs=0.051)
        assert len(outline(text, (71.3, 9.9), 7.0)) < 0.8 * len(drawn(text, (71.3, 9.9), 7.0))


def test_many_threads_write_the_same_path() -> None:
    def write(text: str) -> str:
        return outline(text, (40.0, 8.0), 7.77, 0.4)

    texts = [PHONE, "BRAMBLE", "QUILL & JAZZ", "FIX WOVEN", "ÀÉÎÕÜ", "ŁÓDŹ"] * 8
    with ThreadPoolExecutor(8) as pool:
        together = list(pool.map(write, texts))
    assert together == [write(text) for text in texts]
    assert len(set(together)) == 6


def test_a_path_holds_nothing_but_numbers_and_commands() -> None:
    path = outline("<&\"'>" + PHONE, (40.0, 8.0), 8.0, 0.4)
    assert set(path) <= set("0123456789- Mmlcz")
    assert "e" not in path


@pytest.mark.parametrize(
    "name", ["besley-700", "atkinson-hyperlegible-next-400", "atkinson-hyperlegible-next-700"]
)
def test_a_pdf_carries_the_font_and_gives_its_text_back(name: str) -> None:
    text = "14 1/2 in ± 3 mm × 2 – 38.5 cm ≤ 40° “Zoë Łukasz Čapek”"
    reportlab.pdfbase.pdfmetrics.registerFont(
        reportlab.pdfbase.ttfonts.TTFont(name, str(FONTS / f"{name}.ttf"), validate=1)
    )
    buffer = BytesIO()
    page = Canvas(buffer, invariant=1)
    page.setFont(name, 12)
    page.drawString(72, 700, text)
    page.save()
    with pypdfium2.PdfDocument(buffer.getvalue()) as document:
        words = document[0].get_textpage().get_text_bounded()
    assert words == text
    assert b"/FontFile2" in buffer.getvalue()
