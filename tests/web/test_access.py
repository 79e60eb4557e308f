import inspect
import re
from collections.abc import Mapping
from dataclasses import replace
from datetime import timedelta
from typing import Any

import pytest
from fastapi import FastAPI
from fastapi.routing import APIRoute
from starlette.requests import Request
from starlette.responses import JSONResponse, PlainTextResponse, Response

from service.settings import Settings
from service.storage import Link, Role, StorageBusy, StorageFull, StorageUnavailable
from service.web.access import (
    FIELDS_MAX,
    IDLE,
    LONGEST,
    act,
    agent_words,
    form,
    is_secure,
    one_place,
    short_address,
    signed_in,
)
from service.web.family import FORM_MAX, add_page
from tests.makers import app, parsed
from tests.web.door_makers import NOON, Door

PLAIN = {"Content-Type": "application/x-www-form-urlencoded"}
PAGE = {"Accept": "text/html"}


@pytest.fixture
def door() -> Door:
    return Door()


def echo(made: FastAPI, least: Role | None = None) -> None:
    """An address that shows the form that was sent to it, to those who may."""

    def take(request: Request) -> Response:
        if least is not None:
            signed_in(request, least)
        return JSONResponse(dict(form(request)))

    def show(request: Request) -> Response:
        return PlainTextResponse(signed_in(request, least or "read-only").name)

    add_page(made, "/shop/echo", show, take)


def asking(made: FastAPI, host: str = "127.0.0.1", **headers: str) -> Request:
    """A request as a route gets it."""
    scope: dict[str, Any] = {
        "type": "http",
        "method": "GET",
        "path": "/",
        "query_string": b"",
        "scheme": "http",
        "server": ("localhost", 8000),
        "client": (host, 50_000) if host else None,
        "headers": [(name.replace("_", "-").encode(), value.encode()) for name, value in headers.items()],
        "app": made,
    }
    return Request(scope)


@pytest.mark.parametrize(
    ("name", "least", "status"),
    [
        ("Rea Reader", "read-only", 200),
        ("Rea Reader", "maker", 403),
        ("Rea Reader", "owner", 403),
        ("Mia Maker", "read-only", 200),
        ("Mia Maker", "maker", 200),
        ("Mia Maker", "owner", 403),
        ("Ola Owner", "maker", 200),
        ("Ola Owner", "owner", 200),
    ],
)
def test_each_role_may_do_what_those_before_it_may(door: Door, name: str, least: Role, status: int) -> None:
    echo(door.app, least)
    browser = door.signed_in(name)
    assert browser.get("/shop/echo", headers=PAGE).status_code == status
    assert browser.post("/shop/echo", data={"a": "1"}, headers=PAGE).status_code == status


def test_who_may_not_is_told_who_may(door: Door) -> None:
    echo(door.app, "owner")
    page = parsed(door.signed_in("Mia Maker").get("/shop/echo", headers=PAGE).text)
    assert "Only the owner of the workshop may do this" in page.text_content()


def test_a_form_sent_when_nobody_is_signed_in_is_not_taken_and_shows_the_door(door: Door) -> None:
    echo(door.app, "maker")
    answer = door.browser().post("/shop/echo", data={"a": "1"})
    assert answer.status_code == 403
    assert "You were signed out before that was sent" in answer.text


@pytest.mark.parametrize("cookie", ["", "x", "A" * 43, "é", "'; DROP TABLE member_session; --", "s" * 5000])
def test_a_made_up_session_opens_nothing(door: Door, cookie: str) -> None:
    echo(door.app)
    headers = {b"cookie": f"s={cookie}".encode()}
    assert door.browser().get("/shop/echo", headers=headers).status_code == 303


def test_a_session_ends_when_nobody_uses_it_for_twelve_hours(door: Door) -> None:
    echo(door.app)
    browser = door.signed_in("Mia Maker")
    for _ in range(5):
        door.later(hours=11.9)
        assert browser.get("/shop/echo").status_code == 200, "looking at pages is using it"
    door.now += IDLE + timedelta(seconds=1)
    assert browser.get("/shop/echo").status_code == 303


def test_a_session_ends_after_thirty_days_however_it_is_used(door: Door) -> None:
    echo(door.app)
    browser = door.signed_in("Mia Maker")
    end = NOON + LONGEST
    while door.now < end - timedelta(hours=11):
        assert browser.get("/shop/echo").status_code == 200
        door.later(hours=11)
    door.now = end
    assert browser.get("/shop/echo").status_code == 303


def test_when_a_session_was_used_is_kept_on_the_next_write_and_outlasts_a_restart(door: Door) -> None:
    echo(door.app, "maker")
    browser = door.signed_in("Mia Maker")
    door.later(hours=10)
    assert browser.get("/shop/echo").status_code == 200
    assert door.sessions("mia")[0].seen_at == NOON, "reading a page writes nothing"
    assert browser.post("/shop/echo", data={"a": "1"}).status_code == 200
    assert door.sessions("mia")[0].seen_at == door.now
    door.restart()
    echo(door.app, "maker")
    again = door.browser()
    again.cookies = browser.cookies
    door.later(hours=11)
    assert again.get("/shop/echo").status_code == 200


def test_a_session_over_tls_is_not_taken_from_a_cookie_that_another_host_could_set() -> None:
    door = Door(Settings(origin="https://collars.example", allowed_hosts=("collars.example",)))
    echo(door.app)
    browser = door.browser("https://collars.example")
    door.try_in(browser, "Mia Maker")
    secret = str(browser.cookies["__Host-s"])
    assert browser.get("/shop/echo").status_code == 200
    other = door.browser("https://collars.example")
    assert other.get("/shop/echo", headers={"Cookie": f"s={secret}"}).status_code == 303
    assert other.get("/shop/echo", headers={"Cookie": f"__Host-s={secret}"}).status_code == 200


def sent(door: Door, body: bytes, **headers: str) -> Any:  # noqa: ANN401 - a response
    echo(door.app)
    return door.browser().post("/shop/echo", content=body, headers={**PLAIN, **headers})


@pytest.mark.parametrize(
    ("body", "fields"),
    [
        (b"", {}),
        (b"a=1&b=", {"a": "1", "b": ""}),
        (b"a=%C3%A9+%26", {"a": "é &"}),
        (b"=&;", {"": "", ";": ""}),
        (b"a=" + b"x" * 60_000, {"a": "x" * 60_000}),
    ],
)
def test_a_plain_form_is_read_whole(door: Door, body: bytes, fields: Mapping[str, str]) -> None:
    answer = sent(door, body)
    assert answer.status_code == 200
    assert answer.json() == fields


@pytest.mark.parametrize(
    ("body", "said"),
    [
        (b"a=%ff", "UTF-8"),
        (b"a=\xff", "UTF-8"),
        (b"a=%ed%a0%80", "UTF-8"),
        (b"a=1&a=2", "twice"),
        (b"&".join(b"f%d=" % n for n in range(FIELDS_MAX + 1)), "more than 200 fields"),
    ],
)
def test_a_broken_form_is_refused_in_a_sentence(door: Door, body: bytes, said: str) -> None:
    answer = sent(door, body)
    assert answer.status_code == 422
    assert said in answer.json()["detail"]


@pytest.mark.parametrize("kind", ["", "text/plain", "application/json", "multipart/form-data; boundary=x"])
def test_only_a_plain_form_is_read(door: Door, kind: str) -> None:
    assert sent(door, b"a=1", **{"Content-Type": kind}).status_code == 422


def test_a_form_larger_than_64_kib_is_refused_and_so_is_one_that_hides_its_length(door: Door) -> None:
    assert sent(door, b"a=" + b"x" * (FORM_MAX - 2)).status_code == 200
    assert sent(door, b"a=" + b"x" * FORM_MAX).status_code == 413

    def pieces() -> Any:  # noqa: ANN401 - bytes, one after another
        for _ in range(70):
            yield b"x" * 1024

    answer = door.browser().post("/shop/echo", content=pieces(), headers={**PLAIN, **PAGE})
    assert answer.status_code == 413
    assert "That is too much" in answer.text


@pytest.mark.parametrize(
    ("fault", "status", "after"),
    [
        (StorageFull("disk full"), 503, "60"),
        (StorageUnavailable("/secret/place is broken"), 503, "5"),
        (StorageBusy("locked"), 503, "5"),
    ],
)
@pytest.mark.parametrize("headers", [PAGE, {}])
def test_a_store_out_of_reach_is_said_with_when_to_ask_again_and_nothing_of_the_machine(
    door: Door, fault: StorageUnavailable, status: int, after: str, headers: dict[str, str]
) -> None:
    def broken(_request: Request) -> Response:
        raise fault

    add_page(door.app, "/shop/broken", broken, broken)
    for answer in (
        door.browser().get("/shop/broken", headers=headers),
        door.browser().post("/shop/broken", headers=headers),
    ):
        assert (answer.status_code, answer.headers["Retry-After"]) == (status, after)
        assert "Nothing was changed" in answer.text
        assert fault.reason not in answer.text


@pytest.mark.embedded
def test_the_collar_is_drawn_without_the_store_and_health_says_that_it_is_gone(door: Door) -> None:
    assert door.database.file is not None
    door.database.close()
    for file in door.database.file.parent.glob("store.sqlite3*"):
        file.unlink()
    ask = door.browser()
    assert ask.get("/?neck=19+in").status_code == 200
    assert ask.get("/design.json?neck=19+in").status_code == 200
    answer = ask.get("/healthz")
    assert answer.status_code == 503
    assert answer.json()["status"] in {"trouble", 503}


def test_health_tells_whether_the_store_fits_and_room_on_the_disk(door: Door) -> None:
    told = door.browser().get("/healthz").json()
    assert told["migrations"] == "fit"
    assert told["free_disk_mb"] > 0
    assert set(told) == {"status", "version", "workshop", "migrations", "free_disk_mb", "mail", "last_backup"}


def test_who_acts_is_recorded_without_whole_addresses_or_names_of_browsers(door: Door) -> None:
    member = door.member("mia")
    request = asking(door.app, "203.0.113.77", user_agent="Somebody's own browser 1.0")
    by = act(request, member)
    assert (by.actor, by.who, by.at, by.address) == ("maker", "mia", door.now, "203.0.113.0")
    assert len(by.agent) == 16
    assert "browser" not in by.agent
    link = Link("link-1", "o", "proof", "Ada", "h", NOON, NOON)
    assert (act(request, link=link).actor, act(request, link=link).who) == ("customer", "link-1")
    assert act(request).who == ""


@pytest.mark.parametrize(
    ("host", "network", "place"),
    [
        ("203.0.113.77", "203.0.113.0", "203.0.113.77"),
        # RFC 4291: the first 64 bits of an address are its network's.
        ("2001:db8:1:2:3:4:5:6", "2001:db8:1::", "2001:db8:1:2::"),
        ("testclient", "", ""),
        ("", "", ""),
    ],
)
def test_addresses_are_shortened_to_their_networks(host: str, network: str, place: str) -> None:
    request = asking(app(), host)
    assert (short_address(request), one_place(request)) == (network, place)


@pytest.mark.parametrize(
    ("agent", "said"),
    [
        ("Mozilla/5.0 (X11; Linux x86_64; rv:140.0) Gecko/20100101 Firefox/140.0", "Firefox on Linux"),
        (
            "Mozilla/5.0 (Linux; Android 15) AppleWebKit/537.36 Chrome/140.0 Mobile Safari/537.36",
            "Chrome on Android",
        ),
        (
            "Mozilla/5.0 (iPhone; CPU iPhone OS 18_0 like Mac OS X) Version/18.0 Mobile/15E148 Safari/604.1",
            "Safari on an iPhone",
        ),
        (
            "Mozilla/5.0 (Windows NT 10.0; Win64; x64) Chrome/140.0 Safari/537.36 Edg/140.0",
            "Edge on Windows",
        ),
        ("curl/8.0", "a browser"),
        ("", "a browser"),
    ],
)
def test_browsers_are_told_apart_in_words(agent: str, said: str) -> None:
    assert agent_words(agent) == said


def test_the_service_is_secure_where_people_reach_it_over_tls() -> None:
    assert not is_secure(asking(app()))
    assert is_secure(asking(app(Settings(origin="https://collars.example"))))


def test_a_new_catalogue_is_in_force_from_the_next_request_and_an_old_one_is_not(door: Door) -> None:
    shelf = door.house.shelf
    first = shelf.catalogue
    ask = door.browser()
    tag = ask.get("/preview.svg?neck=19+in").headers["ETag"]
    renamed = first.rows.model_copy(update={"name": "Teasel Bench"})
    shelf.put(replace(first, version=2, rows=renamed))
    assert "Teasel Bench" in ask.get("/").text
    assert ask.get("/preview.svg?neck=19+in").headers["ETag"] != tag
    shelf.put(first)
    assert "Teasel Bench" in ask.get("/").text


def test_the_description_of_the_interface_follows_the_catalogue(door: Door) -> None:
    def leathers() -> list[str]:
        told = door.browser().get("/openapi.json").json()["paths"]["/design.json"]["get"]["parameters"]
        return next(list(one["schema"]["enum"]) for one in told if one["name"] == "leather")

    rows = door.house.workshop
    assert leathers() == [row.code for row in rows.leathers]
    fewer = rows.model_copy(update={"leathers": rows.leathers[:1]})
    door.house.shelf.put(replace(door.house.shelf.catalogue, version=2, rows=fewer))
    assert leathers() == [rows.leathers[0].code]


def test_the_event_loop_is_not_held_up_by_a_slow_password(door: Door) -> None:
    # Routes that ask the store are plain functions, so the framework runs each in a thread.
    slow = [
        getattr(route, "path", "")
        for route in door.app.routes
        if getattr(route, "path", "").startswith(("/shop", "/o/", "/p/", "/ask", "/healthz"))
        and inspect.iscoroutinefunction(getattr(route, "endpoint", None))
    ]
    assert slow == []


def shop_routes(app: FastAPI) -> list[tuple[str, str]]:
    """Method and address of everything below the shop but the door, with made-up keys in the addresses."""
    routes = [route for route in app.routes if isinstance(route, APIRoute)]
    return [
        (method, re.sub(r"\{[^}]*\}", "1", route.path))
        for route in routes
        for method in route.methods or ()
        if route.path.startswith("/shop") and not route.path.startswith("/shop/sign-")
    ]


def test_every_address_of_the_shop_asks_who_is_there(door: Door) -> None:
    routes = shop_routes(door.app)
    assert len(routes) > 40
    for method, path in routes:
        answer = door.browser().request(method, path)
        assert answer.status_code in {303, 403}, (method, path)
        if answer.status_code == 303:
            assert answer.headers["Location"].startswith("/shop/sign-in"), (method, path)


def test_every_page_of_the_shop_has_a_way_out(door: Door) -> None:
    owner = door.signed_in("Ola Owner")
    pages = [owner.get(path) for method, path in shop_routes(door.app) if method == "GET"]
    shown = [
        page for page in pages if page.status_code == 200 and "text/html" in page.headers["content-type"]
    ]
    assert len(shown) >= 5
    for page in shown:
        assert parsed(page.text).xpath("//form[@action='/shop/sign-out']//button"), page.url
