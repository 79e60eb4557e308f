"""Routes, pages and their data: the only room that speaks HTTP."""

from service.web.access import ROLES
from service.web.errors import by_status, deliberate, held_up, refused_origin, unexpected
from service.web.house import House, keep_up, shelf_of
from service.web.languages import Languages, read_languages
from service.web.openapi import describe
from service.web.pace import Paced
from service.web.packed import Packed
from service.web.pages import Pages
from service.web.passwords import hashed, new_member
from service.web.routes import add_routes
from service.web.security import OwnPagesOnly, SecurityHeaders
from service.web.static import KeptFiles

__all__ = [
    "ROLES",
    "House",
    "KeptFiles",
    "Languages",
    "OwnPagesOnly",
    "Paced",
    "Packed",
    "Pages",
    "SecurityHeaders",
    "add_routes",
    "by_status",
    "deliberate",
    "describe",
    "hashed",
    "held_up",
    "keep_up",
    "new_member",
    "read_languages",
    "refused_origin",
    "shelf_of",
    "unexpected",
]
