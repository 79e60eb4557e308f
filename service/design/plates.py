"""Name plates: which of the workshop's fits a strap and a text, how the text stands on it, what holds it."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from math import sqrt, tau

from service.design.decoration import LETTER_SIDE
from service.design.hardware import PLIES, fastener_for
from service.design.joints import proud, skive_to
from service.design.pattern import Finding, HardwareLine, Joint, Mark, Plated
from service.design.zones import Zone
from service.errors import DesignError, DoesNotFit, NotStocked, Suggestion
from service.language import mark, within
from service.saying import Exact, Length, Listed, Message, named, say, say_many
from service.workshop import Fastening, Finish, Plate, Workshop

PLATE_SIDE = 3.0
"""A plate keeps this far [mm] from the ends of its run. From memory."""
FROM_EDGE = 1.5
"""Engraving keeps this far [mm] from a plate's edges and from the caps of its rivets. From memory."""
LEAST, MOST = 2.5, 8.0
"""Lowest and highest engraved capitals [mm]: to be read at arm's length, and in one go. From memory."""
GAP, LEADING = 0.12, 0.55
"""Between two letters, and between two lines, in capital heights. By eye."""
PLATE_RIVET = mark("Plate, rivet")
"""What the rivet holes of a plate are called."""
ADVANCES: dict[str, float] = dict(
    zip(
        " !#&'+,-./0123456789?ABCDEFGHIJKLMNOPQRSTUVWXYZ",
        (
            0.40, 0.48, 0.88, 1.19, 0.33, 0.71, 0.40, 0.61, 0.37, 0.69,
            0.85, 0.75, 0.86, 0.77, 0.80, 0.78, 0.81, 0.75, 0.78, 0.81, 0.76,
            1.21, 1.07, 1.11, 1.16, 1.06, 1.02, 1.21, 1.26, 0.65, 0.87, 1.23, 1.01, 1.49,
            1.22, 1.16, 0.99, 1.16, 1.15, 0.94, 1.06, 1.18, 1.21, 1.65, 1.19, 1.11, 1.04,
        ),
        strict=True,
    )
)  # fmt: skip
"""Widths of engraved signs in capital heights: those of the letters drawn (`drawing/letters.py`)."""
STAMPED = Suggestion("letters", "stamped", say("stamped in the leather"))
PLACES = {
    mark("fold and ring tab"): mark("fold, ring tab and plate"),
    mark("fold"): mark("fold and plate"),
    mark("ring tab"): mark("ring tab and plate"),
}
"""Where fasteners go that hold a plate too."""


@dataclass(frozen=True, slots=True)
class Engraved:
    """A text on a plate: its lines and the height of their capitals [mm]."""

    lines: tuple[str, ...]
    height: float


def line_length(text: str, height: float) -> float:
    """Return how long a line of engraved text is [mm] at a height of its capitals [mm].

    Source: derived. Worked: "HI" 5 mm high: (1.26 + 0.12 + 0.65) x 5 = 10.15 mm.
    """
    return (sum(ADVANCES[sign] for sign in text) + GAP * max(0, len(text) - 1)) * height


def engraved(text: str, run: float, across: float) -> Engraved:
    """Return a text in the one or two lines that are highest within a run and a height, all in mm.

    It is broken at a space alone, and never in a number. Source: derived. Worked: "REX 555 0100" on 40 x 14
    mm: REX over 555 0100.
    """
    return max(_settings(text, run, across), key=lambda found: (round(found.height, 6), -len(found.lines)))


def _settings(text: str, run: float, across: float) -> Iterator[Engraved]:
    broken = ((text[:at].strip(), text[at:].strip()) for at in range(len(text)) if _breaks(text, at))
    for lines in ((text,), *(pair for pair in broken if all(pair))):
        tall = across / (len(lines) + (len(lines) - 1) * LEADING)
        wide = run / max(line_length(line, 1.0) for line in lines)
        yield Engraved(lines, max(0.0, min(MOST, tall, wide)))


def _breaks(text: str, at: int) -> bool:
    """Whether a line may end at a place: at a space that has no figure on both sides of it."""
    return text[at] == " " and not (text[:at].strip()[-1:].isdigit() and text[at:].strip()[:1].isdigit())


def room_on(plate: Plate, cap: float) -> tuple[float, float]:
    """Return the length and height [mm] for engraving between the caps [mm across] of a plate's rivets.

    Source: derived. Worked: holes 44 mm apart, caps of 9 mm, 16 mm wide: 44 - 9 - 3 = 32 and 16 - 3 = 13 mm.
    """
    return plate.hole_distance - cap - 2 * FROM_EDGE, plate.width - 2 * FROM_EDGE


def _fastened(plate: Plate, workshop: Workshop, kind: Fastening, thickness: float) -> Plated | None:
    row = fastener_for(workshop, kind, plate.finish, thickness + plate.gauge)
    return None if row is None else Plated(plate, row)


@lru_cache(maxsize=256)
def _plates_of(workshop: Workshop, finish: str, fastening: Fastening, thickness: float) -> tuple[Plated, ...]:
    rows = (row for row in workshop.plates if row.finish == finish)
    return tuple(one for row in rows if (one := _fastened(row, workshop, fastening, thickness)))


def plates_in(
    workshop: Workshop, finish: Finish, fastening: Fastening, thickness: float, no_plate: Sequence[Suggestion]
) -> tuple[Plated, ...]:
    """Return the plates of a finish, each with what rivets it on leather so thick [mm].

    Source: common practice: all metal of an order comes in one finish. Raises DoesNotFit where the workshop
    has no plates, NotStocked where it has none in this finish, with what works instead.
    """
    field = no_plate[0].field
    if not workshop.plates:
        message = say("The workshop has no name plates.")
        raise DoesNotFit(field=field, message=message, would_work=tuple(no_plate))
    found = _plates_of(workshop, finish.code, fastening, thickness)
    if found:
        return found
    others = [row for row in workshop.finishes if any(one.finish == row.code for one in workshop.plates)]
    message = say(
        "The workshop has no name plate in {metal}. It has them in: {finishes}.",
        metal=within(finish.name),
        finishes=Listed(tuple(within(row.name) for row in others)),
    )
    ways = *(Suggestion("finish", row.code, named(row.name)) for row in others), *no_plate
    raise NotStocked(field=field, message=message, would_work=ways)


def plates_on(plates: Sequence[Plated], length: float, width: float) -> tuple[Plated, ...]:
    """Return those plates that are at most so long and so wide [mm].

    Source: derived. Worked: of 38 x 10 and 50 x 16 mm the first on 60 x 12 mm.
    """
    return tuple(one for one in plates if one.plate.length <= length and one.plate.width <= width)


def no_room(plates: Sequence[Plated], length: float, width: float, ways: Sequence[Suggestion]) -> DesignError:
    """Return the problem that no plate is small enough for a run so long and wide [mm].

    Source: derived. Worked: on a strap of 15.9 mm a plate may be 9.9 mm wide.
    """
    message = say(
        "On this strap a plate may be {length} long and {width} wide at most. The workshop has: {plates}.",
        length=Exact(max(0.0, length)),
        width=Exact(max(0.0, width)),
        plates=Listed(tuple(_size(one.plate) for one in plates)),
    )
    return DoesNotFit(field=ways[-1].field, message=message, would_work=tuple(ways))


def _size(plate: Plate) -> Message:
    return say("{length} × {width}", length=Exact(plate.length), width=Exact(plate.width))


def plate_for(
    plates: Sequence[Plated], text: str, room: tuple[float, float], ways: Sequence[Suggestion]
) -> tuple[Plated, Engraved]:
    """Return the plate on which a text stands highest, and the text on it; of equal ones the shortest.

    `room` is how long and wide a plate may be [mm], `ways` what may be done instead. Source: derived. Raises
    DoesNotFit where no plate is small enough, where a sign can't be engraved, or where the text is too long,
    with the longest part of it that fits.
    """
    lacking = set(text) - ADVANCES.keys()
    if lacking:
        message = say(
            "{signs} can't be engraved here: capitals, figures and & . , - + ' ! ? / # can.",
            signs=" ".join(sorted(lacking)),
        )
        kept = " ".join("".join(sign for sign in text if sign not in lacking).split())
        raise DoesNotFit(field="lettering", message=message, would_work=(*_shorter(kept), *ways))
    small = plates_on(plates, *room)
    if not small:
        raise no_room(plates, *room, ways)

    def on(one: Plated, words: str) -> Engraved:
        return engraved(words, *room_on(one.plate, one.fastener.cap))

    best = max(small, key=lambda one: (round(on(one, text).height, 6), -one.plate.length))
    words = on(best, text)
    if words.height >= LEAST:
        return best, words
    kept = text
    while kept and max(on(one, kept).height for one in small) < LEAST:
        kept = kept[:-1].rstrip()
    if kept:
        fits = say_many("the first character fits", "the first {count} characters fit", len(kept))
    else:
        fits = say("none of it fits")
    message = say(
        "“{text}” would be {height} high on the largest plate for this strap, and {least} is the least that"
        " can be read: {fits}.",
        text=text,
        height=Exact(words.height),
        least=Exact(LEAST),
        fits=fits,
    )
    # A phone number cut short brings no dog home.
    cut = () if any(sign.isdigit() for sign in text) else _shorter(kept)
    raise DoesNotFit(field="lettering", message=message, would_work=(*cut, *ways))


def _shorter(text: str) -> tuple[Suggestion, ...]:
    return (Suggestion("lettering", text, named(f"“{text}”")),) if text else ()


def plate_marks(plated: Plated, x: float, words: Engraved | None = None) -> tuple[Mark, ...]:
    """Return a plate at a place along the strap [mm] as marks: itself, its two rivet holes, its text.

    Source: common practice: a rivet at each end. Worked: holes 44 mm apart at 200 mm: at 178 and 222 mm.
    """
    plate, half = plated.plate, plated.plate.hole_distance / 2
    marks = [
        Mark("plate", x, length=plate.length, width=plate.width, name=plate.code),
        *(
            Mark("rivet-hole", x + side * half, diameter=plated.fastener.hole, name=PLATE_RIVET)
            for side in (-1, 1)
        ),
    ]
    if words:
        step = words.height * (1 + LEADING)
        top = step * (len(words.lines) - 1) / 2
        marks += (
            Mark(
                "engraving",
                x,
                top - n * step,
                length=line_length(line, words.height),
                height=words.height,
                text=line,
            )
            for n, line in enumerate(words.lines)
        )
    return tuple(marks)


def plate_joints(plates: Sequence[Plated], marks: Sequence[Mark], thickness: float) -> tuple[Joint, ...]:
    """Return the joints of plates on leather so thick [mm], in the order of their marks.

    Source: common practice. Worked: 1 mm of metal on 3 mm of leather: 4 mm at each of its two rivets.
    """
    places = [one.x for one in marks if one.kind == "plate"]
    joints = []
    for one, x in zip(plates, places, strict=True):
        half, stack = one.plate.hole_distance / 2, thickness + one.plate.gauge
        row = one.fastener
        stations = x - half, x + half
        held = proud(row, stack), skive_to(row, 1, stack)
        joints.append(Joint(mark("Plate"), mark("plate"), stations, PLIES, stack, row, 2, *held))
    return tuple(joints)


def with_plates(lines: Sequence[HardwareLine], plates: Sequence[Plated]) -> tuple[HardwareLine, ...]:
    """Return a hardware list with plates and their rivets; rivets it has already are counted together.

    Source: derived. Worked: four rivets of one code for fold and ring tab, two more for a plate: six.
    """
    found = list(lines)
    for one in plates:
        row, plate = one.fastener, one.plate
        rivets = HardwareLine(row.kind, row.code, row.name, row.finish, 2, mark("plate"))
        own = HardwareLine("plate", plate.code, plate.name, plate.finish, 1, mark("strap"))
        for line in (own, rivets):
            _add(found, line)
    return tuple(found)


def _add(found: list[HardwareLine], line: HardwareLine) -> None:
    for n, other in enumerate(found):
        if (other.kind, other.code) == (line.kind, line.code):
            place = PLACES.get(other.place, other.place)
            found[n] = other._replace(quantity=other.quantity + line.quantity, place=place)
            return
    found.append(line)


def rise(length: float, girth: float) -> float:
    """Return how far a plate of a length is bent out in its middle to lie round a girth, all in mm.

    Source: derived, R - sqrt(R² - (L / 2)²). Worked: 50 mm round 400 mm: R = 63.7, so 5.1 mm.
    """
    radius, half = girth / tau, length / 2
    return radius - sqrt(radius * radius - half * half) if half < radius else radius


def plate_findings(marks: Sequence[Mark], girth: float) -> tuple[Finding, ...]:
    """Return what to know at the bench of the plates among marks, on a strap that lies round a girth [mm].

    Source: common practice: a plate is bent to the neck before it is set. Worked: none without a plate.
    """
    lengths = [one.length or 0.0 for one in marks if one.kind == "plate"]
    if not lengths:
        return ()
    longest = max(lengths)
    text = say(
        "Bend the plate to the neck over a round bar before it is set: {length} long, it rises {rise} in its"
        " middle. Round its corners and edges, and see that the rivets lie flat against the dog.",
        length=Length(longest),
        rise=Exact(rise(longest, girth)),
    )
    return (Finding("plate-bend", "note", text, mark("common practice"), "letters"),)


def long_run(zone: Zone, beside: float) -> float:
    """Return how long a plate in a zone may be [mm], with room for what stands `beside` each end of it [mm].

    Source: derived. Worked: a run of 187 mm with nothing beside: 181 mm.
    """
    return zone.length - 2 * plate_spare(beside)


def plate_spare(beside: float) -> float:
    """Return what a plate keeps free at each end [mm], with room for what stands `beside` it [mm].

    Source: from memory. Worked: nothing beside: 3 mm.
    """
    return LETTER_SIDE + beside if beside else PLATE_SIDE
