"""Edge lacing: that its holes come out even and symmetric, keep off all else, and what lace they take."""

from io import StringIO

import ezdxf
import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.design import LACINGS, CollarPattern, adornments, lace_holes, lace_of
from service.design.lacing import BETWEEN, FROM_HOLES, HOLE, INSET, PITCH, PITCH_LEAST
from service.design.reading import read_parameter, read_wish
from service.drawing import pattern_dxf, preview_svg
from service.errors import DesignError, DoesNotFit
from service.pricing import estimate
from service.pricing.labour import work_counts
from service.strength import estimate_strength
from tests.design.makers import CLEAR, clear_until, codes, demo, made, marks, patterns, text_of

PLAIN = {"grooves": "none", "border": "", "throat": None, "lining": ""}


def laced() -> st.SearchStrategy[CollarPattern]:
    return patterns(lacing=st.sampled_from([*LACINGS]), neck=st.floats(200, 915))


@given(laced())
def test_pitch_times_count_closes_the_run_between_tab_and_holes(pattern: CollarPattern) -> None:
    layout = pattern.layout
    start = max(layout.ring + layout.tab_half, layout.fold + layout.tail, 2 * layout.fold) + CLEAR
    end = clear_until(layout) - CLEAR
    long = [one for one in marks(pattern, "lacing") if one.x > layout.ring]
    assert len(long) == 2
    for one in long:
        assert one.count
        assert one.length == pytest.approx(end - start)
        assert one.x == pytest.approx((start + end) / 2)
        pitch = (end - start) / one.count
        assert pitch >= PITCH_LEAST - 1e-9
        # No count brings the pitch nearer to the usual one.
        others = ((end - start) / n for n in range(1, one.count + 9))
        nearest = min(abs(other - PITCH) for other in others if other >= PITCH_LEAST)
        assert abs(pitch - PITCH) == pytest.approx(nearest)


@given(laced())
def test_lace_holes_keep_off_edges_and_all_else(pattern: CollarPattern) -> None:
    layout = pattern.layout
    taken = [
        (0.0, 2 * layout.fold),
        (layout.fold, layout.fold + layout.tail),
        (layout.ring - layout.tab_half, layout.ring + layout.tab_half),
        *((one.x, one.x) for one in marks(pattern, "size-hole")),
    ]
    for one in marks(pattern, "lacing"):
        start, end = one.x - (one.length or 0) / 2, one.x + (one.length or 0) / 2
        assert all(end <= low - CLEAR + 1e-9 or start >= high + CLEAR - 1e-9 for low, high in taken)
        # Two diameters from a hole's middle to the edge.
        assert layout.width / 2 - abs(one.y) == pytest.approx(2 * HOLE)
        inner = abs(one.y) - HOLE / 2
        assert inner >= BETWEEN / 2
        for other in (*marks(pattern, "stud"), *marks(pattern, "lettering"), *marks(pattern, "plate")):
            tall = (other.diameter or other.height or other.width or 0) / 2
            assert abs(other.y) + tall <= inner - FROM_HOLES + 1e-9


@given(laced())
def test_both_edges_and_both_sides_of_the_ring_are_alike(pattern: CollarPattern) -> None:
    ring = pattern.layout.ring
    upper, lower = ([one for one in marks(pattern, "lacing") if (one.y > 0) == up] for up in (True, False))
    assert [(one.x, -one.y, one.count) for one in upper] == [(one.x, one.y, one.count) for one in lower]
    far = [one for one in upper if one.x > ring]
    for near in (one for one in upper if one.x < ring):
        assert (near.length or 0) / (near.count or 1) == pytest.approx(
            (far[0].length or 0) / (far[0].count or 1)
        )
        assert ring - (near.x + (near.length or 0) / 2) == pytest.approx(
            far[0].x - (far[0].length or 0) / 2 - ring
        )


@pytest.mark.parametrize(("lacing", "lengths"), [("whip", 3.5), ("loop", 5.0), ("double-loop", 7.0)])
def test_lace_is_so_many_lengths_of_the_edge(lacing: str, lengths: float) -> None:
    # From memory: 3.5 to 7 lengths of the edge by the way of lacing. 187.2 and 35.4 mm, along both edges.
    pattern = made(**PLAIN, lacing=lacing)
    assert lace_of(pattern.parts) == pytest.approx(2 * (187.2 + 35.416) * lengths, abs=0.01)
    assert lace_holes(pattern.strap.marks) == 2 * (37 + 7)


def test_it_is_said_weighed_against_strength_and_paid_for() -> None:
    plain, pattern = made(**PLAIN), made(**PLAIN, lacing="whip")
    assert "weaken a strap where it carries most" in text_of(pattern, "laced")
    assert "laced" not in codes(plain)
    assert [str(one.phrase) for one in adornments(pattern)][-1] == "edges laced in whipstitch"
    counts = work_counts(pattern)
    assert float(counts["lace hole"]) == 88
    assert float(counts["metre of lace"]) == 1.558
    lines = {line.code: line.amount for line in estimate(pattern, demo()).lines}
    before = {line.code: line.amount for line in estimate(plain, demo()).lines}
    # 1.558 m at 0.80.
    assert float(lines["consumables"] - before["consumables"]) == pytest.approx(1.25, abs=0.006)
    assert lines["labour"] > before["labour"]
    torn = {mode.code: mode for mode in estimate_strength(pattern, demo()).breaking}
    assert len(torn["lace-holes"].stations) == 44
    assert "lace-holes" not in {mode.code for mode in estimate_strength(plain, demo()).breaking}


def test_every_hole_is_on_the_cutters_layer_and_lace_on_the_screen() -> None:
    pattern = made(**PLAIN, lacing="double-loop")
    space = ezdxf.read(StringIO(pattern_dxf(pattern))).modelspace()
    holes = [one for one in space.query("CIRCLE") if one.dxf.layer == "HOLE"]
    assert sum(one.dxf.radius == pytest.approx(HOLE / 2) for one in holes) == 88
    across = {round(one.dxf.center.y, 3) for one in holes if one.dxf.radius == pytest.approx(HOLE / 2)}
    assert max(across) - min(across) == pytest.approx(25.4 - 2 * INSET)
    assert "flat-lace-1" in preview_svg(pattern, "imperial")
    assert "flat-lace" not in preview_svg(made(**PLAIN), "imperial")


def refused(**wish: object) -> DesignError:
    with pytest.raises(DoesNotFit) as caught:
        made(lacing="whip", **wish)
    assert caught.value.would_work
    for way in caught.value.would_work:
        changed = {way.field: read_parameter(way.field, way.value, demo())}
        assert made(**({"lacing": "whip"} | wish | changed)) is not None
    return caught.value


@pytest.mark.parametrize(
    ("wish", "way"),
    [
        ({}, ("grooves", "none")),
        ({"grooves": "none", "border": "rope"}, ("border", "")),
        ({"grooves": "one", "border": "rope"}, ("lacing", "")),
        ({"grooves": "none", "throat": 40.0}, ("throat", "")),
        ({"grooves": "none", "width": 15.875, "neck": 400}, ("lacing", "")),
        ({"grooves": "none", "neck": 180, "pitch": 60.0}, ("lacing", "")),
        ({"grooves": "none", "lettering": "REX", "stamp": 12.0, "width": 20.0, "neck": 400}, ("lacing", "")),
        ({"grooves": "none", "studs": 50.8, "width": 20.0, "neck": 400}, ("lacing", "")),
    ],
)
def test_what_does_not_go_with_lacing_is_refused_with_what_works(
    wish: dict[str, object], way: tuple[str, str]
) -> None:
    assert way in [(one.field, one.value) for one in refused(**wish).would_work]


def test_lace_takes_the_place_of_a_groove_that_nobody_asked_for() -> None:
    assert read_wish({"neck": "19 in", "lacing": "whip"}, demo()).grooves == "none"
    assert read_wish({"neck": "19 in", "lacing": "whip", "grooves": "one"}, demo()).grooves == "one"
