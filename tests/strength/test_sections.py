"""What sections and joints bear, against published and worked cases; their sources stand in the table."""

from collections.abc import Callable
from math import pi

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.strength.sections import (
    CHAINSTITCH,
    bearing,
    bearing_backed,
    fold_round_bar,
    holed_section,
    net_section,
    pin_bends,
    pin_gives_way,
    pin_moment,
    pull_through,
    ring_bends,
    ring_gives_way,
    ring_moments,
    seam,
    snatch,
    solid_strap,
    tear_out,
    wire_stress,
)
from tests.design.makers import IN, table

ROWS = {row["id"]: row for row in table("check_values.csv")}
LBF_INCH = 4.4482216152605 / IN  # N/mm in a pound-force per inch, exactly (NIST SP 811, B.8)
PSI = 0.006894757293168
EC3, SHIGLEY = 1.25, 1.5  # the partial factor and the factor of safety that the cases divide by
GIVEN, MM, STRESS = (0.21, 0.36), st.floats(1, 80), st.floats(1, 500)


def within(check: str, part: int = 0) -> object:
    """The expected value of a case; of one with several, that part."""
    expected = (
        ROWS[check]["expected"].rpartition("=")[2] if check in {"R5", "R6"} else ROWS[check]["expected"]
    )
    return pytest.approx(float(expected.split(" / ")[part]), abs=float(ROWS[check]["abs_tol"]))


# Shigley's splice on two bolts of 3/4 in a side, 1 in thick: in inches and kip.


def test_a_splice_bears_on_its_bolts_and_members() -> None:
    assert 2 * bearing(0.75, 1, 85) / SHIGLEY == within("J1")
    assert 2 * bearing(0.75, 1, 54) / SHIGLEY == within("J2")


def test_a_splice_tears_out_at_its_edge() -> None:
    assert 2 * tear_out(1.125, 1, 54) / SHIGLEY == within("J5")


def test_a_splice_tears_beside_its_holes() -> None:
    assert net_section(4, 1, 54, (0.75, 0.75)) / SHIGLEY == within("J6")


def test_a_riveted_joint_is_as_good_as_its_weakest_mode() -> None:
    torn, crushed = net_section(80, 12, 115, (18,)), 2 * bearing(18, 12, 160)
    assert torn == within("J7")
    assert crushed == within("J9")
    assert min(torn, crushed) / solid_strap(80, 12, 115) == within("J10")


def test_a_lap_joint_tears_and_crushes() -> None:
    assert net_section(200, 5, 200, (11, 11, 11)) / 1000 == within("J17", 0)
    assert 3 * bearing(10, 5, 150) / 1000 == within("J17", 1)


def test_a_bolt_bears_by_the_eurocode() -> None:
    assert bearing_backed(20, 22, 9, 410, 30, 35) / EC3 / 1000 == within("J11")


def test_a_head_is_pulled_through_by_the_eurocode() -> None:
    assert pull_through(30, 8, 360) / EC3 / 1000 == within("J13", 2)


def test_a_ring_bends_by_roark() -> None:
    assert ring_moments(1, 1) == (within("R1"), within("R2"))
    assert wire_stress(ring_moments(500, 15)[0], 4) == within("R5")
    assert ring_bends(15, 4, 379.9544) == pytest.approx(500, abs=0.01)


def test_a_bar_bends_as_a_beam() -> None:
    assert wire_stress(pin_moment(500, 27), 4) == within("R6")
    assert pin_bends(27, 4, 268.5740) == pytest.approx(500, abs=0.01)


def test_a_ring_of_hinges_bears_what_equilibrium_of_half_of_it_asks() -> None:
    hinge = 120 * 4**3 / 6  # the plastic moment of a round bar: f d³ / 6 (Shigley; Roark)
    load = ring_gives_way(15, 4, 120)
    assert load / 2 * 15 == pytest.approx(2 * hinge)


def test_a_hinged_bar_bears_more_than_a_bent_one_by_the_shape_of_a_circle() -> None:
    shape = 16 / (3 * pi)  # plastic over elastic modulus of a circle (Roark)
    assert pin_gives_way(27, 4, 120) / pin_bends(27, 4, 120) == pytest.approx(shape)


def test_seams_by_the_rule_of_the_thread_trade() -> None:
    assert seam(10, 4.0) == within("S1")
    assert seam(10, 4.0, CHAINSTITCH) == within("S2")
    assert [seam(count, 2.6) for count in (6, 8, 10, 12)] == [within("S3", n) for n in range(4)]


def test_the_shares_of_holes_are_those_of_old_belting() -> None:
    laced = 200 * LBF_INCH
    low, high = 3000 * PSI, 5000 * PSI
    assert (low, high) == (within("L1", 0), within("L1", 1))
    assert laced * IN == within("L2")
    belt = 3 / 16 * IN
    assert (laced / (high * belt), laced / (low * belt)) == pytest.approx(GIVEN, abs=0.005)


def test_a_belt_is_as_wide_as_its_tension_over_what_an_inch_may_bear() -> None:
    # A third of what laced belts bear is allowed: an inch of a ply one thick at 200/3 lbf per inch.
    assert 400 / solid_strap(1, 1, 200 / 3) == within("L3")


def test_a_snatch_by_energy() -> None:
    assert snatch(25, 4, 5000) == within("D1")
    assert snatch(25, 4, 1500) == within("D2")
    assert snatch(25, 4, 5000, pull=25 * 9.81) == within("D3")


def test_a_pull_that_comes_at_once_counts_twice() -> None:
    assert snatch(25, 0, 5000, pull=100) == 200


@given(energy=st.floats(1, 500), pull=st.floats(0, 500), stiffness=st.floats(100, 20_000))
def test_a_snatch_stores_what_the_dog_brings(energy: float, pull: float, stiffness: float) -> None:
    force = snatch(2 * energy, 1, stiffness, pull)  # m v² / 2 is `energy`
    stretch = force / stiffness
    assert stiffness * stretch**2 / 2 == pytest.approx(energy + pull * stretch)


def test_plain_net_section_flatters_leather_and_does_not_govern() -> None:
    low, high = holed_section(25.4, 3, 15, 4, GIVEN)
    assert [low, high] == pytest.approx([240.03, 411.48])
    assert net_section(25.4, 3, 15, (4,)) == pytest.approx(963)


def test_a_hole_as_wide_as_the_strap_leaves_nothing() -> None:
    assert holed_section(20, 3, 15, 20, GIVEN) == (0, 0)
    assert holed_section(20, 3, 15, 25, GIVEN) == (0, 0)
    assert tear_out(-1, 3, 15) == 0


SCALED: dict[str, Callable[[float], float]] = {
    "solid": lambda k: solid_strap(25 * k, 3 * k, 15),
    "net": lambda k: net_section(25 * k, 3 * k, 15, (4 * k,)),
    "holed": lambda k: holed_section(25 * k, 3 * k, 15, 4 * k, GIVEN)[1],
    "fold": lambda k: fold_round_bar(25 * k, 3 * k, 15, 4 * k)[0],
    "tear-out": lambda k: tear_out(11 * k, 3 * k, 15),
    "bearing": lambda k: bearing(3 * k, 3 * k, 15),
    "backed": lambda k: bearing_backed(3 * k, 4 * k, 3 * k, 15, 9 * k, 8 * k),
    "pull-through": lambda k: pull_through(9 * k, 3 * k, 15),
    "ring bends": lambda k: ring_bends(15 * k, 4 * k, 120),
    "ring": lambda k: ring_gives_way(15 * k, 4 * k, 120),
    "bar bends": lambda k: pin_bends(27 * k, 4 * k, 120),
    "bar": lambda k: pin_gives_way(27 * k, 4 * k, 120),
}


@pytest.mark.parametrize("name", SCALED)
@given(k=st.floats(0.05, 20))
def test_twice_as_large_bears_four_times_as_much_whatever_the_unit(name: str, k: float) -> None:
    assert SCALED[name](k) == pytest.approx(k * k * SCALED[name](1))


@given(width=MM, thickness=MM, stress=STRESS, hole=MM, more=st.floats(1, 3))
def test_wider_thicker_and_tougher_is_never_weaker(
    width: float, thickness: float, stress: float, hole: float, more: float
) -> None:
    def bears(width: float, thickness: float, stress: float) -> list[float]:
        return [
            solid_strap(width, thickness, stress),
            net_section(width, thickness, stress, (hole,)),
            *holed_section(width, thickness, stress, hole, GIVEN),
            *fold_round_bar(width, thickness, stress, hole),
            tear_out(width, thickness, stress),
            bearing(width, thickness, stress),
            bearing_backed(hole, hole, thickness, stress, width, width),
            pull_through(width, thickness, stress),
        ]

    now = bears(width, thickness, stress)
    for better in ((width * more, thickness, stress), (width, thickness * more, stress)):
        assert all(after >= before * (1 - 1e-12) for before, after in zip(now, bears(*better), strict=True))
    tougher = bears(width, thickness, stress * more)
    assert tougher == pytest.approx([more * one for one in now])


@given(width=MM, thickness=MM, stress=STRESS, hole=MM)
def test_what_has_holes_never_bears_more_than_what_has_none(
    width: float, thickness: float, stress: float, hole: float
) -> None:
    low, high = holed_section(width, thickness, stress, hole, GIVEN)
    assert 0 <= low <= high <= solid_strap(width, thickness, stress)
    assert high <= net_section(width, thickness, stress, (hole,))
