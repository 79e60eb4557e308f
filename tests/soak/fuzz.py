"""Whatever the service's description allows, and what it doesn't, sent to it: no answer is a fault of ours.

The engine's addresses are described by the service itself. Forms are described from the pages that show them.
"""

import json
import re
import subprocess
import sys
from collections.abc import Iterator
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

import httpx

from service.storage import embedded_url, migrate, open_database
from tests.makers import LINK, parsed
from tests.soak.served import service
from tests.soak.shop import Places, furnish

FORM: Final = "application/x-www-form-urlencoded"
LETS_OUT: Final = ("/shop/sign-out", "/leave", "/sessions", "/erase", "/revoke", "/password")
"""What would end the session, the link or the people that the rest is sent with."""


@dataclass(frozen=True, slots=True)
class Fuzzed:
    """How many requests were sent, at how many addresses, and how many faults were found."""

    cases: int
    operations: int
    faults: int
    said: str


def fuzz(
    folder: Path,
    examples: int,
    *,
    phases: str = "examples,coverage,fuzzing",
    forms: bool = True,
    careless: str = "",
) -> Fuzzed:
    """Serve a furnished shop and let schemathesis send to it, so many examples an operation or more."""
    url = embedded_url(folder / "store.sqlite3")
    with closing(open_database(url)) as database:
        migrate(database)
        places = furnish(database)
    with service(folder, url, careless) as running:
        described = description(running.base, places if forms else None)
        file = folder / "described.json"
        file.write_text(json.dumps(described), encoding="utf-8")
        done = subprocess.run(
            [
                *(sys.executable, "-m", "schemathesis.cli", "run", str(file), "--url", running.base),
                *("--checks", "not_a_server_error", "--max-examples", str(examples), "--workers", "2"),
                *("--phases", phases, "--mode", "all", "--seed", "1", "--no-color"),
                *("--suppress-health-check", "all", "--warnings", "off", "--continue-on-failure"),
                *("-H", f"Cookie: s={places.session}", "-H", "Sec-Fetch-Site: same-origin"),
                *("-H", f"Authorization: Bearer {places.token}"),
            ],
            cwd=folder,
            capture_output=True,
            text=True,
            check=False,
        )
        still_in = httpx.get(f"{running.base}/shop", cookies={"s": places.session})
        assert still_in.status_code == httpx.codes.OK, "the session ended, so nothing was sent to its pages"
    return counted(done.stdout + done.stderr, sum(len(one) for one in described["paths"].values()))


def counted(said: str, operations: int) -> Fuzzed:
    """Read what schemathesis came to."""
    cases = re.search(r"([0-9]+) generated", said)
    found = re.search(r"generated, ([0-9]+) found", said)
    return Fuzzed(
        int(cases[1]) if cases else 0,
        operations,
        int(found[1]) if found else len(re.findall(r"(?m)^- Server error", said)),
        said,
    )


def description(base: str, places: Places | None) -> dict[str, Any]:
    """What the service says of itself and, with places to look at, what their pages say of their forms."""
    described: dict[str, Any] = httpx.get(f"{base}/openapi.json").raise_for_status().json()
    if places is None:
        return described
    with httpx.Client(base_url=base, cookies={"s": places.session}) as browser:
        for path in (*places.pages, f"/ask?{LINK}"):
            for action, operation in forms_of(browser.get(path).raise_for_status().text):
                if not action.endswith(LETS_OUT):
                    described["paths"].setdefault(action, {})["post"] = operation
    return described


def forms_of(page: str) -> Iterator[tuple[str, dict[str, Any]]]:
    """Address and description of each form of a page that is sent by POST."""
    for form in parsed(page).xpath("//form[@method='post']"):
        fields = {
            name: {"type": "string", "examples": [one.get("value") or ""]}
            for one in form.xpath(".//input | .//select | .//textarea | .//button")
            if (name := one.get("name"))
        }
        schema = {"type": "object", "properties": fields, "additionalProperties": {"type": "string"}}
        yield (
            form.get("action").partition("?")[0],
            {
                "requestBody": {"content": {FORM: {"schema": schema}}},
                "responses": {"default": {"description": "Whatever it comes to."}},
            },
        )
