import json
import re
from dataclasses import replace
from datetime import date
from typing import Any

import pytest
from jsonschema import Draft202012Validator
from starlette.testclient import TestClient

from service.orders import STAGES
from service.storage import (
    Act,
    ApiKey,
    StorageFull,
    add_api_key,
    api_keys_of,
    change_order,
    revoke_api_key,
    token_hash,
)
from service.web.api_keys import WITH_KEY, WRONG_KEYS
from service.web.house import House
from tests.makers import SHOP, client
from tests.stores import contents
from tests.web.shop_makers import Shop

SECRET = "gwk_" + "s" * 43
ORDERS = "/api/orders"


@pytest.fixture
def shop() -> Shop:
    shop = Shop()
    with shop.database.writing() as connection:
        key = ApiKey("key-1", SHOP, "The books", token_hash(SECRET), shop.now)
        add_api_key(connection, key, Act("maker", "owner", shop.now))
    return shop


@pytest.fixture
def program(shop: Shop) -> TestClient:
    """A program with a key: no cookies, none of the headers that browsers send."""
    made = client(shop.app)
    made.headers.clear()
    made.headers["Authorization"] = f"Bearer {SECRET}"
    return made


def check_against(answer: Any, path: str, program: TestClient) -> None:  # noqa: ANN401 - a response
    """An answer is as `/openapi.json` describes it."""
    description = program.get("/openapi.json").json()
    told = description["paths"][path]["get"]["responses"][str(answer.status_code)]
    schema = told["content"][answer.headers["Content-Type"]]["schema"]
    Draft202012Validator({**schema, "components": description["components"]}).validate(answer.json())


def numbers(answer: Any) -> list[int]:  # noqa: ANN401 - a response
    assert answer.status_code == 200, answer.text
    return [one["number"] for one in answer.json()["orders"]]


def test_orders_come_by_number_a_page_at_a_time_each_once(shop: Shop, program: TestClient) -> None:
    for number in range(5):
        shop.order(called=f"Rex {number}")
    found, path, pages = [], f"{ORDERS}?limit=2", 0
    while path:
        answer = program.get(path)
        check_against(answer, ORDERS, program)
        found += numbers(answer)
        path, pages = answer.json()["next"], pages + 1
    assert (found, pages) == ([1, 2, 3, 4, 5], 3)


def test_a_page_that_is_just_full_is_the_last(shop: Shop, program: TestClient) -> None:
    shop.order(called="Rex")
    shop.order(called="Tess")
    assert program.get(f"{ORDERS}?limit=2").json()["next"] is None


def test_orders_are_chosen_by_stage_and_the_next_page_keeps_to_it(shop: Shop, program: TestClient) -> None:
    for number in range(3):
        shop.order(called=f"Rex {number}", stage="quoted")
    shop.order(called="Tess")
    assert numbers(program.get(f"{ORDERS}?stage=quoted")) == [1, 2, 3]
    first = program.get(f"{ORDERS}?stage=quoted&limit=2").json()
    assert first["next"] == f"{ORDERS}?stage=quoted&after=2&limit=2"
    assert numbers(program.get(first["next"])) == [3]
    assert numbers(program.get(f"{ORDERS}?stage=ready")) == []
    for stage in STAGES:
        assert program.get(f"{ORDERS}?stage={stage}").status_code == 200


def test_an_order_holds_its_design_parts_price_dates_and_contact(shop: Shop, program: TestClient) -> None:
    order = shop.order(neck="19 in")
    with shop.database.writing() as connection:
        quoted = replace(
            order,
            stage="quoted",
            quote_minor=8450,
            currency="USD",
            promised_on=date(2026, 12, 12),
            due_on=date(2026, 12, 24),
            bench_notes="Double the keeper.",
        )
        change_order(connection, quoted, Act("maker", "owner", shop.now))
    answer = program.get(f"{ORDERS}/1")
    check_against(answer, ORDERS + "/{number}", program)
    told = answer.json()
    assert told["stage"] == "quoted"
    assert told["quote"] == {"minor": 8450, "currency": "USD"}
    assert (told["promised_on"], told["due_on"]) == ("2026-12-12", "2026-12-24")
    assert told["customer"] == {
        "name": "Ada Example",
        "email": "ada@mail.example",
        "phone": "(201) 555-0123",
        "language": "en",
    }
    assert told["dog"] == {"name": "Rex", "breed": "whippet"}
    assert told["design"]["neck"] == pytest.approx(19 * 25.4)
    assert (told["notes"], told["bench_notes"]) == ("For walks.", "Double the keeper.")
    assert re.fullmatch(r"20\d\d-\d\d-\d\dT\d\d:\d\d:\d\dZ", told["made_at"])
    # What is cut and bought is what the design's own address says.
    link = "/design.json?neck=19+in"
    design = program.get(link).json()
    assert [(part["name"], part["length"]) for part in told["parts"]] == [
        (part["name"], part["length"]) for part in design["parts"]
    ]
    assert [line["code"] for line in told["hardware"]] == [line["code"] for line in design["hardware"]]
    assert told["trouble"] == ""


def test_the_list_shows_the_same_order_in_short(shop: Shop, program: TestClient) -> None:
    shop.order()
    (line,) = program.get(ORDERS).json()["orders"]
    whole = program.get(line["href"]).json()
    assert line["customer"] == whole["customer"]["name"]
    for name in ("number", "stage", "proof", "quote", "promised_on", "due_on", "made_at", "changed_at"):
        assert line[name] == whole[name]


@pytest.mark.parametrize("header", [None, "", "Bearer", "Basic abc", f"Token {SECRET}", SECRET])
def test_without_a_key_nothing_is_told_but_how_to_show_one(
    shop: Shop, program: TestClient, header: str | None
) -> None:
    shop.order()
    del program.headers["Authorization"]
    for path in (
        ORDERS,
        f"{ORDERS}/1",
        f"{ORDERS}/2",
        f"{ORDERS}?stage=nothing",
        f"{ORDERS}?access_token={SECRET}",
    ):
        answer = program.get(path, headers={} if header is None else {"Authorization": header})
        assert answer.status_code == 401
        assert answer.headers["WWW-Authenticate"].startswith('Bearer realm="orders"')  # RFC 6750, 3
        assert answer.headers["Content-Type"] == "application/problem+json"
        assert "Ada" not in answer.text
        check_against(answer, ORDERS, program)


def test_a_member_who_is_signed_in_needs_a_key_too(shop: Shop) -> None:
    assert shop.browsers["owner"].get(ORDERS).status_code == 401


def test_the_scheme_is_read_in_any_letter_case(program: TestClient) -> None:
    assert program.get(ORDERS, headers={"Authorization": f"bEARER  {SECRET} "}).status_code == 200


def test_a_revoked_key_opens_nothing_from_then_on(shop: Shop, program: TestClient) -> None:
    assert program.get(ORDERS).status_code == 200
    with shop.database.writing() as connection:
        revoke_api_key(connection, "key-1", Act("maker", "owner", shop.now))
    answer = program.get(ORDERS)
    assert answer.status_code == 401
    assert 'error="invalid_token"' in answer.headers["WWW-Authenticate"]


def test_wrong_keys_are_slowed_down_and_a_right_one_is_taken_meanwhile(program: TestClient) -> None:
    wrong = {"Authorization": "Bearer gwk_" + "x" * 43}
    answers = [program.get(ORDERS, headers=wrong) for _ in range(WRONG_KEYS.amount + 1)]
    assert [one.status_code for one in answers] == [401] * WRONG_KEYS.amount + [429]
    assert 1 <= int(answers[-1].headers["Retry-After"]) <= 60
    check_against(answers[-1], ORDERS, program)
    assert program.get(ORDERS).status_code == 200


def test_one_key_is_held_to_a_pace(shop: Shop, program: TestClient) -> None:
    house: House = shop.app.state.house
    for _ in range(WITH_KEY.amount):
        house.counts.wait(WITH_KEY, "key-1")
    answer = program.get(ORDERS)
    assert answer.status_code == 429
    assert int(answer.headers["Retry-After"]) >= 1


@pytest.mark.parametrize("method", ["POST", "PUT", "PATCH", "DELETE", "OPTIONS"])
@pytest.mark.parametrize("path", [ORDERS, f"{ORDERS}/1"])
def test_nothing_can_be_written_and_other_sites_are_let_in_nowhere(
    shop: Shop, program: TestClient, method: str, path: str
) -> None:
    shop.order()
    before = contents(shop.database)
    ask = {"Origin": "https://elsewhere.example", "Access-Control-Request-Method": "GET"}
    answer = program.request(method, path, headers=ask)
    assert answer.status_code == 405
    assert answer.headers["Allow"] == "GET, HEAD"
    assert answer.headers["Content-Type"] == "application/problem+json"
    assert not [name for name in answer.headers if name.lower().startswith("access-control")]
    assert contents(shop.database) == before


def test_answers_are_kept_by_nobody_and_read_by_no_other_site(shop: Shop, program: TestClient) -> None:
    shop.order()
    for path in (ORDERS, f"{ORDERS}/1", f"{ORDERS}/9"):
        full = program.get(path, headers={"Origin": "https://elsewhere.example"})
        assert full.headers["Cache-Control"] == "no-store"
        assert "noindex" in full.headers["X-Robots-Tag"]
        assert full.headers["Cross-Origin-Resource-Policy"] == "same-origin"
        assert "Access-Control-Allow-Origin" not in full.headers
        head = program.head(path)
        assert (head.status_code, head.headers, head.content) == (full.status_code, full.headers, b"")


@pytest.mark.parametrize(
    ("query", "field"),
    [
        ("stage=lost", "stage"),
        ("after=-1", "after"),
        ("after=x", "after"),
        ("after=" + "9" * 30, "after"),
        ("after=%D9%A1", "after"),
        ("limit=0", "limit"),
        ("limit=201", "limit"),
        ("limit=", "limit"),
        ("limit=1&limit=2", "limit"),
        ("neck=19+in", "neck"),
        ("x" * 300 + "=1", "x" * 40),
    ],
)
def test_wrong_parameters_are_named_with_what_would_work(program: TestClient, query: str, field: str) -> None:
    answer = program.get(f"{ORDERS}?{query}")
    assert answer.status_code == 422
    check_against(answer, ORDERS, program)
    (wrong,) = answer.json()["errors"]
    assert wrong["field"] == field
    for way in wrong["would_work"]:
        assert program.get(f"{ORDERS}?{way['field']}={way['value']}").status_code == 200


@pytest.mark.parametrize("query", ["neck=%ff", "x=" + "y" * 5000, "&".join(f"p{n}=1" for n in range(40))])
def test_a_query_that_can_not_be_read_is_a_problem_too(program: TestClient, query: str) -> None:
    answer = program.get(f"{ORDERS}?{query}")
    assert answer.status_code in {414, 422}
    check_against(answer, ORDERS, program)


@pytest.mark.parametrize("number", ["0", "2", "-1", "x", "1.0", "9" * 40, "%00", "1%2F"])
def test_an_order_that_is_not_there_is_a_problem(shop: Shop, program: TestClient, number: str) -> None:
    shop.order()
    answer = program.get(f"{ORDERS}/{number}", headers={"Accept": "text/html"})
    assert answer.status_code == 404
    check_against(answer, ORDERS + "/{number}", program)


def test_an_order_takes_no_parameters(shop: Shop, program: TestClient) -> None:
    shop.order()
    assert program.get(f"{ORDERS}/1?expand=all").status_code == 422


def test_reading_notes_the_use_of_a_key_once_a_day_and_changes_nothing_else(
    shop: Shop, program: TestClient
) -> None:
    shop.order()
    before = contents(shop.database)
    assert program.get(ORDERS).status_code == 200
    noted = contents(shop.database)
    assert {name for name in before if before[name] != noted[name]} == {"api_key"}
    for path in (ORDERS, f"{ORDERS}/1", f"{ORDERS}/2", f"{ORDERS}?limit=x"):
        program.get(path)
    assert contents(shop.database) == noted
    with shop.database.reading() as connection:
        (key,) = api_keys_of(connection, SHOP)
    assert key.seen_at is not None


def test_where_nothing_can_be_written_orders_are_read_all_the_same(
    shop: Shop, program: TestClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    shop.order()

    def full(*_: object) -> None:
        raise StorageFull("database or disk is full")

    monkeypatch.setattr("service.web.api_keys.api_key_seen", full)
    assert numbers(program.get(ORDERS)) == [1]


def test_the_key_is_described_as_what_it_is(program: TestClient) -> None:
    description = program.get("/openapi.json").json()
    schemes = description["components"]["securitySchemes"]
    assert {name: (one["type"], one["scheme"]) for name, one in schemes.items()} == {
        "key": ("http", "bearer")
    }
    for path, operations in description["paths"].items():
        for operation in operations.values():
            assert ("security" in operation) == path.startswith("/api/")
    assert SECRET not in json.dumps(description)
