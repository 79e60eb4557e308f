"""A customer for the tests of their pages: somebody who asks, and a shop that sends them proofs."""

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from datetime import timedelta
from typing import Any

from starlette.testclient import TestClient

from service.orders import Proof
from service.storage import (
    Act,
    Link,
    Order,
    StorageFull,
    change_order,
    make_link,
    send_proof,
    token_hash,
)
from service.web.proofs import make_proof
from tests.makers import LINK, client, parsed
from tests.stores import contents
from tests.web.shop_makers import Shop

ASK = f"/ask?{LINK}&lettering=BISCUIT&weight=45+lb"
WHO = {
    "name": "Ada Example",
    "email": "ada@mail.example",
    "phone": "",
    "dog": "Biscuit",
    "notes": "For walks.\r\nBy Christmas.",
    "agreed": "yes",
}


def hidden(text: str, form: str = "//form[@method='post']") -> dict[str, str]:
    """What the first such form of a page carries unseen."""
    inputs = parsed(text).xpath(f"({form})[1]//input[@type='hidden']")
    return {one.get("name"): one.get("value") for one in inputs}


def said(text: str) -> str:
    """The words of a page."""
    return " ".join(parsed(text).xpath("//main")[0].text_content().split())


@dataclass
class Customer:
    """Somebody who has asked the shop for a collar, with the browser they did it in."""

    shop: Shop = field(default_factory=Shop)

    def __post_init__(self) -> None:
        self.browser: TestClient = client(self.shop.app)
        self.browser.follow_redirects = False
        form = hidden(self.browser.get(ASK).text)
        answer = self.browser.post(ASK, data={**form, **WHO})
        assert answer.status_code == 303, said(answer.text)
        self.order_page: str = answer.headers["location"]
        self.proof_page = self.order_page.replace("/o/", "/p/")

    @property
    def act(self) -> Act:
        """The maker at work."""
        return Act("maker", "maker", self.shop.now)

    @property
    def order(self) -> Order:
        """The order as it is kept now."""
        return self.shop.kept(1)

    def change(self, **changed: Any) -> Order:  # noqa: ANN401 - any column
        """The maker changes the order."""
        with self.shop.database.writing() as connection:
            return change_order(connection, replace(self.order, **changed), self.act)

    def proof(self, neck: float = 0) -> Proof:
        """The shop sends a proof, of another neck [mm] if one is given."""
        order = self.order
        if neck:
            order = replace(order, design=order.design.model_copy(update={"neck": neck}))
        made = make_proof(self.shop.app.state.house, order)
        with self.shop.database.writing() as connection:
            send_proof(connection, made.order, made.proof, made.drawings, self.act)
        return made.proof

    def link(self, token: str, days: float = 14, *, revoked: bool = False) -> Link:
        """A link of its own to the proof."""
        at, now = self.shop.now, self.shop.app.state.house.now()
        link = Link(
            f"link-{token}",
            self.order.id,
            "proof",
            "Ada's phone",
            token_hash(token),
            at,
            now + timedelta(days=days),
            now if revoked else None,
        )
        with self.shop.database.writing() as connection:
            make_link(connection, link, self.act)
        return link

    def form(self) -> dict[str, str]:
        """What the proof's forms carry: the same in both, but for what they say."""
        form = hidden(self.browser.get(self.proof_page).text, "//form[contains(@class, 'approve')]")
        form.pop("kind")
        return form

    def answer(self, form: dict[str, str], kind: str, **typed: str) -> Any:  # noqa: ANN401 - a response
        """What an answer comes to."""
        return self.browser.post(f"{self.proof_page}/answer", data={**form, "kind": kind, **typed})

    def contents(self) -> dict[str, list[tuple[Any, ...]]]:
        """Everything in the store."""
        return contents(self.shop.database)


def full_disk(*_: object) -> Callable[..., Any]:
    """A store with no room left."""
    raise StorageFull("database or disk is full")
