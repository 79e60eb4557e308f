"""The room under the collar, in words: fingers, coat, the necks it fits, and what the buckle takes up."""

from service.design.fit import FINGERS, nearest_hole, neck_inside, wearable
from service.design.pattern import Finding, Fit, HoleFit
from service.design.reading import CHOICE_NAMES
from service.design.ring import in_fold
from service.design.spec import Collar, Worn
from service.errors import Suggestion
from service.language import mark
from service.saying import Exact, Length, Message, in_turn, say
from service.workshop import Buckle

CLOSE = 0.05
"""A neck [mm] is reached from so near on. Derived: half of what is shown."""
ONE_MORE = 0.999
"""This much of a finger more is one finger more."""
SPREAD = 2.0
"""Buckles of one size differ by so much in what they take up [mm], either way. Derived."""
COPIED = mark("common practice: an existing collar is copied as it is")


def room_findings(spec: Collar, fit: Fit, buckle: Buckle, used_up: float) -> tuple[Finding, ...]:
    """Return what the fingers, the coat and the buckle's take-up [mm] mean for this collar.

    Source: common practice and derived. Worked: an existing collar with two fingers, on a short coat: none.
    """
    if spec.measured == "existing-collar":
        return _copied(spec, fit)
    return (*_coat(spec, fit), _take_up(buckle, used_up))


def growth_findings(spec: Collar, fit: Fit) -> tuple[Finding, ...]:
    """Return on which hole the collar fits the dog once it has grown, or that none does.

    Source: derived. Worked: 12 in now and 14 in grown: two or three holes past the target. None is
    for a dog that doesn't grow.
    """
    if spec.adult is None:
        return ()
    reaching = [
        hole for hole in fit.holes if neck_inside(hole.inside_girth, spec.fingers) >= spec.adult - CLOSE
    ]
    adult = Length(spec.adult)
    if reaching and in_fold(spec):
        text = say(
            "Hole {number} is for the grown dog, with a neck of {adult}. Until then the tail is long: look at"
            " the fit every week.",
            number=reaching[0].number,
            adult=adult,
        )
        return (Finding("growing", "note", text, mark("derived"), "adult"),)
    if reaching:
        text = say(
            "Hole {number} is for the grown dog, with a neck of {adult}. Until then the tail is long, and the"
            " ring wanders as the holes change: look at the fit every week.",
            number=reaching[0].number,
            adult=adult,
        )
        return (Finding("growing", "note", text, mark("derived"), "adult"),)
    text = say(
        "The last hole fits a neck of {most}, and {adult} is expected: it takes more holes, or another collar"
        " later.",
        most=Length(neck_inside(fit.holes[-1].inside_girth, spec.fingers)),
        adult=adult,
    )
    ways = (Suggestion("holes", "auto", say("holes on auto")),)
    return (Finding("growing", "advice", text, mark("derived"), "adult", ways),)


def room_words(spec: Collar) -> Message:
    """Return how much room was asked for under the collar.

    Source: common practice. Worked: a tape and two fingers: "two fingers".
    """
    if spec.measured == "existing-collar":
        return say("as on the collar that was measured")
    return CHOICE_NAMES[str(spec.fingers)]


def with_coat(how: Message, spec: Worn) -> Message:
    """Return how the neck was measured with where the tape lay on a thick coat.

    Source: common practice. Worked: "snug tape" becomes "snug tape, over a thick coat".
    """
    if spec.coat == "short" or spec.measured == "existing-collar":
        return how
    return say("{how}, {coat}", how=how, coat=CHOICE_NAMES[spec.coat])


def wearable_sentence(spec: Collar, fit: Fit) -> Message:
    """Return which necks the collar fits, and the one at which a growing dog has outgrown it.

    Source: derived. Worked: "Wearable on necks from 11 in (279 mm) to 15 in (381 mm) with two fingers. ..."
    """
    least, most = wearable(fit, spec.fingers)
    fingers, up_to = CHOICE_NAMES[str(spec.fingers)], Length(most)
    lasts = say("It lasts a growing dog until its neck is {most}: measure it every week.", most=up_to)
    if not least:
        return in_turn(
            say("Wearable on necks up to {most} with {fingers}.", most=up_to, fingers=fingers), lasts
        )
    span = say(
        "Wearable on necks from {least} to {most} with {fingers}.",
        least=Length(least),
        most=up_to,
        fingers=fingers,
    )
    return in_turn(span, lasts)


def _copied(spec: Collar, fit: Fit) -> tuple[Finding, ...]:
    found = []
    if spec.fingers != FINGERS:
        text = say(
            "An existing collar is copied as it is: asking for {fingers} adds nothing and takes nothing off."
            " It is taken to leave two fingers; nearest to {fingers} is hole {hole}.",
            fingers=CHOICE_NAMES[str(spec.fingers)],
            hole=nearest_hole(fit, spec.fingers).number,
        )
        found.append(Finding("fingers-copied", "note", text, COPIED, "fingers"))
    if spec.coat != "short":
        text = say(
            "An existing collar fits the coat it was worn on, so nothing is added for the coat. Check the"
            " hole when the coat is clipped, wet or moulted."
        )
        found.append(Finding("coat-copied", "note", text, COPIED, "coat"))
    return tuple(found)


def _coat(spec: Collar, fit: Fit) -> tuple[Finding, ...]:
    if spec.coat == "short":
        return ()
    tightest, worn, *looser = fit.holes
    if spec.coat == "thick-over":
        text = say(
            "Measured over a thick coat: once the coat is clipped, wet or moulted the collar is looser and"
            " may slip off. Check the hole then; hole {hole} is {pitch} tighter.",
            hole=tightest.number,
            pitch=Length(worn.flat - tightest.flat),
        )
    else:
        under = say(
            "Measured under a thick coat, on the skin: the coat takes room under the collar, and nothing is"
            " added for it."
        )
        text = in_turn(under, _one_more(worn, looser))
    return (Finding("thick-coat", "warning", text, mark("common practice"), "coat"),)


def _one_more(worn: HoleFit, looser: list[HoleFit]) -> Message:
    for hole in looser:
        if hole.fingers - worn.fingers >= ONE_MORE:
            return say(
                "Check the hole: number {hole}, {more} looser, is the first with room for one more finger.",
                hole=hole.number,
                more=Length(hole.flat - worn.flat),
            )
    return say("No hole has room for one more finger: choose more fingers, or more holes.")


def _take_up(buckle: Buckle, used_up: float) -> Finding:
    if buckle.take_up is not None:
        text = say(
            "The buckle takes up {size} of the girth, as the workshop measured it.", size=Exact(used_up)
        )
        return Finding("take-up", "note", text, mark("the workshop's catalogue"), "measured")
    text = say(
        "The buckle is reckoned to take up {size} of the girth; buckles differ by up to {spread}."
        " A workshop's own measure of a finished collar takes its place.",
        size=Exact(used_up),
        spread=Exact(SPREAD, 0),
    )
    return Finding("take-up", "note", text, mark("derived: pi (d + t) / 4"), "measured")
