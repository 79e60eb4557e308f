"""Days, moments, sums and the record of an order, in the words of the shop's pages."""

from collections.abc import Mapping
from datetime import date
from decimal import Decimal

from babel import Locale
from babel.dates import format_skeleton

from service.language import mark, tr, tr_many, within
from service.orders import WORDS, Entry
from service.storage import Order, OrderCard
from service.web.words import coins, locale_in
from service.workshop import Rates

SOON_DAYS = 3
"""An order due in so many days needs the maker today. From memory."""
YEAR_DAYS = 366

ACTIONS = {
    "enquiry": mark("The enquiry came in"),
    "estimated": mark("Estimated"),
    "order-made": mark("The order was made from a quick quote"),
    "quoted": mark("A quote was sent"),
    "changed": mark("The order was changed"),
    "design-changed": mark("The design was changed"),
    "details-changed": mark("Dates or notes were changed"),
    "stage-moved": mark("The order moved on"),
    "cancelled": mark("The order was cancelled"),
    "proof-sent": mark("A proof was sent"),
    "approve": mark("The proof was approved"),
    "ask-changes": mark("Changes were asked for"),
    "link-made": mark("A link was made"),
    "link-extended": mark("A link was extended"),
    "link-shortened": mark("A link was made to end sooner"),
    "link-revoked": mark("A link was revoked"),
    "stock-taken": mark("Its pieces were taken off the shelves"),
    "stock-put-back": mark("Its pieces were put back on the shelves"),
    "photo-added": mark("A photo was added"),
    "photo-changed": mark("A photo's caption, or who sees it, was changed"),
    "photo-removed": mark("A photo was removed"),
}
"""What the entries of the record say happened."""

COLUMNS = {
    "design": mark("design"),
    "kept": mark("the catalogue rows kept with it"),
    "quote_minor": mark("price"),
    "currency": mark("currency"),
    "promised_on": mark("promised day"),
    "due_on": mark("day the customer needs it"),
    "notes": mark("what the customer said"),
    "bench_notes": mark("notes for the bench"),
    "version": mark("version of the proof"),
    "dog_id": mark("dog"),
}
"""What the columns of an order are called."""


def locale_of(region: str) -> Locale:
    """Return how the reader's language is written in a country [ISO 3166]."""
    return locale_in(region)


def day_words(day: date, region: str, today: date) -> str:
    """Return a day as it is written there, with its year when that isn't plain: "Sat, Dec 12"."""
    far = abs((day - today).days) >= YEAR_DAYS // 2
    return str(format_skeleton("yMMMEd" if far else "MMMEd", day, locale=locale_of(region)))


def due_words(day: date, today: date) -> str:
    """Return how far off a day is: "overdue by 2 days", "due today", "due in 5 days"."""
    days = (day - today).days
    if days < 0:
        return tr_many("overdue by {count} day", "overdue by {count} days", -days)
    if days == 0:
        return tr("due today")
    return tr("due tomorrow") if days == 1 else tr("due in {count} days", count=days)


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
    said = tr(ACTIONS[fact.action]) if fact.action in ACTIONS else fact.action.replace("-", " ").capitalize()
    if fact.version and fact.action in {"proof-sent", "approve", "ask-changes"}:
        said = tr("{said}, version {version}", said=said, version=fact.version)
    if detail := _detail_words(fact.detail, links):
        said += f": {detail}"
    return said, _who(entry, members, links)


def _who(entry: Entry, members: Mapping[str, str], links: Mapping[str, str]) -> str:
    fact = entry.fact
    if fact.actor == "maker":
        return members.get(fact.who, tr("a maker"))
    if fact.actor == "service":
        return tr("the service")
    label = links.get(fact.who)
    return tr("the customer, by the link “{label}”", label=label) if label else tr("the customer")


def _detail_words(detail: str, links: Mapping[str, str]) -> str:
    kind, _, key = detail.partition(" ")
    if kind in {"order", "proof"} and key in links:
        return tr("“{text}”", text=links[key])
    return ", ".join(_column_words(part) for part in detail.split(", ") if part in COLUMNS or " to " in part)


def _column_words(part: str) -> str:
    if part in COLUMNS:
        return tr(COLUMNS[part])
    names = {stage: within(words.name) for stage, words in WORDS.items()}
    was, _, now = part.partition(" to ")
    if was not in names or now not in names:
        return part
    return tr("from {was} to {now}", was=names[was], now=names[now])
