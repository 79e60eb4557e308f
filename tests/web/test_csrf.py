"""Nothing is taken from other sites' pages (W3C Fetch Metadata; OWASP ASVS 5, 3.5.1)."""

import pytest
from starlette.testclient import TestClient

from service.settings import Settings
from service.web.security import FOR_NOBODY_ELSE
from tests.makers import client
from tests.stores import contents
from tests.web.door_makers import PASSWORD, Door
from tests.web.test_routes import ROUTES

ORIGIN = "https://collars.example"
SENT = {"name": "Mia Maker", "password": PASSWORD}


@pytest.fixture(scope="module")
def door() -> Door:
    return Door(Settings(origin=ORIGIN, allowed_hosts=("localhost", "collars.example")))


def ask(door: Door, **headers: str) -> int:
    """The status of a form that signs in, sent with these headers and no others that tell where from."""
    browser = TestClient(door.app, base_url=ORIGIN, follow_redirects=False)
    named = {name.replace("_", "-"): value for name, value in headers.items()}
    return int(browser.post("/shop/sign-in", data=SENT, headers=named).status_code)


@pytest.mark.parametrize("site", ["same-origin", "none"])
def test_our_own_pages_may_send_things(door: Door, site: str) -> None:
    assert ask(door, Sec_Fetch_Site=site) == 303


@pytest.mark.parametrize("site", ["cross-site", "same-site", "", "Same-Origin", "same-origin, none", "other"])
def test_other_sites_pages_may_not_and_neighbours_may_not(door: Door, site: str) -> None:
    before = contents(door.database)
    assert ask(door, Sec_Fetch_Site=site) == 403
    assert ask(door, Sec_Fetch_Site=site, Origin=ORIGIN) == 403
    assert contents(door.database) == before


def test_a_browser_that_does_not_say_is_judged_by_the_origin_that_is_set(door: Door) -> None:
    assert ask(door, Origin=ORIGIN) == 303
    for other in (
        "https://elsewhere.example",
        "http://collars.example",
        "null",
        "",
        f"{ORIGIN}.example",
        f"{ORIGIN}:8",
    ):
        assert ask(door, Origin=other) == 403
    # Whoever can forge the host can't make themselves its origin.
    assert ask(door, Origin="http://localhost", Host="localhost") == 403


def test_who_says_nothing_at_all_is_refused(door: Door) -> None:
    assert ask(door) == 403


def test_without_an_origin_set_it_is_the_host_that_was_asked() -> None:
    plain = Door()
    browser = TestClient(plain.app, base_url="http://localhost:8000", follow_redirects=False)
    good, bad = {"Origin": "http://localhost:8000"}, {"Origin": "http://localhost:9000"}
    assert browser.post("/shop/sign-in", data=SENT, headers=good).status_code == 303
    assert browser.post("/shop/sign-in", data=SENT, headers=bad).status_code == 403


@pytest.mark.parametrize("method", ["POST", "PUT", "PATCH", "DELETE", "PROPFIND"])
@pytest.mark.parametrize("path", ["/", "/shop", "/shop/members", "/ask", "/nothing", "/static/css/page.css"])
def test_every_method_that_may_change_something_is_guarded_everywhere(
    door: Door, method: str, path: str
) -> None:
    browser = TestClient(door.app, base_url=ORIGIN)
    answer = browser.request(method, path, headers={"Sec-Fetch-Site": "cross-site"})
    assert answer.status_code == 403
    assert "Content-Security-Policy" in answer.headers


@pytest.mark.parametrize("method", ["GET", "HEAD", "OPTIONS"])
def test_what_only_looks_is_not_held_up(door: Door, method: str) -> None:
    browser = TestClient(door.app, base_url=ORIGIN)
    assert browser.request(method, "/", headers={"Sec-Fetch-Site": "cross-site"}).status_code in {200, 405}


def test_a_person_is_told_on_a_page_and_a_program_in_a_problem(door: Door) -> None:
    browser = TestClient(door.app, base_url=ORIGIN)
    page = browser.post("/shop/sign-in", data=SENT, headers={"Accept": "text/html"})
    assert "That was not sent from here" in page.text
    problem = browser.post("/shop/sign-in", data=SENT)
    assert problem.headers["Content-Type"] == "application/problem+json"


@pytest.mark.parametrize(
    "path",
    ["/shop", "/shop/sign-in", "/shop/members", "/shop/nothing", "/o/x", "/p/x", "/ask", "/ask?neck=no"],
)
@pytest.mark.parametrize("method", ["GET", "HEAD", "POST"])
def test_private_pages_are_kept_by_no_cache_and_found_by_no_search(
    door: Door, path: str, method: str
) -> None:
    headers = door.browser(ORIGIN).request(method, path).headers
    assert {name: headers.get_list(name) for name in FOR_NOBODY_ELSE} == {
        name: [value] for name, value in FOR_NOBODY_ELSE.items()
    }


def test_the_configurator_may_be_found(door: Door) -> None:
    for path in ("/", "/static/css/page.css", "/design.json?neck=19+in"):
        headers = door.browser(ORIGIN).get(path).headers
        assert "X-Robots-Tag" not in headers, path


def test_crawlers_are_kept_from_private_pages(door: Door) -> None:
    lines = door.browser(ORIGIN).get("/robots.txt").text.splitlines()
    assert {"Disallow: /o/", "Disallow: /p/", "Disallow: /shop"} <= set(lines)


@pytest.mark.parametrize("origin", ["https://elsewhere.example", "null", "http://localhost:8000"])
def test_no_other_site_is_allowed_to_read_an_answer(origin: str) -> None:
    ask = client()
    for path in (*ROUTES, "/shop/sign-in", "/nothing"):
        for method in ("GET", "HEAD", "OPTIONS", "POST"):
            answer = ask.request(method, path, headers={"Origin": origin})
            assert not [name for name in answer.headers if name.startswith("access-control-")]


@pytest.mark.parametrize("method", ["TRACE", "CONNECT", "TRACK"])
def test_trace_is_not_answered(method: str) -> None:
    answer = client().request(method, "/", headers={"Cookie": "s=secret"})
    assert answer.status_code == 405
    assert "secret" not in answer.text
