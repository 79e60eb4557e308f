"""Lined and padded collars: where lining, padding and seam lie, what they make longer, what they take."""

from io import StringIO
from itertools import pairwise
from math import dist, pi

import ezdxf
import pytest
from ezdxf.entities import LWPolyline
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import LineString, Polygon, box
from shapely.geometry.base import BaseGeometry

from service.design import Collar, CollarPattern, Mark, Part, laid_out, sewn, stitch_holes, thread_size
from service.design.collar import make_collar
from service.design.fit import added_by, lining_adds
from service.design.lining import BETWEEN, ENDS, LINING_IN, PADDING_IN, SEAM_IN, guard_lining
from service.drawing import pattern_dxf, pattern_svg, preview_svg
from service.errors import DesignError, DoesNotFit, NotStocked
from service.orders import kept_rows, pieces_for
from service.pricing import estimate, lining_used, thread_used
from service.pricing.labour import work_counts
from service.strength import estimate_strength
from tests.design.makers import attempt, codes, collar, demo, made, marks, table, text_of, wishes, workshop
from tests.drawing.prints import heading

SHOP = demo()
LININGS = [row.code for row in SHOP.linings]
PADDED = "padded-calf"
CHORD = 0.03
"""What a lining of chords may differ by from one of arcs [mm]."""


def lined() -> st.SearchStrategy[CollarPattern]:
    plain = {
        "lacing": "",
        "holes": None,
        "pitch": None,
        "qr": "",
        "stamp": None,
        "lettering": "",
        "letters": "stamped",
    }
    wishing = wishes(
        lining=st.sampled_from(LININGS),
        neck=st.floats(280, 915),
        throat=st.none() | st.floats(30, 60),
        finish=st.just("brass"),
        **{name: st.just(value) for name, value in plain.items()},
    )
    return wishing.map(_made).filter(lambda one: isinstance(one, CollarPattern))  # type: ignore[return-value]


def _made(wish: Collar) -> CollarPattern | None:
    try:
        return make_collar(wish, SHOP)
    except DesignError:
        return None


@given(lined())
@settings(max_examples=60)
def test_lining_padding_seam_and_thread_of_any_collar(pattern: CollarPattern) -> None:
    a_lining_is_two_millimetres_inside_the_edge(pattern)
    the_seam_runs_three_millimetres_in_and_stays_mirrored(pattern)
    whole_stitches_close_the_seam(pattern)
    padding_keeps_off_seam_fold_and_holes(pattern)
    decoration_keeps_off_the_seam(pattern)
    the_inside_girth_is_what_it_is_without(pattern)
    thread_goes_along_and_through_twice_for_each_stitch(pattern)


def part(pattern: CollarPattern, name: str) -> Part:
    return next(one for one in pattern.parts if one.name == name)


def seam(pattern: CollarPattern) -> Mark:
    [one] = marks(pattern, "stitch")
    return one


def inside_by(pattern: CollarPattern, by: float, start: float, end: float) -> BaseGeometry:
    """The strap less so much along its edge, from one place to another: by a library of its own."""
    shrunk = Polygon(pattern.strap.outline).buffer(-by, join_style="mitre", mitre_limit=20)
    return shrunk.intersection(box(start, -200, end, 200))


def a_lining_is_two_millimetres_inside_the_edge(pattern: CollarPattern) -> None:
    start = pattern.layout.lined or 0.0
    piece = part(pattern, "lining")
    moved = Polygon([(x + start, y) for x, y in piece.outline])
    # Where the strap ends square nothing is cut off its length, the start is a cut of its own.
    apart = moved.symmetric_difference(inside_by(pattern, LINING_IN, start, pattern.layout.length))
    assert apart.buffer(-CHORD).is_empty
    assert start == pytest.approx(pattern.layout.fold + pattern.layout.slot_length / 2 + LINING_IN)
    assert piece.of == "lining"
    assert piece.width == pytest.approx(pattern.strap.width - 2 * LINING_IN)


def the_seam_runs_three_millimetres_in_and_stays_mirrored(pattern: CollarPattern) -> None:
    edge = LineString([*pattern.strap.outline, pattern.strap.outline[0]])
    line = seam(pattern).line
    for x, y in line:
        assert edge.distance(LineString([(x, y), (x, y + 1e-9)])) == pytest.approx(SEAM_IN, abs=CHORD)
    assert [(x, -y) for x, y in reversed(line)] == list(line)
    lining = Polygon([(x + (pattern.layout.lined or 0), y) for x, y in part(pattern, "lining").outline])
    assert all(lining.buffer(1e-6).contains(LineString([a, b])) for a, b in pairwise(line))


def whole_stitches_close_the_seam(pattern: CollarPattern) -> None:
    one, thread = seam(pattern), pattern.fittings.thread
    assert thread is not None
    assert one.count
    length = LineString(one.line).length
    # No other count of stitches is nearer to the length that the thread is sewn at.
    nearest = min(range(1, 2000), key=lambda n: abs(length / n - thread.stitch))
    assert abs(length / one.count - thread.stitch) <= abs(length / nearest - thread.stitch) + 0.02
    holes = stitch_holes(one)
    assert len(holes) == one.count + 1
    assert holes[-1] == pytest.approx(one.line[-1])
    assert max(dist(a, b) for a, b in pairwise(holes)) <= length / one.count + 1e-6


def padding_keeps_off_seam_fold_and_holes(pattern: CollarPattern) -> None:
    layout = pattern.layout
    if layout.padded is None:
        assert "padding" not in {one.name for one in pattern.parts}
        return
    start, end = layout.padded
    assert start >= 2 * layout.fold
    assert end <= layout.holes[0] - layout.hole_diameter / 2
    piece = part(pattern, "padding")
    moved = Polygon([(x + start, y) for x, y in piece.outline])
    apart = moved.symmetric_difference(inside_by(pattern, SEAM_IN + PADDING_IN, start, end))
    assert apart.buffer(-CHORD).is_empty
    assert moved.distance(LineString(seam(pattern).line)) >= PADDING_IN - CHORD


def decoration_keeps_off_the_seam(pattern: CollarPattern) -> None:
    inner = pattern.layout.width / 2 - SEAM_IN
    for one in pattern.strap.marks:
        if one.kind in ("stud", "lettering", "plate"):
            tall = (one.diameter or one.height or one.width or 0.0) / 2
            assert abs(one.y) + tall <= inner + 1e-9
        if one.kind == "border":
            assert abs(one.y) + (one.height or 0.0) / 2 < inner


def the_inside_girth_is_what_it_is_without(pattern: CollarPattern) -> None:
    plain = make_collar(pattern.spec.model_copy(update={"lining": ""}), SHOP)
    assert pattern.fit.inside_girth == pytest.approx(plain.fit.inside_girth, abs=1e-6)
    lining = pattern.fittings.lining
    assert lining is not None
    # One ply after another round the neck, each outside the one before.
    inner = pattern.fit.inside_girth / (2 * pi)
    if lining.padding:
        middle = inner + lining.thickness + lining.padding + pattern.fittings.leather.thickness / 2
    else:
        middle = inner + (lining.thickness + pattern.fittings.leather.thickness) / 2
    used_up = pattern.fit.flat - 2 * pi * middle
    assert used_up == pytest.approx(plain.fit.flat - 2 * pi * (inner + plain.layout.thickness / 2), abs=1e-6)


def test_what_a_lining_adds() -> None:
    thin, padded = (made(lining=code).fittings for code in ("calf-lining", PADDED))
    assert lining_adds(None) == 0
    assert lining_adds(thin.lining) == pytest.approx(pi)
    assert lining_adds(padded.lining) == pytest.approx(2 * pi * 4)
    assert added_by(thin).all - added_by(made().fittings).all == pytest.approx(pi)


def test_a_collar_made_to_match_one_without_lining_is_longer_and_says_so() -> None:
    pattern = made(lining=PADDED)
    assert pattern.fit.flat - 482.6 == pytest.approx(25.13, abs=0.01)
    assert "made 1 in (25.1 mm) longer" in text_of(pattern, "lined-longer")
    assert "lined-longer" not in codes(made(lining=PADDED, measured="tape-snug"))


def test_a_fold_of_three_plies_takes_longer_rivets_than_the_ring_tab() -> None:
    pattern = made(lining="calf-lining")
    fold, _, tab, *_ = pattern.joints
    assert (fold.plies, fold.stack, tab.plies, tab.stack) == (3, 7.0, 2, 6.0)
    assert pattern.fittings.fold_fastener.grip_max > pattern.fittings.tab_fastener.grip_max
    assert [(row.place, row.quantity) for row in pattern.hardware if row.kind == "rivet"] == [
        ("fold", 2),
        ("ring tab", 2),
    ]


def test_keepers_go_round_the_lining_too() -> None:
    plain, more = (made(style="heel-bar", keepers="sliding", lining=code) for code in ("", "calf-lining"))
    for name in ("keeper", "sliding-keeper"):
        # Strap and tail are lined; both sides of the loop are longer by both plies.
        assert part(more, name).length - part(plain, name).length == pytest.approx(4 * 1.0)


@pytest.mark.parametrize(("lining", "least"), [("calf-lining", 12.0), (PADDED, 16.0)])
def test_a_strap_too_narrow_to_be_lined_is_refused_with_what_works(lining: str, least: float) -> None:
    padding = PADDING_IN if lining == PADDED else 0
    assert least == 2 * (SEAM_IN + padding) + BETWEEN
    row = next(one for one in SHOP.linings if one.code == lining)
    guard_lining(least, row)
    with pytest.raises(DoesNotFit) as caught:
        guard_lining(least - 0.1, row)
    assert [(way.field, way.value) for way in caught.value.would_work] == [("lining", "")]


def test_lace_and_lining_do_not_share_an_edge() -> None:
    with pytest.raises(DoesNotFit) as caught:
        made(lining="calf-lining", lacing="whip", grooves="none")
    assert [(way.field, way.value) for way in caught.value.would_work] == [("lacing", ""), ("lining", "")]


def test_a_workshop_without_thread_or_lining_says_so() -> None:
    for shop, wish in (
        (workshop(threads=()), {"lining": "calf-lining"}),
        (SHOP, {"lining": "gold-leaf"}),
        (SHOP, {"lining": "calf-lining", "thread": "gold-leaf"}),
    ):
        fault = attempt(collar(**wish), shop)
        assert isinstance(fault, NotStocked)
        assert isinstance(fault, DesignError)


def thread_goes_along_and_through_twice_for_each_stitch(pattern: CollarPattern) -> None:
    found = sewn(pattern.strap.marks, pattern.fittings)
    assert found is not None
    ply = pattern.fittings.leather.thickness + pattern.fittings.lining.thickness  # type: ignore[union-attr]
    one_thread = LineString(seam(pattern).line).length + found.stitches * ply
    assert found.thread == pytest.approx(2 * one_thread + ENDS)


def test_four_to_five_times_the_seam_is_the_usual_rule_for_thread() -> None:
    # Common practice at the bench, from memory; leathers of 3 to 4 mm in stitches of 4 mm.
    pattern = made(lining="calf-lining")
    found = sewn(pattern.strap.marks, pattern.fittings)
    assert found is not None
    assert 4 <= found.thread / LineString(seam(pattern).line).length <= 5


def test_tickets_are_those_of_the_published_table() -> None:
    # checks/thread_conversion.csv: conversion formulas of the thread trade, values recomputed.
    for row in table("thread_sizes.csv"):
        said = thread_size(float(row["tex"])).said("metric")
        assert f"metric ticket {float(row['metric_ticket']):.0f}" in said


def test_lining_and_thread_are_paid_for_by_area_and_length() -> None:
    pattern, plain = made(lining="calf-lining"), made()
    lines = {line.code: line.amount for line in estimate(pattern, SHOP).lines}
    piece, rates = part(pattern, "lining"), SHOP.rates
    cost = piece.length * piece.width / 1e6 * 62 / (1 - float(rates.waste))
    assert float(lines["lining"]) == pytest.approx(cost, abs=0.006)
    assert float(lines["thread"]) == pytest.approx(float(thread_used(pattern)) * 0.05, abs=0.006)
    own = {line.code: line.amount for line in estimate(plain, SHOP).lines}
    # The strap is longer by what the lining adds, and nothing else of its leather.
    assert own["leather"] < lines["leather"] < own["leather"] + 1
    counts = work_counts(pattern)
    assert counts["stitch"] == seam(pattern).count
    assert work_counts(plain)["stitch"] == 0
    assert counts["part"] == work_counts(plain)["part"] + 1
    assert thread_used(plain) == lining_used(plain, rates) == 0
    taken = {piece.kind: piece.count for piece in pieces_for(pattern, rates)}
    assert taken["threads"] == round(float(thread_used(pattern)) * 100)
    assert taken["linings"] == pytest.approx(float(lining_used(pattern, rates)) * 1e4, abs=1)


def test_its_thread_is_laid_out_beside_the_hardware() -> None:
    [(what, place)] = laid_out(made(lining="calf-lining", thread="bark-thread"))
    assert (what.said("metric"), place) == ("Waxed polyester, bark: 5.4 m (17 1/2 ft)", "lining")
    assert laid_out(made()) == ()


def test_an_order_keeps_its_lining_and_its_thread() -> None:
    pattern = made(lining="pig-lining")
    kept = kept_rows(pattern, SHOP)
    assert [row.code for row in kept.linings] == ["pig-lining"]
    assert [row.code for row in kept.threads] == [SHOP.threads[0].code]
    assert attempt(pattern.spec, kept) == pattern


def test_a_seam_of_unknown_thread_is_named_as_unknown() -> None:
    known, unknown = (made(lining="calf-lining", thread=code) for code in ("", "rowan-thread"))
    estimate_of = estimate_strength(known, SHOP)
    modes = {one.code: one for one in (*estimate_of.breaking, *estimate_of.giving)}
    # 1.5 x stitches x 110 N, over the lining's quarter of the thickness.
    between = [x for x, _ in stitch_holes(seam(known)) if known.layout.ring < x < known.layout.target]
    count = 2 * (len(between) // 2 - 1)  # whole stitches between the holes of either edge
    assert modes["seam"].low in {1.5 * n * 110 * 4 for n in (count, count + 2)}
    assert modes["stitch-holes"].low == modes["size-holes"].low
    assert [one.low for one in estimate_strength(unknown, SHOP).giving if one.code == "seam"] == [None]


def test_it_is_drawn_with_every_stitch() -> None:
    pattern = made(lining="calf-lining", thread="rowan-thread")
    count = seam(pattern).count
    assert count
    assert pattern_svg(pattern, heading()).count("<circle") >= count + 1
    assert "#a2392b" in preview_svg(pattern, "imperial")
    file = ezdxf.read(StringIO(pattern_dxf(pattern)))
    sewn_on = [one for one in file.modelspace() if one.dxf.layer == "STITCH"]
    holes = [one for one in sewn_on if one.dxftype() == "CIRCLE"]
    assert len(holes) == count + 1
    [line] = [one for one in sewn_on if isinstance(one, LWPolyline)]
    assert len(line) == len(seam(pattern).line)
