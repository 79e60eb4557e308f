"""The sites that may show the configurator in a frame: what a workshop sets, read and kept."""

import re
from collections.abc import Iterable
from typing import Final

from pydantic import BaseModel
from starlette.requests import Request

from service.errors import GirthwrightError
from service.language import tr
from service.storage import workshop_settings
from service.web.house import house_of
from service.web.security import content_security_policy

MOST: Final = 20
LONGEST: Final = 200
HOST: Final = r"(?:[a-z0-9](?:[a-z0-9-]{0,61}[a-z0-9])?)(?:\.[a-z0-9](?:[a-z0-9-]{0,61}[a-z0-9])?)*"
ORIGIN: Final = re.compile(rf"(https?)://({HOST}|\[[0-9a-f:]+\])(?::([0-9]{{1,5}}))?")
HERE: Final = frozenset({"localhost", "127.0.0.1", "[::1]"})
"""Names by which a machine calls itself: to try a site out on it, plain HTTP is safe."""
PORTS: Final = {"https": "443", "http": "80"}
"""Ports that go without saying (RFC 9110, 4.2)."""
EXAMPLE: Final = "https://www.shop.example"


class FramedBy(BaseModel):
    """The origins of the sites that may show the configurator, from the workshop's settings."""

    framed_by: tuple[str, ...] = ()


class SitesRefused(GirthwrightError):
    """A list of sites can't be used; the sentence says which line, and what would work."""


def sites_of(request: Request) -> tuple[str, ...]:
    """Return the origins of the sites that may show the configurator, as the store has them now."""
    house = house_of(request)
    with house.database.reading() as connection:
        found = workshop_settings(connection, house.workshop_id, FramedBy)[0].framed_by
    request.app.state.framed_by = found
    return found


def frame_headers(sites: Iterable[str]) -> dict[str, str]:
    """Return the headers of a page that these sites may frame, isolated ones too."""
    return {
        "Content-Security-Policy": content_security_policy(frame_ancestors=" ".join(sites) or "'none'"),
        "Cross-Origin-Embedder-Policy": "require-corp",
        "Cross-Origin-Resource-Policy": "cross-origin",
    }


def read_sites(text: str) -> tuple[str, ...]:
    """Return the origins in a text, one on each line, each once; raises SitesRefused."""
    lines = [line.strip() for line in text.splitlines() if line.strip()]
    if len(lines) > MOST:
        said = tr("{count} sites are listed, and {most} is the most.", count=len(lines), most=MOST)
        raise SitesRefused(said)
    return tuple(dict.fromkeys(_origin(line) for line in lines))


def shown_sites(origins: Iterable[str]) -> str:
    """Return origins as somebody would type them: one on each line."""
    return "\n".join(origins)


def _origin(line: str) -> str:
    """The origin that a line means, as browsers write it (RFC 6454, 6.2)."""
    shown = line if len(line) <= LONGEST else f"{line[:40]}…"
    word = line.lower().rstrip("/")
    found = ORIGIN.fullmatch(word) if len(line) <= LONGEST else None
    if found is None:
        raise SitesRefused(tr("“{line}” can't be used. {way}", line=shown, way=_way(word)))
    scheme, host, port = found.groups()
    if scheme == "http" and host not in HERE:
        raise SitesRefused(
            tr("“{line}” is not secure: give {way}", line=shown, way=word.replace("http:", "https:"))
        )
    if port is not None and not 0 < int(port) <= 65_535:  # noqa: PLR2004 - ports have 16 bits
        raise SitesRefused(tr("“{line}” can't be used: ports go up to 65535.", line=shown))
    return f"{scheme}://{host}" if port in {None, PORTS[scheme]} else f"{scheme}://{host}:{int(port)}"


def _way(word: str) -> str:
    """What would work instead."""
    bare = re.sub(r"^[a-z]+:/*", "", word)
    host = re.split(r"[/?#]", bare, maxsplit=1)[0]
    likely = f"https://{host}"
    if "*" in word:
        return tr("Every site is listed by its whole name: {example}", example=EXAMPLE)
    if not word.isascii():
        return tr(
            "Copy the address from a browser's address bar: letters like “ö” have a spelling of their own."
        )
    if ORIGIN.fullmatch(likely) and "." in host:
        return tr("Give only the beginning of its address: {way}", way=likely)
    return tr("A site looks like {example}", example=EXAMPLE)
