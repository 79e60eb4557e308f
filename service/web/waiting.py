"""Photos that wait for their form to be right: a browser never fills in files again."""

from dataclasses import dataclass, field
from datetime import datetime, timedelta
from threading import Lock
from typing import Final

from service.web.pictures import Picture

WAIT: Final = timedelta(hours=2)
WAITING_MAX: Final = 60
"""Photos that wait at the same time, at about 0.3 MB each."""


@dataclass(frozen=True, slots=True)
class SentPhoto:
    """A photo that came with a form, and what its file was called."""

    name: str
    picture: Picture


@dataclass(slots=True)
class WaitingPhotos:
    """Photos of forms that have to be sent once more, by the form's key.

    They are in memory, a couple of hours and so many at most: the form says which are there, and one that has
    lost them says so.
    """

    _kept: dict[str, tuple[datetime, tuple[SentPhoto, ...]]] = field(default_factory=dict)
    _lock: Lock = field(default_factory=Lock)

    def of(self, key: str, now: datetime) -> tuple[SentPhoto, ...]:
        """Return the photos of a form; they stay, since the form may be sent twice."""
        with self._lock:
            self._tidy(now)
            return self._kept.get(key, (now, ()))[1]

    def put(self, key: str, photos: tuple[SentPhoto, ...], now: datetime) -> None:
        """Keep a form's photos; where there are too many, the oldest go."""
        if not photos:
            return
        with self._lock:
            self._kept[key] = (now, photos)
            self._tidy(now)

    def _tidy(self, now: datetime) -> None:
        count = sum(len(photos) for _, photos in self._kept.values())
        for key, (at, photos) in sorted(self._kept.items(), key=lambda row: row[1][0]):
            if now - at > WAIT or count > WAITING_MAX:
                del self._kept[key]
                count -= len(photos)
