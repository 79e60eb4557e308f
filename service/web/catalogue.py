"""The catalogue on the shop's pages: all tables at a glance, and each with its rows as cards."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from itertools import groupby
from operator import attrgetter
from typing import Final

from fastapi import FastAPI, Request
from fastapi.responses import Response

from service.language import tr
from service.storage import SHELVES, stock_of
from service.web.access import signed_in
from service.web.catalogue_cells import say_cell
from service.web.catalogue_changes import change_words, row_name
from service.web.catalogue_columns import Sheet
from service.web.catalogue_first import FirstSteps, first_steps
from service.web.catalogue_place import HERE, done_words, in_force, row_path, sheet_of
from service.web.catalogue_stock import LowLine, amount_words, low_lines
from service.web.catalogue_tables import TABLES
from service.web.family import add_page, shown
from service.web.frame import Frame, frame_for
from service.web.house import house_of
from service.web.terms import terms_of
from service.web.words import moment
from service.workshop import Row, Workshop

ON_THE_HEAD: Final = {"name", "step", "code", "colour", "finish"}
"""Columns that a card doesn't list among the others: they are its heading, its swatch, its group."""


@dataclass(frozen=True, slots=True)
class TableLine:
    """A table on the overview, with how many rows it has and the first of them."""

    title: str
    href: str
    count: int
    some: str


@dataclass(frozen=True, slots=True)
class OverviewPage:
    """The overview; `steps` lead to the first collar as long as it can't be made."""

    frame: Frame
    tables: tuple[TableLine, ...]
    steps: FirstSteps
    version: int
    change: str
    changed_at: str
    currency: str
    low: tuple[LowLine, ...]
    done: str


@dataclass(frozen=True, slots=True)
class RowCard:
    """A row as a card: its name, its colour if it has one, and what else there is to say."""

    name: str
    href: str
    colour: str
    facts: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class CardGroup:
    """Cards under one heading, such as a finish; without one where they aren't grouped."""

    heading: str
    cards: tuple[RowCard, ...]


@dataclass(frozen=True, slots=True)
class TablePage:
    """A table with its rows."""

    frame: Frame
    title: str
    about: str
    add: str
    path: str
    groups: tuple[CardGroup, ...]
    count: int
    has_stock: bool
    done: str


def overview(request: Request) -> Response:
    """All tables at a glance."""
    member = signed_in(request)
    house = house_of(request)
    with house.database.reading() as connection:
        now = in_force(house, connection)
        terms = terms_of(connection, house.workshop_id)[0]
        steps = first_steps(connection, house, now.rows, terms=bool(terms.terms))
        low = low_lines(connection, house, now.rows)
    page = OverviewPage(
        frame_for(member, now.rows.name, "catalogue"),
        tuple(_line(sheet, now.rows) for sheet in TABLES.values()),
        steps,
        now.version,
        change_words(now.change),
        moment(now.made_at, now.rows),
        now.rows.rates.currency,
        low,
        done_words(request),
    )
    return shown(request, "catalogue/overview.html", page)


def table(request: Request, kind: str) -> Response:
    """One table."""
    member = signed_in(request)
    house, sheet = house_of(request), sheet_of(kind)
    with house.database.reading() as connection:
        rows = in_force(house, connection).rows
        there = stock_of(connection, house.workshop_id)
    stock = {row.code: amount_words(kind, row.count) for row in there if row.kind == kind}
    page = TablePage(
        frame_for(member, rows.name, "catalogue"),
        tr(sheet.title),
        tr(sheet.about),
        tr(sheet.add),
        f"{HERE}/{kind}",
        tuple(_groups(sheet, rows, stock)),
        len(getattr(rows, kind)),
        kind in SHELVES,
        done_words(request),
    )
    return shown(request, "catalogue/table.html", page)


def _line(sheet: Sheet, workshop: Workshop) -> TableLine:
    rows = getattr(workshop, sheet.kind)
    some = ", ".join(dict.fromkeys(row_name(sheet, row) for row in rows))
    return TableLine(tr(sheet.title), f"{HERE}/{sheet.kind}", len(rows), some)


def _groups(sheet: Sheet, workshop: Workshop, stock: Mapping[str, str]) -> Iterator[CardGroup]:
    rows = list(getattr(workshop, sheet.kind))
    if "finish" not in sheet.model.model_fields:
        yield CardGroup("", tuple(_card(sheet, row, workshop, stock) for row in rows))
        return
    order = {finish.code: place for place, finish in enumerate(workshop.finishes)}
    names = {finish.code: finish.name for finish in workshop.finishes}
    rows.sort(key=lambda row: order[row.finish])
    for finish, alike in groupby(rows, key=attrgetter("finish")):
        yield CardGroup(names[finish], tuple(_card(sheet, row, workshop, stock) for row in alike))


def _card(sheet: Sheet, row: Row, workshop: Workshop, stock: Mapping[str, str]) -> RowCard:
    facts = [
        (tr(column.label), say_cell(column, getattr(row, column.name), workshop))
        for column in sheet.columns
        if column.name not in ON_THE_HEAD
    ]
    facts.append((tr("In stock"), stock.get(getattr(row, "code", ""), "")))
    return RowCard(
        row_name(sheet, row),
        row_path(sheet, str(getattr(row, sheet.key))),
        getattr(row, "colour", ""),
        tuple((label, said) for label, said in facts if said),
    )


def catalogue_routes(app: FastAPI) -> None:
    """Add the overview and the tables."""
    add_page(app, HERE, overview)
    add_page(app, f"{HERE}/{{kind}}", table)
