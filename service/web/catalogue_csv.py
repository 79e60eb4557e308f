"""A table of the catalogue as a CSV file (RFC 4180), and such a file read back, each mistake with its place.

A spreadsheet takes a cell that begins with = + - @ for a formula and reckons it: such cells go out with a '
in front, and it is taken off again on the way in (OWASP, CSV injection).
"""

import csv
import io
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from service.errors import GirthwrightError
from service.language import tr
from service.storage import SHELVES, Counted, Stock
from service.web.catalogue_cells import plain_cell
from service.web.catalogue_changes import rows_of
from service.web.catalogue_columns import Column, Sheet
from service.web.catalogue_counts import COUNTS, count_cells, read_counts
from service.web.catalogue_form import typed_row
from service.web.catalogue_typed import read_row
from service.workshop import Row, Workshop

BYTES_MAX: Final = 200_000
"""The largest file that is read."""
ROWS_MAX: Final = 500
FORMULA: Final = ("=", "+", "-", "@", "\t", "\r")
SHIELDED: Final = tuple(f"'{sign}" for sign in (*FORMULA, "'"))
SEPARATORS: Final = ",;\t"
COMPLAINTS_MAX: Final = 50
"""So many mistakes are named at once."""


class FileUnreadable(GirthwrightError):
    """A file can't be taken apart; the sentence says why and what would work."""


@dataclass(frozen=True, slots=True)
class Mistake:
    """Something wrong in a file: the row as a spreadsheet counts it, its column, what is wrong."""

    row: int
    column: str
    said: str


@dataclass(frozen=True, slots=True)
class FileRows:
    """The rows of a file by what they are known by, what it counts of them, and every mistake in it."""

    rows: Mapping[str, Row]
    counted: Mapping[str, Counted]
    mistakes: tuple[Mistake, ...]


def to_csv(sheet: Sheet, workshop: Workshop, shelf: Mapping[str, Stock]) -> str:
    """Return a table as a file: a heading of the columns' names, then the rows with their stock."""
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow([column.name for column in _columns(sheet)])
    for key, row in rows_of(workshop, sheet).items():
        cells = [plain_cell(column, getattr(row, column.name)) for column in sheet.columns]
        if sheet.kind in SHELVES:
            cells += count_cells(sheet.kind, shelf.get(key))
        writer.writerow(map(_shielded, cells))
    return out.getvalue()


def _columns(sheet: Sheet) -> tuple[Column, ...]:
    return (*sheet.columns, *COUNTS) if sheet.kind in SHELVES else sheet.columns


def _shielded(cell: str) -> str:
    return f"'{cell}" if cell.startswith((*FORMULA, "'")) else cell


def _bare(cell: str) -> str:
    return cell[1:] if cell.startswith(SHIELDED) else cell


def file_text(body: bytes) -> str:
    """Return the text of a file; raises FileUnreadable."""
    if len(body) > BYTES_MAX:
        raise FileUnreadable(
            tr("The file has {bytes} bytes, and {most} is the most.", bytes=len(body), most=BYTES_MAX)
        )
    try:
        return body.decode("utf-8-sig")
    except UnicodeDecodeError as fault:
        raise FileUnreadable(
            tr("The file is not in UTF-8. In a spreadsheet choose “Save as” and the kind “CSV UTF-8”.")
        ) from fault


def read_csv(sheet: Sheet, text: str, workshop: Workshop, shelf: Mapping[str, Stock]) -> FileRows:
    """Return the rows of a file; a column that it leaves out stays as it is. Raises FileUnreadable."""
    lines = _cells(text)
    names = _heading(sheet, lines[0][1])
    known, rows, mistakes = rows_of(workshop, sheet), dict[str, Row](), list[Mistake]()
    labels = {column.name: tr(column.label) for column in _columns(sheet)}
    counted: dict[str, Counted] = {}
    for number, cells in lines[1:]:
        if len(cells) > len(names):
            mistakes.append(
                Mistake(
                    number,
                    "",
                    tr(
                        "It has {cells} cells under {headings} headings.",
                        cells=len(cells),
                        headings=len(names),
                    ),
                )
            )
            continue
        typed = {name: _bare(cell) for name, cell in zip(names, cells, strict=False)}
        kept = known.get(typed.get(sheet.key, "").strip())
        if kept is not None:
            typed = {**typed_row(sheet, kept, workshop), **typed}
        read = read_row(sheet, typed, workshop, [*known, *rows])
        key = str(getattr(read.row, sheet.key)) if read.row else typed[sheet.key].strip()
        errors = dict[str, str]()
        if sheet.kind in SHELVES and (count := read_counts(sheet.kind, key, shelf.get(key), typed, errors)):
            counted[key] = count
        wrong = {**read.errors, **errors}
        mistakes += [Mistake(number, labels[name], said) for name, said in wrong.items()]
        if read.row is None:
            continue
        if key in rows:
            mistakes.append(
                Mistake(number, labels[sheet.key], tr("“{key}” stands in the file twice.", key=key))
            )
        rows[key] = read.row
    return FileRows(rows, counted, tuple(mistakes[:COMPLAINTS_MAX]))


def _cells(text: str) -> list[tuple[int, list[str]]]:
    """Each line that says something, with the number that a spreadsheet gives it."""
    text = text.removeprefix("\N{ZERO WIDTH NO-BREAK SPACE}")
    if "\x00" in text:
        raise FileUnreadable(tr("The file holds signs that no text has. Save it again as CSV."))
    first = text.lstrip("\r\n").partition("\n")[0]
    separator = max(SEPARATORS, key=first.count)
    try:
        found = list(csv.reader(io.StringIO(text, newline=""), delimiter=separator, strict=True))
    except csv.Error as fault:
        raise FileUnreadable(
            tr("The file can't be taken apart: a quotation mark in it isn't closed, or at a wrong place.")
        ) from fault
    lines = [(number, cells) for number, cells in enumerate(found, 1) if any(cell.strip() for cell in cells)]
    if len(lines) > ROWS_MAX + 1:
        raise FileUnreadable(
            tr("The file has {rows} rows, and {most} is the most.", rows=len(lines) - 1, most=ROWS_MAX)
        )
    if not lines:
        raise FileUnreadable(tr("There is nothing in it: the first line names the columns, the rows follow."))
    return lines


def _heading(sheet: Sheet, cells: list[str]) -> list[str]:
    """The columns that a heading names, by their names in files or on pages."""
    columns = _columns(sheet)
    names = {column.name.casefold(): column.name for column in columns}
    labels = {tr(column.label).casefold(): column.name for column in columns}
    found = [(names | labels).get(" ".join(cell.split()).casefold(), "") for cell in cells]
    listed = ", ".join(column.name for column in columns)
    if "" in found:
        strange = cells[found.index("")].strip()[:40]
        unnamed = tr("A column has no heading. There can be: {columns}.", columns=listed)
        unknown = tr("“{name}” is no column here. There can be: {columns}.", name=strange, columns=listed)
        raise FileUnreadable(unknown if strange else unnamed)
    if len({*found}) < len(found):
        raise FileUnreadable(tr("A column stands in the heading twice."))
    if sheet.key not in found:
        raise FileUnreadable(tr("The column {name} is missing: it says which row is which.", name=sheet.key))
    return found
