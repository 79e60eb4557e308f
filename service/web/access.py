"""Who is asking: the member a browser is signed in as, and what a form sent."""

from collections.abc import Mapping
from datetime import datetime, timedelta
from functools import lru_cache
from hashlib import sha256
from ipaddress import ip_address, ip_network
from typing import Final
from urllib.parse import parse_qsl

from anyio import from_thread
from starlette.requests import Request
from starlette.responses import Response

from service.errors import GirthwrightError
from service.language import tr
from service.storage import (
    Act,
    Connection,
    Link,
    Member,
    MemberSession,
    Role,
    end_session,
    session_of,
    session_seen,
    start_session,
    token_hash,
)
from service.web.again import sent_with
from service.web.house import House, house_of
from service.web.security import SAFE

IDLE: Final = timedelta(hours=12)
"""A session that nobody uses for so long has ended."""
LONGEST: Final = timedelta(days=30)
"""A session ends after so long, used or not."""
ROLES: Final[tuple[Role, ...]] = ("read-only", "maker", "owner")
"""What a member may do, each all that the one before it may."""
FIELDS_MAX: Final = 200
PLAIN_FORM: Final = "application/x-www-form-urlencoded"
# What browsers write of themselves, the more particular first: most name others they are like. From memory.
BROWSERS: Final = (
    ("Edg", "Edge"),
    ("OPR/", "Opera"),
    ("SamsungBrowser", "Samsung Internet"),
    ("Firefox", "Firefox"),
    ("FxiOS", "Firefox"),
    ("Chrome", "Chrome"),
    ("CriOS", "Chrome"),
    ("Safari", "Safari"),
)
PLACES: Final = (
    ("Android", "Android"),
    ("iPhone", "an iPhone"),
    ("iPad", "an iPad"),
    ("Windows", "Windows"),
    ("Mac OS X", "a Mac"),
    ("CrOS", "a Chromebook"),
    ("Linux", "Linux"),
)


NO_NAME: Final = "a browser"
"""What is kept of a browser that has no name known here."""


class SignInNeeded(GirthwrightError):
    """Nobody is signed in; `back` is the address to come back to."""

    def __init__(self, back: str) -> None:
        self.back = back
        super().__init__(tr("Sign in to see this page."))


class NotAllowed(GirthwrightError):
    """The member may not do this; `least` is the role that may."""

    def __init__(self, least: Role, member: Member) -> None:
        self.least, self.member = least, member
        said = (
            tr("Only the owner of the workshop may do this. Ask an owner to change your role.")
            if least == "owner"
            else tr(
                "Only a maker or the owner of the workshop may do this. Ask an owner to change your role."
            )
        )
        super().__init__(said)


class FormUnreadable(GirthwrightError):
    """A form can't be taken apart; `reason` says why in plain words."""

    def __init__(self, reason: str) -> None:
        self.reason = reason
        again = tr("Go back, look at what was filled in, and send it again.")
        super().__init__(f"{reason} {again}")


def signed_in(request: Request, least: Role = "read-only") -> Member:
    """Return the member who is asking; raises SignInNeeded, and NotAllowed when their role is too low."""
    found = session(request)
    if found is None:
        raise SignInNeeded(_back(request))
    used, member = found
    if ROLES.index(member.role) < ROLES.index(least):
        raise NotAllowed(least, member)
    house = house_of(request)
    house.seen[used.token_hash] = now = house.now()
    if request.method not in SAFE:
        with house.database.writing() as connection:
            session_seen(connection, used.token_hash, now)
    return member


def session(request: Request) -> tuple[MemberSession, Member] | None:
    """Return the session that a browser shows and its member, or None when there is none or it has ended."""
    token = request.cookies.get(cookie_name(request), "")
    if not token:
        return None
    house, hashed = house_of(request), token_hash(token)
    now = house.now()
    with house.database.reading() as connection:
        found = session_of(connection, hashed, now)
    if found is None or now - last_seen(house, found[0]) > IDLE:
        house.seen.pop(hashed, None)
        return None
    return found


def last_seen(house: House, used: MemberSession) -> datetime:
    """Return when a session was last used."""
    return max(used.seen_at, house.seen.get(used.token_hash, used.seen_at))


def is_secure(request: Request) -> bool:
    """Tell whether people reach the service over TLS."""
    return house_of(request).settings.origin.startswith("https://") or request.url.scheme == "https"


def cookie_name(request: Request) -> str:
    """Return the name of the session's cookie: over TLS one that no other host can set."""
    return "__Host-s" if is_secure(request) else "s"


def begin_session(request: Request, connection: Connection, member: Member, by: Act) -> str:
    """Sign a member in with this browser, whose session of before ends; return the new one's secret."""
    house = house_of(request)
    end_own_session(request, connection, by)
    token = house.token()
    agent = agent_words(request.headers.get("user-agent", ""))
    until = by.at + LONGEST
    start_session(connection, MemberSession(token_hash(token), member.id, agent, by.at, by.at, until), by)
    return token


def end_own_session(request: Request, connection: Connection, by: Act) -> None:
    """End the session that this browser shows, if it shows one."""
    token = request.cookies.get(cookie_name(request), "")
    if token:
        end_session(connection, token_hash(token), by)
        house_of(request).seen.pop(token_hash(token), None)


def agent_words(agent: str) -> str:
    """Return which browser it is and where, in words: "Firefox on Android"."""
    name = next((name for sign, name in BROWSERS if sign in agent), NO_NAME)
    place = next((place for sign, place in PLACES if sign in agent), "")
    return f"{name} on {place}" if place else name


def give_cookie(request: Request, answer: Response, token: str) -> None:
    """Let a browser keep the secret of its session."""
    answer.set_cookie(
        cookie_name(request),
        token,
        max_age=int(LONGEST.total_seconds()),
        httponly=True,
        secure=is_secure(request),
        samesite="lax",
    )


def take_cookie(request: Request, answer: Response) -> None:
    """Let a browser forget it."""
    answer.delete_cookie(cookie_name(request), httponly=True, secure=is_secure(request), samesite="lax")


def act(request: Request, member: Member | None = None, link: Link | None = None) -> Act:
    """Return who acts, for the record: a member, else whoever has a link, else a customer without one."""
    now = house_of(request).now()
    agent = sha256(request.headers.get("user-agent", "").encode()).hexdigest()[:16]
    if member is not None:
        return Act("maker", member.id, now, short_address(request), agent)
    return Act("customer", "" if link is None else link.id, now, short_address(request), agent)


def short_address(request: Request) -> str:
    """Return the network that asks: an IPv4 address without its last byte, an IPv6 one's first 48 bits."""
    return _network(request, 24, 48)


def one_place(request: Request) -> str:
    """Return whom to hold tries against: an IPv4 address, or the network that one IPv6 customer gets."""
    return _network(request, 32, 64)


def form(request: Request, most: int = FIELDS_MAX) -> Mapping[str, str]:
    """Return what a plain form sent, by field; raises FormUnreadable. For routes that run in a thread."""
    if request.headers.get("content-type", "").partition(";")[0].strip().lower() != PLAIN_FORM:
        raise FormUnreadable(tr("This address takes a plain form."))
    body: bytes = from_thread.run(request.body)
    try:
        pairs = parse_qsl(
            body.decode("ascii"),
            keep_blank_values=True,
            encoding="utf-8",
            errors="strict",
            max_num_fields=most,
        )
    except UnicodeDecodeError as fault:
        raise FormUnreadable(tr("The form holds signs that aren't UTF-8 text.")) from fault
    except ValueError as fault:  # the only other one is too many fields
        raise FormUnreadable(tr("The form holds more than {count} fields.", count=most)) from fault
    fields = dict(pairs)
    if len(fields) < len(pairs):
        raise FormUnreadable(tr("The form holds a field twice."))
    sent_with(request, fields)
    return fields


def _back(request: Request) -> str:
    """Where to come back to: the page asked for, or the workshop's first page when something was sent."""
    if request.method not in SAFE:
        return "/shop"
    query = request.url.query
    return f"{request.url.path}?{query}" if query else request.url.path


def _network(request: Request, bits4: int, bits6: int) -> str:
    return _network_of(request.client.host if request.client else "", bits4, bits6)


@lru_cache(maxsize=4096)
def _network_of(host: str, bits4: int, bits6: int) -> str:
    try:
        found = ip_address(host)
    except ValueError:
        return ""
    bits = bits4 if found.version == 4 else bits6  # noqa: PLR2004 - a version of the protocol
    return str(ip_network((found, bits), strict=False).network_address)
