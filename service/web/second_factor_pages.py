"""Setting up a second factor, and taking it off again: one's own, and an owner anybody's."""

from dataclasses import dataclass, replace
from http import HTTPStatus

from fastapi import FastAPI
from starlette.requests import Request
from starlette.responses import Response

from service.language import mark, tr
from service.storage import (
    Connection,
    Member,
    NotKept,
    SecondFactor,
    change_member,
    keep_second_factor,
    members_of,
    record,
)
from service.web.access import act, begin_session, form, give_cookie, signed_in
from service.web.family import add_page, go_on, shown
from service.web.frame import Frame, frame_for
from service.web.house import house_of
from service.web.maker_links import qr_of
from service.web.members import HERE, Wrong, members_page
from service.web.proving import WrongNow, prove
from service.web.second_factor import address_of, asked_of, begun, spare_codes, used
from service.web.throttle import code_turns_of, take_turn, too_often, went_well

WRONG_CODE = mark(
    "That is not the code of now. Look at your telephone's clock too: it must be right to half a minute."
)


@dataclass(frozen=True, slots=True)
class SetUpPage:
    """The secret, as a QR code and as text, and the field for its first code."""

    frame: Frame
    me: str
    qr: str
    secret: str
    error: str = ""


@dataclass(frozen=True, slots=True)
class SparePage:
    """The codes for when the telephone is lost; shown this once."""

    frame: Frame
    me: str
    codes: tuple[str, ...]
    anew: bool


def second_factor_routes(app: FastAPI) -> None:
    """Add the addresses about second factors."""
    add_page(app, f"{HERE}/me/second-factor", take=begin)
    add_page(app, f"{HERE}/me/second-factor/first-code", take=confirm)
    add_page(app, f"{HERE}/me/second-factor/spare-codes", take=make_spare_codes)
    add_page(app, f"{HERE}/{{key}}/second-factor/off", take=take_off)


def begin(request: Request) -> Response:
    """Make a secret and show it; it is asked for from the first right code on."""
    member, typed, house = signed_in(request), form(request), house_of(request)
    try:
        prove(request, member, typed.get("now", ""))
    except WrongNow as fault:
        return members_page(request, member, Wrong("factor-now", str(fault)))
    factor = begun()
    with house.database.writing() as connection:
        if asked_of(_now(connection, member)) is not None:
            return go_on(f"{HERE}#second-factor")
        keep_second_factor(connection, member.id, factor)
    return _set_up(request, member, factor)


def confirm(request: Request) -> Response:
    """Take the first code: from now on one is asked for at every sign-in. Every other session ends."""
    member, typed, house = signed_in(request), form(request), house_of(request)
    turns = code_turns_of(request, member.id)
    with house.database.writing() as connection:
        wait, factor = take_turn(connection, turns, house.now()), _now(connection, member).second_factor
    if factor is None or factor.since is not None:
        return go_on(f"{HERE}#second-factor")
    if wait is not None:
        return _set_up(request, member, factor, too_often(wait))
    shown_codes, kept_codes = spare_codes()
    by = act(request, member)
    with house.database.writing() as connection:
        one = _now(connection, member)
        left = used(factor, typed.get("code", ""), house.now()) if one.second_factor == factor else None
        if left is None:
            return _set_up(request, member, factor, tr(WRONG_CODE))
        went_well(connection, turns)
        new = left.factor.model_copy(update={"since": house.now(), "recovery": kept_codes})
        change_member(connection, replace(one, second_factor=new), by)
        record(connection, one.workshop_id, "second-factor-on", by, detail=one.id)
        token = begin_session(request, connection, one, by)
    page = SparePage(frame_for(member, house.workshop.name, "members"), member.name, shown_codes, anew=False)
    answer = shown(request, "members/spare_codes.html", page)
    give_cookie(request, answer, token)
    return answer


def make_spare_codes(request: Request) -> Response:
    """Make new codes for when the telephone is lost; the old ones are worth nothing any more."""
    member, typed, house = signed_in(request), form(request), house_of(request)
    try:
        prove(request, member, typed.get("now", ""))
    except WrongNow as fault:
        return members_page(request, member, Wrong("spare-now", str(fault)))
    shown_codes, kept_codes = spare_codes()
    with house.database.writing() as connection:
        factor = asked_of(_now(connection, member))
        if factor is None:
            return go_on(f"{HERE}#second-factor")
        keep_second_factor(connection, member.id, factor.model_copy(update={"recovery": kept_codes}))
        record(connection, member.workshop_id, "spare-codes-made", act(request, member), detail=member.id)
    page = SparePage(frame_for(member, house.workshop.name, "members"), member.name, shown_codes, anew=True)
    return shown(request, "members/spare_codes.html", page)


def take_off(request: Request, key: str) -> Response:
    """Ask a member for no second factor any more; an owner may do so for anybody."""
    member, typed, house = signed_in(request), form(request), house_of(request)
    own = key == member.id
    if not own:
        signed_in(request, "owner")
    try:
        prove(request, member, typed.get("now", ""))
    except WrongNow as fault:
        return members_page(request, member, Wrong("off-now" if own else f"off-{key}", str(fault)))
    by = act(request, member)
    token = ""
    with house.database.writing() as connection:
        one = next((one for one in members_of(connection, house.workshop_id) if one.id == key), None)
        if one is None:
            raise NotKept("member", "of that address")
        if one.second_factor is not None:
            change_member(connection, replace(one, second_factor=None), by)
            record(connection, one.workshop_id, "second-factor-off", by, detail=one.id)
            token = begin_session(request, connection, one, by) if own else ""
    answer = go_on(f"{HERE}?done=factor-off")
    if token:
        give_cookie(request, answer, token)
    return answer


def _now(connection: Connection, member: Member) -> Member:
    """The member as they are kept now."""
    return next(one for one in members_of(connection, member.workshop_id) if one.id == member.id)


def _set_up(request: Request, member: Member, factor: SecondFactor, error: str = "") -> Response:
    shop = house_of(request).workshop.name
    secret = " ".join(factor.secret[at : at + 4] for at in range(0, len(factor.secret), 4))
    qr = qr_of(address_of(factor, shop, member.name))
    page = SetUpPage(frame_for(member, shop, "members"), member.name, qr, secret, error)
    status = HTTPStatus.UNPROCESSABLE_ENTITY if error else HTTPStatus.OK
    return shown(request, "members/second_factor.html", page, status)
