"""How often somebody may try a password: a few times at once, then after waits that double.

Tries are counted in the store, for the name and for the place they come from, before a password is looked at:
so neither a restart nor many tries at once make more of them. Nobody is locked out. A name's waits stay
short, and a place that has to wait is not counted against the name: whoever knows the password gets in from
another place while somebody guesses.
"""

from dataclasses import dataclass
from datetime import datetime, timedelta
from hashlib import sha256
from math import ceil
from typing import Final

from starlette.requests import Request

from service.language import tr, tr_many
from service.storage import Connection, Tries, count_try, forget_tries, forget_tries_before, tries
from service.web.access import one_place

FREE: Final = 3
"""So many tries need no wait."""
NAME_WAIT: Final = timedelta(seconds=30)
"""The longest wait between tries for one name, from anywhere."""
PLACE_WAIT: Final = timedelta(minutes=15)
"""The longest wait between tries from one place."""
MINUTES_FROM: Final = 90
"""More seconds than this are told in minutes."""
CODE_WAIT: Final = timedelta(minutes=5)
"""The longest wait between codes for one member, from anywhere. Whoever guesses has the password already;
three of a million codes are right at a time, so that at this pace even odds take two years."""
FORGOTTEN: Final = timedelta(hours=1)
"""Counts are dropped so long after the last wait."""


@dataclass(frozen=True, slots=True)
class Turns:
    """The two counts that a try adds to, each with the longest wait it comes to."""

    place: tuple[str, timedelta]
    name: tuple[str, timedelta]


def turns_of(request: Request, name: str) -> Turns:
    """Return where tries for a name from whoever is asking are counted.

    The name is kept by a hash: passwords get typed there by mistake.
    """
    hashed = sha256(name.casefold().encode()).hexdigest()[:32]
    return Turns((f"place {one_place(request)}", PLACE_WAIT), (f"name {hashed}", NAME_WAIT))


def code_turns_of(request: Request, member_id: str) -> Turns:
    """Return where a member's codes are counted: a right password doesn't begin them anew."""
    return Turns((f"code place {one_place(request)}", PLACE_WAIT), (f"code {member_id}", CODE_WAIT))


def take_turn(connection: Connection, turns: Turns, now: datetime) -> timedelta | None:
    """Count a try, and return None; or count nothing, and return how long to wait for one."""
    forget_tries_before(connection, now - FORGOTTEN)
    counts = [(tries(connection, key), key, most) for key, most in (turns.place, turns.name)]
    for count, _, _ in counts:
        if count is not None and count.open_at > now:
            return count.open_at - now
    for count, key, most in counts:
        number = 1 if count is None else count.tries + 1
        first = now if count is None else count.first_at
        count_try(connection, Tries(key, number, first, now + wait_after(number, most)))
    return None


def went_well(connection: Connection, turns: Turns) -> None:
    """Begin counting anew."""
    for key, _ in (turns.place, turns.name):
        forget_tries(connection, key)


def wait_after(number: int, most: timedelta) -> timedelta:
    """Return how long to wait after so many tries: nothing at first, then 2, 4, 8 s and so on."""
    over = number - FREE
    return timedelta(0) if over <= 0 else min(most, timedelta(seconds=2 ** min(over, 20)))


def too_often(wait: timedelta) -> str:
    """Say how long to wait before the next try."""
    return tr("That was tried too often. Wait {time}, then try again.", time=in_words(wait))


def in_words(wait: timedelta) -> str:
    """Return how long to wait: "a second", "20 seconds", "3 minutes"."""
    seconds = ceil(wait.total_seconds())
    if seconds > MINUTES_FROM:
        return tr("{count} minutes", count=ceil(seconds / 60))
    return tr_many("{count} second", "{count} seconds", seconds)
