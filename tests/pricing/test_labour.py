"""Times, counts and overhead, against the published cases in pricing_cases.csv, with their sources."""

import csv
from decimal import Decimal
from pathlib import Path

import pytest
from shapely import Polygon

from service.design import Collar, make_pattern
from service.pricing.labour import overhead_for, standard_minutes, work_counts
from service.storage import load_workshop

ROOT = Path(__file__).parents[2]
WORKSHOP = load_workshop(ROOT / "deploy" / "demo" / "workshop.toml")
TABLE = (ROOT / "tests" / "data" / "pricing_cases.csv").read_text(encoding="utf-8")
CASES = {row["case"]: row for row in csv.DictReader(TABLE.splitlines())}
ELEMENTS = [row for name, row in CASES.items() if name.startswith("element ")]
PLAIN = Collar(neck=482.6, leather="chestnut", finish="brass")


def assert_published(case: str, value: Decimal) -> None:
    row = CASES[case]
    assert abs(value - Decimal(row["expected"])) <= Decimal(row["tolerance"]), row["source"]


def element_with_rest(row: dict[str, str]) -> Decimal:
    observed, rating, times = Decimal(row["first"]), Decimal(row["second"]), Decimal(row["third"])
    return standard_minutes(observed * rating / 100 * times, Decimal(row["fourth"]) / 100, Decimal(0))


def test_the_seven_elements_of_the_exercise_add_up_to_the_published_time() -> None:
    assert len(ELEMENTS) == 7
    assert_published("K3", sum(map(element_with_rest, ELEMENTS), Decimal(0)))


def test_their_basic_times_add_up_to_the_published_one() -> None:
    # K2: the same exercise before rest is added.
    bare = [element_with_rest({**row, "fourth": "0"}) for row in ELEMENTS]
    assert_published("K2", sum(bare, Decimal(0)))


def test_both_allowances_are_shares_of_the_basic_time() -> None:
    # ILO, Introduction to Work Study (from memory). One upon the other would give 11.76.
    assert standard_minutes(Decimal(10), Decimal("0.12"), Decimal("0.05")) == Decimal("11.7")


def test_an_hour_carries_the_published_overhead() -> None:
    row = CASES["K6"]
    assert_published("K6", overhead_for(Decimal(60), Decimal(row["first"]), Decimal(row["second"])))


def test_overhead_keeps_the_half_coin_that_is_rounded_up() -> None:
    # 47.25 min of 100 in 90 h carry 0.875 exactly; by way of a rate of 1.111… it would be a hair less.
    assert overhead_for(Decimal("47.25"), Decimal(100), Decimal(90)) == Decimal("0.875")


def test_a_plain_collar_is_two_parts_sixteen_holes_and_four_rivets() -> None:
    # Common practice: two rivets hold the fold through two legs, so four holes; two more hold the tab to the
    # strap, so four; six size holes; and a slot is a hole at each end.
    counts = work_counts(make_pattern(PLAIN, WORKSHOP))
    assert {name: int(count) for name, count in counts.items() if not name.startswith("metre")} == {
        "collar": 1,
        "part": 2,
        "dyed part": 0,
        "hole": 4 + 4 + 6 + 2,
        "fastener": 4,
        "stud": 0,
        "letter": 0,
        "plate": 0,
        "lace hole": 0,
        "painted letter": 0,
        "border stamp": 0,
        "stitch": 0,
    }


def test_a_keeper_is_one_more_part_and_has_no_holes() -> None:
    plain = work_counts(make_pattern(PLAIN, WORKSHOP))
    kept = work_counts(make_pattern(PLAIN.model_copy(update={"style": "heel-bar"}), WORKSHOP))
    assert kept["part"] == plain["part"] + 1
    assert kept["hole"] == plain["hole"]
    assert kept["metre of edge"] > plain["metre of edge"]


def test_only_grooves_beyond_the_first_of_each_edge_are_counted() -> None:
    one, two, three = (
        make_pattern(PLAIN.model_copy(update={"grooves": count}), WORKSHOP)
        for count in ("one", "two", "three")
    )
    assert work_counts(one)["metre of further groove"] == 0
    # Along both edges from the buckle end to the shoulder of the tip.
    run = 2 * (two.layout.length - two.layout.taper) / 1000
    assert float(work_counts(two)["metre of further groove"]) == pytest.approx(run, abs=0.0005)
    assert float(work_counts(three)["metre of further groove"]) == pytest.approx(2 * run, abs=0.0005)


def test_each_stamp_of_a_border_is_one_blow_at_either_edge() -> None:
    pattern = make_pattern(PLAIN.model_copy(update={"border": "dots"}), WORKSHOP)
    blows = sum(mark.count or 0 for mark in pattern.strap.marks if mark.kind == "border")
    assert work_counts(pattern)["border stamp"] == blows > 100
    assert work_counts(make_pattern(PLAIN, WORKSHOP))["border stamp"] == 0


def test_a_space_between_letters_is_not_stamped() -> None:
    counts = work_counts(make_pattern(PLAIN.model_copy(update={"lettering": "MY DOG 7"}), WORKSHOP))
    assert counts["letter"] == 6


def test_studs_are_counted_as_they_are_marked_on_the_strap() -> None:
    pattern = make_pattern(PLAIN.model_copy(update={"studs": 50.8}), WORKSHOP)
    marked = sum(mark.kind == "stud" for mark in pattern.strap.marks)
    assert work_counts(pattern)["stud"] == marked > 0


@pytest.mark.parametrize("end", ["english-point", "round", "square"])
def test_the_edge_is_as_long_as_an_independent_library_measures_it(end: str) -> None:
    pattern = make_pattern(PLAIN.model_copy(update={"end": end}), WORKSHOP)
    around = sum(part.quantity * Polygon(part.outline).length for part in pattern.parts)
    assert abs(float(work_counts(pattern)["metre of edge"]) - around / 1000) <= 0.0005
