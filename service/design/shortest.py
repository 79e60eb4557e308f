"""The shortest neck that a workshop can make a collar for: what its hardware needs of room, turned round."""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from typing import get_args

from service.design.fit import added_by, flat_and_neck
from service.design.hardware import fittings_for, widths
from service.design.layout import ends_for, least_flat
from service.design.spec import NECK_MIN, Collar
from service.errors import DesignError
from service.workshop import Fastening, Style, Workshop

STEPS = 4
"""Steps to the neck of a flat distance: each leaves less than a tenth of what the one before missed by."""


IRRELEVANT = {
    "neck": NECK_MIN,
    "weight": None,
    "adult": None,
    "holes": None,
    "pitch": None,
    "throat": None,
    "thread": "",
    "border": "",
    "lacing": "",
    "studs": None,
    "stud_rows": "single",
    "lettering": "",
    "letters": "stamped",
    "qr": "",
    "stamp": None,
    "width": 25.4,
    "style": "centre-bar",
    "fastening": "rivet",
    "finish": "",
}
"""What of a wish doesn't matter, or is tried in every way."""


@dataclass(frozen=True, slots=True)
class Shortest:
    """The shortest neck [mm], and the width of the strap that it can be made in [mm]."""

    neck: float
    width: float


def shortest_neck(wish: Collar, workshop: Workshop) -> Shortest | None:
    """Return the shortest neck, measured as in this wish, for which something can be made of its leather.

    Every width, buckle, finish and fastening that the workshop has is tried, and no lettering or studs;
    None when it has no complete set. Source: derived, `least_flat` the other way round; what is shorter
    than any neck that is read is left at that. Worked: a strap 15.875 mm wide with its fold at 58.7 mm and
    a ring tab of 41.4 mm: an existing collar of 2 x (58.7 + 3 + 20.7) = 164.8 mm.
    """
    return _shortest_of_all(wish.model_copy(update=IRRELEVANT), workshop)


@lru_cache(maxsize=256)
def _shortest_of_all(plain: Collar, workshop: Workshop) -> Shortest | None:
    found = (_shortest(variant, workshop) for variant in _variants(plain, workshop))
    return min((one for one in found if one), key=lambda one: (one.neck, one.width), default=None)


def _variants(plain: Collar, workshop: Workshop) -> Iterator[Collar]:
    for width in widths(workshop):
        for style in get_args(Style):
            for fastening in get_args(Fastening):
                for finish in workshop.finishes:
                    changed = {"width": width, "style": style, "fastening": fastening, "finish": finish.code}
                    yield plain.model_copy(update=changed)


def _shortest(wish: Collar, workshop: Workshop) -> Shortest | None:
    try:
        fittings = fittings_for(workshop, wish)
        least = least_flat(ends_for(wish, fittings))
    except DesignError:
        return None
    added = added_by(fittings)
    neck = least
    for _ in range(STEPS):
        flat, _ = flat_and_neck(wish.model_copy(update={"neck": neck}), added)
        neck += least - flat
    return Shortest(max(neck, NECK_MIN), wish.width)
