"""Signing in and out."""

import re
from dataclasses import dataclass
from http import HTTPStatus
from math import ceil

from fastapi import FastAPI
from starlette.requests import Request
from starlette.responses import Response

from service.errors import Unreadable
from service.language import mark, tr
from service.storage import Member, members_of
from service.text import clean_line
from service.web.access import (
    act,
    begin_session,
    end_own_session,
    form,
    give_cookie,
    session,
    take_cookie,
)
from service.web.family import add_page, go_on, shown
from service.web.house import House, house_of
from service.web.passwords import NAME_MAX, matches
from service.web.throttle import take_turn, too_often, turns_of, went_well

FIRST_PAGE = "/shop"
WRONG = mark("That name and that password don't belong together. Check both, capital letters too.")
"""The same whether the name or the password is wrong, so that nobody learns who works here."""


@dataclass(frozen=True, slots=True)
class SignInPage:
    """The page: where to go next, the name as it was typed, what was wrong, whether somebody just left.

    `nobody` when there is no member yet.
    """

    shop: str
    back: str
    name: str = ""
    error: str = ""
    signed_out: bool = False
    nobody: bool = False


def sign_in_routes(app: FastAPI) -> None:
    """Add the addresses of the door."""
    add_page(app, "/shop/sign-in", ask_in, let_in)
    add_page(app, "/shop/sign-out", take=let_out)


def ask_in(request: Request) -> Response:
    """The form; whoever is signed in already goes on."""
    back = safe_back(request.query_params.get("next", ""))
    if session(request) is not None:
        return go_on(back)
    out = request.query_params.get("signed") == "out"
    return _page(request, back, signed_out=out)


def let_in(request: Request) -> Response:
    """Sign in whoever knows a member's password."""
    typed, house = form(request), house_of(request)
    name, password = typed.get("name", ""), typed.get("password", "")
    back = safe_back(typed.get("next", ""))
    if not name.strip() or not password:
        return _page(request, back, name, "Type your name and your password.")
    turns = turns_of(request, _plain(name))
    with house.database.writing() as connection:
        wait = take_turn(connection, turns, house.now())
    if wait is not None:
        answer = _page(request, back, name, too_often(wait), HTTPStatus.TOO_MANY_REQUESTS)
        answer.headers["Retry-After"] = str(ceil(wait.total_seconds()))
        return answer
    member = _member(house, name)
    if not matches(password, None if member is None else member.password_hash) or member is None:
        return _page(request, back, name, tr(WRONG))
    with house.database.writing() as connection:
        went_well(connection, turns)
        token = begin_session(request, connection, member, act(request, member))
    answer = go_on(back)
    give_cookie(request, answer, token)
    return answer


def let_out(request: Request) -> Response:
    """End this browser's session."""
    house = house_of(request)
    found = session(request)
    if found is not None:
        with house.database.writing() as connection:
            end_own_session(request, connection, act(request, found[1]))
    answer = go_on("/shop/sign-in?signed=out")
    take_cookie(request, answer)
    return answer


def safe_back(path: str) -> str:
    """Return where to go next: a page of the shop, never another site's, nor the door itself."""
    inside = re.fullmatch(r"/shop(?:[/?][!-\[\]-~]*)?", path)
    return path if inside and not path.startswith("/shop/sign-") else FIRST_PAGE


def _page(
    request: Request,
    back: str,
    name: str = "",
    error: str = "",
    status: int = 0,
    *,
    signed_out: bool = False,
) -> Response:
    house = house_of(request)
    with house.database.reading() as connection:
        nobody = all(one.left_at for one in members_of(connection, house.workshop_id))
    page = SignInPage(house.workshop.name, back, name[:NAME_MAX], error, signed_out, nobody)
    return shown(
        request,
        "sign_in/page.html",
        page,
        status or (HTTPStatus.UNPROCESSABLE_ENTITY if error else HTTPStatus.OK),
    )


def _member(house: House, name: str) -> Member | None:
    """Return who has a name and works here, however it is capitalised."""
    with house.database.reading() as connection:
        there = members_of(connection, house.workshop_id)
    wanted = _plain(name).casefold()
    return next((one for one in there if one.left_at is None and one.name.casefold() == wanted), None)


def _plain(name: str) -> str:
    """Return a name as members' names are kept, or as it is when none is kept like that."""
    try:
        return clean_line(name, NAME_MAX)
    except Unreadable:
        return name
