"""A buckle collar: a wish and a workshop become its pattern. Pure and deterministic."""

from dataclasses import replace
from functools import lru_cache

from service.design.cautions import fold_finding
from service.design.decorate import decorate
from service.design.decoration import dye_for
from service.design.fit import TARGET, added_by, fit_of, flat_and_neck, take_up
from service.design.grooves import groove_findings, groove_marks
from service.design.hardware import PLIES, fittings_for, hardware_list
from service.design.joints import grip_finding, joints_of
from service.design.layout import (
    FIXED_PLIES,
    KEEPER_LAP,
    KEEPER_WIDTH,
    keeper_blank,
    layout_for,
)
from service.design.lining import lining_findings, lining_parts, seam_mark
from service.design.measures import measure_findings
from service.design.pattern import CollarFittings, CollarPattern, Layout, Mark, Part
from service.design.plates import plate_joints, with_plates
from service.design.ring import in_fold, ring_marks
from service.design.ring_tab import tab_part, tab_plies
from service.design.room import growth_findings, room_findings
from service.design.spec import Collar, slides
from service.design.taper import width_marks
from service.design.zones import ground_of
from service.geometry import mirrored, rectangle, upper_edge
from service.language import mark
from service.workshop import Workshop

FOLD_RIVETS = (
    mark("Rivet, outer"),
    mark("Rivet, inner"),
    mark("Rivet, inner, other leg"),
    mark("Rivet, outer, other leg"),
)
"""What the rivet holes of the fold are called, from the buckle end."""


def make_collar(spec: Collar, workshop: Workshop) -> CollarPattern:
    """Return the pattern of a buckle collar as it was asked for, without ways out of what can't be made.

    Source: common practice for the layout, derived for fit. Worked: see `make_pattern`. Raises NotStocked and
    DoesNotFit.
    """
    fittings = fittings_for(workshop, spec)
    if spec.dye:
        fittings = replace(fittings, dye=dye_for(workshop, fittings.leather, spec.dye))
    thickness = fittings.leather.thickness
    used_up = take_up(fittings.buckle, thickness)
    added = added_by(fittings)
    flat, _ = flat_and_neck(spec, added)
    layout, made_to_fit = layout_for(spec, fittings, flat)
    fit = fit_of(spec, layout, added)
    decoration, decorated, fittings = decorate(spec, workshop, ground_of(layout), fittings, fit.inside_girth)
    joints = (
        *joints_of(layout, fittings, tab_plies(spec), sliding=slides(spec)),
        *plate_joints(fittings.plates, decoration, thickness),
    )
    parts = _parts(spec, layout, fittings, decoration)
    advice = (
        grip_finding(joints, fittings, workshop),
        fold_finding(fittings.buckle.bar, thickness),
    )
    return CollarPattern(
        spec=spec,
        layout=layout,
        fittings=fittings,
        parts=parts,
        fit=fit,
        hardware=with_plates(
            hardware_list(fittings, sum(mark.kind == "stud" for mark in decoration), in_fold=in_fold(spec)),
            fittings.plates,
        ),
        joints=joints,
        findings=(
            *measure_findings(spec, fit, layout.pitch),
            *room_findings(spec, fit, fittings.buckle, used_up),
            *growth_findings(spec, fit),
            *made_to_fit,
            *groove_findings(spec),
            *lining_findings(spec, fittings, parts[0].marks),
            *(finding for finding in advice if finding),
            *decorated,
        ),
    )


def _parts(
    spec: Collar, layout: Layout, fittings: CollarFittings, decoration: tuple[Mark, ...]
) -> tuple[Part, ...]:
    strap = Part(
        "strap",
        mark("Strap"),
        1,
        layout.length,
        layout.width if layout.swell is None else layout.swell.widest,
        layout.thickness,
        mirrored(upper_edge(layout.length, layout.width, spec.end, layout.swell)),
        (
            *_strap_marks(layout, fittings),
            *width_marks(layout.swell, layout.width),
            *_grooves(layout),
            *seam_mark(layout, spec.end, fittings.thread),
            *decoration,
        ),
    )
    lining = lining_parts(layout, spec.end, fittings.lining)
    keepers = []
    if layout.keeper is not None:
        keepers.append(_keeper("keeper", mark("Fixed keeper"), fittings, layout.width, FIXED_PLIES))
    if slides(spec):
        keepers.append(_keeper("sliding-keeper", mark("Sliding keeper"), fittings, layout.width, PLIES))
    return strap, *lining, *tab_part(spec, layout, fittings), *keepers


def _grooves(layout: Layout) -> tuple[Mark, ...]:
    return groove_marks(layout.grooves, layout.width, layout.length - layout.taper, layout.swell)


def _strap_marks(layout: Layout, fittings: CollarFittings) -> tuple[Mark, ...]:
    hole = fittings.tab_fastener.hole
    return (
        *buckle_end(layout, fittings),
        *ring_marks(layout, hole),
        *[
            Mark("size-hole", x, diameter=layout.hole_diameter, number=n, target=n == TARGET)
            for n, x in enumerate(layout.holes, 1)
        ],
    )


def buckle_end(layout: Layout, fittings: CollarFittings) -> tuple[Mark, ...]:
    """Return the marks of the buckle end, which never change with the neck: rivet holes, slot, fold, keeper.

    Source: common practice. Worked: a 25.4 mm strap has its fold at 63.5 mm, the slot's middle.
    """
    return _buckle_end(
        layout.rivets,
        fittings.fold_fastener.hole,
        (layout.fold, layout.slot_length, layout.slot_width),
        layout.width,
        layout.keeper,
    )


@lru_cache(maxsize=256)
def _buckle_end(
    rivets: tuple[float, ...],
    hole: float,
    slot: tuple[float, float, float],
    width: float,
    keeper: float | None,
) -> tuple[Mark, ...]:
    """The same from the sizes that it hangs on; slot is fold, length, width."""
    fold, slot_length, slot_width = slot
    marks = (
        *(
            Mark("rivet-hole", x, diameter=hole, name=name)
            for x, name in zip(rivets, FOLD_RIVETS, strict=True)
        ),
        Mark("slot", fold, length=slot_length, width=slot_width),
        Mark("fold", fold, width=width),
    )
    return marks if keeper is None else (*marks, Mark("keeper", keeper, width=width, length=KEEPER_WIDTH))


def _keeper(name: str, title: str, fittings: CollarFittings, width: float, plies: int) -> Part:
    thickness = fittings.leather.thickness
    return _keeper_of(name, title, (width, thickness, fittings.thickness - thickness), plies)


@lru_cache(maxsize=256)
def _keeper_of(name: str, title: str, sizes: tuple[float, float, float], plies: int) -> Part:
    """A keeper for a strap of these sizes: width, thickness and that of its lining."""
    width, thickness, lining = sizes
    length = keeper_blank(width, thickness, plies, lining)
    outline = rectangle(length, KEEPER_WIDTH)
    lap = Mark("lap", length - KEEPER_LAP, length=KEEPER_LAP, width=KEEPER_WIDTH)
    return Part(name, title, 1, length, KEEPER_WIDTH, thickness, outline, (lap,))
