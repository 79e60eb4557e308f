"""Mail goes out and backups are made beside the service, or by a worker of its own."""

import os
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import httpx
import pytest

from service.settings import ROOT
from service.storage import backups_in
from tests.makers import LINK
from tests.post.mail_server import Box, running
from tests.test_main import free_port
from tests.web.customers import WHO, hidden

WAIT_S = 60


@contextmanager
def started(*words: str, data: Path, until: str, **environment: str) -> Iterator["subprocess.Popen[str]"]:
    """A command at work, once it has said so."""
    command = [sys.executable, "-m", "service", *words, "--data", str(data)]
    with subprocess.Popen(
        command, cwd=ROOT, env={**os.environ, **environment}, stdout=subprocess.PIPE, text=True
    ) as process:
        assert process.stdout is not None
        while until not in (line := process.stdout.readline()):
            assert line, "it ended by itself"
        try:
            yield process
        finally:
            process.kill()


def wait_for(box: Box, count: int) -> None:
    until = time.monotonic() + WAIT_S
    while len(box.mails) < count:
        assert time.monotonic() < until, "no mail came"
        time.sleep(0.05)


def ask(address: str) -> None:
    """A customer asks the shop for a collar."""
    page = httpx.get(f"{address}/ask?{LINK}")
    sent = httpx.post(f"{address}/ask?{LINK}", data={**hidden(page.text), **WHO}, headers={"Origin": address})
    assert sent.status_code == 303


@pytest.mark.parametrize("beside", [True, False])
def test_an_enquiry_is_mailed_and_a_backup_is_made(tmp_path: Path, *, beside: bool) -> None:
    box, port = Box(), free_port()
    address = f"http://127.0.0.1:{port}"
    with running(box) as server:
        mail = {
            "GIRTHWRIGHT_SMTP": f"smtp-plain://localhost:{server.port}",
            "GIRTHWRIGHT_MAIL_FROM": "orders@collars.example",
            "GIRTHWRIGHT_ORIGIN": address,
        }
        serve = ["serve", "--port", str(port), *([] if beside else ["--no-worker"])]
        with started(*serve, data=tmp_path, until="is open at", **mail) as service:
            if beside:
                ask(address)
                wait_for(box, 2)
            else:
                ask(address)
                assert httpx.get(f"{address}/healthz").json()["mail"]["waiting"] == 2
                with started("worker", data=tmp_path, until="mail goes out by localhost", **mail) as worker:
                    wait_for(box, 2)
                    worker.send_signal(signal.SIGTERM)
                    assert worker.wait(WAIT_S) == 0
            assert sorted(one["To"] for one in box.mails) == ["ada@mail.example", "orders@collars.example"]
            link = next(
                word
                for one in box.to("ada@mail.example")
                for word in one.get_content().split()
                if "/o/" in word
            )
            assert "Order 1" in httpx.get(link).text
            service.send_signal(signal.SIGTERM)
            assert service.wait(WAIT_S) == 0
    assert len(backups_in(tmp_path / "backups")) == 1
