"""What a collar weighs and how it hangs, against plain mechanics: sums over many pieces, and symmetry."""

from dataclasses import replace
from math import atan2, cos, degrees, pi, sin, tau

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.design import CollarPattern, Mark, Part, make_pattern, weigh
from service.design.mass import LEATHER_DENSITY, part_mass
from service.geometry import rectangle
from tests.makers import collar, workshop, workshop_with

BUCKLE, RING, RIVET, STUD = 30.0, 12.0, 1.5, 1.0


def with_masses(**grams: float | None) -> CollarPattern:
    """A plain collar of 19 in whose hardware has these masses [g]."""
    return heavy({}, **grams)


def heavy(typed: dict[str, str], **grams: float | None) -> CollarPattern:
    own = {"buckles": BUCKLE, "rings": RING, "fasteners": RIVET, "studs": STUD} | grams
    rows = {
        name: tuple(row.model_copy(update={"mass_g": grams}) for row in getattr(workshop(), name))
        for name, grams in own.items()
    }
    return make_pattern(collar(**typed), workshop_with(**rows))


def blank(*marks: Mark) -> Part:
    return Part("strap", "Strap", 1, 100.0, 25.4, 3.0, rectangle(100.0, 25.4), marks)


def test_a_rectangle_weighs_its_volume() -> None:
    assert part_mass(blank()) == pytest.approx(100 * 25.4 * 3 * 0.95e-3)
    assert part_mass(replace(blank(), quantity=2)) == pytest.approx(2 * 100 * 25.4 * 3 * 0.95e-3)


def test_holes_and_slots_weigh_nothing_and_stamps_take_nothing() -> None:
    hole = Mark("size-hole", 50.0, diameter=4.0)
    slot = Mark("slot", 20.0, length=31.75, width=4.0)
    whole = part_mass(blank())
    assert whole - part_mass(blank(hole)) == pytest.approx(pi * 4 * 3 * LEATHER_DENSITY)
    gone = (27.75 * 4 + pi * 4) * 3 * LEATHER_DENSITY
    assert whole - part_mass(blank(slot)) == pytest.approx(gone)
    assert part_mass(blank(Mark("lettering", 50.0, length=40.0, height=9.0, text="REX"))) == whole


def test_the_whole_is_the_sum_of_its_parts_and_hardware() -> None:
    weighed = weigh(with_masses())
    assert weighed.hardware == pytest.approx(BUCKLE + RING + 4 * RIVET)
    assert weighed.unknown == ()
    assert weighed.total == pytest.approx(weighed.leather + weighed.hardware)
    # 698.5 x 25.4 x 3 mm of strap at 0.95 g/cm³ are 50.6 g; the tab adds a little, the end is pointed.
    assert 50 < weighed.leather < 54


def test_hardware_without_a_mass_is_named_and_not_guessed() -> None:
    weighed = weigh(with_masses(buckles=None))
    assert weighed.hardware == pytest.approx(RING + 4 * RIVET)
    assert len(weighed.unknown) == 1
    assert weighed.rest_deg is None
    assert weigh(with_masses(fasteners=None)).rest_deg is not None


@pytest.mark.parametrize(
    "typed", [{"neck": "19 in"}, {"neck": "61 cm", "width": "1 1/2 in", "style": "heel-bar", "studs": "2 in"}]
)
def test_the_ring_rests_where_many_small_pieces_say(typed: dict[str, str]) -> None:
    design = heavy(typed)
    assert weigh(design).rest_deg == pytest.approx(by_pieces(design), abs=0.01)


def by_pieces(design: CollarPattern) -> float:
    """The same from ten thousand pieces of leather, each at its place on a circle."""
    layout, flat = design.layout, design.fit.flat
    radius = flat / tau
    points: list[tuple[float, float, float]] = []
    step = layout.length / 10_000
    for n in range(10_000):
        x = (n + 0.5) * step
        points.append(
            (abs(x - layout.fold), step * layout.width * layout.thickness * LEATHER_DENSITY, radius)
        )
    wide = 2 * layout.tab_half
    tab = wide * layout.width * layout.thickness * LEATHER_DENSITY
    for n in range(1000):
        at = layout.ring - layout.tab_half + (n + 0.5) * wide / 1000 - layout.fold
        points.append((at, tab / 1000, radius))
    points.append((0.0, BUCKLE, radius))
    points.append((layout.ring - layout.fold, RING, radius + layout.width / 4))
    reach = layout.tab_reach
    rivets = (*layout.rivets[2:], layout.ring - reach, layout.ring + reach)
    points += [(place - layout.fold, RIVET, radius) for place in rivets]
    points += [(one.x - layout.fold, STUD, radius) for one in design.strap.marks if one.kind == "stud"]
    if layout.keeper is not None:
        keeper = next(part for part in design.parts if part.name == "keeper")
        points.append((layout.keeper - layout.fold, part_mass(keeper), radius))
    x = sum(grams * far * cos(tau * at / flat) for at, grams, far in points)
    y = sum(grams * far * sin(tau * at / flat) for at, grams, far in points)
    ring = tau * (layout.ring - layout.fold) / flat
    turned = degrees(pi - (ring - atan2(y, x)))
    return (turned + 180) % 360 - 180


@given(st.floats(20, 4000))
def test_the_heavier_the_buckle_the_nearer_the_ring_is_to_the_nape(grams: float) -> None:
    light, more = weigh(with_masses(buckles=grams)).rest_deg, weigh(with_masses(buckles=grams * 1.2)).rest_deg
    assert light is not None
    assert more is not None
    assert abs(more) < abs(light)


def test_a_buckle_that_outweighs_everything_puts_the_ring_on_the_nape() -> None:
    rest = weigh(with_masses(buckles=5000.0)).rest_deg
    assert rest == pytest.approx(0.0, abs=1.0)


def test_a_ring_as_heavy_as_a_buckle_is_pulled_down_itself() -> None:
    rest = weigh(with_masses(buckles=1.0, rings=300.0)).rest_deg
    assert rest is not None
    assert abs(rest) > 150
