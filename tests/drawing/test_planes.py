"""What repeats round a neck: nothing that is seen is left out or drawn twice, and all where it belongs."""

import re
from collections import Counter
from collections.abc import Iterable
from math import asin, cos, hypot, radians, sin, tau

import pytest
from hypothesis import given
from hypothesis import strategies as st
from lxml import etree
from svgelements import Matrix

from service.drawing.eye import RADIUS, View
from service.drawing.planes import Row, on_planes

GROUP = re.compile(r"#thing-(\d+)")
OFF = 0.015  # of the radius: how far a plane may be off the strap where something lies on it


def view(turned: float, girth: float) -> View:
    scale = RADIUS / (girth / tau)
    return View(turned, scale, girth, 25 * scale, 3 * scale, 0.0, 25 * scale, 3 * scale)


def drawn(eye: View, *runs: tuple[float, float, int]) -> list[tuple[float, float]]:
    """Where each thing is drawn on the strap's middle [units], as svgelements reads the transforms."""
    asked: Counter[int] = Counter()

    def groups(counts: Iterable[int]) -> str:
        asked.update(counts)
        return ""

    step = runs[0][1]
    tree = etree.fromstring(f"<svg>{on_planes(eye, [Row('thing', runs, groups)])}</svg>")
    places, used = [], set()
    for plane in tree:
        matrix = Matrix(plane.get("transform"))
        for use in plane:
            found = GROUP.fullmatch(str(use.get("href")))
            assert found is not None
            count = int(found[1])
            used.add(count)
            for n in range(count):
                point = matrix.point_in_matrix_space(
                    (float(str(use.get("x"))) + (n - (count - 1) / 2) * step, 0.0)
                )
                places.append((point.x, point.y))
    assert used == set(asked)  # each group that is used is drawn, once, and no other
    assert set(asked.values()) <= {1}
    return places


@given(st.floats(0, tau), st.floats(200, 900), st.floats(2.5, 8), st.floats(-50, 400), st.integers(1, 160))
def test_everything_that_is_seen_is_drawn_once_and_where_it_is(
    turned: float, girth: float, step: float, start: float, count: int
) -> None:
    count = min(count, int(girth / step))
    eye = view(turned, girth)
    places = drawn(eye, (start, step, count))
    turns = [eye.angle(start + (n + 0.5) * step) for n in range(count)]
    near = radians(86 - 1e-6)
    assert (
        sum(abs(turn) < near for turn in turns)
        <= len(places)
        <= sum(abs(turn) < near + 1e-5 for turn in turns)
    )
    wanted = sorted(eye.at(turn, 0.0) for turn in turns if abs(turn) < near)
    if len(wanted) == len(places):
        for (x, y), (wanted_x, wanted_y) in zip(sorted(places), wanted, strict=True):
            assert hypot(x - wanted_x, y - wanted_y) <= OFF * RADIUS + step * eye.scale * 0.01


def test_a_run_that_goes_round_behind_the_neck_is_seen_on_both_sides() -> None:
    eye = view(0.0, 360.0)
    places = drawn(eye, (60.0, 5.0, 50))  # from 60 to 310 degrees
    assert min(places)[0] < -700
    assert max(places)[0] > 900
    assert not [x for x, _ in places if -RADIUS * sin(radians(45)) < x < RADIUS * sin(radians(55))]


def test_two_runs_of_one_row_share_their_groups() -> None:
    eye = view(0.0, 360.0)
    alone = [*drawn(eye, (-60.0, 4.0, 10)), *drawn(eye, (20.0, 4.0, 10))]
    both = sorted(drawn(eye, (-60.0, 4.0, 10), (20.0, 4.0, 10)))
    for place, wanted in zip(both, sorted(alone), strict=True):
        assert place == pytest.approx(wanted)


def test_what_lies_on_a_plane_is_foreshortened_as_there() -> None:
    eye = view(0.0, 360.0)
    (plane,) = etree.fromstring(
        f"<svg>{on_planes(eye, [Row('thing', ((20.0, 5.0, 1),), lambda _: '')])}</svg>"
    )
    matrix, tilt = Matrix(plane.get("transform")), radians(13)
    # The middle of the plane from 15 to 30 degrees; in mm, ten degrees to a centimetre.
    assert asin(matrix.e / RADIUS) == pytest.approx(radians(22.5), abs=1e-3)
    assert matrix.a / matrix.d == pytest.approx(cos(radians(22.5)) / cos(tilt), rel=1e-3)
    assert matrix.a == pytest.approx(eye.scale * cos(radians(22.5)), rel=1e-3)
