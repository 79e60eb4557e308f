"""The commands about a workshop itself: who may sign in, and its catalogue."""

import getpass
import sys
from collections.abc import Mapping
from pathlib import Path
from typing import cast

from service.commands.opening import NotStarted, act, the_store
from service.settings import Settings
from service.storage import (
    Role,
    add_member,
    current_catalogue,
    keep_catalogue,
    load_workshop,
    members_of,
)
from service.web import new_member


def member_add(settings: Settings, given: Mapping[str, str]) -> None:
    """Let somebody sign in."""
    with the_store(settings) as (database, workshop_id):
        with database.reading() as connection:
            there = members_of(connection, workshop_id)
        new = new_member(there, workshop_id, given["name"], cast("Role", given["role"]), _password)
        with database.writing() as connection:
            add_member(connection, new, act())
    print(f"{new.name} can sign in at /shop as {new.role}.")


def put_catalogue(settings: Settings, given: Mapping[str, str]) -> None:
    """Put the catalogue of a file in force."""
    rows = load_workshop(Path(given["file"]))
    with the_store(settings) as (database, workshop_id), database.writing() as connection:
        seen = current_catalogue(connection, workshop_id).version
        kept = keep_catalogue(
            connection, workshop_id, rows, act(), seen=seen, change=f"from {Path(given['file']).name}"
        )
    print(f"Version {kept.version} of the catalogue is in force; a service that runs takes it up by itself.")


def _password() -> str:
    if not sys.stdin.isatty():
        return sys.stdin.readline().rstrip("\r\n")
    typed = getpass.getpass("Password, 12 characters or more: ")
    if getpass.getpass("The same again: ") != typed:
        raise NotStarted("The two passwords differ; run this again.")
    return typed
