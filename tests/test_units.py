"""Showing sizes and weights, against the published factors and what trade charts give."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from service import units
from service.units import show_blank, show_both, show_cut, show_length, show_mass, show_mm

with (Path(__file__).parent / "data" / "leather_thickness.csv").open(encoding="utf-8", newline="") as file:
    THICKNESSES = list(csv.DictReader(file))


@pytest.mark.parametrize("row", THICKNESSES, ids=lambda row: f"{row['ounces']} oz")
def test_leather_ounces_agree_with_trade_charts(row: dict[str, str]) -> None:
    """1 oz = 1/64 in: common practice, read in several trade charts; the table gives four decimals."""
    mm = float(row["ounces"]) * units.OZ_LEATHER
    assert mm == pytest.approx(float(row["inch_exact"]) * units.IN, rel=1e-12)
    assert mm == pytest.approx(float(row["mm_exact_1oz_is_1_64in"]), abs=0.00005 + 1e-9)
    assert mm == pytest.approx(float(row["mm_trade_0p4"]), rel=0.01)


def test_leather_of_seven_to_eight_ounces_is_as_thick_as_the_trade_says() -> None:
    """7-8 oz = 2.78-3.18 mm: common practice."""
    thin, thick = 7 * units.OZ_LEATHER, 8 * units.OZ_LEATHER
    assert (thin, thick) == pytest.approx((2.78, 3.18), abs=0.0051)
    assert [show_mm(thin), show_mm(thick)] == ["2.8 mm", "3.2 mm"]


@pytest.mark.parametrize(
    ("mm", "imperial", "metric"),
    [
        (419.1, "16 1/2 in (419 mm)", "41.9 cm (16 1/2 in)"),
        (406.4, "16 in (406 mm)", "40.6 cm (16 in)"),
        (420, "16 9/16 in (420 mm)", "42 cm (16 9/16 in)"),
        (1828.8, "72 in (1829 mm)", "182.9 cm (72 in)"),
        (100, "3 15/16 in (100 mm)", "10 cm (3 15/16 in)"),
        (99.96, "3 15/16 in (100 mm)", "10 cm (3 15/16 in)"),
        (99.9, "3 15/16 in (99.9 mm)", "99.9 mm (3 15/16 in)"),
        (25.4, "1 in (25.4 mm)", "25.4 mm (1 in)"),
        (12.7, "1/2 in (12.7 mm)", "12.7 mm (1/2 in)"),
        (25, "1 in (25 mm)", "25 mm (1 in)"),
        (0.5, "0 in (0.5 mm)", "0.5 mm (0 in)"),
        (0, "0 in (0 mm)", "0 mm (0 in)"),
        (-0.01, "0 in (0 mm)", "0 mm (0 in)"),
        (-12.7, "-1/2 in (-12.7 mm)", "-12.7 mm (-1/2 in)"),
        (-419.1, "-16 1/2 in (-419 mm)", "-41.9 cm (-16 1/2 in)"),
    ],
)
def test_a_length_is_shown_in_the_readers_system_and_the_other(mm: float, imperial: str, metric: str) -> None:
    assert show_both(mm, "imperial") == imperial
    assert show_both(mm, "metric") == metric
    assert show_length(mm, "imperial") == imperial.partition(" (")[0]
    assert show_length(mm, "metric") == metric.partition(" (")[0]


@pytest.mark.parametrize(
    ("mm", "imperial", "metric"),
    [
        (698.5, "27 1/2 in (698.5 mm)", "698.5 mm (27 1/2 in)"),
        (634.9, "25 in (634.9 mm)", "634.9 mm (25 in)"),
        (25.4, "1 in (25.4 mm)", "25.4 mm (1 in)"),
        (1492.25, "58 3/4 in (1492.2 mm)", "1492.2 mm (58 3/4 in)"),
    ],
)
def test_what_is_cut_is_shown_to_a_tenth_of_a_millimetre_however_long(
    mm: float, imperial: str, metric: str
) -> None:
    assert show_cut(mm, "imperial") == imperial
    assert show_cut(mm, "metric") == metric


def test_the_size_of_a_blank_writes_its_unit_once() -> None:
    assert show_blank(698.5, 25.4, "imperial") == "27 1/2 × 1 in"
    assert show_blank(698.5, 25.4, "metric") == "698.5 × 25.4 mm"


def test_millimetres_are_shown_without_zeros_at_the_end_but_keep_those_before_the_point() -> None:
    assert [show_mm(400), show_mm(400, 0), show_mm(12.70, 2), show_mm(0.04)] == [
        "400 mm",
        "400 mm",
        "12.7 mm",
        "0 mm",
    ]


@pytest.mark.parametrize(
    ("kg", "imperial", "metric"),
    [
        (10, "22 lb", "10 kg"),
        (9.97903214, "22 lb", "10 kg"),
        (0.45359237, "1 lb", "453.6 g"),
        (0.45, "15.9 oz", "450 g"),
        (0.9999999, "2.2 lb", "1 kg"),
        (1.4741752025, "3.2 lb", "1.5 kg"),
    ],
)
def test_a_weight_is_shown_to_one_decimal(kg: float, imperial: str, metric: str) -> None:
    assert show_mass(kg, "imperial") == imperial
    assert show_mass(kg, "metric") == metric
