"""What an order takes off the shelves: pieces, cm² of leather or lining, ml of dye, cm of thread."""

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import ROUND_CEILING, Decimal

from service.design import Pattern
from service.pricing import dye_used, leather_used, lining_used, thread_used
from service.workshop import Rates

CM2_PER_M2 = 10_000
CM_PER_M = 100
TABLES = {
    "buckle": "buckles",
    "ring": "rings",
    "o-ring": "o_rings",
    "snap": "snaps",
    "rivet": "fasteners",
    "screw-post": "fasteners",
    "stud": "studs",
    "plate": "plates",
}
"""The table of the catalogue in which a kind of hardware stands."""


@dataclass(frozen=True, slots=True)
class Piece:
    """How much of a row of the catalogue: `count` is pieces, [cm²], [ml] or, of a thread, [cm]."""

    kind: str
    code: str
    count: int


def pieces_for(pattern: Pattern, rates: Rates) -> tuple[Piece, ...]:
    """Return what one collar takes off the shelves, its leather with the waste, and rounded up as its dye is.

    Source: derived. Worked: a plain collar takes a buckle, a ring, four rivets and some 290 cm² of leather.
    """
    leather = leather_used(pattern, rates) * CM2_PER_M2
    hardware = (Piece(TABLES[line.kind], line.code, line.quantity) for line in pattern.hardware)
    dye = pattern.fittings.dye
    dyed = () if dye is None else (Piece("dyes", dye.code, _whole(dye_used(pattern))),)
    lined = tuple(_lined(pattern, rates))
    return (Piece("leathers", pattern.fittings.leather.code, _whole(leather)), *dyed, *lined, *hardware)


def _lined(pattern: Pattern, rates: Rates) -> Iterator[Piece]:
    lining, thread = pattern.fittings.lining, pattern.fittings.thread
    if lining is not None and thread is not None:
        yield Piece("linings", lining.code, _whole(lining_used(pattern, rates) * CM2_PER_M2))
        yield Piece("threads", thread.code, _whole(thread_used(pattern) * CM_PER_M))


def _whole(amount: Decimal) -> int:
    return int(amount.quantize(Decimal(1), ROUND_CEILING))
