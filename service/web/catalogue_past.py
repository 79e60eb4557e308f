"""What was changed in the catalogue, by whom and when; and an older version put back."""

from dataclasses import dataclass
from http import HTTPStatus
from typing import Final

from fastapi import FastAPI, Request
from fastapi.responses import Response

from service.language import mark, tr
from service.storage import CatalogueRefused, Connection, Member, old_catalogue, put_back
from service.web.access import act, form, signed_in
from service.web.catalogue_changes import RowChange, changes_between
from service.web.catalogue_form import ChangeLine, change_lines, seen_in
from service.web.catalogue_place import HERE, in_force, refusal_words
from service.web.family import add_page, go_on, shown
from service.web.frame import Frame, frame_for
from service.web.house import House, house_of
from service.web.kept import counted

MOST: Final = 100
"""So many changes are shown at once."""
STALE: Final = mark(
    "Somebody has changed the catalogue since you opened this page, so nothing was put back. Look at what it"
    " would undo now, then put it back if that is right."
)


@dataclass(frozen=True, slots=True)
class PastPage:
    """The changes, the newest first; `older` leads to those before them."""

    frame: Frame
    lines: tuple[ChangeLine, ...]
    older: str


@dataclass(frozen=True, slots=True)
class VersionPage:
    """One version: what it changed, and what putting it back would change now; nothing if it is in force."""

    frame: Frame
    line: ChangeLine
    changed: tuple[RowChange, ...]
    undone: tuple[RowChange, ...]
    current: bool
    seen: int
    notice: str = ""


def past(request: Request) -> Response:
    """The changes."""
    member = signed_in(request)
    house = house_of(request)
    before = request.query_params.get("before", "")
    with house.database.reading() as connection:
        lines = change_lines(connection, house)
    if before:
        last = counted("version", before)
        lines = tuple(line for line in lines if line.version < last)
    older = f"{HERE}/history?before={lines[MOST - 1].version}" if len(lines) > MOST else ""
    frame = frame_for(member, house.workshop.name, "catalogue")
    return shown(request, "catalogue/past.html", PastPage(frame, lines[:MOST], older))


def one_version(request: Request, version: str) -> Response:
    """One version."""
    member = signed_in(request)
    house, number = house_of(request), counted("version", version)
    with house.database.reading() as connection:
        page = _page(connection, house, member, number)
    return shown(request, "catalogue/version.html", page)


def _page(connection: Connection, house: House, member: Member, number: int, notice: str = "") -> VersionPage:
    now, old = in_force(house, connection), old_catalogue(connection, house.workshop_id, number)
    before = old_catalogue(connection, house.workshop_id, number - 1).rows if number > 1 else old.rows
    line = next(line for line in change_lines(connection, house) if line.version == number)
    return VersionPage(
        frame_for(member, now.rows.name, "catalogue"),
        line,
        changes_between(before, old.rows),
        changes_between(now.rows, old.rows),
        now.version == number,
        now.version,
        notice,
    )


def restorer(request: Request, version: str) -> Response:
    """Put an older version in force again, as a new one."""
    member = signed_in(request, "owner")
    house, typed, number = house_of(request), form(request), counted("version", version)
    with house.database.writing() as connection:
        now, old = in_force(house, connection), old_catalogue(connection, house.workshop_id, number)
        if old.rows == now.rows:
            return go_on(f"{HERE}?done=same")
        if seen_in(typed) != now.version:
            page = _page(connection, house, member, number, tr(STALE))
            return shown(request, "catalogue/version.html", page, HTTPStatus.CONFLICT)
        by = act(request, member)
        try:
            kept = put_back(connection, house.workshop_id, number, by, seen=now.version)
        except CatalogueRefused as fault:
            page = _page(connection, house, member, number, refusal_words(fault))
            return shown(request, "catalogue/version.html", page, HTTPStatus.CONFLICT)
    house.shelf.put(kept)
    return go_on(f"{HERE}?done=kept")


def catalogue_past_routes(app: FastAPI) -> None:
    """Add the history of the catalogue."""
    add_page(app, f"{HERE}/history", past)
    add_page(app, f"{HERE}/history/{{version}}", one_version, restorer)
