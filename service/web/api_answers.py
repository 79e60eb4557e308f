"""What the interface for other programs answers, as types that OpenAPI describes.

Lengths in mm, weights in kg, money in whole minor units of its currency, moments in UTC (ISO 8601).
"""

from collections.abc import Sequence
from datetime import UTC, date, datetime
from typing import Final, cast
from urllib.parse import urlencode

from typing_extensions import TypedDict  # pydantic needs this one before Python 3.12

from service.design import AnyWish, HardwareLine, Part, Pattern, make_pattern
from service.errors import GirthwrightError
from service.orders import Stage
from service.storage import Customer, Dog, Order, OrderCard

ORDERS: Final = "/api/orders"
NOISE: Final = 6
"""Decimals kept of a millimetre: what lies beyond is the noise of floats."""


class MoneyAnswer(TypedDict):
    """A sum in whole minor units (cents) of a currency (ISO 4217)."""

    minor: int
    currency: str


class OrderLineAnswer(TypedDict):
    """An order in the list. `proof` is the version of its last proof, 0 for none."""

    number: int
    href: str
    stage: Stage
    proof: int
    customer: str
    dog: str | None
    quote: MoneyAnswer | None
    promised_on: str | None
    due_on: str | None
    made_at: str
    changed_at: str


class OrdersAnswer(TypedDict):
    """A page of orders by number; `next` is the address of the page after it, null on the last."""

    orders: list[OrderLineAnswer]
    next: str | None


class ContactAnswer(TypedDict):
    """Whose order it is, and how to answer them; what they did not give is empty."""

    name: str
    email: str
    phone: str
    language: str


class DogAnswer(TypedDict):
    """The dog that it is for."""

    name: str
    breed: str


class CutAnswer(TypedDict):
    """A piece of leather to cut."""

    name: str
    title: str
    quantity: int
    length: float
    width: float
    thickness: float


class PieceAnswer(TypedDict):
    """A line of the hardware list."""

    kind: str
    code: str
    name: str
    quantity: int


class OrderAnswer(TypedDict):
    """A whole order; `notes` are the customer's words, `bench_notes` the workshop's.

    Of a design that can't be made `parts` and `hardware` are empty, and `trouble` says why.
    """

    number: int
    stage: Stage
    proof: int
    customer: ContactAnswer
    dog: DogAnswer | None
    design: AnyWish
    parts: list[CutAnswer]
    hardware: list[PieceAnswer]
    trouble: str
    quote: MoneyAnswer | None
    promised_on: str | None
    due_on: str | None
    notes: str
    bench_notes: str
    made_at: str
    changed_at: str


def orders_answer(cards: Sequence[OrderCard], limit: int, stage: Stage | None) -> OrdersAnswer:
    """Return a page of at most `limit` orders; one card more than that tells that there is another page."""
    shown = cards[:limit]
    following = None
    if len(cards) > limit:
        wanted = {"stage": stage, "after": shown[-1].number, "limit": limit}
        following = f"{ORDERS}?{urlencode({name: value for name, value in wanted.items() if value})}"
    return {"orders": [_line(card) for card in shown], "next": following}


def order_answer(order: Order, customer: Customer, dog: Dog | None) -> OrderAnswer:
    """Return a whole order, with what has to be cut and bought for it."""
    pattern, trouble = _made(order)
    return {
        "number": order.number,
        "stage": order.stage,
        "proof": order.version,
        "customer": {
            "name": customer.name,
            "email": customer.email,
            "phone": customer.phone,
            "language": customer.language,
        },
        "dog": {"name": dog.name, "breed": dog.breed} if dog else None,
        "design": cast("AnyWish", order.design),
        "parts": [_cut(part) for part in pattern.parts] if pattern else [],
        "hardware": [_piece(line) for line in pattern.hardware] if pattern else [],
        "trouble": trouble,
        "quote": _money(order),
        "promised_on": _day(order.promised_on),
        "due_on": _day(order.due_on),
        "notes": order.notes,
        "bench_notes": order.bench_notes,
        "made_at": _moment(order.made_at),
        "changed_at": _moment(order.changed_at),
    }


def _line(card: OrderCard) -> OrderLineAnswer:
    return {
        "number": card.number,
        "href": f"{ORDERS}/{card.number}",
        "stage": card.stage,
        "proof": card.version,
        "customer": card.customer,
        "dog": card.dog,
        "quote": _money(card),
        "promised_on": _day(card.promised_on),
        "due_on": _day(card.due_on),
        "made_at": _moment(card.made_at),
        "changed_at": _moment(card.changed_at),
    }


def _made(order: Order) -> tuple[Pattern | None, str]:
    """What the kept design is with the rows kept with it, or why it can't be made."""
    try:
        return make_pattern(order.design, order.kept), ""
    except GirthwrightError as fault:
        return None, str(fault)


def _cut(part: Part) -> CutAnswer:
    return {
        "name": part.name,
        "title": part.title,
        "quantity": part.quantity,
        "length": round(part.length, NOISE),
        "width": round(part.width, NOISE),
        "thickness": round(part.thickness, NOISE),
    }


def _piece(line: HardwareLine) -> PieceAnswer:
    return {"kind": line.kind, "code": line.code, "name": line.name, "quantity": line.quantity}


def _money(of: Order | OrderCard) -> MoneyAnswer | None:
    if of.quote_minor is None or of.currency is None:
        return None
    return {"minor": of.quote_minor, "currency": of.currency}


def _day(day: date | None) -> str | None:
    return day.isoformat() if day else None


def _moment(at: datetime) -> str:
    return at.astimezone(UTC).isoformat(timespec="seconds").replace("+00:00", "Z")
