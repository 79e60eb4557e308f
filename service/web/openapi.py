"""The description of the interface: parameters from their one table, answers from their types."""

from copy import deepcopy
from typing import Any

from fastapi import FastAPI
from fastapi.openapi.utils import get_openapi
from pydantic import TypeAdapter

from service.web.answers import Problem
from service.web.parameters import ALL
from service.workshop import Workshop

PAPER = {
    "name": "paper",
    "in": "query",
    "required": False,
    "description": "Paper to print on: A4 or Letter sheets to join, or one long sheet.",
    "schema": {"type": "string", "enum": ["a4", "letter", "roll"], "default": "a4"},
}
SHEET_PAPER = {
    "name": "paper",
    "in": "query",
    "required": False,
    "description": "Paper to print on: A4 or Letter sheets.",
    "schema": {"type": "string", "enum": ["a4", "letter"], "default": "a4"},
}
USUAL_SHEET_PAPER = {
    **SHEET_PAPER,
    "description": "Paper to print on: A4 or Letter sheets; without it what is usual where the workshop is.",
    "schema": {"type": "string", "enum": ["a4", "letter"]},
}
SQUARES = [
    {
        "name": f"square-{way}",
        "in": "query",
        "required": False,
        "description": f"What the 100 mm square measured {way} the page on a print without this: the print is"
        " corrected for that, from 97 to 103 mm. A bare number is in millimetres.",
        "schema": {"type": "string", "maxLength": 40, "examples": ["99.2 mm"]},
    }
    for way in ("across", "down")
]
PARTIAL = {
    "name": "HX-Request",
    "in": "header",
    "required": False,
    "description": "Asks for only the parts of the page that change.",
    "schema": {"type": "string", "enum": ["true"]},
}

UNWELL: dict[int | str, dict[str, Any]] = {
    503: {
        "description": "The store is out of reach, or is not in the shape that this release needs.",
        "content": {
            "application/json": {"schema": {"$ref": "#/components/schemas/HealthAnswer"}},
            "application/problem+json": {"schema": {"$ref": "#/components/schemas/Problem"}},
        },
    }
}

PROBLEM = {"application/problem+json": {"schema": {"$ref": "#/components/schemas/Problem"}}}
KEYED: dict[int | str, dict[str, Any]] = {
    401: {
        "description": "No key was shown, or none that is in force.",
        "headers": {"WWW-Authenticate": {"schema": {"type": "string"}}},
        "content": PROBLEM,
    },
    404: {"description": "There is no such order.", "content": PROBLEM},
    414: {"description": "The query string is too long.", "content": PROBLEM},
    422: {"description": "A parameter can't be used; what would work is named.", "content": PROBLEM},
    429: {
        "description": "Asked too often.",
        "headers": {"Retry-After": {"description": "[s]", "schema": {"type": "integer"}}},
        "content": PROBLEM,
    },
    503: {"description": "The store is out of reach.", "content": PROBLEM},
}
"""How an address that takes a key refuses."""
KEY = {
    "type": "http",
    "scheme": "bearer",
    "description": "A key that the workshop's owner makes at /shop/connections.",
}


def parameters(workshop: Workshop) -> list[dict[str, Any]]:
    """Return the description of every parameter of a design in this workshop; each kind needs others."""
    return [
        {
            "name": one.name,
            "in": "query",
            "required": False,
            "description": one.about,
            "schema": one.schema(workshop),
        }
        for one in ALL.values()
    ]


def found(description: str, kind: str) -> dict[int | str, dict[str, Any]]:
    """Return the description of an answer that is text or bytes of one media type."""
    return {200: {"description": description, "content": {kind: {"schema": {"type": "string"}}}}}


def refusals(kind: str) -> dict[int | str, dict[str, Any]]:
    """Return the description of how a route with this media type refuses what can't be read or made."""
    page = {"text/html": {"schema": {"type": "string"}}}
    problem = {"application/problem+json": {"schema": {"$ref": "#/components/schemas/Problem"}}}
    content = {"text/html": page, "application/json": problem}.get(kind, {**problem, **page})
    return {
        414: {"description": "The query string is too long.", "content": content},
        422: {
            "description": "The design can't be read or made; what would work is named.",
            "content": content,
        },
    }


def answers(description: str, kind: str) -> dict[int | str, dict[str, Any]]:
    """Return the description of a design route's answers."""
    return {**found(description, kind), **refusals(kind)}


def describe(app: FastAPI, workshop: Workshop) -> dict[str, Any]:
    """Return the whole description for the choices a workshop has; each GET is described for HEAD too."""
    schema = get_openapi(
        title=app.title,
        version=app.version,
        summary=app.summary,
        description=app.description,
        routes=app.routes,
    )
    problem = TypeAdapter(Problem).json_schema(ref_template="#/components/schemas/{model}")
    components = schema.setdefault("components", {})
    components["securitySchemes"] = {"key": KEY}
    schemas = components.setdefault("schemas", {})
    schemas.update(problem.pop("$defs"))
    schemas["Problem"] = problem
    for path in schema["paths"].values():
        for one in path["get"].get("parameters", ()):
            if one["name"] in ALL:
                one["schema"] = ALL[one["name"]].schema(workshop)
        path["head"] = _headless(path["get"])
    return schema


def _headless(operation: dict[str, Any]) -> dict[str, Any]:
    same = deepcopy(operation)
    same["operationId"] += "-head"
    for answer in same["responses"].values():
        answer.pop("content", None)
    return same
