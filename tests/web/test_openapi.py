import json
from typing import Any, cast

import pytest
from jsonschema import Draft202012Validator
from openapi_spec_validator import validate
from starlette.testclient import TestClient

from service.design import KINDS, PARAMETERS
from tests.makers import LINK, client, workshop

PRINTS = ("/templates.pdf", "/tape.pdf")
PATTERNS = ("/pattern.svg", "/pattern.pdf", "/pattern.dxf")


@pytest.fixture(scope="module")
def ask() -> TestClient:
    return client()


@pytest.fixture(scope="module")
def description(ask: TestClient) -> dict[str, Any]:
    return cast("dict[str, Any]", ask.get("/openapi.json").json())


def described(description: dict[str, Any], path: str, status: int, kind: str) -> Draft202012Validator:
    schema = description["paths"][path]["get"]["responses"][str(status)]["content"][kind]["schema"]
    return Draft202012Validator({**schema, "components": description["components"]})


def test_the_description_is_valid_openapi(description: dict[str, Any]) -> None:
    validate(description)


def test_every_address_is_described(description: dict[str, Any]) -> None:
    designs = {
        "/",
        "/embed",
        "/preview.svg",
        *PATTERNS,
        *PRINTS,
        "/design.json",
        "/strength",
        "/price",
        "/bench",
    }
    files = {"/healthz", "/robots.txt", "/favicon.ico", "/embed.js"}
    assert set(description["paths"]) == {*designs, *files, "/api/orders", "/api/orders/{number}"}


def test_every_get_is_described_for_head_too(description: dict[str, Any]) -> None:
    for path in description["paths"].values():
        assert set(path) == {"get", "head"}
        assert set(path["head"]["responses"]) == set(path["get"]["responses"])
        assert not any("content" in one for one in path["head"]["responses"].values())


def test_parameters_are_those_of_the_engine_and_say_what_they_are(description: dict[str, Any]) -> None:
    told = {one["name"]: one for one in description["paths"]["/design.json"]["get"]["parameters"]}
    assert set(told) == set(PARAMETERS)
    assert not any(one["required"] for one in told.values())
    assert all(one["description"].endswith(".") for one in told.values())
    assert told["leather"]["schema"]["enum"] == [row.code for row in workshop().leathers]


def test_no_parameter_is_needed_for_every_kind_and_each_kind_says_which_it_needs(ask: TestClient) -> None:
    # A lead needs no neck; what a collar needs is said where it is asked for without it.
    assert ask.get("/design.json", params={"kind": "lead"}).status_code == 200
    for kind, one in KINDS.items():
        answer = ask.get("/design.json", params={"kind": kind})
        assert (answer.status_code == 200) is (not one.measures)
        assert all(f'"{name}"' in answer.text for name in one.measures)


def test_every_value_that_is_listed_or_shown_works(ask: TestClient, description: dict[str, Any]) -> None:
    for one in description["paths"]["/pattern.pdf"]["get"]["parameters"]:
        schema = one["schema"]
        for value in {*schema.get("enum", ()), *schema.get("examples", ())}:
            answer = ask.get(
                "/pattern.pdf", params={"neck": "19 in", "head": "21 in", "studs": "", one["name"]: value}
            )
            # A finish may be incomplete in a width, and that is said; these values are read all the same.
            assert answer.status_code == 200, (one["name"], value, answer.text)


def test_real_answers_are_as_described(ask: TestClient, description: dict[str, Any]) -> None:
    for query in (LINK, "neck=42+cm&style=heel-bar&studs=2+in&lettering=Rex&weight=5+kg"):
        numbers = ask.get(f"/design.json?{query}").json()
        described(description, "/design.json", 200, "application/json").validate(numbers)
    described(description, "/healthz", 200, "application/json").validate(ask.get("/healthz").json())


@pytest.mark.parametrize("path", ["/design.json", "/preview.svg", *PATTERNS])
@pytest.mark.parametrize(
    ("query", "status"), [("neck=lots&width=3+in", 422), ("neck=%ff", 422), ("x=" + "y" * 5000, 414)]
)
def test_real_refusals_are_as_described(
    ask: TestClient, description: dict[str, Any], path: str, query: str, status: int
) -> None:
    answer = ask.get(f"{path}?{query}")
    assert answer.status_code == status
    described(description, path, status, answer.headers["Content-Type"]).validate(answer.json())


def test_a_wrong_answer_would_be_noticed(description: dict[str, Any]) -> None:
    validator = described(description, "/design.json", 200, "application/json")
    assert not validator.is_valid({"spec": {}, "parts": []})


@pytest.mark.parametrize(
    "path",
    [
        "/",
        "/embed",
        "/embed.js",
        "/preview.svg",
        *PATTERNS,
        "/robots.txt",
        "/favicon.ico",
    ],
)
def test_media_types_are_as_described(ask: TestClient, description: dict[str, Any], path: str) -> None:
    answer = ask.get(f"{path}?{LINK}" if path in {"/preview.svg", *PATTERNS} else path)
    kinds = description["paths"][path]["get"]["responses"]["200"]["content"]
    assert list(kinds) == [answer.headers["Content-Type"].partition(";")[0]]


def test_there_are_no_interactive_pages_and_nothing_from_elsewhere(ask: TestClient) -> None:
    assert [ask.get(path).status_code for path in ("/docs", "/redoc", "/docs/oauth2-redirect")] == [
        404,
        404,
        404,
    ]
    assert "://" not in json.dumps(ask.get("/openapi.json").json()["paths"])
