"""Which status and which page a fault becomes: HTML for people, problem details (RFC 9457) for programs."""

from collections.abc import Sequence
from dataclasses import dataclass
from http import HTTPStatus
from urllib.parse import urlencode

from anyio import to_thread
from pydantic_core import to_json
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response
from starlette.routing import Match

from service.design import not_ready
from service.errors import DesignError, DesignRefused, GirthwrightError
from service.language import mark, tr
from service.storage import NotKept, StaleWrite, StorageFull, StorageUnavailable
from service.units import System
from service.web.access import FormUnreadable, NotAllowed, SignInNeeded
from service.web.answers import Problem, TroubleAnswer, trouble
from service.web.api_keys import AskedTooOften, KeyNeeded
from service.web.api_parameters import ParametersRefused
from service.web.configurator import refused_page
from service.web.design_page import FRAMED, PAGES, design_page, frame_at, is_partial
from service.web.fields import own_system, system_of
from service.web.house import House, house_of, origin
from service.web.pace import TooOften
from service.web.prints import OWN, of_design, prints_again
from service.web.query import Asked, QueryTooLong, QueryUnreadable, read_query
from service.web.security import PROGRAMS, SAFE
from service.web.sign_in import ask_in_again
from service.web.sites import frame_headers
from service.web.unsent import unsent_by
from service.web.watch import refused

PROBLEM_TYPE = "/openapi.json#/components/schemas/Problem"
"""Where problems that name parameters are described; the others are nothing but their status."""


@dataclass(frozen=True, slots=True)
class Kind:
    """How a kind of fault is answered: `title` for programs, `heading` and `message` for people.

    Without a `message` the error's own sentence is shown. `again` is when to ask again [s], 0 for never.
    """

    status: int
    title: str
    heading: str
    message: str = ""
    again: int = 0


DESIGN = Kind(422, "This design can't be made", mark("This can't be made as asked"))
FAULT = Kind(
    500,
    "Internal Server Error",
    mark("Something went wrong here"),
    mark("The fault is ours, not yours, and it is noted. Try again: the address still holds your design."),
)

NOT_NOW = mark(
    "Nothing was changed. Try again in a moment; what you filled in is still there when you go back."
)

UNREADY = Kind(
    200,
    "OK",
    mark("Nothing can be made here yet"),
    mark("The workshop is still moving in; come back soon."),
)

METHODS = ("GET", "HEAD", "POST")

ELSEWHERE = Kind(
    403,
    "Forbidden",
    mark("That was not sent from here"),
    mark("Only this service's own pages can send it something. Open the page here, and send it again."),
)

TOO_OFTEN = Kind(429, "Too Many Requests", mark("One moment"))

BY_CLASS: dict[type[Exception], Kind] = {
    StorageFull: Kind(
        503,
        "Insufficient Storage",
        mark("Nothing can be kept just now"),
        mark(
            "The workshop's disk is full. Nothing was changed. Try again in a moment; what you filled in is"
            " still there when you go back."
        ),
        60,
    ),
    StorageUnavailable: Kind(
        503, "Service Unavailable", mark("The workshop's books are out of reach"), NOT_NOW, 5
    ),
    NotKept: Kind(
        404,
        "Not Found",
        mark("There is nothing here"),
        mark("Nothing is kept under this address. It may have been erased."),
    ),
    StaleWrite: Kind(
        409,
        "Conflict",
        mark("Someone else was quicker"),
        mark(
            "Someone else has changed this meanwhile. Nothing was overwritten: look at it as it is now, and"
            " change it again."
        ),
    ),
    NotAllowed: Kind(403, "Forbidden", mark("That is for others to do")),
    FormUnreadable: Kind(422, "Unprocessable Content", mark("That can't be read")),
    QueryTooLong: Kind(414, "URI Too Long", mark("This address is too long")),
    QueryUnreadable: Kind(422, "Unprocessable Content", mark("This address can't be read")),
    ParametersRefused: Kind(422, "Unprocessable Content", mark("That can't be read")),
    AskedTooOften: Kind(429, "Too Many Requests", mark("That was asked too often")),
    KeyNeeded: Kind(401, "Unauthorized", mark("This takes a key")),
    DesignRefused: DESIGN,
    DesignError: DESIGN,
    GirthwrightError: Kind(422, "Unprocessable Content", mark("That can't be read")),
}
"""How each deliberate error is answered; the nearest class counts."""

BY_STATUS = {
    404: Kind(
        404,
        "Not Found",
        mark("There is nothing here"),
        mark("No page has this address. It may have been cut or mistyped."),
    ),
    405: Kind(
        405, "Method Not Allowed", mark("That can't be done here"), mark("This address does something else.")
    ),
    413: Kind(
        413,
        "Content Too Large",
        mark("That is too much"),
        mark("This address takes less than was sent. Go back, make it shorter, and send it again."),
    ),
}
"""How answers of the framework itself are worded."""


async def deliberate(request: Request, fault: Exception) -> Response:
    """Answer one of our own errors."""
    if isinstance(fault, SignInNeeded) and request.method not in SAFE:
        return await _sign_in_first(request)
    return answer_to(request, fault)


def answer_to(request: Request, fault: Exception) -> Response:
    """Return the answer to one of our own errors."""
    if isinstance(fault, TooOften):
        return held_up(request, fault)
    if isinstance(fault, SignInNeeded):
        return RedirectResponse("/shop/sign-in?" + urlencode({"next": fault.back}), HTTPStatus.SEE_OTHER)
    if isinstance(fault, NotAllowed):
        refused(request, "role", fault.member)
    kind = next(BY_CLASS[one] for one in type(fault).__mro__ if one in BY_CLASS)
    if isinstance(fault, ParametersRefused):
        return _problem(kind, str(fault), fault.troubles)
    if kind is not DESIGN:
        answer = _answer(request, kind, tr(kind.message) or str(fault))
        if isinstance(fault, KeyNeeded):
            answer.headers["WWW-Authenticate"] = fault.challenge
        if isinstance(fault, AskedTooOften):
            answer.headers["Retry-After"] = str(fault.wait_s)
        return answer
    problems = fault.problems if isinstance(fault, DesignRefused) else (fault,)
    found = tuple(problem for problem in problems if isinstance(problem, DesignError))
    if wants_page(request):
        own = request.scope["path"].endswith(".pdf") and all(one.field in OWN for one in found)
        return prints_again(request) if own else _design_page(request, found)
    system = _system(request)
    return _problem(kind, _details(found, system), [trouble(problem, system) for problem in found])


async def _sign_in_first(request: Request) -> Response:
    """Show the door to whoever sends after their session has ended; what they sent comes along, for later."""
    try:
        body = await request.body()
    except HTTPException:  # more than the address takes
        body = b""
    try:
        return await to_thread.run_sync(ask_in_again, request, unsent_by(request, body))
    except StorageUnavailable as worse:
        return answer_to(request, worse)


async def by_status(request: Request, fault: Exception) -> Response:
    """Answer an HTTP error of the framework."""
    status = fault.status_code if isinstance(fault, HTTPException) else FAULT.status
    phrase = HTTPStatus(status).phrase
    answer = _answer(request, BY_STATUS.get(status, Kind(status, phrase, phrase, f"{phrase}.")))
    if status == HTTPStatus.METHOD_NOT_ALLOWED:
        answer.headers["Allow"] = ", ".join(_methods(request))
    return answer


def refused_origin(request: Request) -> Response:
    """Answer something sent from a page that is not ours."""
    refused(request, "sent from elsewhere")
    return _answer(request, ELSEWHERE)


def held_up(request: Request, fault: TooOften) -> Response:
    """Answer whoever asks too often."""
    answer = _answer(request, TOO_OFTEN, str(fault))
    answer.headers["Retry-After"] = fault.seconds
    if request.scope["path"] == FRAMED:  # this early nothing else lets it be framed; the store isn't asked
        answer.headers.update(frame_headers(getattr(request.app.state, "framed_by", ())))
    return answer


async def unexpected(request: Request, _fault: Exception) -> Response:
    """Answer a fault of our own making; the server's log has the rest."""
    return _answer(request, FAULT)


def wants_page(request: Request) -> bool:
    """Tell whether a person is reading: by the address where it settles that, else by what is accepted."""
    path: str = request.scope["path"]
    if path in PAGES or path.endswith(".json") or path.startswith(PROGRAMS):
        return path in PAGES
    return prefers_html(request.headers.get("accept", ""))


def prefers_html(accept: str) -> bool:
    """Tell whether an Accept header names HTML, and doesn't prefer JSON to it (RFC 9110, 12.5.1)."""
    weights = dict(_weight(part) for part in accept.split(","))
    html = max(weights.get("text/html", 0.0), weights.get("application/xhtml+xml", 0.0))
    return html > 0 and html >= max(
        weights.get("application/json", 0.0), weights.get("application/problem+json", 0.0)
    )


def _weight(part: str) -> tuple[str, float]:
    kind, *settings = (piece.strip().lower() for piece in part.split(";"))
    given = next((setting[2:] for setting in settings if setting.startswith("q=")), "1")
    try:
        return kind, float(given)
    except ValueError:
        return kind, 0.0


def _design_page(request: Request, problems: tuple[DesignError, ...]) -> Response:
    house = house_of(request)
    lacking = not_ready(house.workshop)
    if lacking is not None and not is_partial(request):
        if request.scope["path"] == FRAMED:
            return _framed(request, UNREADY, tr(UNREADY.message))
        return unready_page(house, lacking, DESIGN.status)
    asked = _asked(request, house.settings.query_max)
    page = refused_page(asked, problems, house.workshop, origin(request))
    return design_page(request, page, asked, DESIGN.status if page.problems else HTTPStatus.OK)


def unready_page(house: House, lacking: DesignError, status: int = HTTPStatus.OK) -> Response:
    """Say that the workshop can make nothing yet, instead of showing a form without choices."""
    template = house.pages.get_template("configurator/unready.html")
    text = template.render(shop=house.workshop.name, message=lacking.message.said(own_system(house.workshop)))
    return HTMLResponse(text, status, {"Cache-Control": "no-cache"})


def _details(problems: tuple[DesignError, ...], system: System) -> str:
    """Every problem in one line, each behind the name of its field."""
    said = "; ".join(f"{one.field}: {one.message.said(system).rstrip('.')}" for one in problems)
    return f"{said}."


def _system(request: Request) -> System:
    """The reader's system of measures, by the address where that says it."""
    house = house_of(request)
    try:
        return system_of(_asked(request, house.settings.query_max), house.workshop)
    except QueryUnreadable:  # the design came from elsewhere
        return own_system(house.workshop)


def _asked(request: Request, limit: int) -> Asked:
    return of_design(read_query(request.scope["query_string"], limit))


def _answer(request: Request, kind: Kind, message: str = "") -> Response:
    said = message or tr(kind.message)
    if not wants_page(request):
        return _problem(kind, said)
    if request.scope["path"] == FRAMED:
        return _framed(request, kind, said)
    page = house_of(request).pages.get_template("error.html")
    text = page.render(title=tr(kind.heading), message=said, status=kind.status, start="/")
    return HTMLResponse(text, kind.status, _headers(kind))


def _framed(request: Request, kind: Kind, said: str) -> Response:
    """A few lines in a frame: what is the matter, and a way on where there is one."""
    house, here = house_of(request), frame_at(request)
    later = kind.status >= HTTPStatus.TOO_MANY_REQUESTS
    again = f"{here}?{request.url.query}" if request.url.query else here
    text = house.pages.get_template("embed/sorry.html").render(
        title=tr(kind.heading),
        message=said,
        shop=house.workshop.name,
        again_at=again if later else "",
        start="" if later or kind is UNREADY else here,
    )
    return HTMLResponse(text, kind.status, _headers(kind))


def _methods(request: Request) -> list[str]:
    """Every method of an address, in the order in which they are known."""
    there: set[str] = set()
    for route in request.app.routes:
        if route.matches(request.scope)[0] is not Match.NONE:
            there |= getattr(route, "methods", None) or {"GET", "HEAD"}
    return [method for method in METHODS if method in there] or [*METHODS[:2]]  # a file's, below its folder


def _headers(kind: Kind) -> dict[str, str]:
    again = {"Retry-After": str(kind.again)} if kind.again else {}
    return {"Cache-Control": "no-cache", **again}


def _problem(kind: Kind, detail: str, troubles: Sequence[TroubleAnswer] = ()) -> Response:
    answer: Problem = {
        "type": PROBLEM_TYPE if troubles else "about:blank",
        "title": kind.title,
        "status": kind.status,
        "detail": detail,
        "errors": [*troubles],
    }
    return Response(to_json(answer), kind.status, _headers(kind), media_type="application/problem+json")
