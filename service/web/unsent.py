"""A form that came after its session had ended: the page that asks to sign in keeps it, to be sent then.

It is never sent by itself: whoever has signed in sees what was typed and presses the button. What is kept
came from a page of this service, since nothing else is taken (`OwnPagesOnly`), and goes to one of the shop.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final
from urllib.parse import parse_qsl

from starlette.requests import Request

from service.web.access import FIELDS_MAX, PLAIN_FORM
from service.web.again import SECRETS
from service.web.family import FORM_MAX

UNSEEN: Final = frozenset({"seen", "entry", "key", "version", "session"})
"""Fields that nobody typed."""
INSIDE: Final = re.compile(r"/shop(?:[/?][!-\[\]-~]*)?")
"""The address of a page of the shop, as a browser sends it."""


@dataclass(frozen=True, slots=True)
class Unsent:
    """A form that was not taken: where it was going, and its fields as they came, encoded."""

    to: str
    body: str

    @property
    def fields(self) -> tuple[tuple[str, str], ...]:
        """Name and text of every field."""
        return tuple(parse_qsl(self.body, keep_blank_values=True, max_num_fields=FIELDS_MAX))

    @property
    def typed(self) -> tuple[tuple[str, str], ...]:
        """What a person typed or chose, under the fields' names in plain words."""
        return tuple(
            (re.sub(r"[_-]", " ", name).capitalize(), text)
            for name, text in self.fields
            if text.strip() and name not in UNSEEN
        )


def unsent_by(request: Request, body: bytes) -> Unsent | None:
    """Return the form that a request sent, or None when it can't be kept or must not be."""
    kind = request.headers.get("content-type", "").partition(";")[0].strip().lower()
    if kind != PLAIN_FORM or not body.isascii():
        return None
    query = request.url.query
    to = f"{request.url.path}?{query}" if query else request.url.path
    return _checked(to, body.decode("ascii"))


def unsent_in(typed: Mapping[str, str]) -> Unsent | None:
    """Return the form that a page about signing in carries, or None."""
    return _checked(typed.get("to", ""), typed.get("unsent", ""))


def _checked(to: str, body: str) -> Unsent | None:
    if not body or len(body) > FORM_MAX or INSIDE.fullmatch(to) is None or to.startswith("/shop/sign-"):
        return None
    unsent = Unsent(to, body)
    try:
        names = [name for name, _ in unsent.fields]
    except ValueError:  # more fields than any form has
        return None
    return unsent if names and SECRETS.isdisjoint(names) else None
