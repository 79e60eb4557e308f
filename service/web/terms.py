"""The workshop's terms: written by an owner, each change a new version, and open for everybody to read."""

from dataclasses import dataclass
from datetime import datetime
from http import HTTPStatus
from typing import Final

from fastapi import FastAPI, Request
from fastapi.responses import Response
from pydantic import BaseModel

from service.language import mark, tr
from service.orders import Terms
from service.storage import Connection, StaleWrite, keep_settings, workshop_settings
from service.web.access import act, form, signed_in
from service.web.family import add_page, go_on, shown
from service.web.frame import Frame, frame_for
from service.web.house import house_of
from service.web.typed_contact import read_lines
from service.web.words import moment

LONGEST: Final = 12_000
"""Characters; some four pages."""
NO_TERMS: Final = mark("The shop has written no terms down: ask it about paying, returns and repairs.")
STALE: Final = mark(
    "Somebody has changed the terms since you opened this page, so yours were not kept. They are still in the"
    " form; the terms as they are now stand under it."
)


class WorkshopTerms(BaseModel):
    """The terms in force, from the workshop's settings; whatever else is set there is ignored."""

    terms: str = ""
    terms_version: int = 0
    terms_at: datetime | None = None


@dataclass(frozen=True, slots=True)
class TermsPage:
    """The terms as anybody reads them."""

    shop: str
    text: str
    version: str
    since: str


@dataclass(frozen=True, slots=True)
class TermsForm:
    """The terms as an owner writes them; `kept` are those in force where they are others than `typed`."""

    frame: Frame
    typed: str
    seen: int
    version: int
    since: str
    error: str = ""
    notice: str = ""
    kept: str = ""


def terms_of(connection: Connection, workshop_id: str) -> tuple[WorkshopTerms, int]:
    """Return a workshop's terms, and what to give back on a change."""
    return workshop_settings(connection, workshop_id, WorkshopTerms)


def stated(terms: WorkshopTerms) -> Terms:
    """Return the terms as a proof states them."""
    return Terms(str(terms.terms_version), terms.terms) if terms.terms else Terms("0", tr(NO_TERMS))


def public_terms(request: Request) -> Response:
    """The terms, for everybody."""
    house = house_of(request)
    with house.database.reading() as connection:
        terms, _ = terms_of(connection, house.workshop_id)
    said = stated(terms)
    since = moment(terms.terms_at, house.workshop) if terms.terms and terms.terms_at else ""
    return shown(request, "terms.html", TermsPage(house.workshop.name, said.text, said.version, since))


def terms_form(request: Request) -> Response:
    """The terms, to be changed."""
    member = signed_in(request)
    house = house_of(request)
    with house.database.reading() as connection:
        terms, seen = terms_of(connection, house.workshop_id)
    frame = frame_for(member, house.workshop.name, "catalogue")
    since = moment(terms.terms_at, house.workshop) if terms.terms_at else ""
    page = TermsForm(frame, terms.terms, seen, terms.terms_version, since)
    return shown(request, "catalogue/terms.html", page)


def terms_keeper(request: Request) -> Response:
    """Keep changed terms as their next version."""
    member = signed_in(request, "owner")
    house, typed = house_of(request), form(request)
    errors: dict[str, str] = {}
    text = read_lines(typed, "terms", LONGEST, errors)
    frame = frame_for(member, house.workshop.name, "catalogue")
    with house.database.writing() as connection:
        now, seen = terms_of(connection, house.workshop_id)
        since = moment(now.terms_at, house.workshop) if now.terms_at else ""
        if errors:
            said = typed.get("terms", "")
            page = TermsForm(frame, said, seen, now.terms_version, since, error=errors["terms"])
            return shown(request, "catalogue/terms.html", page, HTTPStatus.UNPROCESSABLE_ENTITY)
        if text == now.terms:
            return go_on("/shop/catalogue?done=same")
        by = act(request, member)
        new = WorkshopTerms(terms=text, terms_version=now.terms_version + 1, terms_at=by.at)
        opened = typed.get("seen", "")
        try:
            # What the form was made from, if it is a number at all: otherwise it is as good as old.
            made_from = int(opened[:9]) if opened.isascii() and opened.isdigit() else 0
            keep_settings(connection, house.workshop_id, new, by, seen=made_from)
        except StaleWrite:
            page = TermsForm(frame, text, seen, now.terms_version, since, notice=tr(STALE), kept=now.terms)
            return shown(request, "catalogue/terms.html", page, HTTPStatus.CONFLICT)
    return go_on("/shop/catalogue?done=kept")


def terms_routes(app: FastAPI) -> None:
    """Add the terms."""
    add_page(app, "/terms", public_terms)
    add_page(app, "/shop/catalogue/terms", terms_form, terms_keeper)
