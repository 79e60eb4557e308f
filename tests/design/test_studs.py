"""Studs in two rows, by turns and in threes: symmetric about the ring, whole, and within what is clear."""

from collections import Counter
from itertools import pairwise
from math import dist

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from service.design import CollarPattern
from service.design.studs import unit_for
from service.errors import DoesNotFit
from tests.design.makers import CLEAR, clear_until, made, marks, patterns, text_of

LETTERS = 6.0
RIMS = 1.0
Place = tuple[float, float]


def studded() -> st.SearchStrategy[CollarPattern]:
    return patterns(
        neck=st.floats(220, 915),
        studs=st.floats(10.5, 120),
        width=st.sampled_from([19.05, 25.4, 31.75, 38.1, 50.8]),
        lettering=st.sampled_from(["", "", "REX"]),
        stamp=st.none(),
        holes=st.none(),
        pitch=st.none(),
    )


def places(pattern: CollarPattern) -> list[Place]:
    return [(mark.x, mark.y) for mark in marks(pattern, "stud")]


def rounded(found: list[Place]) -> Counter[Place]:
    return Counter((round(x, 6), round(y, 6)) for x, y in found)


@given(studded())
def test_studs_stand_alike_on_both_sides_of_the_ring_as_far_as_the_tail_leaves_room(
    pattern: CollarPattern,
) -> None:
    ring = pattern.layout.ring
    far = rounded([(x - ring, y) for x, y in places(pattern) if x > ring])
    near = rounded([(ring - x, y) for x, y in places(pattern) if x < ring])
    assert far
    assert near <= far
    # Whole groups and pairs alone.
    each = {"double": 2, "threes": 3}.get(pattern.spec.stud_rows, 1)
    assert sum(near.values()) % each == sum(far.values()) % each == 0


@given(studded())
def test_every_stud_is_clear_of_edges_holes_tab_tail_letters_and_the_next(pattern: CollarPattern) -> None:
    layout, studs = pattern.layout, marks(pattern, "stud")
    taken = [
        (0.0, 2 * layout.fold),
        (layout.fold, layout.fold + layout.tail),
        (layout.ring - layout.tab_half, layout.ring + layout.tab_half),
        *((m.x - (m.diameter or 0) / 2, m.x + (m.diameter or 0) / 2) for m in marks(pattern, "size-hole")),
    ]
    words = [(m.x - (m.length or 0) / 2, m.x + (m.length or 0) / 2) for m in marks(pattern, "lettering")]
    for mark in studs:
        radius = (mark.diameter or 0) / 2
        start, end = mark.x - radius, mark.x + radius
        assert all(end <= low - CLEAR + 1e-9 or start >= high + CLEAR - 1e-9 for low, high in taken)
        assert all(end <= low - LETTERS + 1e-9 or start >= high + LETTERS - 1e-9 for low, high in words)
        assert abs(mark.y) + radius <= layout.width / 2 - layout.margin + 1e-9
        for other in studs:
            assert other is mark or dist((mark.x, mark.y), (other.x, other.y)) >= 2 * radius + RIMS - 1e-9


@given(studded())
def test_without_lettering_they_fill_the_clear_run_evenly_from_end_to_end(pattern: CollarPattern) -> None:
    assume(not pattern.spec.lettering and not pattern.spec.qr)
    layout = pattern.layout
    xs = sorted({round(x, 6) for x, _ in places(pattern) if x > layout.ring})
    start = max(layout.ring + layout.tab_half, layout.fold + layout.tail, 2 * layout.fold) + CLEAR
    end = clear_until(layout) - CLEAR
    assert xs[0] - 4.75 == pytest.approx(start, abs=1e-5)
    assert xs[-1] + 4.75 == pytest.approx(end, abs=1e-5)
    middles = xs[1::3] if pattern.spec.stud_rows == "threes" else xs
    gaps = [b - a for a, b in pairwise(middles)]
    assert gaps == pytest.approx([gaps[0]] * len(gaps), abs=1e-5)


@given(studded())
def test_each_arrangement_is_what_it_is_called(pattern: CollarPattern) -> None:
    ring = pattern.layout.ring
    far = sorted((round(x, 6), y) for x, y in places(pattern) if x > ring)
    assume(not pattern.spec.lettering and not pattern.spec.qr)
    ys = [y for _, y in far]
    match pattern.spec.stud_rows:
        case "single" | "threes":
            assert set(ys) == {0.0}
        case "double":
            assert ys[::2] == pytest.approx([-y for y in ys[1::2]])
            assert all(a[0] == b[0] for a, b in zip(far[::2], far[1::2], strict=True))
        case "zigzag":
            assert ys == pytest.approx([ys[0] * (-1) ** n for n in range(len(ys))])
            assert ys[0] >= 1.5


# By hand: the run of a 19 in collar is 187.2 mm on 1 in; studs of 9.5 mm.


def test_a_zigzag_on_1_in_is_as_far_off_the_middle_as_a_sixth_of_its_width() -> None:
    pattern = made(studs=25.4, stud_rows="zigzag")
    assert {round(abs(y), 3) for _, y in places(pattern)} == {4.233}
    assert "By turns 4.2 mm above and below" in text_of(pattern, "studs-spaced")


def test_threes_at_2_in_on_19_in_are_four_groups() -> None:
    # 187.2 mm less a group of 30.5 mm are 156.7 mm: three gaps of 52.2 mm, nearer to 50.8 than 39.2.
    pattern = made(studs=50.8, stud_rows="threes")
    xs = [x - pattern.layout.ring for x, _ in places(pattern) if x > pattern.layout.ring]
    assert len(xs) == 12
    assert [round(b - a, 2) for a, b in zip(xs[1::3], xs[4::3], strict=False)] == [52.23] * 3
    assert "in them studs stand 10.5 mm apart" in text_of(pattern, "studs-spaced")


def test_two_rows_stand_on_the_quarters_of_a_wide_strap() -> None:
    pattern = made(studs=50.8, stud_rows="double", width=50.8, neck=600)
    assert {round(y, 3) for _, y in places(pattern)} == {12.7, -12.7}
    assert "Two rows, 12.7 mm above and below" in text_of(pattern, "studs-spaced")


@given(st.floats(15, 52), st.floats(3, 10), st.floats(3, 16), st.sampled_from(["single", "double", "zigzag"]))
def test_rims_are_apart_at_the_least_pitch(width: float, margin: float, size: float, rows: str) -> None:
    unit = unit_for(rows, width, margin, size)  # type: ignore[arg-type]
    row = [
        (n * unit.least + x, y * (-1 if unit.turns and n % 2 else 1)) for n in range(4) for x, y in unit.studs
    ]
    assert all(dist(one, other) >= size + RIMS - 1e-9 for n, one in enumerate(row) for other in row[n + 1 :])


@pytest.mark.parametrize(
    ("wish", "said"),
    [
        (
            {"studs": 50.8, "stud_rows": "double"},
            "a strap of 1 1/16 in or wider to stand like that (two",
        ),
        (
            {"studs": 25.4, "stud_rows": "threes"},
            "Groups of three studs 9.5 mm wide need a pitch of at least 1 1/2",
        ),
        (
            {"studs": 50.8, "stud_rows": "double", "width": 31.75, "border": "leaf"},
            "room for 15.8 mm; studs 9.5 mm wide take 20 mm",
        ),
    ],
)
def test_what_does_not_fit_is_refused_with_what_works(wish: dict[str, object], said: str) -> None:
    with pytest.raises(DoesNotFit) as caught:
        made(**wish)
    assert said in str(caught.value.message)
    ways = caught.value.would_work
    assert {"stud_rows", "studs"} <= {way.field for way in ways}
    for way in ways:
        value = {"": None, "1 1/2 in": 38.1}.get(way.value, way.value) if way.field == "studs" else way.value
        assert made(**(wish | {way.field: value})) is not None


@pytest.mark.parametrize("width", [25.4, 38.1, 50.8])
def test_no_stud_lies_under_the_buckle_on_the_hole_to_wear(width: float) -> None:
    # A 2 in frame reaches 35 mm over the strap that comes in, further than the next hole at 12.7 mm.
    pattern = made(neck=381.0, width=width, studs=25.4)
    under = pattern.layout.target - 0.62 * width - 1.5 * pattern.fittings.buckle.bar
    studs = [one for one in pattern.strap.marks if one.kind == "stud"]
    assert studs
    assert all(one.x + (one.diameter or 0.0) / 2 <= under - 3 for one in studs)
