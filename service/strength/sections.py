"""What sections and joints bear, formula by formula: lengths in mm, forces in N, stresses in N/mm².

They know no collar and no leather: a part is described by its sizes and by what its material bears. None
has a factor of safety in it.
"""

from collections.abc import Iterable
from math import pi, sqrt

SHEAR = 0.577
"""Strength in shear as a share of that in tension (distortion energy; Shigley 9th ed., p. 454). It is a
metal's: leather has none that is published."""
PUNCHING = 0.6
"""The same for a head pulled through a sheet (EN 1993-1-8, table 3.4)."""
LOCKSTITCH, CHAINSTITCH = 1.5, 1.7
"""Threads that bear in each stitch, as it were. Rule of thumb of the thread trade."""


def solid_strap(width: float, thickness: float, stress: float) -> float:
    """Return what a strap without a hole bears [N]: width and thickness [mm], stress [N/mm²].

    Source: w t f. Worked: 25.4 by 3 mm at 15 N/mm²: 1143 N.
    """
    return width * thickness * stress


def net_section(width: float, thickness: float, stress: float, holes: Iterable[float]) -> float:
    """Return what is left of a strap beside holes that lie across it, diameters or slot widths [mm], in N.

    0 when nothing is left. Source: (w - sum d) t f (Shigley 9th ed., p. 454). Worked: 4 in wide, two holes of
    3/4 in, 1 in thick at 54/1.5 kpsi: 90 kip. Of leather it promises too much: see `holed_section`.
    """
    return max(0.0, width - sum(holes)) * thickness * stress


def holed_section(
    width: float, thickness: float, stress: float, hole: float, shares: tuple[float, float]
) -> tuple[float, float]:
    """Return the least and the most [N] that a leather strap bears where it has a hole, or a row of them.

    `shares` of the solid strap, and never more than the plain net section. Source: belting through its lace
    holes (1903 power-plant text) against solid belting (Raymond, Modern Shop Practice, vol. 1). Worked: 25.4
    by 3 mm at 15 N/mm², shares 0.21 and 0.36: 240 to 411 N, where the net section beside 4 mm says 963 N.
    """
    solid, most = solid_strap(width, thickness, stress), net_section(width, thickness, stress, (hole,))
    return min(shares[0] * solid, most), min(shares[1] * solid, most)


def tear_out(edge: float, thickness: float, stress: float) -> float:
    """Return what one pin bears [N] before it tears out to an end `edge` [mm] away, thickness [mm].

    `stress` [N/mm²] is in tension. Source: 2 a t 0.577 f (Shigley 9th ed., p. 454, for each bolt). Worked:
    two bolts, 1 1/8 in from the end of 1 in of steel at 54/1.5 kpsi: 93.5 kip.
    """
    return 2 * max(0.0, edge) * thickness * SHEAR * stress


def bearing(diameter: float, thickness: float, stress: float) -> float:
    """Return what a pin, diameter [mm], bears [N] on the side of its hole, thickness [mm], stress [N/mm²].

    Source: d t f (Shigley 9th ed., p. 454). Worked: two bolts of 3/4 in in 1 in at 54/1.5 kpsi: 54 kip.
    """
    return diameter * thickness * stress


def bearing_backed(
    pin: float, hole: float, thickness: float, stress: float, end: float, side: float
) -> float:
    """Return the same [N] with what the material beyond the hole adds; all sizes [mm], stress [N/mm²].

    `end` is the distance from the hole's centre to the end that the pin pulls to, `side` to the edge beside
    it. Source: k1 alpha_b f d t (EN 1993-1-8, table 3.4, end bolts), without its partial factor. Worked: d
    20, d0 22, e1 30, e2 35, t 9, f 410: 83.86 kN, and 67.09 kN over 1.25.
    """
    k1 = min(2.8 * side / hole - 1.7, 2.5)
    alpha = min(end / (3 * hole), 1.0)
    return max(0.0, k1) * max(0.0, alpha) * bearing(pin, thickness, stress)


def pull_through(cap: float, thickness: float, stress: float) -> float:
    """Return what pulls a cap of a diameter [mm] through a sheet [N], thickness [mm], stress [N/mm²].

    Source: 0.6 pi d t f (EN 1993-1-8, table 3.4, punching shear), without its partial factor. Worked: d 30,
    t 8, f 360: 162.86 kN, and 130.29 kN over 1.25.
    """
    return PUNCHING * pi * cap * thickness * stress


def fold_round_bar(width: float, thickness: float, stress: float, slot: float) -> tuple[float, float]:
    """Return the least and the most [N] that a fold round a bar bears, of two legs with a slot in them [mm].

    Both legs carry half where they pull alike; at the least one carries all. Source: derived, twice the net
    section. Worked: 25.4 by 2.667 mm at 15 N/mm², slot 4: 856 to 1712 N.
    """
    leg = net_section(width, thickness, stress, (slot,))
    return leg, 2 * leg


def ring_moments(load: float, radius: float) -> tuple[float, float]:
    """Return the moments [N mm] under the load [N] and at the side of a closed ring, mean radius [mm].

    Source: W R / pi and W R (1/2 - 1/pi) (Roark, circular ring, case 1). Worked: 500 N, 15 mm: 2387.3 and
    1362.7 N mm.
    """
    return load * radius / pi, load * radius * (0.5 - 1 / pi)


def wire_stress(moment: float, wire: float) -> float:
    """Return the bending stress [N/mm²] in round wire, diameter [mm], of a moment [N mm].

    Source: 32 M / (pi d³). Worked: 2387.3 N mm, 4 mm: 379.95 N/mm².
    """
    return 32 * moment / (pi * wire**3)


def ring_bends(radius: float, wire: float, stress: float) -> float:
    """Return the pull [N] at which a closed ring of round wire begins to bend for good.

    Mean radius and wire [mm], `stress` [N/mm²] where the wire yields. Source: `ring_moments`, under the load.
    Worked: 15 mm, 4 mm, 379.95 N/mm²: 500 N.
    """
    return stress / wire_stress(ring_moments(1.0, radius)[0], wire)


def ring_gives_way(radius: float, wire: float, stress: float) -> float:
    """Return the pull [N] at which a closed ring is drawn out of shape: arguments as for `ring_bends`.

    Source: derived: hinges under the loads and at the sides, W R / 2 = 2 M, of a plastic moment f d³ / 6
    each. Worked: 15 mm, 4 mm, 120 N/mm²: 4 x 1280 / 15 = 341 N.
    """
    return 4 * _plastic_moment(wire, stress) / radius


def pin_moment(load: float, length: float) -> float:
    """Return the bending moment [N mm] in the middle of a bar, length [mm], of a load [N] spread along it.

    Source: W L / 8. Worked: 500 N, 27 mm: 1687.5 N mm.
    """
    return load * length / 8


def pin_bends(length: float, wire: float, stress: float) -> float:
    """Return the pull [N] at which a bar under a strap begins to bend for good; sizes [mm], stress [N/mm²].

    Source: `pin_moment`. Worked: 27 mm long, 4 mm thick, 268.57 N/mm²: 500 N.
    """
    return stress / wire_stress(pin_moment(1.0, length), wire)


def pin_gives_way(length: float, wire: float, stress: float) -> float:
    """Return the pull [N] at which such a bar folds in its middle.

    Source: derived: one hinge of a plastic moment f d³ / 6. Worked: 27 mm, 4 mm, 120 N/mm²: 379 N.
    """
    return 8 * _plastic_moment(wire, stress) / length


def _plastic_moment(wire: float, stress: float) -> float:
    return stress * wire**3 / 6


def seam(stitches: float, thread: float, stitch: float = LOCKSTITCH) -> float:
    """Return what a seam bears, in the unit of `thread`'s strength, of so many stitches.

    Source: stitches x thread x 1.5, or 1.7 for a chainstitch: rule of thumb of the thread trade. Worked: an
    inch with ten stitches of a 4 lbf thread: 60 lbf.
    """
    return stitches * thread * stitch


def snatch(mass: float, speed: float, stiffness: float, pull: float = 0.0) -> float:
    """Return the greatest pull [N] at the end of a slack lead: mass [kg], speed [m/s], stiffness [N/m].

    `pull` [N] is what goes on pulling meanwhile. Source: P + sqrt(P² + k m v²), derived by energy: the lead
    alone stretches, neither hand nor dog gives. Worked: 25 kg, 4 m/s, 5000 N/m: 1414 N.
    """
    return pull + sqrt(pull * pull + stiffness * mass * speed * speed)
