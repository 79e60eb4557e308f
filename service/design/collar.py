"""The engine: a wish and a workshop become a pattern. Pure and deterministic."""

from service.design.cautions import fold_finding
from service.design.decoration import lettering_mark, phone_findings, stamps_for, stud_marks
from service.design.fit import fit_of, flat_and_neck, girth_to_flat, take_up
from service.design.hardware import fittings_for, grip_finding, hardware_list
from service.design.layout import KEEPER_WIDTH, keeper_blank, layout_for, tab_blank
from service.design.measures import measure_findings
from service.design.pattern import Finding, Fittings, Layout, Mark, Part, Pattern, Station
from service.design.spec import Collar
from service.geometry import rectangle, strap_outline
from service.workshop import LetterStamps, Workshop


def make_pattern(spec: Collar, workshop: Workshop) -> Pattern:
    """Return the pattern of a collar: parts, fit, hardware and findings.

    Source: common practice for the layout, derived for fit. Worked: an existing collar of 19 in, 1 in wide, six
    holes: a strap of 27 1/2 in (698.5 mm).
    Raises NotStocked when hardware is missing and DoesNotFit when it can't be made, naming what would work.
    """
    fittings = fittings_for(workshop, spec)
    thickness = fittings.leather.thickness
    added = girth_to_flat(thickness, take_up(fittings.buckle, thickness))
    flat, _ = flat_and_neck(spec, added)
    layout, made_to_fit = layout_for(spec, fittings, flat)
    fit = fit_of(spec, layout.holes, layout.fold, layout.length, added)
    decoration, decorated, stamps = _decorate(spec, workshop, layout, fittings)
    studs = sum(mark.kind == "stud" for mark in decoration)
    stack = 2 * thickness
    advice = (
        grip_finding("fold", stack, fittings.fold_fastener),
        fold_finding(fittings.buckle.bar, thickness),
    )
    return Pattern(
        spec=spec,
        layout=layout,
        fittings=_with_stamps(fittings, stamps),
        parts=_parts(spec, layout, fittings, decoration),
        fit=fit,
        hardware=hardware_list(fittings, studs),
        findings=(
            *measure_findings(spec, fit, layout.pitch),
            *made_to_fit,
            *(finding for finding in advice if finding),
            *decorated,
        ),
        stations=_stations(layout, decoration),
    )


def _with_stamps(fittings: Fittings, stamps: LetterStamps | None) -> Fittings:
    return Fittings(
        fittings.leather,
        fittings.finish,
        fittings.buckle,
        fittings.ring,
        fittings.fold_fastener,
        fittings.tab_fastener,
        fittings.stud,
        stamps,
    )


def _decorate(
    spec: Collar, workshop: Workshop, layout: Layout, fittings: Fittings
) -> tuple[tuple[Mark, ...], tuple[Finding, ...], LetterStamps | None]:
    marks: list[Mark] = []
    findings: list[Finding] = []
    stamps = words = None
    if spec.lettering:
        stamps = stamps_for(workshop, layout, spec.lettering, spec.stamp, fittings.stud)
        words = lettering_mark(layout, spec.lettering, stamps)
        marks.append(words)
        findings.extend(phone_findings(spec.lettering, workshop.region))
    if spec.studs is not None and fittings.stud is not None:
        studs, said = stud_marks(layout, fittings.stud, spec.studs, words)
        marks.extend(studs)
        findings.extend(said)
    return tuple(marks), tuple(findings), stamps


def _parts(spec: Collar, layout: Layout, fittings: Fittings, decoration: tuple[Mark, ...]) -> tuple[Part, ...]:
    strap = Part(
        "strap",
        "Strap",
        1,
        layout.length,
        layout.width,
        layout.thickness,
        strap_outline(layout.length, layout.width, spec.end),
        (*_strap_marks(layout, fittings), *decoration),
    )
    parts = [strap, _ring_tab(layout, fittings)]
    if layout.keeper is not None:
        length = keeper_blank(layout.width, layout.thickness)
        blank = rectangle(length, KEEPER_WIDTH)
        parts.append(Part("keeper", "Fixed keeper", 1, length, KEEPER_WIDTH, layout.thickness, blank, ()))
    return tuple(parts)


def _strap_marks(layout: Layout, fittings: Fittings) -> tuple[Mark, ...]:
    fold_hole, tab_hole = fittings.fold_fastener.hole, fittings.tab_fastener.hole
    keeper = () if layout.keeper is None else (Mark("keeper", layout.keeper, width=layout.width, length=KEEPER_WIDTH),)
    return (
        *(Mark("rivet-hole", x, diameter=fold_hole) for x in layout.rivets),
        Mark("slot", layout.fold, length=layout.slot_length, width=layout.slot_width),
        Mark("fold", layout.fold, width=layout.width),
        *keeper,
        Mark("rivet-hole", layout.ring - layout.tab_reach, diameter=tab_hole),
        Mark("ring", layout.ring, width=layout.width),
        Mark("rivet-hole", layout.ring + layout.tab_reach, diameter=tab_hole),
        *(Mark("size-hole", x, diameter=layout.hole_diameter) for x in layout.holes),
    )


def _ring_tab(layout: Layout, fittings: Fittings) -> Part:
    length = tab_blank(fittings.ring.wire, layout.thickness, layout.tab_reach)
    # The cut ends keep their distance to the rivets; what the bar takes up is all between them.
    inset = layout.tab_half - layout.tab_reach
    hole = fittings.tab_fastener.hole
    marks = (
        Mark("rivet-hole", inset, diameter=hole),
        Mark("ring", length / 2, width=layout.width),
        Mark("rivet-hole", length - inset, diameter=hole),
    )
    blank = rectangle(length, layout.width)
    return Part("ring-tab", "Ring tab", 1, length, layout.width, layout.thickness, blank, marks)


def _stations(layout: Layout, decoration: tuple[Mark, ...]) -> tuple[Station, ...]:
    outer, inner, inner_back, outer_back = layout.rivets
    rows = [
        Station("Rivet, outer", outer),
        Station("Rivet, inner", inner),
        Station("Slot begins", layout.fold - layout.slot_length / 2),
        Station("Fold", layout.fold),
        Station("Slot ends", layout.fold + layout.slot_length / 2),
        Station("Rivet, inner, other leg", inner_back),
        Station("Rivet, outer, other leg", outer_back),
        Station("Ring tab, rivet", layout.ring - layout.tab_reach),
        Station("Ring", layout.ring),
        Station("Ring tab, rivet", layout.ring + layout.tab_reach),
        *(Station(_hole_name(k), x) for k, x in enumerate(layout.holes, 1)),
        Station("Tip", layout.length),
    ]
    if layout.keeper is not None:
        rows.append(Station("Keeper", layout.keeper))
    rows.extend(_decoration_stations(decoration))
    return tuple(sorted(rows, key=lambda row: row.x))


def _hole_name(number: int) -> str:
    return f"Hole {number}" + (", target" if number == 2 else "")  # noqa: PLR2004 - second from the buckle


def _decoration_stations(decoration: tuple[Mark, ...]) -> list[Station]:
    rows = [Station("Stud", mark.x) for mark in decoration if mark.kind == "stud"]
    for mark in decoration:
        if mark.kind == "lettering" and mark.length is not None:
            rows.append(Station("Lettering begins", mark.x - mark.length / 2))
            rows.append(Station("Lettering ends", mark.x + mark.length / 2))
    return rows
