"""The estimate brought to a price that the shop has agreed to instead."""

from dataclasses import replace
from decimal import Decimal

from service.pricing.money import to_minor
from service.pricing.quote import Quote
from service.workshop import Rates


def at_price(quote: Quote, total: Decimal, rates: Rates) -> Quote:
    """Return an estimate at another total [currency], the tax in it by the same rate.

    Only total, price before tax and the tax line change: what it costs the shop stays what it is.
    Source: before tax = total / (1 + rate), rounded half up to the smallest coin, the tax being the rest.
    Worked: a total of 60.00 at a tax of 0.07 is 56.07 before tax and 3.93 of tax.
    """
    if total == quote.total:
        return quote
    before_tax = to_minor(total / (1 + rates.tax), rates.minor_digits)
    lines = tuple(
        replace(line, amount=total - before_tax) if line.code == "tax" else line for line in quote.lines
    )
    return replace(quote, total=total, before_tax=before_tax, lines=lines)
