"""The command: `python -m service serve`, `member add` and `catalogue`."""

import argparse
import getpass
import shlex
import socket
import sys
from collections.abc import Iterator, Sequence
from contextlib import closing, contextmanager
from datetime import UTC, datetime
from pathlib import Path
from secrets import token_urlsafe
from typing import cast

import uvicorn

from service.app import create_app
from service.errors import GirthwrightError
from service.settings import ROOT, Settings, read_settings
from service.storage import (
    Act,
    Database,
    Role,
    add_member,
    current_catalogue,
    embedded_url,
    found_workshop,
    keep_catalogue,
    load_workshop,
    members_of,
    migrate,
    open_database,
    workshop_ids,
)
from service.web import ROLES, new_member

DEMO = ROOT / "deploy" / "demo" / "workshop.toml"
STORE = "girthwright.sqlite3"
"""The embedded store's name in the data folder."""


class NotStarted(GirthwrightError):
    """The service can't start; the sentence says why and what would help."""


def main(words: Sequence[str] | None = None) -> int:
    given = vars(_parser().parse_args(words))
    try:
        given.pop("run")(read_settings(given), given)
    except GirthwrightError as fault:
        print(fault, file=sys.stderr)
        return 1
    except KeyboardInterrupt:
        pass
    return 0


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(prog="python -m service", description="Leather dog collars to measure.")
    commands = parser.add_subparsers(dest="command", required=True)
    shared = argparse.ArgumentParser(add_help=False)
    shared.add_argument("--data", help="folder with the workshop's own files (default .data in the project)")

    serve = commands.add_parser("serve", parents=[shared], help="answer requests until stopped")
    serve.add_argument("--host", help="address to listen on (default 127.0.0.1)")
    serve.add_argument("--port", help="port to listen on (default 8000)")
    serve.add_argument("--origin", help="address people use, for links: https://collars.example")
    serve.set_defaults(run=_serve)

    member = commands.add_parser("member", help="let people of the workshop sign in")
    deeds = member.add_subparsers(dest="deed", required=True)
    add = deeds.add_parser(
        "add", parents=[shared], help="add someone; the password is asked, or read from a pipe"
    )
    add.add_argument("name", help="the name to sign in with")
    add.add_argument("--role", choices=ROLES, default="maker", help="what they may do (default maker)")
    add.set_defaults(run=_add_member)

    rows = commands.add_parser(
        "catalogue", parents=[shared], help="put the catalogue of a TOML file in force"
    )
    rows.add_argument("file", help="the file; deploy/demo/workshop.toml shows what goes into it")
    rows.set_defaults(run=_put_catalogue)
    return parser


def _serve(settings: Settings, _: dict[str, str]) -> None:
    with closing(_door(settings)) as door, _store(settings) as (database, workshop_id):
        app = create_app(settings, database, workshop_id)
        config = uvicorn.Config(
            app,
            http="httptools",
            lifespan="off",
            log_level="warning",
            access_log=False,  # an address is a design or opens one, and may hold a name and a phone number
            server_header=False,
            forwarded_allow_ips=settings.proxies,
            limit_concurrency=settings.connections_max,
            timeout_keep_alive=settings.keep_alive_s,
            timeout_graceful_shutdown=settings.grace_s,
        )
        with database.reading() as connection:
            if all(member.left_at for member in members_of(connection, workshop_id)):
                print(_how_to_begin(settings), flush=True)
        print(f"{app.state.house.workshop.name} is open at {_shown(settings)}", flush=True)
        uvicorn.Server(config).run(sockets=[door])


def _add_member(settings: Settings, given: dict[str, str]) -> None:
    with _store(settings) as (database, workshop_id):
        with database.reading() as connection:
            there = members_of(connection, workshop_id)
        new = new_member(there, workshop_id, given["name"], cast("Role", given["role"]), _password)
        with database.writing() as connection:
            add_member(connection, new, _act())
    print(f"{new.name} can sign in at /shop as {new.role}.")


def _put_catalogue(settings: Settings, given: dict[str, str]) -> None:
    rows = load_workshop(Path(given["file"]))
    with _store(settings) as (database, workshop_id), database.writing() as connection:
        seen = current_catalogue(connection, workshop_id).version
        kept = keep_catalogue(
            connection, workshop_id, rows, _act(), seen=seen, change=f"from {Path(given['file']).name}"
        )
    print(f"Version {kept.version} of the catalogue is in force; restart a service that runs.")


@contextmanager
def _store(settings: Settings) -> Iterator[tuple[Database, str]]:
    """Open the store in the shape of this release, and name the workshop in it, founded if it is new."""
    try:
        settings.data.mkdir(parents=True, exist_ok=True)
        (settings.data / ".writable").touch()
        (settings.data / ".writable").unlink()
    except OSError as fault:
        raise NotStarted(
            f"The data folder {settings.data} can't be used ({fault.strerror}); name another with --data."
        ) from fault
    with closing(open_database(settings.database or embedded_url(settings.data / STORE))) as database:
        copy = migrate(database)
        if copy is not None:
            print(
                f"The store was brought to this release; as it was before, it is kept in {copy}", flush=True
            )
        yield database, _workshop(database, settings.data)


def _workshop(database: Database, data: Path) -> str:
    """Return the id of the store's workshop; at the first start one moves in, if need be the demo."""
    with database.reading() as connection:
        there = workshop_ids(connection)
    if len(there) > 1:
        raise NotStarted("The store holds several workshops, and this release serves one: give it its own.")
    if there:
        return there[0]
    own = data / "workshop.toml"
    rows = load_workshop(own if own.exists() else DEMO)
    with database.writing() as connection:
        made = found_workshop(connection, token_urlsafe(16), rows, _act())
    came = (
        f"the workshop of {own} has moved in" if own.exists() else "the invented demo workshop has moved in"
    )
    print(f"First start: {came}.", flush=True)
    return made.workshop_id


def _password() -> str:
    if not sys.stdin.isatty():
        return sys.stdin.readline().rstrip("\r\n")
    typed = getpass.getpass("Password, 12 characters or more: ")
    if getpass.getpass("The same again: ") != typed:
        raise NotStarted("The two passwords differ; run this again.")
    return typed


def _how_to_begin(settings: Settings) -> str:
    """Say how the first member is made; until then nobody can sign in."""
    program = Path(sys.executable)
    shown = program.relative_to(ROOT) if program.is_relative_to(ROOT) else program
    words = [str(shown), "-m", "service", "member", "add", "NAME", "--role", "owner"]
    if settings.data != Settings().data:
        words += ["--data", str(settings.data.absolute())]
    return f"Nobody can sign in yet. To make the first member, run in {ROOT}:\n    {shlex.join(words)}"


def _act() -> Act:
    return Act("service", "command", datetime.now(UTC))


def _door(settings: Settings) -> socket.socket:
    family = socket.AF_INET6 if ":" in settings.host else socket.AF_INET
    door = socket.socket(family)
    try:
        door.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        door.bind((settings.host, settings.port))
        door.listen()  # from here on callers wait in line, and none is turned away
    except OSError as fault:
        door.close()
        reason = f"Port {settings.port} on {settings.host} can't be opened ({fault.strerror})"
        raise NotStarted(f"{reason}; stop what uses it, or name another with --port.") from fault
    return door


def _shown(settings: Settings) -> str:
    host = f"[{settings.host}]" if ":" in settings.host else settings.host
    return settings.origin or f"http://{host}:{settings.port}"


if __name__ == "__main__":
    sys.exit(main())
