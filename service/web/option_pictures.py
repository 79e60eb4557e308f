"""A small picture of each choice that is easier seen than read: path data in a box of 40 by 16."""

from math import inf
from typing import Final

from service.errors import Unreadable
from service.typed import read_length

_SNAP = "M2 8a3 2.5 0 1 0 6 0a3 2.5 0 1 0-6 0M8 8h"
_HANDLE = "q8-6 14-3q3 3 0 6q-6 3-14-3"
_EDGE = "M0 2H40"
_STRAP = "M0 4H40M0 12H40"
_LIFTED = "M0 3H40M0 10H40"


def _studs(*places: tuple[float, float]) -> str:
    return "".join(f"M{x:g} {y:g}a2 2 0 1 0 .1 0" for x, y in places)


def _fingers(*places: int) -> str:
    """So many under a strap, seen from their tips."""
    return "M0 3H40" + "".join(f"M{x} 5a4 4.5 0 1 0 .1 0" for x in places)


def _name(height: float, middle: float = 8) -> str:
    """Three letters of this height one beside the other, about the middle of the box."""
    h, y = height, middle + height / 2
    across = (20 - 1.25 * h, 20 - 0.3 * h, 20 + 0.65 * h)
    strokes = (
        f"v{-h:.3g}l{0.35 * h:.3g} {0.6 * h:.3g}l{0.35 * h:.3g} {-0.6 * h:.3g}v{h:.3g}",
        f"l{0.35 * h:.3g} {-h:.3g}l{0.35 * h:.3g} {h:.3g}m{-0.1 * h:.3g} {-0.3 * h:.3g}h{-0.5 * h:.3g}",
        f"l{0.6 * h:.3g} {-h:.3g}m{-0.6 * h:.3g} 0l{0.6 * h:.3g} {h:.3g}",
    )
    return "".join(f"M{x:.3g} {y:.3g}{stroke}" for x, stroke in zip(across, strokes, strict=True))


SEAM: Final = "M3 4h5m3 0h5m3 0h5m3 0h5m3 0h4M3 12h5m3 0h5m3 0h5m3 0h5m3 0h4"
LARGEST: Final = 12.0
"""How high letters are in the box that are as high as the strap lets them."""
PER_MM: Final = 14 / 25.4
"""The box is to a strap of 1 in what a strap is to its letters."""
WIDEST: Final = 14.0
PER_MM_ACROSS: Final = WIDEST / 50.8
"""Straps are as wide beside each other as they are, one of 2 in as wide as the box."""


def picture_of(name: str, value: str) -> str:
    """Return the picture of a parameter's choice, or nothing; letters in their height, a seam for any thread.

    Source: derived. Worked: letters of 12 mm on a strap of 1 in are 6.6 high in a strap of 14; a strap of
    1 in among others is 7 wide.
    """
    if name == "thread":
        return SEAM if value else ""
    if name not in {"stamp", "width"}:
        return PICTURES.get((name, value), "")
    try:
        size = read_length(value).value
    except Unreadable:
        size = inf
    if name == "width":
        height = min(size * PER_MM_ACROSS, WIDEST)
        return f"M0 {8 - height / 2:.3g}H40v{height:.3g}H0"
    height = size * PER_MM
    return f"M0 1H40M0 15H40{_name(min(height, LARGEST))}"


_NECK: Final = "M15 3a5 5 0 1 0 .1 0"
_SKIN: Final = "M0 15H40M0 12H40"
_HAIR: Final = "M0 15H40M3 14l2-8m3 8l2-8m3 8l2-8m3 8l2-8m3 8l2-8m3 8l2-8m3 8l2-8m3 8l2-8"
_PLIES: Final = "M1 5.5H39M1 8.5H39M1 11.5H39M17 5.5v6m6 0v-6"
_LETTERS: Final = _name(8)

PICTURES: Final = {
    ("measured", "existing-collar"): "M1 2h8v9h-8zM9 4H39M9 9H39M30 6.5h.1M5 14H30M5 12.5v3m25 0v-3",
    ("measured", "tape-two-fingers"): f"{_NECK}M23 4a2 2 0 1 0 .1 0m0 4.3a2 2 0 1 0 .1 0"
    "M15 1a7 7 0 0 0 0 14Q23 15 26 12.5Q28 8 26 3.5Q23 1 15 1",
    ("measured", "tape-snug"): f"{_NECK}M22 8a7 7 0 1 0-7 7h20",
    **{
        ("fingers", count): _fingers(*places)
        for count, places in (("1", (20,)), ("2", (16, 24)), ("3", (12, 20, 28)))
    },
    ("coat", "short"): _SKIN,
    ("coat", "thick-over"): f"{_HAIR}M0 3H40",
    ("coat", "thick-under"): f"{_HAIR}M0 12H40",
    **{("letters", way): _LETTERS for way in ("stamped", "white", "gold", "red", "blue", "black")},
    ("letters", "plate"): f"M5 2.5H35v11H5z{_name(6)}",
    ("fastening", "rivet"): f"{_PLIES}M14 5.5q6-7 12 0m0 6q-6 7-12 0",
    ("fastening", "screw-post"): f"{_PLIES}M14 5.5V2H26v3.5m0 6V15H14v-3.5M17 6.5l6 1.5m-6 1.5l6 1.5",
    ("make", "plain"): f"{_SNAP}16{_HANDLE}",
    ("make", "one-piece"): f"{_SNAP}16{_HANDLE}M11 6h5",
    ("make", "two-part"): f"{_SNAP}6a2.5 2.5 0 1 0 5 0a2.5 2.5 0 1 0-5 0m5 0h5{_HANDLE}",
    ("make", "traffic-loop"): f"{_SNAP}3q3-7 7 0h6{_HANDLE}M11 8h7",
    ("make", "slip"): f"M16 8q-6-7-12-3q-3 3 0 6q6 4 12-3h8{_HANDLE}M19 5v6",
    ("make", "coupler"): "M3 3l14 5M3 13l14-5a2.5 2.5 0 1 0 5 0a2.5 2.5 0 1 0-5 0m5 0h16",
    ("make", "plaited-handle"): f"{_SNAP}16{_HANDLE}M28 4l2 3m2-4l2 3m-6 3l2 3m2-3l2 3",
    ("style", "centre-bar"): "M8 2h22v12h-22zM19 2v12M19 8h13",
    ("style", "heel-bar"): "M12 2h18v12h-18zM12 8h20",
    ("end", "english-point"): "M0 3H22Q32 4 39 8Q32 12 22 13H0",
    ("end", "round"): "M0 3H31a5 5 0 0 1 0 10H0",
    ("end", "square"): "M0 3H34l3 3v4l-3 3H0",
    ("grooves", "none"): _EDGE,
    ("grooves", "one"): f"{_EDGE}M0 6H40",
    ("grooves", "two"): f"{_EDGE}M0 6H40M0 10H40",
    ("grooves", "three"): f"{_EDGE}M0 6H40M0 10H40M0 14H40",
    ("lacing", "whip"): f"{_EDGE}M3 1l4 8m3-8l4 8m3-8l4 8m3-8l4 8m3-8l4 8",
    ("lacing", "loop"): f"{_EDGE}M4 10l4-9l4 9l4-9l4 9l4-9l4 9l4-9",
    ("lacing", "double-loop"): f"{_EDGE}M3 1l6 9m-3-9l-4 9m12-9l6 9m-3-9l-4 9m12-9l6 9m-3-9l-4 9",
    ("border", "dots"): f"{_EDGE}{_studs(*((x, 7) for x in range(4, 40, 8)))}",
    ("border", "rope"): f"{_EDGE}M3 12l4-5m2 5l4-5m2 5l4-5m2 5l4-5m2 5l4-5m2 5l4-5",
    ("border", "scallop"): f"{_EDGE}M4 12a4 5 0 0 1 8 0a4 5 0 0 1 8 0a4 5 0 0 1 8 0a4 5 0 0 1 8 0",
    ("border", "leaf"): f"{_EDGE}M4 10q4-5 8 0q-4 4-8 0m12 0q4-5 8 0q-4 4-8 0m12 0q4-5 8 0q-4 4-8 0",
    ("stud_rows", "single"): _studs((6, 6), (15, 6), (24, 6), (33, 6)),
    ("stud_rows", "double"): _studs((6, 2), (15, 2), (24, 2), (33, 2), (6, 10), (15, 10), (24, 10), (33, 10)),
    ("stud_rows", "zigzag"): _studs((4, 9), (12, 3), (20, 9), (28, 3), (36, 9)),
    ("stud_rows", "threes"): _studs((4, 6), (9, 6), (14, 6), (26, 6), (31, 6), (36, 6)),
    ("keepers", "fewest"): _STRAP,
    ("keepers", "sliding"): f"{_STRAP}M17 1v14h7v-14z",
    ("ring_at", "tab"): f"{_LIFTED}M15 10a5 4.5 0 0 0 10 0",
    ("ring_at", "folded-tab"): f"{_LIFTED}M20 3v7h10v-7M13 10a5 4.5 0 0 0 10 0",
    ("ring_at", "fold"): f"{_LIFTED}M3 1v11M6 10a5 4.5 0 0 0 10 0",
}
"""By parameter and choice."""
