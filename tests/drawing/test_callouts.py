"""Labels that never meet, at any spacing a strap can have and at worse ones."""

from itertools import combinations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.drawing.callouts import GAP, Callout, Placed, depth, drawn, stagger
from service.drawing.sheet import Path, Text

spread = st.lists(st.floats(6.0, 60.0), min_size=1, max_size=40)


def callouts(steps: list[float]) -> list[Callout]:
    x = 0.0
    made = []
    for step in steps:
        x += step
        made.append(Callout(x, (f"{x:.1f} mm", "18 15/16 in")))
    return made


def apart(one: Placed, other: Placed) -> bool:
    return (
        one.row != other.row or one.right + GAP <= other.left + 1e-9 or other.right + GAP <= one.left + 1e-9
    )


@settings(deadline=None)
@given(spread)
def test_no_text_meets_another_text_or_its_leader(steps: list[float]) -> None:
    placed = stagger(callouts(steps))
    assert len(placed) == len(steps)
    for one, other in combinations(placed, 2):
        assert apart(one, other)
        near, far = sorted((one, other), key=lambda spot: spot.row)
        if near.row < far.row:
            assert not near.left < far.callout.x < near.right


@settings(deadline=None)
@given(spread, st.floats(200.0, 400.0))
def test_no_text_crosses_a_trim_line(steps: list[float], step: float) -> None:
    trims = [step * n for n in range(1, 12)]
    for one in stagger(callouts(steps), trims):
        assert not any(one.left < trim < one.right for trim in trims)


@settings(deadline=None)
@given(spread)
def test_every_label_stands_at_its_place(steps: list[float]) -> None:
    for one in stagger(callouts(steps)):
        assert one.left - 1.0 <= one.callout.x <= one.right + 1.0


def test_a_crowd_too_dense_for_leaders_still_has_its_labels_apart() -> None:
    placed = stagger(callouts([0.5] * 60))
    assert len(placed) == 60
    assert all(apart(one, other) for one, other in combinations(placed, 2))


def test_a_lone_label_stands_over_its_place_in_the_first_row() -> None:
    (one,) = stagger([Callout(50.0, ("Fold",))])
    assert (one.row, one.anchor) == (0, "middle")
    assert (one.left + one.right) / 2 == pytest.approx(50.0)


def test_of_two_close_labels_one_stands_beside_its_leader() -> None:
    first, second = stagger([Callout(0.0, ("100.0 mm",)), Callout(3.0, ("103.0 mm",))])
    assert (first.row, second.row, second.anchor) == (1, 0, "start")


@pytest.mark.parametrize("side", [1, -1])
def test_what_is_drawn_stays_within_the_depth(side: int) -> None:
    placed = stagger(callouts([9.0] * 12))
    items = list(drawn(placed, 10.0, 100.0, side, 2.0))
    texts = [item for item in items if isinstance(item, Text)]
    assert len(texts) == 24
    for text in texts:
        _, top, _, foot = text.box
        low, high = (100.0, 100.0 + depth(placed)) if side > 0 else (100.0 - depth(placed), 100.0)
        assert low <= top
        assert foot <= high
    (leaders,) = (item for item in items if isinstance(item, Path))
    assert [run.start[0] - 10.0 for run in leaders.runs] == pytest.approx([9.0 * n for n in range(1, 13)])


def test_no_labels_take_no_room() -> None:
    assert depth(()) == 0.0
    assert list(drawn((), 0.0, 0.0, 1)) == []
