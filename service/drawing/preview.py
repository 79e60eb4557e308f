"""The live preview: worn views, the flat strap folded into rows, and details of both ends."""

import re
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any, Final

from service.design import CollarPattern, LeadPattern, Pattern, SetPattern, SlipPattern
from service.drawing.elements import Figure, group
from service.drawing.flat import end_details, flat_pieces, flat_strap
from service.drawing.lead_figures import lead_views
from service.drawing.lead_flat import lead_details, lead_strap
from service.drawing.slip import slip_details, slip_flat, slip_views
from service.drawing.worn import worn_views
from service.language import tr
from service.units import System

WIDE, MARGIN, GAP = 360.0, 10.0, 8.0
"""Width of the whole preview, the margin round it and the gap between its figures [px on a phone]."""
LETTERS = "'Atkinson Hyperlegible Next', Verdana, sans-serif"

BY_THE_RING: Final = ("lettering", "plate", "code", "stud")
"""Marks of what is seen beside the ring, or better there than under the tail."""
TAG: Final = re.compile(r"<[^>]*>")
NAMED: Final = re.compile(r'(\bid="|href="#|url\(#)')
"""Where a tag gives a name or uses one; in the text between tags nothing is a name."""


@dataclass(frozen=True, slots=True)
class Drawn:
    """A drawing: inline SVG, ready for a page, the name it is kept under, and what is written under it."""

    name: str
    svg: str
    caption: str = ""


@dataclass(frozen=True, slots=True)
class Figures:
    """How it looks in use, the flat strap in pieces to wrap, and details.

    The pieces and the details use the drawing that the first piece holds: they belong on one page.
    """

    worn: tuple[Drawn, ...]
    flat: tuple[str, ...]
    details: tuple[Drawn, ...]


@dataclass(frozen=True, slots=True)
class Artist:
    """What draws a kind of thing: in use, flat and its details, each with the name it is kept under.

    What is a measure in use and the ruler along the strap are in the reader's system.
    """

    worn: Callable[[Any, System], tuple[tuple[str, Figure], ...]]
    flat: Callable[[Any, System], tuple[Figure, ...]]
    details: Callable[[Any], tuple[tuple[str, str, Figure], ...]]


def _collar_worn(pattern: CollarPattern, _system: System) -> tuple[tuple[str, Figure], ...]:
    return tuple(zip(("worn-buckle", "worn-ring"), worn_views(pattern), strict=True))


def _collar_flat(pattern: CollarPattern, system: System) -> tuple[Figure, ...]:
    return flat_pieces(flat_strap(pattern, system))


def _collar_details(pattern: CollarPattern) -> tuple[tuple[str, str, Figure], ...]:
    buckle_end, point = end_details(pattern)
    return ("buckle-end", tr("Buckle end"), buckle_end), ("point", tr("Holes and tip"), point)


def _lead_worn(pattern: LeadPattern, _system: System) -> tuple[tuple[str, Figure], ...]:
    return lead_views(pattern)


def _set_views(pattern: SetPattern, system: System) -> tuple[tuple[str, Figure], ...]:
    """Return the collar from its buckle's side or, adorned, from the ring's, and the lead's end."""
    adorned = any(mark.kind in BY_THE_RING for mark in pattern.collar.strap.marks)
    return _collar_worn(pattern.collar, system)[adorned], lead_views(pattern.lead)[0]


def _set_flat(pattern: SetPattern, system: System) -> tuple[Figure, ...]:
    return _collar_flat(pattern.collar, system)


def _set_details(pattern: SetPattern) -> tuple[tuple[str, str, Figure], ...]:
    """Return both ends of the collar's strap, the end of the lead's, and its other pieces."""
    straps = (part for part in pattern.parts if part.name == "lead-strap")
    return (*_collar_details(pattern.collar), *lead_details(pattern.lead, *straps))


ARTISTS: Final[dict[type[Pattern], Artist]] = {
    CollarPattern: Artist(_collar_worn, _collar_flat, _collar_details),
    SetPattern: Artist(_set_views, _set_flat, _set_details),
    SlipPattern: Artist(slip_views, slip_flat, slip_details),
    LeadPattern: Artist(_lead_worn, lead_strap, lead_details),
}
"""What draws each kind of thing."""


def figures(pattern: Pattern, system: System) -> Figures:
    """Return the figures of a pattern for a reader of this system. Deterministic."""
    artist = ARTISTS[type(pattern)]
    return Figures(
        tuple(Drawn(name, figure.inline()) for name, figure in artist.worn(pattern, system)),
        tuple(piece.inline() for piece in artist.flat(pattern, system)),
        tuple(Drawn(name, figure.inline(), caption) for name, caption, figure in artist.details(pattern)),
    )


def told_apart(made: Figures, name: str) -> Figures:
    """Return the same figures under names of their own, for a page that shows those of another design too."""

    def under(text: str) -> str:
        return TAG.sub(lambda tag: NAMED.sub(rf"\1{name}-", tag[0]), text)

    def each(drawn: tuple[Drawn, ...]) -> tuple[Drawn, ...]:
        return tuple(replace(one, svg=under(one.svg)) for one in drawn)

    return Figures(each(made.worn), tuple(map(under, made.flat)), each(made.details))


def preview_svg(pattern: Pattern, system: System) -> str:
    """Return all figures of a pattern in one SVG file, one under the other, readable on a phone."""
    artist = ARTISTS[type(pattern)]
    worn = (figure for _, figure in artist.worn(pattern, system))
    details = (figure for _, _, figure in artist.details(pattern))
    rows: list[str] = []
    y = 0.0
    for figure in (*worn, *artist.flat(pattern, system), *details):
        row, height = figure.placed(MARGIN, y, WIDE - 2 * MARGIN)
        rows.append(row)
        y += height + GAP
    content = group("".join(rows), font_family=LETTERS)
    return Figure((0.0, 0.0, WIDE, y), content, tr("Preview of the design"), "preview").inline()
