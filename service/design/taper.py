"""A tapered collar: wide in its middle, eased to the buckle's width before either end."""

from collections.abc import Iterator
from math import floor, pi, tan

from service.design.pattern import Mark
from service.design.spec import Collar
from service.errors import DoesNotFit, Suggestion
from service.geometry import Swell, width_at
from service.language import mark
from service.saying import Length, Limit, Message, say

LEG_CLEAR = 3.0
"""A strap widens, or its ring tab starts, so far [mm] behind the folded leg. Derived: three plies lean."""
HOLE_CLEAR = 6.0
"""It is narrow again this far [mm] before the first hole's edge, as at the tip. Common practice."""
EASES = 3
"""Of what lies between both ends a third is each ease, and a third is widest. By eye."""
STEEPEST = tan(pi / 6)
"""An edge rises to the throat at 30 degrees at most: a steeper one reads as a step. By eye."""
WIDER = 1.0
"""A throat is at least this much wider than the ends [mm], or it isn't seen. By eye."""
STRAIGHT = Suggestion("throat", "", say("straight edges"))
WIDTHS = (
    mark("Widens from here"),
    mark("Widest from here"),
    mark("Widest to here"),
    mark("Width of the ends again"),
)


def swell_for(spec: Collar, fold: float, flat: float, tightest: float) -> Swell | None:
    """Return where a collar widens to its throat, symmetric about the middle of what is worn; None if not.

    `fold` and the `tightest` hole's edge in mm from the buckle end, `flat` from fold to target hole [mm].
    Source: common practice, half a cosine either side; derived. Worked: fold 63.5, flat 482.6: it widens from
    130 mm on, and each ease is a third of twice the 174.8 mm to the middle: 116.5 mm. Raises DoesNotFit where
    a throat this wide has no room between the ends, or is none.
    """
    if spec.throat is None:
        return None
    middle = fold + flat / 2
    reach = min(flat / 2 - fold - LEG_CLEAR, tightest - HOLE_CLEAR - middle)
    ease = 2 * reach / EASES
    most = spec.width + 4 * STEEPEST * ease / pi
    if most < spec.width + WIDER:
        message = say("Between the folded end and the holes this strap is too short to widen.")
        raise DoesNotFit(field="throat", message=message, would_work=(STRAIGHT,))
    if not spec.width + WIDER <= spec.throat <= most:
        raise _other_throat(spec, spec.throat, most)
    _guard_fellows(spec)
    start, end = middle - reach, middle + reach
    return Swell(start, start + ease, end - ease, end, spec.throat)


def _other_throat(spec: Collar, throat: float, most: float) -> DoesNotFit:
    if throat > most:
        message = say(
            "So wide a throat leaves too steep an edge to both ends of this strap: {most} at most.",
            most=Limit(most, "most"),
        )
        size = floor(most)
    else:
        message = say("A throat is wider than the strap's ends, which are {width}.", width=Length(spec.width))
        size = floor(min(most, spec.width * 1.5))
    near = Suggestion("throat", f"{size} mm", say("a throat of {width}", width=Length(size)))
    return DoesNotFit(field="throat", message=message, would_work=(near, STRAIGHT))


def _guard_fellows(spec: Collar) -> None:
    """Refuse what can't go along with a throat: it would have to change its width, or leave the edge."""
    if spec.keepers == "sliding":
        message = say("A keeper can't slide along a strap that widens.")
        ways = Suggestion("keepers", "fewest", say("no sliding keeper")), STRAIGHT
        raise DoesNotFit(field="keepers", message=message, would_work=ways)
    if spec.border:
        message = say("A border runs along straight edges only: its stamps don't bend with the throat.")
        raise DoesNotFit(
            field="border",
            message=message,
            would_work=(Suggestion("border", "", say("no border")), STRAIGHT),
        )


def width_marks(swell: Swell | None, width: float) -> Iterator[Mark]:
    """Yield the four places at which a strap's width [mm] begins or ends to change.

    Source: derived. Worked: on a straight strap there are none.
    """
    if swell is not None:
        for x, name in zip((swell.start, swell.full, swell.back, swell.end), WIDTHS, strict=True):
            yield Mark("width", x, width=width_at(x, width, swell), name=name)


def throat_words(throat: float) -> Message:
    """Return how wide a tapered collar is at its throat [mm], as a phrase.

    Source: derived. Worked: "widening to 1 3/4 in (44 mm)".
    """
    return say("widening to {width}", width=Length(throat))
