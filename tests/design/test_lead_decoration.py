"""What decorates a lead: inside its clear runs, alike along both edges, by the hand, counted and paid for."""

from collections.abc import Iterator
from math import isclose
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.design import (
    LACINGS,
    MOTIFS,
    LeadPattern,
    Mark,
    Part,
    adornments,
    lace_holes,
    lace_of,
    weigh,
)
from service.design.lead_parts import OPENS
from service.design.lead_wish import Lead, Make
from service.design.reading import read_wish
from service.errors import DesignError, DoesNotFit
from service.pricing import estimate
from service.pricing.labour import work_counts
from service.strength import estimate_strength
from service.workshop import Workshop
from tests.design.makers import CLEAR, demo, mm
from tests.design.test_leads import LAP, MAKES, attempt, lead, made, shoulders

NUMBER = "REX 020 7946 0958"
ADORNING = ("border", "lacing", "stud", "lettering", "plate", "code")


def adorned(**chosen: Any) -> Lead:  # noqa: ANN401 - any field of a wish
    """A wish in which what is on the edges doesn't want one place."""
    edge = {"grooves": "none", "border": ""} if chosen["lacing"] else {}
    return lead(**{**chosen, **edge})


decorated = st.builds(
    adorned,
    length=st.floats(700, 4_000),
    make=st.sampled_from([*(make for make in MAKES if make != "one-piece"), "plain"]),
    width=st.sampled_from([19.05, 25.4, 25.4, 31.75]),
    grooves=st.sampled_from(["none", "one", "one", "two"]),
    border=st.sampled_from(["", *MOTIFS]),
    lacing=st.sampled_from(["", "", *LACINGS]),
    studs=st.none() | st.floats(25, 100),
    stud_rows=st.sampled_from(["single", "double", "zigzag", "threes"]),
    lettering=st.sampled_from(["", "REX", NUMBER]),
    letters=st.sampled_from(["stamped", "plate", "white"]),
    qr=st.sampled_from(["", "", "020 7946 0958"]),
    neck=st.none() | st.floats(300, 600),
) | st.builds(
    adorned,
    make=st.just("one-piece"),
    length=st.floats(600, 1300),
    border=st.sampled_from(["", "dots"]),
    lacing=st.sampled_from(["", "whip"]),
    lettering=st.sampled_from(["", "REX"]),
    width=st.just(25.4),
)
shops = st.sampled_from([demo(), shoulders()])


def across(one: Mark) -> tuple[float, float]:
    """From where to where a mark reaches along the strap."""
    half = (one.diameter or one.length or 0.0) / 2
    return one.x - half, one.x + half


def up(one: Mark) -> tuple[float, float]:
    """From where to where it reaches across the strap."""
    half = (one.diameter or one.height or one.width or 0.0) / 2
    return one.y - half, one.y + half


def covered(part: Part) -> Iterator[tuple[float, float]]:
    """What lies on a strap: laps, billet and handle, each with its two rivets, and a stop."""
    joints = sorted(one.x for one in part.marks if one.kind == "rivet-hole" and one.name != "Plate, rivet")
    for first, second in zip(joints[::2], joints[1::2], strict=True):
        yield first - 12.7, second + 12.7


def on(part: Part, *kinds: str) -> list[Mark]:
    return [one for one in part.marks if one.kind in kinds]


def straps(pattern: LeadPattern) -> list[Part]:
    return [part for run in pattern.runs for part in pattern.straps_of(run)]


@settings(max_examples=150, deadline=None)
@given(spec=decorated, shop=shops)
def test_all_that_decorates_a_lead_is_inside_its_clear_runs(spec: Lead, shop: Workshop) -> None:
    pattern = attempt(spec, shop)
    if isinstance(pattern, DesignError):
        return
    for part in pattern.parts:
        adorned = on(part, *ADORNING)
        assert not adorned or part in straps(pattern)
        for one in adorned:
            start, end = across(one)
            assert start >= CLEAR - 1e-9
            assert end <= part.length - CLEAR + 1e-9
            if spec.make == "one-piece":
                fold = next(mark.x for mark in on(part, "fold"))
                assert start >= 2 * fold + CLEAR - 1e-9
            for low, high in covered(part):
                assert end <= low - CLEAR + 1e-9 or start >= high + CLEAR - 1e-9
            foot, top = up(one)
            if one.kind != "lacing":
                assert max(top, -foot) <= part.width / 2 - CLEAR + 1e-9
    words = on(pattern.strap, "lettering", "plate")
    # What is read is clear of what is along the edges, of studs and of each other.
    for one in words:
        for other in on(pattern.strap, "border", "lacing", "stud", "lettering", "plate"):
            apart = max(up(one)[0] - up(other)[1], up(other)[0] - up(one)[1])
            along = max(across(one)[0] - across(other)[1], across(other)[0] - across(one)[1])
            assert other is one or apart >= 1 - 1e-9 or along >= CLEAR - 1e-9


@settings(max_examples=120, deadline=None)
@given(spec=decorated, shop=shops)
def test_both_edges_are_alike_and_each_run_comes_out_even_on_every_strap(spec: Lead, shop: Workshop) -> None:
    pattern = attempt(spec, shop)
    if isinstance(pattern, DesignError):
        return
    for part in straps(pattern):
        for kind in ("border", "lacing"):
            upper = [(one.x, one.y, one.length, one.count) for one in on(part, kind) if one.y > 0]
            lower = [(one.x, -one.y, one.length, one.count) for one in on(part, kind) if one.y < 0]
            assert upper == lower
            assert len(upper) == (1 if getattr(spec, kind) and part is pattern.strap else len(upper))
        if spec.stud_rows == "double":
            places = {(round(one.x, 6), round(one.y, 6)) for one in on(part, "stud")}
            assert places == {(x, -y) for x, y in places}


@settings(max_examples=120, deadline=None)
@given(spec=decorated, shop=shops)
def test_what_is_lettered_is_on_the_strap_at_the_hand_and_nearest_to_it(spec: Lead, shop: Workshop) -> None:
    pattern = attempt(spec, shop)
    if isinstance(pattern, DesignError) or not (spec.lettering or spec.qr):
        return
    assert pattern.strap.quantity == 1
    assert sum(bool(on(part, "lettering", "plate")) for part in pattern.parts) == 1
    words = on(pattern.strap, "lettering", "plate")
    assert len(words) == bool(spec.lettering) + bool(spec.qr)
    end = max(high for low, high in covered(pattern.strap) if low < max(one.x for one in words))
    room = min(low for low, _ in covered(pattern.strap) if low > max(one.x for one in words))
    # Nearer to the hand than to the dog, unless two of them fill a short strap.
    hand, dog = room - max(across(one)[1] for one in words), min(across(one)[0] for one in words) - end
    assert hand <= dog + 1e-6 or (len(words) > 1 and hand <= 12.7 + 2 * 6.0)
    said = [str(one.phrase) for one in adornments(pattern)]
    assert any("name plate" in text for text in said) == (spec.letters == "plate" and bool(spec.lettering))
    assert any("QR tag" in text for text in said) == bool(spec.qr)


@settings(max_examples=80, deadline=None)
@given(spec=decorated, shop=shops)
def test_what_decorates_a_lead_is_listed_counted_weighed_and_judged(spec: Lead, shop: Workshop) -> None:
    pattern = attempt(spec, shop)
    if isinstance(pattern, DesignError):
        return
    counts, parts = work_counts(pattern), pattern.parts
    assert counts["border stamp"] == sum(
        part.quantity * (one.count or 0) for part in parts for one in on(part, "border")
    )
    assert counts["lace hole"] == sum(part.quantity * lace_holes(part.marks) for part in parts)
    plates = len(on(pattern.strap, "plate"))
    assert counts["plate"] == plates == sum(one.quantity for one in pattern.hardware if one.kind == "plate")
    assert {(line.kind, line.code) for line in pattern.hardware} <= pattern.fittings.hardware.keys()
    modes = {mode.code for mode in estimate_strength(pattern, shop).breaking}
    assert ("plate-holes" in modes) == bool(plates)
    assert ("lace-holes" in modes) == bool(on(pattern.strap, "lacing"))


def test_a_plate_and_a_tag_cost_and_weigh_what_they_are() -> None:
    plain = made(width=mm("1"), studs=None)
    plated = made(width=mm("1"), lettering=NUMBER, letters="plate", qr="020 7946 0958")
    lines = {line.code: line.amount for line in estimate(plated, demo()).lines}
    before = {line.code: line.amount for line in estimate(plain, demo()).lines}
    new = sorted(lines.keys() - before.keys())
    assert [code.split("-")[0] for code in new] == ["plate", "plate", "rivet"]
    rows = plated.fittings.hardware
    grams = sum((rows[line.kind, line.code].mass_g or 0.0) * line.quantity for line in plated.hardware) - sum(
        (rows[line.kind, line.code].mass_g or 0.0) * line.quantity for line in plain.hardware
    )
    assert grams > 0
    assert weigh(plated).hardware - weigh(plain).hardware == pytest.approx(grams)
    assert [joint.name for joint in plated.joints].count("Plate") == 2


def test_a_laced_lead_takes_so_much_lace() -> None:
    # From memory: 3.5 lengths of the edge. Its clear run is strap less two laps of 2 in and 3 mm at each end.
    pattern = made(grooves="none", width=mm("1"), lacing="whip")
    run = pattern.strap.length - 2 * LAP - 2 * CLEAR
    assert lace_of((pattern.strap,)) == pytest.approx(2 * run * 3.5)
    assert isclose(float(work_counts(pattern)["metre of lace"]), 7 * run / 1000, abs_tol=0.001)
    (said,) = [str(one.text) for one in pattern.findings if one.code == "laced"]
    assert said.startswith("On the lead: Laced in whipstitch: ")


def test_on_lapped_straps_it_is_said_how_much_there_is_on_all() -> None:
    pattern = made(shoulders(), width=mm("1"), border="rope", studs=mm("2"), length=mm("57 1/2"))
    assert {part.name for part in straps(pattern) if on(part, "border")} == {"strap"}
    assert pattern.strap.quantity == 2
    (said,) = [str(one.text) for one in pattern.findings if one.code == "border-spaced"]
    assert f"on all of them together {work_counts(pattern)['border stamp']}." in said
    lettered = made(shoulders(), width=mm("1"), border="rope", lettering="REX", length=mm("57 1/2"))
    assert [(part.name, part.quantity) for part in straps(lettered)] == [("strap", 1), ("strap-2", 1)]
    assert all(on(part, "border") for part in straps(lettered))


def test_what_runs_through_a_slip_leads_ring_stays_plain() -> None:
    pattern = made(make="slip", neck=400.0, studs=mm("2"))
    stop = max(one.x for one in on(pattern.strap, "rivet-hole") if one.x < pattern.strap.length / 2)
    assert min(across(one)[0] for one in on(pattern.strap, "stud")) > stop + OPENS
    assert "slip-plain" in [one.code for one in pattern.findings]
    assert "slip-plain" not in [one.code for one in made(make="slip").findings]


@pytest.mark.parametrize(
    ("wish", "field"),
    [
        ({"length": 420.0, "lettering": "THE LONGEST NAME OF ALL OF THEM"}, "lettering"),
        ({"length": 420.0, "lettering": "REX", "letters": "plate"}, "lettering"),
        ({"length": 420.0, "qr": "020 7946 0958"}, "qr"),
        ({"width": 19.05, "qr": "020 7946 0958", "border": "leaf"}, "qr"),
        ({"width": 15.875, "lacing": "whip", "grooves": "none"}, "lacing"),
        ({"width": 15.875, "border": "leaf", "grooves": "two"}, "grooves"),
        ({"lacing": "whip", "grooves": "one", "width": 25.4}, "lacing"),
    ],
)
@pytest.mark.parametrize("make", ["plain", "coupler", "plaited-handle"])
def test_what_has_no_room_is_refused_with_what_works(wish: dict[str, object], field: str, make: Make) -> None:
    if make == "coupler" and "length" in wish:
        wish = {**wish, "length": 755.0}
    problem = attempt(lead(make=make, **wish), demo())
    assert isinstance(problem, DoesNotFit), problem
    assert problem.would_work
    assert {field, "length"} & {problem.field, *(way.field for way in problem.would_work)}


def test_a_lead_is_asked_for_with_all_that_decorates_a_collar() -> None:
    typed = {"kind": "lead", "lettering": "Rex", "letters": "gold", "border": "dots", "width": "1 in"}
    spec = read_wish(typed, demo())
    assert (spec.lettering, spec.letters, spec.border) == ("REX", "gold", "dots")
    assert read_wish({"kind": "lead", "lacing": "loop", "width": "1 in"}, demo()).grooves == "none"


def test_the_words_end_half_an_inch_before_the_joint_at_the_hand_where_there_is_room() -> None:
    # By eye: 1/2 in, and the 6 mm that letters keep off a joint. The joint is 2 in long.
    (words,) = on(made(lettering="REX").strap, "lettering")
    end = made().strap.length - LAP
    assert end - across(words)[1] == pytest.approx(12.7 + 6.0)


def test_what_is_too_narrow_for_a_text_is_refused_with_a_width_that_is_not() -> None:
    problem = attempt(lead(border="rope", lettering="REX", width=15.875), demo())
    assert isinstance(problem, DoesNotFit)
    assert ("width", "25.4 mm") in {(way.field, way.value) for way in problem.would_work}


@pytest.mark.parametrize("length", [300.0, 430.0])
def test_on_a_lead_too_short_for_its_text_a_longer_one_is_a_way(length: float) -> None:
    problem = attempt(lead(length=length, lettering="REX", letters="plate"), demo())
    assert isinstance(problem, DoesNotFit)
    ways = [float(way.value.split()[0]) for way in problem.would_work if way.field == "length"]
    assert ways
    assert all(made(length=way, lettering="REX", letters="plate").length > length for way in ways)
