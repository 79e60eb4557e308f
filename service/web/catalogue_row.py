"""Rows of the catalogue, added, changed, removed; and rates, assumptions and the workshop itself, changed."""

from collections.abc import Mapping
from dataclasses import dataclass
from http import HTTPStatus
from typing import Any, Final, cast

from fastapi import FastAPI, Request
from fastapi.responses import Response

from service.language import mark, tr
from service.storage import (
    Catalogue,
    CatalogueRefused,
    Connection,
    Member,
    NotKept,
    Role,
    RowKind,
    change_columns,
    put_row,
    remove_row,
)
from service.web.access import act, form, signed_in
from service.web.catalogue_changes import row_name, rows_of
from service.web.catalogue_columns import Sheet
from service.web.catalogue_form import (
    RowPage,
    changes_since,
    fields_of,
    seen_catalogue,
    seen_in,
    typed_row,
)
from service.web.catalogue_place import HERE, in_force, refusal_words, sheet_of
from service.web.catalogue_tables import ASSUMPTIONS, OWN, RATES, TABLES
from service.web.catalogue_typed import TypedRow, read_row
from service.web.family import add_page, go_on, shown
from service.web.frame import frame_for
from service.web.house import House, house_of
from service.workshop import Hardware, Row, Workshop

STALE: Final = mark(
    "Somebody has changed this since you opened it, so nothing was kept. What you typed is still in the form:"
    " look it over, then keep it."
)
GONE: Final = mark("Somebody has removed this row since you opened it. Keep it to add it again.")


@dataclass(frozen=True, slots=True)
class Sent:
    """A form that was sent: by whom, for which table and row, what was typed, and the catalogue as it is."""

    member: Member
    sheet: Sheet
    key: str
    typed: Mapping[str, str]
    now: Catalogue

    @property
    def kept(self) -> Row | None:
        """The row as it is kept now; None for a new one, and for one that is gone."""
        return rows_of(self.now.rows, self.sheet).get(self.key)


def row_form(request: Request, kind: str) -> Response:
    """A row's form: of the row whose key the address names, of a copy of it, or of a new one."""
    member = signed_in(request)
    house, sheet = house_of(request), sheet_of(kind)
    asked = request.query_params
    with house.database.reading() as connection:
        now = in_force(house, connection)
    rows = rows_of(now.rows, sheet)
    key = asked.get("key", "")
    model = asked.get("copy", "") or key
    if model and model not in rows:
        raise NotKept("row", model[:60])
    typed = typed_row(sheet, rows[model], now.rows) if model else {**asked}
    if not key:
        typed["code"] = ""
    sent = Sent(member, sheet, key, typed, now)
    return shown(request, "catalogue/row.html", _page(sent))


def _page(sent: Sent, errors: Mapping[str, str] | None = None, notice: str = "", **more: Any) -> RowPage:  # noqa: ANN401 - fields of the page
    sheet, now, kept = sent.sheet, sent.now, sent.kept
    path = f"{HERE}/{sheet.kind}"
    rows = rows_of(now.rows, sheet)
    may_change = sent.member.role != "read-only"
    title = row_name(sheet, kept) if kept else tr(sheet.new)
    return RowPage(
        frame_for(sent.member, now.rows.name, "catalogue"),
        tr(sheet.title),
        title,
        f"{path}/row",
        path,
        sent.key if kept else "",
        now.version,
        fields_of(sheet, sent.typed, kept, now.rows, errors, code=kept is None),
        may_change,
        notice,
        removable=kept is not None,
        can_be_first=kept is not None and next(iter(rows)) != sent.key,
        **more,
    )


def row_keeper(request: Request, kind: str) -> Response:
    """Keep a row that was added or changed."""
    member = signed_in(request, "maker")
    house, sheet, typed = house_of(request), sheet_of(kind), form(request)
    key = typed.get("key", "")
    if key and sheet.key == "code":
        typed = {**typed, "code": key}
    with house.database.writing() as connection:
        sent = Sent(member, sheet, key, typed, in_force(house, connection))
        read = read_row(sheet, typed, sent.now.rows, [*rows_of(sent.now.rows, sheet)])
        errors = {**read.errors, **_taken(sent, read)}
        if errors:
            return _answer(request, _page(sent, errors))
        if refusal := _meanwhile(connection, house, sent):
            return _answer(request, refusal, HTTPStatus.CONFLICT)
        first = "first" in typed
        if read.row == sent.kept and not first:
            return go_on(f"{HERE}/{kind}?done=same")
        try:
            kept = put_row(
                connection,
                house.workshop_id,
                cast("RowKind", kind),
                read.values,
                act(request, member),
                seen=sent.now.version,
                instead_of=key or None,
                first=first,
            )
        except CatalogueRefused as fault:
            return _answer(request, _page(sent, notice=refusal_words(fault)))
    house.shelf.put(kept)
    return go_on(f"{HERE}/{kind}?done=kept")


def _taken(sent: Sent, read: TypedRow) -> dict[str, str]:
    """That another row is known by the same code or name already."""
    sheet = sent.sheet
    new = str(read.values.get(sheet.key, ""))
    if not new or new == sent.key or new not in rows_of(sent.now.rows, sheet):
        return {}
    return {sheet.key: tr("This is taken already: choose another, or change the row that has it.")}


def _meanwhile(connection: Connection, house: House, sent: Sent) -> RowPage | None:
    """The form again, when somebody else has changed this very row since it was opened."""
    seen = seen_in(sent.typed)
    if seen == sent.now.version or not sent.key:
        return None
    before = seen_catalogue(connection, house, seen)
    was = rows_of(before.rows, sent.sheet).get(sent.key) if before else None
    if was is not None and was == sent.kept:
        return None
    return _page(
        sent, notice=tr(STALE if sent.kept else GONE), others=changes_since(connection, house, seen)[:5]
    )


def _answer(
    request: Request, page: RowPage, status: HTTPStatus = HTTPStatus.UNPROCESSABLE_ENTITY
) -> Response:
    return shown(request, "catalogue/row.html", page, status)


def row_remover(request: Request, kind: str) -> Response:
    """Take a row out of the catalogue."""
    member = signed_in(request, "maker")
    house, sheet, typed = house_of(request), sheet_of(kind), form(request)
    key = typed.get("key", "")
    with house.database.writing() as connection:
        now = in_force(house, connection)
        kept = rows_of(now.rows, sheet).get(key)
        if kept is None:
            return go_on(f"{HERE}/{kind}?done=removed")  # the same button, pressed twice
        sent = Sent(member, sheet, key, {**typed, **typed_row(sheet, kept, now.rows)}, now)
        if refusal := _meanwhile(connection, house, sent):
            return _answer(request, refusal, HTTPStatus.CONFLICT)
        if needed := _needed_by(now.rows, sheet, key):
            return _answer(request, _page(sent, notice=needed), HTTPStatus.CONFLICT)
        by = act(request, member)
        try:
            left = remove_row(connection, house.workshop_id, cast("RowKind", kind), key, by, seen=now.version)
        except CatalogueRefused as fault:
            return _answer(request, _page(sent, notice=refusal_words(fault)), HTTPStatus.CONFLICT)
    house.shelf.put(left)
    return go_on(f"{HERE}/{kind}?done=removed")


def _needed_by(workshop: Workshop, sheet: Sheet, key: str) -> str:
    """Why a finish can't be taken out: hardware comes in it."""
    if sheet.kind != "finishes":
        return ""
    tables: dict[str, tuple[Hardware, ...]] = {
        "buckles": workshop.buckles,
        "rings": workshop.rings,
        "o_rings": workshop.o_rings,
        "snaps": workshop.snaps,
        "fasteners": workshop.fasteners,
        "studs": workshop.studs,
        "plates": workshop.plates,
    }
    counts = {name: sum(row.finish == key for row in rows) for name, rows in tables.items()}
    titles = {str(one.kind): tr(one.title) for one in TABLES.values()}
    listed = ", ".join(f"{titles[name]} {count}" for name, count in counts.items() if count)
    return tr("It can't be removed yet, for these come in it: {rows}.", rows=listed) if listed else ""


def own_form(request: Request) -> Response:
    """The workshop itself, or its rates."""
    return _own_form(request, OWN)


def rates_form(request: Request) -> Response:
    """The rates."""
    return _own_form(request, RATES)


def assumptions_form(request: Request) -> Response:
    """The assumptions."""
    return _own_form(request, ASSUMPTIONS)


def _own_form(request: Request, sheet: Sheet) -> Response:
    member = signed_in(request)
    house = house_of(request)
    with house.database.reading() as connection:
        now = in_force(house, connection)
    typed = typed_row(sheet, _own_row(sheet, now.rows), now.rows)
    return shown(request, "catalogue/row.html", _own_page(Sent(member, sheet, "", typed, now)))


def _own_row(sheet: Sheet, workshop: Workshop) -> Row:
    if sheet is OWN:
        return workshop
    return workshop.rates if sheet is RATES else workshop.assumptions


def _own_page(sent: Sent, errors: Mapping[str, str] | None = None, notice: str = "", **more: Any) -> RowPage:  # noqa: ANN401 - fields of the page
    sheet, now = sent.sheet, sent.now
    return RowPage(
        frame_for(sent.member, now.rows.name, "catalogue"),
        tr(sheet.title),
        tr(sheet.title),
        f"{HERE}/{sheet.kind}",
        HERE,
        "",
        now.version,
        fields_of(sheet, sent.typed, _own_row(sheet, now.rows), now.rows, errors),
        sent.member.role == "owner",
        notice,
        own=True,
        **more,
    )


def own_keeper(request: Request) -> Response:
    """Keep the workshop's own columns."""
    return _own_keeper(request, OWN)


def rates_keeper(request: Request) -> Response:
    """Keep the rates."""
    return _own_keeper(request, RATES)


def assumptions_keeper(request: Request) -> Response:
    """Keep the assumptions."""
    return _own_keeper(request, ASSUMPTIONS)


def _own_keeper(request: Request, sheet: Sheet) -> Response:
    least: Role = "owner"
    member = signed_in(request, least)
    house, typed = house_of(request), form(request)
    with house.database.writing() as connection:
        sent = Sent(member, sheet, "", typed, in_force(house, connection))
        now, kept = sent.now, _own_row(sheet, sent.now.rows)
        read = read_row(sheet, typed, now.rows)
        errors = {**read.errors, **_untranslated(house, read)}
        if errors:
            return _answer(request, _own_page(sent, errors))
        seen = seen_in(typed)
        before = seen_catalogue(connection, house, seen)
        if before is None or _own_cells(sheet, before.rows) != _own_cells(sheet, now.rows):
            others = changes_since(connection, house, seen)[:5]
            return _answer(request, _own_page(sent, notice=tr(STALE), others=others), HTTPStatus.CONFLICT)
        changed = {name: value for name, value in read.values.items() if getattr(kept, name) != value}
        if not changed:
            return go_on(f"{HERE}?done=same")
        part = {"workshop_columns" if sheet is OWN else sheet.kind: changed}
        by = act(request, member)
        try:
            new = change_columns(connection, house.workshop_id, by, **part, seen=now.version)
        except CatalogueRefused as fault:
            return _answer(request, _own_page(sent, notice=refusal_words(fault)))
    house.shelf.put(new)
    return go_on(f"{HERE}?done=kept")


def _untranslated(house: House, read: TypedRow) -> dict[str, str]:
    """That the pages are not there in a language."""
    there = house.pages.languages
    strange = [code for code in read.values.get("languages", ()) if code not in there]
    if not strange:
        return {}
    known = ", ".join(f"{one.code} ({one.name})" for one in there.values())
    said = tr(
        "There is no translation yet for: {codes}. There is: {known}.", codes=", ".join(strange), known=known
    )
    return {"languages": said}


def _own_cells(sheet: Sheet, workshop: Workshop) -> list[Any]:
    return [getattr(_own_row(sheet, workshop), column.name) for column in sheet.columns]


def catalogue_row_routes(app: FastAPI) -> None:
    """Add the forms of the catalogue."""
    add_page(app, f"{HERE}/workshop", own_form, own_keeper)
    add_page(app, f"{HERE}/rates", rates_form, rates_keeper)
    add_page(app, f"{HERE}/assumptions", assumptions_form, assumptions_keeper)
    add_page(app, f"{HERE}/{{kind}}/row", row_form, row_keeper)
    add_page(app, f"{HERE}/{{kind}}/remove", take=row_remover)
