"""How strong a collar is estimated to be: a page of its own, and the part of the design's page with it."""

from dataclasses import dataclass
from typing import Final

from starlette.requests import Request
from starlette.responses import HTMLResponse, Response

from service.design import FOR_THE_WEARER
from service.language import tr
from service.strength import Mode, estimate_strength, ratio, ways_to_strengthen
from service.units import System
from service.web.design_page import FRAMED, HEADERS, frame_at, is_partial
from service.web.fields import fixes, system_of
from service.web.house import house_of
from service.web.page import Row
from service.web.query import Asked, address, design, linked, read_query
from service.web.strength_words import as_weight, assumed_words, compared, demanded, force_range, times
from service.web.words import title
from service.workshop import Workshop

HERE: Final = "/strength"
IN_FRAME: Final = f"{FRAMED}{HERE}"
"""The part of the page that stands in a frame: its links to other designs stay there."""


@dataclass(frozen=True, slots=True)
class ModeRow:
    """A way to fail: what happens, from which pull on, and what that comes from; each input by its letter."""

    name: str
    amount: str
    times: str
    formula: str
    inputs: tuple[tuple[str, str, str], ...]
    source: str


@dataclass(frozen=True, slots=True)
class WayRow:
    """A change that makes it stronger: in words, its address, and the weakest place then."""

    text: str
    href: str
    then: str


@dataclass(frozen=True, slots=True)
class StrengthPage:
    """The estimate in words. `back` is the design's own page.

    `snatch` says what is known of the pull at the end of a slack lead, `outrun` that this may not hold it.
    """

    shop: str
    title: str
    back: str
    weakest: str
    weight: str
    by_hand: str
    snatch: str
    outrun: bool
    first: str
    unknown: tuple[str, ...]
    breaking: tuple[ModeRow, ...]
    giving: tuple[ModeRow, ...]
    demands: tuple[Row, ...]
    ways: tuple[WayRow, ...]
    assumed: tuple[str, ...]
    caution: str


def strength(request: Request) -> Response:
    """The estimate, as a page or, for a script in the design's page, as a part of that."""
    house = house_of(request)
    asked = read_query(request.scope["query_string"], house.settings.query_max)
    frame = frame_at(request) if request.scope["path"] == IN_FRAME else ""
    page = strength_page(asked, house.workshop, frame=frame)
    template = "strength/_estimate.html" if is_partial(request) else "strength/page.html"
    return HTMLResponse(house.pages.get_template(template).render(page=page), headers=HEADERS)


def strength_page(asked: Asked, workshop: Workshop, *, frame: str = "") -> StrengthPage:
    """Return what is said of a design, whose ways stay in the frame at an address; raises DesignRefused."""
    system = system_of(asked, workshop)
    pattern = design(asked, workshop)
    found = estimate_strength(pattern, workshop)
    weakest, by_hand, run = found.weakest, found.by_hand, found.snatch

    def row(mode: Mode) -> ModeRow:
        more = times(mode, by_hand) if mode.known else ""
        inputs = tuple((one.letter, tr(one.name), one.value.said(system)) for one in mode.inputs)
        name = mode.name.said(system)
        return ModeRow(name, force_range(mode), more, mode.formula, inputs, tr(mode.source))

    ways = ways_to_strengthen(pattern, workshop)
    links = fixes([way.change for way in ways], asked, workshop)
    return StrengthPage(
        workshop.name,
        title(pattern, system),
        address("/", linked(asked, workshop)),
        _said(weakest, system),
        as_weight(weakest.least),
        compared(weakest, by_hand, system),
        tr("With the dog's weight, the pull at the end of a slack lead is estimated too.")
        if run is None
        else compared(weakest, run, system),
        run is not None and ratio(weakest, run) < 1,
        _said(found.giving[0], system) if found.giving else "",
        tuple(mode.name.said(system) for mode in found.unknown),
        tuple(map(row, found.breaking)),
        tuple(map(row, found.giving)),
        tuple(Row(one.name.said(system), demanded(one), tr(one.source)) for one in found.demands),
        tuple(
            WayRow(link.text, frame + link.href[1:] if frame else link.href, _said(way.weakest, system))
            for way, link in zip(ways, links, strict=True)
        ),
        assumed_words(pattern, workshop.assumptions, system),
        tr(FOR_THE_WEARER[0]),
    )


def _said(mode: Mode, system: System) -> str:
    return tr("{what}: {force}", what=mode.name.said(system), force=force_range(mode))
