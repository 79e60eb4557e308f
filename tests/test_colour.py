import csv
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.colour import contrast, difference, dominant, lab_of, rgb_of

DATA = Path(__file__).parent / "data"
BYTES = st.integers(0, 255)
COLOURS = st.tuples(BYTES, BYTES, BYTES)


def rows(name: str) -> list[dict[str, str]]:
    with (DATA / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(line for line in file if not line.startswith("#")))


# Sharma, Wu and Dalal, "The CIEDE2000 color-difference formula: implementation notes, supplementary test
# data, and mathematical observations" (2005), table 1.
@pytest.mark.parametrize("row", rows("ciede2000_sharma.csv"), ids=lambda row: row["pair"])
def test_each_published_pair_differs_as_published_either_way_round(row: dict[str, str]) -> None:
    one = float(row["L1"]), float(row["a1"]), float(row["b1"])
    other = float(row["L2"]), float(row["a2"]), float(row["b2"])
    assert f"{difference(one, other):.4f}" == row["dE00_expected"]
    assert f"{difference(other, one):.4f}" == row["dE00_expected"]


def test_all_34_pairs_are_there() -> None:
    assert len(rows("ciede2000_sharma.csv")) == 34


# WCAG 2.2, contrast ratio: cases published for it ("read"), and others reckoned by its definition.
@pytest.mark.parametrize("row", rows("wcag_contrast.csv"), ids=lambda row: row["flag"])
def test_contrast_is_that_of_wcag(row: dict[str, str]) -> None:
    one, other = f"#{row['colour_1']}", f"#{row['colour_2']}"
    assert contrast(one, other) == pytest.approx(float(row["ratio_3dp"]), abs=0.0006)
    assert contrast(other, one) == contrast(one, other)


@pytest.mark.parametrize(
    ("rgb", "lab"),
    [
        # The corners of sRGB in CIELAB under D65, as tables of colour science print them. From memory.
        ((0, 0, 0), (0.0, 0.0, 0.0)),
        ((255, 255, 255), (100.0, 0.0, 0.0)),
        ((255, 0, 0), (53.24, 80.09, 67.20)),
        ((0, 255, 0), (87.73, -86.18, 83.18)),
        ((0, 0, 255), (32.30, 79.19, -107.86)),
        ((119, 119, 119), (50.03, 0.0, 0.0)),
    ],
)
def test_srgb_becomes_cielab(rgb: tuple[int, int, int], lab: tuple[float, float, float]) -> None:
    assert lab_of(rgb) == pytest.approx(lab, abs=0.03)


@given(COLOURS, COLOURS)
def test_a_difference_is_none_only_to_itself(one: tuple[int, int, int], other: tuple[int, int, int]) -> None:
    apart = difference(lab_of(one), lab_of(other))
    assert (apart == 0) == (one == other)
    assert apart == pytest.approx(difference(lab_of(other), lab_of(one)), abs=1e-9)


def test_a_picture_of_two_colours_is_told_by_them() -> None:
    found = dominant([(255, 0, 0)] * 60 + [(255, 255, 255)] * 40)
    assert [(one.colour, one.share) for one in found] == [("#ff0000", 0.6), ("#ffffff", 0.4)]


def test_light_and_shade_of_one_coat_are_one_colour_and_a_glint_is_none() -> None:
    coat = [(120 + i % 13, 75 + i % 11, 40 + i % 9) for i in range(950)]
    found = dominant([*coat, *[(250, 250, 250)] * 50])
    assert len(found) == 1
    assert found[0].share == pytest.approx(0.95)
    assert difference(lab_of((126, 80, 44)), lab_of(rgb_of(found[0].colour))) < 1.5


def test_the_order_of_pixels_changes_nothing_and_no_pixels_are_no_colour() -> None:
    pixels = [(i * 37 % 256, i * 91 % 256, i * 53 % 256) for i in range(900)]
    assert dominant(pixels) == dominant(pixels[::-1])
    assert dominant([]) == ()


@given(st.lists(COLOURS, min_size=1, max_size=60))
def test_shares_never_come_to_more_than_everything(pixels: list[tuple[int, int, int]]) -> None:
    found = dominant(pixels)
    assert len(found) <= 4
    assert sum(one.share for one in found) <= 1 + 1e-9
