"""What a maker reads of a design's price: the sum, the margin in it, the time it takes."""

from dataclasses import dataclass
from decimal import Decimal
from typing import Final

from service.design import Pattern, make_pattern
from service.drawing import figures
from service.errors import DesignError, DesignRefused, GirthwrightError
from service.language import mark, tr
from service.orders import Stage
from service.pricing import Quote, at_price, estimate
from service.storage import Order
from service.web.fields import asked_kind, system_of
from service.web.house import House
from service.web.query import Asked, design
from service.web.shop_words import minor_of, sum_words
from service.web.words import money, sentence
from service.workshop import Workshop

PRICED: Final[dict[Stage, str]] = {
    "enquiry": mark("estimated, not quoted yet"),
    "quoted": mark("as quoted"),
    "changes-asked": mark("as last quoted"),
    "cancelled": "",
}
"""What is said of a price that no proof in force states."""
ON_PROOF: Final = mark("as on the proof")


@dataclass(frozen=True, slots=True)
class Figures:
    """What a quote says: the sum, and what is in it for the shop."""

    total: str
    minor: int
    before_tax: str
    margin: str
    minutes: str
    sentence: str
    picture: str
    lines: tuple[tuple[str, str], ...]
    heed: tuple[str, ...]
    design: tuple[tuple[str, str], ...]


def tried(asked: Asked, workshop: Workshop) -> tuple[tuple[DesignError, ...], Pattern | None]:
    """Return the pattern, or what stands in its way; that nothing is asked yet is no mistake.

    Nor is it that another kind was opened and has not been told its measures.
    """
    if not asked.given:
        return (), None
    unasked = {*asked_kind(asked).measures} - {*asked.typed} if "kind" in asked.typed else set()
    try:
        return (), design(asked, workshop)
    except DesignRefused as refused:
        return () if {one.field for one in refused.problems} <= unasked else refused.problems, None


def figures_of(pattern: Pattern, workshop: Workshop, asked: Asked) -> Figures:
    """Return what the maker reads of a price: the sum, the margin in it, the time it takes."""
    quote, region = estimate(pattern, workshop), workshop.region
    system = system_of(asked, workshop)
    return Figures(
        money(quote.total, quote.currency, region),
        minor_of(quote.total, workshop.rates),
        money(quote.before_tax, quote.currency, region),
        margin_words(quote, workshop),
        time_words(quote.minutes),
        sentence(pattern, system),
        figures(pattern, system).worn[0].svg,
        tuple((line.label, money(line.amount, quote.currency, region)) for line in quote.lines),
        tuple(one.text.said(system) for one in pattern.findings if one.severity in {"question", "warning"}),
        tuple(asked.given.items()),
    )


def margin_words(quote: Quote, workshop: Workshop) -> str:
    """Return the shop's margin in a price: "Margin $19.59, 25 %"."""
    cost = sum((line.amount for line in quote.lines if line.code not in {"margin", "tax"}), Decimal(0))
    kept = quote.before_tax - cost
    share = kept / quote.before_tax * 100 if quote.before_tax else Decimal(0)
    return tr(
        "Margin {sum}, {share} %", sum=money(kept, quote.currency, workshop.region), share=f"{share:.0f}"
    )


def time_words(minutes: Decimal) -> str:
    """Return a time at the bench in hours and minutes: "1 h 5 min"."""
    hours, left = divmod(round(minutes), 60)
    return f"{hours} h {left} min" if hours else f"{left} min"


def price_of(order: Order, house: House) -> tuple[str, str, str, str]:
    """Return the price, what is said of it, the margin in it, and the time it takes."""
    rows = order.kept
    try:
        quote = estimate(make_pattern(order.design, rows), rows)
    except GirthwrightError:
        return sum_words(order.quote_minor, order.currency, rows.rates, house.workshop.region), "", "", ""
    note = tr("reckoned, not quoted yet")
    if order.quote_minor is not None:
        note = tr(PRICED.get(order.stage, ON_PROOF))
        quote = at_price(quote, Decimal(order.quote_minor).scaleb(-rows.rates.minor_digits), rows.rates)
    price = money(quote.total, quote.currency, rows.region)
    at_bench = tr("{time} at the bench", time=time_words(quote.minutes))
    return price, note, margin_words(quote, rows), at_bench
