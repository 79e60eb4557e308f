"""Speed of the engine and the pages: `python tests/bench/bench.py [--seconds 2] [--pairs 5]`.

Times differ from machine to machine and from minute to minute, so a route's capacity is measured in turns
with a bare text route of the same app, and the ratio is what counts. Each request asks for another neck, so
nothing can be answered from a cache. Needs `wrk` (Debian package wrk).
"""

import argparse
import os
import re
import shutil
import socket
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))

from service.design import Pattern, Wish, make_pattern, read_wish  # noqa: E402 - after the path is set
from service.drawing import Heading, figures, pattern_pdf, pattern_svg, preview_svg  # noqa: E402
from service.pricing import estimate  # noqa: E402
from service.storage import load_workshop  # noqa: E402
from service.workshop import Workshop  # noqa: E402

PLAIN = {"neck": "19 in"}
RICH = {
    "neck": "24 in",
    "studs": "2 in",
    "lettering": "Biscuit 0199",
    "style": "heel-bar",
    "width": "1 1/2 in",
    "border": "dots",
    "grooves": "one",
    "qr": "https://oxlip.example/b",
    "lining": "padded-calf",
    "thread": "heather-thread",
}
"""The heaviest that can be asked for: studs, letters, tooling, stitching, padding, a tag, and a keeper."""
SET = {**RICH, "kind": "set", "width": "1 1/4 in", "make": "two-part", "neck": "22 in", "qr": ""}
HEADING = Heading("Bench", "Collar", None, "http://127.0.0.1/", "imperial", (("Neck", "19 in"),))


def milliseconds(work: Callable[[], object], least: float = 0.4) -> float:
    """Median time of one call [ms], over five rounds that each last at least a fifth of `least` seconds."""
    work()
    calls = 1
    while True:
        start = time.perf_counter()
        for _ in range(calls):
            work()
        spent = time.perf_counter() - start
        if spent > least / 5:
            break
        calls *= 2
    rounds = []
    for _ in range(5):
        start = time.perf_counter()
        for _ in range(calls):
            work()
        rounds.append((time.perf_counter() - start) / calls)
    return statistics.median(rounds) * 1000


def _column(typed: dict[str, str], spec: Wish, pattern: Pattern, workshop: Workshop) -> dict[str, float]:
    """Times [ms] of every step for one design."""
    return {
        "read the query": milliseconds(lambda: read_wish(typed, workshop)),
        "engine": milliseconds(lambda: make_pattern(spec, workshop)),
        "price": milliseconds(lambda: estimate(pattern, workshop)),
        "figures for the page": milliseconds(lambda: figures(pattern, "imperial")),
        "preview.svg": milliseconds(lambda: preview_svg(pattern, "imperial")),
        "pattern.svg": milliseconds(lambda: pattern_svg(pattern, HEADING)),
        "pattern.pdf, A4": milliseconds(lambda: pattern_pdf(pattern, HEADING, "a4")),
    }


def in_process() -> list[tuple[str, ...]]:
    """Rows of what, and how long it takes for a plain collar, the heaviest and a set [ms]."""
    workshop = load_workshop(ROOT / "deploy" / "demo" / "workshop.toml")
    columns = []
    for typed in (PLAIN, RICH, SET):
        spec = read_wish(typed, workshop)
        pattern = make_pattern(spec, workshop)
        columns.append(_column(typed, spec, pattern, workshop))
    return [(name, *(f"{column[name]:.3f} ms" for column in columns)) for name in columns[0]]


def _capacity(port: int, route: str, seconds: int) -> float:
    """Requests a second on a route, 32 connections, each request another neck; stops at a wrong answer."""
    script = ROOT / "tests" / "bench" / "necks.lua"
    load = ["wrk", "-t1", "-c32", f"-d{seconds}s", "-s", str(script)]
    command = [*load, f"http://127.0.0.1:{port}/", "--", route]
    if os.cpu_count() == 2:
        command = ["taskset", "-c", "1", *command]
    said = subprocess.run(command, check=True, capture_output=True, text=True).stdout
    if "Non-2xx" in said:
        raise SystemExit(f"{route} answered with errors:\n{said}")
    found = re.search(r"Requests/sec:\s+([\d.]+)", said)
    if found is None:
        raise SystemExit(f"wrk said nothing of requests:\n{said}")
    return float(found[1])


def capacities(pairs: int, seconds: int) -> list[tuple[str, float, float, float, float]]:
    """Rows of (route, requests a second, median ratio to the bare route, least, greatest)."""
    if shutil.which("wrk") is None:
        raise SystemExit("wrk is missing: as root, apt-get install wrk")
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    with tempfile.TemporaryDirectory() as data:
        command = [sys.executable, str(ROOT / "tests" / "bench" / "serve.py"), str(port), data]
        if os.cpu_count() == 2:
            command = ["taskset", "-c", "0", *command]
        with subprocess.Popen(command, cwd=ROOT) as server:
            try:
                _wait_for(port)
                return [_row(port, route, pairs, seconds) for route in ROUTES]
            finally:
                server.terminate()


ROUTES = ("/preview.svg", "/preview.svg?as=heavy", "/", "/?as=htmx", "/design.json")


def _row(port: int, route: str, pairs: int, seconds: int) -> tuple[str, float, float, float, float]:
    _capacity(port, route, 1)
    bare, own = [], []
    for _ in range(pairs):
        bare.append(_capacity(port, "/bare", seconds))
        own.append(_capacity(port, route, seconds))
    ratios = [b / a for a, b in zip(bare, own, strict=True)]
    return route, statistics.median(own), statistics.median(ratios), min(ratios), max(ratios)


def _wait_for(port: int) -> None:
    for _ in range(100):
        with socket.socket() as probe:
            if probe.connect_ex(("127.0.0.1", port)) == 0:
                return
        time.sleep(0.1)
    raise SystemExit("the service did not start")


def main() -> None:
    """Print both tables as Markdown."""
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--seconds", type=int, default=2)
    options.add_argument("--pairs", type=int, default=5)
    asked = options.parse_args()
    print("| in one process | plain collar | the heaviest | a set of both |\n|---|---|---|---|")
    for row in in_process():
        print(f"| {' | '.join(row)} |")
    print("\n| route | requests/s | ratio to the bare route | range |\n|---|---|---|---|")
    for route, rate, ratio, low, high in capacities(asked.pairs, asked.seconds):
        print(f"| {route} | {rate:,.0f} | {ratio:.2f} | {low:.2f} to {high:.2f} |")


if __name__ == "__main__":
    main()
