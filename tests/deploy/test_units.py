"""The units of systemd: as its own tool reads them, and how little of a machine they lay open."""

import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from service.settings import ROOT, read_settings

UNIT = ROOT / "deploy" / "systemd" / "girthwright@.service"
EXAMPLE = ROOT / "deploy" / "settings.example"
EXPOSED_MOST = 1.5
"""Of 10, by systemd's own count; 0 to 2 is "OK" there."""

needs_systemd = pytest.mark.skipif(
    shutil.which("systemd-analyze") is None, reason="this machine has no systemd to read units with"
)


def analyze(*words: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(["systemd-analyze", *words], capture_output=True, text=True, check=False)  # noqa: S607


def installed(tmp_path: Path, text: str) -> Path:
    """The unit as on a machine where the service is installed: its Python is this one."""
    unit = tmp_path / UNIT.name
    unit.write_text(
        text.replace("/opt/girthwright/current/.venv/bin/python", sys.executable), encoding="utf-8"
    )
    return unit


@needs_systemd
def test_systemd_reads_every_line_of_the_unit(tmp_path: Path) -> None:
    done = analyze("verify", str(installed(tmp_path, UNIT.read_text(encoding="utf-8"))))
    assert UNIT.name.replace("@", "@i") not in done.stderr
    assert "Unknown" not in done.stderr
    assert done.returncode == 0, done.stderr


@needs_systemd
def test_a_misspelt_line_would_be_noticed(tmp_path: Path) -> None:
    wrong = UNIT.read_text(encoding="utf-8").replace("ProtectSystem=", "ProtectSytem=")
    assert "ProtectSytem" in analyze("verify", str(installed(tmp_path, wrong))).stderr


@needs_systemd
def test_the_unit_lays_little_of_the_machine_open() -> None:
    done = analyze("security", "--offline=true", "--no-pager", str(UNIT))
    told = re.search(r"Overall exposure level for \S+: ([0-9.]+)", done.stdout)
    assert told is not None, done.stdout + done.stderr
    assert float(told[1]) <= EXPOSED_MOST


def example(text: str) -> dict[str, str]:
    """The settings in a file of them, those too that are only shown."""
    return dict(re.findall(r"^#?([A-Z_]+)=(.*)$", text, re.MULTILINE))


def test_every_setting_of_the_example_is_one_and_its_value_can_be_used() -> None:
    shown = example(EXAMPLE.read_text(encoding="utf-8"))
    filled = {name: value or "a secret" for name, value in shown.items()}
    settings = read_settings({}, filled)
    assert settings.origin == "https://collars.example"
    assert settings.database == "postgresql://girthwright@localhost/girthwright"
    assert settings.smtp is not None
    assert settings.smtp.user == "orders@collars.example"
    told = (ROOT / "README.md").read_text(encoding="utf-8")
    for name in shown.keys() - {"DATABASE_PASSWORD", "PGPASSWORD"}:
        assert name in told or name.removeprefix("GIRTHWRIGHT") in told, name


def test_the_settings_of_the_unit_are_read() -> None:
    (line,) = re.findall(r"^Environment=(.*)$", UNIT.read_text(encoding="utf-8"), re.MULTILINE)
    settings = read_settings({}, dict(word.split("=", 1) for word in line.split()))
    assert settings.data == Path("/var/lib/girthwright")
    assert not settings.worker
