"""Leads: lengths by hand, parts that assemble to what was asked for, joints that close, what is refused."""

from itertools import pairwise
from math import cos, isclose, pi, radians
from typing import Any, cast, get_args

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.design import make_pattern
from service.design.lead import LeadPattern
from service.design.lead_lengths import arch_length, passes, straps_for
from service.design.lead_parts import BILLET, HANDLE, cords
from service.design.lead_rows import SNAPS
from service.design.lead_wish import Lead, Make
from service.design.pattern import Part
from service.design.reading import read_parameter
from service.errors import DesignError, DoesNotFit, NotStocked
from service.workshop import Leather, Snap, Workshop
from tests.design.makers import IN, demo, mm, only, workshop

MAKES: tuple[Make, ...] = get_args(Make)
LAP = mm("2")  # common practice: two rivets 1 in apart, each 1/2 in from a cut end


def lead(**changed: Any) -> Lead:  # noqa: ANN401 - any field of a wish
    return Lead.model_validate({"leather": "chestnut", "finish": "brass", **changed})


def made(shop: Workshop | None = None, **changed: Any) -> LeadPattern:  # noqa: ANN401 - any field of a wish
    return cast("LeadPattern", make_pattern(lead(**changed), shop or demo()))


def shoulders() -> Workshop:
    """The demo workshop with nothing but shoulders: about 24 in a strap (common practice)."""
    return only("leathers", longest=609.6)


def attempt(wish: Lead, shop: Workshop) -> LeadPattern | DesignError:
    try:
        return cast("LeadPattern", make_pattern(wish, shop))
    except DesignError as problem:
        return problem


def named(pattern: LeadPattern, name: str) -> Part:
    (found,) = [part for part in pattern.parts if part.name == name]
    return found


def codes(pattern: LeadPattern) -> list[str]:
    return [finding.code for finding in pattern.findings]


def text_of(pattern: LeadPattern, code: str) -> str:
    (found,) = [finding for finding in pattern.findings if finding.code == code]
    return str(found.text)


def fold_of(part: Part) -> float:
    (at,) = [mark.x for mark in part.marks if mark.kind == "fold"]
    return at


def holes_of(part: Part) -> list[float]:
    return sorted(mark.x for mark in part.marks if mark.kind == "rivet-hole")


# What is known from outside


def test_two_straps_of_24_in_with_billet_and_handle_come_to_just_under_5_ft() -> None:
    # Common practice: straps from a shoulder are about 24 in; two of them make a lead of just under 5 ft.
    pattern = made(shoulders(), length=mm("57 1/2"))
    strap = named(pattern, "strap")
    assert strap.quantity == 2
    assert strap.length == pytest.approx(mm("24"), abs=0.01)
    assert mm("56") < pattern.length < mm("60")


def test_a_side_gives_a_lead_of_5_ft_in_one_strap() -> None:
    # Common practice: 7 to 8 ft can be cut from a side.
    pattern = made(length=mm("60"))
    assert named(pattern, "strap").quantity == 1
    assert [joint.name for joint in pattern.joints] == ["Billet", "Handle"]


def test_a_lap_takes_two_rivets_and_two_plies_and_the_ends_take_three_plies_and_longer_posts() -> None:
    # Common practice: two plies at a lap, three where a billet or handle sandwiches the strap.
    joints = {joint.name: joint for joint in made(shoulders(), length=mm("57 1/2")).joints}
    assert {name: (one.plies, one.stack, one.quantity) for name, one in joints.items()} == {
        "Billet": (3, 9.0, 2),
        "Lap": (2, 6.0, 2),
        "Handle": (3, 9.0, 2),
    }
    lap, end = joints["Lap"].fastener, joints["Billet"].fastener
    assert lap is not None
    assert end is not None
    assert lap.grip_max < end.grip_max


def test_lap_billet_and_handle_are_cut_as_saddlers_cut_them() -> None:
    # Common practice: lap 2e + s = 2 in; a handle that leaves a loop of 7 to 8 in.
    pattern = made(shoulders(), length=mm("57 1/2"))
    assert holes_of(named(pattern, "strap"))[:2] == pytest.approx([mm("1/2"), mm("1 1/2")])
    handle = named(pattern, "handle")
    assert mm("7") <= handle.length / 2 - LAP <= mm("8")
    # From the inner rivet to the fold 1 in, as on a collar 1 in wide (common practice).
    billet = named(pattern, "billet")
    assert fold_of(billet) - holes_of(billet)[1] == pytest.approx(mm("1"))


def test_holes_of_a_billet_meet_when_it_is_folded() -> None:
    # Derived: both halves leave the fold alike.
    billet = named(made(), "billet")
    fold, holes = fold_of(billet), holes_of(billet)
    assert [2 * fold - x for x in reversed(holes)] == pytest.approx(holes)


def test_the_cords_of_a_plait_are_longer_by_one_over_the_cosine_of_its_angle() -> None:
    # Derived; the angle is from memory.
    handle = named(made(make="plaited-handle"), "handle")
    slits = [mark for mark in handle.marks if mark.kind == "slit"]
    assert len(slits) + 1 == cords(19.05) == 3
    loop = 2 * (HANDLE / 2 - LAP)
    assert [mark.length for mark in slits] == pytest.approx([loop / cos(radians(35))] * 2, abs=0.01)
    assert handle.length == pytest.approx(loop / cos(radians(35)) + 2 * LAP)


def test_a_fixed_stop_keeps_the_noose_as_wide_as_the_neck() -> None:
    # Derived: from the fold to the stop, and the ring's opening; its middle lies half a thickness out.
    pattern = made(make="slip", neck=400.0)
    ring = pattern.fittings.ring
    assert ring is not None
    rivets = [x for x in holes_of(named(pattern, "strap")) if LAP < x < named(pattern, "strap").length - LAP]
    stop = named(pattern, "stop")
    far = rivets[-1] + (stop.length - holes_of(stop)[-1])
    noose = (BILLET / 2 - LAP) + far + ring.inside
    assert noose - pi * pattern.fittings.leather.thickness == pytest.approx(400.0, abs=0.01)
    # It is wider than the opening, so that it can't be drawn through.
    assert stop.width > ring.inside


def test_an_arch_is_longer_than_its_span_and_a_half_circle_is_known() -> None:
    # Geometry: half a circle of diameter 100 is 50 pi long.
    assert arch_length(100.0, 50.0) == pytest.approx(50 * pi)
    assert arch_length(127.0, 38.1) == pytest.approx(155.5, abs=0.1)


def test_an_o_ring_lets_the_strap_run_through() -> None:
    # Geometry: the diagonal of a section 3 by 4 is 5.
    assert passes(4.0, 3.0) == pytest.approx(5.0 + 2.0)
    ring = made(make="slip").fittings.ring
    assert ring is not None
    assert (ring.inside, ring.finish) == (25.4, "brass")


# Properties


def assembled(pattern: LeadPattern) -> float:
    """The finished length from the parts and the metal alone, laid taut from end to end."""
    spec, snap, ring = pattern.spec, pattern.fittings.snap, pattern.fittings.ring
    straps = [part for part in pattern.parts if "strap" in part.name]
    if spec.make == "one-piece":
        (strap,) = straps
        assert snap is not None
        fold, holes = fold_of(strap), holes_of(strap)
        # The handle's end is half way between the rivets that meet there.
        return snap.length - fold + (holes[-1] + holes[-4]) / 2
    billet = named(pattern, "billet").length / 2 - LAP
    handle = named(pattern, "handle").length / 2 - LAP
    if spec.make == "plaited-handle":
        slit = next(mark.length for mark in named(pattern, "handle").marks if mark.kind == "slit")
        assert slit is not None
        handle = slit * cos(radians(35)) / 2
    if spec.make == "slip":
        assert ring is not None
        head = ring.inside + ring.wire
    else:
        assert snap is not None
        head = snap.length

    def run(parts: list[Part], share: int = 1) -> float:
        count = sum(part.quantity for part in parts) // share
        return sum(part.quantity * part.length for part in parts) / share - (count - 1) * LAP

    branches = [part for part in straps if part.name.startswith("branch")]
    short = [part for part in straps if part.name.startswith("short")]
    main = [part for part in straps if part not in branches and part not in short]
    whole = head + billet + run(main) + handle
    if branches:
        assert ring is not None
        return whole + ring.inside + head + billet + run(branches, 2) + billet
    if short:
        assert ring is not None
        return whole + ring.inside + head + billet + run(short) + handle
    return whole


wishes = st.builds(
    lead,
    length=st.floats(300, 15_000),
    make=st.sampled_from(MAKES),
    width=st.sampled_from([15.875, 19.05, 20.0, 25.4, 31.75]) | st.floats(8, 40),
    leather=st.sampled_from([row.code for row in demo().leathers]),
    finish=st.sampled_from([row.code for row in demo().finishes]),
    fastening=st.sampled_from(["rivet", "screw-post"]),
    grooves=st.sampled_from(["none", "one", "two", "three"]),
    neck=st.none() | st.floats(150, 915),
    studs=st.none() | st.floats(8, 200),
    stud_rows=st.sampled_from(["single", "double", "zigzag", "threes"]),
    border=st.sampled_from(["", "", "dots", "leaf"]),
    lacing=st.sampled_from(["", "", "", "whip"]),
    lettering=st.sampled_from(["", "", "REX"]),
    letters=st.sampled_from(["stamped", "plate", "gold"]),
    qr=st.sampled_from(["", "", "", "020 7946 0958"]),
)
shops = st.builds(
    lambda longest, thickness: only("leathers", longest=longest, thickness=thickness, colouring="undyed"),
    st.floats(600, 3000),
    st.floats(1.2, 6),
)


@settings(max_examples=400, deadline=None)
@given(spec=wishes, shop=shops)
def test_parts_of_every_make_assemble_to_the_length_asked_for(spec: Lead, shop: Workshop) -> None:
    pattern = attempt(spec, shop)
    if isinstance(pattern, DesignError):
        return
    assert assembled(pattern) == pytest.approx(spec.length, abs=0.01)
    assert pattern.length == pytest.approx(spec.length, abs=0.01)
    assert all(part.length <= pattern.fittings.leather.longest + 1e-6 for part in pattern.parts)
    assert all(part.length >= 3 * LAP - 26 for part in pattern.parts if "strap" in part.name)


@pytest.mark.parametrize("make", MAKES)
@pytest.mark.parametrize("longest", [609.6, 2133.6])
def test_every_make_of_the_usual_widths_can_be_made_5_ft_long(make: Make, longest: float) -> None:
    # Usual widths are 5/8 to 3/4 in, or 1 in to match the collar (common practice).
    shop = only("leathers", longest=longest)
    for width in (mm("5/8"), mm("3/4"), mm("1")):
        result = attempt(lead(make=make, length=1524.0, width=width), shop)
        if make == "one-piece" and longest < 1524:
            assert isinstance(result, DoesNotFit)
            assert result.would_work[0].value == "plain"
        else:
            assert isinstance(result, LeadPattern)
            assert assembled(result) == pytest.approx(1524.0, abs=0.01)


@settings(max_examples=300, deadline=None)
@given(spec=wishes, shop=shops)
def test_every_joint_closes_or_it_is_said_what_to_do(spec: Lead, shop: Workshop) -> None:
    pattern = attempt(spec, shop)
    if isinstance(pattern, DesignError):
        return
    warned = codes(pattern).count("grip")
    open_stacks = {(joint.plies, joint.stack) for joint in pattern.joints if not joint.closes}
    assert warned == len(open_stacks)


@settings(max_examples=300, deadline=None)
@given(spec=wishes, shop=shops)
def test_every_hole_has_its_fastener_and_none_is_left_over(spec: Lead, shop: Workshop) -> None:
    pattern = attempt(spec, shop)
    if isinstance(pattern, DesignError):
        return
    set_in_all = sum(line.quantity for line in pattern.hardware if line.kind in {"rivet", "screw-post"})
    assert set_in_all == sum(joint.quantity for joint in pattern.joints)
    # Each fastener goes through as many plies as its joint has: so many holes there are in all parts.
    punched = sum(part.quantity * len(holes_of(part)) for part in pattern.parts)
    # A plate has its own holes.
    plies = ((joint, 1 if joint.name == "Plate" else joint.plies) for joint in pattern.joints)
    assert punched == sum(joint.quantity * count for joint, count in plies if joint.fastener)
    assert {(line.kind, line.code) for line in pattern.hardware} <= pattern.fittings.hardware.keys()


@settings(max_examples=300, deadline=None)
@given(spec=wishes, shop=shops)
def test_what_a_refusal_suggests_works(spec: Lead, shop: Workshop) -> None:
    problem = attempt(spec, shop)
    if isinstance(problem, LeadPattern):
        return
    for way in problem.would_work:
        changes = {
            one.field: read_parameter(one.field, one.value, shop)
            if one.value
            else Lead.model_fields[one.field].default
            for one in (way, *way.also)
        }
        changed = spec.model_copy(update=changes)
        assert isinstance(attempt(changed, shop), LeadPattern)


@settings(max_examples=200, deadline=None)
@given(net=st.floats(130, 20_000), longest=st.floats(600, 3000))
def test_straps_are_as_few_as_the_leather_allows(net: float, longest: float) -> None:
    straps = straps_for(net, longest)
    assert isclose(sum(straps) - (len(straps) - 1) * LAP, net, abs_tol=0.001)
    assert max(straps) <= longest + 1e-6
    fewer = len(straps) - 1
    assert not fewer or fewer * longest - (fewer - 1) * LAP < net


@settings(max_examples=200, deadline=None)
@given(spec=wishes, shop=shops)
def test_studs_keep_clear_of_joints_and_are_all_listed(spec: Lead, shop: Workshop) -> None:
    pattern = attempt(spec, shop)
    if isinstance(pattern, DesignError) or spec.studs is None:
        return
    (line,) = [one for one in pattern.hardware if one.kind == "stud"]
    assert line.quantity == sum(
        part.quantity * sum(one.kind == "stud" for one in part.marks) for part in pattern.parts
    )
    for part in pattern.parts:
        rivets = [one for one in part.marks if one.kind == "rivet-hole" and one.name != "Plate, rivet"]
        for one in part.marks:
            if one.kind == "stud":
                # Common practice: decoration keeps 3 mm from edges and from what covers the strap.
                assert one.x - (one.diameter or 0) / 2 >= 3.0
                assert abs(one.y) + (one.diameter or 0) / 2 <= part.width / 2 - 2.99
                assert all(abs(one.x - hole.x) > 12.7 for hole in rivets)


def test_studs_of_a_lead_are_at_the_pitch_that_comes_out_even() -> None:
    # Common practice: nominal pitch 2 in, the nearest that divides the clear run evenly.
    studs = [one.x for one in made(studs=mm("2")).strap.marks if one.kind == "stud"]
    gaps = {round(b - a, 6) for a, b in pairwise(studs)}
    assert len(gaps) == 1
    assert abs(gaps.pop() - mm("2")) < mm("2") / len(studs)
    lapped = made(shoulders(), length=mm("57 1/2"), studs=mm("2"))
    assert "on all of them together" in text_of(lapped, "studs-spaced")


# What is said


@pytest.mark.parametrize("make", MAKES)
def test_a_lead_too_short_for_its_handle_is_refused_with_a_length_that_works(make: Make) -> None:
    problem = attempt(lead(make=make, length=300.0), demo())
    assert isinstance(problem, DoesNotFit)
    assert problem.field == "length"
    (way,) = problem.would_work
    assert isinstance(attempt(lead(make=make, length=float(way.value.split()[0])), demo()), LeadPattern)


def test_a_lead_too_long_for_the_leather_is_refused_with_the_longest_that_can_be() -> None:
    problem = attempt(lead(length=15_000.0), demo())
    assert isinstance(problem, DoesNotFit)
    assert "more than 6 straps" in str(problem)
    (way,) = problem.would_work
    assert made(length=float(way.value.split()[0])).runs[0].laps == 5


def test_many_laps_are_advised_against_and_few_are_not() -> None:
    assert "lead-laps" in codes(made(shoulders(), length=mm("96")))
    assert "lead-laps" not in codes(made(shoulders(), length=mm("57 1/2")))


def test_it_is_said_how_long_each_strap_is() -> None:
    text = str(made(shoulders(), length=mm("57 1/2")).findings[0].text)
    assert "2 straps of 24 in (610 mm)" in text
    assert str(made(make="one-piece").findings[0].text).startswith("One strap of ")
    two = made(make="two-part")
    assert any("The short lead is " in str(one.text) for one in two.findings)


@pytest.mark.parametrize(
    ("make", "snaps", "rings"),
    [("plain", 1, 0), ("one-piece", 1, 0), ("two-part", 2, 1), ("slip", 0, 1), ("coupler", 3, 1)],
)
def test_snaps_and_rings_of_each_make(make: Make, snaps: int, rings: int) -> None:
    lines = {line.kind: line.quantity for line in made(make=make).hardware}
    assert (lines.get("snap", 0), lines.get("o-ring", 0)) == (snaps, rings)
    assert SNAPS.get(make, 1) == snaps


def test_a_slip_lead_warns_and_a_stop_with_no_room_is_refused() -> None:
    assert "slip" in codes(made(make="slip"))
    problem = attempt(lead(make="slip", neck=900.0), shoulders())
    assert isinstance(problem, DoesNotFit)
    assert (problem.field, problem.would_work[-1].value) == ("neck", "")


def test_a_traffic_loop_lies_on_the_first_strap_clear_of_both_its_ends() -> None:
    pattern = made(shoulders(), make="traffic-loop", length=700.0)
    strap = pattern.strap
    inner = holes_of(strap)[2:-2]
    assert LAP < inner[0] < inner[-1] < strap.length - LAP
    loop = named(pattern, "traffic-loop")
    # A hand goes under it: it is longer than the strap beneath, from one cut end to the other.
    laps = sorted(mark.x for mark in strap.marks if mark.kind == "lap")
    assert loop.length > laps[2] - laps[1]


def test_what_the_workshop_lacks_is_named_with_what_is_complete() -> None:
    problem = attempt(lead(width=31.75, finish="nickel"), demo())
    assert isinstance(problem, NotStocked)
    assert "It lacks: snap." in str(problem)
    assert {(way.field, way.value) for way in problem.would_work} >= {("finish", "brass")}
    none = attempt(lead(), workshop(snaps=()))
    assert isinstance(none, NotStocked)
    assert none.would_work == ()


def test_a_plait_of_too_narrow_cords_is_refused() -> None:
    thin = only("snaps", width=10.0)
    with_thin_rivets = thin.model_copy(update={"fasteners": only("fasteners", hole=2.0).fasteners})
    problem = attempt(lead(make="plaited-handle", width=10.0), with_thin_rivets)
    assert isinstance(problem, DoesNotFit)
    assert [way.value for way in problem.would_work] == ["plain"]


def test_a_lead_is_found_again_by_its_wish_and_takes_a_dye() -> None:
    wish = lead(leather="natural", dye="fern-dye", make="coupler")
    again = make_pattern(Lead.model_validate_json(wish.model_dump_json()), demo())
    assert again == make_pattern(wish, demo())
    assert again.fittings.colour == again.fittings.dye.colour if again.fittings.dye else False


def test_rows_of_the_catalogue_carry_what_a_lead_asks_of_them() -> None:
    assert Leather.model_fields["longest"].default == pytest.approx(84 * IN)
    assert "bar" in Snap.model_fields


def test_rivets_that_are_not_at_a_straps_end_are_named_after_what_they_hold() -> None:
    loop = [one.name for one in made(make="traffic-loop").stations if "Lap" not in one.name]
    assert loop == ["Rivet", "Rivet", *["Rivet, traffic loop"] * 4, "Rivet", "Rivet", "Right end"]
    one_piece = [one.name for one in made(make="one-piece").stations]
    assert (one_piece.count("Rivet, snap"), one_piece.count("Rivet, handle")) == (4, 4)
    slip = {one.name for one in made(make="slip", neck=355.6).stations}
    assert "Rivet, stop" in slip
