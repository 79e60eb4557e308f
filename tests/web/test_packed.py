"""Answers made smaller: what the browser takes, the same text inside, and nothing packed twice."""

import brotli
import pytest
from fastapi.testclient import TestClient

from service.settings import ROOT
from service.web.packed import takes_brotli
from tests.makers import client


@pytest.fixture(scope="module")
def ask() -> TestClient:
    return client()


# RFC 9110, 12.5.3: a weight of 0 is "not acceptable".
@pytest.mark.parametrize(
    ("accepted", "takes"),
    [
        ("gzip, deflate, br, zstd", True),
        ("gzip, br;q=0.8", True),
        ("BR", True),
        ("gzip, br;q=0", False),
        ("gzip, br; q=0.000", False),
        ("gzip", False),
        ("brotli", False),
        ("", False),
    ],
)
def test_a_browser_says_what_it_takes(accepted: str, takes: bool) -> None:  # noqa: FBT001
    assert takes_brotli(accepted) is takes


@pytest.mark.parametrize("path", ["/?neck=19+in", "/static/css/page.css", "/preview.svg?neck=19+in"])
def test_the_same_text_comes_smaller_by_brotli_than_by_gzip(ask: TestClient, path: str) -> None:
    plain, zipped, packed = (
        ask.get(path, headers={"Accept-Encoding": taken}) for taken in ("identity", "gzip", "gzip, br")
    )
    sent = [answer.headers.get("content-encoding") for answer in (plain, zipped, packed)]
    assert sent == [None, "gzip", "br"]
    assert plain.content == zipped.content == packed.content
    assert int(packed.headers["content-length"]) < int(zipped.headers["content-length"])
    assert "accept-encoding" in packed.headers["vary"].lower()


def test_a_file_is_packed_as_small_as_it_can_be_and_known_again(ask: TestClient) -> None:
    path = "/static/css/page.css"
    with ask.stream("GET", path, headers={"Accept-Encoding": "br"}) as answer:
        raw = b"".join(answer.iter_raw())
    whole = (ROOT / path.lstrip("/")).read_bytes()
    assert brotli.decompress(raw) == whole
    assert len(raw) == int(answer.headers["content-length"]) < len(brotli.compress(whole, quality=5))
    known = {"Accept-Encoding": "br", "If-None-Match": answer.headers["ETag"]}
    assert ask.get(path, headers=known).status_code == 304
    assert ask.head(path, headers={"Accept-Encoding": "br"}).content == b""


def test_what_is_packed_inside_is_left_as_it_is(ask: TestClient) -> None:
    answer = ask.get("/pattern.pdf?neck=19+in", headers={"Accept-Encoding": "br"})
    assert "content-encoding" not in answer.headers
    assert answer.content.startswith(b"%PDF")


def test_what_came_is_what_brotli_makes_of_it(ask: TestClient) -> None:
    with ask.stream("GET", "/?neck=19+in", headers={"Accept-Encoding": "br"}) as answer:
        raw = b"".join(answer.iter_raw())
    assert b"<!doctype html>" in brotli.decompress(raw).lower()[:20]
