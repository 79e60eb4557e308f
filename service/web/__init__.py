"""Routes, pages and their data: the only room that speaks HTTP."""

from service.web.errors import by_status, deliberate, unexpected
from service.web.house import House
from service.web.openapi import describe
from service.web.pages import environment
from service.web.routes import add_routes
from service.web.security import SecurityHeaders
from service.web.static import KeptFiles

__all__ = [
    "House",
    "KeptFiles",
    "SecurityHeaders",
    "add_routes",
    "by_status",
    "deliberate",
    "describe",
    "environment",
    "unexpected",
]
