import os
import re
import signal
import socket
import subprocess
import sys
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path

import httpx
import pytest

from service.__main__ import DEMO, main
from service.settings import ROOT


def run(*words: str, data: Path, **environment: str) -> subprocess.Popen[str]:
    return subprocess.Popen(
        [sys.executable, "-m", "service", "serve", "--data", str(data), *words],
        cwd=ROOT,
        env={**os.environ, **environment},
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )


def free_port() -> int:
    with closing(socket.socket()) as door:
        door.bind(("127.0.0.1", 0))
        return int(door.getsockname()[1])


@contextmanager
def serving(data: Path) -> Iterator[tuple[subprocess.Popen[str], str, str]]:
    """A served workshop, its address, and what it said until it was open."""
    service = run("--port", str(free_port()), data=data)
    assert service.stdout is not None
    said = ""
    while "is open at" not in said:
        line = service.stdout.readline()
        assert line, service.communicate()
        said += line
    try:
        yield service, re.findall(r"http://\S+", said)[-1], said
    finally:
        service.kill()
        service.communicate()


def test_the_first_start_brings_the_demo_workshop_and_says_so(tmp_path: Path) -> None:
    data = tmp_path / "new" / "data"
    with serving(data) as (_, address, said):
        assert "demo workshop" in said
        assert (data / "workshop.toml").read_bytes() == DEMO.read_bytes()
        assert httpx.get(f"{address}/healthz").json()["status"] == "ok"
        assert "Server" not in httpx.get(f"{address}/healthz").headers


def test_a_workshop_of_ones_own_is_left_alone(tmp_path: Path) -> None:
    own = DEMO.read_text(encoding="utf-8").replace("Oxlip Bench", "Teasel Bench")
    (tmp_path / "workshop.toml").write_text(own, encoding="utf-8")
    with serving(tmp_path) as (_, address, said):
        assert "demo" not in said
        assert httpx.get(f"{address}/healthz").json()["workshop"] == "Teasel Bench"
    assert (tmp_path / "workshop.toml").read_text(encoding="utf-8") == own


@pytest.mark.parametrize("stop", [signal.SIGTERM, signal.SIGINT])
def test_it_stops_when_told_and_what_is_asked_is_written_nowhere(
    tmp_path: Path, stop: signal.Signals
) -> None:
    with serving(tmp_path) as (service, address, _):
        assert (
            httpx.get(f"{address}/preview.svg", params={"neck": "19 in", "lettering": "Secret"}).status_code
            == 200
        )
        service.send_signal(stop)
        said, complained = service.communicate(timeout=15)
        assert service.returncode in {0, -stop}
        assert "Secret" not in said + complained
        assert "Traceback" not in complained


def test_a_taken_port_is_said_in_a_sentence(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    with closing(socket.socket()) as door:
        door.bind(("127.0.0.1", 0))
        door.listen()
        port = str(door.getsockname()[1])
        assert main(["serve", "--port", port, "--data", str(tmp_path)]) == 1
    said = capsys.readouterr().err
    assert re.fullmatch(rf"Port {port} on 127\.0\.0\.1 can't be opened \(.+\); .+ --port\.\n", said)


def test_a_catalogue_that_cannot_be_used_is_said_with_the_row(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    broken = DEMO.read_text(encoding="utf-8").replace("thickness = 3.0", "thickness = 30.0", 1)
    (tmp_path / "workshop.toml").write_text(broken, encoding="utf-8")
    assert main(["serve", "--data", str(tmp_path)]) == 1
    said = capsys.readouterr().err
    assert "leathers, row 1 (chestnut), thickness" in said
    assert "Traceback" not in said


def test_a_data_folder_that_cannot_be_made_is_said_in_a_sentence(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "file").write_text("in the way", encoding="utf-8")
    assert main(["serve", "--data", str(tmp_path / "file" / "data")]) == 1
    assert re.search(
        r"data folder .+ can't be used \(.+\); name another with --data", capsys.readouterr().err
    )


def test_a_setting_that_cannot_be_used_is_said_in_a_sentence(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["serve", "--data", str(tmp_path), "--port", "99999"]) == 1
    assert capsys.readouterr().err == "--port can't be '99999': give a whole number from 1 to 65535.\n"
