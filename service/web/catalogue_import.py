"""A table of the catalogue brought in from a CSV file: what it would change is shown before it is kept."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from http import HTTPStatus
from typing import Final, Literal, cast

from fastapi import FastAPI, Request
from fastapi.responses import Response

from service.language import mark, tr
from service.storage import SHELVES, Catalogue, CatalogueRefused, RowKind, Stock, count_stock, put_table
from service.web.access import act, signed_in
from service.web.again import sent_with
from service.web.catalogue_changes import RowChange, rows_of, table_changes
from service.web.catalogue_columns import Sheet
from service.web.catalogue_counts import count_changes, shelf_mark
from service.web.catalogue_csv import (
    BYTES_MAX,
    FileRows,
    FileUnreadable,
    Mistake,
    file_text,
    read_csv,
    to_csv,
)
from service.web.catalogue_form import seen_in
from service.web.catalogue_place import HERE, in_force, refusal_words, sheet_of
from service.web.catalogue_stock import shelf_rows
from service.web.family import add_page, go_on, shown
from service.web.frame import Frame, frame_for
from service.web.house import house_of
from service.web.upload import form_with_file
from service.workshop import Row, Workshop

BODY_MAX: Final = 4 * BYTES_MAX
"""The largest form that brings a file [bytes]: pasted, each of its bytes may take three."""
STALE: Final = mark(
    "Somebody has changed the catalogue since you looked at this, so nothing was kept. Below is what the file"
    " would change now."
)
Rest = Literal["keep", "remove"]


@dataclass(frozen=True, slots=True)
class Outlook:
    """What a file would change, on the shelves too, and how many rows it leaves as they are."""

    changed: tuple[RowChange, ...]
    unchanged: int

    def count(self, what: str) -> int:
        """Return how many rows are added, changed or removed."""
        return _count(self.changed, what)


@dataclass(frozen=True, slots=True)
class ImportPage:
    """The form, and with a file what it would change or what is wrong in it."""

    frame: Frame
    title: str
    path: str
    has_stock: bool
    text: str = ""
    rest: Rest = "keep"
    seen: int = 0
    shelf: str = ""
    mistakes: tuple[Mistake, ...] = ()
    notice: str = ""
    outlook: Outlook | None = None


def download(request: Request, kind: str) -> Response:
    """A table as a file."""
    signed_in(request)
    house, sheet = house_of(request), sheet_of(kind)
    with house.database.reading() as connection:
        text = to_csv(sheet, in_force(house, connection).rows, shelf_rows(connection, house, kind))
    headers = {"Content-Disposition": f'attachment; filename="{kind}.csv"', "Cache-Control": "no-store"}
    return Response(text.encode("utf-8-sig"), headers=headers, media_type="text/csv; charset=utf-8")


def import_form(request: Request, kind: str) -> Response:
    """The form that takes a file, or what is pasted."""
    member = signed_in(request, "maker")
    house, sheet = house_of(request), sheet_of(kind)
    frame = frame_for(member, house.workshop.name, "catalogue")
    page = ImportPage(frame, tr(sheet.title), f"{HERE}/{kind}", kind in SHELVES)
    return shown(request, "catalogue/import.html", page)


def importer(request: Request, kind: str) -> Response:
    """Show what a file would change; keep it once that was seen and confirmed."""
    member = signed_in(request, "maker")
    house, sheet = house_of(request), sheet_of(kind)
    typed, body = form_with_file(request, "file", BYTES_MAX)
    frame, path = frame_for(member, house.workshop.name, "catalogue"), f"{HERE}/{kind}"
    blank = ImportPage(frame, tr(sheet.title), path, kind in SHELVES)
    rest: Rest = "remove" if typed.get("rest") == "remove" else "keep"
    text = typed.get("text", "")

    def refused(said: str = "", mistakes: tuple[Mistake, ...] = ()) -> Response:
        sent_with(request, {**typed, "text": text})
        page = replace(blank, text=text, rest=rest, mistakes=mistakes, notice=said)
        return shown(request, "catalogue/import.html", page, HTTPStatus.UNPROCESSABLE_ENTITY)

    with house.database.writing() as connection:
        now, shelf = in_force(house, connection), shelf_rows(connection, house, kind)
        try:
            text = file_text(body or text.encode())
            found = read_csv(sheet, text, now.rows, shelf)
        except FileUnreadable as fault:
            return refused(str(fault))
        if found.mistakes:
            return refused(mistakes=found.mistakes)
        after = _after(sheet, found, now.rows, rest)
        own = [*table_changes(sheet, rows_of(now.rows, sheet), after, now.rows, now.rows)]
        outlook = _outlook(own, after, found, shelf)
        if not _confirmed(typed, now, shelf) or not outlook.changed:
            notice = tr(STALE) if typed.get("sure") and outlook.changed else ""
            seen = replace(blank, seen=now.version, shelf=shelf_mark(shelf))
            page = replace(seen, text=text, rest=rest, notice=notice, outlook=outlook)
            status = HTTPStatus.CONFLICT if notice else HTTPStatus.OK
            return shown(request, "catalogue/import.html", page, status)
        by, kept = act(request, member), now
        if any(row.what != "unchanged" for row in own):
            rows = [row.model_dump() for row in after.values()]
            added, changed, removed = (_count(own, what) for what in ("added", "changed", "removed"))
            said = f"{kind}: from a file, {added} added, {changed} changed, {removed} removed"
            table = cast("RowKind", kind)
            try:
                kept = put_table(
                    connection, house.workshop_id, table, rows, by, seen=now.version, change=said
                )
            except CatalogueRefused as fault:
                return refused(refusal_words(fault))
        count_stock(connection, house.workshop_id, found.counted.values(), by)
    house.shelf.put(kept)
    return go_on(f"{path}?done=brought")


def _count(rows: Iterable[RowChange], what: str) -> int:
    return sum(row.what == what for row in rows)


def _confirmed(typed: Mapping[str, str], now: Catalogue, shelf: Mapping[str, Stock]) -> bool:
    seen = seen_in(typed) == now.version and typed.get("shelf", "") == shelf_mark(shelf)
    return typed.get("sure") == "yes" and seen


def _after(sheet: Sheet, found: FileRows, workshop: Workshop, rest: Rest) -> dict[str, Row]:
    """The table as it would be: those kept in their places, new ones after them; or just as in the file."""
    if rest == "remove":
        return {**found.rows}
    return {**rows_of(workshop, sheet), **found.rows}


def _outlook(
    own: Sequence[RowChange], after: Mapping[str, Row], found: FileRows, shelf: Mapping[str, Stock]
) -> Outlook:
    """What becomes of the rows, which come first and in their order, with what is counted of them."""
    every = [*own]
    for place, key in enumerate(after):
        if key in found.counted:
            row, counts = own[place], count_changes(found.counted[key], shelf.get(key))
            what = "changed" if row.what == "unchanged" else row.what
            every[place] = replace(row, what=what, cells=(*row.cells, *counts))
    changed = tuple(row for row in every if row.what != "unchanged")
    return Outlook(changed, len(every) - len(changed))


def catalogue_import_routes(app: FastAPI) -> None:
    """Add the files of the catalogue."""
    add_page(app, f"{HERE}/{{kind}}.csv", download)
    add_page(app, f"{HERE}/{{kind}}/import", import_form, importer, body_max=BODY_MAX)
