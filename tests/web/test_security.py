import pytest
from starlette.testclient import TestClient

from service.settings import Settings
from service.web.security import CONTENT_SECURITY_POLICY, HEADERS
from tests.makers import LINK, app, client
from tests.web.test_routes import ROUTES

REFUSED = [
    "/nothing",
    "/?neck=lots",
    "/design.json?neck=lots",
    "/pattern.pdf?neck=lots",
    "/?neck=%ff",
    "/static/no.css",
]


@pytest.fixture(scope="module")
def ask() -> TestClient:
    return client()


@pytest.mark.parametrize("path", [*ROUTES, *REFUSED])
@pytest.mark.parametrize("method", ["GET", "HEAD", "POST"])
def test_every_answer_carries_every_security_header_once(ask: TestClient, path: str, method: str) -> None:
    headers = ask.request(method, path).headers
    assert {name: headers.get_list(name) for name in HEADERS} == {
        name: [value] for name, value in HEADERS.items()
    }


def test_refusals_of_the_framework_itself_carry_them_too() -> None:
    small = client(app(Settings(body_max=10)))
    assert small.post("/", content=b"x" * 11).headers["X-Content-Type-Options"] == "nosniff"
    assert (
        small.get("/", headers={"Host": "elsewhere.example"}).headers["X-Content-Type-Options"] == "nosniff"
    )


def test_an_unchanged_drawing_carries_them_too(ask: TestClient) -> None:
    tag = ask.get(f"/preview.svg?{LINK}").headers["ETag"]
    again = ask.get(f"/preview.svg?{LINK}", headers={"If-None-Match": tag})
    assert again.headers["Content-Security-Policy"] == CONTENT_SECURITY_POLICY


def test_nothing_is_allowed_inline_or_from_elsewhere() -> None:
    rules = dict(rule.strip().split(" ", 1) for rule in CONTENT_SECURITY_POLICY.split(";"))
    assert rules.pop("default-src") == "'none'"
    assert set(rules.values()) == {"'self'", "'none'"}
    assert {"script-src", "style-src", "base-uri", "frame-ancestors", "form-action", "object-src"} <= set(
        rules
    )


def test_browsers_are_bound_to_https_only_where_it_is_in_use(ask: TestClient) -> None:
    # RFC 6797, 7.2: not over a connection that isn't secure.
    assert "Strict-Transport-Security" not in ask.get("/healthz").headers
    assert "max-age=31536000" in ask.get("https://localhost/healthz").headers["Strict-Transport-Security"]
    behind = client(app(Settings(origin="https://collars.example")))
    assert "Strict-Transport-Security" in behind.get("/healthz").headers


def test_no_cookie_is_ever_set(ask: TestClient) -> None:
    assert not any("Set-Cookie" in ask.get(path).headers for path in (*ROUTES, *REFUSED))
