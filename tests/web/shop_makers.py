"""A shop for the tests of its pages: the demo workshop with a member who is signed in, and orders."""

from dataclasses import dataclass, field, replace
from datetime import UTC, datetime, timedelta
from typing import Any

from fastapi import FastAPI
from starlette.testclient import TestClient

from service.app import create_app
from service.orders import kept_rows, read_decision
from service.settings import Settings
from service.storage import (
    Act,
    Customer,
    Database,
    Dog,
    Enquiry,
    Member,
    MemberSession,
    Order,
    Role,
    add_customer,
    add_dog,
    add_member,
    answer_proof,
    change_order,
    newest_proof,
    order_by_number,
    record_of,
    start_session,
    take_enquiry,
    token_hash,
)
from service.web.passwords import NOBODY
from tests.makers import SHOP, client, parsed, pattern, store, workshop
from tests.stores import data_beside

NAMES: dict[Role, str] = {"owner": "Ola Owner", "maker": "Mia Maker", "read-only": "Rea Reader"}


@dataclass
class Shop:
    """The application, its store, and a browser for each role."""

    database: Database = field(default_factory=store)
    now: datetime = field(default_factory=lambda: datetime.now(UTC))

    def __post_init__(self) -> None:
        self.app: FastAPI = create_app(Settings(data=data_beside(self.database)), self.database, SHOP)
        self.browsers = {role: self._signed_in(role) for role in NAMES}
        self.maker = self.browsers["maker"]

    def _signed_in(self, role: Role) -> TestClient:
        act = Act("maker", role, self.now)
        member = Member(role, SHOP, NAMES[role], NOBODY, role, None, self.now)
        session = MemberSession(
            token_hash(f"session of {role}"),
            role,
            "a browser",
            self.now,
            self.now,
            self.now + timedelta(days=1),
        )
        with self.database.writing() as connection:
            add_member(connection, member, act)
            start_session(connection, session, act)
        browser = client(self.app)
        browser.cookies.set("s", f"session of {role}")
        browser.follow_redirects = False
        return browser

    def order(
        self,
        name: str = "Ada Example",
        called: str = "Rex",
        neck: str = "19 in",
        **changed: Any,  # noqa: ANN401 - any column
    ) -> Order:
        """A new enquiry."""
        act = Act("customer", "", self.now)
        made = pattern(neck=neck)
        key = f"{name} {called} {neck}".lower().replace(" ", "-")
        with self.database.writing() as connection:
            who = Customer(
                f"c-{key}", SHOP, name, "ada@mail.example", "(201) 555-0123", "en", "", self.now, self.now
            )
            add_customer(connection, who, act)
            dog = Dog(f"d-{key}", who.id, called, "whippet", "", self.now)
            add_dog(connection, dog)
            asked = Enquiry(
                f"order-of-{key}"[:60],
                SHOP,
                who.id,
                dog.id,
                made.spec,
                kept_rows(made, workshop()),
                "For walks.",
            )
            order = take_enquiry(connection, asked, act)
            return change_order(connection, replace(order, **changed), act) if changed else order

    def kept(self, number: int) -> Order:
        """An order as it is kept now."""
        with self.database.reading() as connection:
            return order_by_number(connection, SHOP, number)

    def actions(self, order: Order) -> list[str]:
        """What the record says of an order."""
        with self.database.reading() as connection:
            return [entry.fact.action for entry in record_of(connection, SHOP, order.id)]

    def guard(self, number: int) -> dict[str, str]:
        """What the forms on an order's page carry."""
        page = parsed(self.maker.get(f"/shop/orders/{number}").text)
        return {name: page.xpath(f'(//input[@name="{name}"])[1]/@value')[0] for name in ("seen", "entry")}

    def post(self, path: str, role: Role = "maker", /, **fields: str) -> Any:  # noqa: ANN401 - a response
        """What a form answers."""
        return self.browsers[role].post(path, data=fields)

    def move(self, number: int, to: str) -> Any:  # noqa: ANN401 - a response
        """What pressing a button of an order's page answers."""
        return self.post(f"/shop/orders/{number}/stage", to=to, **self.guard(number))

    def proof(self, number: int) -> Any:  # noqa: ANN401 - a response
        """What making the next proof answers."""
        version = str(self.kept(number).version + 1)
        return self.post(f"/shop/orders/{number}/proofs", version=version, **self.guard(number))

    def answer(self, number: int, kind: Any = "approve", message: str = "") -> None:  # noqa: ANN401
        """The customer answers the newest proof."""
        with self.database.writing() as connection:
            proof = newest_proof(connection, self.kept(number).id)
            assert proof is not None
            key, at = f"key-of-version-{proof.version}", self.now.isoformat()
            name = "Ada Example" if kind == "approve" else ""
            wish = read_decision(kind, proof.seen, key, name=name, message=message, at=at)
            answer_proof(connection, wish, Act("customer", "link", self.now))


def words(response: Any) -> str:  # noqa: ANN401 - a response
    """The text of a page's main part."""
    return " ".join(parsed(response.text).xpath("string(//main)").split())
