"""The few catalogue rows that a stored design keeps with it, so that it is the same in a year."""

from typing import TypeVar

from service.design import Fittings, Pattern
from service.workshop import Buckle, Fastener, ORing, Ring, Snap, Workshop

Piece = TypeVar("Piece", Buckle, Ring, ORing, Snap, Fastener)


def kept_rows(pattern: Pattern, workshop: Workshop) -> Workshop:
    """Return the workshop with only those rows that a pattern was made from.

    What is chosen by a code or by its fit is kept alone: leather, dye, lining, thread, finish, buckle, ring,
    fasteners, stud, plates, stamps. What every price is made from is kept whole: times, consumables, rates.
    The wish gives the same pattern and the same estimate from these rows as from all. Source: derived.
    Worked: a plain collar keeps one leather, one finish, one buckle, one ring, one rivet, no dye, no stud and
    no stamps.
    """
    rows = pattern.fittings
    return workshop.model_copy(
        update={
            "leathers": (rows.leather,),
            "dyes": () if rows.dye is None else (rows.dye,),
            "linings": () if rows.lining is None else (rows.lining,),
            "threads": () if rows.thread is None else (rows.thread,),
            "finishes": (rows.finish,),
            "buckles": _chosen(rows, Buckle),
            "rings": _chosen(rows, Ring),
            "o_rings": _chosen(rows, ORing),
            "snaps": _chosen(rows, Snap),
            "fasteners": _fasteners(pattern, workshop),
            "studs": () if rows.stud is None else (rows.stud,),
            "plates": tuple(dict.fromkeys(one.plate for one in rows.plates)),
            "stamps": () if rows.stamps is None else (rows.stamps,),
        }
    )


def _fasteners(pattern: Pattern, workshop: Workshop) -> tuple[Fastener, ...]:
    """Those chosen; where one doesn't close its joint, every other that the warning speaks of too."""
    chosen = _chosen(pattern.fittings, Fastener)
    if all(joint.closes for joint in pattern.joints):
        return chosen
    alike = {(row.kind, row.finish) for row in chosen}
    return tuple(row for row in workshop.fasteners if (row.kind, row.finish) in alike)


def _chosen(rows: Fittings, kind: type[Piece]) -> tuple[Piece, ...]:
    return tuple(row for row in rows.hardware.values() if isinstance(row, kind))
