"""Everything that adorns a strap, put in its place in turn: border, text, plate, studs, dye."""

from contextlib import suppress
from dataclasses import replace
from functools import lru_cache
from typing import TypeVar

from service.design.decoration import (
    dark_finding,
    dye_finding,
    lettering_mark,
    phone_findings,
    stamps_for,
)
from service.design.lacing import lacing_marks
from service.design.paint import paint_finding, paint_of
from service.design.pattern import Finding, Fittings, Mark
from service.design.plates import (
    PLATE_SIDE,
    STAMPED,
    long_run,
    plate_findings,
    plate_for,
    plate_marks,
    plate_spare,
    plates_in,
)
from service.design.scan_tag import NO_TAG, code_mark, scan_content, tag_findings, tag_for
from service.design.spec import Wish
from service.design.studs import stud_marks, unit_for
from service.design.tooling import border_marks, past_edge
from service.design.zones import Ground, Zone
from service.errors import DoesNotFit, Suggestion
from service.saying import Length, say
from service.workshop import Stud, Workshop

Made = TypeVar("Made", bound=Fittings)
Decorated = tuple[tuple[Mark, ...], tuple[Finding, ...], Made]
"""Marks and findings, and the fittings with what was chosen for the decoration."""


def decorate(
    spec: Wish, workshop: Workshop, ground: Ground, fittings: Made, girth: float | None
) -> Decorated[Made]:
    """Return what adorns a strap, round a girth [mm] or not: its marks, what to know, what it is made with.

    Source: common practice. Raises DoesNotFit or NotStocked when something can't be, with what would work.
    """
    (marks, findings), (holes, laced) = border_marks(ground), lacing_marks(ground)
    marks, findings = (*marks, *holes), (*findings, *laced)
    run = ground.main
    if spec.qr:
        tag, said, fittings, run = _tag(spec, workshop, ground, fittings, bent=girth is not None)
        marks, findings = (*marks, *tag), (*findings, *said)
    if spec.lettering:
        text, said, fittings = _beside_a_tag(spec, workshop, ground, fittings, run)
        phone = phone_findings(spec.lettering, workshop.region)
        marks, findings = (*marks, *text), (*findings, *phone, *said)
    if girth is not None:
        findings = (*findings, *plate_findings(marks, girth))
    if spec.studs is not None and fittings.stud is not None:
        taken = [one for one in marks if one.kind in {"lettering", "plate"}]
        studs, spaced = stud_marks(ground, fittings.stud, (spec.studs, spec.stud_rows), taken)
        marks, findings = (*marks, *studs), (*findings, spaced)
    if fittings.dye is not None:
        findings = (*findings, dye_finding(fittings.dye, fittings.leather))
    return marks, findings, fittings


def trim(spec: Wish, ground: Ground, stud: Stud | None) -> tuple[Mark, ...]:
    """Return what of border, lacing and studs has room on a strap beside the main one; the rest is left out.

    Source: common practice: all straps of a lead match. Worked: none of it on a clear run of 5 mm.
    """
    marks: list[Mark] = []
    for made in (border_marks, lacing_marks):
        with suppress(DoesNotFit):
            marks += made(ground)[0]
    if spec.studs is not None and stud is not None:
        with suppress(DoesNotFit):
            marks += stud_marks(ground, stud, (spec.studs, spec.stud_rows), ())[0]
    return tuple(marks)


def _beside(spec: Wish, ground: Ground, fittings: Fittings) -> float:
    """What room a stud takes at each end of a text or a tag [mm]."""
    if fittings.stud is None:
        return 0.0
    return 2 * unit_for(spec.stud_rows, ground.width, ground.margin, fittings.stud.diameter).half


def _tag(
    spec: Wish, workshop: Workshop, ground: Ground, fittings: Made, *, bent: bool
) -> tuple[tuple[Mark, ...], tuple[Finding, ...], Made, Zone]:
    """The tag, and what it leaves of the long run for a text.

    Alone it is in the middle of the long run. Beside a text it goes on the short run, else next to the ring;
    at a hand, next to that.
    """
    short, long = ground.opposite, ground.main
    content = scan_content(spec.qr, workshop.region)
    if content is None:
        raise DoesNotFit(
            field="qr", message=say("A code can't say “{text}”.", text=spec.qr), would_work=(NO_TAG,)
        )
    owned = plates_in(workshop, fittings.finish, spec.fastening, fittings.leather.thickness, (NO_TAG,))
    wide = ground.width - 2 * ground.margin
    ways = *past_edge(ground), *_wider(spec.width, workshop), NO_TAG
    run, tag, x = long, None, 0.0
    if spec.lettering and short is not None:
        x = short.middle
        with suppress(DoesNotFit):
            tag = tag_for(owned, content, (long_run(short, 0.0), wide), ways)
    if tag is None:
        beside = _beside(spec, ground, fittings)
        tag = tag_for(owned, content, (long_run(long, beside), wide), ways)
        half = tag.plate.length / 2
        x = ground.seat(long, 2 * half, plate_spare(beside))
        if spec.lettering and ground.at_hand:
            run = Zone(long.start, x - half - PLATE_SIDE)
        elif spec.lettering:
            x = long.start + PLATE_SIDE + half
            run = Zone(x + half + PLATE_SIDE, long.end)
    code = code_mark(tag, x, content)
    phone = phone_findings(spec.qr, workshop.region, "qr") if content.startswith("tel:") else ()
    said = *phone, *tag_findings(code, fittings.finish.colour, bent=bent)
    return (*plate_marks(tag, x), code), said, replace(fittings, plates=(tag,)), run


@lru_cache(maxsize=256)
def _wider(width: float, workshop: Workshop) -> tuple[Suggestion, ...]:
    """Every strap wider than this [mm] that something of the workshop's hardware is made for."""
    sizes = {*(row.width for row in workshop.buckles), *(row.width for row in workshop.snaps)}
    return tuple(
        Suggestion("width", f"{size:g} mm", say("{width} wide", width=Length(size)))
        for size in sorted(sizes)
        if size > width
    )


def _beside_a_tag(
    spec: Wish, workshop: Workshop, ground: Ground, fittings: Made, run: Zone
) -> Decorated[Made]:
    """The text on a run; a wider strap, or leaving out a tag that takes some of it, is one more way."""
    try:
        return _text(spec, workshop, ground, fittings, run)
    except DoesNotFit as problem:
        ways = *problem.would_work, *_wider(spec.width, workshop), *((NO_TAG,) if spec.qr else ())
        raise DoesNotFit(field=problem.field, message=problem.message, would_work=ways) from problem


def _text(spec: Wish, workshop: Workshop, ground: Ground, fittings: Made, run: Zone) -> Decorated[Made]:
    """The text, stamped or on a plate, in the middle of a run."""
    beside = _beside(spec, ground, fittings)
    if spec.letters != "plate":
        stamps = stamps_for(workshop, ground, spec.lettering, spec.stamp, beside, run)
        paint = paint_of(spec)
        dark = paint_finding(paint, fittings.colour) if paint else dark_finding(fittings.colour)
        words = lettering_mark(ground, spec.lettering, stamps, run, beside)
        return (words,), (dark,) if dark else (), replace(fittings, stamps=stamps)
    owned = plates_in(workshop, fittings.finish, spec.fastening, fittings.leather.thickness, (STAMPED,))
    room = long_run(run, beside), ground.width - 2 * ground.margin
    plated, engraving = plate_for(owned, spec.lettering, room, (*past_edge(ground), STAMPED))
    plates = *fittings.plates, plated
    x = ground.seat(run, plated.plate.length, plate_spare(beside))
    return plate_marks(plated, x, engraving), (), replace(fittings, plates=plates)
