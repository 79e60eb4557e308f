"""The image and the composition: linted by the tools of the trade, and what goes in is enough to run."""

import json
import os
import re
import shutil
import subprocess
import sys
from pathlib import Path
from typing import Any

import httpx
import pytest
import yaml
from compose_spec import PyCompose

from service.settings import ROOT
from tests.journeys.conftest import free_port, wait_until_open

DEPLOY = ROOT / "deploy"
CONTAINERFILE = DEPLOY / "Containerfile"
HADOLINT = Path(sys.executable).with_name("hadolint")


def lint(file: Path) -> subprocess.CompletedProcess[str]:
    return subprocess.run([HADOLINT, file], capture_output=True, text=True, check=False)


def composition() -> dict[str, Any]:
    """The composition with its settings filled in and its merges done, as an engine reads it."""
    text = (DEPLOY / "compose.yaml").read_text(encoding="utf-8")
    filled = re.sub(r"\$\{[A-Z_]+:\?[^}]*\}", "given", re.sub(r"\$\{[A-Z_]+:-([^}]*)\}", r"\1", text))
    found: dict[str, Any] = yaml.safe_load(filled)
    return found


def test_the_linter_of_container_files_finds_nothing() -> None:
    done = lint(CONTAINERFILE)
    assert (done.returncode, done.stdout) == (0, "")


def test_the_linter_would_find_something(tmp_path: Path) -> None:
    wrong = tmp_path / "Containerfile"
    wrong.write_text("FROM python:latest\nRUN cd /srv && sudo pip install flask\n", encoding="utf-8")
    assert lint(wrong).returncode != 0


def test_the_composition_is_one_by_the_specification() -> None:
    read = PyCompose.from_json(json.dumps(composition()))
    read.validate()
    assert sorted(read.service_names()) == ["database", "proxy", "web", "worker"]


def test_a_misspelt_composition_would_be_noticed() -> None:
    wrong = composition()
    wrong["services"]["web"]["networkz"] = wrong["services"]["web"].pop("networks")
    with pytest.raises(ValueError, match="networkz"):
        PyCompose.from_json(json.dumps(wrong))


def test_every_container_is_without_rights_it_does_not_need() -> None:
    # OWASP Docker Security Cheat Sheet, rules 2, 3, 4, 7 and 8.
    for name, one in composition()["services"].items():
        assert one["cap_drop"] == ["ALL"], name
        assert one["security_opt"] == ["no-new-privileges:true"], name
        assert one["read_only"] is True, name
        assert one["mem_limit"], name
        assert one["pids_limit"], name
        assert one["restart"] == "unless-stopped", name
    for name in ("web", "worker"):
        assert composition()["services"][name]["user"] == "10001:10001"
    assert "USER 10001:10001" in CONTAINERFILE.read_text(encoding="utf-8")


def test_only_the_proxy_can_be_reached_and_the_store_by_nobody_outside() -> None:
    services, networks = composition()["services"], composition()["networks"]
    assert [name for name, one in services.items() if "ports" in one] == ["proxy"]
    inner = {name for name, one in networks.items() if one and one.get("internal")}
    assert set(services["web"]["networks"]) | set(services["database"]["networks"]) <= inner
    assert not set(services["proxy"]["networks"]) & set(services["database"]["networks"])


def test_images_are_named_with_a_release() -> None:
    bases = re.findall(r"^FROM (\S+)", CONTAINERFILE.read_text(encoding="utf-8"), re.MULTILINE)
    images = [one["image"] for one in composition()["services"].values()]
    for image in (*bases, *images):
        assert re.search(r":[^:]*[0-9]", image), image
    # pg_dump makes backups of servers of its own release and older ones (postgresql.org, app-pgdump, Notes).
    client = re.search(r"postgresql-client-([0-9]+)", CONTAINERFILE.read_text(encoding="utf-8"))
    server = re.search(r"postgres:([0-9]+)", composition()["services"]["database"]["image"])
    assert client is not None
    assert server is not None
    assert int(client[1]) >= int(server[1])


def shipped(folder: Path) -> Path:
    """The folder that the image holds: what is copied into it, of what is let out of the project."""
    let_out = [
        line[1:].strip()
        for line in (ROOT / ".dockerignore").read_text(encoding="utf-8").splitlines()
        if line.startswith("!")
    ]
    for source, target in re.findall(
        r"^COPY (?!--from)(\S+) (\S+)$", CONTAINERFILE.read_text(encoding="utf-8"), re.MULTILINE
    ):
        assert source in let_out, f"{source} is kept from the image by .dockerignore"
        place = folder / target / source.rpartition("/")[2] if target.endswith("/") else folder / target
        place.parent.mkdir(parents=True, exist_ok=True)
        if (ROOT / source).is_dir():
            shutil.copytree(ROOT / source, place, ignore=shutil.ignore_patterns("__pycache__"))
        else:
            shutil.copy(ROOT / source, place)
    return folder


def test_what_the_image_holds_is_enough_to_serve(tmp_path: Path) -> None:
    """Its last commands, by hand: the service is started, its health is asked as the image asks it."""
    project, data, port = shipped(tmp_path / "app"), tmp_path / "data", free_port()
    data.mkdir()
    log = tmp_path / "log.txt"
    settings = {"GIRTHWRIGHT_DATA": str(data), "GIRTHWRIGHT_HOST": "0.0.0.0", "GIRTHWRIGHT_PORT": str(port)}  # noqa: S104 - as in the image
    command = [sys.executable, "-m", "service", "serve", "--no-worker"]
    with (
        log.open("wb") as out,
        subprocess.Popen(
            command, cwd=project, env={**os.environ, **settings}, stdout=out, stderr=subprocess.STDOUT
        ) as process,
    ):
        try:
            base = f"http://127.0.0.1:{port}"
            wait_until_open(base, process, log)
            check = re.search(r'CMD \["python", "-c", "(.*)"\]', CONTAINERFILE.read_text(encoding="utf-8"))
            assert check is not None
            asked = check[1].replace(":8000", f":{port}")
            assert subprocess.run([sys.executable, "-c", asked], check=False).returncode == 0
            for path in ("/?neck=19+in", "/pattern.pdf?neck=19+in", "/static/css/page.css", "/shop/sign-in"):
                assert httpx.get(base + path).status_code == httpx.codes.OK, path
        finally:
            process.terminate()
    assert not [one for one in project.rglob("*") if one.name in {"data", ".env", "tests"}]
