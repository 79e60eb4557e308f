"""Studs: where they stand in the clear zones of the strap, in a row, in two, by turns or in threes."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import inf, sqrt

from service.design.decoration import LETTER_SIDE
from service.design.pattern import Finding, Mark
from service.design.spec import StudRows
from service.design.tooling import past_edge
from service.design.zones import Ground, even_pitch
from service.errors import DoesNotFit, Suggestion
from service.language import mark
from service.saying import Exact, Length, Limit, Message, in_turn, say
from service.workshop import Stud

STUD_GAP = 1.0
"""Least gap [mm] between the rims of two studs. From memory."""
QUARTER, SIXTH = 1 / 4, 1 / 6
"""Two rows stand this share of the strap's width off its middle, a zigzag this, if it fits. By eye."""
TURN = 1.5
"""Studs less than that [mm] off the middle are seen as one crooked row. By eye."""
APART = 3.5
"""Groups stand at least so many of their studs' own pitches apart, or they run together. By eye."""
NO_STUDS = Suggestion("studs", "", say("no studs"))
NAMES: dict[str, Message] = {
    "single": say("one row"),
    "double": say("two rows"),
    "zigzag": say("zigzag"),
    "threes": say("groups of three"),
}
REARRANGED = tuple(
    Suggestion("stud_rows", one, say("studs: {rows}", rows=name)) for one, name in NAMES.items()
)
"""Each arrangement, as something to change to."""


@dataclass(frozen=True, slots=True)
class Unit:
    """What is repeated along the strap: `studs` at x, y from its middle, the next one mirrored if it `turns`.

    `half` is half its length, `across` its width with the rims, `least` the least pitch of units, all [mm].
    """

    studs: tuple[tuple[float, float], ...]
    half: float
    across: float
    least: float
    turns: bool = False


def unit_for(rows: StudRows, width: float, margin: float, size: float) -> Unit:
    """Return what is repeated along a strap of this width, for studs of this size and their margin, in mm.

    Rims keep 1 mm apart. Source: derived. Worked: two rows of 9.5 mm on 50.8 mm: 12.7 mm off the middle;
    three in a group: 10.5 mm from one to the next, groups at least 36.75 mm apart.
    """
    radius, close = size / 2, size + STUD_GAP
    room = width / 2 - margin - radius
    if rows == "double":
        off = max(close / 2, min(room, width * QUARTER))
        return Unit(((0.0, off), (0.0, -off)), radius, 2 * off + size, close)
    if rows == "zigzag":
        off = max(TURN, min(room, width * SIXTH))
        # One after the next on a slant, and the one after that on the same side.
        least = max(close / 2, sqrt(max(0.0, close * close - 4 * off * off)))
        return Unit(((0.0, off),), radius, 2 * off + size, least, turns=True)
    if rows == "threes":
        return Unit(((-close, 0.0), (0.0, 0.0), (close, 0.0)), close + radius, size, APART * close)
    return Unit(((0.0, 0.0),), radius, size, close)


def stud_marks(
    ground: Ground, stud: Stud, wanted: tuple[float, StudRows], words: Sequence[Mark]
) -> tuple[tuple[Mark, ...], Finding]:
    """Return the studs of a collar, from pitch [mm] and rows wanted and what is lettered, and what was done.

    The pitch divides the long clear zone evenly. The studs stand at equal distances either side of the
    ring, as far as the tail leaves the other side clear. Those that would touch the lettering are left out,
    on both sides. Source: common practice. Worked: a 19 in collar 1 in wide at 2 in: five studs at 44.4 mm
    and one opposite. Raises DoesNotFit when the strap, the pitch or the zone is too small for them.
    """
    nominal, rows = wanted
    main = ground.main
    unit = unit_for(rows, ground.width, ground.margin, stud.diameter)
    _guard_studs(ground, stud, wanted, unit)
    gaps, pitch = even_pitch(main.length - 2 * unit.half, nominal, unit.least)
    places = [main.start + unit.half + i * pitch for i in range(gaps + 1)]
    # Room was kept for one unit at each end of the lettering: some are always clear of it.
    sides = [-1 if unit.turns and i % 2 else 1 for i in range(gaps + 1)]
    clear = [(x, side) for x, side in zip(places, sides, strict=True) if not _touches(words, x, unit.half)]
    opposite = [(2 * ground.axis - x, side) for x, side in reversed(clear)]
    least = inf if ground.opposite is None else ground.opposite.start
    room = [(x, side) for x, side in opposite if x - unit.half >= least]
    mirrored = [(x, side) for x, side in room if not _touches(words, x, unit.half)]
    marks = tuple(
        Mark("stud", x + dx, side * y, diameter=stud.diameter)
        for x, side in (*mirrored, *clear)
        for dx, y in unit.studs
    )
    each = len(unit.studs)
    counts = (len(places) - len(clear) + len(room) - len(mirrored)) * each, len(clear) * each
    return marks, _stud_finding(
        wanted, pitch, unit, counts, None if ground.opposite is None else len(mirrored) * each
    )


def _guard_studs(ground: Ground, stud: Stud, wanted: tuple[float, StudRows], unit: Unit) -> None:
    nominal, rows = wanted
    size = Exact(stud.diameter)
    ways: tuple[Suggestion, ...] = (*(way for way in REARRANGED if way.value != rows), NO_STUDS)
    if ground.width < unit.across + 2 * ground.margin:
        message = _too_narrow(ground, size, unit, rows)
        ways = (*past_edge(ground), *ways)
    elif nominal < unit.least:
        least = Limit(unit.least, "least")
        message = say("Studs {size} wide need a pitch of at least {pitch}.", size=size, pitch=least)
        if rows == "threes":
            message = say(
                "Groups of three studs {size} wide need a pitch of at least {pitch}.", size=size, pitch=least
            )
        wider = (("1 in", 25.4), ("1 1/2 in", 38.1), ("2 in", 50.8))
        enough = next(((value, mm) for value, mm in wider if mm >= unit.least), None)
        if enough:
            value, mm = enough
            ways = (Suggestion("studs", value, say("a pitch of {pitch}", pitch=Length(mm))), *ways)
    elif ground.main.length < 2 * unit.half + unit.least:
        message = say("There is no clear run long enough for studs on this strap.")
    else:
        return
    raise DoesNotFit(field="studs", message=message, would_work=ways)


def _too_narrow(ground: Ground, size: Exact, unit: Unit, rows: StudRows) -> Message:
    if ground.border:
        return say(
            "Between the borders there is room for {room}; studs {size} wide take {across}.",
            room=Exact(max(0.0, ground.width - 2 * ground.margin)),
            across=Exact(unit.across),
            size=size,
        )
    least = Limit(unit.across + 2 * ground.margin, "least")
    if rows == "single":
        return say("Studs {size} wide need a strap of {strap} or wider.", size=size, strap=least)
    return say(
        "Studs {size} wide need a strap of {strap} or wider to stand like that ({rows}).",
        size=size,
        strap=least,
        rows=NAMES[rows],
    )


def _touches(words: Sequence[Mark], x: float, half: float) -> bool:
    return any(abs(x - one.x) < (one.length or 0.0) / 2 + LETTER_SIDE + half for one in words)


def _stud_finding(
    wanted: tuple[float, StudRows], pitch: float, unit: Unit, counts: tuple[int, int], mirrored: int | None
) -> Finding:
    nominal, rows = wanted
    dropped, kept = counts
    even = say(
        "Studs at {pitch}, the pitch nearest to {nominal} that comes out even.",
        pitch=Length(pitch),
        nominal=Length(nominal),
    )
    if mirrored is None:
        said = [even, say("{kept} altogether.", kept=kept)]
    else:
        where = say(
            "{kept} on the long side of the ring; {mirrored} opposite, where the tail leaves room.",
            kept=kept,
            mirrored=mirrored or say("none"),
        )
        said = [even, where]
    x, y = unit.studs[0]
    if rows == "double":
        said.append(say("Two rows, {off} above and below the strap's middle.", off=Exact(y)))
    elif rows == "zigzag":
        said.append(say("By turns {off} above and below the strap's middle.", off=Exact(y)))
    elif rows == "threes":
        said.append(
            say("The pitch is that of the groups; in them studs stand {close} apart.", close=Exact(-x))
        )
    if dropped:
        said.append(say("{count} left out for the lettering.", count=dropped))
    return Finding("studs-spaced", "note", in_turn(*said), mark("common practice"), "studs")
