"""What differs between two versions of a catalogue, row by row and column by column, in words."""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Literal

from service.language import mark, tr
from service.web.catalogue_cells import say_cell
from service.web.catalogue_columns import Column, Sheet
from service.web.catalogue_tables import ASSUMPTIONS, OWN, RATES, TABLES
from service.workshop import Row, Workshop

What = Literal["added", "changed", "removed", "unchanged"]


@dataclass(frozen=True, slots=True)
class CellChange:
    """A column that differs: what it is called, what it was and what it is."""

    label: str
    was: str
    now: str


@dataclass(frozen=True, slots=True)
class RowChange:
    """A row that differs; of one that is added or removed, `cells` are those that say something."""

    table: str
    name: str
    what: What
    cells: tuple[CellChange, ...] = ()


def rows_of(workshop: Workshop, sheet: Sheet) -> dict[str, Row]:
    """Return the rows of a table by what they are known by."""
    return {str(getattr(row, sheet.key)): row for row in getattr(workshop, sheet.kind)}


def row_name(sheet: Sheet, row: Row) -> str:
    """Return what a person calls a row."""
    return str(getattr(row, "name" if sheet.key == "code" else sheet.key))


def changes_between(old: Workshop, new: Workshop) -> tuple[RowChange, ...]:
    """Return all that differs between two versions, table by table; what is the same is left out."""
    found = [change for sheet in TABLES.values() for change in _in_table(sheet, old, new)]
    own = (RATES, old.rates, new.rates), (ASSUMPTIONS, old.assumptions, new.assumptions), (OWN, old, new)
    for sheet, was, now in own:
        cells = tuple(cell_changes(sheet.columns, was, now, old, new))
        if cells:
            found.append(RowChange(tr(sheet.title), "", "changed", cells))
    return tuple(found)


def _in_table(sheet: Sheet, old: Workshop, new: Workshop) -> Iterator[RowChange]:
    before, after = rows_of(old, sheet), rows_of(new, sheet)
    for change in table_changes(sheet, before, after, old, new):
        if change.what != "unchanged":
            yield change
    stay = [key for key in before if key in after]
    if stay != [key for key in after if key in before]:
        order = ", ".join(row_name(sheet, row) for row in after.values())
        yield RowChange(tr(sheet.title), "", "changed", (CellChange(tr("Order of the rows"), "", order),))


def table_changes(
    sheet: Sheet, before: Mapping[str, Row], after: Mapping[str, Row], old: Workshop, new: Workshop
) -> Iterator[RowChange]:
    """Yield what becomes of each row of a table, those that stay the same too."""
    for key, row in after.items():
        was = before.get(key)
        cells = tuple(cell_changes(sheet.columns, was, row, old, new))
        what: What = "added" if was is None else "changed" if cells else "unchanged"
        yield RowChange(tr(sheet.title), row_name(sheet, row), what, cells)
    for key, row in before.items():
        if key not in after:
            yield RowChange(tr(sheet.title), row_name(sheet, row), "removed")


def cell_changes(
    columns: tuple[Column, ...],
    was: Row | None,
    now: Row,
    old: Workshop,
    new: Workshop,
) -> Iterator[CellChange]:
    """Yield the columns in which two rows differ; against no row at all, those that are filled."""
    for column in columns:
        before = None if was is None else getattr(was, column.name)
        after = getattr(now, column.name)
        if before != after and not (was is None and (after is None or after == "")):
            yield CellChange(
                tr(column.label), say_cell(column, before, old), say_cell(column, after, new) or tr("nothing")
            )


DEEDS = {
    "added": mark("{table}: {row} added"),
    "changed": mark("{table}: {row} changed"),
    "removed": mark("{table}: {row} removed"),
}
"""What the store notes of a change of one row."""
BROUGHT = re.compile(r"from a file, ([0-9]+) added, ([0-9]+) changed, ([0-9]+) removed")
PUT_BACK = re.compile(r"version ([0-9]+) put back")


def change_words(change: str) -> str:
    """Return what the store notes of a change as people say it: "Leathers: fern added"."""
    kind, colon, rest = change.partition(": ")
    titles = {str(sheet.kind): tr(sheet.title) for sheet in TABLES.values()}
    if colon and kind in titles:
        return _row_words(titles[kind], rest)
    if change == "first catalogue":
        return tr("The workshop moved in")
    if found := PUT_BACK.fullmatch(change):
        return tr("Version {version} put back", version=found[1])
    single = (RATES, ASSUMPTIONS)
    labels = {f"{sheet.kind}: {column.name}": column.label for sheet in single for column in sheet.columns}
    labels |= {column.name: column.label for column in OWN.columns}
    parts = change.split(", ")
    return ", ".join(tr(labels[part]) for part in parts) if all(part in labels for part in parts) else change


def _row_words(table: str, rest: str) -> str:
    if found := BROUGHT.fullmatch(rest):
        return tr(
            "{table}: from a file, {added} added, {changed} changed, {removed} removed",
            table=table,
            added=found[1],
            changed=found[2],
            removed=found[3],
        )
    row, _, deed = rest.rpartition(" ")
    return tr(DEEDS[deed], table=table, row=row) if deed in DEEDS else f"{table}: {rest}"
