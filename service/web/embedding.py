"""The configurator in a frame on the shop's own site, and the script that puts it there.

Only this page may be framed, and only by the sites that the workshop lists: everything else, the enquiry too,
opens in a window of its own, so that nobody's click lands on what they don't see.
"""

from typing import Final

from starlette.requests import Request
from starlette.responses import FileResponse, Response

from service.design import not_ready
from service.errors import GirthwrightError
from service.settings import ROOT
from service.web.configurator import made_page
from service.web.design_page import design_page, is_partial
from service.web.errors import answer_to
from service.web.house import house_of, origin
from service.web.query import read_query
from service.web.sites import frame_headers, sites_of

SCRIPT: Final = ROOT / "static" / "js" / "embed.js"


def embed(request: Request) -> Response:
    """The page as it stands in a frame."""
    house = house_of(request)
    sites = () if is_partial(request) else sites_of(request)  # parts are fetched, and never framed
    lacking = not_ready(house.workshop)
    try:
        if lacking is not None:
            raise lacking
        asked = read_query(request.scope["query_string"], house.settings.query_max)
        answer = design_page(request, made_page(asked, house.workshop, origin(request)), asked)
    except GirthwrightError as fault:
        answer = answer_to(request, fault)
    answer.headers.update(frame_headers(sites))
    return answer


def embed_script(_request: Request) -> Response:
    """The script that a site names in one line."""
    headers = {"Cache-Control": "public, max-age=3600", "Cross-Origin-Resource-Policy": "cross-origin"}
    return FileResponse(SCRIPT, headers=headers, media_type="text/javascript")
