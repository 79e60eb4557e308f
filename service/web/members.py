"""Who may sign in: an owner adds members and changes what they may do; everyone sees their own sessions."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import datetime
from http import HTTPStatus

from fastapi import FastAPI
from starlette.requests import Request
from starlette.responses import Response

from service.errors import GirthwrightError, Unreadable
from service.language import mark, tr, within
from service.storage import (
    Connection,
    Member,
    MemberSession,
    NotKept,
    Role,
    add_member,
    change_member,
    end_session,
    members_of,
    sessions_of,
)
from service.web.access import (
    IDLE,
    NO_NAME,
    ROLES,
    FormUnreadable,
    act,
    begin_session,
    form,
    give_cookie,
    last_seen,
    session,
    signed_in,
)
from service.web.family import add_page, go_on, shown
from service.web.frame import Frame, frame_for
from service.web.house import House, house_of
from service.web.passwords import NameRefused, PasswordRefused, hashed, new_member
from service.web.proving import WrongNow, prove
from service.web.second_factor import asked_of
from service.web.words import moment

HERE = "/shop/members"
DONE = {
    "added": mark("The new member can sign in."),
    "role": mark("What they may do is changed. They have to sign in again."),
    "password": mark("The new password is in force. Everywhere else it has to be typed anew."),
    "left": mark("They can't sign in any more. What they did stays on the record."),
    "ended": mark("The session is ended."),
    "factor-off": mark("No second factor is asked for any more. Everywhere else they have to sign in anew."),
}
"""What a page says that was gone on to."""
ROLE_NAMES = {"owner": mark("Owner"), "maker": mark("Maker"), "read-only": mark("Read-only")}
"""What the roles are called."""
MAY = {
    "owner": mark("Everything, members too"),
    "maker": mark("Quotes, orders, proofs"),
    "read-only": mark("Looks, changes nothing"),
}
"""What the roles are for."""
KEY = 16
"""Figures of a session's hash that tell it from a member's others."""


class LastOwner(GirthwrightError):
    """The workshop would be without an owner."""

    def __init__(self) -> None:
        super().__init__(tr("This is the only owner: make another member an owner first."))


@dataclass(frozen=True, slots=True)
class SessionLine:
    """A session: which browser, since when, last used when, and whether it is the one that is asking."""

    key: str
    agent: str
    since: str
    seen: str
    current: bool


@dataclass(frozen=True, slots=True)
class MemberCard:
    """A member as the page shows them; `version` is what a change was made to.

    `factor` is since when they have a second factor, `spare` how many codes are left for a lost telephone.
    """

    id: str
    name: str
    role: str
    version: int
    since: str
    left: str
    sessions: tuple[SessionLine, ...]
    factor: str = ""
    spare: int = 0

    @property
    def role_name(self) -> str:
        """What the member's role is called, in the reader's language."""
        return tr(ROLE_NAMES[self.role])

    @property
    def as_role(self) -> str:
        """The same within a sentence."""
        return within(self.role_name)


@dataclass(frozen=True, slots=True)
class Wrong:
    """What can't be done: `place` is the id of the field it is said at."""

    place: str
    said: str


@dataclass(frozen=True, slots=True)
class MembersPage:
    """The page; `others` is empty for those who are no owner. `name` and `role` are what was typed to add."""

    frame: Frame
    me: MemberCard
    others: tuple[MemberCard, ...]
    roles: tuple[tuple[str, str], ...]
    done: str = ""
    wrong: Wrong | None = None
    name: str = ""
    role: str = "maker"


def members_routes(app: FastAPI) -> None:
    """Add the addresses about members."""
    add_page(app, HERE, members, add)
    add_page(app, f"{HERE}/{{key}}/role", take=change_role)
    add_page(app, f"{HERE}/{{key}}/password", take=change_password)
    add_page(app, f"{HERE}/{{key}}/leave", take=leave)
    add_page(app, f"{HERE}/{{key}}/sessions", take=end)


def members(request: Request) -> Response:
    """Everyone who works here, for an owner; for others, they themselves."""
    member = signed_in(request)
    return members_page(request, member, done=tr(DONE.get(request.query_params.get("done", ""), "")))


def add(request: Request) -> Response:
    """Add a member."""
    owner, typed, house = signed_in(request, "owner"), form(request), house_of(request)
    name, role = typed.get("name", ""), typed.get("role", "")
    with house.database.reading() as connection:
        there = members_of(connection, house.workshop_id)
    try:
        made = new_member(there, house.workshop_id, name, _role(role), lambda: typed.get("password", ""))
    except (NameRefused, Unreadable) as fault:
        return members_page(request, owner, Wrong("new-name", str(fault)), name=name, role=role)
    except PasswordRefused as fault:
        return members_page(request, owner, Wrong("new-password", str(fault)), name=name, role=role)
    with house.database.writing() as connection:
        if any(
            made.name.casefold() == one.name.casefold() for one in members_of(connection, house.workshop_id)
        ):
            raise FormUnreadable(tr("{name} was added a moment ago.", name=made.name))
        add_member(connection, made, act(request, owner))
    return go_on(f"{HERE}?done=added")


def change_role(request: Request, key: str) -> Response:
    """Let a member do more or less."""
    owner, typed = signed_in(request, "owner"), form(request)
    role = _role(typed.get("role", ""))

    def change(connection: Connection, one: Member) -> None:
        if role != "owner":
            _keep_an_owner(connection, one)
        change_member(connection, replace(one, role=role), act(request, owner))

    try:
        _change(request, key, typed.get("seen", ""), change)
    except LastOwner as fault:
        return members_page(request, owner, Wrong(f"role-{key}", str(fault)))
    return go_on(f"{HERE}?done=role")


def leave(request: Request, key: str) -> Response:
    """Let a member sign in no more."""
    owner, typed, house = signed_in(request, "owner"), form(request), house_of(request)

    def change(connection: Connection, one: Member) -> None:
        _keep_an_owner(connection, one)
        change_member(connection, replace(one, left_at=house.now()), act(request, owner))

    try:
        _change(request, key, typed.get("seen", ""), change)
    except LastOwner as fault:
        return members_page(request, owner, Wrong(f"leave-{key}", str(fault)))
    return go_on(f"{HERE}?done=left")


def change_password(request: Request, key: str) -> Response:
    """Give a member a new password; whoever had left works here again. One's own needs the one of now."""
    member, typed = signed_in(request), form(request)
    own = key == member.id
    if not own:
        signed_in(request, "owner")
    try:
        if own:
            prove(request, member, typed.get("now", ""))
        new = hashed(typed.get("password", ""), _name_of(request, key))
    except WrongNow as fault:
        return members_page(request, member, Wrong("password-now", str(fault)))
    except PasswordRefused as fault:
        return members_page(request, member, Wrong(f"password-{key}", str(fault)))
    by, tokens = act(request, member), []

    def change(connection: Connection, one: Member) -> None:
        changed = replace(one, password_hash=new, left_at=None)
        change_member(connection, changed, by)
        if own:
            tokens.append(begin_session(request, connection, changed, by))

    _change(request, key, typed.get("seen", ""), change)
    answer = go_on(f"{HERE}?done=password")
    for token in tokens:
        give_cookie(request, answer, token)
    return answer


def end(request: Request, key: str) -> Response:
    """End one of a member's sessions, or all but the one that is asking."""
    member, typed, house = signed_in(request), form(request), house_of(request)
    if key != member.id:
        signed_in(request, "owner")
    found, wanted = session(request), typed.get("session", "")
    mine = found[0].token_hash if found else ""
    with house.database.writing() as connection:
        _find(members_of(connection, house.workshop_id), key)
        for one in sessions_of(connection, key):
            if one.token_hash[:KEY] == wanted or (wanted == "all" and one.token_hash != mine):
                end_session(connection, one.token_hash, act(request, member))
                house.seen.pop(one.token_hash, None)
    return go_on(f"{HERE}?done=ended")


def _change(request: Request, key: str, seen: str, change: Callable[[Connection, Member], None]) -> None:
    """Change a member as they were when the page was shown; raises NotKept, StaleWrite."""
    if not (seen.isascii() and seen.isdigit() and len(seen) < KEY):
        raise FormUnreadable(tr("The form doesn't say what it was made from."))
    house = house_of(request)
    with house.database.writing() as connection:
        one = _find(members_of(connection, house.workshop_id), key)
        change(connection, replace(one, row_version=int(seen)))


def _keep_an_owner(connection: Connection, one: Member) -> None:
    there = members_of(connection, one.workshop_id)
    if not any(other.role == "owner" and not other.left_at for other in there if other.id != one.id):
        raise LastOwner


def _find(there: tuple[Member, ...], key: str) -> Member:
    for one in there:
        if one.id == key:
            return one
    raise NotKept("member", "of that address")


def _name_of(request: Request, key: str) -> str:
    house = house_of(request)
    with house.database.reading() as connection:
        return _find(members_of(connection, house.workshop_id), key).name


def _role(word: str) -> Role:
    for role in ROLES:
        if role == word:
            return role
    raise FormUnreadable(tr("A member is an owner, a maker or read-only."))


def members_page(
    request: Request,
    member: Member,
    wrong: Wrong | None = None,
    *,
    done: str = "",
    name: str = "",
    role: str = "maker",
) -> Response:
    """Return the page as things stand; `wrong` is said at its field, `name` and `role` are what was typed."""
    house, asking = house_of(request), session(request)
    mine = asking[0].token_hash if asking else ""
    with house.database.reading() as connection:
        there = members_of(connection, house.workshop_id)
        cards = {one.id: _card(one, sessions_of(connection, one.id), mine, house) for one in there}
    me = cards.pop(member.id)
    others = tuple(cards.values()) if member.role == "owner" else ()
    frame = frame_for(member, house.workshop.name, "members")
    roles = tuple(
        (one, tr("{role}: {may}", role=tr(ROLE_NAMES[one]), may=within(tr(MAY[one]))))
        for one in reversed(ROLES)
    )
    page = MembersPage(frame, me, others, roles, done, wrong, name, role)
    status = HTTPStatus.UNPROCESSABLE_ENTITY if wrong else HTTPStatus.OK
    return shown(request, "members/page.html", page, status)


def _card(one: Member, sessions: tuple[MemberSession, ...], mine: str, house: House) -> MemberCard:
    def by_clock(at: datetime) -> str:
        return moment(at, house.workshop)

    now = house.now()
    running = (
        session
        for session in sessions
        if session.expires_at > now and now - last_seen(house, session) <= IDLE
    )
    lines = tuple(
        SessionLine(
            session.token_hash[:KEY],
            _agent(session.agent),
            by_clock(session.made_at),
            by_clock(last_seen(house, session)),
            session.token_hash == mine,
        )
        for session in running
    )
    left = by_clock(one.left_at) if one.left_at else ""
    factor = asked_of(one)
    since = by_clock(factor.since) if factor and factor.since else ""
    spare = len(factor.recovery) if factor else 0
    return MemberCard(
        one.id, one.name, one.role, one.row_version, by_clock(one.made_at), left, lines, since, spare
    )


def _agent(kept: str) -> str:
    """Which browser it is and where; what is kept of it is in English."""
    browser, on, place = kept.partition(" on ")
    if not on:
        return tr("A browser") if kept == NO_NAME else kept
    name = tr("A browser") if browser == NO_NAME else browser
    return tr("{browser} on {place}", browser=name, place=place)
