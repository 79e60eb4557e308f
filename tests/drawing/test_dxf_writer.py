"""The file for a cutter, read back by the library and measured; its units from the format's reference."""

import csv
from io import StringIO
from itertools import pairwise
from math import dist
from pathlib import Path

import pytest
from ezdxf.document import Drawing
from ezdxf.entities.circle import Circle
from ezdxf.entities.insert import Insert
from ezdxf.entities.lwpolyline import LWPolyline
from ezdxf.filemanagement import read as read_file
from hypothesis import given
from hypothesis import strategies as st

from service.design import MOTIFS, CollarPattern
from service.drawing import pattern_dxf
from service.drawing.dxf_writer import CHORD, LAYERS, chords
from service.drawing.motifs import SHAPES
from service.drawing.sheet import Run, stadium
from tests.makers import pattern

DATA = Path(__file__).parents[1] / "data"
TRUE = 0.01
"""Nothing is further than this [mm] from where the pattern has it."""
DESIGNS: list[dict[str, str]] = [
    {"neck": "19 in"},
    {"neck": "61 cm", "width": "2 in", "style": "heel-bar", "end": "round"},
    {"neck": "26 in", "width": "1 1/2 in", "end": "square", "studs": "1 in", "lettering": "REX"},
]


def read(text: str) -> Drawing:
    return read_file(StringIO(text))


def on(file: Drawing, layer: str) -> tuple[list[LWPolyline], list[Circle]]:
    there = [one for one in file.modelspace() if one.dxf.layer == layer]
    lines = [one for one in there if isinstance(one, LWPolyline)]
    return lines, [one for one in there if isinstance(one, Circle)]


def corners(line: LWPolyline) -> list[tuple[float, float]]:
    return [(x, y) for x, y in line.get_points("xy")]


def box(line: LWPolyline) -> tuple[float, float, float, float]:
    xs, ys = zip(*corners(line), strict=True)
    return min(xs), min(ys), max(xs), max(ys)


def strays(file: Drawing, design: CollarPattern) -> float:
    """How far the worst corner, hole and stud is from where the pattern has it [mm]."""
    outlines, _ = on(file, "CUT")
    holes, marked = on(file, "HOLE")[1], on(file, "MARK")[1]
    worst = 0.0
    for part, outline in zip(design.parts, outlines, strict=True):
        _, low, _, high = box(outline)
        middle = (low + high) / 2
        worst = max(worst, abs(high - low - part.width))
        for found, wanted in zip(corners(outline), part.outline, strict=True):
            worst = max(worst, dist((found[0], found[1] - middle), wanted))
        for mark in part.marks:
            if mark.diameter is not None:
                circles = marked if mark.kind == "stud" else holes
                wanted = (mark.x, middle + mark.y)
                near = min(circles, key=lambda one: dist(one.dxf.center.vec2, wanted))
                worst = max(worst, dist(near.dxf.center.vec2, wanted))
                worst = max(worst, abs(2 * near.dxf.radius - mark.diameter))
    return worst


@pytest.mark.parametrize("typed", DESIGNS, ids=lambda typed: " ".join(typed.values()))
def test_every_outline_hole_and_stud_is_where_the_pattern_has_it(typed: dict[str, str]) -> None:
    design = pattern(**typed)
    assert strays(read(pattern_dxf(design)), design) <= TRUE


def test_a_file_half_a_per_cent_too_large_is_noticed() -> None:
    design = pattern(neck="19 in")
    file = read(pattern_dxf(design))
    for one in file.modelspace():
        one.scale_uniform(1.005)
    assert strays(file, design) > TRUE


@pytest.mark.parametrize("motif", ["dots", "leaf"])
def test_a_border_s_stamp_is_in_the_file_once_and_struck_in_every_place(motif: str) -> None:
    design = pattern(neck="19 in", border=motif)
    file = read(pattern_dxf(design))
    struck = [one for one in file.modelspace() if isinstance(one, Insert)]
    # As it is stamped along the upper edge, and turned half round along the lower.
    assert len({one.dxf.name for one in struck}) == 2
    assert {one.dxf.layer for one in struck} == {"MARK"}
    _, low, _, high = box(on(file, "CUT")[0][0])
    for mark in (one for one in design.strap.marks if one.kind == "border"):
        long, count, y = mark.length or 0.0, mark.count or 0, (low + high) / 2 + mark.y
        here = [one for one in struck if abs(one.dxf.insert.x - mark.x) < long / 2]
        drawn = [
            box(line)
            for one in here
            if one.dxf.insert.y == pytest.approx(y)
            for line in one.virtual_entities()
            if isinstance(line, LWPolyline)
        ]
        assert len(drawn) == count * len(SHAPES[motif])
        size = MOTIFS[motif]
        gap = (long / count - size.length) / 2
        wanted = mark.x - long / 2 + gap, y - size.height / 2, mark.x + long / 2 - gap, y + size.height / 2
        lefts, lows, rights, highs = zip(*drawn, strict=True)
        assert (min(lefts), min(lows), max(rights), max(highs)) == pytest.approx(wanted, abs=0.06)


def test_its_unit_is_the_millimetre() -> None:
    with (DATA / "dxf_insunits.csv").open(encoding="utf-8") as file:
        codes = {row["unit"]: row["code"] for row in csv.DictReader(file)}
    lines = pattern_dxf(pattern(neck="19 in")).splitlines()
    pairs = [(code.strip(), value.strip()) for code, value in zip(lines[::2], lines[1::2], strict=True)]
    at = pairs.index(("9", "$INSUNITS"))
    assert pairs[at + 1] == ("70", codes["millimetre"])
    assert pairs[pairs.index(("9", "$MEASUREMENT")) + 1] == ("70", "1")  # 1 is metric (DXF reference)


def test_the_strap_is_as_long_as_its_blank_and_lies_along_x() -> None:
    # Common practice: an existing collar of 19 in, six holes 1 in apart: a blank of 27 1/2 in.
    outlines, _ = on(read(pattern_dxf(pattern(neck="19 in"))), "CUT")
    left, _, right, _ = box(outlines[0])
    assert (left, right) == pytest.approx((0.0, 27.5 * 25.4))


def test_the_slot_is_cut_at_its_length_and_width() -> None:
    design = pattern(neck="19 in")
    lines, _ = on(read(pattern_dxf(design)), "HOLE")
    left, low, right, high = box(lines[0])
    slot = next(mark for mark in design.strap.marks if mark.kind == "slot")
    assert (right - left, high - low) == pytest.approx((slot.length, slot.width), abs=TRUE)
    assert (left + right) / 2 == pytest.approx(slot.x, abs=TRUE)


def test_parts_do_not_meet_and_the_file_is_sound() -> None:
    file = read(pattern_dxf(pattern(**DESIGNS[1])))
    boxes = [box(line) for line in on(file, "CUT")[0]]
    assert all(below[3] < above[1] for above, below in pairwise(boxes))
    assert not file.audit().errors
    assert set(LAYERS) <= {layer.dxf.name for layer in file.layers}
    assert {one.dxf.layer for one in file.modelspace()} <= set(LAYERS)


def test_the_same_design_is_the_same_file_and_a_mirrored_one_keeps_its_holes() -> None:
    design = pattern(**DESIGNS[2])
    assert pattern_dxf(design) == pattern_dxf(design)
    for circle in on(read(pattern_dxf(design)), "HOLE")[1]:
        _, low, _, high = next(
            one
            for one in map(box, on(read(pattern_dxf(design)), "CUT")[0])
            if one[1] < circle.dxf.center.y < one[3]
        )
        assert circle.dxf.center.y == pytest.approx((low + high) / 2)


SMALL = st.floats(-50, 50)
POINT = st.tuples(SMALL, SMALL)


def bend(points: list[tuple[float, float]], t: float) -> tuple[float, float]:
    while len(points) > 1:
        points = [(a + (c - a) * t, b + (d - b) * t) for (a, b), (c, d) in pairwise(points)]
    return points[0]


def away(point: tuple[float, float], corners_: tuple[tuple[float, float], ...]) -> float:
    found = []
    for (ax, ay), (bx, by) in pairwise(corners_):
        square = (bx - ax) ** 2 + (by - ay) ** 2
        t = ((point[0] - ax) * (bx - ax) + (point[1] - ay) * (by - ay)) / square if square else 0.0
        t = max(0.0, min(1.0, t))
        found.append(dist(point, (ax + t * (bx - ax), ay + t * (by - ay))))
    return min(found)


@given(POINT, POINT, POINT, POINT, st.floats(0, 1))
def test_chords_leave_their_bend_by_no_more_than_they_may(
    a: tuple[float, float], b: tuple[float, float], c: tuple[float, float], d: tuple[float, float], t: float
) -> None:
    assert away(bend([a, b, c, d], t), chords(Run(a, ((b, c, d),)))) <= CHORD + 1e-9


def test_a_closed_stroke_does_not_say_its_start_twice() -> None:
    found = chords(stadium(0.0, 0.0, 31.75, 5.0))
    assert found[0] != found[-1]
    assert len(found) > 8
