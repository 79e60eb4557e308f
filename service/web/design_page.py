"""The answer that is the configurator's page, or for a script in it only the parts that change.

The same page stands at two addresses: its own, and one that may be framed by sites that the workshop names.
"""

from dataclasses import replace
from http import HTTPStatus
from typing import Final

from starlette.requests import Request
from starlette.responses import HTMLResponse, Response

from service.web.house import house_of
from service.web.page import ConfiguratorPage, Fix, FormField
from service.web.query import Asked, address, linked

FRAMED: Final = "/embed"
"""The address of the page that may stand in a frame."""
PAGES: Final = ("/", FRAMED)
HEADERS: Final = {"Vary": "HX-Request, HX-Request-Type", "Cache-Control": "no-cache"}


def design_page(
    request: Request, page: ConfiguratorPage, asked: Asked, status: int = HTTPStatus.OK
) -> Response:
    """Answer with the configurator's page at the address that was asked."""
    house, framed = house_of(request), request.scope["path"] == FRAMED
    here = frame_at(request) if framed else "/"
    shown = _framed(page, here) if framed else page
    if not is_partial(request):
        template = house.pages.get_template(f"{'embed' if framed else 'configurator'}/page.html")
        return HTMLResponse(template.render(page=shown), status, HEADERS)
    text = house.pages.get_template("configurator/_parts.html").render(page=shown)
    # The address bar gets the design as a link: without what was left empty, and with every unit.
    link = address(here, linked(asked, house.workshop))
    return HTMLResponse(text, status, {**HEADERS, "HX-Replace-Url": link})


def is_partial(request: Request) -> bool:
    """Tell whether a script in the page wants only the parts that change."""
    headers = request.headers
    return (
        headers.get("hx-request") == "true"
        and headers.get("hx-request-type") != "full"
        and headers.get("hx-history-restore-request") != "true"
    )


def frame_at(request: Request) -> str:
    """Return the address of the framed page in the language that the shop's line names, if it names one."""
    code = request.scope.get("language", "")
    return f"{FRAMED}/{code}" if code else FRAMED


def _framed(page: ConfiguratorPage, here: str) -> ConfiguratorPage:
    """The same page, where what leads to another design stays in the frame."""
    outcome = page.outcome
    if outcome is not None:
        says = tuple(replace(one, fixes=_in_frame(one.fixes, here)) for one in outcome.says)
        outcome = replace(outcome, says=says, frame=here)
    return replace(
        page,
        here=here,
        main=_fields(page.main, here),
        kinds=tuple(replace(one, value=here + one.value.removeprefix("/")) for one in page.kinds),
        more=tuple((heading, _fields(fields, here)) for heading, fields in page.more),
        problems=_fields(page.problems, here),
        outcome=outcome,
    )


def _fields(fields: tuple[FormField, ...], here: str) -> tuple[FormField, ...]:
    return tuple(replace(field, fixes=_in_frame(field.fixes, here)) for field in fields)


def _in_frame(fixes: tuple[Fix, ...], here: str) -> tuple[Fix, ...]:
    return tuple(
        replace(fix, href=here + fix.href.removeprefix("/"))
        if fix.href == "/" or fix.href.startswith("/?")
        else fix
        for fix in fixes
    )
