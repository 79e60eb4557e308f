"""Decimal money: rounding to the smallest coin, margin, and numbers written out without a locale."""

from decimal import ROUND_HALF_UP, Decimal
from functools import lru_cache


@lru_cache(maxsize=8)
def smallest_coin(digits: int) -> Decimal:
    """Return the smallest coin [currency] of a currency whose minor unit has this many decimals.

    Source: ISO 4217, minor unit (USD 2, JPY 0, KWD 3; from memory). Worked: 2 digits are 0.01.
    """
    return Decimal(1).scaleb(-digits)


def to_minor(amount: Decimal, digits: int) -> Decimal:
    """Return an amount [currency], not negative, rounded half up to its smallest coin.

    `digits` is how many decimals the currency's minor unit has. Source: common practice on bills.
    Worked: 2.345 at 2 digits is 2.35, and at 0 digits 2.
    """
    return amount.quantize(smallest_coin(digits), ROUND_HALF_UP)


def price_at_margin(cost: Decimal, margin: Decimal) -> Decimal:
    """Return the price [currency], unrounded, that leaves a margin [share of the price] on a cost [currency].

    Source: definition of margin, price = cost / (1 - margin). Worked: cost 40 at a margin of 0.40 is 66.67.
    """
    return cost / (1 - margin)


@lru_cache(maxsize=4096)
def figure(number: Decimal) -> str:
    """Return a number written out in full, without zeros at the end.

    Source: derived. Worked: 1E+2 is "100", 0.30 is "0.3".
    """
    written = f"{number:f}"
    return written.rstrip("0").rstrip(".") if "." in written else written


@lru_cache(maxsize=4096)
def money_figure(amount: Decimal, digits: int) -> str:
    """Return an amount [currency] with every decimal of its minor unit, and more if it is finer than a coin.

    `digits` is how many decimals the minor unit has. Source: derived.
    Worked: at 2 digits 0.1 is "0.10", 145 is "145.00" and 0.125 is "0.125".
    """
    coins = to_minor(amount, digits)
    return f"{coins:f}" if coins == amount else figure(amount)
