import hashlib
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from service.settings import ROOT
from service.web.static import FOR_A_DAY, FOR_GOOD, fingerprints
from tests.makers import client

STATIC = ROOT / "static"


@pytest.fixture(scope="module")
def ask() -> TestClient:
    return client()


def test_a_fingerprint_is_of_what_is_in_the_file(tmp_path: Path) -> None:
    (tmp_path / "css").mkdir()
    (tmp_path / "css" / "a.css").write_bytes(b"body{}")
    assert fingerprints(tmp_path) == {"css/a.css": hashlib.sha256(b"body{}").hexdigest()[:12]}


@pytest.mark.parametrize("name", sorted(fingerprints(STATIC)))
def test_every_file_is_served_and_under_its_fingerprint_kept_for_good(ask: TestClient, name: str) -> None:
    answer = ask.get(f"/static/{name}?v={fingerprints(STATIC)[name]}")
    assert answer.status_code == 200
    assert answer.content == (STATIC / name).read_bytes()
    assert answer.headers["Cache-Control"] == FOR_GOOD


@pytest.mark.parametrize("query", ["", "?v=", "?v=000000000000", "?w=1"])
def test_without_its_present_fingerprint_a_file_is_kept_for_a_day(ask: TestClient, query: str) -> None:
    assert ask.get(f"/static/img/favicon.svg{query}").headers["Cache-Control"] == FOR_A_DAY


@pytest.mark.parametrize(
    ("ending", "kind"),
    [
        (".css", "text/css; charset=utf-8"),
        (".js", "text/javascript; charset=utf-8"),
        (".woff2", "font/woff2"),
        (".svg", "image/svg+xml"),
    ],
)
def test_files_are_served_as_what_they_are(ask: TestClient, ending: str, kind: str) -> None:
    names = [name for name in fingerprints(STATIC) if name.endswith(ending)]
    assert names
    assert {ask.get(f"/static/{name}").headers["Content-Type"] for name in names} == {kind}


def test_an_unchanged_file_is_not_sent_again(ask: TestClient) -> None:
    first = ask.get("/static/img/favicon.svg")
    again = ask.get("/static/img/favicon.svg", headers={"If-None-Match": first.headers["ETag"]})
    assert (again.status_code, again.content) == (304, b"")


@pytest.mark.parametrize(
    "path",
    [
        "/static/",
        "/static",
        "/static/css",
        "/static/%2e%2e/pyproject.toml",
        "/static/%00",
        "/static/..%2f..%2fetc/passwd",
    ],
)
def test_nothing_outside_the_folder_is_served_and_no_folder_is_listed(ask: TestClient, path: str) -> None:
    assert ask.get(path).status_code == 404
