"""Border tooling: that each run comes out even and symmetric, what it keeps off, and when it is refused."""

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from service.design import MOTIFS, CollarPattern
from service.design.reading import read_parameter
from service.design.tooling import BETWEEN, FROM_BORDER, border_edge, border_margin
from service.errors import DesignError, DoesNotFit
from tests.design.makers import CLEAR, clear_until, codes, demo, made, marks, patterns, text_of

GROOVE = 1.0


def bordered() -> st.SearchStrategy[CollarPattern]:
    return patterns(border=st.sampled_from([*MOTIFS]), lettering=st.sampled_from(["", "REX"]))


def runs(pattern: CollarPattern) -> list[tuple[float, float]]:
    return [(m.x - (m.length or 0) / 2, m.x + (m.length or 0) / 2) for m in marks(pattern, "border")]


@given(bordered())
def test_step_times_count_closes_the_run_between_tab_and_holes(pattern: CollarPattern) -> None:
    layout, motif = pattern.layout, MOTIFS[pattern.spec.border]
    start = max(layout.ring + layout.tab_half, layout.fold + layout.tail) + CLEAR
    end = clear_until(layout) - CLEAR
    long = [m for m in marks(pattern, "border") if m.x > layout.ring]
    assert len(long) == 2
    for one in long:
        assert one.count
        assert one.length == pytest.approx(end - start)
        assert one.x == pytest.approx((start + end) / 2)
        step = (end - start) / one.count
        assert step >= motif.length - 1e-9
        # No count brings the step nearer to the stamp's own that leaves no stamp on another.
        others = ((end - start) / n for n in range(1, one.count + 9))
        nearest = min(abs(other - motif.step) for other in others if other >= motif.length)
        assert abs(step - motif.step) == pytest.approx(nearest)


@given(bordered())
def test_a_border_keeps_off_all_that_is_on_the_strap(pattern: CollarPattern) -> None:
    layout, motif = pattern.layout, MOTIFS[pattern.spec.border]
    # A plate lies between the borders, and so do its rivets.
    rivets = [mark for mark in marks(pattern, "rivet-hole") if mark.name != "Plate, rivet"]
    taken = [
        (0.0, 2 * layout.fold),  # the folded leg with its rivets and slot
        (layout.fold, layout.fold + layout.tail),
        (layout.ring - layout.tab_half, layout.ring + layout.tab_half),
        *((m.x - (m.diameter or 0) / 2, m.x + (m.diameter or 0) / 2) for m in marks(pattern, "size-hole")),
        *((m.x - (m.diameter or 0) / 2, m.x + (m.diameter or 0) / 2) for m in rivets),
    ]
    for start, end in runs(pattern):
        assert all(end <= low - CLEAR + 1e-9 or start >= high + CLEAR - 1e-9 for low, high in taken)
    for one in marks(pattern, "border"):
        assert one.height == motif.height
        outer, inner = abs(one.y) + motif.height / 2, abs(one.y) - motif.height / 2
        assert outer <= layout.width / 2 - CLEAR + 1e-9
        assert inner >= BETWEEN / 2 - 1e-9
        for groove in marks(pattern, "groove"):
            assert not inner - GROOVE + 1e-9 < abs(groove.y) < outer + GROOVE - 1e-9
        for other in (*marks(pattern, "stud"), *marks(pattern, "lettering")):
            assert abs(other.y) + (other.diameter or other.height or 0) / 2 <= inner - FROM_BORDER + 1e-9


@given(bordered())
def test_both_edges_and_both_sides_of_the_ring_are_alike(pattern: CollarPattern) -> None:
    ring = pattern.layout.ring
    upper, lower = ([m for m in marks(pattern, "border") if (m.y > 0) == up] for up in (True, False))
    assert [(m.x, -m.y, m.count) for m in upper] == [(m.x, m.y, m.count) for m in lower]
    for far in (m for m in upper if m.x > ring):
        for near in (m for m in upper if m.x < ring):
            assert (near.length or 0) / (near.count or 1) == pytest.approx(
                (far.length or 0) / (far.count or 1)
            )
            starts = far.x - (far.length or 0) / 2, near.x + (near.length or 0) / 2
            assert ring - starts[1] == pytest.approx(starts[0] - ring)


@given(patterns())
def test_without_a_border_nothing_is_struck_or_said(pattern: CollarPattern) -> None:
    assume(not pattern.spec.border)
    assert not marks(pattern, "border")
    assert "border-spaced" not in codes(pattern)


def test_dots_on_19_in_are_59_at_3_17_mm() -> None:
    # 19 in, 1 in wide, six holes an inch apart: the run is 187.2 mm, as in the studs' worked case.
    pattern = made(border="dots")
    upper = [m for m in marks(pattern, "border") if m.y > 0]
    assert [(m.count, round(m.length or 0, 1)) for m in upper] == [(59, 187.2), (11, 34.9)]
    # A groove 3 mm in and 1 mm off it; dots 2 mm high: their middle 5 mm from the edge.
    assert upper[0].y == pytest.approx(12.7 - 5)
    said = text_of(pattern, "border-spaced")
    assert said.startswith("A border of dots: 59 stamps along each edge, 11 more opposite,")
    assert "at 3.17 mm from one to the next" in said


@pytest.mark.parametrize(("insets", "edge"), [((), 3.0), ((3.0,), 4.0), ((2.54,), 3.54), ((3.0, 5.5), 6.5)])
def test_a_border_begins_3_mm_from_the_edge_and_1_mm_from_the_grooves(
    insets: tuple[float, ...], edge: float
) -> None:
    assert border_edge(insets) == pytest.approx(edge)


def test_letters_beside_a_border_are_of_a_lower_set() -> None:
    assert marks(made(lettering="REX"), "lettering")[0].height == 12
    assert marks(made(lettering="REX", border="rope"), "lettering")[0].height == 9


def refused(**wish: object) -> DesignError:
    with pytest.raises(DoesNotFit) as caught:
        made(**wish)
    for way in caught.value.would_work:
        changed = {way.field: read_parameter(way.field, way.value, demo())}
        assert made(**(wish | changed)) is not None
    return caught.value


def test_a_strap_too_narrow_for_two_borders_is_refused_with_what_works() -> None:
    problem = refused(width=20.0, neck=400, grooves="two", border="leaf")
    assert problem.field == "border"
    # 3 + 2.5 + 1 mm to the border, 3 mm of it, twice, and 2 mm between.
    assert "takes a strap 7/8 in wide" in str(problem.message)
    assert "" in [way.value for way in problem.would_work]
    # As wide as is asked for it can be made.
    assert border_margin("leaf", 21.0, (3.0, 5.5)) == pytest.approx(6.5 + 3 + FROM_BORDER)


def test_studs_that_do_not_fit_between_the_borders_are_refused_with_what_works() -> None:
    problem = refused(studs=50.8, border="leaf")
    assert problem.field == "studs"
    assert str(problem.message).startswith(
        "Between the borders there is room for 9.4 mm; studs 9.5 mm wide take 9.5 mm"
    )
    assert {("border", "dots"), ("border", ""), ("studs", "")} <= {
        (way.field, way.value) for way in problem.would_work
    }


def test_letters_that_do_not_fit_between_the_borders_are_refused_with_what_works() -> None:
    problem = refused(width=15.875, neck=400, border="leaf", lettering="REX")
    assert problem.field in {"lettering", "stamp"}
    assert ("border", "") in [(way.field, way.value) for way in problem.would_work]


def test_a_run_that_a_forced_tail_covers_has_no_room_for_a_border() -> None:
    problem = refused(neck=180, pitch=60.0, border="leaf")
    assert "no clear run long enough for a border" in str(problem.message)


def test_the_price_asks_for_every_blow() -> None:
    assert any(row.per == "border stamp" for row in demo().times)
