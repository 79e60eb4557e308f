"""Which program is asking: the key that it shows, as RFC 6750 has it."""

from contextlib import suppress
from math import ceil
from typing import Final

from starlette.requests import Request

from service.errors import GirthwrightError
from service.storage import (
    ApiKey,
    StorageFull,
    StorageUnavailable,
    api_key_by_hash,
    api_key_seen,
    token_hash,
)
from service.web.access import one_place
from service.web.counts import Pace
from service.web.house import House, house_of

LONGEST: Final = 200
WITH_KEY: Final = Pace("key", 120, 60)
"""What one key may ask."""
WRONG_KEYS: Final = Pace("wrong-key", 10, 60)
"""How many keys that are none may come from one place; a right one is taken even then."""


class AskedTooOften(GirthwrightError):
    """A program has to wait `wait_s` seconds before it asks again."""

    def __init__(self, wait_s: int) -> None:
        self.wait_s = wait_s
        super().__init__(f"That was asked too often. Ask again in {wait_s} s.")


class KeyNeeded(GirthwrightError):
    """No key was shown, or none that is in force; `challenge` says so to a program (RFC 6750, 3)."""

    def __init__(self, *, shown: bool) -> None:
        self.challenge = 'Bearer realm="orders"' + (', error="invalid_token"' if shown else "")
        said = "That key is not in force." if shown else "This address takes a key."
        super().__init__(
            f"{said} Send one in the header “Authorization: Bearer KEY”; the workshop's owner makes it at "
            "/shop/connections."
        )


def key_of(request: Request) -> ApiKey:
    """Return the key that a request shows; raises KeyNeeded, AskedTooOften.

    When it was last used is kept by the day.
    """
    house = house_of(request)
    scheme, _, secret = request.headers.get("authorization", "").strip().partition(" ")
    if scheme.lower() != "bearer":
        raise KeyNeeded(shown=False)
    with house.database.reading() as connection:
        key = api_key_by_hash(connection, token_hash(secret.strip()[:LONGEST]))
    if key is None or key.workshop_id != house.workshop_id:
        _keep_pace(house, WRONG_KEYS, one_place(request))
        raise KeyNeeded(shown=True)
    _keep_pace(house, WITH_KEY, key.id)
    _note_use(house, key)
    return key


def _keep_pace(house: House, pace: Pace, who: str) -> None:
    """Count that somebody asks; raises AskedTooOften."""
    if house.settings.limits and (wait := house.counts.wait(pace, who)):
        raise AskedTooOften(ceil(wait))


def _note_use(house: House, key: ApiKey) -> None:
    """Once a day, so that reading orders writes next to nothing; where nothing can be written, not at all."""
    now = house.now()
    if key.seen_at is not None and key.seen_at.date() == now.date():
        return
    with suppress(StorageFull, StorageUnavailable), house.database.writing() as connection:
        api_key_seen(connection, key.id, now)
