"""What tests are made with: the invented demo workshop, designs in it, and a client that asks the service."""

import asyncio
from collections.abc import Mapping, MutableMapping
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from datetime import UTC, datetime
from functools import cache
from pathlib import Path
from typing import Any

from fastapi import FastAPI
from lxml import html
from starlette.testclient import TestClient

from service.app import create_app
from service.design import Collar, CollarPattern, make_pattern
from service.settings import ROOT, Settings
from service.storage import (
    Act,
    Database,
    found_workshop,
    load_workshop,
)
from service.workshop import Workshop
from tests.stores import data_beside, new_store
from tests.wishes import read_collar

DEMO = ROOT / "deploy" / "demo" / "workshop.toml"
DATA = Path(__file__).resolve().parent / "data"

LINK = "neck=19+in&width=1+in&leather=chestnut&finish=brass"
"""A plain collar, as the query string of its address."""


@cache
def workshop() -> Workshop:
    """The demo workshop."""
    return load_workshop(DEMO)


def workshop_with(**changed: Any) -> Workshop:  # noqa: ANN401 - any column of a workshop
    """The demo workshop with some of its columns changed; `rates` may be a part of them."""
    if "rates" in changed and isinstance(changed["rates"], Mapping):
        changed["rates"] = workshop().rates.model_copy(update=dict(changed["rates"]))
    return workshop().model_copy(update=changed)


def collar(**typed: str) -> Collar:
    """The wish that typed parameters mean in the demo workshop; a neck of 19 in unless another is typed."""
    return read_collar({"neck": "19 in", **typed}, workshop())


def pattern(**typed: str) -> CollarPattern:
    """The pattern of that wish."""
    return make_pattern(collar(**typed), workshop())


SHOP = "shop-1"


def store(rows: Workshop | None = None) -> Database:
    """A store of its own that the demo workshop, or another, has moved into."""
    database = new_store()
    with database.writing() as connection:
        found_workshop(connection, SHOP, rows or workshop(), Act("service", "start", datetime.now(UTC)))
    return database


def app(settings: Settings | None = None, rows: Workshop | None = None) -> FastAPI:
    """The application over a store with the demo workshop, as it runs when nothing is set."""
    database = store(rows)
    return create_app(replace(settings or Settings(), data=data_beside(database)), database, SHOP)


def client(made: FastAPI | None = None, *, faults_raise: bool = True) -> TestClient:
    """A client of the application on this machine; with `faults_raise` off it gets the answer to a fault.

    It sends things as a browser does from a page of the service.
    """
    return TestClient(
        made or app(),
        base_url="http://localhost:8000",
        raise_server_exceptions=faults_raise,
        headers={"Sec-Fetch-Site": "same-origin"},
    )


def parsed(text: str) -> Any:  # noqa: ANN401 - what lxml answers to an XPath has a dozen types
    """The tree of an HTML page, its spaces that don't break as plain ones."""
    return html.fromstring(text.replace("\N{NO-BREAK SPACE}", " "))


def raw(made: FastAPI, path: str, query: bytes, *headers: tuple[bytes, bytes]) -> tuple[int, bytes]:
    """Status and body for a query string that no client would send: it goes in as it is."""
    scope = {
        "type": "http",
        "asgi": {"version": "3.0"},
        "http_version": "1.1",
        "method": "GET",
        "scheme": "http",
        "path": path,
        "raw_path": path.encode(),
        "root_path": "",
        "query_string": query,
        "headers": headers or ((b"host", b"localhost"),),
        "client": ("127.0.0.1", 50_000),
        "server": ("127.0.0.1", 8000),
    }
    sent: list[MutableMapping[str, Any]] = []

    async def receive() -> dict[str, Any]:
        return {"type": "http.request", "body": b"", "more_body": False}

    async def send(message: MutableMapping[str, Any]) -> None:
        sent.append(message)

    # In a thread of its own: a browser's driver may have left a loop running in this one.
    with ThreadPoolExecutor(1) as pool:
        pool.submit(asyncio.run, made(scope, receive, send)).result()
    body = b"".join(message.get("body", b"") for message in sent[1:])
    return int(sent[0]["status"]), body
