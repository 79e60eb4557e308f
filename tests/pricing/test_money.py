"""Coins, margin and written numbers, against the cases in pricing_cases.csv, with their sources."""

import csv
from decimal import Decimal
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.pricing.money import (
    figure,
    money_figure,
    price_at_margin,
    smallest_coin,
    to_minor,
)

TABLE = (Path(__file__).parents[1] / "data" / "pricing_cases.csv").read_text(encoding="utf-8")
CASES = list(csv.DictReader(TABLE.splitlines()))

costs = st.decimals("0.01", "5000", places=2)


def cases(quantity: str) -> list[dict[str, str]]:
    found = [row for row in CASES if row["quantity"] == quantity]
    assert found, f"no case of {quantity}"
    return found


@pytest.mark.parametrize("row", cases("price of cost and margin"), ids=lambda row: row["case"])
def test_a_price_at_a_margin_is_the_published_one(row: dict[str, str]) -> None:
    price = price_at_margin(Decimal(row["first"]), Decimal(row["second"]))
    assert abs(price - Decimal(row["expected"])) <= Decimal(row["tolerance"])


@given(costs, st.decimals("0", "0.95", places=3))
def test_a_margin_is_that_share_of_the_price(cost: Decimal, margin: Decimal) -> None:
    price = price_at_margin(cost, margin)
    assert abs(price - cost - price * margin) < Decimal("1e-18")


@pytest.mark.parametrize("row", cases("smallest coin of minor digits"), ids=lambda row: row["case"])
def test_the_smallest_coin_is_that_of_the_standard(row: dict[str, str]) -> None:
    assert smallest_coin(int(row["first"])) == Decimal(row["expected"])


@pytest.mark.parametrize(
    ("amount", "digits", "coins"),
    [
        ("2.344999", 2, "2.34"),
        ("2.345", 2, "2.35"),  # half to even would give 2.34
        ("2.355", 2, "2.36"),
        ("0.5", 0, "1"),
        ("1.2345", 3, "1.235"),
        ("7", 2, "7.00"),
        ("0", 2, "0.00"),
    ],
)
def test_half_a_coin_is_rounded_up_and_every_decimal_is_kept(amount: str, digits: int, coins: str) -> None:
    assert str(to_minor(Decimal(amount), digits)) == coins


@pytest.mark.parametrize(
    ("number", "written"),
    [
        ("1E+2", "100"),
        ("0.30", "0.3"),
        ("12.00", "12"),
        ("0", "0"),
        ("0E-6", "0"),
        ("1E-6", "0.000001"),
        ("110", "110"),
    ],
)
def test_a_number_is_written_out_in_full_without_zeros_at_the_end(number: str, written: str) -> None:
    assert figure(Decimal(number)) == written


@pytest.mark.parametrize(
    ("amount", "digits", "written"),
    [
        ("0.1", 2, "0.10"),
        ("145", 2, "145.00"),
        ("1.45E+2", 2, "145.00"),
        ("0.125", 2, "0.125"),
        ("145", 0, "145"),
    ],
)
def test_money_is_written_with_all_its_decimals_and_never_loses_one(
    amount: str, digits: int, written: str
) -> None:
    assert money_figure(Decimal(amount), digits) == written
