"""How to measure a dog: a page of its own, and a part of the design's page, fetched when it is unfolded."""

from dataclasses import dataclass
from typing import Final

from starlette.requests import Request
from starlette.responses import HTMLResponse, Response

from service.design import FOR_THE_WEARER
from service.language import tr
from service.web.design_page import FRAMED, HEADERS, is_partial
from service.web.house import house_of
from service.web.query import address, linked, read_query

HERE: Final = "/measure"
IN_FRAME: Final = FRAMED + HERE


@dataclass(frozen=True, slots=True)
class MeasurePage:
    """The guide; `back` is the design it was asked from, `window` where its own links open."""

    shop: str
    back: str
    window: str
    cautions: tuple[str, ...]


def measure(request: Request) -> Response:
    """The guide as a page or, for a script in the design's page, as a part of that."""
    house = house_of(request)
    asked = read_query(request.scope["query_string"], house.settings.query_max)
    page = MeasurePage(
        house.workshop.name,
        address("/", linked(asked, house.workshop)),
        "_blank" if request.scope["path"] == IN_FRAME else "_self",
        tuple(map(tr, FOR_THE_WEARER)),
    )
    template = "measure/_ways.html" if is_partial(request) else "measure/page.html"
    return HTMLResponse(house.pages.get_template(template).render(page=page), headers=HEADERS)
