"""The whole engine: every wish is a pattern or a plain refusal, and every pattern can be cut."""

from itertools import combinations, product
from math import dist
from typing import get_args

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import Point, Polygon, box

from service.design import Collar, CollarPattern, Mark, make_pattern, widths
from service.design.spec import Measured
from service.geometry import End
from service.workshop import Fastening, Style, Workshop
from tests.design.makers import IN, attempt, collar, demo, made, marks, mm, only, patterns, typed, wishes
from tests.wishes import read_collar

SHOP = demo()


def is_made(wish: Collar, shop: Workshop = SHOP) -> bool:
    """Whether there is a pattern; a refusal must be one that a person can do something with."""
    result = attempt(wish, shop)
    if isinstance(result, CollarPattern):
        return True
    assert result.field in Collar.model_fields
    assert len(str(result.message)) > 20
    assert str(result.message).endswith((".", "?"))
    return False


def test_every_combination_of_options_is_a_pattern_or_a_plain_refusal() -> None:
    necks = (150.0, 230.0, 482.6, 915.0)
    leathers = ("natural", "moss")
    extras: tuple[dict[str, object], ...] = ({}, {"studs": 30.0, "lettering": "REX 7"})
    options = (necks, widths(SHOP), get_args(Style), get_args(End), ("brass", "black"), get_args(Fastening))
    made_ones = total = 0
    for (neck, width, style, end, finish, fastening), leather, extra in product(
        product(*options), leathers, extras
    ):
        wish = collar(
            neck=neck,
            width=width,
            style=style,
            end=end,
            finish=finish,
            fastening=fastening,
            leather=leather,
            **extra,
        )
        total += 1
        made_ones += is_made(wish)
    assert 0.3 < made_ones / total < 0.9  # neither side of the test is empty


@settings(max_examples=500)
@given(wishes())
def test_any_wish_is_a_pattern_or_a_plain_refusal(wish: Collar) -> None:
    is_made(wish)


def size_of(mark: Mark) -> tuple[float, float]:
    """Length along and width across the strap of what is cut, punched or set [mm]."""
    if mark.diameter is not None:
        return mark.diameter, mark.diameter
    return mark.length or 0.0, mark.height or mark.width or 0.0


@given(patterns())
def test_every_mark_lies_inside_its_part(pattern: CollarPattern) -> None:
    for part in pattern.parts:
        outline = Polygon(part.outline)
        assert outline.is_valid
        assert outline.bounds == pytest.approx((0, -part.width / 2, part.length, part.width / 2), abs=1e-9)
        for mark in part.marks:
            long, wide = size_of(mark)
            spot = box(mark.x - long / 2, mark.y - wide / 2, mark.x + long / 2, mark.y + wide / 2)
            assert outline.buffer(1e-6).covers(spot), mark


@given(patterns())
def test_every_hole_keeps_two_diameters_to_every_edge(pattern: CollarPattern) -> None:
    # Common practice.
    for part in pattern.parts:
        edge = Polygon(part.outline).exterior
        for mark in part.marks:
            if mark.kind in {"rivet-hole", "size-hole"}:
                assert mark.diameter is not None
                assert edge.distance(Point(mark.x, mark.y)) >= 2 * mark.diameter - 1e-6


@given(patterns())
def test_no_two_holes_of_a_part_run_into_each_other(pattern: CollarPattern) -> None:
    for part in pattern.parts:
        found = [
            mark
            for mark in part.marks
            if mark.kind in {"rivet-hole", "size-hole", "slot", "stud", "lettering"}
        ]
        for one, other in combinations(found, 2):
            apart = abs(one.x - other.x) - (size_of(one)[0] + size_of(other)[0]) / 2
            # Only studs stand above one another.
            above = one.kind == other.kind == "stud"
            assert apart > 0 or (above and dist((one.x, one.y), (other.x, other.y)) > size_of(one)[0])


def test_what_the_strap_carries_is_all_there_once() -> None:
    pattern = made(style="heel-bar", studs=40, lettering="REX")
    count = {
        kind: len(marks(pattern, kind))
        for kind in ("rivet-hole", "slot", "fold", "ring", "keeper", "size-hole")
    }
    assert count == {"rivet-hole": 6, "slot": 1, "fold": 1, "ring": 1, "keeper": 1, "size-hole": 6}
    assert [(part.name, part.quantity) for part in pattern.parts] == [
        ("strap", 1),
        ("ring-tab", 1),
        ("keeper", 1),
    ]
    assert pattern.strap is pattern.parts[0]
    assert {part.thickness for part in pattern.parts} == {3.0}


# The same wish is the same pattern.


def outcome(wish: Collar) -> object:
    """The pattern, or all that the refusal says."""
    result = attempt(wish)
    return result if isinstance(result, CollarPattern) else (result.field, result.message, result.would_work)


@given(wishes())
def test_the_same_wish_gives_the_same_pattern(wish: Collar) -> None:
    assert outcome(wish) == outcome(wish)


@given(wishes())
def test_a_wish_that_was_kept_as_json_gives_the_same_pattern(wish: Collar) -> None:
    kept = Collar.model_validate_json(wish.model_dump_json())
    assert kept == wish
    assert outcome(kept) == outcome(wish)


def test_a_workshop_that_was_kept_as_json_gives_the_same_pattern() -> None:
    again = type(SHOP).model_validate_json(SHOP.model_dump_json())
    assert make_pattern(collar(studs=40, lettering="REX"), again) == made(studs=40, lettering="REX")


@given(st.integers(16 * 8, 16 * 36), st.sampled_from(get_args(Measured)))
def test_inches_and_millimetres_give_the_same_pattern(sixteenths: int, measured: str) -> None:
    inches = f"{sixteenths // 16} {sixteenths % 16}/16 in" if sixteenths % 16 else f"{sixteenths // 16} in"
    millimetres = f"{sixteenths * 15875 // 10_000}.{sixteenths * 15875 % 10_000:04} mm"
    one = typed(neck=inches, measured=measured, width="1 in", pitch="1/2 in")
    other = typed(neck=millimetres, measured=measured, width="25.4 mm", pitch="12.7 mm")
    assert one == other


@given(st.floats(300, 900), st.floats(0.001, 10))
def test_a_longer_neck_moves_the_ring_by_half_and_the_holes_by_all_of_it(neck: float, more: float) -> None:
    short, long = (made(neck=size, holes=6, pitch=12.7).layout for size in (neck, min(915, neck + more)))
    change = long.target - short.target
    assert long.ring - short.ring == pytest.approx(change / 2, abs=1e-9)
    assert long.length - short.length == pytest.approx(change, abs=1e-9)
    assert change > 0


# Findings.


@given(patterns())
def test_every_finding_names_its_source_and_a_parameter(pattern: CollarPattern) -> None:
    for finding in pattern.findings:
        assert str(finding.text).endswith((".", "?"))
        assert finding.source
        assert finding.field in Collar.model_fields
    assert len({finding.code for finding in pattern.findings}) == len(pattern.findings)


# Stations.


@given(patterns())
def test_stations_list_every_place_to_mark_once_and_in_order(pattern: CollarPattern) -> None:
    stations = pattern.stations
    assert [row.x for row in stations] == sorted(row.x for row in stations)
    assert stations[-1].name == "Tip"
    assert stations[-1].x == pattern.strap.length
    places = {round(row.x, 6) for row in stations}
    for mark in pattern.strap.marks:
        if mark.kind in {"groove", "plate", "engraving", "code", "ring-tab"}:
            continue  # one is all along the strap, the others go by their rivets
        half = (
            (mark.length or 0) / 2
            if mark.kind in {"lettering", "slot", "border", "lacing", "stitch"}
            else 0.0
        )
        assert {round(mark.x - half, 6), round(mark.x + half, 6)} <= places


def test_the_target_is_named_at_the_bench() -> None:
    rows = {row.name: row.x for row in made().stations}
    assert rows["Hole 2, target"] == made().layout.target
    assert rows["Fold"] == pytest.approx(mm("2 1/2"))
    assert [name for name in rows if "target" in name] == ["Hole 2, target"]


def test_stations_of_a_decorated_collar_name_keeper_studs_and_lettering() -> None:
    names = [row.name for row in made(style="heel-bar", studs=40, lettering="REX").stations]
    assert {"Keeper", "Stud", "Lettering begins", "Lettering ends"} <= set(names)


# Across workshops.


@given(st.floats(1.2, 6), st.floats(1, 8), st.floats(0.5, 6), st.floats(1, 12), st.floats(1, 8))
def test_any_hardware_makes_a_pattern_or_a_plain_refusal(
    thickness: float, bar: float, prong: float, wire: float, hole: float
) -> None:
    shop = only("leathers", thickness=thickness).model_copy(
        update={
            "buckles": only("buckles", bar=bar, prong=prong).buckles,
            "rings": only("rings", wire=wire).rings,
            "fasteners": only("fasteners", hole=hole).fasteners,
        }
    )
    result = attempt(collar(neck=400, measured="tape-snug"), shop)
    if isinstance(result, CollarPattern):
        assert result.layout.length > 400 * 1.1
        assert result.fit.fingers == pytest.approx(2)
    else:
        assert result.field in Collar.model_fields


def test_a_plain_inch_collar_of_19_in_in_full() -> None:
    # Common practice; every number by hand.
    pattern = make_pattern(read_collar({"neck": "19 in"}, SHOP), SHOP)
    assert pattern.strap.length == pytest.approx(27.5 * IN)
    xs = [mark.x for mark in pattern.strap.marks if mark.kind in {"rivet-hole", "size-hole"}]
    assert [x / IN for x in xs] == pytest.approx(
        [0.5, 1.5, 3.5, 4.5, 11.5, 12.5, 20.5, 21.5, 22.5, 23.5, 24.5, 25.5]
    )


def test_the_shortest_neck_in_the_thickest_leather_is_refused_like_any_other() -> None:
    # What is left for the neck is a third less than the old collar's length: the sums must still hold.
    shop = only("leathers", thickness=6.0).model_copy(
        update={"buckles": only("buckles", take_up=30.0).buckles}
    )
    assert not is_made(collar(neck=150, width=50.8), shop)
    assert is_made(collar(neck=150, width=15.875, measured="tape-snug"), shop)  # 40 mm of ease, 49 mm of bend
