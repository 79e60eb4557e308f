"""The stamps of a border: as large as the engine reckons with, and where the marks say, on every drawing."""

from io import StringIO
from itertools import chain

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from svgelements import SVG, Path

from service.design import MOTIFS, CollarPattern, Mark
from service.drawing import figures
from service.drawing.motifs import SHAPES, border_path, border_step, stamp_pair, stamped
from service.drawing.sheet import Run
from tests.design.makers import attempt, collar, made, marks

# svgelements, a library apart from ours, reads the path data and measures it; bends by their true extremes.


def box_of(run: Run) -> tuple[float, float, float, float]:
    path = f"M{run.start[0]} {run.start[1]}" + "".join(
        ("L" if len(step) == 1 else "C") + " ".join(f"{x} {y}" for x, y in step) for step in run.steps
    )
    left, top, right, foot = Path(path).bbox()
    return left, top, right, foot


def joint_box(boxes: list[tuple[float, float, float, float]]) -> tuple[float, float, float, float]:
    lefts, tops, rights, feet = zip(*boxes, strict=True)
    return min(lefts), min(tops), max(rights), max(feet)


def test_every_stamp_that_can_be_asked_for_is_drawn() -> None:
    assert SHAPES.keys() == MOTIFS.keys()


@pytest.mark.parametrize("name", SHAPES)
def test_a_stamp_is_as_large_as_the_engine_reckons_with(name: str) -> None:
    left, top, right, foot = joint_box([box_of(Run(one.start, one.steps)) for one in SHAPES[name]])
    motif = MOTIFS[name]
    assert (right - left, foot - top) == pytest.approx((motif.length, motif.height), abs=0.05)
    assert (left, top) == pytest.approx((-right, -foot), abs=0.05)


@pytest.mark.parametrize("name", SHAPES)
def test_a_border_is_drawn_from_end_to_end_of_its_mark_at_both_edges(name: str) -> None:
    motif = MOTIFS[name]
    for mark in marks(made(border=name), "border"):
        count, length = mark.count or 0, mark.length or 0.0
        gap = (length / count - motif.length) / 2
        wanted = (
            mark.x - length / 2 + gap,
            -mark.y - motif.height / 2,
            mark.x + length / 2 - gap,
            -mark.y + motif.height / 2,
        )
        runs = list(border_path(mark, (0.0, 0.0)).strokes)
        assert len(runs) == count * len(SHAPES[name])
        assert joint_box([box_of(run) for run in runs]) == pytest.approx(wanted, abs=0.06)


@pytest.mark.parametrize("name", SHAPES)
def test_the_lower_edge_has_the_stamp_turned_half_round(name: str) -> None:
    upper = list(border_path(Mark("border", 0.0, 5.0, length=4.0, name=name, count=1), (0.0, 0.0)).strokes)
    lower = list(border_path(Mark("border", 0.0, -5.0, length=4.0, name=name, count=1), (0.0, 0.0)).strokes)
    for one, other in zip(upper, lower, strict=True):
        turned = [(-x, -y) for x, y in one.points]
        assert list(chain(*other.points)) == pytest.approx(list(chain(*turned)))
    pair = Path(stamp_pair(name, 5.0)).bbox()
    assert pair == pytest.approx((pair[0], -pair[3], -pair[0], pair[3]), abs=0.05)


@given(st.floats(200, 900), st.sampled_from([*SHAPES]))
def test_in_groups_every_stamp_is_struck_once_where_it_belongs(neck: float, name: str) -> None:
    made_of = attempt(collar(neck=neck, border=name))
    assume(isinstance(made_of, CollarPattern))
    assert isinstance(made_of, CollarPattern)
    struck = []
    step = border_step(marks(made_of, "border")[0])
    for x, count in stamped(made_of.strap.marks):
        struck += [x + (n - (count - 1) / 2) * step for n in range(count)]
    upper = [mark for mark in marks(made_of, "border") if mark.y > 0]
    one_by_one = [
        mark.x - (mark.length or 0.0) / 2 + (n + 0.5) * border_step(mark)
        for mark in upper
        for n in range(mark.count or 0)
    ]
    assert sorted(struck) == pytest.approx(sorted(one_by_one))


def test_59_stamps_are_five_groups() -> None:
    run = Mark("border", 59.0, 5.0, length=118.0, name="dots", count=59)
    assert [count for _, count in stamped([run])] == [32, 16, 8, 2, 1]


@pytest.mark.parametrize("name", SHAPES)
def test_the_flat_strap_shows_each_border_where_its_marks_are(name: str) -> None:
    pattern = made(border=name)
    svg = SVG.parse(StringIO(figures(pattern, "imperial").flat[0]))
    (drawn,) = [one for one in svg.elements() if getattr(one, "id", "") == "flat-border"][:1]
    boxes = [shape.bbox() for shape in drawn.select(lambda one: isinstance(one, Path))]
    assert len(boxes) == sum(mark.count or 0 for mark in marks(pattern, "border")) / 2
