"""Lettering, placed in the clear zone of the strap that no tail covers, and the dye of its leather."""

import re
from collections.abc import Iterable
from functools import lru_cache
from string import ascii_lowercase, ascii_uppercase, digits

import phonenumbers

from service.colour import contrast
from service.design.grooves import EDGE_MARGIN
from service.design.hardware import by_code
from service.design.paint import LARGE_TEXT, paint_ways
from service.design.pattern import Finding, Mark
from service.design.tooling import past_edge
from service.design.zones import Ground, Zone
from service.errors import DoesNotFit, Suggestion
from service.language import mark
from service.saying import Exact, Figure, Length, Listed, Message, named, say, say_many
from service.workshop import Dye, Leather, LetterStamps, Workshop

LETTER_SIDE = 6.0
"""Lettering keeps this far [mm] from studs, tab and holes. From memory."""
SAME_HEIGHT = 0.05
"""Two stamp heights nearer than this [mm] are one."""
PHONE = re.compile(r"[+(]?[0-9][0-9 ()./-]*")
"""What a phone number is written with."""
PHONE_LEAST, PHONE_MOST = 6, 15
"""Fewest digits that are looked at as a phone number, from memory; most that one can have, ITU-T E.164."""
NO_LETTERING = Suggestion("lettering", "", say("no lettering"))
NO_DYE = Suggestion("dye", "", say("no dye"))


def lettering_length(text: str, stamps: LetterStamps) -> float:
    """Return the length [mm] of a text set with a set of stamps: their advances and the gaps between them.

    Source: common practice. Raises KeyError for a character without a stamp. Worked: two stamps of 6 mm
    with a gap of 1 mm are 13 mm.
    """
    advances = stamps.advances
    return sum(advances[character] for character in text) * stamps.height + stamps.gap * max(0, len(text) - 1)


def stamps_for(
    workshop: Workshop,
    ground: Ground,
    text: str,
    height: float | None,
    beside: float = 0.0,
    run: Zone | None = None,
) -> LetterStamps:
    """Return the stamp set to use: the one of the height asked for [mm], else the tallest that fits.

    Where studs are asked for as well, room is kept for what is `beside` each end of the lettering [mm].
    It goes on the long clear run, or on what is left of it, `run`.
    Source: common practice. Raises DoesNotFit with the longest text that fits when none does.
    """
    room = (run or ground.main).length - 2 * _spare(beside)
    low = [row for row in workshop.stamps if row.height <= ground.width - 2 * ground.margin]
    owned = sorted(low, key=lambda row: -row.height)
    asked = [row for row in owned if height is None or abs(row.height - height) < SAME_HEIGHT]
    if not asked:
        raise _no_stamps(workshop, ground, owned)
    complete = [row for row in asked if row.advances.keys() >= set(text)]
    if not complete:
        raise _no_characters(text, set(asked[-1].advances))
    for row in complete:
        if lettering_length(text, row) <= room:
            return row
    raise _too_long(text, complete[-1], room, owned)


def unstampable(text: str, workshop: Workshop) -> DoesNotFit | None:
    """Return the problem with a text that holds a character no stamp of the workshop has, on any strap.

    Source: derived. Worked: “É” where the stamps are A to Z; “REX” there is None.
    """
    owned = {character for row in workshop.stamps for character in row.advances}
    return None if owned.issuperset(text) else _no_characters(text, owned)


def _no_stamps(workshop: Workshop, ground: Ground, fitting: list[LetterStamps]) -> DoesNotFit:
    if not workshop.stamps:
        message = say("The workshop has no letter stamps.")
        return DoesNotFit(field="lettering", message=message, would_work=(NO_LETTERING,))
    most = Exact(ground.width - 2 * ground.margin)
    if not fitting:
        message = say(
            "No stamps fit: on this strap letters may be {most} high at most. The workshop has {sizes}.",
            most=most,
            sizes=_heights(workshop.stamps),
        )
        lower = past_edge(ground)
        return DoesNotFit(field="lettering", message=message, would_work=(*lower, NO_LETTERING))
    ways = (
        Suggestion("stamp", "auto", say("let the workshop choose the stamp")),
        *map(_of_height, fitting),
        *past_edge(ground),
    )
    message = say(
        "There are no stamps of this height that fit: on this strap letters may be {most} high at most."
        " Stamps that fit: {sizes}.",
        most=most,
        sizes=_heights(fitting),
    )
    return DoesNotFit(field="stamp", message=message, would_work=ways)


def _heights(rows: Iterable[LetterStamps]) -> Listed:
    return Listed(tuple(Exact(row.height) for row in rows))


def _of_height(row: LetterStamps) -> Suggestion:
    text = say("{height} stamps", height=Exact(row.height))
    return Suggestion("stamp", f"{row.height:g} mm", text)


def _no_characters(text: str, owned: set[str]) -> DoesNotFit:
    lacking = " ".join(sorted(set(text) - owned))
    kept = "".join(character for character in text if character in owned).strip()
    return DoesNotFit(
        field="lettering",
        message=say(
            "There is no letter stamp for {lacking}. The stamps are {owned}.",
            lacking=lacking,
            owned=Listed(_owned(owned)),
        ),
        would_work=(*([_lettered(kept)] if kept else []), NO_LETTERING),
    )


def _lettered(text: str) -> Suggestion:
    return Suggestion("lettering", text, named(f"“{text}”"))


def _owned(characters: Iterable[str]) -> tuple[Message, ...]:
    """What a set of stamps holds, in words: whole alphabets and the figures are not spelled out."""
    rest = set(characters)
    names = []
    for run in (ascii_uppercase, ascii_lowercase, digits):
        if rest.issuperset(run):
            names.append(say("{first} to {last}", first=run[0], last=run[-1]))
            rest.difference_update(run)
    if " " in rest:
        names.append(say("space"))
    spelled = "".join(sorted(rest)).strip()
    return (*names, *([named(spelled)] if spelled else []))


def _too_long(text: str, stamps: LetterStamps, room: float, owned: list[LetterStamps]) -> DoesNotFit:
    kept = text
    while kept and lettering_length(kept, stamps) > room:
        kept = kept[:-1].rstrip()
    if kept:
        fits = say_many("the first character fits", "the first {count} characters fit", len(kept))
    else:
        fits = say("none of it fits")
    message = say(
        "“{text}” is {length} long in {height} stamps and the clear run is {room}: {fits}.",
        text=text,
        length=Length(lettering_length(text, stamps)),
        height=Exact(stamps.height),
        room=Length(max(0.0, room)),
        fits=fits,
    )
    ways = [_of_height(row) for row in owned if row.height < stamps.height]
    # A phone number cut short brings no dog home.
    if kept and not any(character.isdigit() for character in text):
        ways.append(_lettered(kept))
    return DoesNotFit(field="lettering", message=message, would_work=(*ways, NO_LETTERING))


def _spare(beside: float) -> float:
    """What a text keeps free at each end of its run [mm]."""
    return LETTER_SIDE + beside if beside else LETTER_SIDE - EDGE_MARGIN


def lettering_mark(
    ground: Ground, text: str, stamps: LetterStamps, run: Zone | None = None, beside: float = 0.0
) -> Mark:
    """Return the lettering where it belongs in the clear run, or in what is left of it.

    Source: common practice. Worked: on 482.6 mm the middle is 131 mm past the ring's centre.
    """
    length = lettering_length(text, stamps)
    middle = ground.seat(run or ground.main, length, _spare(beside))
    return Mark("lettering", middle, length=length, height=stamps.height, text=text)


def undyed(workshop: Workshop) -> tuple[Leather, ...]:
    """Return the leathers that take a dye. On one that is dyed already the colour would be a guess."""
    return tuple(row for row in workshop.leathers if row.colouring == "undyed")


def dye_for(workshop: Workshop, leather: Leather, code: str) -> Dye:
    """Return the dye of a code, to go on a leather.

    Source: common practice: a dye has the colour it is sold by on undyed leather alone. Worked: any dye of
    the workshop on a leather it calls undyed. Raises NotStocked where there is no such dye, and DoesNotFit
    where the leather is dyed already.
    """
    dye = by_code(workshop.dyes, code, "dye")
    if leather.colouring == "undyed":
        return dye
    ways = tuple(Suggestion("leather", row.code, named(row.name)) for row in undyed(workshop))
    if ways:
        names = Listed(tuple(way.text for way in ways))
        said = say("{leather} comes dyed already. Undyed: {leathers}.", leather=leather.name, leathers=names)
    else:
        said = say(
            "{leather} comes dyed already, and the workshop has no undyed leather.", leather=leather.name
        )
    raise DoesNotFit(field="dye", message=said, would_work=(*ways, NO_DYE))


def dye_finding(dye: Dye, leather: Leather) -> Finding:
    """Return what to know of a dyed collar's colour. Source: common practice."""
    text = say(
        "The colour shown is the one that {dye} dries to on undyed leather. No two hides take a dye alike:"
        " dye a piece cut off {leather} first, and let the customer see it if the colour matters.",
        dye=dye.name,
        leather=leather.name,
    )
    return Finding("dye-colour", "note", text, mark("common practice"), "dye")


@lru_cache(maxsize=256)
def dark_finding(ground: str) -> Finding | None:
    """Return what to know of stamped letters on leather of a colour such as #262322, if it is dark.

    They have no colour of their own and can at most be darker than their ground: black is the most there is.
    Source: WCAG 2.2, 1.4.3. Worked: on #262322 black has a contrast of 1.3, which is said; on #d9a874 of 9.6.
    """
    most = contrast(ground, "#000000")
    if most >= LARGE_TEXT:
        return None
    text = say(
        "Stamped letters have no colour of their own, and on leather this dark even black has a contrast of"
        " {most} to 1 where large letters want {asked}: they are read by their relief.",
        most=Figure(round(most, 1)),
        asked=Figure(LARGE_TEXT),
    )
    source = mark("WCAG 2.2, success criterion 1.4.3")
    return Finding("letters-dark", "note", text, source, "letters", paint_ways(ground))


@lru_cache(maxsize=1024)
def phone_findings(text: str, region: str, field: str = "lettering") -> tuple[Finding, ...]:
    """Return a question when a text holds what looks like a phone number and no such number can exist.

    `region` is the workshop's country (ISO 3166 two letters), used when there is no + in front.
    Source: the numbering plans in the phonenumbers library; ITU-T E.164 (at most 15 digits).
    Worked: "555 0100" in the US is questioned, "+44 20 7946 0958" is not.
    """
    typed = max(PHONE.findall(text), key=len, default="").strip()
    figures = sum(character.isdigit() for character in typed)
    if figures < PHONE_LEAST or _exists(typed, region):
        return ()
    if figures > PHONE_MOST:
        reason = say("more than {most} digits", most=PHONE_MOST)
    elif typed.startswith("+"):
        reason = say("no number in use looks like this")
    else:
        reason = say("no number in use in {region} looks like this", region=region)
    said = say(
        "“{typed}” does not look like a complete phone number ({reason}). Read it back with the customer; a"
        " number from another country starts with + and its country code.",
        typed=typed,
        reason=reason,
    )
    return (Finding("phone", "question", said, mark("ITU-T E.164 and the phonenumbers library"), field),)


def _exists(typed: str, region: str) -> bool:
    try:
        number = phonenumbers.parse(typed, region)
    except phonenumbers.NumberParseException:
        return False
    return phonenumbers.is_valid_number(number)
