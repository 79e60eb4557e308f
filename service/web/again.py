"""A form that was refused, in another language: its page carries what it sent, to be refused the same way.

A choice of language leads back to the address of a page; the page of a refused form has none. So there the
buttons send the very form once more, with the language at the end of the address. Only forms that are refused
for what is in them are carried, and none that holds a password.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from http import HTTPStatus
from typing import Final

from starlette.requests import Request

CHOICE: Final = re.compile(rb"(?:^|&)language=([A-Za-z-]{2,20})$")
"""The choice at the end of an address."""
REFUSED: Final = (HTTPStatus.CONFLICT, HTTPStatus.UNPROCESSABLE_ENTITY)
"""How a form is answered that would be refused again as it is."""
SECRETS: Final = frozenset({"password", "now", "code"})
"""Fields of forms that are never kept."""


@dataclass(frozen=True, slots=True)
class Again:
    """A refused form: its address up to the language's tag, and what it sent."""

    path: str
    fields: tuple[tuple[str, str], ...]


def sent_with(request: Request, fields: Mapping[str, str]) -> None:
    """Note what a form sent, or what stands in it now that it is refused."""
    request.state.sent = fields


def refused_form(request: Request, status: int) -> Again | None:
    """Return the form that a page with this status refuses, or None when there is nothing to carry."""
    fields: Mapping[str, str] = getattr(request.state, "sent", {})
    if status not in REFUSED or not fields or not SECRETS.isdisjoint(fields):
        return None
    query = f"{request.url.query}&" if request.url.query else ""
    return Again(f"{request.url.path}?{query}language=", tuple(fields.items()))
