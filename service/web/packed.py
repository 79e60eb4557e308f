"""Answers made smaller on their way: by Brotli for whoever takes it, else by gzip.

A page of ours is longer than the 32 KiB that gzip looks back; Brotli looks back over all of it, as fast.
"""

from typing import TYPE_CHECKING, Final

import brotli
from anyio import to_thread
from starlette.datastructures import Headers
from starlette.middleware.gzip import GZipMiddleware, IdentityResponder
from starlette.types import Receive, Scope, Send

if TYPE_CHECKING:
    from starlette.types import ASGIApp

QUALITY: Final = 5
"""The least at which Brotli beats gzip on every file of ours; it takes as long."""
NOT_AT_ALL: Final = {"q=0", "q=0.0", "q=0.00", "q=0.000"}


class Packed(GZipMiddleware):
    """The middleware: what the browser takes decides."""

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass a request on and make its answer smaller."""
        if scope["type"] == "http" and takes_brotli(Headers(scope=scope).get("accept-encoding", "")):
            packer = _Brotli(
                self.app, self.minimum_size, self.thread_minimum_size, self.exclude_content_types
            )
            await packer(scope, receive, send)
        else:
            await super().__call__(scope, receive, send)


def takes_brotli(accepted: str) -> bool:
    """Tell whether a browser that accepts these encodings takes Brotli.

    Source: RFC 9110, 12.5.3. Worked: "gzip, br;q=0.8" does, "gzip, br;q=0" does not.
    """
    for one in accepted.lower().split(","):
        name, _, weight = (part.strip() for part in one.partition(";"))
        if name == "br":
            return weight.replace(" ", "") not in NOT_AT_ALL
    return False


class _Brotli(IdentityResponder):
    content_encoding = "br"

    def __init__(self, app: "ASGIApp", least: int, aside: int, excluded: tuple[str, ...]) -> None:
        super().__init__(app, least, exclude_content_types=excluded)
        self._aside = aside
        self._packer: brotli.Compressor | None = None

    async def apply_compression(self, body: bytes, *, more_body: bool) -> bytes:
        if len(body) >= self._aside:  # it would hold up everybody else
            return await to_thread.run_sync(self._packed, body, more_body)
        return self._packed(body, more_body)

    def _packed(self, body: bytes, more_body: bool) -> bytes:  # noqa: FBT001 - passed on by a thread
        if self._packer is None:
            self._packer = brotli.Compressor(quality=QUALITY)
        start = self._packer.process(body)
        return bytes(start + (self._packer.flush() if more_body else self._packer.finish()))
