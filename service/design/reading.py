"""From typed parameters to a wish: every parameter read, every complaint gathered before any is raised."""

from collections.abc import Callable, Mapping
from math import ceil, floor
from typing import Any, get_args

from service.design.decoration import unstampable
from service.design.hardware import hardware_fits, missing, widths
from service.design.spec import (
    HOLES_MAX,
    HOLES_MIN,
    NECK_MAX,
    NECK_MIN,
    PITCH_MAX,
    PITCH_MIN,
    STAMP_MAX,
    STAMP_MIN,
    STUDS_MAX,
    STUDS_MIN,
    TEXT_MAX,
    WEIGHT_MAX,
    WEIGHT_MIN,
    Collar,
    Measured,
)
from service.errors import DesignError, DesignRefused, Suggestion, Unreadable
from service.geometry import End
from service.text import clean_line
from service.units import IN, System, read_length, read_mass, show_both, show_length, show_mm
from service.workshop import Fastening, Style, Workshop

PARAMETERS = tuple(name for name in Collar.model_fields if name != "schema_version")
"""The names a query string may hold, in the order of the form."""

CHOICE_NAMES = {
    "collar": "collar",
    "existing-collar": "existing collar",
    "tape-two-fingers": "tape with two fingers under it",
    "tape-snug": "snug tape",
    "centre-bar": "centre-bar buckle",
    "heel-bar": "heel-bar buckle",
    "english-point": "English point",
    "round": "round end",
    "square": "square end",
    "rivet": "rivets",
    "screw-post": "screw posts",
}
"""What the choices that every workshop has are called."""

Reader = Callable[[str, Workshop], Any]


def read_collar(typed: Mapping[str, str], workshop: Workshop) -> Collar:
    """Return the wish that typed parameters mean in this workshop; an empty one takes its default.

    Raises DesignRefused holding one DesignError for each parameter that can't be read or is not known, with
    what would work. Source: derived. Worked: {"neck": "19 in"} is a neck of 482.6 mm and everything else by
    default.
    """
    problems: list[DesignError] = [_unknown(name) for name in typed if name not in PARAMETERS]
    values: dict[str, Any] = {}
    for name in PARAMETERS:
        text = typed.get(name, "").strip()
        if not text and name != "neck":
            continue
        try:
            values[name] = read_parameter(name, text, workshop)
        except DesignError as problem:
            problems.append(problem)
    if problems:
        # Refused anyway: then what no stamp can write is named at once, and not after the rest is right.
        lacking = unstampable(values.get("lettering", ""), workshop)
        raise DesignRefused((*problems, *([lacking] if lacking else [])))
    values.setdefault("leather", workshop.leathers[0].code)
    return _with_finish(values, workshop)


def read_parameter(name: str, text: str, workshop: Workshop) -> Any:  # noqa: ANN401 - each has its own type
    """Return what the text of one known parameter means; nothing typed means its default.

    Source: derived. Worked: "pitch", "1 in" is 25.4 mm; "auto" is None. Raises DesignError.
    """
    if not text and name in DEFAULTS:
        return DEFAULTS[name]
    try:
        return READERS[name](text, workshop)
    except Unreadable as problem:
        example = (
            problem.would_work if _reads(name, problem.would_work, workshop) else _example(name, workshop)
        )
        raise DesignError(field=name, message=f"{problem.reason} Try: {example}") from problem


def _reads(name: str, text: str, workshop: Workshop) -> bool:
    try:
        READERS[name](text, workshop)
    except (DesignError, Unreadable):
        return False
    return True


def _example(name: str, workshop: Workshop) -> str:
    imperial, metric = EXAMPLES[name]
    return imperial if workshop.units == "in" else metric


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


def _with_finish(values: dict[str, Any], workshop: Workshop) -> Collar:
    """With no finish asked for, take the first one that is complete for the rest of the wish."""
    if "finish" in values:
        return Collar(**values)
    draft = Collar(**values, finish=workshop.finishes[0].code)
    complete = (row.code for row in workshop.finishes if not missing(workshop, draft, row.code))
    finish = next(complete, draft.finish)
    return draft if finish == draft.finish else draft.model_copy(update={"finish": finish})


def _unknown(name: str) -> DesignError:
    shown = name[:TEXT_MAX]
    message = f"There is no “{shown}” here. What can be set: {', '.join(PARAMETERS)}."
    return DesignError(field=shown, message=message)


def _span(low: float, high: float, system: System) -> str:
    """Limits [mm] as they may be typed: shown in sixteenths they are rounded inwards."""
    if system == "metric":
        return f"{show_length(low, system)} to {show_length(high, system)}"
    sixteenth = IN / 16
    least, most = ceil(low / sixteenth) * sixteenth, floor(high / sixteenth) * sixteenth
    return f"{show_length(least, system)} to {show_length(most, system)}"


def _neck(text: str, workshop: Workshop) -> float:
    if not text:
        raise DesignError(
            field="neck", message=f"Type the dog's neck, for example {_example('neck', workshop)}."
        )
    reading = read_length(text, assume=_unit("neck", workshop))
    if NECK_MIN <= reading.value <= NECK_MAX:
        return reading.value
    span = _span(NECK_MIN, NECK_MAX, reading.system)
    message = f"{show_both(reading.value, reading.system)} is outside what a collar is made for, {span}."
    meant = _same_number(reading.unit, reading.value)
    if meant:
        message += f" Did you mean {meant[0]}?"
    ways = tuple(Suggestion("neck", value, f"I meant {value}") for value in meant)
    raise DesignError(field="neck", message=message, would_work=ways)


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
    message = "A dog weighs 1 lb (0.45 kg) to 286 lb (130 kg): for example 45 lb or 20 kg."
    raise DesignError(field="weight", message=message)


def _width(text: str, workshop: Workshop) -> float:
    value = read_length(text, assume=_unit("width", workshop)).value
    made = widths(workshop)
    if any(hardware_fits(value, size) for size in made):
        return value
    close = sorted(sorted(made, key=lambda size: abs(size - value))[:2])
    sizes = " and ".join(show_both(size, "imperial") for size in close)
    raise DesignError(
        field="width",
        message=f"There is no hardware for a strap {show_both(value, 'imperial')} wide. Nearest: {sizes}.",
        would_work=tuple(Suggestion("width", f"{size:g} mm", show_both(size, "imperial")) for size in close),
    )


def _choice(field: str, allowed: Callable[[Workshop], Mapping[str, str]]) -> Reader:
    def read(text: str, workshop: Workshop) -> str:
        choices = allowed(workshop)
        if text in choices:
            return text
        ways = tuple(Suggestion(field, code, name) for code, name in choices.items())
        raise DesignError(field=field, message=f"Choose one of: {', '.join(choices)}.", would_work=ways)

    return read


def _words(options: tuple[str, ...]) -> Callable[[Workshop], Mapping[str, str]]:
    named = {option: CHOICE_NAMES[option] for option in options}
    return lambda _workshop: named


def _sized(field: str, low: float, high: float) -> Reader:
    def read(text: str, workshop: Workshop) -> float | None:
        if text.casefold() == "auto" and field == "pitch":
            return None
        value = read_length(text, assume=_unit(field, workshop)).value
        if low <= value <= high:
            return value
        span = f"{_span(low, high, 'imperial')} ({show_mm(low)} to {show_mm(high)})"
        message = f"{show_both(value, 'imperial')} is outside {span}; 1 in works, and so does 25 mm."
        raise DesignError(field=field, message=message)

    return read


def _holes(text: str, _workshop: Workshop) -> int | None:
    if text.casefold() == "auto":
        return None
    if text in HOLE_COUNTS:
        return int(text)
    message = f"Holes: auto, or a whole number from {HOLES_MIN} to {HOLES_MAX}, for example 6."
    raise DesignError(field="holes", message=message)


def _stamp(text: str, workshop: Workshop) -> float | None:
    if text.casefold() == "auto":
        return None
    value = read_length(text, assume=_unit("stamp", workshop)).value
    if STAMP_MIN <= value <= STAMP_MAX:
        return value
    owned = ", ".join(show_mm(row.height) for row in workshop.stamps) or "none"
    message = f"Stamps are {STAMP_MIN:g} to {STAMP_MAX:g} mm high. The workshop has: {owned}."
    raise DesignError(field="stamp", message=message)


def _lettering(text: str, workshop: Workshop) -> str:
    """Capitals where the stamps have them: letter stamps are sold as sets of capitals. Common practice."""
    line = clean_line(text, TEXT_MAX)
    owned = {character for row in workshop.stamps for character in row.advances}
    return "".join(c if c in owned or len(c.upper()) > 1 else c.upper() for c in line)


HOLE_COUNTS = frozenset(str(count) for count in range(HOLES_MIN, HOLES_MAX + 1))
DEFAULTS: dict[str, Any] = {
    name: field.default for name, field in Collar.model_fields.items() if not field.is_required()
}
EXAMPLES = {
    "neck": ("16 1/2 in", "42 cm"),
    "weight": ("45 lb", "20 kg"),
    "width": ("1 in", "25 mm"),
    "pitch": ("1 in", "25 mm"),
    "studs": ("2 in", "50 mm"),
    "stamp": ("9 mm", "9 mm"),
    "lettering": ("BELLA", "BELLA"),
}
UNITS = {
    "neck": ("in", "cm"),
    "weight": ("lb", "kg"),
    "width": ("in", "mm"),
    "pitch": ("in", "mm"),
    "studs": ("in", "mm"),
    "stamp": ("mm", "mm"),
}
"""The unit of a bare number where the workshop thinks in inches, and where in centimetres."""
READERS: dict[str, Reader] = {
    "kind": _choice("kind", _words(("collar",))),
    "neck": _neck,
    "measured": _choice("measured", _words(get_args(Measured))),
    "weight": _weight,
    "width": _width,
    "style": _choice("style", _words(get_args(Style))),
    "end": _choice("end", _words(get_args(End))),
    "holes": _holes,
    "pitch": _sized("pitch", PITCH_MIN, PITCH_MAX),
    "leather": _choice("leather", lambda workshop: {row.code: row.name for row in workshop.leathers}),
    "finish": _choice("finish", lambda workshop: {row.code: row.name for row in workshop.finishes}),
    "fastening": _choice("fastening", _words(get_args(Fastening))),
    "studs": _sized("studs", STUDS_MIN, STUDS_MAX),
    "lettering": _lettering,
    "stamp": _stamp,
}
