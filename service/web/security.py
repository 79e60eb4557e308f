"""The headers that every answer carries, whatever made it, and who may send something."""

from collections.abc import Callable

from starlette.datastructures import MutableHeaders
from starlette.requests import Request
from starlette.responses import Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send


def content_security_policy(*, frame_ancestors: str = "'none'") -> str:
    """Return the policy of a page, which sites of these origins may frame."""
    return (
        "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; font-src 'self'; "
        f"connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors {frame_ancestors}; "
        "object-src 'none'; manifest-src 'self'"
    )


CONTENT_SECURITY_POLICY = content_security_policy()
HEADERS = {
    "Content-Security-Policy": CONTENT_SECURITY_POLICY,
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "camera=(), display-capture=(), geolocation=(), microphone=(), payment=(), usb=()",
}
STRICT_TRANSPORT = ("Strict-Transport-Security", "max-age=31536000; includeSubDomains")
PROGRAMS = "/api/"
"""Addresses below this are for programs, which show a key: there is no cookie that another site could use."""
PRIVATE = (PROGRAMS, "/ask", "/o/", "/p/", "/shop")
"""Addresses below these show what is nobody else's business: kept by no cache, found by no search."""
FOR_NOBODY_ELSE = {"Cache-Control": "no-store", "X-Robots-Tag": "noindex, nofollow, noarchive"}
SAFE = frozenset({"GET", "HEAD", "OPTIONS"})


class SecurityHeaders:
    """Pure ASGI, outermost: even the answer to a fault passes through here.

    What an answer says itself counts.
    """

    def __init__(self, app: ASGIApp, *, secure: bool) -> None:
        self.app = app
        self.secure = secure
        self.plain = [(name.lower().encode(), value.encode()) for name, value in HEADERS.items()]
        # RFC 6797, 7.2: never over a connection that isn't secure.
        self.over_tls = [*self.plain, (STRICT_TRANSPORT[0].lower().encode(), STRICT_TRANSPORT[1].encode())]

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        headers = self.over_tls if self.secure or scope["scheme"] == "https" else self.plain
        private = scope["path"].startswith(PRIVATE)

        async def send_with_headers(message: Message) -> None:
            if message["type"] == "http.response.start":
                own = {name for name, _ in message["headers"]}
                message["headers"] = [*message["headers"], *(one for one in headers if one[0] not in own)]
                if private:
                    MutableHeaders(scope=message).update(FOR_NOBODY_ELSE)
            await send(message)

        await self.app(scope, receive, send_with_headers)


class OwnPagesOnly:
    """Pure ASGI: what changes something is taken from this service's own pages only, told by fetch metadata.

    A browser too old to say so says which origin the page has; without a word of either it is refused
    (W3C Fetch Metadata Request Headers; OWASP ASVS 5, 3.5.1).
    """

    def __init__(self, app: ASGIApp, *, origin: str, refuse: Callable[[Request], Response]) -> None:
        self.app = app
        self.origin = origin
        self.refuse = refuse

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] == "http" and scope["method"] not in SAFE and not self._is_ours(Request(scope)):
            await self.refuse(Request(scope))(scope, receive, send)
            return
        await self.app(scope, receive, send)

    def _is_ours(self, request: Request) -> bool:
        if request.scope["path"].startswith(PROGRAMS):
            return True
        site = request.headers.get("sec-fetch-site")
        if site is not None:
            return site in {"same-origin", "none"}
        ours = self.origin or f"{request.url.scheme}://{request.headers.get('host', '')}"
        return request.headers.get("origin") == ours
