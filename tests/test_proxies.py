"""Whose word is taken for where somebody is: a proxy's that the settings name, and nobody else's."""

import json
from pathlib import Path

import httpx
import pytest

from tests.test_main import free_port, run

SENT = {"Sec-Fetch-Site": "same-origin", "X-Forwarded-For": "192.0.2.9, 203.0.113.7"}


@pytest.mark.parametrize(
    ("proxies", "place"),
    [("127.0.0.1", "203.0.113.0"), ("10.0.0.1", "127.0.0.0")],
    ids=["what a trusted proxy added last", "nothing of what anybody else says"],
)
def test_a_forwarded_address_is_believed_from_a_proxy_alone(tmp_path: Path, proxies: str, place: str) -> None:
    port = free_port()
    service = run("--port", str(port), data=tmp_path, GIRTHWRIGHT_PROXIES=proxies)
    assert service.stdout is not None
    while "is open at" not in service.stdout.readline():
        assert service.poll() is None
    try:
        guess = {"name": "Ola Owner", "password": "guess after guess"}
        answer = httpx.post(f"http://127.0.0.1:{port}/shop/sign-in", data=guess, headers=SENT)
        assert answer.status_code == 422
    finally:
        service.terminate()
        _, told = service.communicate(timeout=30)
    (line,) = [json.loads(line) for line in told.splitlines() if line.startswith("{")]
    assert (line["refused"], line["from"]) == ("password", place)
