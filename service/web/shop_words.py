"""Days, moments, sums and the record of an order, in the words of the shop's pages."""

from collections.abc import Mapping
from datetime import date
from decimal import Decimal

from babel import Locale, UnknownLocaleError
from babel.dates import format_skeleton

from service.orders import WORDS, Entry
from service.storage import Order, OrderCard
from service.web.words import coins
from service.workshop import Rates

SOON_DAYS = 3
"""An order due in so many days needs the maker today. From memory."""
YEAR_DAYS = 366

ACTIONS = {
    "enquiry": "The enquiry came in",
    "order-made": "The order was made from a quick quote",
    "quoted": "A quote was sent",
    "changed": "The order was changed",
    "design-changed": "The design was changed",
    "details-changed": "Dates or notes were changed",
    "stage-moved": "The order moved on",
    "cancelled": "The order was cancelled",
    "proof-sent": "A proof was sent",
    "approve": "The proof was approved",
    "ask-changes": "Changes were asked for",
    "link-made": "A link was made",
    "link-extended": "A link was extended",
    "link-revoked": "A link was revoked",
    "stock-taken": "Its pieces were taken off the shelves",
    "stock-put-back": "Its pieces were put back on the shelves",
    "photo-added": "A photo was added",
    "photo-changed": "A photo's caption, or who sees it, was changed",
    "photo-removed": "A photo was removed",
}
"""What the entries of the record say happened."""

COLUMNS = {
    "design": "design",
    "kept": "the catalogue rows kept with it",
    "quote_minor": "price",
    "currency": "currency",
    "promised_on": "promised day",
    "due_on": "day the customer needs it",
    "notes": "what the customer said",
    "bench_notes": "notes for the bench",
    "version": "version of the proof",
    "dog_id": "dog",
}
"""What the columns of an order are called."""


def locale_of(region: str) -> Locale:
    """Return how English is written in a country [ISO 3166]."""
    try:
        return Locale.parse(f"en_{region}")
    except UnknownLocaleError:
        return Locale.parse("en")


def day_words(day: date, region: str, today: date) -> str:
    """Return a day as it is written there, with its year when that isn't plain: "Sat, Dec 12"."""
    far = abs((day - today).days) >= YEAR_DAYS // 2
    return str(format_skeleton("yMMMEd" if far else "MMMEd", day, locale=locale_of(region)))


def due_words(day: date, today: date) -> str:
    """Return how far off a day is: "overdue by 2 days", "due today", "due in 5 days"."""
    days = (day - today).days
    if days < 0:
        return f"overdue by {_days(-days)}"
    return {0: "due today", 1: "due tomorrow"}.get(days) or f"due in {_days(days)}"


def _days(count: int) -> str:
    return "1 day" if count == 1 else f"{count} days"


def due_day(of: Order | OrderCard) -> date | None:
    """Return the day an order is due: the day that was promised, else the day the customer needs it."""
    return of.promised_on or of.due_on


def sum_words(minor: int | None, currency: str | None, rates: Rates, region: str) -> str:
    """Return a sum kept in the smallest coins as it is written, or nothing where there is none."""
    if minor is None or currency is None:
        return ""
    return coins(minor, currency, rates.minor_digits, region)


def minor_of(amount: Decimal, rates: Rates) -> int:
    """Return a sum [currency] as a count of the smallest coins."""
    return int(amount.scaleb(rates.minor_digits).to_integral_value())


def searched(text: str, longest: int = 80) -> str:
    """Return what was searched for, without signs that nothing is found by."""
    return " ".join("".join(sign if sign.isprintable() else " " for sign in text).split())[:longest]


def entry_words(entry: Entry, members: Mapping[str, str], links: Mapping[str, str]) -> tuple[str, str]:
    """Return what an entry of the record says happened, and who did it."""
    fact = entry.fact
    said = ACTIONS.get(fact.action, fact.action.replace("-", " ").capitalize())
    if fact.version and fact.action in {"proof-sent", "approve", "ask-changes"}:
        said += f", version {fact.version}"
    if detail := _detail_words(fact.detail, links):
        said += f": {detail}"
    return said, _who(entry, members, links)


def _who(entry: Entry, members: Mapping[str, str], links: Mapping[str, str]) -> str:
    fact = entry.fact
    if fact.actor == "maker":
        return members.get(fact.who, "a maker")
    if fact.actor == "service":
        return "the service"
    label = links.get(fact.who)
    return f"the customer, by the link “{label}”" if label else "the customer"


def _detail_words(detail: str, links: Mapping[str, str]) -> str:
    kind, _, key = detail.partition(" ")
    if kind in {"order", "proof"} and key in links:
        return f"“{links[key]}”"
    return ", ".join(_column_words(part) for part in detail.split(", ") if part in COLUMNS or " to " in part)


def _column_words(part: str) -> str:
    if part in COLUMNS:
        return COLUMNS[part]
    names = {stage: words.name.lower() for stage, words in WORDS.items()}
    was, _, now = part.partition(" to ")
    return f"from {names[was]} to {names[now]}" if was in names and now in names else part
