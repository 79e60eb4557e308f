"""From the dog to the strap: girth, ease, fingers, and what each hole gives."""

from bisect import bisect_right
from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache
from math import acos, atan2, hypot, pi, sqrt

from service.design.pattern import CollarFittings, Fit, HoleFit, Layout
from service.design.spec import Coat, Collar, Measured
from service.language import tr
from service.workshop import Buckle, Lining

FINGER_WIDTH = 18.0
"""Width of one finger [mm]; two side by side are 36 mm. From memory."""
FINGER_HEIGHT = 15.0
"""Height of a finger lying under the strap [mm]. From memory."""
FINGERS = 2
"""Fingers that go under a collar on its target hole. Common practice."""
MANY_FINGERS = 3.5
"""From here on fingers under a collar are not counted."""
TARGET = 2
"""The hole the dog should wear, counted from the buckle: one tighter, the others looser. Common practice."""
SETTLED = 1e-9
"""Steps stop when neck and ease together miss the girth by no more than this [mm]."""

# Standard uncertainties [mm] of one neck measure, by what causes them. From everyday tape use: reading to
# 1 mm either way, how hard the tape is pulled, coat flattened or not, the same person measuring again.
UNCERTAINTY: dict[Measured, tuple[float, ...]] = {
    "existing-collar": (1.0, 1.5, 1.0),  # reading, stretch of the worn hole, repeat
    "tape-two-fingers": (1.0, 2.0, 2.5, 2.0),  # reading, squeeze, coat, repeat
    "tape-snug": (1.0, 2.0, 2.5, 2.0),
}
COAT_DEPTH = 2.0
"""How much more or less deep than thought a thick coat lies when it is pressed down [mm]. From memory."""
THICK_COAT = 2 * pi * COAT_DEPTH / sqrt(3)
"""Standard uncertainty [mm] of a girth from that, every depth as likely (JCGM 100:2008, 4.3.7)."""


@dataclass(frozen=True, slots=True)
class Added:
    """How much longer flat is than inside girth [mm]: in `all`, and what of it is the `lining`'s."""

    all: float
    lining: float = 0.0


def expanded_uncertainty(measured: Measured, coat: Coat = "short") -> float:
    """Return the measuring uncertainty [mm], k = 2, of a neck measured this way on such a coat.

    A thick coat makes a tape's measure worse; an existing collar has been worn on it. Source:
    root-sum-square of standard uncertainties (JCGM 100:2008, 5.1.2), components from memory. Worked: tape,
    1, 2, 2.5 and 2 mm: 2 x 3.905 = 7.8 mm, about 8 mm; with 7.255 mm for a thick coat 16.5 mm.
    """
    thick = coat != "short" and measured != "existing-collar"
    parts = (*UNCERTAINTY[measured], THICK_COAT) if thick else UNCERTAINTY[measured]
    return 2 * combined_uncertainty(parts)


def combined_uncertainty(parts: Iterable[float]) -> float:
    """Return what standard uncertainties that do not hang on each other come to together, in their unit.

    Source: root-sum-square (JCGM 100:2008, 5.1.2). Worked: 2.5, 0.3, 5.8 and 0.7 mm: 6.4 mm.
    """
    return hypot(*parts)


def block_ease(neck: float, width: float, height: float = FINGER_HEIGHT) -> float:
    """Return how much longer [mm] a strap is for a block of width and height [mm] under it on a neck [mm].

    The strap runs tangent, round the neck, tangent, over the block's two top corners. Source: derived
    (convex hull). Worked: neck 350, block 36 by 15: 24.25 mm.
    """
    radius = neck / (2 * pi)
    top = radius + height
    reach = hypot(width / 2, top)
    lean = atan2(width / 2, top)
    return width + 2 * sqrt(reach * reach - radius * radius) - 2 * radius * (lean + acos(radius / reach))


def finger_steps(neck: float) -> tuple[float, ...]:
    """Return the ease [mm] on a neck [mm] of no, one, two and three fingers side by side.

    Source: derived, `block_ease`. Worked: neck 350: 0, 17.77, 24.25 and 32.98 mm.
    """
    return (0.0, *(block_ease(neck, FINGER_WIDTH * n) for n in (1, 2, 3)))


def fingers_under(ease: float, steps: tuple[float, ...]) -> float:
    """Return how many fingers an ease [mm] is, with parts of a finger; `steps` [mm] from `finger_steps`.

    Straight lines between the steps, the last one carried on; negative when the collar is smaller than the
    neck. Source: derived. Worked: neck 350, ease 24.25: 2.0 fingers.
    """
    n = bisect_right(steps, ease, 1, len(steps) - 1) - 1
    return n + (ease - steps[n]) / (steps[n + 1] - steps[n])


def fingers_in_words(under: float) -> str:
    """Return the room under a collar in fingers, in words; from 3.5 fingers on they are not counted.

    Source: common practice. Worked: 1.9 is "about 2", -0.1 is "too tight".
    """
    if under < 0:
        return tr("too tight")
    if under >= MANY_FINGERS:
        return tr("4 or more")
    return tr("about {count}", count=round(under)) if round(under) else tr("less than one")


@lru_cache(maxsize=1024)
def neck_inside(girth: float, fingers: int = FINGERS) -> float:
    """Return the neck [mm] on which a collar of this inside girth [mm] leaves room for so many fingers.

    0 when it is too small for the fingers alone. Source: inverse of `block_ease` by the secant method: it
    bends so little that five steps settle it. Worked: girth 374.25, two fingers: 350.0 mm.
    """
    width = FINGER_WIDTH * fingers
    if girth <= block_ease(0, width):
        return 0.0
    before, over_before = girth, block_ease(girth, width)
    neck = girth - over_before
    while abs(over := neck + block_ease(neck, width) - girth) > SETTLED:
        neck, before, over_before = neck - over * (neck - before) / (over - over_before), neck, over
    return neck


def take_up(buckle: Buckle, thickness: float) -> float:
    """Return the girth [mm] a buckle uses up on leather of this thickness [mm].

    The maker's own measure when the catalogue has one, else a quarter turn of the strap's middle round the
    bar. Source: pi (d + t) / 4, derived. Worked: bar 4, leather 3: 5.50 mm.
    """
    return pi * (buckle.bar + thickness) / 4 if buckle.take_up is None else buckle.take_up


def girth_to_flat(thickness: float, used_up: float) -> float:
    """Return how much longer flat is than inside girth [mm]: pi t + q, of thickness t and take-up q [mm].

    Source: derived: the strap's middle runs t/2 outside the neck all round. Worked: 3 mm and 5.50 mm: 14.92
    mm.
    """
    return pi * thickness + used_up


def lining_adds(lining: Lining | None) -> float:
    """Return how much longer fold to hole is for the same inside girth [mm] where a strap is lined.

    Strap and lining bend as one. Padding is soft: the strap keeps its length outside it, and the lining lies
    further in by both. Source: derived, as `girth_to_flat`. Worked: 1 mm: 3.14 mm; 1 mm on 3 mm of padding:
    2 pi 4 = 25.13 mm.
    """
    if lining is None:
        return 0.0
    return 2 * pi * (lining.padding + lining.thickness) if lining.padding else pi * lining.thickness


def added_by(fittings: CollarFittings) -> Added:
    """Return how much longer fold to hole is than inside girth [mm] on this leather, lining and buckle.

    Source: derived. Worked: 3 mm, a bar of 4 mm: 14.92 mm; lined with 1 mm: 18.06 mm.
    """
    thickness, lined = fittings.leather.thickness, lining_adds(fittings.lining)
    return Added(girth_to_flat(thickness, take_up(fittings.buckle, thickness)) + lined, lined)


def flat_and_neck(spec: Collar, added: Added) -> tuple[float, float]:
    """Return fold to target hole and the snug neck [mm] that a wish means.

    An existing collar is taken to leave two fingers and copied as it is, however many are wanted, with as
    much girth inside where the new one is lined; it is taken to have no lining itself. A tape measures inside
    girth. Source: common practice and derived. Worked: existing collar 482.6 mm is 482.6 mm flat; a snug
    tape of 350 mm, three fingers, on 14.92 mm added is 350 + 32.98 + 14.92 mm.
    """
    wanted = FINGER_WIDTH * spec.fingers
    if spec.measured == "tape-snug":
        return spec.neck + block_ease(spec.neck, wanted) + added.all, spec.neck
    if spec.measured == "existing-collar":
        flat = spec.neck + added.lining
        return flat, neck_inside(flat - added.all)
    flat = spec.neck + added.all
    neck = neck_inside(flat - added.all)
    return flat + (block_ease(neck, wanted) - block_ease(neck, FINGER_WIDTH * FINGERS)), neck


def grown_flat(spec: Collar, added: Added) -> float | None:
    """Return fold to hole [mm] for the neck that a growing dog will have, with the fingers wanted, or None.

    Source: derived, as for a snug tape. Worked: 350 mm, three fingers, on
    14.92 mm added: 350 + 32.98 + 14.92 mm.
    """
    return (
        None
        if spec.adult is None
        else spec.adult + block_ease(spec.adult, FINGER_WIDTH * spec.fingers) + added.all
    )


def fit_of(spec: Collar, layout: Layout, added: Added) -> Fit:
    """Return the fit on every hole of a layout.

    Source: trade geometry, derived; the ring leaves the nape by half the change of girth: 360 change / (2
    flat). In the fold it stays by the buckle: half a turn less what lies between them. Worked: one pitch of
    25.4 mm looser on 482.6 mm turns the ring by 9.5 degrees.
    """
    flat, neck = flat_and_neck(spec, added)
    fold = layout.fold
    steps = finger_steps(neck)

    def on(number: int, x: float) -> HoleFit:
        reach = x - fold
        girth = reach - added.all
        ease = girth - neck
        turned = 180 * (reach - flat) / flat
        if not layout.tab_half:
            turned = 180 - 360 * (layout.ring - fold) / reach
        fingers = fingers_under(ease, steps)
        return HoleFit(number, reach, girth, ease, fingers, layout.length - x, turned, number == TARGET)

    rows = tuple(on(k, x) for k, x in enumerate(layout.holes, 1))
    worn = rows[TARGET - 1]
    uncertainty = expanded_uncertainty(spec.measured, spec.coat)
    return Fit(worn.flat, worn.inside_girth, worn.ease, worn.fingers, neck, uncertainty, rows)


def wearable(fit: Fit, fingers: int) -> tuple[float, float]:
    """Return the least and the greatest neck [mm] that the first and the last hole fit, by room in fingers.

    Source: derived, `neck_inside`. Worked: inside girths of 354.25 to 454.25 mm, two fingers: 329.0 to 433.1
    mm.
    """
    return neck_inside(fit.holes[0].inside_girth, fingers), neck_inside(fit.holes[-1].inside_girth, fingers)


def nearest_hole(fit: Fit, fingers: int) -> HoleFit:
    """Return the hole whose ease is nearest to that of so many fingers.

    Source: derived, `finger_steps`. Worked: a tape's measure: the target hole, with the fingers wanted.
    """
    wanted = finger_steps(fit.neck)[fingers]
    return min(fit.holes, key=lambda hole: abs(hole.ease - wanted))
