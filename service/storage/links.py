"""Capability links: whoever has the link may see what it opens. Only the hash of its token is kept."""

from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final, Literal

from sqlalchemy import Connection, update

from service.orders import sha256_hex
from service.storage.audit import Act, record
from service.storage.rows import all_as, by_id, first_as, keep, select_as
from service.storage.tables import link, orders

Purpose = Literal["order", "proof"]

LINK_OPENS: Final = timedelta(days=14)
"""How long a link opens what it is for, unless a maker says otherwise."""
ORDER_PAGE_OPENS: Final = timedelta(days=365)
"""So long the page of an order opens to whoever has asked for it. From memory."""
RECEIPT_OPENS: Final = timedelta(days=30)
"""So long a link shows what has been settled: an approved proof, or that an order was cancelled."""


@dataclass(frozen=True, slots=True)
class Link:
    """A link to an order's page or its proof, made for one recipient (`label`)."""

    id: str
    order_id: str
    purpose: Purpose
    label: str
    token_hash: str
    made_at: datetime
    expires_at: datetime
    revoked_at: datetime | None = None
    seen_at: datetime | None = None

    def open_at(self, at: datetime) -> bool:
        """Tell whether the link opens anything at that moment."""
        return self.revoked_at is None and at < self.expires_at


def token_hash(token: str) -> str:
    """Return what is kept of a token; it has 256 random bits, so a plain hash can't be guessed back."""
    return sha256_hex(token.encode())


def make_link(connection: Connection, made: Link, act: Act) -> None:
    """Keep a new link."""
    keep(connection, link, made)
    _record(connection, made, "link-made", act)


def link_by_token(connection: Connection, token: str) -> Link | None:
    """Return the link of a token, open or not, or None."""
    chosen = select_as(Link, link).where(link.c.token_hash == token_hash(token))
    return first_as(Link, connection, chosen)


def links_of(connection: Connection, order_id: str) -> tuple[Link, ...]:
    """Return an order's links, the newest first."""
    chosen = select_as(Link, link).where(link.c.order_id == order_id)
    return all_as(Link, connection, chosen.order_by(link.c.made_at.desc(), link.c.id))


def move_link_end(connection: Connection, link_id: str, expires_at: datetime, act: Act) -> None:
    """Let a link open until a later or an earlier moment; raises NotKept."""
    found = by_id(Link, connection, link, link_id)
    connection.execute(update(link).where(link.c.id == link_id).values(expires_at=expires_at))
    _record(connection, found, "link-extended" if expires_at > found.expires_at else "link-shortened", act)


def keep_for_receipt(connection: Connection, order_id: str, at: datetime) -> None:
    """Have links to an approved proof open as its receipt, for so long as that is, and then end.

    The approval that is on the record says so; nothing more is put there.
    """
    here = (link.c.order_id == order_id) & (link.c.purpose == "proof") & link.c.revoked_at.is_(None)
    still = update(link).where(here, link.c.expires_at > at)
    connection.execute(still.values(expires_at=at + RECEIPT_OPENS))


def close_links(connection: Connection, order_id: str, act: Act) -> None:
    """Close links to the proof of a cancelled order; the order's page goes on to say so for a while."""
    for one in links_of(connection, order_id):
        if one.purpose == "proof":
            revoke_link(connection, one.id, act)
        elif one.open_at(act.at) and one.expires_at > act.at + RECEIPT_OPENS:
            move_link_end(connection, one.id, act.at + RECEIPT_OPENS, act)


def revoke_link(connection: Connection, link_id: str, act: Act) -> None:
    """Close a link for good; raises NotKept. Closed before, it stays closed since then."""
    found = by_id(Link, connection, link, link_id)
    if found.revoked_at is None:
        connection.execute(update(link).where(link.c.id == link_id).values(revoked_at=act.at))
        _record(connection, found, "link-revoked", act)


def link_seen(connection: Connection, link_id: str, at: datetime) -> None:
    """Note when somebody last looked; weak evidence, so it is not on the record."""
    connection.execute(update(link).where(link.c.id == link_id).values(seen_at=at))


def _record(connection: Connection, of: Link, action: str, act: Act) -> None:
    order = by_id(_Owner, connection, orders, of.order_id)
    record(connection, order.workshop_id, action, act, order=of.order_id, detail=f"{of.purpose} {of.id}")


@dataclass(frozen=True, slots=True)
class _Owner:
    workshop_id: str
