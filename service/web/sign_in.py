"""Signing in and out."""

from dataclasses import dataclass, replace
from http import HTTPStatus
from math import ceil

from fastapi import FastAPI
from starlette.requests import Request
from starlette.responses import Response

from service.errors import Unreadable
from service.language import mark, tr
from service.storage import (
    Connection,
    Member,
    keep_second_factor,
    members_of,
    record,
)
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
from service.web.family import FORM_MAX, add_page, go_on, shown
from service.web.house import House, house_of
from service.web.passwords import NAME_MAX, matches
from service.web.second_factor import asked_of, is_ticket_of, ticket_for, used
from service.web.throttle import code_turns_of, take_turn, too_often, turns_of, went_well
from service.web.unsent import INSIDE, Unsent, unsent_in
from service.web.watch import refused

FIRST_PAGE = "/shop"
WRONG = mark("That name and that password don't belong together. Check both, capital letters too.")
"""The same whether the name or the password is wrong, so that nobody learns who works here."""
WRONG_CODE = mark("That code is not right, or was used before. Wait for the next one, and type that.")
TOO_LATE = mark("That took more than five minutes. Type your name and your password once more.")


@dataclass(frozen=True, slots=True)
class SignInPage:
    """The page: where to go next, the name as it was typed, what was wrong, whether somebody just left.

    `nobody` when there is no member yet. `ended`: something was sent after its session had ended; `unsent` is
    that, where it can be kept.
    """

    shop: str
    back: str
    name: str = ""
    error: str = ""
    signed_out: bool = False
    nobody: bool = False
    ended: bool = False
    unsent: Unsent | None = None


@dataclass(frozen=True, slots=True)
class CodePage:
    """The page that asks for a code of the second factor, once the password was right."""

    shop: str
    back: str
    ticket: str
    error: str = ""
    unsent: Unsent | None = None


@dataclass(frozen=True, slots=True)
class UnsentPage:
    """What was typed before the session ended, to be sent now."""

    shop: str
    member: str
    back: str
    unsent: Unsent


def sign_in_routes(app: FastAPI) -> None:
    """Add the addresses of the door. Their forms may carry another form."""
    add_page(app, "/shop/sign-in", ask_in, let_in, body_max=2 * FORM_MAX)
    add_page(app, "/shop/sign-in/code", take=take_code, body_max=2 * FORM_MAX)
    add_page(app, "/shop/sign-out", take=let_out)


def ask_in(request: Request) -> Response:
    """The form; whoever is signed in already goes on."""
    back = safe_back(request.query_params.get("next", ""))
    if session(request) is not None:
        return go_on(back)
    out = request.query_params.get("signed") == "out"
    return _page(request, SignInPage("", back, signed_out=out))


def ask_in_again(request: Request, unsent: Unsent | None) -> Response:
    """The form, for whoever sent something after their session had ended; what was sent is in it."""
    page = SignInPage("", FIRST_PAGE, ended=True, unsent=unsent)
    return _page(request, page, HTTPStatus.FORBIDDEN)


def let_in(request: Request) -> Response:
    """Sign in whoever knows a member's password; who has a second factor is asked for a code first."""
    typed, house = form(request), house_of(request)
    name, password = typed.get("name", ""), typed.get("password", "")
    back, unsent = safe_back(typed.get("next", "")), unsent_in(typed)

    def again(error: str, status: int = HTTPStatus.UNPROCESSABLE_ENTITY) -> Response:
        return _page(request, SignInPage("", back, name[:NAME_MAX], error, unsent=unsent), status)

    if not name.strip() or not password:
        return again(tr("Type your name and your password."))
    turns = turns_of(request, _plain(name))
    with house.database.writing() as connection:
        wait = take_turn(connection, turns, house.now())
    if wait is not None:
        refused(request, "password too soon")
        answer = again(too_often(wait), HTTPStatus.TOO_MANY_REQUESTS)
        answer.headers["Retry-After"] = str(ceil(wait.total_seconds()))
        return answer
    member = _member(house, name)
    if not matches(password, None if member is None else member.password_hash) or member is None:
        refused(request, "password", member)
        return again(tr(WRONG))
    with house.database.writing() as connection:
        went_well(connection, turns)
        if asked_of(member) is not None:
            return _code_page(request, back, ticket_for(member, house.now()), unsent)
        token = begin_session(request, connection, member, act(request, member))
    return _welcome(request, member, token, back, unsent)


def take_code(request: Request) -> Response:
    """Sign in whoever has a code of a member's second factor, after the password."""
    typed, house = form(request), house_of(request)
    back, unsent, ticket = safe_back(typed.get("next", "")), unsent_in(typed), typed.get("ticket", "")
    with house.database.reading() as connection:
        member = _of_ticket(connection, house, ticket)
    if member is None:
        page = SignInPage("", back, error=tr(TOO_LATE), unsent=unsent)
        return _page(request, page, HTTPStatus.UNPROCESSABLE_ENTITY)
    turns = code_turns_of(request, member.id)
    with house.database.writing() as connection:
        wait = take_turn(connection, turns, house.now())
    if wait is not None:
        refused(request, "code too soon", member)
        answer = _code_page(request, back, ticket, unsent, too_often(wait), HTTPStatus.TOO_MANY_REQUESTS)
        answer.headers["Retry-After"] = str(ceil(wait.total_seconds()))
        return answer
    with house.database.writing() as connection:
        token = _used_up(request, connection, house, ticket, typed.get("code", ""))
        if token is not None:
            went_well(connection, turns)
    if token is None:
        refused(request, "code", member)
        return _code_page(request, back, ticket, unsent, tr(WRONG_CODE), HTTPStatus.UNPROCESSABLE_ENTITY)
    return _welcome(request, member, token, back, unsent)


def let_out(request: Request) -> Response:
    """End this browser's session."""
    house = house_of(request)
    found = session(request)
    if found is not None:
        with house.database.writing() as connection:
            end_own_session(request, connection, act(request, found[1]))
    answer = go_on("/shop/sign-in?signed=out")
    take_cookie(request, answer)
    answer.headers["Clear-Site-Data"] = '"cache"'  # pages to go back to
    return answer


def safe_back(path: str) -> str:
    """Return where to go next: a page of the shop, never another site's, nor the door itself."""
    return path if INSIDE.fullmatch(path) and not path.startswith("/shop/sign-") else FIRST_PAGE


def _welcome(request: Request, member: Member, token: str, back: str, unsent: Unsent | None) -> Response:
    """Let a browser keep its new session, and go on; first to what was typed before the last one ended."""
    if unsent is None:
        answer: Response = go_on(back)
    else:
        page = UnsentPage(house_of(request).workshop.name, member.name, back, unsent)
        answer = shown(request, "sign_in/unsent.html", page)
    give_cookie(request, answer, token)
    return answer


def _of_ticket(connection: Connection, house: House, ticket: str) -> Member | None:
    now, there = house.now(), members_of(connection, house.workshop_id)
    return next((one for one in there if one.left_at is None and is_ticket_of(one, ticket, now)), None)


def _used_up(request: Request, connection: Connection, house: House, ticket: str, code: str) -> str | None:
    """Take a code, as the member is kept now, and begin a session; return its secret, or None."""
    member = _of_ticket(connection, house, ticket)
    factor = None if member is None else asked_of(member)
    left = None if factor is None else used(factor, code, house.now())
    if member is None or left is None:
        return None
    by = act(request, member)
    keep_second_factor(connection, member.id, left.factor)
    if left.spare:
        detail = f"{member.id}, {len(left.factor.recovery)} left"
        record(connection, member.workshop_id, "spare-code-used", by, detail=detail)
    return begin_session(request, connection, member, by)


def _page(request: Request, page: SignInPage, status: int = HTTPStatus.OK) -> Response:
    house = house_of(request)
    with house.database.reading() as connection:
        nobody = all(one.left_at for one in members_of(connection, house.workshop_id))
    return shown(request, "sign_in/page.html", replace(page, shop=house.workshop.name, nobody=nobody), status)


def _code_page(
    request: Request,
    back: str,
    ticket: str,
    unsent: Unsent | None,
    error: str = "",
    status: int = HTTPStatus.OK,
) -> Response:
    page = CodePage(house_of(request).workshop.name, back, ticket, error, unsent)
    return shown(request, "sign_in/code.html", page, status)


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
