"""The application: the one place that joins the rooms."""

from collections.abc import Iterable
from functools import lru_cache
from typing import Any

from anyio import CapacityLimiter
from fastapi import FastAPI
from fastapi.telemetry import TelemetryConfig
from starlette.exceptions import HTTPException
from starlette.middleware.gzip import DEFAULT_EXCLUDED_CONTENT_TYPES
from starlette.middleware.trustedhost import TrustedHostMiddleware
from starlette.routing import BaseRoute
from starlette.types import ASGIApp

from service.errors import GirthwrightError
from service.language import Language
from service.settings import ROOT, Settings, demo_name, release
from service.storage import Database
from service.web import (
    House,
    KeptFiles,
    Languages,
    OwnPagesOnly,
    Paced,
    Packed,
    Pages,
    SecurityHeaders,
    add_routes,
    by_status,
    deliberate,
    describe,
    held_up,
    read_languages,
    refused_origin,
    shelf_of,
    unexpected,
)
from service.workshop import Workshop

NO_TELEMETRY: TelemetryConfig = {
    "tracing": False,
    "metrics": False,
    "logs": False,
    "operation_spans": False,
    "auto_configure": False,
}
"""A design's address may hold a dog's name or a phone number: it is nobody else's business."""


class Service(FastAPI):
    """FastAPI with the security headers round everything, its own answers to faults included."""

    def build_middleware_stack(self) -> ASGIApp:
        settings: Settings = self.state.house.settings
        spoken = Languages(super().build_middleware_stack(), lambda: self.state.house.languages)
        return SecurityHeaders(spoken, secure=settings.origin.startswith("https://"))

    def openapi(self) -> dict[str, Any]:
        house: House = self.state.house
        if self.openapi_schema is None or self.state.described is not house.workshop:
            self.openapi_schema = describe(self, house.workshop)
            self.state.described = house.workshop
        return self.openapi_schema


@lru_cache(maxsize=8)
def _routes(workshop: Workshop) -> tuple[BaseRoute, ...]:
    """Every address, made once in a process for the same rows: to describe them takes a tenth of a second."""
    described = FastAPI(openapi_url=None)
    add_routes(described, workshop)
    return tuple(described.routes)


def create_app(settings: Settings, database: Database, workshop_id: str) -> FastAPI:
    """Return the application serving one workshop of a store."""
    app = Service(
        title="Girthwright",
        version=release(),
        summary="Leather dog collars and leads to measure: from a neck to a full-scale pattern and a price.",
        description="The query string is the design: each address takes the same parameters. Lengths in mm.",
        docs_url=None,
        redoc_url=None,
        redirect_slashes=False,
        max_body_size=settings.body_max,
        telemetry=NO_TELEMETRY,
    )
    static = ROOT / "static"
    languages = read_languages(ROOT / "service" / "translations").values()

    def offered() -> Iterable[Language]:
        return house.languages.values()

    pages = Pages(ROOT / "templates", static, languages, offered)
    house = House(
        settings,
        database,
        workshop_id,
        shelf_of(database, workshop_id),
        pages,
        release(),
        CapacityLimiter(1),
        demo=demo_name(),
    )
    app.state.house = house
    pages.know("is_demo", lambda: house.is_demo)
    app.router.routes.extend(_routes(house.workshop))
    app.mount("/static", KeptFiles(static), name="static")
    app.add_exception_handler(GirthwrightError, deliberate)
    app.add_exception_handler(HTTPException, by_status)
    app.add_exception_handler(Exception, unexpected)
    app.add_middleware(
        Packed,
        minimum_size=500,
        compresslevel=6,
        exclude_content_types=(*DEFAULT_EXCLUDED_CONTENT_TYPES, "application/pdf"),  # it is compressed inside
    )
    app.add_middleware(OwnPagesOnly, origin=settings.origin, refuse=refused_origin)
    app.add_middleware(Paced, refuse=held_up)
    if "*" not in settings.allowed_hosts:
        app.add_middleware(TrustedHostMiddleware, allowed_hosts=settings.allowed_hosts, www_redirect=False)
    return app
