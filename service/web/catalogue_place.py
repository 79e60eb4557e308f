"""Where the catalogue's pages are, and what they all begin with: the version in force and the table meant."""

from typing import Final, cast, get_args
from urllib.parse import urlencode

from starlette.requests import Request

from service.language import mark, tr
from service.storage import Catalogue, CatalogueRefused, Connection, NotKept, RowKind, current_catalogue
from service.web.catalogue_columns import Sheet
from service.web.catalogue_tables import TABLES
from service.web.house import House

HERE: Final = "/shop/catalogue"
DONE: Final = {
    "kept": mark("Kept: it is in force from now on."),
    "same": mark("Nothing was changed."),
    "removed": mark("Removed. An older version of the catalogue still has it."),
    "brought": mark("The file's rows are in force from now on."),
}


def in_force(house: House, connection: Connection) -> Catalogue:
    """Return the catalogue as the store has it now, and have it at hand from here on."""
    now = current_catalogue(connection, house.workshop_id)
    house.shelf.put(now)
    return now


def sheet_of(kind: str) -> Sheet:
    """Return the table that an address names; raises NotKept."""
    if kind not in get_args(RowKind):
        raise NotKept("table", kind[:40])
    return TABLES[cast("RowKind", kind)]


def refusal_words(fault: CatalogueRefused) -> str:
    """Return why a change can't be kept."""
    complaints = ". ".join(fault.complaints)
    if not fault.before:
        return complaints
    return tr(
        "An older release let something in that is refused now. It goes on as it is, but put it right before"
        " anything else is changed: {complaints}",
        complaints=complaints,
    )


def row_path(sheet: Sheet, key: str) -> str:
    """Return the address of a row."""
    return f"{HERE}/{sheet.kind}/row?{urlencode({'key': key})}"


def done_words(request: Request) -> str:
    """Return what a page says that was gone on to."""
    return tr(DONE.get(request.query_params.get("done", ""), ""))
