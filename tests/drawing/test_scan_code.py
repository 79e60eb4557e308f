"""The code of an address on paper, read back square by square against the standard's fixed patterns."""

from itertools import pairwise

import pytest

from service.drawing.scan_code import MODULE_MIN, QUIET, SIDE, scan_code
from service.drawing.sheet import Path

FINDER = ("1111111", "1000001", "1011101", "1011101", "1011101", "1000001", "1111111")
"""Source: ISO/IEC 18004:2015, 6.3.3.1 (finder pattern), in its three corners."""


def squares(code: Path, side: int, x: float, y: float) -> list[str]:
    """The code's squares, each dark where a box lies over its middle."""
    module, rows = SIDE / (side + 8), []
    for row in range(side):
        middles = [(x + (column + 0.5) * module, y + (row + 0.5) * module) for column in range(side)]
        rows.append("".join("1" if over(code, px, py) else "0" for px, py in middles))
    return rows


def over(code: Path, x: float, y: float) -> bool:
    corners = [(run.start, run.points[2]) for run in code.runs]
    return any(x0 < x < x1 and y0 < y < y1 for (x0, y0), (x1, y1) in corners)


def test_a_code_has_its_finder_patterns_its_timing_and_its_size() -> None:
    # 25 bytes at level M take version 2, 25 squares a side (ISO/IEC 18004:2015, table 7).
    code = scan_code("https://oxlip.example/a/b", 10.0, 20.0)
    assert code is not None
    white = 4 * SIDE / 33  # four squares on every side (ISO/IEC 18004:2015, 6.3.8)
    left, top = 10.0 + white, 20.0 + white
    assert code.box == pytest.approx((left, top, 10.0 + SIDE - white, 20.0 + SIDE - white))
    read = squares(code, 25, left, top)
    for top, left in ((0, 0), (0, 18), (18, 0)):
        assert tuple(row[left : left + 7] for row in read[top : top + 7]) == FINDER
    assert all(one != other for one, other in pairwise(read[6][6:19]))


def test_an_address_too_long_for_a_code_that_can_be_read_has_none() -> None:
    assert scan_code("https://oxlip.example/?" + "a" * 180, 0.0, 0.0) is not None
    assert scan_code("https://oxlip.example/?" + "a" * 400, 0.0, 0.0) is None
    assert scan_code("https://oxlip.example/?" + "a" * 4000, 0.0, 0.0) is None
    assert SIDE / (61 + 2 * QUIET) > MODULE_MIN  # version 11
