"""From typed parameters to a wish: every parameter read, every complaint gathered before any is raised."""

from collections.abc import Callable, Mapping
from functools import cache
from typing import Any, Literal, get_args, get_origin

from service.design.decoration import NO_DYE, undyed, unstampable
from service.design.grooves import NAMES
from service.design.hardware import hardware_fits, widths
from service.design.lacing import LACINGS
from service.design.lead_wish import LEAD_MAX, LEAD_MIN, MAKES, Make
from service.design.lining import NO_LINING
from service.design.paint import WAYS
from service.design.readiness import what_is_usual
from service.design.ring import NAMES as RINGS
from service.design.scan_tag import NO_TAG, scan_content
from service.design.shortest import shortest_neck
from service.design.spec import (
    HEAD_MAX,
    HOLES_MAX,
    HOLES_MIN,
    NECK_MAX,
    NECK_MIN,
    PITCH_MAX,
    PITCH_MIN,
    QR_MAX,
    STAMP_MAX,
    STAMP_MIN,
    STUDS_MAX,
    STUDS_MIN,
    TEXT_MAX,
    THROAT_MAX,
    THROAT_MIN,
    WEIGHT_MAX,
    WEIGHT_MIN,
    Buckled,
    Coat,
    Collar,
    Fingers,
    Grooves,
    Keepers,
    Letters,
    Measured,
    RingAt,
    Wish,
)
from service.design.studs import NAMES as ROWS
from service.design.tooling import MOTIFS
from service.design.wishes import KINDS, USUAL_KIND, Kind, complete_finishes
from service.errors import DesignError, DesignRefused, NotStocked, Suggestion, Unreadable, try_instead
from service.geometry import End
from service.saying import Either, Exact, Length, Limit, Listed, Message, in_turn, named, say
from service.text import clean_line
from service.typed import EXAMPLES as USUAL_EXAMPLES
from service.typed import Reading, read_length, read_mass
from service.workshop import Fastening, Style, Workshop

CHOICE_NAMES: dict[str, Message] = {
    "existing-collar": say("existing collar"),
    "tape-two-fingers": say("tape with two fingers under it"),
    "tape-snug": say("snug tape"),
    "1": say("one finger"),
    "2": say("two fingers"),
    "3": say("three fingers"),
    "short": say("short coat"),
    "thick-over": say("over a thick coat"),
    "thick-under": say("under a thick coat"),
    "centre-bar": say("centre-bar buckle"),
    "heel-bar": say("heel-bar buckle"),
    "fewest": say("as many keepers as the buckle needs"),
    "sliding": say("one more keeper, which slides"),
    "english-point": say("English point"),
    "round": say("round end"),
    "square": say("square end"),
    "rivet": say("rivets"),
    "screw-post": say("screw posts"),
    **NAMES,
    **RINGS,
    **ROWS,
    **WAYS,
    **{code: kind.name for code, kind in LACINGS.items()},
    **{str(make): name for make, name in MAKES.items()},
    **{code: motif.name for code, motif in MOTIFS.items()},
}
"""What the choices that every workshop has are called."""

Reader = Callable[[str, Workshop], Any]


def read_wish(typed: Mapping[str, str], workshop: Workshop) -> Wish:
    """Return the wish that typed parameters mean in this workshop; an empty one takes its default.

    What another kind alone has a use for is left aside. Raises DesignRefused holding one DesignError for
    each parameter that can't be read or is not known, with what would work; or one that says what the
    workshop lacks, where it can make nothing yet. Source: derived. Worked: {"neck": "19 in"} is a collar
    for a neck of 482.6 mm and everything else by default.
    """
    kind = KINDS.get(typed.get("kind", "").strip(), KINDS[USUAL_KIND])
    usual = what_is_usual(workshop) if issubclass(kind.wish, Buckled) else _without_buckle(workshop)
    problems: list[DesignError] = [_unknown(name) for name in typed if name not in PARAMETERS]
    sizes = kind.widths(workshop)
    if not sizes:
        message = say("The workshop has no hardware for that yet.")
        raise DesignRefused((NotStocked(field="kind", message=message, would_work=_other_kinds(workshop)),))
    values: dict[str, Any] = {}
    asked = {"kind", *kind.asks}
    for name in PARAMETERS:
        text = typed.get(name, "").strip()
        if name not in asked or not (text or name in kind.measures):
            continue
        try:
            values[name] = _of_kind(kind, name, read_parameter(name, text, workshop, sizes))
        except DesignError as problem:
            problems.append(problem if problem.would_work else _left_empty(problem, kind))
    if problems:
        # Refused anyway: then what no stamp can write is named at once, and not after the rest is right.
        stamped = "" if values.get("letters") == "plate" else values.get("lettering", "")
        lacking = unstampable(stamped, workshop)
        found = (_here(problem, values, workshop) for problem in problems)
        raise DesignRefused((*found, *([lacking] if lacking else [])))
    return _with_finish({**_usual(kind, usual, sizes, values, workshop), **values}, kind, workshop)


def _without_buckle(workshop: Workshop) -> tuple[Style, float, Fastening]:
    """The same for what has no buckle: rivets, if there are any."""
    if not workshop.leathers or not workshop.finishes:
        what_is_usual(workshop)  # says what is lacking
    owned = {row.kind for row in workshop.fasteners}
    fastening = next((one for one in get_args(Fastening) if one in owned), get_args(Fastening)[0])
    return get_args(Style)[0], Collar.model_fields["width"].default, fastening


def _usual(
    kind: Kind,
    usual: tuple[Style, float, Fastening],
    sizes: tuple[float, ...],
    values: Mapping[str, Any],
    workshop: Workshop,
) -> dict[str, Any]:
    """What a wish of a kind gets where it leaves something open."""
    style, width, fastening = usual
    if not issubclass(kind.wish, Collar):
        wanted = kind.wish.model_fields["width"].default
        nearest = min(sizes, key=lambda size: abs(size - wanted))
        width = wanted if hardware_fits(wanted, nearest) else nearest
    # What is to be dyed and names no leather is of the first that takes a dye.
    leather = next((row.code for row in undyed(workshop) if values.get("dye")), workshop.leathers[0].code)
    # Lace takes the place of an edge groove that nobody asked for.
    grooves = {"grooves": "none"} if values.get("lacing") else {}
    found = {"leather": leather, "style": style, "width": width, "fastening": fastening, **grooves}
    return {name: value for name, value in found.items() if name in kind.wish.model_fields}


def _other_kinds(workshop: Workshop) -> tuple[Suggestion, ...]:
    return tuple(Suggestion("kind", code, kind.name) for code, kind in KINDS.items() if kind.widths(workshop))


def _of_kind(kind: Kind, name: str, value: Any) -> Any:  # noqa: ANN401 - each has its own type
    """The value of a choice, if this kind has it."""
    allowed = choices_of(kind.wish, name)
    if not allowed or value in allowed:
        return value
    names = {str(one): CHOICE_NAMES[str(one)] for one in allowed}
    ways = tuple(Suggestion(name, code, text) for code, text in names.items())
    message = say("Choose one of: {choices}.", choices=Listed(tuple(names.values())))
    raise DesignError(field=name, message=message, would_work=ways)


@cache
def choices_of(wish: type[Wish], name: str) -> tuple[object, ...]:
    """Return what a wish of this kind can choose from by its type alone; nothing where that isn't said.

    Source: derived. Worked: a collar's "end" is an English point, round or square.
    """
    field = wish.model_fields[name].annotation
    return get_args(field) if get_origin(field) is Literal else ()


def read_parameter(name: str, text: str, workshop: Workshop, sizes: tuple[float, ...] | None = None) -> Any:  # noqa: ANN401 - each has its own type
    """Return what the text of one known parameter means; nothing typed means its default.

    `sizes` are the widths [mm] that there is hardware for, where those aren't a buckle's.

    Source: derived. Worked: "pitch", "1 in" is 25.4 mm; "auto" is None. Raises DesignError.
    """
    if not text and name in DEFAULTS:
        return DEFAULTS[name]
    try:
        if name == "width" and sizes is not None:
            return _width_of(text, workshop, sizes)
        return READERS[name](text, workshop)
    except Unreadable as problem:
        better = problem.would_work
        # The beginning of an address is another address.
        if better in USUAL or name == "qr" or not _reads(name, better, workshop):
            raise DesignError(field=name, message=try_instead(problem.reason, EXAMPLES[name])) from problem
        ways = (Suggestion(name, better, say("I meant {neck}", neck=better)),)
        message = try_instead(problem.reason, better)
        raise DesignError(field=name, message=message, would_work=ways) from problem


def _left_empty(problem: DesignError, kind: Kind) -> DesignError:
    """A problem of what may be left empty, with that as the way out; a measure there must be has none."""
    name = problem.field
    if name in kind.measures:
        return problem
    way = Suggestion(name, "", say("Leave it empty"))
    return DesignError(field=name, message=problem.message, would_work=(way,))


def _reads(name: str, text: str, workshop: Workshop) -> bool:
    try:
        READERS[name](text, workshop)
    except (DesignError, Unreadable):
        return False
    return True


def _unit(name: str, workshop: Workshop) -> str:
    """The unit of a bare number."""
    imperial, metric = UNITS[name]
    return imperial if workshop.units == "in" else metric


def with_unit(name: str, text: str, workshop: Workshop) -> str:
    """Return the text of a parameter with the unit it is read in, where it is a number that has none.

    So it means the same to a workshop that thinks in other units. Source: derived. Worked: "neck", "19" is
    "19 in" where inches are meant; "auto", "42 cm" and what can't be read stay.
    """
    if name not in UNITS:
        return text
    read = read_mass if name == "weight" else read_length
    try:
        assumed = read(text, assume=_unit(name, workshop)).assumed
        whole = f"{text.strip()} {_unit(name, workshop)}"
        return whole if assumed and not read(whole).assumed else text
    except Unreadable:
        return text


def _with_finish(values: dict[str, Any], kind: Kind, workshop: Workshop) -> Wish:
    """With no finish asked for, take the first one that is complete for the rest of the wish."""
    if "finish" in values:
        return kind.wish(**values)
    draft = kind.wish(**values, finish=workshop.finishes[0].code)
    finish = next(iter(complete_finishes(workshop, draft)), draft.finish)
    return draft if finish == draft.finish else draft.model_copy(update={"finish": finish})


def _unknown(name: str) -> DesignError:
    shown = name[:TEXT_MAX]
    message = say(
        "There is no “{name}” here. What can be set: {names}.", name=shown, names=Listed(PARAMETERS)
    )
    return DesignError(field=shown, message=message)


def _neck(text: str, workshop: Workshop) -> float:
    if not text:
        message = say("Type the dog's neck, for example {example}.", example=EXAMPLES["neck"])
        raise DesignError(field="neck", message=message)
    reading = read_length(text, assume=_unit("neck", workshop))
    if NECK_MIN <= reading.value <= NECK_MAX:
        return reading.value
    raise NeckOutside(reading, NECK_MIN)


def _head(text: str, workshop: Workshop) -> float:
    if not text:
        message = say(
            "Measure the dog's head at its widest, in front of the ears, for example {example}.",
            example=EXAMPLES["head"],
        )
        raise DesignError(field="head", message=message)
    return float(_sized("head", NECK_MIN, HEAD_MAX)(text, workshop) or 0.0)


class NeckOutside(DesignError):
    """A neck shorter or longer than a collar is made for: `reading` of it, and the `least` that is [mm]."""

    def __init__(self, reading: Reading, least: float) -> None:
        self.reading = reading
        said = [
            say(
                "{neck} is outside what a collar is made for here, {low} to {high}.",
                neck=Length(reading.value),
                low=Limit(least, "least", alone=True),
                high=Limit(NECK_MAX, "most", alone=True),
            )
        ]
        if reading.value < least > NECK_MIN:
            said.append(say("The buckle's end and the ring's tab take that much room."))
        meant = _same_number(reading.unit, reading.value)
        if meant:
            said.append(say("Did you mean {neck}?", neck=meant[0]))
        ways = tuple(Suggestion("neck", value, say("I meant {neck}", neck=value)) for value in meant)
        super().__init__(field="neck", message=in_turn(*said), would_work=ways)


def _here(problem: DesignError, values: Mapping[str, Any], workshop: Workshop) -> DesignError:
    """A problem as it is in this workshop: the least neck is what its hardware leaves room for."""
    if not isinstance(problem, NeckOutside):
        return problem
    usual = {"leather": workshop.leathers[0].code, "finish": workshop.finishes[0].code}
    if values.get("kind", USUAL_KIND) != USUAL_KIND:
        return problem
    shortest = shortest_neck(Collar(**{**usual, **values, "neck": NECK_MIN}), workshop)
    return problem if shortest is None else NeckOutside(problem.reading, shortest.neck)


def _same_number(unit: str, value: float) -> tuple[str, ...]:
    """The number that was typed, with a unit that makes it a neck: 42 in may be 42 cm, 419 cm 419 mm."""
    number = value / read_length("1 " + unit).value
    return tuple(
        f"{number:g} {other}"
        for other in ("cm", "mm", "in")
        if other != unit and NECK_MIN <= read_length("1 " + other).value * number <= NECK_MAX
    )


def _weight(text: str, workshop: Workshop) -> float:
    reading = read_mass(text, assume=_unit("weight", workshop))
    if WEIGHT_MIN <= reading.value <= WEIGHT_MAX:
        return reading.value
    message = say(
        "A dog weighs {low} to {high}: for example {example}.",
        low=Either("1 lb (0.45 kg)", "0.45 kg (1 lb)"),
        high=Either("286 lb (130 kg)", "130 kg (286 lb)"),
        example=EXAMPLES["weight"],
    )
    raise DesignError(field="weight", message=message)


def _width(text: str, workshop: Workshop) -> float:
    return _width_of(text, workshop, widths(workshop))


def _width_of(text: str, workshop: Workshop, made: tuple[float, ...]) -> float:
    value = read_length(text, assume=_unit("width", workshop)).value
    if any(hardware_fits(value, size) for size in made):
        return value
    close = sorted(sorted(made, key=lambda size: abs(size - value))[:2])
    message = say(
        "There is no hardware for a strap {width} wide. Nearest: {widths}.",
        width=Length(value),
        widths=Listed(tuple(map(Length, close))),
    )
    ways = tuple(Suggestion("width", f"{size:g} mm", say("{width}", width=Length(size))) for size in close)
    raise DesignError(field="width", message=message, would_work=ways)


def _choice(field: str, allowed: Callable[[Workshop], Mapping[str, Message]]) -> Reader:
    def read(text: str, workshop: Workshop) -> str:
        choices = allowed(workshop)
        if text in choices:
            return text
        ways = tuple(Suggestion(field, code, name) for code, name in choices.items())
        message = say("Choose one of: {choices}.", choices=Listed(tuple(choices.values())))
        raise DesignError(field=field, message=message, would_work=ways)

    return read


def _fingers(text: str, workshop: Workshop) -> int:
    read = _choice("fingers", _words(tuple(map(str, get_args(Fingers)))))
    return int(read(text, workshop))


def _kind(text: str, workshop: Workshop) -> str:
    read = _choice("kind", lambda _workshop: {code: kind.name for code, kind in KINDS.items()})
    return str(read(text, workshop))


def _words(options: tuple[str, ...]) -> Callable[[Workshop], Mapping[str, Message]]:
    named = {option: CHOICE_NAMES[option] for option in options}
    return lambda _workshop: named


def _sized(field: str, low: float, high: float) -> Reader:
    def read(text: str, workshop: Workshop) -> float | None:
        if text.casefold() == "auto" and field == "pitch":
            return None
        value = read_length(text, assume=_unit(field, workshop)).value
        if low <= value <= high:
            return value
        message = say(
            "{length} is outside {low} to {high}; {example} works.",
            length=Length(value),
            low=Limit(low, "least"),
            high=Limit(high, "most"),
            example=EXAMPLES[field],
        )
        raise DesignError(field=field, message=message)

    return read


def _holes(text: str, _workshop: Workshop) -> int | None:
    if text.casefold() == "auto":
        return None
    if text in HOLE_COUNTS:
        return int(text)
    message = say(
        "Holes: auto, or a whole number from {low} to {high}, for example 6.", low=HOLES_MIN, high=HOLES_MAX
    )
    raise DesignError(field="holes", message=message)


def _stamp(text: str, workshop: Workshop) -> float | None:
    if text.casefold() == "auto":
        return None
    value = read_length(text, assume=_unit("stamp", workshop)).value
    if STAMP_MIN <= value <= STAMP_MAX:
        return value
    owned = Listed(tuple(Exact(row.height) for row in workshop.stamps) or (say("none"),))
    message = say(
        "Stamps are {low} to {high} high. The workshop has: {owned}.",
        low=Exact(STAMP_MIN),
        high=Exact(STAMP_MAX),
        owned=owned,
    )
    raise DesignError(field="stamp", message=message)


def _dye(text: str, workshop: Workshop) -> str:
    if not workshop.dyes:
        raise DesignError(field="dye", message=say("The workshop has no dyes."), would_work=(NO_DYE,))
    read = _choice("dye", lambda workshop: {row.code: named(row.name) for row in workshop.dyes})
    return str(read(text, workshop))


def _lining(text: str, workshop: Workshop) -> str:
    if not workshop.linings:
        message = say("The workshop has no linings.")
        raise DesignError(field="lining", message=message, would_work=(NO_LINING,))
    read = _choice("lining", lambda workshop: {row.code: named(row.name) for row in workshop.linings})
    return str(read(text, workshop))


def _lettering(text: str, workshop: Workshop) -> str:
    """Capitals where the stamps have them: letter stamps are sold as sets of capitals. Common practice."""
    line = clean_line(text, TEXT_MAX)
    owned = {character for row in workshop.stamps for character in row.advances}
    return "".join(c if c in owned or len(c.upper()) > 1 else c.upper() for c in line)


def _qr(text: str, workshop: Workshop) -> str:
    line = clean_line(text, QR_MAX)
    if scan_content(line, workshop.region) is not None:
        return line
    message = say(
        "Type a phone number, a web address or a mail address, for example {example}.", example=EXAMPLES["qr"]
    )
    raise DesignError(field="qr", message=message, would_work=(NO_TAG,))


HOLE_COUNTS = frozenset(str(count) for count in range(HOLES_MIN, HOLES_MAX + 1))
MEASURES = frozenset(name for kind in KINDS.values() for name in kind.measures)
"""What can't be left out of every kind."""
DEFAULTS: dict[str, Any] = {
    name: field.default
    for kind in reversed(tuple(KINDS.values()))
    for name, field in kind.wish.model_fields.items()
    if not field.is_required() and name not in {"kind", *MEASURES}
}
"""What an empty parameter means, by the first kind that has it."""
EXAMPLES = {
    "neck": Either("16 1/2 in", "42 cm"),
    "head": Either("18 in", "46 cm"),
    "length": Either("5 ft", "150 cm"),
    "adult": Either("18 in", "46 cm"),
    "weight": Either("45 lb", "20 kg"),
    "width": Either("1 in", "25 mm"),
    "pitch": Either("1 in", "25 mm"),
    "throat": Either("1 3/4 in", "45 mm"),
    "studs": Either("2 in", "50 mm"),
    "stamp": Either("9 mm", "9 mm"),
    "lettering": Either("BELLA", "BELLA"),
    "qr": Either("+44 20 7946 0958", "+44 20 7946 0958"),
}
UNITS = {
    "neck": ("in", "cm"),
    "head": ("in", "cm"),
    "length": ("in", "cm"),
    "adult": ("in", "cm"),
    "weight": ("lb", "kg"),
    "width": ("in", "mm"),
    "pitch": ("in", "mm"),
    "throat": ("in", "mm"),
    "studs": ("in", "mm"),
    "stamp": ("mm", "mm"),
}
"""The unit of a bare number where the workshop thinks in inches, and where in centimetres."""
USUAL = frozenset(USUAL_EXAMPLES.values())
"""Examples that put nothing right of what was typed: here each parameter has its own."""
READERS: dict[str, Reader] = {
    "kind": _kind,
    "neck": _neck,
    "head": _head,
    "length": _sized("length", LEAD_MIN, LEAD_MAX),
    "make": _choice("make", _words(get_args(Make))),
    "measured": _choice("measured", _words(get_args(Measured))),
    "fingers": _fingers,
    "coat": _choice("coat", _words(get_args(Coat))),
    "adult": _sized("adult", NECK_MIN, NECK_MAX),
    "weight": _weight,
    "width": _width,
    "style": _choice("style", _words(get_args(Style))),
    "keepers": _choice("keepers", _words(get_args(Keepers))),
    "end": _choice("end", _words(get_args(End))),
    "holes": _holes,
    "pitch": _sized("pitch", PITCH_MIN, PITCH_MAX),
    "throat": _sized("throat", THROAT_MIN, THROAT_MAX),
    "ring_at": _choice("ring_at", _words(get_args(RingAt))),
    "leather": _choice("leather", lambda workshop: {row.code: named(row.name) for row in workshop.leathers}),
    "dye": _dye,
    "finish": _choice("finish", lambda workshop: {row.code: named(row.name) for row in workshop.finishes}),
    "fastening": _choice("fastening", _words(get_args(Fastening))),
    "grooves": _choice("grooves", _words(get_args(Grooves))),
    "lining": _lining,
    "thread": _choice("thread", lambda workshop: {row.code: named(row.name) for row in workshop.threads}),
    "border": _choice("border", _words(tuple(MOTIFS))),
    "lacing": _choice("lacing", _words(tuple(LACINGS))),
    "studs": _sized("studs", STUDS_MIN, STUDS_MAX),
    "stud_rows": _choice("stud_rows", _words(tuple(ROWS))),
    "lettering": _lettering,
    "letters": _choice("letters", _words(get_args(Letters))),
    "qr": _qr,
    "stamp": _stamp,
}
PARAMETERS = tuple(READERS)
"""The names a query string may hold, in the order of the form."""
