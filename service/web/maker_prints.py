"""What an order's collar is cut from: its pattern, end templates and files for cutters, from what is kept."""

from collections.abc import Callable
from dataclasses import dataclass
from http import HTTPStatus
from typing import get_args

from anyio import from_thread
from fastapi import FastAPI, Request
from fastapi.responses import Response

from service.design import Pattern, make_pattern
from service.drawing import (
    Correction,
    Heading,
    Paper,
    SheetPaper,
    pattern_dxf,
    pattern_pdf,
    pattern_svg,
    strip_pdf,
)
from service.language import tr
from service.pricing import estimate
from service.storage import Order
from service.web.access import signed_in
from service.web.configurator import summary_lines
from service.web.family import add_page, shown
from service.web.fields import system_of_design
from service.web.house import house_of, origin
from service.web.kept import the_order
from service.web.prints import (
    SHEETS,
    STRIP,
    AnyPaper,
    PrintsPage,
    correction_of,
    made_prints_page,
    made_templates,
    paper_of,
    prints_of,
    templates_name,
)
from service.web.query import Asked, collar_of, read_query
from service.web.shop_words import minor_of
from service.web.words import coins, file_name, title


@dataclass(frozen=True, slots=True)
class ToCut:
    """An order with its pattern, and what stands on it."""

    order: Order
    pattern: Pattern
    heading: Heading

    def name(self, kind: str) -> str:
        """A name for a saved file."""
        return f"order-{self.order.number}-{file_name(self.pattern, self.heading.system, kind)}"


def pattern_drawing(request: Request, number: str) -> Response:
    """The kept design's pattern at full scale on one sheet."""
    cut = _to_cut(request, number)
    return _file(pattern_svg(cut.pattern, cut.heading).encode(), cut.name("svg"), "image/svg+xml")


def pattern_cut(request: Request, number: str) -> Response:
    """The kept design's parts for a cutter or a laser."""
    cut = _to_cut(request, number)
    return _file(pattern_dxf(cut.pattern).encode(), cut.name("dxf"), "image/vnd.dxf")


def pattern_print(request: Request, number: str) -> Response:
    """The kept design's pattern to print."""

    def made(cut: ToCut, paper: Paper, correction: Correction) -> bytes:
        return pattern_pdf(cut.pattern, cut.heading, paper, correction)

    return _print(request, number, get_args(Paper), made, lambda cut: cut.name("pdf"))


def templates_print(request: Request, number: str) -> Response:
    """The end templates and the chart for the kept design's width and hardware."""

    def made(cut: ToCut, paper: SheetPaper, correction: Correction) -> bytes:
        return made_templates(collar_of(cut.pattern), cut.order.kept, cut.heading.link, paper, correction)

    def name(cut: ToCut) -> str:
        return f"order-{cut.order.number}-{templates_name(collar_of(cut.pattern))}"

    return _print(request, number, SHEETS, made, name)


def strip_print(request: Request, number: str) -> Response:
    """A strip with every place of the kept design, to lay along the blank."""

    def made(cut: ToCut, paper: SheetPaper, correction: Correction) -> bytes:
        return strip_pdf(cut.pattern, cut.heading, paper, correction)

    return _print(request, number, SHEETS, made, lambda cut: f"order-{cut.order.number}-marking-strip.pdf")


def _print(
    request: Request,
    number: str,
    papers: tuple[AnyPaper, ...],
    made: Callable[[ToCut, AnyPaper, Correction], bytes],
    name: Callable[[ToCut], str],
) -> Response:
    """A print, one at a time: two at once would only hold each other up; or what is wrong with its form."""
    cut, asked = _to_cut(request, number), _asked(request)
    paper, wrong = paper_of(asked, papers, papers[0])
    correction, off = correction_of(asked)
    if wrong or off:
        page = _prints(cut, asked, papers)
        return shown(request, "prints/page.html", page, HTTPStatus.UNPROCESSABLE_ENTITY)
    house, turn = house_of(request), object()
    from_thread.run(house.press.acquire_on_behalf_of, turn)
    try:
        printed = made(cut, paper, correction)
    finally:
        from_thread.run_sync(house.press.release_on_behalf_of, turn)
    return _file(printed, name(cut))


def prints_page(request: Request, number: str) -> Response:
    """Every print of the order, and the correction for a printer."""
    return shown(request, "prints/page.html", _prints(_to_cut(request, number), _asked(request)))


def _prints(cut: ToCut, asked: Asked, papers: tuple[Paper, ...] = get_args(Paper)) -> PrintsPage:
    path = _path(cut.order.number)
    at, prints = (f"{path}#cut", path), (*prints_of(type(cut.order.design)), STRIP)
    return made_prints_page(asked, cut.order.kept, cut.heading.title, at, prints, papers=papers)


def _asked(request: Request) -> Asked:
    return read_query(request.scope["query_string"], house_of(request).settings.query_max)


def _to_cut(request: Request, number: str) -> ToCut:
    signed_in(request)
    house = house_of(request)
    with house.database.reading() as connection:
        order = the_order(connection, house, number)
    rows = order.kept
    pattern = make_pattern(order.design, rows)
    quote = estimate(pattern, rows)
    minor = minor_of(quote.total, rows.rates) if order.quote_minor is None else order.quote_minor
    system = system_of_design(order.design, rows)
    heading = Heading(
        shop=house.workshop.name,
        title=tr("Order {number}: {title}", number=number, title=title(pattern, system)),
        price=coins(minor, order.currency or quote.currency, rows.rates.minor_digits, rows.region),
        link=origin(request) + _path(number),
        system=system,
        summary=summary_lines(pattern, system),
        scannable=bool(house.settings.origin),
    )
    return ToCut(order, pattern, heading)


def _file(body: bytes, name: str, media_type: str = "application/pdf") -> Response:
    headers = {"Content-Disposition": f'attachment; filename="{name}"'}
    return Response(body, headers=headers, media_type=media_type)


def _path(number: int | str) -> str:
    return f"/shop/orders/{number}"


def print_routes(app: FastAPI) -> None:
    """Add the addresses of what an order is cut from."""
    path = "/shop/orders/{number}"
    add_page(app, f"{path}/pattern.svg", pattern_drawing)
    add_page(app, f"{path}/pattern.pdf", pattern_print)
    add_page(app, f"{path}/pattern.dxf", pattern_cut)
    add_page(app, f"{path}/templates.pdf", templates_print)
    add_page(app, f"{path}/strip.pdf", strip_print)
    add_page(app, f"{path}/prints", prints_page)
