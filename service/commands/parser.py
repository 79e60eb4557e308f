"""Every command and its options."""

import argparse
import sys
from collections.abc import Sequence

from service.commands.keeping import back_up, bring_back, copy_to, look_over
from service.commands.opening import FIRST
from service.commands.serving import serve, work
from service.commands.workshop import member_add, member_reset, put_catalogue
from service.errors import GirthwrightError
from service.settings import read_settings
from service.web import ROLES


def main(words: Sequence[str] | None = None) -> int:
    """Do what the words say; return 0 when it is done, and 1 when a sentence says why it isn't."""
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
    parser = argparse.ArgumentParser(
        prog="python -m service", description="Leather dog collars and leads to measure."
    )
    commands = parser.add_subparsers(dest="command", required=True)
    shared = argparse.ArgumentParser(add_help=False)
    shared.add_argument("--data", help="folder with the workshop's own files (default .data in the project)")

    one = commands.add_parser("serve", parents=[shared], help="answer requests until stopped")
    one.add_argument("--host", help="address to listen on (default 127.0.0.1)")
    one.add_argument("--port", help="port to listen on (default 8000)")
    one.add_argument("--origin", help="address people use, for links: https://collars.example")
    one.add_argument(
        "--no-worker",
        dest="worker",
        action="store_const",
        const="no",
        help="leave mail and backups to the worker command",
    )
    one.add_argument(
        "--workshop",
        choices=FIRST,
        default="demo",
        help="what moves in at the first start if the data folder has no workshop.toml (default demo)",
    )
    one.set_defaults(run=serve)

    one = commands.add_parser("worker", parents=[shared], help="send mail and make backups until stopped")
    one.set_defaults(run=work)

    _workshop(commands, shared)
    _keeping(commands, shared)
    return parser


def _workshop(
    commands: "argparse._SubParsersAction[argparse.ArgumentParser]", shared: argparse.ArgumentParser
) -> None:
    member = commands.add_parser("member", help="let people of the workshop sign in")
    deeds = member.add_subparsers(dest="deed", required=True)
    one = deeds.add_parser(
        "add", parents=[shared], help="add someone; the password is asked, or read from a pipe"
    )
    one.add_argument("name", help="the name to sign in with")
    one.add_argument("--role", choices=ROLES, default="maker", help="what they may do (default maker)")
    one.set_defaults(run=member_add)

    one = deeds.add_parser(
        "reset", parents=[shared], help="give someone a new password, and ask for no second factor"
    )
    one.add_argument("name", help="the name they sign in with")
    one.set_defaults(run=member_reset)

    one = commands.add_parser("catalogue", parents=[shared], help="put the catalogue of a TOML file in force")
    one.add_argument("file", help="the file; deploy/demo/workshop.toml shows what goes into it")
    one.set_defaults(run=put_catalogue)


def _keeping(
    commands: "argparse._SubParsersAction[argparse.ArgumentParser]", shared: argparse.ArgumentParser
) -> None:
    one = commands.add_parser("backup", parents=[shared], help="copy the whole store, and prove the copy")
    one.add_argument("file", nargs="?", help="where to (default: a file named by the time, in the backups)")
    one.set_defaults(run=back_up)

    one = commands.add_parser(
        "restore", parents=[shared], help="put a backup in place of what the store holds"
    )
    one.add_argument("file", help="the backup; its note, FILE.json, has to be beside it")
    one.add_argument("--yes", action="store_true", help="don't ask before replacing what is there")
    one.set_defaults(run=bring_back)

    one = commands.add_parser(
        "check", parents=[shared], help="prove that the store is whole, and say what it holds"
    )
    one.set_defaults(run=look_over)

    one = commands.add_parser("copy-to", parents=[shared], help="copy the whole store to another database")
    one.add_argument("url", help="an empty one: postgresql://user@host/name or sqlite:///folder/file.sqlite3")
    one.set_defaults(run=copy_to)
