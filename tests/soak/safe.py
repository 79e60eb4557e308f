"""Requests that only look, from robots and previews of links to every address, with links that open it."""

from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import cycle, islice, product
from typing import Any, Final

from fastapi.routing import APIRoute
from starlette.testclient import TestClient

from service.storage import links_of
from tests.makers import LINK, client
from tests.stores import contents_hash
from tests.web.customers import Customer

METHODS: Final = ("GET", "HEAD", "OPTIONS")
VISITORS: Final[tuple[dict[str, str], ...]] = (
    {"User-Agent": "Mozilla/5.0 (compatible; searchbot/2.1)"},
    {"User-Agent": "linkpreview/1.0 (like a person)", "Accept": "*/*", "Range": "bytes=0-65535"},
    {"Purpose": "prefetch", "Sec-Purpose": "prefetch;prerender", "X-Moz": "prefetch"},
    {"Sec-Fetch-Site": "none", "Sec-Fetch-Mode": "navigate", "Sec-Fetch-User": "?1"},
    {"Sec-Fetch-Site": "cross-site", "Origin": "https://elsewhere.example", "HX-Request": "true"},
    {"Origin": "https://elsewhere.example", "Access-Control-Request-Method": "POST"},
    {"X-HTTP-Method-Override": "POST", "X-Method-Override": "DELETE"},
)
"""What search engines, previews of links, browsers that load ahead and other sites' scripts send along."""
ANSWER: Final = "kind=approve&version=1&name=A+Robot"


@dataclass
class Looked:
    """What came of so many requests that only look."""

    requests: int = 0
    before: str = ""
    after: str = ""
    opened: set[str] = field(default_factory=set)
    faults: list[str] = field(default_factory=list)
    told: list[str] = field(default_factory=list)

    @property
    def unchanged(self) -> bool:
        return self.before == self.after


def look_everywhere(requests: int, *, careless: bool = False) -> Looked:
    """Send so many of them; with `careless`, one approval is among them."""
    customer, looked = Customer(), Looked()
    proof = customer.proof()
    token = customer.order_page.rpartition("/")[2]
    browsers = (signed_in(customer), client(customer.shop.app, faults_raise=False))
    looked.before = contents_hash(customer.shop.database)
    places = [*addresses(customer, token)]
    ways = product(VISITORS, browsers, METHODS, places)
    for headers, browser, method, (pattern, path) in islice(cycle(ways), requests):
        answer = browser.request(method, path, headers=headers)
        looked.requests += 1
        if answer.is_success:
            looked.opened.add(pattern)
        if answer.is_server_error:
            looked.faults.append(f"{method} {path}: {answer.status_code}")
        looked.told += [
            f"{method} {pattern}: {name}" for name, said in answer.headers.items() if token in said
        ]
    if careless:
        assert customer.answer(customer.form(), "approve", name="Ada Example").status_code == 303, proof
    looked.after = contents_hash(customer.shop.database)
    return looked


def signed_in(customer: Customer) -> TestClient:
    """A browser in which the workshop's owner is signed in."""
    browser = client(customer.shop.app, faults_raise=False)
    browser.follow_redirects = False
    browser.cookies.update(customer.shop.browsers["owner"].cookies)
    return browser


def addresses(customer: Customer, token: str) -> Iterator[tuple[str, str]]:
    """Every address that the application knows, with what opens something put in."""
    order = customer.order
    with customer.shop.database.reading() as connection:
        link = links_of(connection, order.id)[0].id
    known = {"token": token, "link_id": link, "customer_id": order.customer_id, "key": "maker"}
    for route in all_routes(customer.shop.app.routes):
        path = route.path
        for name in route.param_convertors:
            path = path.replace(f"{{{name}}}", known.get(name, "1"))
        yield route.path, f"{path}?{LINK}"
        if path.startswith("/p/"):
            yield route.path, f"{path}?{ANSWER}"


def all_routes(routes: Any) -> Iterator[APIRoute]:  # noqa: ANN401 - routes of any kind
    """The routes that have functions of ours, each address once."""
    seen: set[str] = set()
    for route in routes:
        if isinstance(route, APIRoute) and route.path not in seen:
            seen.add(route.path)
            yield route
