"""How much each place has asked for lately: a bucket for each that runs out at a steady pace.

One number for each place, by the generic cell rate algorithm (ITU-T I.371). A library that keeps every moment
and sweeps them from a thread took a seventh of the time in which a collar is drawn.
"""

from collections.abc import Callable
from dataclasses import dataclass
from threading import Lock
from time import monotonic
from typing import Final

PLACES_MAX: Final = 10_000
"""With more places than this those that hold nobody up any more are dropped."""


@dataclass(frozen=True, slots=True)
class Pace:
    """So many at once; and when they are used up, as many again over so many seconds."""

    name: str
    amount: int
    seconds: float


class Counts:
    """What each place may still ask for; safe from several threads."""

    def __init__(self, clock: Callable[[], float] = monotonic) -> None:
        self._clock = clock
        self._empty_at: dict[tuple[str, str], float] = {}
        self._lock = Lock()

    def wait(self, pace: Pace, place: str, count: int = 1) -> float:
        """Count so many and return 0; or, if that is too soon, nothing, and return how long to wait [s]."""
        key, each = (pace.name, place), pace.seconds / pace.amount
        with self._lock:
            now = self._clock()
            empty_at = max(self._empty_at.get(key, now), now) + each * count
            over = empty_at - now - pace.seconds
            if over > each / 1000:  # more than what adding up has lost
                return over
            self._empty_at[key] = empty_at
            if len(self._empty_at) > PLACES_MAX:
                self._empty_at = {key: at for key, at in self._empty_at.items() if at > now}
        return 0.0
