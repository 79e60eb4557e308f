"""The commands that go on until they are stopped: the service, and the worker beside it."""

import shlex
import signal
import socket
import sys
from collections.abc import Iterator, Mapping
from contextlib import closing, contextmanager
from pathlib import Path
from threading import Event, Thread

import uvicorn

from service.app import create_app
from service.commands.opening import NotStarted, in_use, the_store
from service.commands.production import refuse_half_set_up
from service.settings import ROOT, Settings
from service.storage import members_of
from service.web import House, keep_up
from service.worker import Worker, start_worker


def serve(settings: Settings, given: Mapping[str, str]) -> None:
    """Answer requests until stopped; unless told otherwise, send mail and make backups too."""
    with (
        closing(_door(settings)) as door,
        in_use(settings),
        the_store(settings, given["workshop"]) as (database, workshop_id),
    ):
        app = create_app(settings, database, workshop_id)
        refuse_half_set_up(settings, database, workshop_id)
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
        worker = Worker(settings, database, _complain)
        thread = start_worker(worker) if settings.worker else None
        signal.signal(signal.SIGTERM, _interrupt)
        try:
            with _keeping_up(app.state.house):
                uvicorn.Server(config).run(sockets=[door])
        finally:
            worker.stop.set()
            if thread is not None:
                thread.join(settings.grace_s)


@contextmanager
def _keeping_up(house: House) -> Iterator[None]:
    """Take up, while the service runs, what others change in the catalogue: a command, another service."""
    until = Event()
    watch = Thread(target=keep_up, args=(house, until), name="catalogue", daemon=True)
    watch.start()
    try:
        yield
    finally:
        until.set()
        watch.join()


def work(settings: Settings, _: Mapping[str, str]) -> None:
    """Send mail and make backups until stopped, beside a service that leaves it to this command."""
    with in_use(settings), the_store(settings) as (database, _workshop):
        worker = Worker(settings, database, _complain)
        for told in (signal.SIGTERM, signal.SIGINT):
            signal.signal(told, lambda *_: worker.stop.set())
        mail = f"mail goes out by {settings.smtp.host}" if settings.smtp else "no mail goes out"
        hours = settings.backup_hours
        often = "every hour" if hours == 1 else f"every {hours} hours"
        backups = f"backups go to {settings.backups} {often}" if hours else "no backups are made"
        print(f"The worker is at work: {mail}, {backups}.", flush=True)
        worker.run()


def _interrupt(*_: object) -> None:
    """End as an interrupt does: once it has answered, the server hands the signal on that stopped it."""
    raise KeyboardInterrupt


def _complain(line: str) -> None:
    print(line, file=sys.stderr, flush=True)


def _how_to_begin(settings: Settings) -> str:
    """Say how the first member is made; until then nobody can sign in."""
    program = Path(sys.executable)
    shown = program.relative_to(ROOT) if program.is_relative_to(ROOT) else program
    words = [str(shown), "-m", "service", "member", "add", "NAME", "--role", "owner"]
    if settings.data != Settings().data:
        words += ["--data", str(settings.data.absolute())]
    return f"Nobody can sign in yet. To make the first member, run in {ROOT}:\n    {shlex.join(words)}"


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
