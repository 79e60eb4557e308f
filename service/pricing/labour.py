"""Time at the bench: how much of each kind of work a pattern holds, and how long that takes."""

from collections.abc import Iterable
from decimal import Decimal
from math import dist

from service.design import Mark, Part, Pattern, SetPattern, lace_holes, lace_of, paint_of
from service.geometry import Point
from service.workshop import TimePer

PUNCHED = {"rivet-hole": 1, "size-hole": 1, "slot": 2}
"""Holes punched for a mark. A slot is a hole at each end and two cuts between them. Common practice."""


def standard_minutes(basic: Decimal, rest: Decimal, contingency: Decimal) -> Decimal:
    """Return the standard time [min] of a basic time [min] and its allowances [shares of the basic time].

    Source: ILO, Introduction to Work Study (from memory), basic × (1 + rest) + contingency × basic.
    Worked: 10 min with 0.12 rest and 0.05 contingency are 11.7 min.
    """
    return basic * (1 + rest) + contingency * basic


def overhead_for(minutes: Decimal, overhead: Decimal, hours: Decimal) -> Decimal:
    """Return the overhead [currency], unrounded, that some minutes [min] of productive time have to carry.

    `overhead` [currency] and `hours` [h], more than 0, are of the same span of time, such as a month.
    Source: common practice, rate = overhead / hours. Worked: 60 min of 25000 in 12000 h carry 2.083.
    """
    # One division, at the end: by way of a rate such as 1.111… half a coin is lost that is to be rounded up.
    return overhead * minutes / (hours * 60)


def work_counts(pattern: Pattern) -> dict[TimePer, Decimal]:
    """Return how much of each kind of work one collar of a pattern holds.

    A part is a blank to cut, a dyed part the same where there is a dye; a hole is a rivet or size hole in any
    part, and a slot counts as two; a letter is a stamped character other than a space, a painted letter the
    same where there is paint; a border stamp is one blow of a border; a metre of edge [m, to 1 mm] is
    measured all round the outline of each leather part, a metre of further groove along all grooves but the
    first of each edge. Source: common practice.
    Worked: a plain collar with six size holes has 2 parts, 16 holes and 4 fasteners.
    """
    parts, hardware = pattern.parts, pattern.hardware
    pieces = Decimal(sum(part.quantity for part in parts))
    leather = [part for part in parts if part.of == "leather"]
    edge = sum(part.quantity * _perimeter(part.outline) for part in leather)
    lace = lace_of(parts)
    letters = Decimal(sum(part.quantity * _letters(part) for part in parts))
    return {
        "collar": Decimal(2 if isinstance(pattern, SetPattern) else 1),
        "part": pieces,
        "dyed part": Decimal(sum(part.quantity for part in leather)) if pattern.fittings.dye else Decimal(0),
        "hole": Decimal(sum(part.quantity * _holes(part) for part in parts)),
        "fastener": Decimal(sum(row.quantity for row in hardware if row.kind in {"rivet", "screw-post"})),
        "stud": Decimal(sum(row.quantity for row in hardware if row.kind == "stud")),
        "plate": Decimal(sum(row.quantity for row in hardware if row.kind == "plate")),
        "letter": letters,
        "painted letter": letters if paint_of(pattern.spec) else Decimal(0),
        "border stamp": Decimal(sum(part.quantity * sum(map(_blows, part.marks)) for part in parts)),
        "lace hole": Decimal(sum(part.quantity * lace_holes(part.marks) for part in parts)),
        "metre of lace": Decimal(f"{lace / 1000:.3f}"),
        "metre of edge": Decimal(f"{edge / 1000:.3f}"),
        "stitch": Decimal(sum(part.quantity * _stitches(part) for part in parts)),
        "metre of further groove": Decimal(f"{_further_grooves(parts) / 1000:.3f}"),
    }


def _further_grooves(parts: Iterable[Part]) -> float:
    """Length [mm] of all grooves but the first of each edge, which is cut as the edge is bevelled."""
    return sum(
        part.quantity * sum([_groove(mark) for mark in part.marks if mark.kind == "groove"][2:])
        for part in parts
    )


def _groove(mark: Mark) -> float:
    return sum(map(dist, mark.line, mark.line[1:])) or mark.length or 0.0


def _holes(part: Part) -> int:
    return sum([PUNCHED.get(mark.kind, 0) for mark in part.marks])


def _blows(mark: Mark) -> int:
    return mark.count or 0 if mark.kind == "border" else 0


def _stitches(part: Part) -> int:
    return sum([mark.count or 0 for mark in part.marks if mark.kind == "stitch"])


def _letters(part: Part) -> int:
    stamped = (mark.text or "" for mark in part.marks if mark.kind == "lettering")
    return sum([len("".join(text.split())) for text in stamped])


def _perimeter(outline: tuple[Point, ...]) -> float:
    return sum(map(dist, outline, (*outline[1:], outline[0])))
