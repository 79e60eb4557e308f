"""The headers that every answer carries, whatever made it."""

from starlette.types import ASGIApp, Message, Receive, Scope, Send

CONTENT_SECURITY_POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; font-src 'self'; "
    "connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'; object-src 'none'; "
    "manifest-src 'self'"
)

HEADERS = {
    "Content-Security-Policy": CONTENT_SECURITY_POLICY,
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "camera=(), display-capture=(), geolocation=(), microphone=(), payment=(), usb=()",
}
STRICT_TRANSPORT = ("Strict-Transport-Security", "max-age=31536000; includeSubDomains")


class SecurityHeaders:
    """Pure ASGI, outermost: even the answer to a fault passes through here."""

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

        async def send_with_headers(message: Message) -> None:
            if message["type"] == "http.response.start":
                message["headers"] = [*message["headers"], *headers]
            await send(message)

        await self.app(scope, receive, send_with_headers)
