"""The board: every order by its stage, and first of all what needs the maker today."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Final, Literal
from urllib.parse import urlencode

from fastapi import FastAPI, Request
from fastapi.responses import Response

from service.orders import STAGES, WORDS, Stage
from service.storage import OrderCard, count_by_stage, list_orders
from service.web.access import signed_in
from service.web.family import add_page, shown
from service.web.frame import Frame, frame_for
from service.web.house import House, house_of
from service.web.shop_words import SOON_DAYS, day_words, due_day, due_words, searched, sum_words
from service.web.upkeep import given_up_notice
from service.workshop import Workshop

ENDED: Final[tuple[Stage, ...]] = ("handed-over", "cancelled")
"""Stages at which nobody waits for anything; their orders are shown when they are asked for."""
UNDER_WAY: Final[tuple[Stage, ...]] = tuple(stage for stage in STAGES if stage not in ENDED)
OWED: Final[tuple[Stage, ...]] = ("enquiry", "changes-asked")
"""Stages at which a customer waits for an answer."""
MOST: Final = 500
"""So many orders are shown at once; the search finds the others."""

Haste = Literal["overdue", "soon", ""]


@dataclass(frozen=True, slots=True)
class Card:
    """An order on the board; `why` says what it needs, `due` how far off its day is."""

    number: int
    href: str
    called: str
    customer: str
    stage: str
    price: str
    day: str
    due: str
    haste: Haste
    why: str


@dataclass(frozen=True, slots=True)
class Column:
    """A stage with its orders; `count` is of all there are, `href` shows it alone."""

    stage: Stage
    name: str
    count: int
    cards: tuple[Card, ...]
    href: str
    chosen: bool


@dataclass(frozen=True, slots=True)
class BoardPage:
    """The board; `shown` are the columns with orders to look at, `columns` all, for the bar of stages."""

    frame: Frame
    search: str
    stage: str
    today: tuple[Card, ...]
    columns: tuple[Column, ...]
    shown: tuple[Column, ...]
    found: int
    total: int
    cut: bool
    undelivered: str = ""

    @property
    def narrowed(self) -> bool:
        """Whether only a part of the orders was asked for."""
        return bool(self.search or self.stage)


def board(request: Request) -> Response:
    """The board, or what a search or a stage leaves of it."""
    house = house_of(request)
    member = signed_in(request)
    search = searched(request.query_params.get("q", ""))
    stage = request.query_params.get("stage", "")
    chosen = stage if stage in STAGES else None
    frame = frame_for(member, house.workshop.name, "board")
    return shown(request, "board/page.html", made_board(house, frame, search, chosen))


def made_board(house: House, frame: Frame, search: str = "", stage: Stage | None = None) -> BoardPage:
    """Return the board as it is now."""
    workshop, today = house.workshop, house.today
    stages = (stage,) if stage else STAGES if search else UNDER_WAY
    with house.database.reading() as connection:
        counts = count_by_stage(connection, house.workshop_id)
        rows = list_orders(connection, house.workshop_id, stages=stages, search=search, limit=MOST)
        undelivered = given_up_notice(connection)
    rows = tuple(sorted(rows, key=_by_day))
    cards = {row.number: card_of(row, workshop, today) for row in rows}
    columns = tuple(_column(one, counts, rows, cards, stage) for one in STAGES)
    needed = () if search or stage else (row for row in rows if _needs_the_maker(row, today))
    return BoardPage(
        frame,
        search,
        stage or "",
        tuple(cards[row.number] for row in sorted(needed, key=lambda row: _urgency(row, today))),
        columns,
        tuple(column for column in columns if column.cards),
        len(rows),
        sum(counts.values()),
        len(rows) == MOST,
        undelivered,
    )


def card_of(row: OrderCard, workshop: Workshop, today: date) -> Card:
    """Return an order as a card says it."""
    day = None if row.stage in ENDED else due_day(row)
    return Card(
        row.number,
        f"/shop/orders/{row.number}",
        row.dog or row.customer,
        row.customer if row.dog else "",
        WORDS[row.stage].name,
        sum_words(row.quote_minor, row.currency, workshop.rates, workshop.region),
        day_words(day, workshop.region, today) if day else "",
        due_words(day, today) if day else "",
        _haste(row, today),
        WORDS[row.stage].maker,
    )


def _column(
    stage: Stage,
    counts: Mapping[Stage, int],
    rows: Iterable[OrderCard],
    cards: Mapping[int, Card],
    chosen: Stage | None,
) -> Column:
    return Column(
        stage,
        WORDS[stage].name,
        counts.get(stage, 0),
        tuple(cards[row.number] for row in rows if row.stage == stage),
        f"/shop?{urlencode({'stage': stage})}",
        stage == chosen,
    )


def _haste(row: OrderCard, today: date) -> Haste:
    day = due_day(row)
    if day is None or row.stage in ENDED:
        return ""
    left = (day - today).days
    return "overdue" if left < 0 else "soon" if left <= SOON_DAYS else ""


def _needs_the_maker(row: OrderCard, today: date) -> bool:
    return row.stage not in ENDED and (WORDS[row.stage].waits == "maker" or bool(_haste(row, today)))


def _urgency(row: OrderCard, today: date) -> tuple[int, date, int]:
    """Overdue first, then what is due soon, then customers who wait for an answer, then the bench."""
    haste = {"overdue": 0, "soon": 1, "": 2 if row.stage in OWED else 3}[_haste(row, today)]
    return haste, due_day(row) or date.max, row.number


def _by_day(row: OrderCard) -> tuple[date, int]:
    return due_day(row) or date.max, row.number


def board_routes(app: FastAPI) -> None:
    """Add the board."""
    add_page(app, "/shop", board)
