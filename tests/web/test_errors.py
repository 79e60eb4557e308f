import pytest
from fastapi import Request
from hypothesis import given
from hypothesis import strategies as st
from pydantic import TypeAdapter
from starlette.testclient import TestClient

from service.settings import Settings
from service.web.answers import Problem
from service.web.errors import PROBLEM_TYPE, prefers_html
from tests.makers import LINK, app, client, parsed, raw
from tests.web.test_routes import BROWSER, HTMX, IMAGE

PROBLEM = "application/problem+json"
APP = app()
DRAWINGS = ["/preview.svg", "/pattern.svg", "/pattern.pdf", "/pattern.dxf"]


@pytest.fixture(scope="module")
def ask() -> TestClient:
    return client()


def problem(ask: TestClient, path: str, status: int = 422, headers: dict[str, str] | None = None) -> Problem:
    answer = ask.get(path, headers=headers or {})
    assert answer.status_code == status
    assert answer.headers["Content-Type"] == PROBLEM
    read = TypeAdapter(Problem).validate_json(answer.content, strict=True, extra="forbid")
    assert read["status"] == status
    assert read["detail"]
    return read


@pytest.mark.parametrize("path", ["/design.json", *DRAWINGS])
def test_a_program_gets_problem_details_naming_each_parameter_and_what_would_work(
    ask: TestClient, path: str
) -> None:
    read = problem(ask, f"{path}?neck=19+in&width=3+in&holes=99&colour=red")
    assert read["type"] == PROBLEM_TYPE
    assert [one["field"] for one in read["errors"]] == ["colour", "width", "holes"]
    width = read["errors"][1]
    assert all(width["would_work"])
    for way in width["would_work"]:
        assert ask.get(path, params={"neck": "19 in", way["field"]: way["value"]}).status_code == 200


@pytest.mark.parametrize("path", DRAWINGS)
def test_a_person_who_clicked_gets_a_page_with_everything_typed(ask: TestClient, path: str) -> None:
    answer = ask.get(f"{path}?neck=lots&lettering=Bella", headers=BROWSER)
    assert answer.status_code == 422
    page = parsed(answer.text)
    assert page.xpath("//input[@name='neck']/@value") == ["lots"]
    assert page.xpath("//input[@name='lettering']/@value") == ["Bella"]


@pytest.mark.parametrize("path", DRAWINGS)
def test_a_picture_on_a_page_gets_problem_details(ask: TestClient, path: str) -> None:
    assert problem(ask, f"{path}?neck=lots", headers=IMAGE)["errors"][0]["field"] == "neck"


def test_numbers_are_refused_in_numbers_whoever_asks(ask: TestClient) -> None:
    assert problem(ask, "/design.json?neck=lots", headers=BROWSER)["errors"][0]["field"] == "neck"


@pytest.mark.parametrize("query", ["neck=", "neck=&measured=tape-snug&leather=black"])
def test_a_form_sent_without_a_neck_is_refused_beside_the_neck(ask: TestClient, query: str) -> None:
    answer = ask.get(f"/?{query}")
    assert answer.status_code == 422
    page = parsed(answer.text)
    assert page.xpath("//input[@name='neck']/@aria-invalid") == ["true"]
    assert "Type the dog's neck" in page.xpath("string(//*[@id='note-neck'])")
    assert "Error: " in page.xpath("string(//title)")


def test_the_page_names_every_problem_and_keeps_every_word(ask: TestClient) -> None:
    typed = {
        "neck": "19 in",
        "width": "3 in",
        "holes": "99",
        "lettering": "A <b> & \"c\" 'd'",
        "weight": "fat",
    }
    answer = ask.get("/", params=typed)
    assert answer.status_code == 422
    page = parsed(answer.text)
    assert {
        name: page.xpath(f"string(//input[@name='{name}' and (@type='text' or @checked)]/@value)")
        for name in typed
    } == typed
    summary = page.xpath("//*[@id='problems']//a/@href")
    for name in ("width", "holes", "weight"):
        assert f"#field-{name}" in summary
        assert page.xpath(f"//*[@id='field-{name}']")


def test_a_script_gets_the_errors_as_parts(ask: TestClient) -> None:
    answer = ask.get("/?neck=lots&weight=&width=1+in", headers=HTMX)
    assert answer.status_code == 422
    assert answer.headers["HX-Replace-Url"] == "/?neck=lots&width=1+in"
    assert "<html" not in answer.text
    assert "problems" in answer.text


@pytest.mark.parametrize("word", ["a3", "A4", "roll,a4", "'"])
def test_paper_that_is_not_printed_on_is_refused_with_the_papers_there_are(
    ask: TestClient, word: str
) -> None:
    read = problem(ask, f"/pattern.pdf?{LINK}&paper={word}")
    assert [way["value"] for way in read["errors"][0]["would_work"]] == ["a4", "letter", "roll"]


def test_paper_is_refused_together_with_everything_else(ask: TestClient) -> None:
    query = "neck=lots&colour=red&lettering=%C3%89&paper=a3"
    read = problem(ask, f"/pattern.pdf?{query}")
    fields = ["paper", "colour", "neck", "lettering"]
    assert [one["field"] for one in read["errors"]] == fields
    assert all(f"{field}: " in read["detail"] for field in fields)
    page = parsed(ask.get(f"/pattern.pdf?{query}", headers=BROWSER).text)
    summary = page.xpath("string(//*[@id='problems'])")
    for one in read["errors"]:
        assert one["detail"] in summary
    for field in ("neck", "lettering"):
        assert page.xpath(f"string(//*[@id='note-{field}']/*[@class='wrong'])")


def test_paper_given_twice_is_refused(ask: TestClient) -> None:
    assert problem(ask, f"/pattern.pdf?{LINK}&paper=a4&paper=a4")["errors"][0]["field"] == "paper"


def test_paper_is_no_parameter_of_a_drawing(ask: TestClient) -> None:
    assert problem(ask, f"/pattern.svg?{LINK}&paper=a4")["errors"][0]["field"] == "paper"


def test_a_refused_paper_leads_a_person_to_papers_that_work(ask: TestClient) -> None:
    page = parsed(ask.get(f"/pattern.pdf?{LINK}&paper=a3", headers=BROWSER).text)
    assert "Paper is one of" in page.text_content()


@pytest.mark.parametrize("path", ["/", "/design.json", *DRAWINGS])
@pytest.mark.parametrize(
    ("query", "status"),
    [
        (b"neck=%ff", 422),
        (b"neck=\xff\xfe", 422),
        (b"neck=%ed%a0%80", 422),
        (b"&".join(b"p%d=1" % n for n in range(500)), 422),
        (b"&".join(b"p%d=1" % n for n in range(10_000)), 414),
        (b"lettering=" + b"a" * 100_000, 414),
        (b"neck=19+in&neck=20+in", 422),
        (b"neck=19+in&lettering=%00", 422),
        (b"neck=19+in&lettering=\x00", 422),
        (b"%00=%00", 422),
        (b"neck=%", 422),
        (b"neck=%zz", 422),
        (b"=&=&;;", 422),
    ],
    ids=range(13),
)
def test_a_broken_address_gets_a_clear_refusal(path: str, query: bytes, status: int) -> None:
    found, body = raw(APP, path, query)
    assert found == status
    assert len(body) > 20
    assert b"Traceback" not in body


def test_an_address_that_cannot_be_taken_apart_gets_a_page_with_a_way_on(ask: TestClient) -> None:
    answer = ask.get("/?neck=%ff")
    assert "UTF-8" in answer.text
    assert parsed(answer.text).xpath("//main//a/@href") == ["/"]


@pytest.mark.parametrize(
    "path", ["/nothing", "/docs", "/redoc", "/static/none.css", "/static/../pyproject.toml", "/preview.svg/"]
)
def test_what_is_not_there_is_said_in_both_forms(ask: TestClient, path: str) -> None:
    assert problem(ask, path, 404)["title"] == "Not Found"
    page = ask.get(path, headers=BROWSER)
    assert page.status_code == 404
    assert "There is nothing here" in page.text


@pytest.mark.parametrize("path", ["/", "/design.json", "/preview.svg", "/static/img/favicon.svg", "/healthz"])
@pytest.mark.parametrize("method", ["POST", "PUT", "PATCH", "DELETE", "OPTIONS"])
def test_nothing_can_be_written(ask: TestClient, path: str, method: str) -> None:
    answer = ask.request(method, path)
    assert answer.status_code == 405
    assert answer.headers["Allow"] == "GET, HEAD"


def test_large_bodies_are_refused_unread() -> None:
    answer = client(app(Settings(body_max=1000))).post("/", content=b"x" * 1001)
    assert answer.status_code == 413


@pytest.mark.parametrize(("headers", "kind"), [(BROWSER, "text/html; charset=utf-8"), ({}, PROBLEM)])
def test_a_fault_of_ours_tells_nobody_where_it_was(headers: dict[str, str], kind: str) -> None:
    made = app()

    async def broken(_request: Request) -> None:
        raise RuntimeError("the secret of the house")

    made.add_api_route("/broken", broken, response_model=None)
    answer = client(made, faults_raise=False).get("/broken", headers=headers)
    assert answer.status_code == 500
    assert answer.headers["Content-Type"] == kind
    assert "Content-Security-Policy" in answer.headers
    for word in ("secret", "RuntimeError", "Traceback", ".py"):
        assert word not in answer.text


def test_hosts_that_are_not_ours_are_refused(ask: TestClient) -> None:
    assert ask.get("/", headers={"Host": "elsewhere.example"}).status_code == 400
    anyone = client(app(Settings(allowed_hosts=("*",))))
    assert anyone.get("/", headers={"Host": "elsewhere.example"}).status_code == 200


@pytest.mark.parametrize("host", [b"[", b"a b", b'"><script>', b"", b"\xff", b"x" * 5000])
def test_an_odd_host_breaks_nothing_where_every_host_is_answered(host: bytes) -> None:
    anyone = app(Settings(allowed_hosts=("*",)))
    status, body = raw(anyone, "/", b"neck=19+in", (b"host", host))
    assert status == 200
    assert b"><script>" not in body
    assert raw(anyone, "/nothing", b"", (b"host", host))[0] == 404


@pytest.mark.parametrize(
    ("accept", "page"),
    [
        (BROWSER["Accept"], True),
        ("text/html", True),
        ("application/xhtml+xml", True),
        ("application/json, text/html;q=0.5", False),
        ("text/html;q=0", False),
        ("text/html;q=x", False),
        ("TEXT/HTML ; Q=0.1", True),
        ("*/*", False),
        ("", False),
        ("application/problem+json, text/html", True),
    ],
)
def test_a_page_is_for_who_names_html_and_does_not_prefer_json(accept: str, page: bool) -> None:  # noqa: FBT001 - a case
    assert prefers_html(accept) is page


@given(st.text())
def test_any_accept_header_is_understood_somehow(accept: str) -> None:
    assert prefers_html(accept) in {True, False}
