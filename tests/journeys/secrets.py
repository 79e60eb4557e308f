"""What visitors hold that nobody else may: tokens of links and sessions, and where they may not be found."""

import re
from collections.abc import Iterable, Mapping
from contextlib import closing
from pathlib import Path
from typing import Final

from service.storage import open_database
from tests.stores import contents

OPENS: Final = re.compile(r"/[op]/([A-Za-z0-9_-]{43})(?![A-Za-z0-9_-])")
FOR_ITS_HOLDER: Final = frozenset({"location", "set-cookie", "hx-location", "hx-redirect"})
"""Headers that give a secret to the one whose it is."""

seen: set[str] = set()
"""Every secret that a visitor of this run held."""
searched: list[int] = []
"""How many bytes of logs and stores were looked through for them, service by service."""


def in_text(text: str) -> set[str]:
    """The tokens of links in an address or a page."""
    return {*OPENS.findall(text)}


def in_headers(headers: Mapping[str, str], secrets: Iterable[str]) -> list[str]:
    """The headers of an answer that tell a secret to whoever keeps them."""
    plain = [(name, value) for name, value in headers.items() if name.lower() not in FOR_ITS_HOLDER]
    return [f"{name}: {value}" for name, value in plain for one in secrets if one in value]


def in_store(url: str, secrets: Iterable[str]) -> list[str]:
    """The tables of a store that hold a secret as it is."""
    with closing(open_database(url)) as database:
        held = {name: str(rows) for name, rows in contents(database).items()}
    searched.append(sum(map(len, held.values())))
    return [name for one in secrets for name, rows in held.items() if one in rows]


def in_files(folder: Path, secrets: Iterable[str]) -> list[str]:
    """The files of a service, its log and its store, that hold a secret as it is."""
    found = []
    wanted = [one.encode() for one in secrets]
    for file in sorted(one for one in folder.rglob("*") if one.is_file()):
        content = file.read_bytes()
        searched.append(len(content))
        found += [file.name for one in wanted if one in content]
    return found
