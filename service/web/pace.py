"""How often one place may ask, so that nobody takes the service from the others.

Counted in this process alone and forgotten when it stops: it is about load. What must outlast a restart, as
tries at a password, is counted in the store (`throttle`).
"""

from collections.abc import Callable
from datetime import timedelta
from math import ceil
from typing import Final

from starlette.requests import Request
from starlette.responses import Response
from starlette.types import ASGIApp, Receive, Scope, Send

from service.errors import GirthwrightError
from service.language import tr
from service.web.access import one_place
from service.web.counts import Pace
from service.web.house import house_of
from service.web.security import SAFE
from service.web.throttle import in_words

DRAWINGS: Final = Pace("drawings", 100, 20)
"""Five a second for as long as one likes, a hundred at once: nobody types so fast."""
PAGES: Final = Pace("pages", 60, 60)
"""Pages that ask the store, for anybody: those behind a link, and the form that asks the shop."""
GUESSES: Final = Pace("guesses", 10, 60)
"""Links that there are not."""
ENQUIRIES: Final = Pace("enquiries", 20, 3600)
"""Orders that are asked for."""
PHOTOS: Final = Pace("photos", 250_000_000, 3600)
"""Bytes of photos that are looked at, for anybody: five of the largest forms at once."""
BODIES: Final = Pace("bodies", 1_000_000_000, 3600)
"""Bytes of forms with photos that are read at all; below it what was typed is kept."""
DRAWN: Final = frozenset(
    {
        "/",
        "/embed",
        "/preview.svg",
        "/pattern.svg",
        "/pattern.pdf",
        "/pattern.dxf",
        "/templates.pdf",
        "/tape.pdf",
        "/prints",
        "/design.json",
        "/strength",
        "/embed/strength",
        "/compare",
        "/measure",
        "/embed/measure",
        "/price",
        "/embed/price",
        "/bench",
        "/embed/bench",
        "/files",
        "/embed/files",
    }
)
PICTURE: Final = "/photos/"
"""What stands in the address of a photo: a page shows several."""


class TooOften(GirthwrightError):
    """A place has asked too often; it may ask again after `wait`."""

    def __init__(self, wait: timedelta) -> None:
        self.wait = wait
        why = tr("Too much was asked from where you are. Wait {time}, then try again.", time=in_words(wait))
        super().__init__(why)

    @property
    def seconds(self) -> str:
        """The wait as HTTP says it."""
        return str(ceil(self.wait.total_seconds()))


def keep_pace(request: Request, pace: Pace, count: int = 1) -> None:
    """Count a request, or its size; raises TooOften. A place that can't be told from others goes on."""
    house, place = house_of(request), one_place(request)
    if place and house.settings.limits and (wait := house.counts.wait(pace, place, count)):
        raise TooOften(timedelta(seconds=wait))


def pace_of(path: str) -> Pace | None:
    """Return the pace at which an address may be read, or None where it is not counted."""
    if path in DRAWN or PICTURE in path:
        return DRAWINGS
    return PAGES if path in {"/ask", "/match"} or path.startswith(("/o/", "/p/")) else None


class Paced:
    """Pure ASGI: holds up those who read too often. What is sent is counted by its route, which keeps it."""

    def __init__(self, app: ASGIApp, refuse: Callable[[Request, TooOften], Response]) -> None:
        self.app = app
        self.refuse = refuse

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] == "http" and scope["method"] in SAFE:
            pace = pace_of(scope["path"])
            if pace is not None:
                request = Request(scope)
                try:
                    keep_pace(request, pace)
                except TooOften as fault:
                    await self.refuse(request, fault)(scope, receive, send)
                    return
        await self.app(scope, receive, send)
