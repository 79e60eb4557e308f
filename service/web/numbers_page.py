"""What a price is made of, numbers for the bench, every file: pages of their own, and parts of a design's.

Few look at them, and they would be a tenth of a design's page: it fetches each once it is unfolded.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Final

from starlette.requests import Request
from starlette.responses import HTMLResponse, Response

from service.design import Joint, Part, Pattern, collar_in, joint_notes, laid_out, ranges_in_words
from service.language import decimals, tr
from service.pricing import Quote, estimate
from service.units import System, show_blank, show_inches, show_mm
from service.web.configurator import downloads, hole_rows, total_note
from service.web.design_page import FRAMED, HEADERS, is_partial
from service.web.fields import system_of
from service.web.house import house_of
from service.web.page import HoleRow, Row
from service.web.query import Asked, address, design, linked, read_query
from service.web.words import money, title
from service.workshop import Workshop

PRICE: Final = "/price"
BENCH: Final = "/bench"
FILES: Final = "/files"
IN_FRAME: Final = (FRAMED + PRICE, FRAMED + BENCH, FRAMED + FILES)
"""The same as parts of the page that stands in a frame, in its language."""


@dataclass(frozen=True, slots=True)
class PriceInput:
    """One input behind a price line: its name and its value with unit."""

    name: str
    value: str


@dataclass(frozen=True, slots=True)
class PriceRow:
    """One line of the price with what it is made from."""

    label: str
    amount: str
    inputs: tuple[PriceInput, ...]


@dataclass(frozen=True, slots=True)
class JointRow:
    """A joint: its name, plies and stack, what holds it, and which stacks that closes."""

    name: str
    plies: str
    stack: str
    held_by: str
    closes: str


@dataclass(frozen=True, slots=True)
class Distances:
    """What is marked on one piece, from its left end or from its `buckle` end."""

    piece: str
    buckle: bool
    rows: tuple[Row, ...]


@dataclass(frozen=True, slots=True)
class Numbers:
    """Every line of the price, and what is cut, set and punched, in words and a reader's own system."""

    total: str
    total_note: str
    price_rows: tuple[PriceRow, ...]
    holes: tuple[HoleRow, ...]
    parts: tuple[Row, ...]
    hardware: tuple[Row, ...]
    joints: tuple[JointRow, ...]
    joint_notes: tuple[str, ...]
    distances: tuple[Distances, ...]


@dataclass(frozen=True, slots=True)
class NumbersPage:
    """A design's numbers and files; `back` is the design's own page, `window` where a file opens."""

    shop: str
    title: str
    back: str
    numbers: Numbers
    downloads: tuple[tuple[str, str, str], ...]
    window: str = "_self"


def price(request: Request) -> Response:
    """Every line of the price, as a page or, for a script in the design's page, as a part of that."""
    return _answer(request, "price")


def bench(request: Request) -> Response:
    """What is cut, set and punched, as a page or as a part of the design's page."""
    return _answer(request, "bench")


def files(request: Request) -> Response:
    """Every paper, template and file, as a page or as a part of the design's page."""
    return _answer(request, "files")


def _answer(request: Request, folder: str) -> Response:
    house = house_of(request)
    asked = read_query(request.scope["query_string"], house.settings.query_max)
    page = numbers_page(asked, house.workshop)
    if request.scope["path"] in IN_FRAME:
        page = replace(page, window="_blank")
    template = house.pages.get_template(f"{folder}/{'_numbers' if is_partial(request) else 'page'}.html")
    return HTMLResponse(template.render(page=page), headers=HEADERS)


def numbers_page(asked: Asked, workshop: Workshop) -> NumbersPage:
    """Return the numbers of a design; raises DesignRefused."""
    system = system_of(asked, workshop)
    pattern = design(asked, workshop)
    link = linked(asked, workshop)
    return NumbersPage(
        workshop.name,
        title(pattern, system),
        address("/", link),
        numbers_of(pattern, workshop, system),
        downloads(link, workshop, ends=collar_in(pattern) is not None),
    )


def numbers_of(pattern: Pattern, workshop: Workshop, system: System) -> Numbers:
    """Return the numbers of a pattern as they are said to a reader of this system."""
    quote = estimate(pattern, workshop)
    return Numbers(
        total=money(quote.total, quote.currency, workshop.region),
        total_note=total_note(workshop),
        price_rows=_price_rows(quote, workshop.region),
        holes=hole_rows(pattern, system),
        parts=_parts(pattern, system),
        hardware=_hardware(pattern, system),
        joints=tuple(map(_joint_row, pattern.joints)),
        joint_notes=joint_notes(pattern.joints),
        distances=tuple(_distances(pattern)),
    )


def _distances(pattern: Pattern) -> Iterator[Distances]:
    """Every piece with something on it, in the order in which they are cut."""
    for part in pattern.parts:
        buckle = part is pattern.strap and collar_in(pattern) is not None
        rows = tuple(Row(row.name, show_mm(row.x), show_inches(row.x)) for row in pattern.stations_on(part))
        if rows:
            yield Distances(_pieces(part), buckle, rows)


def _hardware(pattern: Pattern, system: System) -> tuple[Row, ...]:
    rows = tuple(Row(row.name, str(row.quantity), tr(row.place)) for row in pattern.hardware)
    return (*rows, *(Row(what.said(system), "", tr(place)) for what, place in laid_out(pattern)))


def _joint_row(joint: Joint) -> JointRow:
    row, stack = joint.fastener, show_mm(joint.stack)
    if row is None:
        return JointRow(tr(joint.name), str(joint.plies), stack, tr(joint.closing), "")
    held_by = f"{joint.quantity} × {row.name}" if joint.quantity > 1 else row.name
    closes = tr("closes {ranges}", ranges=ranges_in_words([(row.grip_min, row.grip_max)]))
    return JointRow(tr(joint.name), str(joint.plies), stack, held_by, closes)


def _parts(pattern: Pattern, system: System) -> tuple[Row, ...]:
    other: System = "metric" if system == "imperial" else "imperial"
    return tuple(
        Row(
            _pieces(part),
            show_blank(part.length, part.width, system),
            tr(
                "{size}, {thickness} thick",
                size=show_blank(part.length, part.width, other),
                thickness=show_mm(part.thickness),
            ),
        )
        for part in pattern.parts
    )


def _pieces(part: Part) -> str:
    title = tr(part.title)
    return title if part.quantity == 1 else tr("{part}, {count} of them", part=title, count=part.quantity)


def _price_rows(quote: Quote, region: str) -> tuple[PriceRow, ...]:
    return tuple(
        PriceRow(
            line.label,
            money(line.amount, quote.currency, region),
            tuple(PriceInput(one.name, f"{decimals(one.value)} {one.unit}".rstrip()) for one in line.inputs),
        )
        for line in quote.lines
    )
