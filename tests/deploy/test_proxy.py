"""The real proxy with its real settings, on this machine, in front of the real service."""

import json
import os
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from ssl import create_default_context
from threading import Thread, Timer
from time import monotonic, sleep

import httpx
import pytest

from service.settings import ROOT
from tests.journeys.conftest import PROJECT, environment, free_port, serving

CADDY = Path(sys.executable).with_name("caddy")
CADDYFILE = ROOT / "deploy" / "proxy" / "Caddyfile"
PASSWORD = "four plain words here"  # noqa: S105 - of a member of a store made for this
TOKEN = "t" * 43
START_S = 20


@dataclass(frozen=True)
class Front:
    """A proxy: the address people use, where it takes plain HTTP, its log, and a client that trusts it."""

    origin: str
    plain: str
    log: Path
    ask: httpx.Client


class Echo(BaseHTTPRequestHandler):
    """Answers with the headers it got."""

    def do_GET(self) -> None:  # the name is the library's
        body = json.dumps({name.lower(): value for name, value in self.headers.items()}).encode()
        self.send_response(200)
        self.send_header("Server", "echo")
        self.send_header("Content-Length", str(len(body)))
        self.end_headers()
        self.wfile.write(body)

    def do_POST(self) -> None:
        self.rfile.read(int(self.headers["Content-Length"]))
        self.do_GET()

    def log_message(self, *_: object) -> None:
        pass


@contextmanager
def proxying(
    folder: Path, upstream: str, https: int, patience: str = "15s", config: Path = CADDYFILE
) -> Iterator[Front]:
    """The proxy of deploy/proxy, its certificate from an authority of its own that the client trusts."""
    plain, log = free_port(), folder / "proxy.txt"
    settings = {
        "GIRTHWRIGHT_ORIGIN": f"https://localhost:{https}",
        "GIRTHWRIGHT_HTTP_PORT": str(plain),
        "GIRTHWRIGHT_HTTPS_PORT": str(https),
        "GIRTHWRIGHT_UPSTREAM": upstream,
        "GIRTHWRIGHT_PATIENCE": patience,
        "XDG_DATA_HOME": str(folder / "data"),
        "XDG_CONFIG_HOME": str(folder / "config"),
    }
    command = [str(CADDY), "run", "--adapter", "caddyfile", "--config", str(config)]
    environment = {**os.environ, **settings}
    root = folder / "data" / "caddy" / "pki" / "authorities" / "local" / "root.crt"
    with (
        log.open("wb") as out,
        subprocess.Popen(command, env=environment, stdout=out, stderr=subprocess.STDOUT) as process,
    ):
        try:
            end = monotonic() + START_S
            while not (root.exists() and "certificate obtained" in log.read_text("utf-8")):
                assert process.poll() is None and monotonic() < end, log.read_text("utf-8", "replace")  # noqa: PT018
                sleep(0.1)
            context = create_default_context(cafile=str(root))
            with httpx.Client(
                base_url=settings["GIRTHWRIGHT_ORIGIN"], verify=context, trust_env=False
            ) as ask:
                yield Front(settings["GIRTHWRIGHT_ORIGIN"], f"http://localhost:{plain}", log, ask)
        finally:
            process.terminate()


@pytest.fixture(scope="module")
def front(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Front]:
    """The proxy before a service with an owner."""
    folder, https = tmp_path_factory.mktemp("front"), free_port()
    settings = {"GIRTHWRIGHT_ORIGIN": f"https://localhost:{https}", "GIRTHWRIGHT_MODE": "demo"}
    with serving(folder, settings=settings) as (base, _log):
        add = [sys.executable, "-m", "service", "member", "add", "Ola Owner", "--role", "owner"]
        command = [*add, "--data", str(folder / "data")]
        env = environment(folder / "data")
        subprocess.run(command, cwd=PROJECT, env=env, input=f"{PASSWORD}\n", text=True, check=True)
        with proxying(folder, base.removeprefix("http://"), https) as made:
            yield made


@pytest.fixture(scope="module")
def echo(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Front]:
    """The proxy before something that tells what it was sent."""
    server = ThreadingHTTPServer(("127.0.0.1", 0), Echo)
    Thread(target=server.serve_forever, daemon=True).start()
    with proxying(tmp_path_factory.mktemp("echo"), f"127.0.0.1:{server.server_port}", free_port()) as made:
        yield made
    server.shutdown()
    server.server_close()


def test_plain_http_leads_to_tls(front: Front) -> None:
    answer = httpx.get(f"{front.plain}/?neck=19+in", trust_env=False)
    assert answer.status_code == httpx.codes.PERMANENT_REDIRECT
    assert answer.headers["Location"] == "https://localhost/?neck=19+in"  # at the port that people use


def test_the_service_answers_through_tls_with_its_own_headers(front: Front) -> None:
    answer = front.ask.get("/?neck=19+in")
    assert answer.status_code == httpx.codes.OK
    assert answer.headers.get_list("Strict-Transport-Security") == ["max-age=31536000; includeSubDomains"]
    assert len(answer.headers.get_list("Content-Security-Policy")) == 1
    assert "Server" not in answer.headers
    assert f'value="{front.origin}/?' in answer.text  # the link to the design
    assert front.ask.get("/pattern.pdf?neck=19+in").content.startswith(b"%PDF")


def test_a_member_signs_in_and_gets_a_cookie_that_no_other_host_can_set(front: Front) -> None:
    typed = {"name": "Ola Owner", "password": PASSWORD, "next": "/shop"}
    answer = front.ask.post("/shop/sign-in", data=typed, headers={"Origin": front.origin})
    assert answer.status_code == httpx.codes.SEE_OTHER
    (cookie,) = answer.headers.get_list("Set-Cookie")
    assert cookie.startswith("__Host-s=")  # RFC 6265bis, 4.1.3.2
    assert {"secure", "httponly", "path=/", "samesite=lax"} <= {
        part.strip().lower() for part in cookie.split(";")
    }
    assert front.ask.get("/shop").status_code == httpx.codes.OK
    front.ask.cookies.clear()


def test_another_sites_form_is_refused_through_the_proxy_too(front: Front) -> None:
    typed = {"name": "Ola Owner", "password": PASSWORD}
    for headers in ({"Origin": "https://elsewhere.example"}, {"Sec-Fetch-Site": "cross-site"}, {}):
        answer = front.ask.post("/shop/sign-in", data=typed, headers=headers)
        assert answer.status_code == httpx.codes.FORBIDDEN


def test_who_is_asking_goes_on_and_what_a_caller_claims_does_not(echo: Front) -> None:
    claims = {
        "X-Forwarded-For": "203.0.113.9",
        "X-Forwarded-Proto": "http",
        "X-Forwarded-Host": "elsewhere.example",
    }
    told = echo.ask.get("/", headers=claims).json()
    assert told["x-forwarded-for"] in {"127.0.0.1", "::1"}
    assert told["x-forwarded-proto"] == "https"
    assert told["x-forwarded-host"] == told["host"] == echo.origin.removeprefix("https://")


def test_a_name_that_is_not_the_shops_gets_no_service(front: Front) -> None:
    answer = front.ask.get("/", headers={"Host": "elsewhere.example"})
    assert "Collars and leads to measure" not in answer.text


def test_too_much_at_once_is_refused_at_the_door(echo: Front) -> None:
    answer = echo.ask.post("/ask", content=b"x" * 65_000_000)
    assert answer.status_code == httpx.codes.REQUEST_ENTITY_TOO_LARGE
    assert "fewer or smaller photos" in answer.text
    assert echo.ask.post("/ask", content=b"x" * 60_000_000).status_code == httpx.codes.OK


def test_callers_wait_while_the_service_starts_anew(tmp_path: Path) -> None:
    port = free_port()
    servers: list[ThreadingHTTPServer] = []

    def start() -> None:
        servers.append(ThreadingHTTPServer(("127.0.0.1", port), Echo))
        servers[0].serve_forever()

    with proxying(tmp_path, f"127.0.0.1:{port}", free_port()) as front:
        Timer(2, start).start()
        begun = monotonic()
        assert front.ask.get("/", timeout=20).status_code == httpx.codes.OK
        assert monotonic() - begun > 1
    servers[0].shutdown()
    servers[0].server_close()


def test_with_the_service_down_people_are_told_what_to_do(tmp_path: Path) -> None:
    with proxying(tmp_path, f"127.0.0.1:{free_port()}", free_port(), patience="1s") as front:
        answer = front.ask.get("/ask?neck=19+in")
    assert answer.status_code == httpx.codes.BAD_GATEWAY
    assert answer.headers["Retry-After"] == "30"
    assert answer.headers["Cache-Control"] == "no-store"
    assert "Closed for a moment" in answer.text
    assert "what you filled in is still there" in answer.text


@pytest.mark.parametrize("filtered", [True, False])
def test_even_a_log_of_every_request_holds_no_address_and_no_key(tmp_path: Path, filtered: bool) -> None:  # noqa: FBT001
    text = CADDYFILE.read_text(encoding="utf-8").replace("\trequest_body {", "\tlog\n\trequest_body {")
    if not filtered:  # to see that the test would find them
        text = text.replace("request delete", "level delete")
    config = tmp_path / "Caddyfile"
    config.write_text(text, encoding="utf-8")
    dead = f"127.0.0.1:{free_port()}"
    with proxying(tmp_path, dead, free_port(), patience="1s", config=config) as front:
        headers = {"Authorization": f"Bearer {TOKEN}", "Cookie": f"__Host-s={TOKEN}"}
        front.ask.get(f"/p/{TOKEN}?neck=19", headers=headers)
        sleep(0.5)
        logged = front.log.read_text("utf-8", "replace")
    assert '"status": 502' in logged
    assert (TOKEN in logged) is not filtered
    assert ("neck=19" in logged) is not filtered
