"""The design of an order, changed: kept while it is a draft, sent as a new proof once it is approved."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from http import HTTPStatus
from typing import Final

from fastapi import FastAPI, Request
from fastapi.responses import Response

from service.design import Pattern, make_pattern
from service.language import mark, tr, within
from service.orders import WORDS, kept_rows, may_edit, may_send_proof
from service.pricing import estimate
from service.storage import Act, Order, StaleWrite, change_order, send_proof
from service.web.access import act, form, signed_in
from service.web.configurator import summary
from service.web.family import add_page, go_on, shown
from service.web.fields import in_words, system_of
from service.web.frame import Frame, frame_for
from service.web.house import House, house_of
from service.web.kept import dog_of, the_order, written_measures
from service.web.page import FormField, Row
from service.web.proofs import make_proof
from service.web.query import Asked, read_query
from service.web.quoted import Figures, figures_of, tried
from service.web.shop_form import DesignFields, design_fields, only_design
from service.web.shop_words import minor_of, sum_words
from service.web.typed import typed_design

CHANGED_MEANWHILE: Final = mark(
    "Somebody has changed this order since you opened the form, so nothing was kept. Your design is still"
    " below, with what it would change in the order as it is now. Keep it if that is right."
)


@dataclass(frozen=True, slots=True)
class Difference:
    """What a change makes of something: what it is, what it was and what it would be."""

    name: str
    was: str
    now: str


@dataclass(frozen=True, slots=True)
class DesignPage:
    """The form with the kept design, what it would become, and how that can be kept.

    `frozen` says why it can't simply be kept, `proof` the version that would carry it to the customer, 0 for
    none; `notice` what happened to what was sent.
    """

    frame: Frame
    number: int
    path: str
    fields: DesignFields
    outcome: Figures | None
    differences: tuple[Difference, ...]
    frozen: str
    proof: int
    seen: int
    notice: str
    status_sentence: str

    @property
    def main(self) -> tuple[FormField, ...]:
        """The fields asked first."""
        return self.fields.main

    @property
    def more(self) -> tuple[tuple[str, tuple[FormField, ...]], ...]:
        """The fields folded away."""
        return self.fields.more

    @property
    def problems(self) -> tuple[FormField, ...]:
        """Every field with an error."""
        return self.fields.problems


def design_page(request: Request, number: str) -> Response:
    """The form; for a script in it only what changes."""
    member = signed_in(request, "maker")
    house = house_of(request)
    with house.database.reading() as connection:
        order = the_order(connection, house, number)
    asked = read_query(request.scope["query_string"], house.settings.query_max)
    page = made_design_page(house, frame_for(member, house.workshop.name), order, asked)
    partial = request.headers.get("hx-request") == "true"
    status = HTTPStatus.UNPROCESSABLE_ENTITY if page.problems else HTTPStatus.OK
    template = "maker_order/_design_parts.html" if partial else "maker_order/design.html"
    answer = shown(request, template, page, status)
    answer.headers["Vary"] = "HX-Request"
    return answer


def made_design_page(house: House, frame: Frame, order: Order, asked: Asked, notice: str = "") -> DesignPage:
    """Return the page of a change that is asked for; with none asked, of the design as it is kept."""
    shown_now = asked if asked.typed else Asked(typed_design(order.design))
    problems, pattern = tried(shown_now, house.workshop)
    path = f"/shop/orders/{order.number}/design"
    outcome = figures_of(pattern, house.workshop, shown_now) if pattern else None
    found = differences(order, pattern, house, shown_now) if pattern else ()
    if outcome is None:
        said = in_words(problems, system_of(shown_now, house.workshop))
    else:
        said = f"{outcome.total}. {_changes(found)}"
    return DesignPage(
        frame,
        order.number,
        path,
        design_fields(path, shown_now, house.workshop, problems, pattern),
        outcome,
        found,
        frozen_because(order),
        order.version + 1 if may_send_proof(order.stage) else 0,
        order.row_version,
        notice,
        said,
    )


def _changes(found: tuple[Difference, ...]) -> str:
    if not found:
        return tr("Nothing is changed.")
    return tr("Changes: {names}.", names=", ".join(within(one.name) for one in found))


def frozen_because(order: Order) -> str:
    """Return why a design can't simply be changed any more, and what to do; nothing where it can."""
    name = WORDS[order.stage].name
    if may_edit(order.stage):
        return ""
    if may_send_proof(order.stage):
        return tr(
            "This order is at “{stage}”: what the customer approved stays as it is. A change goes to them as"
            " a new proof, and nothing is made of it before they approve that one.",
            stage=name,
        )
    return tr(
        "This order is at “{stage}”, so its design stays as it is. Start a new order to make another.",
        stage=name,
    )


def differences(order: Order, pattern: Pattern, house: House, asked: Asked) -> tuple[Difference, ...]:
    """Return what a change would make different, row by row, and the price last."""
    before = make_pattern(order.design, order.kept)
    system = system_of(asked, house.workshop)
    was, now = _by_name(summary(before, system)), _by_name(summary(pattern, system))
    rows = [
        Difference(name, was.get(name, tr("none")), now.get(name, tr("none")))
        for name in [*was, *(name for name in now if name not in was)]
        if was.get(name) != now.get(name)
    ]
    rates, region = house.workshop.rates, house.workshop.region
    old = order.quote_minor
    if old is None:
        old = minor_of(estimate(before, order.kept).total, order.kept.rates)
    new = minor_of(estimate(pattern, house.workshop).total, rates)
    if old != new:
        old_words = sum_words(old, order.currency or order.kept.rates.currency, rates, region)
        rows.append(Difference(tr("Price"), old_words, sum_words(new, rates.currency, rates, region)))
    return tuple(rows)


def _by_name(rows: tuple[Row, ...]) -> dict[str, str]:
    return {row.name: f"{row.value}, {row.other}" if row.other else row.value for row in rows}


def keeper(request: Request, number: str) -> Response:
    """Keep a changed design, or send it as a new proof."""
    member = signed_in(request, "maker")
    house, typed = house_of(request), form(request)
    asked = only_design(typed)
    with house.database.reading() as connection:
        order = the_order(connection, house, number)
    problems, pattern = tried(asked, house.workshop)
    frame = frame_for(member, house.workshop.name)
    if pattern is None or problems:
        page = made_design_page(house, frame, order, asked)
        return shown(request, "maker_order/design.html", page, HTTPStatus.UNPROCESSABLE_ENTITY)
    if order.design == pattern.spec and typed.get("seen", "") != str(order.row_version):
        return go_on(f"/shop/orders/{number}")  # the same form, sent twice
    notice = _refusal(order, typed)
    if not notice:
        try:
            _keep(house, order, pattern, typed, act(request, member))
        except StaleWrite:
            notice = tr(CHANGED_MEANWHILE)
        else:
            return go_on(f"/shop/orders/{number}")
    with house.database.reading() as connection:
        order = the_order(connection, house, number)
    page = made_design_page(house, frame, order, asked, notice)
    return shown(request, "maker_order/design.html", page, HTTPStatus.CONFLICT)


def _refusal(order: Order, typed: Mapping[str, str]) -> str:
    """Why a change is not taken: somebody was quicker, or the design is frozen."""
    if typed.get("seen", "") != str(order.row_version):
        return tr(CHANGED_MEANWHILE)
    if typed.get("as") == "proof":
        return "" if may_send_proof(order.stage) else frozen_because(order)
    return frozen_because(order)


def _keep(house: House, order: Order, pattern: Pattern, typed: Mapping[str, str], by: Act) -> None:
    rows = kept_rows(pattern, house.workshop)
    changed = replace(order, design=pattern.spec, kept=rows)
    if typed.get("as") == "proof":
        made = make_proof(house, replace(changed, quote_minor=None, currency=None))
        with house.database.writing() as connection:
            send_proof(connection, made.order, made.proof, made.drawings, by)
            if dog := dog_of(connection, order):
                written_measures(connection, house, dog, typed, pattern.spec, by)
        return
    if order.quote_minor is not None:
        minor = minor_of(estimate(pattern, house.workshop).total, house.workshop.rates)
        changed = replace(changed, quote_minor=minor, currency=house.workshop.rates.currency)
    with house.database.writing() as connection:
        change_order(connection, changed, by, "design-changed")
        if dog := dog_of(connection, order):
            written_measures(connection, house, dog, typed, pattern.spec, by)


def design_routes(app: FastAPI) -> None:
    """Add the form of an order's design."""
    add_page(app, "/shop/orders/{number}/design", design_page, keeper)
