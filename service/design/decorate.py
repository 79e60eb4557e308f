"""Everything that adorns a strap, put in its place in turn: border, text, plate, studs, dye."""

from dataclasses import replace

from service.design.decoration import (
    dark_finding,
    dye_finding,
    lettering_mark,
    phone_findings,
    stamps_for,
)
from service.design.paint import paint_finding, paint_of
from service.design.pattern import CollarFittings, Finding, Layout, Mark
from service.design.plates import (
    STAMPED,
    long_run,
    plate_findings,
    plate_for,
    plate_marks,
    plates_in,
)
from service.design.spec import Wish
from service.design.studs import stud_marks, unit_for
from service.design.tooling import border_marks, past_border
from service.design.zones import clear_zones
from service.workshop import Workshop

Decorated = tuple[tuple[Mark, ...], tuple[Finding, ...], CollarFittings]
"""Marks and findings, and the fittings with what was chosen for the decoration."""


def decorate(
    spec: Wish, workshop: Workshop, layout: Layout, fittings: CollarFittings, girth: float
) -> Decorated:
    """Return what adorns a strap that lies round a girth [mm]: its marks, what to know, what it is made with.

    Source: common practice. Raises DoesNotFit or NotStocked when something can't be, with what would work.
    """
    marks, findings = border_marks(layout)
    text: tuple[Mark, ...] = ()
    if spec.lettering:
        text, said, fittings = _text(spec, workshop, layout, fittings)
        phone = phone_findings(spec.lettering, workshop.region)
        marks, findings = (*marks, *text), (*findings, *phone, *said)
    findings = (*findings, *plate_findings(marks, girth))
    if spec.studs is not None and fittings.stud is not None:
        studs, spaced = stud_marks(
            layout, fittings.stud, (spec.studs, spec.stud_rows), text[0] if text else None
        )
        marks, findings = (*marks, *studs), (*findings, spaced)
    if fittings.dye is not None:
        findings = (*findings, dye_finding(fittings.dye, fittings.leather))
    return marks, findings, fittings


def _text(spec: Wish, workshop: Workshop, layout: Layout, fittings: CollarFittings) -> Decorated:
    """The text, stamped or on a plate; the first of its marks is as long as all of it."""
    beside = 0.0
    if fittings.stud is not None:
        beside = 2 * unit_for(spec.stud_rows, layout.width, layout.margin, fittings.stud.diameter).half
    if spec.letters != "plate":
        stamps = stamps_for(workshop, layout, spec.lettering, spec.stamp, beside)
        paint = paint_of(spec)
        dark = paint_finding(paint, fittings.colour) if paint else dark_finding(fittings.colour)
        words = lettering_mark(layout, spec.lettering, stamps)
        return (words,), (dark,) if dark else (), replace(fittings, stamps=stamps)
    zone = clear_zones(layout)[1]
    owned = plates_in(workshop, fittings.finish, spec.fastening, layout.thickness, (STAMPED,))
    room = long_run(zone, beside), layout.width - 2 * layout.margin
    ways = *past_border(layout.border), STAMPED
    plated, engraving = plate_for(owned, spec.lettering, room, ways)
    return plate_marks(plated, zone.middle, engraving), (), replace(fittings, plates=(plated,))
