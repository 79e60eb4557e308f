"""What every route needs, made once when the service starts."""

from dataclasses import dataclass
from typing import cast

from anyio import CapacityLimiter
from jinja2 import Environment
from starlette.requests import Request

from service.settings import Settings
from service.workshop import Workshop


@dataclass(frozen=True, slots=True)
class House:
    """Settings, the workshop's rows, templates, version, and the press that prints one PDF at a time.

    `stamp` is another one each time the service starts: what was drawn before may be drawn otherwise now.
    """

    settings: Settings
    workshop: Workshop
    templates: Environment
    version: str
    press: CapacityLimiter
    stamp: bytes


def house_of(request: Request) -> House:
    """Return the house a request is served in."""
    return cast("House", request.app.state.house)
