"""The commands about a workshop itself: who may sign in, and its catalogue."""

import getpass
import sys
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import cast

from service.commands.opening import NotStarted, act, the_store
from service.settings import Settings
from service.storage import (
    Role,
    add_member,
    change_member,
    current_catalogue,
    keep_catalogue,
    load_workshop,
    member_by_name,
    members_of,
)
from service.web import hashed, new_member


def member_add(settings: Settings, given: Mapping[str, str]) -> None:
    """Let somebody sign in."""
    with the_store(settings) as (database, workshop_id):
        with database.reading() as connection:
            there = members_of(connection, workshop_id)
        new = new_member(there, workshop_id, given["name"], cast("Role", given["role"]), _password)
        with database.writing() as connection:
            add_member(connection, new, act())
    print(f"{new.name} can sign in at /shop as {new.role}.")


def member_reset(settings: Settings, given: Mapping[str, str]) -> None:
    """Give a member a new password and ask for no second factor: for an owner who can't get in any more."""
    with the_store(settings) as (database, workshop_id):
        with database.reading() as connection:
            one = member_by_name(connection, workshop_id, given["name"])
        if one is None:
            raise NotStarted(f"Nobody called {given['name']} works here; capital letters count.")
        new = hashed(_password(), one.name)
        with database.writing() as connection:
            change_member(
                connection, replace(one, password_hash=new, second_factor=None, left_at=None), act()
            )
    print(f"{one.name} can sign in at /shop with the new password, and is asked for no second factor.")


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
