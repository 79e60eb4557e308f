"""The rows of the proof's pattern: no letter, hole or stud is cut, and no row is wider than the page."""

from itertools import pairwise

import pytest
from svgelements import Path as SvgPath

from service.design import Pattern, make_pattern, read_wish
from service.drawing.flat import PIECE
from service.drawing.letters import outline
from service.drawing.row_cuts import even_rows, row_cuts
from tests.makers import pattern, workshop

WIDTH = 182.0
"""A4 upright, ISO 216, less margins [mm]."""
DESIGNS: tuple[dict[str, str], ...] = (
    {},
    {"neck": "11 in"},
    {"lettering": "REX"},
    {"lettering": "BRAMBLE 07700 900123", "style": "heel-bar"},
    {"neck": "24 in", "lettering": "QUILL & JAZZ 07700"},
    {"neck": "22 in", "width": "1 1/2 in", "studs": "2 in", "lettering": "REX"},
    {"neck": "26 in", "width": "1 1/2 in", "lettering": "WOLFHOUND 07700 900123 HOME"},
)


def letters(made: Pattern) -> list[tuple[float, float]]:
    """From where to where each letter reaches [mm], by svgelements from the outline drawn for screens."""
    stamps = made.fittings.stamps
    mark = next((mark for mark in made.strap.marks if mark.kind == "lettering"), None)
    if mark is None or stamps is None:
        return []
    drawn = SvgPath(outline(mark.text or "", (mark.x, 0.0), stamps.height, stamps.gap, stamps.advances, 1000))
    boxes = [SvgPath(part).bbox() for part in drawn.as_subpaths()]
    return [(float(box[0]) / 1000, float(box[2]) / 1000) for box in boxes]


@pytest.mark.parametrize("typed", DESIGNS)
@pytest.mark.parametrize("width", [WIDTH, 120.0, 90.0])
def test_no_row_ends_in_a_letter_a_hole_or_a_stud(typed: dict[str, str], width: float) -> None:
    made = pattern(**typed)
    round_ones = [
        (mark.x - mark.diameter / 2, mark.x + mark.diameter / 2)
        for mark in made.strap.marks
        if mark.diameter is not None
    ]
    for cut in row_cuts(made, made.strap.length, width):
        assert [span for span in (*letters(made), *round_ones) if span[0] < cut < span[1]] == []


@pytest.mark.parametrize("typed", DESIGNS)
def test_rows_go_on_from_one_another_and_none_is_wider_than_the_page(typed: dict[str, str]) -> None:
    made = pattern(**typed)
    ends = (0.0, *row_cuts(made, made.strap.length, WIDTH), made.strap.length)
    assert all(0.0 < right - left <= WIDTH for left, right in pairwise(ends))


def test_a_short_strap_is_one_row_and_a_plain_one_is_cut_evenly() -> None:
    made = pattern()
    assert row_cuts(made, made.strap.length, made.strap.length) == ()
    [cut] = row_cuts(made, made.strap.length, made.strap.length * 0.9)
    assert cut == pytest.approx(made.strap.length / 2, abs=20)


def test_lettering_that_a_row_can_hold_is_never_divided() -> None:
    made = pattern(lettering="BRAMBLE 07700 900123", style="heel-bar")
    first, last = letters(made)[0][0], letters(made)[-1][1]
    assert last - first < WIDTH
    assert [cut for cut in row_cuts(made, made.strap.length, WIDTH) if first < cut < last] == []


SHOWN: tuple[dict[str, str], ...] = (
    *({"neck": "19 in", **typed} for typed in DESIGNS),
    {
        "neck": "24 in",
        "studs": "2 in",
        "lettering": "Biscuit 0199",
        "style": "heel-bar",
        "qr": "020 7946 0958",
    },
    {"kind": "lead", "length": "10 ft", "width": "1 in", "studs": "1 in", "lettering": "REX 07700 900123"},
    {
        "kind": "lead",
        "length": "6 ft",
        "make": "one-piece",
        "lettering": "REX",
        "letters": "plate",
        "studs": "2 in",
    },
)


@pytest.mark.parametrize("typed", SHOWN, ids=lambda typed: " ".join(typed.values()))
def test_no_row_that_is_shown_ends_in_a_letter_a_hole_a_stud_or_a_plate(typed: dict[str, str]) -> None:
    made = make_pattern(read_wish(typed, workshop()), workshop())
    rows = even_rows(made, PIECE)
    assert rows.start <= 0 <= made.strap.length <= rows.span(rows.count - 1)[1] + 1e-6
    assert rows.size <= PIECE
    sizes = ((mark.x, mark.diameter or 0.0) for mark in made.strap.marks if mark.diameter is not None)
    plates = ((mark.x, mark.length or 0.0) for mark in made.strap.marks if mark.kind in {"plate", "code"})
    things = [(x - size / 2, x + size / 2) for x, size in (*sizes, *plates)] + letters(made)
    for number in range(rows.count - 1):
        cut = rows.span(number)[1]
        assert [span for span in things if span[0] < cut < span[1]] == []


def test_no_row_of_a_set_ends_in_a_hole_or_stud_of_its_lead() -> None:
    ended = 0
    for neck in range(12, 25):
        typed = {"kind": "set", "neck": f"{neck} in", "length": "6 ft", "make": "two-part", "studs": "2 in"}
        made = make_pattern(read_wish(typed, workshop()), workshop())
        for cut in row_cuts(made, made.strap.length, WIDTH):
            for part in made.parts:
                ended += part.length > WIDTH and any(
                    abs(cut - mark.x) < (mark.diameter or 0.0) / 2 for mark in part.marks
                )
    assert ended == 0
