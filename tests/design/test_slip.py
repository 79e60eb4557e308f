"""Limited-slip collars: tight never under the neck, open over the head, each part as long as it must be."""

from math import pi

import pytest
from hypothesis import given, reject
from hypothesis import strategies as st

from service.design import LimitedSlip, SlipPattern, make_pattern, read_wish
from service.design.slip_layout import HEAD_ROOM, LAP, bars_touching, slip_layout
from service.errors import DesignError, DesignRefused
from service.strength import estimate_strength
from tests.design.makers import demo

GRAIN = 0.01
"""Parts make up a length to this [mm]."""


def slip(**changed: object) -> LimitedSlip:
    wish = {"neck": 355.6, "head": 431.8, "leather": "chestnut", "finish": "brass"}
    return LimitedSlip(**{**wish, **changed})  # type: ignore[arg-type]


def made(**changed: object) -> SlipPattern:
    return make_pattern(slip(**changed), demo())


def test_neck_and_head_by_hand() -> None:
    # By hand, after the handbook's M = neck - g (thickness corrected) and c = head + 20 - M: D-rings 25.4 mm
    # inside of 4 mm wire stand 37.4 mm apart, 3 mm leather adds pi t and each fold pi (d + t) / 4.
    pattern = made(neck=350.0, head=420.0)
    assert bars_touching(pattern.fittings.ring) == pytest.approx(37.4)
    fold = pi * 7 / 4
    assert pattern.layout.between == pytest.approx(350 + 3 * pi - 37.4 + 2 * fold)
    assert [pattern.fit.tight, pattern.fit.open] == pytest.approx([350.0, 440.0])
    assert pattern.layout.open_bars - pattern.layout.bars == pytest.approx(420 + 20 - 350)


@given(
    st.floats(220, 700),
    st.floats(1, 250),
    st.sampled_from(("tape-snug", "tape-two-fingers")),
    st.sampled_from((15.875, 19.05, 25.4, 38.1)),
    st.sampled_from(("rivet", "screw-post")),
)
def test_it_is_never_tighter_than_the_neck_and_passes_the_head(
    neck: float, more: float, measured: str, width: float, fastening: str
) -> None:
    try:
        pattern = made(neck=neck, head=neck + more, measured=measured, width=width, fastening=fastening)
    except DesignError:
        reject()
    fit = pattern.fit
    assert fit.tight >= fit.neck - GRAIN
    assert fit.open >= fit.head + HEAD_ROOM - GRAIN
    if measured == "tape-snug":
        assert fit.tight == pytest.approx(neck)


@given(st.floats(250, 700), st.floats(5, 200), st.sampled_from((19.05, 25.4)))
def test_the_parts_make_up_both_girths(neck: float, more: float, width: float) -> None:
    try:
        pattern = made(neck=neck, head=neck + more, width=width)
    except DesignError:
        reject()
    layout, ring, thick = pattern.layout, pattern.fittings.ring, pattern.layout.thickness
    first, last = (one.x for one in pattern.strap.marks if one.kind == "fold")
    round_wires = pi * (ring.wire + thick)
    # The loop lies flat between two wires; what is left of its blank lies on itself.
    flat = (pattern.loop.length - LAP - round_wires) / 2
    girth = last - first - 2 * pi * (ring.wire + thick) / 4 - pi * thick
    assert girth + bars_touching(ring) == pytest.approx(pattern.fit.tight, abs=GRAIN)
    assert girth + bars_touching(ring) - ring.wire + flat == pytest.approx(pattern.fit.open, abs=GRAIN)
    assert first == pytest.approx(pattern.strap.length - last)
    assert layout.strap == pattern.strap.length


@given(
    st.floats(300, 700),
    st.sampled_from(("", "dots", "rope")),
    st.sampled_from(("single", "zigzag", "threes")),
)
def test_what_adorns_it_keeps_clear_of_both_folded_ends_and_is_even(
    neck: float, border: str, rows: str
) -> None:
    try:
        pattern = made(neck=neck, head=neck + 60, border=border, studs=50.8, stud_rows=rows, width=38.1)
    except DesignError:
        reject()
    low, high = 2 * pattern.layout.fold, pattern.strap.length - 2 * pattern.layout.fold
    studs = [one for one in pattern.strap.marks if one.kind == "stud"]
    xs = sorted(one.x for one in studs)
    assert xs
    assert all(low < one.x - (one.diameter or 0) / 2 for one in studs)
    assert all(one.x + (one.diameter or 0) / 2 < high for one in studs)
    assert [x + pattern.strap.length / 2 for x in xs] == pytest.approx(
        [pattern.strap.length * 1.5 - x for x in reversed(xs)]
    )
    for run in (one for one in pattern.strap.marks if one.kind == "border"):
        assert low <= run.x - (run.length or 0) / 2
        assert run.x + (run.length or 0) / 2 <= high


def test_it_is_laced_between_its_folded_ends_and_a_plate_s_rivets_are_no_rivets_of_its_ends() -> None:
    pattern = made(lacing="whip", grooves="none", lettering="REX", letters="plate", width=31.75)
    start = 2 * pattern.layout.fold + 3
    laced = [one for one in pattern.strap.marks if one.kind == "lacing"]
    run = pattern.strap.length - 2 * start
    assert [one.x for one in laced] == pytest.approx([pattern.strap.length / 2] * 2)
    assert [one.length for one in laced] == pytest.approx([run] * 2)
    modes = {mode.code: mode for mode in estimate_strength(pattern, demo()).breaking}
    assert len(modes["end-holes"].stations) == 4
    assert len(modes["plate-holes"].stations) == 2
    assert len(modes["lace-holes"].stations) == laced[0].count


def test_mirrored_it_stays_the_same() -> None:
    pattern = made()
    holes = sorted(one.x for one in pattern.strap.marks if one.kind == "rivet-hole")
    assert holes == pytest.approx(sorted(pattern.strap.length - x for x in holes))
    loop = sorted(one.x for one in pattern.loop.marks)
    assert loop == pytest.approx(sorted(pattern.loop.length - x for x in loop))


def test_a_head_no_larger_than_the_neck_is_refused_with_a_buckle_collar_instead() -> None:
    with pytest.raises(DesignError) as refused:
        made(neck=400.0, head=400.0)
    assert refused.value.field == "head"
    assert [(way.field, way.value) for way in refused.value.would_work] == [("kind", "collar")]


def test_a_head_no_larger_than_the_neck_is_told_before_whatever_else_is_wrong() -> None:
    with pytest.raises(DesignError) as refused:
        make_pattern(
            read_wish(
                {
                    "kind": "limited-slip",
                    "neck": "60 cm",
                    "head": "46 cm",
                    "finish": "black",
                    "studs": "1 1/2 in",
                    "leather": "oxblood",
                    "dye": "soot-dye",
                },
                demo(),
            ),
            demo(),
        )
    assert [(way.field, way.value) for way in refused.value.would_work] == [("kind", "collar")]


def test_a_neck_too_short_for_two_folded_ends_is_refused() -> None:
    rows = made().fittings
    stout = rows.ring.model_copy(update={"width": 50.8, "wire": 12.0})
    with pytest.raises(DesignError) as refused:
        slip_layout(slip(neck=150.0, head=300.0, width=50.8), 3.0, stout, rows.fastener)
    assert refused.value.field == "neck"


def test_what_is_not_typed_is_asked_for_and_an_existing_collar_is_no_measure_of_a_neck() -> None:
    with pytest.raises(DesignRefused) as refused:
        read_wish({"kind": "limited-slip"}, demo())
    assert [one.field for one in refused.value.problems] == ["neck", "head"]
    typed = {"kind": "limited-slip", "neck": "14 in", "head": "17 in", "measured": "existing-collar"}
    with pytest.raises(DesignRefused) as refused:
        read_wish(typed, demo())
    assert [one.field for one in refused.value.problems] == ["measured"]


def test_it_takes_three_rings_and_six_rivets() -> None:
    pattern = made()
    assert {line.kind: line.quantity for line in pattern.hardware} == {"ring": 3, "rivet": 6}
    assert sum(joint.quantity for joint in pattern.joints) == 6


def test_what_only_another_kind_has_is_left_aside() -> None:
    wish = read_wish({"kind": "limited-slip", "neck": "14 in", "head": "17 in", "holes": "7"}, demo())
    assert isinstance(wish, LimitedSlip)
