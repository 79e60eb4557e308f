"""A shop with everything in it that a visitor can meet, in a store that a real service opens."""

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from secrets import token_urlsafe

from service.app import create_app
from service.settings import Settings
from service.storage import (
    Act,
    ApiKey,
    Connection,
    Database,
    Link,
    Member,
    MemberSession,
    add_api_key,
    add_member,
    found_workshop,
    make_link,
    send_proof,
    start_session,
    token_hash,
)
from service.web import hashed
from service.web.proofs import make_proof
from tests.makers import SHOP, workshop
from tests.storage.makers import enquiry
from tests.stores import data_beside


@dataclass(frozen=True, slots=True)
class Places:
    """The session of the owner, the token of a customer's link and of a program, and pages to look at."""

    session: str
    token: str
    pages: tuple[str, ...]


def furnish(database: Database) -> Places:
    """Let the demo workshop move in, with an owner, and an order whose proof waits for an answer."""
    now = datetime.now(UTC)
    act, session, token = Act("service", "soak", now), token_urlsafe(32), token_urlsafe(32)
    with database.writing() as connection:
        found_workshop(connection, SHOP, workshop(), act)
        sign_in(connection, session, act)
        order = enquiry(connection, workshop_id=SHOP)
        add_api_key(connection, ApiKey("key", SHOP, "The books", token_hash(token), now), act)
    house = create_app(Settings(data=data_beside(database)), database, SHOP).state.house
    made = make_proof(house, order)
    with database.writing() as connection:
        send_proof(connection, made.order, made.proof, made.drawings, act)
        for purpose in ("order", "proof"):
            link = Link(
                purpose, order.id, purpose, "Ada", token_hash(token + purpose), now, now + timedelta(days=1)
            )
            make_link(connection, link, act)
    at = f"/shop/orders/{order.number}"
    customer = f"/shop/customers/{order.customer_id}"
    own = (
        "/shop",
        "/shop/quote?neck=19+in",
        "/shop/customers",
        customer,
        "/shop/members",
        "/shop/connections",
        at,
        f"{at}/design",
    )
    pages = (*own, f"/o/{token}order", f"/p/{token}proof")
    return Places(session, token, pages)


def sign_in(connection: Connection, session: str, act: Act) -> None:
    """The workshop's owner is signed in."""
    owner = Member("owner", SHOP, "Ola Owner", hashed(token_urlsafe(16), "Ola Owner"), "owner", None, act.at)
    add_member(connection, owner, act)
    until = act.at + timedelta(days=1)
    start_session(
        connection, MemberSession(token_hash(session), "owner", "a browser", act.at, act.at, until), act
    )
