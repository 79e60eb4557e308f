"""What is on the shelves: a table at a time, counted as one walks along them."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from decimal import Decimal
from http import HTTPStatus
from itertools import groupby
from typing import Final, Literal

from fastapi import FastAPI, Request
from fastapi.responses import Response

from service.errors import Unreadable
from service.language import mark, tr
from service.orders import CM2_PER_M2, CM_PER_M
from service.saying import say
from service.storage import (
    SHELVES,
    Connection,
    Counted,
    Member,
    NotKept,
    Stock,
    count_stock,
    needed_pieces,
    stock_of,
)
from service.web.access import act, form, signed_in
from service.web.catalogue_changes import row_name, rows_of
from service.web.catalogue_columns import Sheet
from service.web.catalogue_place import HERE, in_force, sheet_of
from service.web.catalogue_tables import TABLES
from service.web.family import add_page, go_on, shown
from service.web.frame import Frame, frame_for
from service.web.house import House, house_of
from service.web.typed_number import read_metres, read_millilitres, read_number, read_square_metres
from service.workshop import Workshop

FIELDS_MAX: Final = 4000
BODY_MAX: Final = 262_144
COUNT_MAX: Final = 10_000_000
STALE: Final = mark(
    "Some of these have moved since you opened the page, so nothing was kept. Each field says what there is"
    " now; what you typed is still in it."
)


COUNT_FIRST: Final = mark("Say how many there are too, or leave both fields empty.")
CountedIn = Literal["pieces", "area", "millilitres", "metres"]
COUNTED: Final[Mapping[str, CountedIn]] = {
    "leathers": "area",
    "linings": "area",
    "dyes": "millilitres",
    "threads": "metres",
}
"""What is not counted in pieces."""


@dataclass(frozen=True, slots=True)
class ShelfLine:
    """A row on its shelf: what is counted of it, below what it is low, and what the approved orders need."""

    code: str
    name: str
    group: str
    count: str
    low: str
    seen: int
    was: str
    now: str
    needed: str
    mark: str
    error: str = ""


@dataclass(frozen=True, slots=True)
class StockPage:
    """A shelf."""

    frame: Frame
    title: str
    path: str
    counted_in: CountedIn
    lines: tuple[ShelfLine, ...]
    notice: str = ""

    @property
    def groups(self) -> tuple[tuple[str, tuple[ShelfLine, ...]], ...]:
        """The lines by finish, or all under no heading."""
        return tuple((name, tuple(lines)) for name, lines in groupby(self.lines, key=lambda line: line.group))

    @property
    def wrong(self) -> tuple[ShelfLine, ...]:
        """Every line with an error."""
        return tuple(line for line in self.lines if line.error)


@dataclass(frozen=True, slots=True)
class LowLine:
    """A row that is running out."""

    name: str
    said: str
    href: str


def shelf(request: Request, kind: str) -> Response:
    """A shelf."""
    member = signed_in(request)
    house, sheet = house_of(request), _shelf_of(kind)
    with house.database.reading() as connection:
        page = _page(connection, house, member, sheet)
    return shown(request, "catalogue/stock.html", page)


def _shelf_of(kind: str) -> Sheet:
    if kind not in SHELVES:
        raise NotKept("shelf", kind[:40])
    return sheet_of(kind)


def _page(
    connection: Connection,
    house: House,
    member: Member,
    sheet: Sheet,
    typed: Mapping[str, str] | None = None,
    errors: Mapping[str, str] | None = None,
    notice: str = "",
) -> StockPage:
    workshop = in_force(house, connection).rows
    frame = frame_for(member, workshop.name, "catalogue")
    lines = tuple(_lines(connection, house, sheet, workshop, typed or {}, errors or {}))
    return StockPage(frame, tr(sheet.title), f"{HERE}/{sheet.kind}", _counted_in(sheet.kind), lines, notice)


def _counted_in(kind: str) -> CountedIn:
    return COUNTED.get(kind, "pieces")


def _lines(
    connection: Connection,
    house: House,
    sheet: Sheet,
    workshop: Workshop,
    typed: Mapping[str, str],
    errors: Mapping[str, str],
) -> Iterator[ShelfLine]:
    there = shelf_rows(connection, house, sheet.kind)
    needed = needed_pieces(connection, house.workshop_id)
    finishes = {row.code: (place, row.name) for place, row in enumerate(workshop.finishes)}
    rows = rows_of(workshop, sheet).items()
    for code, row in sorted(rows, key=lambda item: finishes.get(getattr(item[1], "finish", ""), (0, ""))[0]):
        kept, wanted = there.get(code), needed[sheet.kind, code]
        count, low = (
            shown_amount(sheet.kind, each) for each in ((kept.count, kept.low) if kept else (None, None))
        )
        yield ShelfLine(
            code,
            row_name(sheet, row),
            finishes.get(getattr(row, "finish", ""), (0, ""))[1],
            typed.get(f"count-{code}", count),
            typed.get(f"low-{code}", low),
            kept.row_version if kept else 0,
            f"{count}|{low}",
            amount_words(sheet.kind, kept.count) if kept else tr("not counted"),
            amount_words(sheet.kind, wanted) if wanted else "",
            _mark(kept, wanted),
            errors.get(code, ""),
        )


def shelf_rows(connection: Connection, house: House, kind: str) -> dict[str, Stock]:
    """Return what is counted of a table's rows, by their codes."""
    return {row.code: row for row in stock_of(connection, house.workshop_id) if row.kind == kind}


def shown_amount(kind: str, count: int | None) -> str:
    """Return an amount as somebody would have typed it, so that it is read as exactly the same again."""
    if count is None:
        return ""
    per = {"area": CM2_PER_M2, "metres": CM_PER_M}.get(_counted_in(kind), 1)
    return f"{(Decimal(count) / per).normalize():f}"


def amount_words(kind: str, count: int) -> str:
    """Return an amount of a row in words: "12", "4.20 m²", "120 ml" or "55.0 m"."""
    match _counted_in(kind):
        case "area":
            return f"{count / CM2_PER_M2:.2f} m²"
        case "millilitres":
            return f"{count} ml"
        case "metres":
            return f"{count / CM_PER_M:.1f} m"
    return str(count)


def _mark(kept: Stock | None, needed: int) -> str:
    if kept is None:
        return ""
    if kept.count < needed:
        return "short"
    return "low" if kept.low is not None and kept.count < kept.low else ""


def low_lines(connection: Connection, house: House, workshop: Workshop) -> tuple[LowLine, ...]:
    """Return what is running out: less than the workshop wants to have, or than the approved orders need."""
    needed = needed_pieces(connection, house.workshop_id)
    found = []
    for row in stock_of(connection, house.workshop_id):
        wanted = needed[row.kind, row.code]
        sheet = next(sheet for sheet in TABLES.values() if sheet.kind == row.kind)
        kept, short = rows_of(workshop, sheet).get(row.code), _mark(row, wanted)
        if kept is None or not short:
            continue
        left, want = amount_words(row.kind, row.count), amount_words(row.kind, wanted)
        said = tr("{left} left", left=left)
        if short == "short":
            said = tr("{left} left, and the approved orders need {wanted}", left=left, wanted=want)
        metal = next((one.name for one in workshop.finishes if one.code == getattr(kept, "finish", "")), "")
        name = f"{row_name(sheet, kept)}, {metal.lower()}" if metal else row_name(sheet, kept)
        found.append(LowLine(name, said, f"{HERE}/{row.kind}/stock#line-{row.code}"))
    return tuple(found)


def stocktaker(request: Request, kind: str) -> Response:
    """Keep what was counted; rows whose fields weren't touched are left as they are."""
    member = signed_in(request, "maker")
    house, sheet, typed = house_of(request), _shelf_of(kind), form(request, FIELDS_MAX)
    errors: dict[str, str] = {}
    with house.database.writing() as connection:
        known = rows_of(in_force(house, connection).rows, sheet)
        there = shelf_rows(connection, house, kind)
        counted = [_counted(kind, code, there.get(code), typed, errors) for code in known]
        rows = [row for row in counted if row is not None]
        if errors:
            page = _page(connection, house, member, sheet, typed, errors)
            return shown(request, "catalogue/stock.html", page, HTTPStatus.UNPROCESSABLE_ENTITY)
        if any(row.seen != (there[row.code].row_version if row.code in there else 0) for row in rows):
            page = _page(connection, house, member, sheet, typed, notice=tr(STALE))
            return shown(request, "catalogue/stock.html", page, HTTPStatus.CONFLICT)
        count_stock(connection, house.workshop_id, rows, act(request, member))
    return go_on(f"{HERE}/{kind}?done={'kept' if rows else 'same'}")


def _counted(
    kind: str, code: str, kept: Stock | None, typed: Mapping[str, str], errors: dict[str, str]
) -> Counted | None:
    """What was counted of a row, or None where its fields say what they said when the page was shown."""
    count, low = typed.get(f"count-{code}", "").strip(), typed.get(f"low-{code}", "").strip()
    was = typed.get(f"was-{code}", "")
    if was == f"{count}|{low}":
        return None
    try:
        read = read_amount(kind, count), read_amount(kind, low)
    except Unreadable as fault:
        errors[code] = fault.message.said("metric")
        return None
    if read[0] is None and read[1] is not None:
        errors[code] = tr(COUNT_FIRST)
        return None
    seen = typed.get(f"seen-{code}", "")
    version = int(seen) if seen.isascii() and seen.isdigit() and len(seen) < 10 else -1  # noqa: PLR2004
    if kept is not None and read == (kept.count, kept.low):
        return None
    return None if kept is None and read[0] is None else Counted(kind, code, *read, version)


def read_amount(kind: str, text: str) -> int | None:
    """Return the amount of a row that was typed, None for nothing; raises Unreadable."""
    if not text:
        return None
    match _counted_in(kind):
        case "area":
            count = round(read_square_metres(text) * CM2_PER_M2)
        case "millilitres":
            count = round(read_millilitres(text))
        case "metres":
            count = round(read_metres(text) * CM_PER_M)
        case _:
            number = read_number(text, "20")
            if number != int(number):
                raise Unreadable(text, say("Pieces are counted whole."), "20")
            count = int(number)
    if count > COUNT_MAX:
        raise Unreadable(text, say("That is more than any shelf holds."), "20")
    return count


def catalogue_stock_routes(app: FastAPI) -> None:
    """Add the shelves."""
    add_page(app, f"{HERE}/{{kind}}/stock", shelf, stocktaker, body_max=BODY_MAX)
