"""An address as a code that a camera reads (QR code, ISO/IEC 18004), on paper and on a tag."""

from collections.abc import Iterator
from functools import lru_cache
from itertools import groupby

import segno

from service.design import squares_of
from service.drawing.sheet import FILL, Path, Run, box_run
from service.geometry import Point

SIDE = 26.0
"""Side of the code [mm] with the white around it."""
QUIET = 4
"""Squares left white on every side. Source: ISO/IEC 18004:2015, 6.3.8."""
MODULE_MIN = 0.35
"""Least side of its smallest square [mm] that a telephone reads from a desk printer's page. From memory."""


def scan_code(address: str, x: float, y: float) -> Path | None:
    """Return the code of an address from a place [mm] to the right and down, or None for one too long.

    Worked: 25 characters at error level M need 25 squares a side (ISO/IEC 18004, version 2), 0.79 mm each.
    """
    try:
        squares = squares_of(address)
    except segno.DataOverflowError:
        return None
    if SIDE / (len(squares) + 2 * QUIET) < MODULE_MIN:
        return None
    return Path(FILL, tuple(code_runs(address, (x, y), SIDE)), "scan-code")


def code_runs(content: str, at: Point, side: float) -> Iterator[Run]:
    """Yield a code's dark squares from a place to the right and down, `side` with what is bare, all [mm].

    Neighbours in a row are one box, so that no white line shows between them.
    """
    module = side / (len(squares_of(content)) + 2 * QUIET)
    for row, first, last in _boxes(content):
        x, y = at[0] + (QUIET + first) * module, at[1] + (QUIET + row) * module
        yield box_run(x, y, at[0] + (QUIET + last) * module, y + module)


@lru_cache(maxsize=256)
def code_path(content: str) -> str:
    """Return path data of a code's dark squares, a unit each, about its middle."""
    half = len(squares_of(content)) / 2
    return "".join(
        f"M{first - half:g} {row - half:g}h{last - first}v1h{first - last}z"
        for row, first, last in _boxes(content)
    )


def _boxes(content: str) -> Iterator[tuple[int, int, int]]:
    """Each run of dark squares: its row, its first column and the one after its last."""
    for row, squares in enumerate(squares_of(content)):
        for dark, together in groupby(enumerate(squares), key=lambda one: one[1]):
            places = [place for place, _ in together]
            if dark:
                yield row, places[0], places[-1] + 1
