"""A post office of the tests: a shop with orders, its mail, a clock to be turned, and a server."""

import re
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime, timedelta
from email.message import EmailMessage
from typing import Any

from sqlalchemy import update

from service.orders import Proof
from service.post import Post, Round, deliver
from service.settings import MailServer, Settings
from service.storage import (
    Act,
    Database,
    Link,
    Mail,
    MailKind,
    Order,
    change_order,
    link_by_token,
    links_of,
    mails_of,
    queue_mail,
)
from service.storage.tables import customer
from tests.makers import SHOP, store
from tests.storage.makers import answered, enquiry, new_id, sent
from tests.stores import contents

SETTINGS = Settings(
    origin="https://collars.example", mail_from="orders@collars.example", mail_shop="ola@collars.example"
)


@dataclass
class Office:
    """The shop's post. `now` is what its clock says."""

    server: MailServer
    database: Database = field(default_factory=store)
    now: datetime = field(default_factory=lambda: datetime.now(UTC))

    def __post_init__(self) -> None:
        self.post = Post(SETTINGS, self.database, self.server, lambda: self.now)

    def order(self, email: str = "ada@mail.example", language: str = "en") -> Order:
        """A new order of a customer with that address, who asked in that language."""
        with self.database.writing() as connection:
            made = enquiry(connection)
            there = customer.c.id == made.customer_id
            connection.execute(update(customer).where(there).values(email=email, language=language))
            return made

    def proof(self, order: Order, kind: Any = "") -> Proof:  # noqa: ANN401 - a kind of answer
        """A proof of it, answered if a kind is given."""
        with self.database.writing() as connection:
            _, proof = sent(connection, order)
            if kind:
                answered(connection, proof, kind)
            return proof

    def queue(self, order: Order, kind: MailKind = "order-link", version: int = 0) -> Mail:
        """A mail that waits."""
        mail = Mail(new_id("mail"), SHOP, order.id, kind, version, self.now, self.now)
        with self.database.writing() as connection:
            queue_mail(connection, mail)
        return mail

    def deliver(self, **later: float) -> Round:
        """What comes of a round, some time later."""
        self.now += timedelta(**later)
        return deliver(self.post)

    def kept(self, mail: Mail) -> Mail:
        """A mail as it is kept now."""
        with self.database.reading() as connection:
            return next(one for one in mails_of(connection, mail.order_id) if one.id == mail.id)

    def links(self, order: Order) -> tuple[Link, ...]:
        """The links of an order."""
        with self.database.reading() as connection:
            return links_of(connection, order.id)

    def opened(self, mail: EmailMessage) -> Link | None:
        """The link that a mail opens."""
        with self.database.reading() as connection:
            return link_by_token(connection, token_in(mail))

    def cancel(self, order: Order) -> None:
        """The order comes to nothing."""
        with self.database.writing() as connection:
            change_order(connection, replace(order, stage="cancelled"), Act("maker", "m", self.now))

    def contents(self) -> str:
        """Everything that the store holds."""
        return str(contents(self.database))


def token_in(mail: EmailMessage) -> str:
    """The secret of the link in a mail."""
    (found,) = re.findall(r"https://collars\.example/[op]/(\S+)", mail.get_content())
    return str(found)
