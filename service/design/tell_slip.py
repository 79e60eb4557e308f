"""A limited-slip collar in words."""

from service.design.fit import expanded_uncertainty
from service.design.reading import CHOICE_NAMES
from service.design.room import with_coat
from service.design.slip import SlipPattern
from service.design.telling import Fact, Measured, Told
from service.language import mark
from service.saying import Length, named, say


def tell_slip(pattern: SlipPattern) -> Told:
    """Return a limited-slip collar in words.

    Source: derived. Worked: "Chestnut bridle limited-slip collar, 1 in wide, for a neck of 14 in".
    """
    spec, layout, fit = pattern.spec, pattern.layout, pattern.fit
    tight, wide = Length(fit.tight, alone=True), Length(fit.open, alone=True)
    return Told(
        code="limited-slip",
        title=say(
            "{leather} limited-slip collar, {width} wide, for a neck of {neck}",
            leather=named(pattern.fittings.leather.name),
            width=Length(spec.width, alone=True),
            neck=Length(spec.neck, alone=True),
        ),
        made=mark("Limited-slip collar, made to measure"),
        phrases=(say("{tight} pulled tight", tight=tight), say("{wide} open", wide=wide)),
        length=say("the strap is {length} long", length=Length(layout.strap, alone=True)),
        measures=(
            Measured("neck", mark("Neck"), spec.neck, with_coat(CHOICE_NAMES[spec.measured], spec)),
            Measured("head", mark("Head"), spec.head),
        ),
        choices=(
            Fact(mark("Closes by"), say("a leather loop through two rings")),
            Fact(mark("Held by"), CHOICE_NAMES[spec.fastening]),
        ),
        fits=(
            Fact(mark("Pulled tight"), Length(fit.tight), say("inside")),
            Fact(mark("Open"), Length(fit.open), say("inside")),
        ),
        sizes=(
            (mark("Fold to fold"), layout.between),
            (mark("Control loop, cut"), layout.loop),
            (mark("Rivet holes, across"), pattern.fittings.fastener.hole),
        ),
        girths=(
            (mark("Inside girth, pulled tight"), fit.tight),
            (mark("Inside girth, open"), fit.open),
            (mark("Snug neck it is made for"), fit.neck),
        ),
        sits=(
            say(
                "Pulled tight it measures {tight} inside, as much as the neck and never less; open {wide}, to"
                " pass a head of {head} with {room} to spare.",
                tight=tight,
                wide=wide,
                head=Length(fit.head, alone=True),
                room=Length(fit.open - fit.head, alone=True),
            ),
            say(
                "A neck measured so is good to about ±{give}: try it on before the last rivets are set.",
                give=Length(round(expanded_uncertainty(spec.measured, spec.coat))),
            ),
        ),
        included=(say("{metal} rings, three alike", metal=named(pattern.fittings.finish.name)),),
    )
