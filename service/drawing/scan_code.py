"""An address as a code that a camera reads (QR code, ISO/IEC 18004), on paper."""

from collections.abc import Iterator
from itertools import groupby

import segno

from service.drawing.sheet import FILL, Path, Run, box_run

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
        squares = [[bool(dark) for dark in row] for row in segno.make(address, error="m", micro=False).matrix]
    except segno.DataOverflowError:
        return None
    module = SIDE / (len(squares) + 2 * QUIET)
    if module < MODULE_MIN:
        return None
    inset = QUIET * module
    return Path(FILL, tuple(_runs(squares, x + inset, y + inset, module)), "scan-code")


def _runs(squares: list[list[bool]], x: float, y: float, module: float) -> Iterator[Run]:
    """Neighbours in a row as one box, so that no white line shows between them."""
    for n, row in enumerate(squares):
        top = y + n * module
        for dark, together in groupby(enumerate(row), key=lambda one: one[1]):
            places = [place for place, _ in together]
            if dark:
                yield box_run(x + places[0] * module, top, x + (places[-1] + 1) * module, top + module)
