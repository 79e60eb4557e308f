"""Pricing over everything that a workshop's rows allow: whatever is charged, a price comes of it."""

from decimal import Decimal
from typing import Any, get_args

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from pydantic import TypeAdapter

from service.design import Collar, make_pattern
from service.pricing import at_price, estimate
from service.storage import load_workshop
from service.workshop import Buckle, Rates, TimePer, TimeStandard, Workshop
from tests.makers import DEMO

WORKSHOP = load_workshop(DEMO)
LONGEST = Collar(
    neck=915,
    leather="chestnut",
    finish="brass",
    width=19.05,
    style="heel-bar",
    holes=12,
    studs=10.5,
    lettering="REX",
)
STORED = 2**63 - 1
"""The largest sum of coins that a store holds: a 64-bit integer (BIGINT)."""


def any_of(model: type[Any], column: str) -> st.SearchStrategy[Decimal]:
    """Every number that a column allows, its ends among them."""
    rules = model.model_fields[column].metadata
    low, high, places = (next(getattr(one, name) for one in rules if hasattr(one, name)) for name in NAMES)
    least, most = Decimal(str(low)), Decimal(str(high))
    ends = st.sampled_from([least, most, least + Decimal(1).scaleb(-places)])
    return ends | st.decimals(least, most, places=places)


NAMES = ("ge", "le", "decimal_places")
SHARES = ("rest", "contingency", "waste", "margin", "tax")
SUMS = ("labour_per_hour", "overhead_per_month", "productive_hours_per_month")
rates = st.fixed_dictionaries(
    {**{name: any_of(Rates, name) for name in (*SHARES, *SUMS)}, "minor_digits": st.integers(0, 4)}
)


def priced(charged: dict[str, Any], money: Decimal, basic: Decimal, steps: int) -> Workshop:
    """The demo workshop with every price and every time the same, checked as a file is."""
    whole = WORKSHOP.model_dump()
    for table in ("buckles", "rings", "fasteners", "studs", "consumables"):
        whole[table] = [{**row, "price": money} for row in whole[table]]
    whole["leathers"] = [{**row, "price_per_m2": money} for row in whole["leathers"]]
    kinds = get_args(TimePer)
    whole["times"] = [
        {"step": f"Step {n}", "basic": basic, "per": kinds[n % len(kinds)]} for n in range(steps)
    ]
    return Workshop.model_validate({**whole, "rates": {**whole["rates"], **charged}})


def dearest() -> dict[str, Any]:
    most = {name: Decimal("0.95") for name in SHARES}
    return {
        **most,
        "labour_per_hour": Decimal(100_000_000),
        "overhead_per_month": Decimal(100_000_000),
        "productive_hours_per_month": Decimal(1),
        "minor_digits": 2,
    }


@settings(max_examples=60, deadline=None)
@given(rates, any_of(Buckle, "price"), any_of(TimeStandard, "basic"), st.integers(0, 100))
@example(dearest(), Decimal(100_000_000), Decimal(600), 100)
@example(dearest() | {"minor_digits": 4}, Decimal(100_000_000), Decimal(600), 100)
@example({name: Decimal(0) for name in (*SHARES, *SUMS[:2])}, Decimal(0), Decimal(0), 0)
def test_whatever_a_workshop_may_charge_there_is_a_price(
    charged: dict[str, Any], money: Decimal, basic: Decimal, steps: int
) -> None:
    shop = priced(charged, money, basic, steps)
    quote = estimate(make_pattern(LONGEST, shop), shop)
    digits = shop.rates.minor_digits
    assert quote.total == sum((line.amount for line in quote.lines), Decimal(0))
    assert all(line.amount.is_finite() and line.amount >= 0 for line in quote.lines)
    assert quote.total.as_tuple().exponent == -digits
    assert at_price(quote, Decimal(1), shop.rates).total == 1
    if digits <= 2:
        assert int(quote.total.scaleb(digits)) < STORED


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("margin", "0.96"), ("waste", "0.951"), ("productive_hours_per_month", "0.99"),
        ("labour_per_hour", "100000000.01"), ("tax", "0.1234567"), ("rest", "-0.01"),
    ],
)  # fmt: skip
def test_what_would_make_a_price_absurd_is_refused(name: str, value: str) -> None:
    adapter = TypeAdapter(Rates)
    charged = WORKSHOP.rates.model_dump()
    assert adapter.validate_python(charged) == WORKSHOP.rates
    with pytest.raises(ValueError, match=name):
        adapter.validate_python(charged | {name: Decimal(value)})
