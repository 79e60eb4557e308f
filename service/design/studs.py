"""Studs: where they stand in the clear zones of the strap."""

from service.design.decoration import LETTER_SIDE
from service.design.pattern import Finding, Layout, Mark
from service.design.tooling import past_border
from service.design.zones import Zone, clear_zones, even_pitch
from service.errors import DoesNotFit, Suggestion
from service.language import mark
from service.saying import Exact, Length, Limit, in_turn, say
from service.units import IN
from service.workshop import Stud

STUD_GAP = 1.0
"""Least gap [mm] between the rims of two studs. From memory."""
NO_STUDS = Suggestion("studs", "", say("no studs"))


def stud_marks(
    layout: Layout, stud: Stud, nominal: float, words: Mark | None
) -> tuple[tuple[Mark, ...], Finding]:
    """Return the studs of a collar, from their nominal pitch [mm] and the lettering, and what was done.

    The pitch divides the long clear zone evenly. The studs stand at equal distances either side of the
    ring, as far as the tail leaves the other side clear. Studs that would touch the lettering are left out,
    on both sides. Source: common practice. Worked: a 19 in collar 1 in wide at 2 in: five studs at 44.4 mm
    and one opposite. Raises DoesNotFit when a stud is too large for the strap, the pitch or the zone.
    """
    short, long = clear_zones(layout)
    _guard_studs(layout, stud, nominal, long)
    radius = stud.diameter / 2
    gaps, pitch = even_pitch(long.length - stud.diameter, nominal, stud.diameter + STUD_GAP)
    places = [long.start + radius + i * pitch for i in range(gaps + 1)]
    # Room was kept for one stud at each end of the lettering: some are always clear of it.
    clear = [x for x in places if not _touches(words, x, radius)]
    mirrored = [2 * layout.ring - x for x in reversed(clear) if 2 * layout.ring - x - radius >= short.start]
    marks = tuple(Mark("stud", x, diameter=stud.diameter) for x in (*mirrored, *clear))
    return marks, _stud_finding(nominal, pitch, len(mirrored), len(places) - len(clear), len(clear))


def _guard_studs(layout: Layout, stud: Stud, nominal: float, zone: Zone) -> None:
    size = Exact(stud.diameter)
    strap, pitch = stud.diameter + 2 * layout.margin, stud.diameter + STUD_GAP
    ways: tuple[Suggestion, ...] = (NO_STUDS,)
    if layout.width < strap:
        least = Limit(strap, "least")
        message = say("Studs {size} wide need a strap of {strap} or wider.", size=size, strap=least)
        if layout.border:
            room = Exact(max(0.0, layout.width - 2 * layout.margin))
            message = say(
                "Between the borders there is room for {room}: too little for studs {size} wide.",
                room=room,
                size=size,
            )
        ways = (*past_border(layout.border), NO_STUDS)
    elif nominal < pitch:
        least = Limit(pitch, "least")
        message = say("Studs {size} wide need a pitch of at least {pitch}.", size=size, pitch=least)
        ways = (Suggestion("studs", "1 in", say("a pitch of {pitch}", pitch=Length(IN))), NO_STUDS)
    elif zone.length < stud.diameter + pitch:
        message = say("There is no clear run long enough for studs between the ring tab and the holes.")
    else:
        return
    raise DoesNotFit(field="studs", message=message, would_work=ways)


def _touches(words: Mark | None, x: float, radius: float) -> bool:
    if words is None or words.length is None:
        return False
    return abs(x - words.x) < words.length / 2 + LETTER_SIDE + radius


def _stud_finding(nominal: float, pitch: float, mirrored: int, dropped: int, kept: int) -> Finding:
    text = say(
        "Studs at {pitch}, the pitch nearest to {nominal} that comes out even. {kept} on the long side of the"
        " ring; {mirrored} opposite, where the tail leaves room.",
        pitch=Length(pitch),
        nominal=Length(nominal),
        kept=kept,
        mirrored=mirrored or say("none"),
    )
    if dropped:
        text = in_turn(text, say("{count} left out for the lettering.", count=dropped))
    return Finding("studs-spaced", "note", text, mark("common practice"), "studs")
