"""A row of the catalogue as a form, and the same for the rates and for the workshop itself."""

from collections.abc import Mapping
from dataclasses import dataclass

from service.language import tr
from service.storage import Catalogue, Connection, NotKept, catalogue_history, members_of, old_catalogue
from service.web.catalogue_cells import say_cell, show_cell
from service.web.catalogue_changes import change_words
from service.web.catalogue_columns import Column, Sheet
from service.web.frame import Frame
from service.web.house import House
from service.web.words import moment
from service.workshop import Row, Workshop

SEEN_MAX = 9
"""Figures of a version that a form may carry."""


@dataclass(frozen=True, slots=True)
class CellField:
    """A column as a field: what is typed in it, what is wrong with that, and in words what is kept now."""

    column: Column
    label: str
    unit: str
    hint: str
    typed: str
    kept: str
    error: str
    options: tuple[tuple[str, str], ...]
    optional: bool
    differs: bool

    @property
    def ident(self) -> str:
        """The id of its input."""
        return f"field-{self.column.name}"


@dataclass(frozen=True, slots=True)
class ChangeLine:
    """A change that somebody made: what, who and when."""

    version: int
    said: str
    who: str
    at: str


@dataclass(frozen=True, slots=True)
class RowPage:
    """A row's form; `key` is empty for a new one, `own` tells the rates and the workshop itself.

    `others` are changes that came in between.
    """

    frame: Frame
    table: str
    title: str
    path: str
    back: str
    key: str
    seen: int
    fields: tuple[CellField, ...]
    may_change: bool
    notice: str = ""
    others: tuple[ChangeLine, ...] = ()
    removable: bool = False
    can_be_first: bool = False
    own: bool = False

    @property
    def wrong(self) -> tuple[CellField, ...]:
        """Every field with an error."""
        return tuple(field for field in self.fields if field.error)


def fields_of(
    sheet: Sheet,
    typed: Mapping[str, str],
    kept: Row | None,
    workshop: Workshop,
    errors: Mapping[str, str] | None = None,
    *,
    code: bool = True,
) -> tuple[CellField, ...]:
    """Return the fields of a form; the code is left out where it can't be changed any more."""
    return tuple(
        _field(sheet, column, typed, kept, workshop, (errors or {}).get(column.name, ""))
        for column in sheet.columns
        if code or column.name != "code"
    )


def _field(
    sheet: Sheet, column: Column, typed: Mapping[str, str], kept: Row | None, workshop: Workshop, error: str
) -> CellField:
    value = None if kept is None else getattr(kept, column.name)
    shown_now = "" if kept is None else show_cell(column, value, workshop)
    text = typed.get(column.name, "")
    options = column.options(workshop) if column.options else ()
    optional = not sheet.required(column.name) and sheet.model.model_fields[column.name].default in {None, ""}
    return CellField(
        column,
        tr(column.label),
        tr(column.unit),
        tr(column.hint),
        text,
        say_cell(column, value, workshop) if kept else "",
        error,
        options,
        optional,
        kept is not None and text.split() != shown_now.split(),
    )


def typed_row(sheet: Sheet, row: Row, workshop: Workshop) -> dict[str, str]:
    """Return a row as somebody would have typed it."""
    return {column.name: show_cell(column, getattr(row, column.name), workshop) for column in sheet.columns}


def seen_in(typed: Mapping[str, str]) -> int:
    """Return the version of the catalogue that a form was made from, 0 where it doesn't say."""
    text = typed.get("seen", "")
    return int(text) if text.isascii() and text.isdigit() and len(text) <= SEEN_MAX else 0


def seen_catalogue(connection: Connection, house: House, seen: int) -> Catalogue | None:
    """Return the catalogue that a form was made from, or None."""
    try:
        return old_catalogue(connection, house.workshop_id, seen)
    except NotKept:
        return None


def changes_since(connection: Connection, house: House, seen: int) -> tuple[ChangeLine, ...]:
    """Return what was changed after a version, the newest first."""
    return tuple(line for line in change_lines(connection, house) if line.version > seen)


def change_lines(connection: Connection, house: House) -> tuple[ChangeLine, ...]:
    """Return every change of the catalogue with who made it, the newest first."""
    names = {one.id: one.name for one in members_of(connection, house.workshop_id)}
    return tuple(
        ChangeLine(
            one.version,
            change_words(one.change),
            names.get(one.made_by, tr("the service")),
            moment(one.made_at, house.workshop),
        )
        for one in catalogue_history(connection, house.workshop_id)
    )
