"""Which language a reader gets: the one they or the line on a shop's own site chose, else their browser's.

Where the browser's is not offered it is the workshop's. A choice is a cookie; made where a form is filled in
or refused it comes with that form, in its address (`again.py`). An order's own pages are in the language that
its customer asked in, unless another is chosen. The address of a design is the same in every language.
"""

import re
from collections.abc import Callable, Mapping
from functools import lru_cache
from gettext import GNUTranslations
from http import HTTPStatus
from io import BytesIO
from pathlib import Path
from types import MappingProxyType
from typing import Final
from urllib.parse import urlsplit

from babel import Locale, negotiate_locale
from babel.messages.mofile import write_mo
from babel.messages.pofile import read_po
from fastapi import FastAPI
from starlette.datastructures import MutableHeaders
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from service.language import ENGLISH, Language, speak
from service.web.access import form
from service.web.again import CHOICE, REFUSED
from service.web.design_page import FRAMED
from service.web.family import add_page
from service.web.house import house_of

COOKIE: Final = "language"
A_YEAR: Final = 365 * 24 * 3600
"""So long a choice is kept [s]."""
WEIGHT: Final = re.compile(r"q=([01](?:\.[0-9]{0,3})?)")
FRAMED_IN: Final = re.compile(
    rf"({re.escape(FRAMED)})/([a-z]{{2}})(/(?:strength|price|bench|files|measure))?"
)
SPOKEN_MAX: Final = 20
"""So many languages of a browser are looked at."""


@lru_cache(maxsize=8)
def read_languages(folder: Path) -> Mapping[str, Language]:
    """Return English and every language that a folder holds a catalogue of, by its tag; read once."""
    found = {ENGLISH.code: ENGLISH}
    for path in sorted(folder.glob("*/LC_MESSAGES/messages.po")):
        code = path.parts[-3]
        locale = Locale.parse(code, sep="-")
        words = BytesIO()
        with path.open("rb") as file:
            write_mo(words, read_po(file, locale=code))
        words.seek(0)
        name = str(locale.get_language_name(locale)).capitalize()
        sign = str(locale.number_symbols["latn"]["decimal"])
        found[code] = Language(code, name, GNUTranslations(words), sign)
    return MappingProxyType(found)


class Languages:
    """Pure ASGI: says in which language each answer is, and what that depended on."""

    def __init__(self, app: ASGIApp, offered: Callable[[], Mapping[str, Language]]) -> None:
        self.app = app
        self.offered = offered

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        request = Request(scope)
        languages = self.offered()
        new = _taken(scope, languages)
        _framed_in(scope, languages)
        language = chosen(request, languages) or wanted(request, languages)
        speak(language)

        async def send_in_language(message: Message) -> None:
            if message["type"] == "http.response.start":
                headers = MutableHeaders(scope=message)
                if headers.get("content-type", "").startswith(("text/html", "image/svg", "application/")):
                    headers.setdefault("Content-Language", language.code)
                    headers.add_vary_header("Accept-Language")
                    headers.add_vary_header("Cookie")
                if new and message["status"] in (*REFUSED, HTTPStatus.OK):
                    headers.append("Set-Cookie", _cookie(request, new))
            await send(message)

        await self.app(scope, receive, send_in_language)


def chosen(request: Request, languages: Mapping[str, Language]) -> Language | None:
    """Return the language that a reader chose on a page, if they did."""
    return languages.get(request.scope.get("language") or request.cookies.get(COOKIE, ""))


def _taken(scope: Scope, languages: Mapping[str, Language]) -> str:
    """The choice that a form brings along; its address is from then on what it was without."""
    found = CHOICE.search(scope["query_string"]) if scope["method"] == "POST" else None
    if found is None or found[1].decode() not in languages:
        return ""
    scope["query_string"] = scope["query_string"][: found.start()]
    scope["language"] = found[1].decode()
    return found[1].decode()


def _framed_in(scope: Scope, languages: Mapping[str, Language]) -> None:
    """Have a framed page in the language that its address ends in: a frame on another site keeps no choice.

    One that is no longer offered is left out, so that a line on a shop's site never leads nowhere.
    """
    if found := FRAMED_IN.fullmatch(scope["path"]):
        scope["path"] = found[1] + (found[3] or "")
        if found[2] in languages:
            scope["language"] = found[2]


def _cookie(request: Request, code: str) -> str:
    """The header that keeps a choice."""
    answer = Response()
    secure = request.url.scheme == "https"
    answer.set_cookie(COOKIE, code, max_age=A_YEAR, secure=secure, httponly=True, samesite="lax")
    return answer.headers["set-cookie"]


def wanted(request: Request, languages: Mapping[str, Language]) -> Language:
    """Return the language that a browser asks for first of those there are, else the first of them."""
    return _negotiated(request.headers.get("accept-language", ""), tuple(languages.values()))


@lru_cache(maxsize=256)
def _negotiated(header: str, languages: tuple[Language, ...]) -> Language:
    """The language of a header as in RFC 9110, 12.5.4."""
    asked = []
    for part in header.split(",")[:SPOKEN_MAX]:
        tag, _, weight = part.partition(";")
        found = WEIGHT.fullmatch(weight.strip())
        if tag.strip() and (found or not weight) and (share := float(found[1]) if found else 1.0):
            asked.append((-share, tag.strip()))
    by_code = {language.code: language for language in languages}
    code = negotiate_locale([tag for _, tag in sorted(asked, key=lambda one: one[0])], list(by_code), sep="-")
    return by_code[code] if code else languages[0]


def speak_to(request: Request, code: str) -> None:
    """Have an order's page said in its customer's language, unless its reader chose another."""
    languages = house_of(request).languages
    if chosen(request, languages) is None and code in languages:
        speak(languages[code])


def take_language(request: Request) -> Response:
    """Keep the choice, and lead back to the page it was made on."""
    languages = house_of(request).languages
    here = urlsplit(request.headers.get("referer", ""))
    ours = here.netloc == request.headers.get("host") and here.path.startswith("/") and here.path[1:2] != "/"
    way = f"{here.path}?{here.query}" if here.query else here.path
    answer = RedirectResponse(way if ours else "/", HTTPStatus.SEE_OTHER)
    code = form(request).get("to", "")
    if code in languages:
        answer.headers.append("Set-Cookie", _cookie(request, code))
    return answer


def language_routes(app: FastAPI) -> None:
    """Add the address that keeps a choice of language."""
    add_page(app, "/language", take=take_language)
