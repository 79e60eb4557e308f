"""Everything the service can be told from outside, read once at the door."""

import os
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import TypeVar

from service.errors import GirthwrightError

ROOT = Path(__file__).resolve().parent.parent
"""The project's own folder: templates, static files and the demo workshop stand in it."""

LOOPBACK = ("localhost", "127.0.0.1", "[::1]")
"""Names by which a machine calls itself."""

Value = TypeVar("Value")


class SettingUnusable(GirthwrightError):
    """A setting can't be used: `name` says which, `value` what it was, `would_work` what would do."""

    def __init__(self, name: str, value: str, would_work: str) -> None:
        self.name = name
        self.value = value
        self.would_work = would_work
        super().__init__(f"{name} can't be {value!r}: {would_work}.")


@dataclass(frozen=True, slots=True)
class Settings:
    """How the service runs.

    `data` is the folder with the workshop's files; `database` the address of its store, empty for an embedded
    one in that folder, and never shown, since it may hold a password; `host` and `port` where to listen;
    `origin` the address people use ("https://collars.example"), empty when it isn't known; `allowed_hosts`
    the host names that are answered, "*" for any; `query_max` the longest query string [characters];
    `body_max` the largest body of a request that is no form [bytes]; `connections_max` how many connections
    are served at once; `keep_alive_s` and `grace_s` how long an idle connection and a stop are waited for;
    `proxies` the addresses whose forwarded headers are believed.
    """

    data: Path = ROOT / ".data"
    database: str = field(default="", repr=False)
    host: str = "127.0.0.1"
    port: int = 8000
    origin: str = ""
    allowed_hosts: tuple[str, ...] = LOOPBACK
    query_max: int = 4096
    body_max: int = 4096
    connections_max: int = 200
    keep_alive_s: int = 15
    grace_s: int = 20
    proxies: str = "127.0.0.1"


def read_settings(given: Mapping[str, str | None], environment: Mapping[str, str] | None = None) -> Settings:
    """Return the settings from the command line and, where it is silent, the GIRTHWRIGHT_ environment.

    Raises SettingUnusable for the first one that can't be used.
    """
    found = os.environ if environment is None else environment

    def setting(name: str, default: Value, read: Callable[[str, str], Value]) -> Value:
        key = f"GIRTHWRIGHT_{name.upper()}"
        word = given.get(name)
        shown, text = (key, found.get(key, "")) if word is None else (f"--{name}", word)
        return read(shown, text.strip()) if text.strip() else default

    usual = Settings()
    host = setting("host", usual.host, lambda _, text: text)
    origin = setting("origin", usual.origin, _origin)
    return Settings(
        data=setting("data", usual.data, lambda _, text: Path(text).expanduser()),
        database=setting("database", usual.database, lambda _, text: text),
        host=host,
        port=setting("port", usual.port, _whole(1, 65_535)),
        origin=origin,
        allowed_hosts=setting(
            "allowed_hosts", _hosts(host, origin), lambda _, text: tuple(text.replace(",", " ").split())
        ),
        query_max=setting("query_max", usual.query_max, _whole(256, 65_536)),
        body_max=setting("body_max", usual.body_max, _whole(0, 1_048_576)),
        connections_max=setting("connections_max", usual.connections_max, _whole(1, 10_000)),
        keep_alive_s=setting("keep_alive_s", usual.keep_alive_s, _whole(1, 600)),
        grace_s=setting("grace_s", usual.grace_s, _whole(0, 600)),
        proxies=setting("proxies", usual.proxies, lambda _, text: text),
    )


def _hosts(host: str, origin: str) -> tuple[str, ...]:
    """With an origin, its name; without one, only this machine's own names when nobody else can reach it."""
    if origin:
        return (re.sub(r":[0-9]+$", "", origin.partition("://")[2]), *LOOPBACK)
    return LOOPBACK if host in (*LOOPBACK, "::1") else ("*",)


def _origin(name: str, text: str) -> str:
    origin = text.rstrip("/")
    if not re.fullmatch(r"https?://(?:[A-Za-z0-9.-]+|\[[0-9a-fA-F:]+\])(?::[0-9]{1,5})?", origin):
        raise SettingUnusable(name, text, "give a scheme and a host, for example https://collars.example")
    return origin


def _whole(low: int, high: int) -> Callable[[str, str], int]:
    def read(name: str, text: str) -> int:
        if text.isascii() and text.isdigit() and low <= int(text[:9]) <= high:
            return int(text)
        raise SettingUnusable(name, text, f"give a whole number from {low} to {high}")

    return read
