"""The ring's tab, opposite the buckle: a strip over the ring, riveted either side, or folded round it."""

from functools import lru_cache
from math import acos, atan2, hypot, pi, sqrt

from service.design.pattern import CollarFittings, Layout, Mark, Part
from service.design.ring import TAB_SLOPE
from service.design.spec import Buckled
from service.geometry import rectangle
from service.language import mark

TAB_END = 8.0
"""Rivet centre to the tab's cut end [mm], at the least. From memory."""
TAB_REACH = 12.7
"""Ring centre to rivet centre [mm], at the least. From memory."""
TAB_PITCH = 15.875
"""Rivet pitch of a folded tab [mm], 5/8 in: both stand on one side of the ring. From memory."""
EDGE_DIAMETERS = 2.0
"""Least distance from a hole's centre to the cut end, in hole diameters. Common practice."""


def folded(spec: Buckled) -> bool:
    """Tell whether the ring's tab is folded round it. Source: common practice. Worked: where asked for."""
    return spec.ring_at == "folded-tab"


def tab_plies(spec: Buckled) -> int:
    """Return the plies at the tab's rivets: strap and tab, or strap and both legs of a folded one.

    Source: common practice. Worked: 3 of a folded tab.
    """
    return 3 if folded(spec) else 2


def tab_sizes(spec: Buckled, fittings: CollarFittings) -> tuple[float, float]:
    """Return ring centre to the first rivet, and to the tab's end on the strap [mm]; 0 and 0 in the fold.

    The tab comes down from the ring's bar before the rivet's cap presses it flat. Source: derived. Worked:
    wire 4, leather 3, cap 9: 2 + 3 + 4.5 + 2 = 11.5, so 12.7; with an end of 8: 20.7; folded 15.9 more.
    """
    if spec.ring_at == "fold":
        return 0.0, 0.0
    tab = fittings.tab_fastener
    reach = max(TAB_REACH, fittings.ring.wire / 2 + fittings.leather.thickness + tab.cap / 2 + TAB_SLOPE)
    return reach, reach + max(TAB_END, EDGE_DIAMETERS * tab.hole) + (TAB_PITCH if folded(spec) else 0.0)


def tab_rivets(spec: Buckled, ring: float, reach: float) -> tuple[float, ...]:
    """Return where the tab's rivets are [mm] of a ring at `ring`, the first so far from it; none in the fold.

    Those of a folded tab are on the side of the tip, so that the tail has room. Source: common practice.
    Worked: 304.8 and 12.7 mm: 292.1 and 317.5 mm; folded 317.5 and 333.4 mm.
    """
    if spec.ring_at == "fold":
        return ()
    return (ring + reach, ring + reach + TAB_PITCH) if folded(spec) else (ring - reach, ring + reach)


def tab_span(spec: Buckled, fittings: CollarFittings, ring: float, end: float) -> tuple[float, float]:
    """Return from where to where the tab lies on the strap [mm], its end so far from the ring at `ring`.

    Source: derived: a folded one begins where it goes round the bar. Worked: wire 4, leather 3: 5 mm before
    the ring.
    """
    near = fittings.ring.wire / 2 + fittings.leather.thickness if folded(spec) else end
    return ring - min(near, end), ring + end


def tab_blank(wire: float, thickness: float, reach: float, end: float) -> float:
    """Return the cut length [mm] of a ring tab over a bar of diameter `wire`, riveted `reach` from it [mm].

    The tab's middle runs from the rivet straight to the bar, round it, and down the other side; `end` [mm]
    is left beyond each rivet. Source: derived (tangent, arc, tangent; middle of the leather at half
    thickness). Worked: wire 4, leather 3, reach 12.7, end 8: 2 x (8 + 13.33) = 42.7 mm.
    """
    return 2 * (end + _half_tent(wire, thickness, reach))


def _half_tent(wire: float, thickness: float, reach: float) -> float:
    radius = (wire + thickness) / 2
    drop = thickness / 2 - wire / 2
    distance = hypot(reach, drop)
    turn = atan2(reach, drop) - acos(radius / distance)
    return sqrt(distance * distance - radius * radius) + radius * turn


def folded_run(wire: float, thickness: float, reach: float) -> tuple[float, float]:
    """Return how far it is along a folded tab from its lower inner rivet to the ring, and to the upper one.

    All in mm. The lower leg lies on the strap and goes round the bar; the upper one comes down on it. Source:
    derived (line, arc, tangent; middle of the leather). Worked: wire 4, leather 3, reach 12.7: 12.7 mm to the
    bar, an arc of 12.11 mm and 12.22 mm: 18.75 and 18.27 mm.
    """
    radius = (wire + thickness) / 2
    drop = thickness / 2 - wire / 2
    distance = hypot(reach, drop)
    arc = radius * (3 * pi / 2 - atan2(drop, reach) - acos(radius / distance))
    return reach + arc / 2, arc / 2 + sqrt(distance * distance - radius * radius)


def tab_part(spec: Buckled, layout: Layout, fittings: CollarFittings) -> tuple[Part, ...]:
    """Return the tab as it is cut, none where the ring hangs in the fold.

    Source: `tab_blank`, `folded_run`. Worked: four rivet holes in one that is folded.
    """
    if not layout.tab_rivets:
        return ()
    inset = layout.tab_half - layout.tab_reach - (TAB_PITCH if folded(spec) else 0.0)
    sizes = fittings.ring.wire, layout.thickness, layout.tab_reach, inset
    return (_part(layout.width, sizes, fittings.tab_fastener.hole, is_folded=folded(spec)),)


@lru_cache(maxsize=256)
def _part(width: float, sizes: tuple[float, float, float, float], hole: float, *, is_folded: bool) -> Part:
    """Sizes are the ring's wire, the thickness, ring to rivet, and what is left beyond a rivet."""
    wire, thickness, reach, inset = sizes
    # The cut ends keep their distance to the rivets; what the bar takes up is all between them.
    if is_folded:
        lower, upper = folded_run(wire, thickness, reach)
        ring, length = inset + TAB_PITCH + lower, 2 * (inset + TAB_PITCH) + lower + upper
        holes: tuple[float, ...] = (inset, inset + TAB_PITCH, length - inset - TAB_PITCH, length - inset)
    else:
        length = tab_blank(wire, thickness, reach, inset)
        ring, holes = length / 2, (inset, length - inset)
    marks = tuple(
        sorted(
            (*(Mark("rivet-hole", x, diameter=hole) for x in holes), Mark("ring", ring, width=width)),
            key=lambda one: one.x,
        )
    )
    return Part("ring-tab", mark("Ring tab"), 1, length, width, thickness, rectangle(length, width), marks)
