"""Those who sign in, their sessions, the keys of other programs, and how often somebody may try."""

from dataclasses import dataclass
from datetime import datetime
from typing import Literal

from sqlalchemy import Connection, delete, update

from service.storage.audit import Act, record
from service.storage.rows import all_as, by_id, first_as, keep, overwrite, select_as
from service.storage.second_factor import SecondFactor
from service.storage.tables import api_key, member, member_session, throttle

Role = Literal["owner", "maker", "read-only"]


@dataclass(frozen=True, slots=True)
class Member:
    """Somebody of the workshop who signs in by name; after `left_at` they can't."""

    id: str
    workshop_id: str
    name: str
    password_hash: str
    role: Role
    second_factor: SecondFactor | None
    made_at: datetime
    left_at: datetime | None = None
    row_version: int = 1


@dataclass(frozen=True, slots=True)
class MemberSession:
    """A member signed in with some browser (`agent`, in words)."""

    token_hash: str
    member_id: str
    agent: str
    made_at: datetime
    seen_at: datetime
    expires_at: datetime
    revoked_at: datetime | None = None


@dataclass(frozen=True, slots=True)
class ApiKey:
    """A key by which another program reads a workshop's orders."""

    id: str
    workshop_id: str
    label: str
    key_hash: str
    made_at: datetime
    revoked_at: datetime | None = None
    seen_at: datetime | None = None


@dataclass(frozen=True, slots=True)
class Tries:
    """How often something failed since `first_at`; no more tries before `open_at`."""

    key: str
    tries: int
    first_at: datetime
    open_at: datetime


def add_member(connection: Connection, new: Member, act: Act) -> None:
    """Keep a new member."""
    keep(connection, member, new)
    record(connection, new.workshop_id, "member-added", act, detail=f"{new.role} {new.id}")


def change_member(connection: Connection, changed: Member, act: Act) -> None:
    """Keep a member that was read and changed, and end their sessions; raises StaleWrite, NotKept."""
    columns = ("name", "password_hash", "role", "second_factor", "left_at")
    changes = {name: getattr(changed, name) for name in columns}
    overwrite(connection, member, changed.id, seen=changed.row_version, changes=changes)
    end_sessions(connection, changed.id, act)
    record(connection, changed.workshop_id, "member-changed", act, detail=f"{changed.role} {changed.id}")


def keep_second_factor(connection: Connection, member_id: str, factor: SecondFactor) -> None:
    """Keep what becomes of a second factor as it is set up and used; nobody's session ends by it."""
    connection.execute(update(member).where(member.c.id == member_id).values(second_factor=factor))


def member_by_name(connection: Connection, workshop_id: str, name: str) -> Member | None:
    """Return the member of that name, whether they have left or not, or None."""
    here = (member.c.workshop_id == workshop_id) & (member.c.name == name)
    return first_as(Member, connection, select_as(Member, member).where(here))


def members_of(connection: Connection, workshop_id: str) -> tuple[Member, ...]:
    """Return a workshop's members by name."""
    chosen = select_as(Member, member).where(member.c.workshop_id == workshop_id)
    return all_as(Member, connection, chosen.order_by(member.c.name))


def start_session(connection: Connection, new: MemberSession, act: Act) -> None:
    """Keep that a member has signed in."""
    keep(connection, member_session, new)
    signed = by_id(Member, connection, member, new.member_id)
    record(connection, signed.workshop_id, "signed-in", act)


def session_of(connection: Connection, token_hash: str, at: datetime) -> tuple[MemberSession, Member] | None:
    """Return a session that still runs and its member, or None."""
    here = (member_session.c.token_hash == token_hash) & member_session.c.revoked_at.is_(None)
    chosen = select_as(MemberSession, member_session).where(here, member_session.c.expires_at > at)
    session = first_as(MemberSession, connection, chosen)
    if session is None:
        return None
    of = by_id(Member, connection, member, session.member_id)
    return None if of.left_at is not None else (session, of)


def session_seen(connection: Connection, token_hash: str, at: datetime) -> None:
    """Note when a session was last used."""
    here = member_session.c.token_hash == token_hash
    connection.execute(update(member_session).where(here).values(seen_at=at))


def sessions_of(connection: Connection, member_id: str) -> tuple[MemberSession, ...]:
    """Return a member's sessions that nobody has ended, the newest first."""
    here = (member_session.c.member_id == member_id) & member_session.c.revoked_at.is_(None)
    chosen = select_as(MemberSession, member_session).where(here)
    return all_as(MemberSession, connection, chosen.order_by(member_session.c.made_at.desc()))


def end_session(connection: Connection, token_hash: str, act: Act) -> None:
    """End a session; ended before, it stays ended since then."""
    here = (member_session.c.token_hash == token_hash) & member_session.c.revoked_at.is_(None)
    connection.execute(update(member_session).where(here).values(revoked_at=act.at))


def end_sessions(connection: Connection, member_id: str, act: Act) -> None:
    """End all of a member's sessions."""
    here = (member_session.c.member_id == member_id) & member_session.c.revoked_at.is_(None)
    connection.execute(update(member_session).where(here).values(revoked_at=act.at))


def tries(connection: Connection, key: str) -> Tries | None:
    """Return how often something failed, or None when it did not."""
    return first_as(Tries, connection, select_as(Tries, throttle).where(throttle.c.key == key))


def count_try(connection: Connection, counted: Tries) -> None:
    """Keep a count in place of the one before."""
    connection.execute(delete(throttle).where(throttle.c.key == counted.key))
    keep(connection, throttle, counted)


def forget_tries(connection: Connection, key: str) -> None:
    """Begin counting anew, after it went well."""
    connection.execute(delete(throttle).where(throttle.c.key == key))


def forget_tries_before(connection: Connection, at: datetime) -> None:
    """Drop counts that hold nobody up any more."""
    connection.execute(delete(throttle).where(throttle.c.open_at < at))


def add_api_key(connection: Connection, new: ApiKey, act: Act) -> None:
    """Keep a new key, by its hash."""
    keep(connection, api_key, new)
    record(connection, new.workshop_id, "key-made", act, detail=f"key {new.id}")


def api_key_by_hash(connection: Connection, key_hash: str) -> ApiKey | None:
    """Return the key that is in force, or None."""
    here = (api_key.c.key_hash == key_hash) & api_key.c.revoked_at.is_(None)
    return first_as(ApiKey, connection, select_as(ApiKey, api_key).where(here))


def api_keys_of(connection: Connection, workshop_id: str) -> tuple[ApiKey, ...]:
    """Return a workshop's keys, the newest first."""
    chosen = select_as(ApiKey, api_key).where(api_key.c.workshop_id == workshop_id)
    return all_as(ApiKey, connection, chosen.order_by(api_key.c.made_at.desc(), api_key.c.id))


def api_key_seen(connection: Connection, key_id: str, at: datetime) -> None:
    """Note when a key was last used."""
    connection.execute(update(api_key).where(api_key.c.id == key_id).values(seen_at=at))


def revoke_api_key(connection: Connection, key_id: str, act: Act) -> None:
    """Put a key out of force; raises NotKept. Revoked before, it stays so since then."""
    found = by_id(ApiKey, connection, api_key, key_id)
    if found.revoked_at is None:
        connection.execute(update(api_key).where(api_key.c.id == key_id).values(revoked_at=act.at))
        record(connection, found.workshop_id, "key-revoked", act, detail=f"key {key_id}")
