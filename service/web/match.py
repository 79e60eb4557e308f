"""Match the dog: a colour that is picked, or a photo, and the dyes and leathers nearest to it.

A photo is decoded in memory, looked at and forgotten: what goes on is its few main colours, in an address.
"""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from http import HTTPStatus
from typing import Final

from fastapi import FastAPI
from starlette.requests import Request
from starlette.responses import Response

from service.colour import difference, dominant, lab_of, rgb_of
from service.language import decimals, mark, tr
from service.web.family import FORM_MAX, add_page, go_on, shown
from service.web.house import house_of
from service.web.pace import BODIES, PAGES, PHOTOS, TooOften, keep_pace
from service.web.parameters import ALL
from service.web.pictures import CONTENT_MAX, PictureRefused, middle_pixels
from service.web.query import Asked, address, linked, read_query
from service.web.upload import form_in_memory
from service.workshop import Leather, Workshop

HERE: Final = "/match"
PICKED, SEEN = "colour", "colours"
"""What an address holds beside the design: a colour that was picked, or those of a photo and their shares."""
COLOUR: Final = re.compile(r"#[0-9a-f]{6}")
SHARES: Final = re.compile(r"([0-9a-f]{6})-(\d{1,3})(?:\.|$)")
START: Final = "#8a5a2b"
"""What is in the field before anything is picked."""
BODY_MAX: Final = CONTENT_MAX + FORM_MAX
MOST: Final = 2
"""So many dyes, and so many leathers, are named for each colour."""
WORDS: Final = (
    (1.8, mark("hard to tell apart")),
    (5.0, mark("close: told apart side by side")),
    (10.0, mark("a clear difference")),
)
"""What a difference is called, up to so much [CIEDE2000]. Up to 1.8 half of all lookers call two a match:
Paravina and others, "Color difference thresholds in dentistry" (2015), from memory; the rest by eye."""


@dataclass(frozen=True, slots=True)
class Near:
    """A dye or a leather with its colour, how near it is in words, and the address of the design with it."""

    name: str
    colour: str
    said: str
    href: str


@dataclass(frozen=True, slots=True)
class CoatColour:
    """A colour of the dog: as it is seen, what it is, and what is nearest to it."""

    colour: str
    said: str
    nearest: tuple[Near, ...]


@dataclass(frozen=True, slots=True)
class MatchPage:
    """The page: `kept` are the design's parameters, `back` is its address."""

    shop: str
    back: str
    action: str
    kept: tuple[tuple[str, str], ...]
    picked: str
    picked_error: str
    photo_error: str
    found: tuple[CoatColour, ...]
    from_photo: bool
    dyes: bool


def match_routes(app: FastAPI) -> None:
    """Add the addresses."""
    add_page(app, HERE, match, take_photo, body_max=BODY_MAX)


def match(request: Request) -> Response:
    """The page, with what is nearest to the colours in its address."""
    house = house_of(request)
    asked = read_query(request.scope["query_string"], house.settings.query_max)
    picked, seen = asked.typed.get(PICKED, "").strip().lower(), asked.typed.get(SEEN, "").strip()
    wrong = ""
    colours: tuple[tuple[str, int], ...] = ()
    if picked and not COLOUR.fullmatch(picked):
        wrong, picked = tr("A colour is # and six figures from 0 to f: #8a5a2b."), ""
    elif picked:
        colours = ((picked, 0),)
    elif seen:
        colours = tuple((f"#{colour}", min(100, int(share))) for colour, share in SHARES.findall(seen)[:4])
    status = HTTPStatus.UNPROCESSABLE_ENTITY if wrong else HTTPStatus.OK
    return shown(request, "match/page.html", _page(house.workshop, asked, colours, picked, wrong), status)


def take_photo(request: Request) -> Response:
    """Look at a photo and go on to the page of its colours; of the photo itself nothing is kept."""
    house = house_of(request)
    asked = read_query(request.scope["query_string"], house.settings.query_max)
    said = request.headers.get("content-length", "")
    keep_pace(request, BODIES, int(said) if said.isdecimal() else BODY_MAX)
    _, content = form_in_memory(request, "photo", CONTENT_MAX)
    if not content:
        return _refused(request, asked, tr("Choose a photo first."))
    try:
        keep_pace(request, PAGES)
        keep_pace(request, PHOTOS, len(content))
        colours = dominant(middle_pixels(content))
    except (PictureRefused, TooOften) as fault:
        return _refused(request, asked, str(fault))
    seen = ".".join(f"{one.colour[1:]}-{round(one.share * 100)}" for one in colours)
    return go_on(address(HERE, _design(asked, house.workshop), **{SEEN: seen}))


def _refused(request: Request, asked: Asked, wrong: str) -> Response:
    page = _page(house_of(request).workshop, asked, (), "", "", wrong)
    return shown(request, "match/page.html", page, HTTPStatus.UNPROCESSABLE_ENTITY)


def _design(asked: Asked, workshop: Workshop) -> dict[str, str]:
    return {name: text for name, text in linked(asked, workshop).items() if name in ALL}


def _page(
    workshop: Workshop,
    asked: Asked,
    colours: tuple[tuple[str, int], ...],
    picked: str,
    picked_error: str,
    photo_error: str = "",
) -> MatchPage:
    kept = _design(asked, workshop)
    found = tuple(
        CoatColour(
            colour,
            tr("{share} % of what was looked at", share=share) if share else tr("The colour you picked"),
            tuple(_nearest(colour, kept, workshop)),
        )
        for colour, share in colours
    )
    return MatchPage(
        workshop.name,
        address("/", kept),
        address(HERE, kept),
        tuple(kept.items()),
        picked or START,
        picked_error,
        photo_error,
        found,
        bool(found) and not picked,
        ALL["dye"].offered(workshop),
    )


def _nearest(colour: str, kept: Mapping[str, str], workshop: Workshop) -> Iterator[Near]:
    """The nearest dyes, on the leather chosen if that takes one, and the nearest leathers as they come."""
    wanted = lab_of(rgb_of(colour))

    def off(other: str) -> float:
        return difference(wanted, lab_of(rgb_of(other)))

    found: list[tuple[float, str, str, str]] = []
    ground = _ground(kept, workshop)
    if ground is not None:
        for dye in sorted(workshop.dyes, key=lambda row: off(row.colour))[:MOST]:
            name = tr("{dye}, dyed on {leather}", dye=dye.name, leather=ground.name)
            href = address("/", kept, leather=ground.code, dye=dye.code)
            found.append((off(dye.colour), name, dye.colour, href))
    for leather in sorted(workshop.leathers, key=lambda row: off(row.colour))[:MOST]:
        name = tr("{leather}, as it comes", leather=leather.name)
        href = address("/", kept, leather=leather.code, dye="")
        found.append((off(leather.colour), name, leather.colour, href))
    for apart, name, shade, href in sorted(found):
        yield Near(name, shade, _said(apart), href)


def _ground(kept: Mapping[str, str], workshop: Workshop) -> Leather | None:
    """The leather that a dye would go on."""
    rows = [row for row in workshop.leathers if row.colouring == "undyed"]
    return next((row for row in rows if row.code == kept.get("leather")), rows[0] if rows else None)


def _said(apart: float) -> str:
    words = next((tr(words) for most, words in WORDS if apart <= most), tr("another colour"))
    return tr("{words}; difference {amount}", words=words, amount=decimals(f"{apart:.1f}"))
