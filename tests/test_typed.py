"""Reading sizes and weights, against a table thought out by hand and the published factors."""

from __future__ import annotations

import csv
import re
import time
from fractions import Fraction
from pathlib import Path
from typing import get_args

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from service import units
from service.errors import Unreadable
from service.typed import Reading, read_length, read_mass
from service.units import System, show_inches, show_length, show_mass

DATA = Path(__file__).parent / "data"
READERS = {"length": read_length, "mass": read_mass}


def _rows(name: str) -> list[dict[str, str]]:
    with (DATA / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def _with_signs(typed: str) -> str:
    r"""Signs that can't be seen in a table stand in it as \t or \uXXXX."""
    return re.sub(r"\\u([0-9a-f]{4})", lambda found: chr(int(found[1], 16)), typed.replace(r"\t", "\t"))


TYPED = _rows("typed_lengths.csv")


# The table: what people type. Its values follow by hand from 1 in = 25.4 mm and 1 lb = 0.45359237 kg.


def test_the_table_holds_at_least_two_hundred_different_sizes_and_weights() -> None:
    assert len({(row["kind"], row["typed"], row["assume"]) for row in TYPED}) == len(TYPED) >= 200


@pytest.mark.parametrize(
    "row", [row for row in TYPED if row["value"]], ids=lambda row: f"{row['typed']!a}, {row['assume']}"
)
def test_a_typed_size_means_what_the_table_says(row: dict[str, str]) -> None:
    typed = _with_signs(row["typed"])
    system: System = "imperial" if row["unit"] in {"in", "ft", "lb", "oz"} else "metric"
    expected = Reading(float(row["value"]), row["unit"], row["assumed"] == "yes", system, typed.strip())
    assert READERS[row["kind"]](typed, assume=row["assume"]) == expected


@pytest.mark.parametrize(
    "row", [row for row in TYPED if row["refused"]], ids=lambda row: f"{row['typed']!a}, {row['assume']}"
)
def test_an_unclear_size_is_refused_for_the_reason_in_the_table(row: dict[str, str]) -> None:
    typed = _with_signs(row["typed"])
    read = READERS[row["kind"]]
    with pytest.raises(Unreadable) as refusal:
        read(typed, assume=row["assume"])
    assert row["refused"] in str(refusal.value.reason)
    assert refusal.value.text == typed
    assert read(refusal.value.would_work, assume=row["assume"]).value > 0


def test_each_row_of_the_table_is_either_read_or_refused() -> None:
    assert [row["typed"] for row in TYPED if bool(row["value"]) == bool(row["refused"])] == []


# Factors. International yard and pound agreement, 1959: 1 yd = 0.9144 m and 1 lb = 0.45359237 kg, exactly;
# so in NIST SP 811 (2008), appendix B.8, which also gives the foot and the ounce. From memory.


@pytest.mark.parametrize(
    ("typed", "mm"), [("36 in", 914.4), ("3 ft", 914.4), ("1 ft", 304.8), ("1 in", 25.4)]
)
def test_lengths_have_the_factors_of_1959(typed: str, mm: float) -> None:
    assert read_length(typed).value == mm


def test_weights_have_the_factors_of_1959() -> None:
    assert read_mass("1 lb").value == 0.45359237 == units.LB
    assert read_mass("1 oz").value == 0.028349523125


def test_sixteen_ounces_are_a_pound_and_sixty_four_of_leather_an_inch() -> None:
    assert read_mass("16 oz").value == units.LB
    assert units.OZ_LEATHER * 64 == units.IN == 25.4


# There and back.


@given(st.integers(1, 2_000_000))
def test_hundredths_of_a_millimetre_survive_the_way_through_inches(hundredths: int) -> None:
    mm = hundredths / 100
    assert round(read_length(f"{mm / units.IN:.15f} in").value, 2) == mm


@given(st.integers(1, 99_999_999))
def test_decimal_inches_are_read_with_a_single_rounding(hundredths: int) -> None:
    exact = Fraction(hundredths, 100) * Fraction(127, 5)
    assert read_length(f"{hundredths // 100}.{hundredths % 100:02} in").value == float(exact)


@given(st.integers(1, 16_000))
def test_sixteenths_shown_are_read_back_exactly(sixteenths: int) -> None:
    mm = float(Fraction(sixteenths, 16) * Fraction(127, 5))
    assert read_length(show_inches(mm)).value == mm


@given(st.integers(1, 20_000), st.sampled_from(get_args(System)))
def test_a_length_shown_is_read_back_within_half_of_the_last_place(tenths: int, system: System) -> None:
    mm = tenths / 10
    half = units.IN / 32 if system == "imperial" else 0.5 if tenths >= 1000 else 0.05
    shown = show_length(mm, system)
    if shown != "0 in":
        assert read_length(shown).value == pytest.approx(mm, abs=half + 1e-9)


@given(st.floats(0.01, 200), st.sampled_from(get_args(System)))
def test_a_weight_shown_is_read_back_in_its_own_system(kg: float, system: System) -> None:
    read = read_mass(show_mass(kg, system))
    assert read.system == system
    assert read.value == pytest.approx(kg, abs=0.051)


@given(st.integers(1, 99), st.integers(0, 9))
def test_a_decimal_comma_and_a_decimal_point_are_one(whole: int, tenth: int) -> None:
    assert read_length(f"{whole},{tenth} cm").value == read_length(f"{whole}.{tenth} cm").value


@given(st.integers(1, 999), st.integers(0, 999))
def test_a_comma_before_three_digits_is_never_guessed_at(whole: int, rest: int) -> None:
    with pytest.raises(Unreadable, match="write the one you mean"):
        read_length(f"{whole},{rest:03} mm")


@given(st.integers(1, 400), st.sampled_from([2, 4, 8, 16, 32, 64]), st.data())
def test_a_fraction_is_read_the_same_however_it_is_joined(
    whole: int, below: int, data: st.DataObject
) -> None:
    above = data.draw(st.integers(1, below - 1))
    expected = float((whole + Fraction(above, below)) * Fraction(127, 5))
    for join in (" ", "-", " and ", "\N{NO-BREAK SPACE}"):
        for line in ("/", " / ", "\N{FRACTION SLASH}"):
            assert read_length(f"{whole}{join}{above}{line}{below}").value == expected


# Whatever is typed.

NEAR_MISSES = st.text("0123456789 .,/-'\"½¼⅜⁄–″′ inchftmckglbozadequrtsv\u00a0\u200b\u202e٣²e+", max_size=45)
ASSUMED = [("length", unit) for unit in ("in", "ft", "mm", "cm", "m")]
ASSUMED += [("mass", unit) for unit in ("lb", "oz", "kg", "g")]
FLOODS = ["1 ", "1/", "1-", "1a", "1to", "1 1/2 ", "9", ".", "-", "a", "' ", "and ", "half ", "½", "ﷺ"]


def _outcome(text: str, kind: str, assume: str) -> Reading | Unreadable:
    try:
        return READERS[kind](text, assume=assume)
    except Unreadable as refusal:
        return refusal


@given(st.text() | NEAR_MISSES, st.sampled_from(ASSUMED))
@example("1,234 ft 161/2", ("length", "in"))
@example("\ud800", ("length", "in"))
@example("½" * 40, ("length", "in"))
def test_any_text_is_read_or_refused_with_an_example_that_works(text: str, asked: tuple[str, str]) -> None:
    outcome = _outcome(text, *asked)
    if isinstance(outcome, Reading):
        assert 0 < outcome.value < 1e10
        assert outcome.text == text.strip()
    else:
        assert isinstance(_outcome(outcome.would_work, *asked), Reading)
        assert outcome.text == text
        assert str(outcome).encode().startswith(str(outcome.reason).encode())


@pytest.mark.parametrize(
    "text", [*(piece * (40 // len(piece)) for piece in FLOODS), "9" * 10**6, " " * 10**6], ids="{:.12}".format
)
def test_no_text_takes_long_to_refuse(text: str) -> None:
    began = time.process_time()
    with pytest.raises(Unreadable):
        read_length(text)
    assert time.process_time() - began < 0.05


def test_a_weight_is_no_unit_to_assume_for_a_length() -> None:
    with pytest.raises(ValueError, match="can't be assumed"):
        read_length("16", assume="kg")
    with pytest.raises(ValueError, match="can't be assumed"):
        read_mass("16", assume="in")


def test_a_suggested_correction_keeps_the_unit() -> None:
    for typed, better in {"161/2 cm": "16 1/2 cm", "1615/16": "16 15/16", "1,234 mm": "1.234 mm"}.items():
        with pytest.raises(Unreadable) as refusal:
            read_length(typed)
        assert refusal.value.would_work == better
