"""A buckle collar in words."""

from service.design.fit import fingers_in_words, wearable
from service.design.pattern import CollarPattern
from service.design.reading import CHOICE_NAMES
from service.design.ring import NAMES as RINGS
from service.design.room import room_words, wearable_sentence, with_coat
from service.design.telling import Fact, Measured, Told
from service.language import mark
from service.saying import Length, Message, Spelled, named, say, say_many


def tell_collar(pattern: CollarPattern) -> Told:
    """Return a buckle collar in words.

    Source: derived. Worked: its title is "Chestnut bridle collar, 1 in wide, for a neck of 19 in".
    """
    spec, layout, fit = pattern.spec, pattern.layout, pattern.fit
    measures = [Measured("neck", mark("Neck"), spec.neck, with_coat(CHOICE_NAMES[spec.measured], spec))]
    if spec.adult is not None:
        measures.append(Measured("adult", mark("Neck when grown"), spec.adult))
    return Told(
        code="collar",
        title=_title(pattern),
        made=mark("Collar, made to measure"),
        phrases=(
            say(
                "{count} holes {pitch} apart",
                count=Spelled(len(layout.holes)),
                pitch=Length(layout.pitch, alone=True),
            ),
            *((say("the ring {where}", where=RINGS[spec.ring_at]),) if spec.ring_at != "tab" else ()),
        ),
        length=say("the strap is {length} long", length=Length(layout.length, alone=True)),
        measures=tuple(measures),
        choices=_choices(pattern),
        fits=_fits(pattern),
        sizes=(
            *(() if layout.swell is None else ((mark("Strap width at the throat"), layout.swell.widest),)),
            (mark("Fold to target hole"), fit.flat),
            (mark("Hole to hole"), layout.pitch),
            (mark("Holes, across"), layout.hole_diameter),
            (mark("Slot, length"), layout.slot_length),
            (mark("Slot, width"), layout.slot_width),
            (mark("Fold fastener holes, across"), pattern.fittings.fold_fastener.hole),
            *(
                ((mark("Ring tab fastener holes, across"), pattern.fittings.tab_fastener.hole),)
                if layout.tab_half
                else ()
            ),
        ),
        girths=(
            (mark("Inside girth on the target hole"), fit.inside_girth),
            (mark("Snug neck it is made for"), fit.neck),
        ),
        sits=(_on_the_target(pattern), wearable_sentence(spec, fit)),
        included=_included(pattern),
        holes=fit.holes,
    )


def _title(pattern: CollarPattern) -> Message:
    spec = pattern.spec
    leather = named(pattern.fittings.leather.name)
    width, neck = Length(spec.width, alone=True), Length(spec.neck, alone=True)
    if spec.measured == "existing-collar":
        return say(
            "{leather} collar, {width} wide, to match a collar of {neck}",
            leather=leather,
            width=width,
            neck=neck,
        )
    return say(
        "{leather} collar, {width} wide, for a neck of {neck}", leather=leather, width=width, neck=neck
    )


def _choices(pattern: CollarPattern) -> tuple[Fact, ...]:
    spec, layout = pattern.spec, pattern.layout
    spaced = say("spaced {pitch}", pitch=Length(layout.pitch))
    return (
        Fact(mark("Buckle"), CHOICE_NAMES[spec.style]),
        *((Fact(mark("Keepers"), CHOICE_NAMES[spec.keepers]),) if spec.keepers != "fewest" else ()),
        Fact(mark("End"), CHOICE_NAMES[spec.end]),
        Fact(mark("Held by"), CHOICE_NAMES[spec.fastening]),
        *((Fact(mark("Ring"), RINGS[spec.ring_at]),) if spec.ring_at != "tab" else ()),
        Fact(mark("Holes"), named(str(len(layout.holes))), spaced),
        Fact(mark("Room"), room_words(spec)),
    )


def _fits(pattern: CollarPattern) -> tuple[Fact, ...]:
    fit = pattern.fit
    worn = next(hole for hole in fit.holes if hole.target)
    least, most = wearable(fit, pattern.spec.fingers)
    return (
        Fact(
            mark("Inside girth"),
            Length(worn.inside_girth),
            say("on the hole to wear"),
        ),
        Fact(
            mark("Room there"),
            Length(worn.ease, alone=True),
            say("in fingers: {count}", count=fingers_in_words(worn.fingers)),
        ),
        Fact(
            mark("Fits necks"),
            say("{least} to {most}", least=Length(least, alone=True), most=Length(most, alone=True)),
            say("from its first hole to its last"),
        ),
    )


def _on_the_target(pattern: CollarPattern) -> Message:
    fit = pattern.fit
    return say_many(
        "On the second hole the collar measures {girth} inside, {count} finger over a neck of {neck}.",
        "On the second hole the collar measures {girth} inside, {count} fingers over a neck of {neck}.",
        max(0, round(fit.fingers)),
        spelled=True,
        girth=Length(fit.inside_girth, alone=True),
        neck=Length(fit.neck, alone=True),
    )


def _included(pattern: CollarPattern) -> tuple[Message, ...]:
    names = {part.name for part in pattern.parts}
    return (
        say("{metal} buckle and ring", metal=named(pattern.fittings.finish.name)),
        say("{count} holes to adjust it", count=len(pattern.layout.holes)),
        *((say("Fixed keeper for the tail"),) if "keeper" in names else ()),
        *((say("Sliding keeper for the tail"),) if "sliding-keeper" in names else ()),
    )
