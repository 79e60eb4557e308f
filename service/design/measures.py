"""The measure itself: whether the neck suits the dog, and whether the tape is good enough for the holes."""

from service.design.fit import neck_inside
from service.design.pattern import Finding, Fit
from service.design.spec import NECK_MAX, NECK_MIN, Collar, Worn
from service.errors import Suggestion
from service.language import mark
from service.saying import Length, Mass, say
from service.units import IN

NECK_LOW, NECK_HIGH = 11.7, 16.6
"""Neck girth [cm] per cube root of weight [kg]: the range most dogs fall in. Derived, weak: it only asks."""
CM = 10.0
TYPING = 1e-3
"""A number nearer than this to a round one is that one: what is left is the conversion's noise."""
NOT_TYPED = 1000
"""Rank of a number that nobody types."""
HALF_A_HOLE = 0.5
"""From half a hole up a wrong measure may mean the wrong hole. Common practice."""


def usual_neck(weight_kg: float) -> tuple[float, float]:
    """Return the range of neck girths [mm] that is usual for a dog's weight [kg].

    11.7 to 16.6 cm times the cube root of the weight. Source: derived (isometric scaling), weak.
    Worked: 27 kg: 351 to 498 mm.
    """
    root = weight_kg ** (1 / 3)
    return NECK_LOW * CM * root, NECK_HIGH * CM * root


def measure_findings(spec: Collar, fit: Fit, pitch: float) -> tuple[Finding, ...]:
    """Return what to ask or know about the measure: fit in mm, size hole pitch [mm].

    Source: derived. Worked: a neck of 16 cm on a dog of 27 kg asks whether 16 in was meant.
    """
    return (*unusual_neck(spec, fit.neck), _uncertainty(fit, pitch))


def unusual_neck(spec: Worn, neck: float) -> tuple[Finding, ...]:
    """Return a question where the snug neck [mm] is unusual for the dog's weight.

    Source: derived, weak, `usual_neck`. Worked: 160 mm on 27 kg asks whether 16 in was meant.
    """
    if spec.weight is None:
        return ()
    low, high = usual_neck(spec.weight)
    if low <= neck <= high:
        return ()
    text = say(
        "A neck of {neck} is unusual for a dog of {weight}: most have {low} to {high}."
        " Inches or centimetres? Over the coat? Is the weight right?",
        neck=Length(neck),
        weight=Mass(spec.weight),
        low=Length(low),
        high=Length(high),
    )
    more = spec.neck - neck  # what was measured is as much more than the neck in either unit
    cures = tuple(_meant(value) for value, mm in _other_units(spec.neck) if low <= mm - more <= high)
    source = mark("derived, weak: neck in cm is 11.7 to 16.6 times the cube root of kg")
    return (Finding("neck-for-weight", "question", text, source, "neck", cures),)


def meant_necks(spec: Worn) -> tuple[Suggestion, ...]:
    """Return the necks that may have been meant: the same number in the other unit, usual for the weight.

    Source: derived. Worked: 160 mm is 16 cm, so perhaps 16 in was meant; with a weight of 1 kg it wasn't.
    """
    return tuple(_meant(value) for value, mm in _other_units(spec.neck) if is_usual(spec, mm))


def is_usual(spec: Worn, neck: float) -> bool:
    """Tell whether a neck [mm], measured as in this wish, is usual for its weight; without one every neck is.

    Source: `usual_neck`; what leather and buckle take up is too little to matter here. Worked: 406 mm on
    27 kg is usual, 160 mm is not.
    """
    if spec.weight is None:
        return True
    low, high = usual_neck(spec.weight)
    return low <= (neck if spec.measured == "tape-snug" else neck_inside(neck)) <= high


def _meant(neck: str) -> Suggestion:
    return Suggestion("neck", neck, say("I meant {neck}", neck=neck))


def _other_units(neck: float) -> tuple[tuple[str, float], ...]:
    """The same number typed in the other unit, as far as that is a neck: the commonest expensive mistake.

    Of inches and centimetres only the rounder number was typed: 160 mm were 16 cm and not 6.299 in.
    """
    sizes = (neck / IN, 16, CM, "cm"), (neck / CM, 10, IN, "in")
    ranked = [(_roundness(number, finest), number, unit, name) for number, finest, unit, name in sizes]
    roundest = min(rank for rank, *_ in ranked)
    return tuple(
        (f"{number:.6g} {name}", number * unit)
        for rank, number, unit, name in ranked
        if rank == roundest < NOT_TYPED and NECK_MIN <= number * unit <= NECK_MAX
    )


def _roundness(number: float, finest: int) -> int:
    """Into how many parts a whole is divided to make a number: 1 for 16, 2 for 16 1/2; at most the finest."""
    return next((n for n in (1, 2, 4, finest) if abs(number * n - round(number * n)) < TYPING), NOT_TYPED)


def _uncertainty(fit: Fit, pitch: float) -> Finding:
    if fit.uncertainty < HALF_A_HOLE * pitch:
        compared = say("so that is less than half a hole")
    else:
        compared = say("so that is up to a hole: measure twice")
    text = say(
        "A neck measured this way is good to about ±{give}; the holes are {pitch} apart, {compared}.",
        give=Length(round(fit.uncertainty)),
        pitch=Length(pitch),
        compared=compared,
    )
    return Finding(
        "uncertainty", "note", text, mark("derived: root-sum-square, k = 2 (JCGM 100:2008)"), "measured"
    )
