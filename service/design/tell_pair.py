"""A set of collar and lead in words: what is said of either, the collar first."""

from service.design.pair import SetPattern
from service.design.tell_collar import tell_collar
from service.design.tell_lead import tell_lead
from service.design.telling import Told
from service.language import mark
from service.saying import Length, named, say


def tell_pair(pattern: SetPattern) -> Told:
    """Return a set in words.

    Source: derived. Worked: "Chestnut bridle collar and lead, 1 in wide, for a neck of 19 in".
    """
    spec, collar, lead = pattern.spec, tell_collar(pattern.collar), tell_lead(pattern.lead)
    return Told(
        code="set",
        title=say(
            "{leather} collar and lead, {width} wide, for a neck of {neck}",
            leather=named(pattern.fittings.leather.name),
            width=Length(spec.width, alone=True),
            neck=Length(spec.neck, alone=True),
        ),
        made=mark("Collar and lead, made to measure"),
        phrases=(*collar.phrases, collar.length, *lead.phrases),
        length=say("the lead is {length} long", length=Length(pattern.lead.length, alone=True)),
        measures=(*collar.measures, *lead.measures),
        choices=tuple({one.name: one for one in (*collar.choices, *lead.choices)}.values()),
        fits=(*collar.fits, *lead.fits),
        sizes=(*collar.sizes, *lead.sizes),
        girths=collar.girths,
        sits=(*collar.sits, *lead.sits),
        included=(*collar.included, *lead.included),
        holes=collar.holes,
    )
