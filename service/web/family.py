"""What the families of pages share: adding their addresses, showing a page, going on after a write."""

from collections.abc import Callable
from http import HTTPStatus
from typing import Any

from fastapi import FastAPI
from fastapi.responses import JSONResponse
from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response

from service.language import spoken
from service.web.again import refused_form
from service.web.house import house_of

FORM_MAX = 65_536
"""The largest form that is read [bytes]."""

Route = Callable[..., Response]


def add_page(
    app: FastAPI,
    path: str,
    show: Route | None = None,
    take: Route | None = None,
    *,
    body_max: int = FORM_MAX,
) -> None:
    """Add an address that is shown by GET and HEAD, takes a form by POST, or both.

    Both are plain functions: they run in a thread, since they ask the store.
    """
    if show is not None:
        app.add_api_route(path, show, methods=["GET", "HEAD"], include_in_schema=False, response_model=None)
    if take is not None:
        app.add_api_route(
            path, take, methods=["POST"], include_in_schema=False, response_model=None, max_body_size=body_max
        )


def add_read(
    app: FastAPI,
    path: str,
    endpoint: Callable[[Request], Any],
    responses: dict[int | str, dict[str, Any]],
    described: list[dict[str, Any]],
    model: type | None = None,
    *,
    keyed: bool = False,
) -> None:
    """Add an address that programs may read, by GET and HEAD; one that is `keyed` takes a key.

    The description of HEAD is made from that of GET.
    """
    more: dict[str, Any] = {"parameters": described} if described else {}
    if keyed:
        more["security"] = [{"key": []}]
    app.add_api_route(
        path,
        endpoint,
        methods=["GET"],
        operation_id=endpoint.__name__.replace("_", "-"),
        response_class=JSONResponse if model else Response,
        response_model=model,
        responses=responses,
        openapi_extra=more or None,
    )
    app.add_api_route(path, endpoint, methods=["HEAD"], include_in_schema=False, response_model=None)


def shown(request: Request, template: str, page: object, status: int = HTTPStatus.OK) -> HTMLResponse:
    """Return a page: the template is given the value `page`, and `again` where a form is refused."""
    again = refused_form(request, status)
    text = house_of(request).pages.get_template(template).render(page=page, again=again)
    return HTMLResponse(text, status, {"Content-Language": spoken().code})


def go_on(path: str) -> RedirectResponse:
    """Return the answer to a form that was taken: look there next, and loading that again does no harm."""
    return RedirectResponse(path, HTTPStatus.SEE_OTHER)
