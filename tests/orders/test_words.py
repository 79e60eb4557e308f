"""A design's words and numbers in a proof: counts are exact, and a choice has one name everywhere."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.design import CHOICE_NAMES, fingers_in_words, read_wish
from service.errors import DesignRefused
from service.orders import Amount, NotCanonical
from service.orders.words import chosen, length, mass, money
from service.units import IN
from tests.makers import pattern, workshop


@pytest.mark.parametrize("field", ["style", "end", "fastening", "measured", "fingers", "coat"])
def test_a_choice_is_called_what_the_form_calls_it(field: str) -> None:
    with pytest.raises(DesignRefused) as refused:
        read_wish({"neck": "19 in", field: "?"}, workshop())
    (problem,) = refused.value.problems
    assert problem.would_work
    for way in problem.would_work:
        assert CHOICE_NAMES[way.value] == way.text


@pytest.mark.parametrize(
    ("mm", "count"),
    [
        (419.1, 41910),
        (15.875, 1588),  # 5/8 in, exactly between two hundredths: to the even one
        (15.865, 1586),
        (-15.875, -1588),
        (3 * 19.05, 5715),  # 57.150000000000006 as a float
        (0.1 + 0.2, 30),
        (0.0, 0),
    ],
)
def test_a_length_is_counted_in_hundredths_half_to_even(mm: float, count: int) -> None:
    # ISO 80000-1:2009, annex B, rule A: the even one where two are as near.
    assert length(mm, "imperial").count == count


@given(st.integers(-2_000_000, 2_000_000))
def test_every_hundredth_of_a_millimetre_is_counted_as_itself(count: int) -> None:
    assert length(count / 100, "metric").count == count


@given(st.floats(0, 20_000))
def test_a_count_is_never_more_than_half_a_hundredth_off(mm: float) -> None:
    assert abs(length(mm, "metric").count - mm * 100) <= 0.5 + 1e-4


def test_a_length_is_shown_in_both_systems_the_readers_first() -> None:
    assert length(16.5 * IN, "imperial").words == "16 1/2 in (419 mm)"
    assert length(16.5 * IN, "metric").words == "41.9 cm (16 1/2 in)"


def test_a_weight_is_counted_in_grams_and_shown_in_both_systems() -> None:
    # 45 lb is 20.41165665 kg: 0.45359237 kg to the pound, exactly (international agreement of 1959).
    assert mass(20.41165665, "imperial") == Amount("45 lb (20.4 kg)", 20412, "g")
    assert mass(20.0, "metric") == Amount("20 kg (44.1 lb)", 20000, "g")


@pytest.mark.parametrize(
    ("amount", "currency", "digits", "count", "unit"),
    [
        ("57.06", "USD", 2, 5706, "0.01 USD"),  # minor units of ISO 4217, from memory
        ("57", "JPY", 0, 57, "1 JPY"),
        ("57.060", "KWD", 3, 57060, "0.001 KWD"),
    ],
)
def test_money_is_counted_in_the_smallest_coin(
    amount: str, currency: str, digits: int, count: int, unit: str
) -> None:
    assert money(Decimal(amount), "shown", currency, digits) == Amount("shown", count, unit)


def test_a_part_of_a_coin_is_refused() -> None:
    with pytest.raises(NotCanonical, match=r"57\.065 USD is no whole number of coins: round it first"):
        money(Decimal("57.065"), "$57.07", "USD", 2)


@pytest.mark.parametrize(
    ("under", "words"),
    [
        (-0.01, "too tight"),
        (0.0, "less than one"),
        (0.5, "less than one"),
        (0.51, "about 1"),
        (1.9, "about 2"),
        (3.49, "about 3"),
        (3.5, "4 or more"),
        (9.0, "4 or more"),
    ],
)
def test_fingers_are_said_in_words(under: float, words: str) -> None:
    assert fingers_in_words(under) == words


def test_a_dye_is_named_after_its_leather_and_only_where_there_is_one() -> None:
    dyed = pattern(leather="natural", dye="fern-dye")
    assert chosen(dyed)[:2] == (("Leather", "Natural veg tan"), ("Dye", "Fern green"))
    plain = pattern()
    assert "Dye" not in dict(chosen(plain))
