"""Everything the service can be told from outside, read once at the door."""

import os
import re
import tomllib
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from typing import Final, TypeVar
from urllib.parse import unquote, urlsplit

from service.errors import GirthwrightError

ROOT = Path(__file__).resolve().parent.parent
"""The project's own folder: templates, static files and the demo workshop stand in it."""

DEMO = ROOT / "deploy" / "demo" / "workshop.toml"
"""The invented workshop that moves in where there is none."""


@cache
def release() -> str:
    """Return the number of the release that runs."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    return str(project["version"])


@cache
def demo_name() -> str:
    """Return the name of the invented workshop, by which it is told from one of somebody's own."""
    return str(tomllib.loads(DEMO.read_text(encoding="utf-8"))["name"])


LOOPBACK = ("localhost", "127.0.0.1", "[::1]")
"""Names by which a machine calls itself."""

LINKS_BEGIN: Final = "mail is to be sent, and the links in it begin with the address people use: give that"
MAIL_COMES_FROM: Final = (
    "mail is to be sent: give the address it comes from, for example orders@collars.example"
)

Value = TypeVar("Value")


class SettingUnusable(GirthwrightError):
    """A setting can't be used: `name` says which, `value` what it was, `would_work` what would do."""

    def __init__(self, name: str, value: str, would_work: str) -> None:
        self.name = name
        self.value = value
        self.would_work = would_work
        super().__init__(f"{name} can't be {value!r}: {would_work}.")


SMTP_PORTS: Final = {"smtp": 587, "smtps": 465, "smtp-plain": 25}
"""What speaks to a mail server, and its usual port (RFC 6409, RFC 8314, RFC 5321): TLS begun by STARTTLS,
TLS from the start, and none, for a server on the same machine or network."""
ADDRESS: Final = re.compile(r"[A-Za-z0-9.!#$%&'*+/=?^_`{|}~-]+@[A-Za-z0-9-]+(\.[A-Za-z0-9-]+)*")
"""An e-mail address as HTML takes it (its standard, 4.10.5.1.5)."""


@dataclass(frozen=True, slots=True)
class MailServer:
    """The server that mail is handed to; `scheme` says how, `user` is empty where it asks for none."""

    scheme: str
    host: str
    port: int
    user: str = ""
    password: str = field(default="", repr=False)


@dataclass(frozen=True, slots=True)
class Settings:
    """How the service runs.

    `data` is the folder with the workshop's files; `database` the address of its store, empty for an embedded
    one in that folder, and never shown, since it may hold a password; `host` and `port` where to listen;
    `origin` the address people use ("https://collars.example"), empty when it isn't known; `allowed_hosts`
    the host names that are answered, "*" for any; `query_max` the longest query string [characters];
    `body_max` the largest body of a request that is no form [bytes]; `connections_max` how many connections
    are served at once; `keep_alive_s` and `grace_s` how long an idle connection and a stop are waited for;
    `proxies` the addresses whose forwarded headers are believed; `limits` whether a place that asks too often
    has to wait; `mode` whether it runs for real ("production") or for show ("demo"); left empty, for real
    where people reach it by https.

    `smtp` is the server that mail is handed to, None when none is sent; `mail_from` and `mail_shop` the
    addresses it comes from and the shop reads it at. `worker` tells whether `serve` sends mail and makes
    backups itself, or leaves that to the `worker` command; `backups` is the folder they go to, and
    `backup_hours` how often, 0 for never.
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
    smtp: MailServer | None = None
    mail_from: str = ""
    mail_shop: str = ""
    worker: bool = True
    backups: Path = ROOT / ".data" / "backups"
    backup_hours: int = 1

    @property
    def for_real(self) -> bool:
        """Whether customers use it, so that it must not start half set up."""
        return self.mode == "production" or (not self.mode and self.origin.startswith("https://"))

    limits: bool = True
    mode: str = ""


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

    def path(_: str, text: str) -> Path:
        return Path(text).expanduser()

    usual = Settings()
    data = setting("data", usual.data, path)
    host = setting("host", usual.host, lambda _, text: text)
    origin = setting("origin", usual.origin, _origin)
    smtp = setting("smtp", usual.smtp, lambda name, text: _mail_server(name, text, found))
    mail_from = setting("mail_from", smtp.user if smtp else "", _address)
    if smtp is not None and not origin:
        raise SettingUnusable("GIRTHWRIGHT_ORIGIN", "", f"{LINKS_BEGIN}, for example https://collars.example")
    if smtp is not None and ADDRESS.fullmatch(mail_from) is None:
        raise SettingUnusable("GIRTHWRIGHT_MAIL_FROM", mail_from, MAIL_COMES_FROM)
    return Settings(
        data=data,
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
        smtp=smtp,
        mail_from=mail_from,
        mail_shop=setting("mail_shop", mail_from, _address),
        worker=setting("worker", usual.worker, _yes_or_no),
        backups=setting("backups", data / "backups", path),
        backup_hours=setting("backup_hours", usual.backup_hours, _whole(0, 168)),
        limits=setting("limits", usual.limits, _yes_or_no),
        mode=setting("mode", usual.mode, _mode),
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


def _address(name: str, text: str) -> str:
    if ADDRESS.fullmatch(text) is None:
        raise SettingUnusable(name, text, "give an e-mail address, for example orders@collars.example")
    return text


def _mode(name: str, text: str) -> str:
    if text not in {"production", "demo"}:
        raise SettingUnusable(name, text, "give production or demo, or leave it empty")
    return text


def _yes_or_no(name: str, text: str) -> bool:
    if text.lower() not in {"yes", "no"}:
        raise SettingUnusable(name, text, "give yes or no")
    return text.lower() == "yes"


def _mail_server(name: str, text: str, environment: Mapping[str, str]) -> MailServer:
    """Read the address of a mail server; it is not shown in a complaint, since it may hold a password."""
    ways = (
        "give smtp://user@mail.example:587 (STARTTLS), smtps://user@mail.example:465 (TLS) or, for a server"
    )
    would_work = f"{ways} next to this one, smtp-plain://localhost:25"
    try:
        parts = urlsplit(text)
        host, port = parts.hostname or "", parts.port
    except ValueError as fault:
        raise SettingUnusable(name, "what it is", would_work) from fault
    if parts.scheme not in SMTP_PORTS or not host or parts.path.strip("/") or parts.query or parts.fragment:
        raise SettingUnusable(name, "what it is", would_work)
    if parts.password is not None:
        raise SettingUnusable(name, "one with a password", f"leave it out there, and set {name}_PASSWORD")
    user, password = unquote(parts.username or ""), _secret(f"{name}_PASSWORD", environment)
    if user and not password:
        raise SettingUnusable(f"{name}_PASSWORD", "", f"{user} needs one to hand mail over")
    if user and parts.scheme == "smtp-plain" and host not in (*LOOPBACK, "::1"):
        raise SettingUnusable(name, "smtp-plain with a user", "its password would go unencrypted: use smtps")
    return MailServer(parts.scheme, host, port or SMTP_PORTS[parts.scheme], user, password)


def _secret(name: str, environment: Mapping[str, str]) -> str:
    """Read a password from its own variable, or from the file that NAME_FILE names."""
    file = environment.get(f"{name}_FILE", "").strip()
    if not file:
        return environment.get(name, "")
    try:
        return Path(file).read_text(encoding="utf-8").strip("\r\n")
    except (OSError, ValueError) as fault:
        raise SettingUnusable(f"{name}_FILE", file, "give a file of text that can be read") from fault


def _whole(low: int, high: int) -> Callable[[str, str], int]:
    def read(name: str, text: str) -> int:
        if text.isascii() and text.isdigit() and low <= int(text[:9]) <= high:
            return int(text)
        raise SettingUnusable(name, text, f"give a whole number from {low} to {high}")

    return read
