"""The maker's page of an order: all that is kept of it, and everything that can be done with it."""

from collections.abc import Iterable, Mapping
from dataclasses import replace
from http import HTTPStatus
from typing import Final

from fastapi import FastAPI, Request
from fastapi.responses import Response

from service.design import make_pattern
from service.errors import DesignError
from service.language import mark, tr
from service.orders import MOVES, MoveRefused, Stage
from service.pricing import estimate
from service.storage import (
    Connection,
    Member,
    Order,
    StaleWrite,
    change_order,
    close_links,
    links_of,
    members_of,
    proof_drawing_of,
    proof_of_version,
    record_of,
    send_proof,
)
from service.units import System
from service.web.access import act, form, signed_in
from service.web.family import add_page, go_on, shown
from service.web.fields import in_words, system_of_design, system_typed
from service.web.house import House, house_of
from service.web.kept import counted, dog_of, the_order, written_measures
from service.web.maker_design import design_routes
from service.web.maker_links import link_routes
from service.web.maker_photos import photo_routes
from service.web.maker_prints import print_routes
from service.web.order_page import BY_HAND, MeasuresTyped, Trouble, details_of, made_order_page, trail_rows
from service.web.proofs import PRINT, make_proof
from service.web.query import Asked
from service.web.quoted import tried
from service.web.shop_words import minor_of
from service.web.typed import typed_design
from service.web.typed_contact import read_day, read_lines

NOTES_MAX: Final = 2000
STALE: Final = mark("Somebody has changed this order since you opened its page, so nothing was done.")
MEASURES: Final = ("neck", "weight", "measured", "fingers", "coat")
NO_DOG: Final = mark("This order names no dog to measure.")
KEEP_MINE: Final = mark("What you typed is still in the form below: look it over, then keep it.")


def order_page(request: Request, number: str) -> Response:
    """The order."""
    member = signed_in(request)
    house = house_of(request)
    with house.database.reading() as connection:
        page = made_order_page(house, connection, member, the_order(connection, house, number))
    return shown(request, "maker_order/page.html", page)


def mover(request: Request, number: str) -> Response:
    """Move the order to another stage, as far as a maker may."""
    member = signed_in(request, "maker")
    house, typed = house_of(request), form(request)
    to = typed.get("to", "")
    with house.database.writing() as connection:
        order = the_order(connection, house, number)
        if order.stage == to:
            return go_on(_path(number))  # the same button, pressed twice
        if _is_stale(order, typed):
            return _refused(request, house, connection, member, order, tr(STALE), typed)
        if to not in BY_HAND:
            said = tr("A proof moves on by its customer's answer, and the other stages by the buttons here.")
            return _refused(request, house, connection, member, order, said, typed)
        try:
            change_order(connection, _moved(order, to), act(request, member), _action(to))
            if to == "cancelled":
                close_links(connection, order.id, act(request, member))
        except MoveRefused as fault:
            return _refused(request, house, connection, member, order, str(fault), typed)
    return go_on(_path(number))


def _moved(order: Order, to: Stage) -> Order:
    """The order at another stage; at “quoted” its price is settled, to the one it is reckoned at."""
    if to != "quoted" or to not in MOVES[order.stage] or order.quote_minor is not None:
        return replace(order, stage=to)
    quote = estimate(make_pattern(order.design, order.kept), order.kept)
    minor = minor_of(quote.total, order.kept.rates)
    return replace(order, stage=to, quote_minor=minor, currency=quote.currency)


def _action(to: str) -> str:
    return to if to in {"quoted", "cancelled"} else "stage-moved"


def detail_keeper(request: Request, number: str) -> Response:
    """Keep dates and notes."""
    member = signed_in(request, "maker")
    house, typed = house_of(request), form(request)
    today, errors = house.today, dict[str, str]()
    promised = read_day(typed, "promised_on", errors, today)
    due = read_day(typed, "due_on", errors, today)
    notes = read_lines(typed, "notes", NOTES_MAX, errors)
    bench = read_lines(typed, "bench_notes", NOTES_MAX, errors)
    with house.database.writing() as connection:
        order = the_order(connection, house, number)
        if errors:
            page = made_order_page(house, connection, member, order, typed, errors)
            return shown(request, "maker_order/page.html", page, HTTPStatus.UNPROCESSABLE_ENTITY)
        changed = replace(order, promised_on=promised, due_on=due, notes=notes, bench_notes=bench)
        if changed == order:
            return go_on(_path(number))
        if _is_stale(order, typed):
            return _refused(request, house, connection, member, order, f"{tr(STALE)} {tr(KEEP_MINE)}", typed)
        change_order(connection, changed, act(request, member), "details-changed")
    return go_on(f"{_path(number)}#details")


def proof_maker(request: Request, number: str) -> Response:
    """Make the order's next proof, and send it."""
    member = signed_in(request, "maker")
    house, typed = house_of(request), form(request)
    with house.database.reading() as connection:
        order = the_order(connection, house, number)
    after = f"{_path(number)}#links"
    wanted = typed.get("version", "")
    if wanted.isdecimal() and order.version >= int(wanted[:9]):
        return go_on(after)  # the same button, pressed twice
    said = tr(STALE) if _is_stale(order, typed) else ""
    if not said and "proof-sent" not in MOVES[order.stage]:
        said = str(MoveRefused(order.stage, "proof-sent"))
    if not said:
        try:
            made = make_proof(house, order)
            with house.database.writing() as connection:
                send_proof(connection, made.order, made.proof, made.drawings, act(request, member))
        except StaleWrite:
            said = tr(STALE)
        except DesignError as fault:
            said = in_words((fault,), system_of_design(order.design, order.kept))
    if not said:
        return go_on(after)
    with house.database.reading() as connection:
        order = the_order(connection, house, number)
        return _refused(request, house, connection, member, order, said, typed)


def measurer(request: Request, number: str) -> Response:
    """Keep what was measured anew on the dog; the design stays until somebody changes it."""
    member = signed_in(request, "maker")
    house, typed = house_of(request), form(request)
    with house.database.writing() as connection:
        order = the_order(connection, house, number)
        dog = dog_of(connection, order)
        if dog is None:
            return _refused(request, house, connection, member, order, tr(NO_DOG), typed)
        given = {name: typed[name] for name in MEASURES if typed.get(name, "").strip()}
        given.setdefault("neck", "")
        problems, pattern = tried(Asked({**typed_design(order.design), **given}), order.kept)
        own = tuple(one for one in problems if one.field in given)
        if own or pattern is None:
            wrong = _wrong_measures(own or problems, system_typed(given["neck"], house.workshop))
            page = made_order_page(house, connection, member, order)
            page = replace(page, measured=_measured(typed, wrong))
            return shown(request, "maker_order/page.html", page, HTTPStatus.UNPROCESSABLE_ENTITY)
        written_measures(connection, house, dog, typed, pattern.spec, act(request, member))
    return go_on(f"{_path(number)}#measures")


def _measured(typed: Mapping[str, str], wrong: Mapping[str, str]) -> MeasuresTyped:
    neck, weight, how, fingers, coat = (typed.get(name, "") for name in MEASURES)
    said = wrong.get("neck", ""), wrong.get("weight", "")
    return MeasuresTyped(neck, weight, how, fingers, coat, *said)


def _wrong_measures(problems: Iterable[DesignError], system: System) -> dict[str, str]:
    """What is wrong with each measure; what has no field of its own here comes of the neck."""
    wrong: dict[str, list[DesignError]] = {}
    for problem in problems:
        wrong.setdefault("weight" if problem.field == "weight" else "neck", []).append(problem)
    return {name: in_words(found, system) for name, found in wrong.items()}


def _is_stale(order: Order, typed: Mapping[str, str]) -> bool:
    return typed.get("seen", "") != str(order.row_version)


def _refused(
    request: Request,
    house: House,
    connection: Connection,
    member: Member,
    order: Order,
    said: str,
    typed: Mapping[str, str],
) -> Response:
    """The page of the order as it is now, with why nothing was done and what others did meanwhile."""
    since = typed.get("entry", "")
    entries = record_of(connection, house.workshop_id, order.id)
    newer = tuple(one for one in entries if since.isdecimal() and one.number > int(since[:15]))
    members = {one.id: one.name for one in members_of(connection, house.workshop_id)}
    rows = trail_rows(newer, members, links_of(connection, order.id), house.workshop)
    others = tuple(one for one in details_of(order, typed, {}) if one.name in typed and one.differs)
    page = made_order_page(house, connection, member, order, typed, {}, Trouble(said, rows, others))
    return shown(request, "maker_order/page.html", page, HTTPStatus.CONFLICT)


def proof_print(request: Request, number: str, version: str) -> Response:
    """A proof to print, as it was sent."""
    signed_in(request)
    house = house_of(request)
    with house.database.reading() as connection:
        order = the_order(connection, house, number)
        proof = proof_of_version(connection, order.id, counted("proof", version))
        printed = proof_drawing_of(connection, proof.seen, PRINT)
    name = f"order-{number}-proof-{version}.pdf"
    headers = {"Content-Disposition": f'attachment; filename="{name}"'}
    return Response(printed.content, headers=headers, media_type=printed.media_type)


def _path(number: int | str) -> str:
    return f"/shop/orders/{number}"


def maker_order_routes(app: FastAPI) -> None:
    """Add the addresses of an order."""
    path = "/shop/orders/{number}"
    add_page(app, path, order_page)
    add_page(app, f"{path}/stage", take=mover)
    add_page(app, f"{path}/details", take=detail_keeper)
    add_page(app, f"{path}/proofs", take=proof_maker)
    add_page(app, f"{path}/measures", take=measurer)
    add_page(app, f"{path}/proofs/{{version}}.pdf", proof_print)
    design_routes(app)
    print_routes(app)
    link_routes(app)
    photo_routes(app)
