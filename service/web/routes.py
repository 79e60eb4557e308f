"""Every address of the service: the design's own, which are only read, and the families of pages.

Routes of the engine are `async def` although the house prefers `def`: they wait for nothing, and a hand-over
to a thread costs more than drawing a collar. Only the PDF takes long enough to be noticed; it goes to
a thread, one at a time: two at once would only take the processor from each other and from every page.
"""

from collections.abc import Callable
from hashlib import blake2b
from typing import get_args

from anyio import to_thread
from fastapi import FastAPI, Request
from fastapi.responses import FileResponse, PlainTextResponse, Response

from service.design import Pattern, not_ready
from service.drawing import Heading, Paper, pattern_dxf, pattern_pdf, pattern_svg, preview_svg
from service.language import spoken
from service.pricing import estimate
from service.settings import ROOT
from service.web.answers import DesignAnswer, HealthAnswer, design_json
from service.web.api import api_routes
from service.web.board import board_routes
from service.web.catalogue import catalogue_routes
from service.web.catalogue_import import catalogue_import_routes
from service.web.catalogue_past import catalogue_past_routes
from service.web.catalogue_row import catalogue_row_routes
from service.web.catalogue_stock import catalogue_stock_routes
from service.web.compare_page import HERE as COMPARE
from service.web.compare_page import compare
from service.web.configurator import made_page, summary_lines
from service.web.connections import connections_routes
from service.web.customers import customer_routes
from service.web.design_page import FRAMED, design_page, is_partial
from service.web.embedding import embed, embed_script
from service.web.enquiry import enquiry_routes
from service.web.errors import unready_page
from service.web.family import add_page, add_read
from service.web.fields import system_of
from service.web.followed import followed_routes
from service.web.giving import giving_routes
from service.web.health import health
from service.web.house import House, house_of, origin
from service.web.languages import language_routes
from service.web.mailing import mailing_routes
from service.web.maker_order import maker_order_routes
from service.web.match import match_routes
from service.web.measure_page import HERE as MEASURE
from service.web.measure_page import IN_FRAME as MEASURE_IN_FRAME
from service.web.measure_page import measure
from service.web.members import members_routes
from service.web.numbers_page import BENCH, FILES, PRICE, bench, files, price
from service.web.numbers_page import IN_FRAME as NUMBERS_IN_FRAME
from service.web.openapi import (
    PAPER,
    PARTIAL,
    SHEET_PAPER,
    SQUARES,
    UNWELL,
    USUAL_SHEET_PAPER,
    answers,
    found,
    parameters,
    refusals,
)
from service.web.prints import (
    PDF,
    SHORTLY,
    correction_of,
    download,
    of_design,
    paper_of,
    prints_page,
    tape_print,
    templates_print,
)
from service.web.proof_page import proof_page_routes
from service.web.query import Asked, address, design, linked, read_query
from service.web.quick_quote import quick_quote_routes
from service.web.second_factor_pages import second_factor_routes
from service.web.sign_in import sign_in_routes
from service.web.size_run import size_run_routes
from service.web.strength_page import HERE as STRENGTH
from service.web.strength_page import IN_FRAME, strength
from service.web.terms import terms_routes
from service.web.upkeep import upkeep_routes
from service.web.words import file_name, money, title
from service.workshop import Workshop

SVG = "image/svg+xml"
DXF = "image/vnd.dxf"
"""IANA's name for a DXF file."""
ROBOTS = (
    "User-agent: *\nAllow: /$\nAllow: /measure$\nAllow: /static/\n"
    "Disallow: /o/\nDisallow: /p/\nDisallow: /shop\nDisallow: /\n"
)
"""Two pages are worth finding; every design has an address, and there is no end of them."""
FAMILIES: tuple[Callable[[FastAPI], None], ...] = (
    language_routes,
    sign_in_routes,
    members_routes,
    connections_routes,
    second_factor_routes,
    giving_routes,
    board_routes,
    quick_quote_routes,
    size_run_routes,
    maker_order_routes,
    customer_routes,
    terms_routes,
    catalogue_past_routes,
    catalogue_import_routes,
    catalogue_stock_routes,
    catalogue_row_routes,
    catalogue_routes,
    match_routes,
    enquiry_routes,
    followed_routes,
    proof_page_routes,
    mailing_routes,
    upkeep_routes,
    api_routes,
)
"""Each family of pages adds its own addresses."""


async def configurator(request: Request) -> Response:
    """The page: the form, the collar, its fit and its price; or, for a script in it, only what changes."""
    house = house_of(request)
    lacking = not_ready(house.workshop)
    if lacking is not None and not is_partial(request):
        return unready_page(house, lacking)
    asked = _asked(request, house)
    return design_page(request, made_page(asked, house.workshop, origin(request)), asked)


async def preview(request: Request) -> Response:
    """The collar as it is worn, and its strap."""
    house = house_of(request)
    asked = _asked(request, house)
    # The same query in the same house is the same drawing: there is no need to draw it to know.
    seen = house.stamp + spoken().code.encode() + request.scope["query_string"]
    tag = f'W/"{blake2b(seen, digest_size=12).hexdigest()}"'
    headers = {"Cache-Control": SHORTLY, "ETag": tag, "Content-Disposition": "inline"}
    if tag in request.headers.get("if-none-match", ""):
        return Response(status_code=304, headers=headers)
    text = preview_svg(design(asked, house.workshop), system_of(asked, house.workshop))
    return Response(text.encode(), headers=headers, media_type=SVG)


async def pattern_drawing(request: Request) -> Response:
    """The full-scale pattern on one sheet."""
    house = house_of(request)
    asked = _asked(request, house)
    pattern = design(asked, house.workshop)
    heading = _heading(request, asked, pattern, house)
    text = await to_thread.run_sync(pattern_svg, pattern, heading, limiter=house.press)
    return download(text.encode(), file_name(pattern, system_of(asked, house.workshop), "svg"), SVG)


async def pattern_print(request: Request) -> Response:
    """The full-scale pattern to print."""
    house = house_of(request)
    everything = _asked(request, house)
    asked = of_design(everything)
    paper, wrong = paper_of(everything, get_args(Paper), "a4")
    correction, off = correction_of(everything)
    pattern = design(asked, house.workshop, (*wrong, *off))
    heading = _heading(request, asked, pattern, house)
    printed = await to_thread.run_sync(pattern_pdf, pattern, heading, paper, correction, limiter=house.press)
    return download(printed, file_name(pattern, heading.system, "pdf"))


async def pattern_cut(request: Request) -> Response:
    """The parts for a cutter or a laser; a file of this kind takes as long as a print."""
    house = house_of(request)
    asked = _asked(request, house)
    pattern = design(asked, house.workshop)
    text = await to_thread.run_sync(pattern_dxf, pattern, limiter=house.press)
    return download(text.encode(), file_name(pattern, system_of(asked, house.workshop), "dxf"), DXF)


async def design_numbers(request: Request) -> Response:
    """Every number of the design."""
    house = house_of(request)
    asked = _asked(request, house)
    pattern = design(asked, house.workshop)
    system = system_of(asked, house.workshop)
    body = design_json(pattern, estimate(pattern, house.workshop), house.workshop, system)
    return Response(body, headers={"Cache-Control": SHORTLY}, media_type="application/json")


async def robots(_request: Request) -> Response:
    """What programs that collect pages may collect."""
    return PlainTextResponse(ROBOTS, headers={"Cache-Control": "public, max-age=86400"})


def favicon(_request: Request) -> Response:
    """The icon, for whoever asks without having read the page."""
    icon = ROOT / "static" / "img" / "favicon.svg"
    return FileResponse(icon, headers={"Cache-Control": "public, max-age=86400"}, media_type=SVG)


def add_routes(app: FastAPI, workshop: Workshop) -> None:
    """Add every route to an application, described for the choices that this workshop has."""
    asked = parameters(workshop)
    page = [*parameters(workshop), PARTIAL]
    add_read(app, "/", configurator, answers("The page, or its parts.", "text/html"), page)
    add_read(app, FRAMED, embed, answers("The page, for a frame on the shop's site.", "text/html"), page)
    add_read(app, "/embed.js", embed_script, found("Puts that frame into a page.", "text/javascript"), [])
    add_read(app, "/preview.svg", preview, answers("The collar, drawn.", SVG), asked)
    add_read(app, "/pattern.svg", pattern_drawing, answers("The pattern, full scale.", SVG), asked)
    add_read(
        app,
        "/pattern.pdf",
        pattern_print,
        answers("The pattern, full scale, to print.", PDF),
        [*asked, PAPER, *SQUARES],
    )
    add_read(
        app,
        "/templates.pdf",
        templates_print,
        answers("Both ends as templates, full scale, and the chart of blanks, to print.", PDF),
        [*parameters(workshop), SHEET_PAPER, *SQUARES],
    )
    add_read(
        app,
        "/tape.pdf",
        tape_print,
        answers("A paper tape to measure a dog with, to print.", PDF),
        [USUAL_SHEET_PAPER, *SQUARES],
    )
    add_page(app, "/prints", prints_page)
    add_read(app, "/pattern.dxf", pattern_cut, answers("The parts, for a cutter.", DXF), asked)
    add_read(app, "/design.json", design_numbers, refusals("application/json"), asked, DesignAnswer)
    add_read(
        app, STRENGTH, strength, answers("How strong it is: an estimate.", "text/html"), [*asked, PARTIAL]
    )
    add_page(app, IN_FRAME, strength)
    add_page(app, COMPARE, compare)
    add_page(app, MEASURE, measure)
    add_page(app, MEASURE_IN_FRAME, measure)
    add_read(app, PRICE, price, answers("Every line of the price, unfolded.", "text/html"), [*asked, PARTIAL])
    add_read(app, BENCH, bench, answers("What is cut, set and punched.", "text/html"), [*asked, PARTIAL])
    add_page(app, FILES, files)
    for path, part in zip(NUMBERS_IN_FRAME, (price, bench, files), strict=True):
        add_page(app, path, part)
    add_read(app, "/healthz", health, UNWELL, [], HealthAnswer)
    add_read(app, "/robots.txt", robots, found("Rules for crawlers.", "text/plain"), [])
    add_read(app, "/favicon.ico", favicon, found("The icon.", SVG), [])
    for family in FAMILIES:
        family(app)


def _asked(request: Request, house: House) -> Asked:
    return read_query(request.scope["query_string"], house.settings.query_max)


def _heading(request: Request, asked: Asked, pattern: Pattern, house: House) -> Heading:
    workshop = house.workshop
    system = system_of(asked, workshop)
    quote = estimate(pattern, workshop)
    return Heading(
        shop=workshop.name,
        title=title(pattern, system),
        price=money(quote.total, quote.currency, workshop.region),
        link=origin(request) + address("/", linked(asked, workshop)),
        system=system,
        summary=summary_lines(pattern, system),
        scannable=bool(house.settings.origin),
    )
