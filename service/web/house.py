"""What every route needs, made once when the service starts."""

import secrets
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass, field
from datetime import UTC, date, datetime
from threading import Event
from typing import cast

from anyio import CapacityLimiter
from starlette.requests import Request

from service.language import ENGLISH, Language
from service.settings import Settings
from service.storage import (
    Catalogue,
    Database,
    NotKept,
    StorageUnavailable,
    catalogue_version,
    current_catalogue,
)
from service.web.clock import local_day
from service.web.counts import Counts
from service.web.pages import Pages
from service.workshop import Workshop


@dataclass(slots=True)
class Shelf:
    """The catalogue in force, at hand: drawing a collar asks no store. `put` the new one after a change."""

    catalogue: Catalogue

    def put(self, catalogue: Catalogue) -> None:
        """Have a new version in force from the next request on; one older than that at hand is left."""
        if catalogue.version > self.catalogue.version:
            self.catalogue = catalogue


@dataclass(frozen=True, slots=True)
class House:
    """Settings, the store and the catalogue from it, templates, version, the press for one PDF at a time.

    `start` is another one each time the service starts. `now` is the time in UTC; `reference` makes an id of
    128 random bits, `token` a secret of 256 for a link or a session. `seen` is when each session was last
    used, by its hash: reading a page writes nothing, so that is kept on the next write. `counts` is
    how often each place has asked (`pace`), `demo` the name of the invented workshop.
    """

    settings: Settings
    database: Database
    workshop_id: str
    shelf: Shelf
    pages: Pages
    version: str
    press: CapacityLimiter
    start: bytes = field(default_factory=lambda: secrets.token_bytes(8))
    now: Callable[[], datetime] = lambda: datetime.now(UTC)
    reference: Callable[[], str] = lambda: secrets.token_urlsafe(16)
    token: Callable[[], str] = lambda: secrets.token_urlsafe(32)
    seen: dict[str, datetime] = field(default_factory=dict)
    demo: str = ""
    counts: Counts = field(default_factory=Counts)

    @property
    def workshop(self) -> Workshop:
        """The rows of the catalogue in force."""
        return self.shelf.catalogue.rows

    @property
    def languages(self) -> dict[str, Language]:
        """The languages that the workshop's pages are offered in, its own first, by their tags."""
        there = self.pages.languages
        return {code: there[code] for code in self.workshop.languages if code in there} or {"en": ENGLISH}

    @property
    def is_demo(self) -> bool:
        """Whether the invented demo workshop is in force: one of one's own has a name of its own."""
        return self.workshop.name == self.demo

    @property
    def today(self) -> date:
        """The day it is at the workshop."""
        return local_day(self.now(), self.workshop)

    @property
    def stamp(self) -> bytes:
        """Another one after each start and each change of the catalogue: drawings may differ after it."""
        return self.start + self.shelf.catalogue.version.to_bytes(8, "big")


def shelf_of(database: Database, workshop_id: str) -> Shelf:
    """Return the shelf with a workshop's catalogue as the store has it now."""
    with database.reading() as connection:
        return Shelf(current_catalogue(connection, workshop_id))


def keep_up(house: House, until: Event, every_s: float = 1.0) -> None:
    """Have each new version of the catalogue at hand soon after another process has made it; for a thread."""
    while not until.wait(every_s):
        with suppress(NotKept, StorageUnavailable), house.database.reading() as connection:
            if catalogue_version(connection, house.workshop_id) > house.shelf.catalogue.version:
                house.shelf.put(current_catalogue(connection, house.workshop_id))


def house_of(request: Request) -> House:
    """Return the house a request is served in."""
    return cast("House", request.app.state.house)


def origin(request: Request) -> str:
    """Return the address of the service as people know it, from the settings or else from the request."""
    return house_of(request).settings.origin or str(request.base_url).rstrip("/")
