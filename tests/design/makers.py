"""Wishes and workshops for the engine's tests. The demo workshop is invented, like everything in it."""

import csv
from collections.abc import Collection
from functools import cache
from pathlib import Path
from typing import Any, cast

from hypothesis import strategies as st

from service.design import LACINGS, MOTIFS, PAINTS, Collar, CollarPattern, Layout, Mark, make_pattern, widths
from service.design.fit import girth_to_flat, lining_adds, take_up
from service.errors import DesignError
from service.storage import load_workshop
from service.typed import read_length
from service.workshop import Workshop
from tests.wishes import read_collar

PROJECT = Path(__file__).parents[2]
IN = 25.4
CLEAR = 3.0
"""Decoration keeps so far from edges, holes, tab, tail, joints and ends of its run [mm]. Common practice."""


@cache
def demo() -> Workshop:
    """The demo workshop."""
    return load_workshop(PROJECT / "deploy" / "demo" / "workshop.toml")


def workshop(**changed: Any) -> Workshop:  # noqa: ANN401 - any column of a workshop
    """The demo workshop with some of its tables changed, checked as if it came from a file."""
    return Workshop.model_validate({**dict(demo()), **changed})


def only(table: str, **changed: Any) -> Workshop:  # noqa: ANN401 - any column of a row
    """The demo workshop with every row of one table changed in the same way."""
    rows = getattr(demo(), table)
    return workshop(**{table: tuple(type(row).model_validate({**dict(row), **changed}) for row in rows)})


def collar(**changed: Any) -> Collar:  # noqa: ANN401 - any field of a wish
    """A plain collar: an old one of 19 in copied, 1 in wide, in brass and 3 mm leather."""
    return Collar.model_validate({"neck": 482.6, "leather": "chestnut", "finish": "brass", **changed})


def made(**changed: Any) -> CollarPattern:  # noqa: ANN401 - any field of a wish
    """The pattern of that collar in the demo workshop."""
    return make_pattern(collar(**changed), demo())


def typed(**text: str) -> CollarPattern:
    """The pattern that typed parameters mean in the demo workshop; 19 in unless another neck is typed."""
    return make_pattern(read_collar({"neck": "19 in", **text}, demo()), demo())


def attempt(wish: Collar, shop: Workshop | None = None) -> CollarPattern | DesignError:
    """The pattern of a wish, or the error that it is refused with; any other error is a fault."""
    try:
        return make_pattern(wish, shop or demo())
    except DesignError as problem:
        return problem


def marks(pattern: CollarPattern, kind: str, part: str = "strap") -> list[Mark]:
    """The marks of one kind on one part, in the order of the pattern."""
    (found,) = [one for one in pattern.parts if one.name == part]
    return [mark for mark in found.marks if mark.kind == kind]


def codes(pattern: CollarPattern) -> list[str]:
    """The codes of a pattern's findings."""
    return [finding.code for finding in pattern.findings]


def text_of(pattern: CollarPattern, code: str) -> str:
    """The text of the one finding of this code."""
    (found,) = [finding for finding in pattern.findings if finding.code == code]
    return str(found.text)


def added(pattern: CollarPattern) -> float:
    """How much longer the flat distance is than the inside girth [mm]."""
    fittings = pattern.fittings
    plain = girth_to_flat(fittings.leather.thickness, take_up(fittings.buckle, fittings.leather.thickness))
    return plain + lining_adds(fittings.lining)


def table(name: str) -> list[dict[str, str]]:
    """The rows of a table in tests/data."""
    with (PROJECT / "tests" / "data" / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def mm(inches: str) -> float:
    """Inches and fractions in mm."""
    return read_length(inches + " in").value


ROOMY = 24.0
"""On a narrower strap [mm] there is no room for more than one thing across it."""


def wishes(**fixed: st.SearchStrategy[Any]) -> st.SearchStrategy[Collar]:
    """Any wish that the model of a collar allows in the demo workshop's leathers, finishes and widths."""
    shop = demo()
    free: dict[str, st.SearchStrategy[Any]] = {
        "neck": st.floats(150, 915),
        "measured": st.sampled_from(["existing-collar", "tape-two-fingers", "tape-snug"]),
        "fingers": st.sampled_from([1, 2, 3]),
        "coat": st.sampled_from(["short", "thick-over", "thick-under"]),
        "weight": st.none() | st.floats(0.5, 130),
        "width": st.sampled_from(widths(shop)) | st.floats(15, 52),
        "style": st.sampled_from(["centre-bar", "heel-bar"]),
        "keepers": st.sampled_from(["fewest", "sliding"]),
        "end": st.sampled_from(["english-point", "round", "square"]),
        "holes": st.none() | st.integers(3, 12),
        "pitch": st.none() | st.floats(8, 60),
        "throat": st.none() | st.none() | st.floats(10, 150),
        "ring_at": st.sampled_from(["tab", "tab", "folded-tab", "fold"]),
        "leather": st.sampled_from([row.code for row in shop.leathers]),
        "finish": st.sampled_from([row.code for row in shop.finishes]),
        "fastening": st.sampled_from(["rivet", "screw-post"]),
        "grooves": st.sampled_from(["none", "one", "two", "three"]),
        "lining": st.sampled_from(["", "", *(row.code for row in shop.linings)]),
        "thread": st.sampled_from(["", *(row.code for row in shop.threads)]),
        "border": st.sampled_from(["", *MOTIFS]),
        "lacing": st.sampled_from(["", "", *LACINGS]),
        "studs": st.none() | st.floats(8, 200),
        "stud_rows": st.sampled_from(["single", "double", "zigzag", "threes"]),
        "lettering": st.just("") | st.text("ABELOX 0123456789+-&'é", max_size=40),
        "letters": st.sampled_from(["stamped", "plate", *PAINTS]),
        "qr": st.sampled_from(["", "", "+44 20 7946 0958", "oxlip.example/rex"]),
        "stamp": st.none() | st.sampled_from([6.0, 9.0, 12.0]) | st.floats(3, 25),
    }
    return st.builds(Collar, **(free | fixed))


def patterns(**fixed: st.SearchStrategy[Any]) -> st.SearchStrategy[CollarPattern]:
    """The pattern of any wish that can be made, with some of its parameters given."""
    free = {
        "neck": st.floats(280, 915) | st.floats(200, 280),
        "pitch": st.none() | st.floats(9, 60),
        "width": st.sampled_from(widths(demo())),
        "finish": st.sampled_from(["brass"] * 6 + [row.code for row in demo().finishes]),
        "studs": st.none() | st.floats(12, 200),
        "stamp": st.none() | st.none() | st.sampled_from([6.0, 9.0]),
        "lettering": st.just("") | st.text("ABELOX 0123456789", max_size=20),
    }
    return (
        wishes(**(free | fixed))
        .map(lambda wish: attempt(_untangled(wish, fixed.keys())))
        .filter(lambda result: isinstance(result, CollarPattern))
        .map(lambda result: cast("CollarPattern", result))
    )


def _untangled(wish: Collar, given: Collection[str]) -> Collar:
    """The wish without what can't stand beside the rest of it: most would be refused for that."""
    left: dict[str, Any] = {}
    if wish.style == "heel-bar" and wish.ring_at == "fold":
        left["ring_at"] = "tab"
    if wish.lacing and not {"border", "throat", "lining", "qr"} & set(given):
        left |= {"grooves": "none", "border": "", "throat": None, "lining": ""}
    else:
        left |= {"lacing": ""}
        if wish.throat is not None:
            left |= {"border": "", "keepers": "fewest"} if "border" not in given else {"throat": None}
    if wish.width < ROOMY:
        left |= {"fastening": "rivet", "lacing": "", "border": "", "qr": "", "stud_rows": "single"}
        left |= {"grooves": "none" if "lacing" in given else "one", "stamp": None}
    return wish.model_copy(update={name: value for name, value in left.items() if name not in given})


def typed_wishes() -> st.SearchStrategy[dict[str, str]]:
    """Parameters as they may be typed, each one readable, most of them left empty half of the time."""
    shop = demo()

    def length(low: float, high: float) -> st.SearchStrategy[str]:
        return st.floats(low, high).map(lambda value: f"{value:.2f} mm")

    def or_empty(values: st.SearchStrategy[str]) -> st.SearchStrategy[str]:
        return st.just("") | values

    return st.fixed_dictionaries(
        {
            "neck": length(151, 914),
            "measured": st.sampled_from(["", "existing-collar", "tape-two-fingers", "tape-snug"]),
            "fingers": st.sampled_from(["", "1", "2", "3"]),
            "coat": st.sampled_from(["", "short", "thick-over", "thick-under"]),
            "weight": or_empty(st.integers(1, 120).map(lambda kg: f"{kg} kg")),
            "width": or_empty(st.sampled_from([f"{size:g} mm" for size in widths(shop)])),
            "style": st.sampled_from(["", "centre-bar", "heel-bar"]),
            "keepers": st.sampled_from(["", "fewest", "sliding"]),
            "end": st.sampled_from(["", "english-point", "round", "square"]),
            "holes": or_empty(st.integers(3, 12).map(str)),
            "pitch": or_empty(length(8.01, 59.9)),
            "throat": or_empty(length(10.01, 149)),
            "ring_at": st.sampled_from(["", "tab", "folded-tab", "fold"]),
            "leather": or_empty(st.sampled_from([row.code for row in shop.leathers])),
            "finish": or_empty(st.sampled_from([row.code for row in shop.finishes])),
            "fastening": st.sampled_from(["", "rivet", "screw-post"]),
            "grooves": st.sampled_from(["", "none", "two"]),
            "border": or_empty(st.sampled_from([*MOTIFS])),
            "lacing": st.sampled_from(["", "", "whip"]),
            "studs": or_empty(length(8.01, 199)),
            "stud_rows": st.sampled_from(["", "double", "threes"]),
            "lettering": or_empty(st.text("ABELOX 0123456789+-&'é", max_size=40)),
            "letters": st.sampled_from(["", "plate", "white"]),
            "qr": st.sampled_from(["", "", "020 7946 0958"]),
            "stamp": or_empty(st.sampled_from(["6 mm", "9 mm", "12 mm"]) | length(3.01, 24.9)),
        }
    )


def clear_until(layout: Layout) -> float:
    """Where the strap stops being clear before its holes: at the first, or where the frame begins."""
    return min(layout.holes[0] - layout.hole_diameter / 2, layout.target - layout.frame)
