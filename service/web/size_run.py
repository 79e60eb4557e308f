"""A size run: many dogs, typed or pasted as CSV, on one print; what is wrong is said row by row."""

import csv
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from http import HTTPStatus
from typing import Final
from urllib.parse import urlsplit

from anyio import from_thread
from fastapi import FastAPI, Request
from fastapi.responses import Response

from service.design import PARAMETERS, CollarPattern
from service.drawing import Heading, run_pdf
from service.errors import DesignRefused, Unreadable
from service.language import tr, tr_many
from service.text import clean_line
from service.units import show_cut
from service.web.access import form, signed_in
from service.web.configurator import summary_lines
from service.web.family import add_page, shown
from service.web.fields import own_system, system_of
from service.web.frame import Frame, frame_for
from service.web.house import House, house_of, origin
from service.web.parameters import ALL
from service.web.prints import ACROSS, DOWN, SHEETS, SQUARES, correction_of, of_design, paper_of, usual_paper
from service.web.query import Asked, QueryUnreadable, collar_design, read_query
from service.workshop import Workshop

HERE: Final = "/shop/run"
ROWS_MAX: Final = 60
"""So many dogs at once: a litter, a class or a kennel, and no print that holds up the others."""
NAME: Final = "name"
SEPARATORS: Final = "\t;,"
"""What a spreadsheet's copy is parted by, and what CSV files are."""
NAME_MAX: Final = 60
OF_THE_DOG: Final = frozenset(("neck", "adult", "weight"))
"""What is each dog's own, and no part of what all have in common."""


@dataclass(frozen=True, slots=True)
class RunRow:
    """A row as it was typed, by its line in the text, with what it comes to or what is wrong with it."""

    line: int
    typed: str
    name: str
    said: str
    wrong: bool
    pattern: CollarPattern | None = None


@dataclass(frozen=True, slots=True)
class RunPage:
    """The form with what was typed, and each row beside what it comes to; `good` rows can be printed."""

    frame: Frame
    typed: Mapping[str, str]
    wrong: Mapping[str, str]
    rows: tuple[RunRow, ...]
    papers: tuple[tuple[str, str, bool], ...]
    good: int
    heading: str


def run_page(request: Request) -> Response:
    """The empty form; with a design in its address the run begins with that."""
    member = signed_in(request)
    house = house_of(request)
    query = request.scope["query_string"].decode("ascii", "replace")
    typed = {"design": f"{origin(request)}/?{query}" if query else ""}
    page = _page(house, frame_for(member, house.workshop.name), typed, {}, ())
    return shown(request, "size_run/page.html", page)


def run_taker(request: Request) -> Response:
    """Print the run; or, where a row is wrong, say so beside it, and print the others if that is wanted."""
    member = signed_in(request)
    house, typed = house_of(request), form(request)
    wrong: dict[str, str] = {}
    system = own_system(house.workshop)
    common = _common(typed.get("design", ""), house, wrong)
    rows = tuple(_rows(typed.get("dogs", ""), common, house.workshop, wrong)) if not wrong else ()
    asked = Asked({name: typed.get(name, "") for name in ("paper", *SQUARES)})
    paper, bad = paper_of(asked, SHEETS, usual_paper(house.workshop))
    correction, off = correction_of(asked)
    wrong.update({one.field: one.message.said(system) for one in (*bad, *off)})
    good = [(row.name, row.pattern) for row in rows if row.pattern is not None]
    whole = len(good) == len(rows) or typed.get("as") == "good"
    if wrong or not good or not whole or typed.get("as") == "look":
        page = _page(house, frame_for(member, house.workshop.name), typed, wrong, rows)
        refused = wrong or len(good) < len(rows)
        status = HTTPStatus.UNPROCESSABLE_ENTITY if refused else HTTPStatus.OK
        return shown(request, "size_run/page.html", page, status)
    heading = Heading(
        shop=house.workshop.name,
        title=tr_many("Size run: {count} dog", "Size run: {count} dogs", len(good)),
        price=None,
        link=origin(request) + HERE,
        system=system,
        summary=_shared([pattern for _, pattern in good], house.workshop),
    )
    turn = object()
    from_thread.run(house.press.acquire_on_behalf_of, turn)
    try:
        printed = run_pdf(good, heading, paper, correction)
    finally:
        from_thread.run_sync(house.press.release_on_behalf_of, turn)
    headers = {"Content-Disposition": 'attachment; filename="size-run.pdf"'}
    return Response(printed, headers=headers, media_type="application/pdf")


def _shared(patterns: Sequence[CollarPattern], workshop: Workshop) -> tuple[tuple[str, str], ...]:
    """What is the same of all collars, as names and values."""
    first, *others = (summary_lines(pattern, own_system(workshop)) for pattern in patterns)
    return tuple(row for row in first if all(row in other for other in others))


def _common(text: str, house: House, wrong: dict[str, str]) -> dict[str, str]:
    """What all the collars share, from a link to a design; its dog's measures are nobody's here."""
    if not text.strip():
        return {}
    query = urlsplit(text.strip()).query
    try:
        asked = of_design(read_query(query.encode(), house.settings.query_max))
    except QueryUnreadable as fault:
        wrong["design"] = str(fault)
        return {}
    unknown = [name for name in asked.typed if name not in PARAMETERS]
    if not query or unknown or asked.repeated:
        wrong["design"] = tr("That is no link to a design. Copy it from the page of the design, whole.")
        return {}
    return {name: value for name, value in asked.given.items() if name not in OF_THE_DOG}


def _rows(
    text: str, common: Mapping[str, str], workshop: Workshop, wrong: dict[str, str]
) -> Iterator[RunRow]:
    """Each row with its collar, or with what is wrong with it."""
    lines = text.splitlines()
    first = next((line for line in lines if line.strip()), "")
    parted = max(SEPARATORS, key=first.count)
    try:
        # Line by line, or a quotation mark that is never closed would take in the dogs after it.
        found = [next(csv.reader([line], delimiter=parted), []) for line in lines]
    except csv.Error:
        wrong["dogs"] = tr("That can't be taken apart into rows and cells. Type one dog to a line.")
        return
    cells = [
        (number, [cell.strip() for cell in row])
        for number, row in enumerate(found, 1)
        if any(cell.strip() for cell in row)
    ]
    columns = _columns(cells[0][1]) if cells else ()
    if columns:
        cells = cells[1:]
    if "" in columns or len(set(columns)) < len(columns):
        wrong["dogs"] = tr("Each column is named once, as one of: {columns}.", columns=", ".join(_known()))
        return
    if not cells:
        wrong["dogs"] = tr("There is no dog in it. Type one to a line, for example: Rex, 16 1/2 in")
        return
    if len(cells) > ROWS_MAX:
        wrong["dogs"] = tr(
            "There are {count} dogs in it, and {most} is the most: print the others after these.",
            count=len(cells),
            most=ROWS_MAX,
        )
        return
    for number, row in cells:
        yield _row(number, f"{parted} ".join(row), row, columns or (NAME, "neck"), common, workshop)


def _known() -> dict[str, str]:
    """What columns may be called, and the parameter that each is."""
    return {NAME: NAME, **{name: name for name in ALL if name != "kind"}}


def _columns(heading: list[str]) -> tuple[str, ...]:
    """The columns that a first line names, empty for what is none; nothing where it names none at all."""
    labels = {tr(one.label).casefold(): name for name, one in ALL.items()}
    names = {**labels, tr("Name").casefold(): NAME, tr("Dog").casefold(): NAME, **_known()}
    names[tr("Neck when grown").casefold()] = "adult"
    found = tuple(names.get(cell.casefold(), "") for cell in heading)
    return found if "neck" in found or NAME in found else ()


def _row(
    number: int,
    typed: str,
    cells: list[str],
    columns: tuple[str, ...],
    common: Mapping[str, str],
    workshop: Workshop,
) -> RunRow:
    if any(cells[len(columns) :]):
        said = tr("More is in it than there are columns: {columns}.", columns=", ".join(columns))
        return RunRow(number, typed, "", said, wrong=True)
    own = {column: cell for column, cell in zip(columns, cells, strict=False) if cell}
    named = own.pop(NAME, "")
    asked = Asked({**common, **own})
    system = system_of(asked, workshop)
    try:
        called = clean_line(named, NAME_MAX) or tr("Dog {number}", number=number)
    except Unreadable as fault:
        name = tr("Name")
        return RunRow(number, typed, "", f"{name}: {fault.message.said(system)}", wrong=True)
    try:
        pattern = collar_design(asked, workshop)
    except DesignRefused as refused:
        said = " ".join(f"{_label(one.field)}: {one.message.said(system)}" for one in refused.problems)
        return RunRow(number, typed, called, said, wrong=True)
    said = tr("a blank of {length}", length=show_cut(pattern.strap.length, system))
    warned = [one for one in pattern.findings if one.severity in {"question", "warning"}]
    said = " ".join((f"{said}.", *(one.text.said(system) for one in warned))) if warned else said
    return RunRow(number, typed, called, said, wrong=False, pattern=pattern)


def _label(field: str) -> str:
    return tr(ALL[field].label) if field in ALL else field


def _page(
    house: House, frame: Frame, typed: Mapping[str, str], wrong: Mapping[str, str], rows: tuple[RunRow, ...]
) -> RunPage:
    paper = typed.get("paper") or usual_paper(house.workshop)
    bad = sum(row.wrong for row in rows)
    heading = tr_many("{count} row can't be made", "{count} rows can't be made", bad) if bad else ""
    if wrong:
        heading = tr("Nothing was printed")
    return RunPage(
        frame,
        {name: typed.get(name, "") for name in ("design", "dogs", ACROSS, DOWN)},
        wrong,
        rows,
        tuple((one, {"a4": "A4", "letter": "Letter"}[one], one == paper) for one in SHEETS),
        sum(not row.wrong for row in rows),
        heading,
    )


def size_run_routes(app: FastAPI) -> None:
    """Add the page of a size run."""
    add_page(app, HERE, run_page, run_taker)
