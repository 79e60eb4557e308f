"""The few catalogue rows that a stored design keeps with it, so that it is the same in a year."""

from service.design import Pattern
from service.workshop import Workshop


def kept_rows(pattern: Pattern, workshop: Workshop) -> Workshop:
    """Return the workshop with only those rows that a pattern was made from.

    What is chosen by a code or by its fit is kept alone: leather, finish, buckle, ring, fasteners, stud,
    stamps. What every price is made from is kept whole: times, consumables, rates. The wish gives the same
    pattern and the same estimate from these rows as from all. Source: derived. Worked: a plain collar keeps
    one leather, one finish, one buckle, one ring, one rivet, no stud and no stamps.
    """
    rows = pattern.fittings
    fasteners = {row.code: row for row in (rows.fold_fastener, rows.tab_fastener)}
    return workshop.model_copy(
        update={
            "leathers": (rows.leather,),
            "finishes": (rows.finish,),
            "buckles": (rows.buckle,),
            "rings": (rows.ring,),
            "fasteners": tuple(fasteners.values()),
            "studs": () if rows.stud is None else (rows.stud,),
            "stamps": () if rows.stamps is None else (rows.stamps,),
        }
    )
