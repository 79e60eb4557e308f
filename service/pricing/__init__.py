"""What a pattern costs: leather, hardware, time, overhead, margin and tax, in decimal money."""

from service.pricing.agreed import at_price
from service.pricing.contents import included
from service.pricing.quote import (
    Quote,
    QuoteInput,
    QuoteLine,
    dye_used,
    estimate,
    leather_used,
    lining_used,
    thread_used,
)

__all__ = [
    "Quote",
    "QuoteInput",
    "QuoteLine",
    "at_price",
    "dye_used",
    "estimate",
    "included",
    "leather_used",
    "lining_used",
    "thread_used",
]
