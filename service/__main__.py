"""The command: `python -m service serve`."""

import argparse
import shutil
import socket
import sys
from collections.abc import Sequence
from contextlib import closing
from pathlib import Path

import uvicorn

from service.app import create_app
from service.errors import GirthwrightError
from service.settings import ROOT, Settings, read_settings
from service.storage import load_workshop
from service.workshop import Workshop

DEMO = ROOT / "deploy" / "demo" / "workshop.toml"


class NotStarted(GirthwrightError):
    """The service can't start; the sentence says why and what would help."""


def main(words: Sequence[str] | None = None) -> int:
    parser = argparse.ArgumentParser(prog="python -m service", description="Leather dog collars to measure.")
    commands = parser.add_subparsers(dest="command", required=True)
    serve = commands.add_parser("serve", help="answer requests until stopped")
    serve.add_argument("--host", help="address to listen on (default 127.0.0.1)")
    serve.add_argument("--port", help="port to listen on (default 8000)")
    serve.add_argument("--data", help="folder with the workshop's own files (default .data in the project)")
    serve.add_argument("--origin", help="address people use, for links: https://collars.example")
    given = vars(parser.parse_args(words))
    try:
        _serve(read_settings(given))
    except GirthwrightError as fault:
        print(fault, file=sys.stderr)
        return 1
    except KeyboardInterrupt:
        pass
    return 0


def _serve(settings: Settings) -> None:
    workshop = _workshop(settings.data)
    with closing(_door(settings)) as door:
        config = uvicorn.Config(
            create_app(settings, workshop),
            http="httptools",
            lifespan="off",
            log_level="warning",
            access_log=False,  # an address is a design, and may hold a name and a phone number
            server_header=False,
            forwarded_allow_ips=settings.proxies,
            limit_concurrency=settings.connections_max,
            timeout_keep_alive=settings.keep_alive_s,
            timeout_graceful_shutdown=settings.grace_s,
        )
        print(f"{workshop.name} is open at {_shown(settings)}", flush=True)
        uvicorn.Server(config).run(sockets=[door])


def _workshop(data: Path) -> Workshop:
    """Read the workshop's rows; at the first start the invented demo workshop moves in."""
    file = data / "workshop.toml"
    try:
        data.mkdir(parents=True, exist_ok=True)
        if not file.exists():
            shutil.copyfile(DEMO, file)
            print(
                f"First start: the invented demo workshop is now in {file}; change it to make it yours.",
                flush=True,
            )
    except OSError as fault:
        raise NotStarted(
            f"The data folder {data} can't be used ({fault.strerror}); name another with --data."
        ) from fault
    return load_workshop(file)


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
