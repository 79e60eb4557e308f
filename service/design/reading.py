"""From typed parameters to a wish: every parameter read, every complaint gathered before any is raised."""

from collections.abc import Callable, Mapping
from typing import Any, get_args

from service.design.hardware import hardware_fits, missing, widths
from service.design.spec import NECK_MAX, NECK_MIN, Collar, Measured
from service.errors import DesignError, DesignRefused, GirthwrightError, Suggestion
from service.geometry import End
from service.text import clean_line
from service.units import read_length, read_mass, show_both, show_length, show_mm
from service.workshop import Fastening, Style, Workshop

PARAMETERS = tuple(name for name in Collar.model_fields if name != "schema_version")
"""The names a query string may hold, in the order of the form."""
TEXT_MAX = 40
"""Longest lettering [characters]. A strap has no room for more at the smallest stamps. From memory."""
WEIGHT_MIN, WEIGHT_MAX = 0.5, 130.0
HOLES_MIN, HOLES_MAX = 3, 12
PITCH_MIN, PITCH_MAX = 8.0, 60.0
STUDS_MIN, STUDS_MAX = 8.0, 200.0

Reader = Callable[[str, Workshop], Any]


def read_collar(typed: Mapping[str, str], workshop: Workshop) -> Collar:
    """Return the wish that typed parameters mean in this workshop; an empty one takes its default.

    Raises DesignRefused holding one DesignError for each parameter that can't be read or is not known, with what
    would work. Source: derived. Worked: {"neck": "19 in"} is a neck of 482.6 mm and everything else by default.
    """
    problems: list[DesignError] = [_unknown(name) for name in typed if name not in PARAMETERS]
    values: dict[str, Any] = {}
    for name, reader in READERS.items():
        text = typed.get(name, "").strip()
        if not text and name != "neck":
            continue
        try:
            values[name] = reader(text, workshop)
        except DesignError as problem:
            problems.append(problem)
        except GirthwrightError as problem:
            problems.append(DesignError(field=name, message=str(problem)))
    if problems:
        raise DesignRefused(tuple(problems))
    values.setdefault("leather", workshop.leathers[0].code)
    return _with_finish(values, workshop)


def _with_finish(values: dict[str, Any], workshop: Workshop) -> Collar:
    """With no finish asked for, take the first one that is complete for the rest of the wish."""
    if "finish" in values:
        return Collar(**values)
    draft = Collar(**values, finish=workshop.finishes[0].code)
    complete = (row.code for row in workshop.finishes if not missing(workshop, draft, row.code))
    return draft.model_copy(update={"finish": next(complete, draft.finish)})


def _unknown(name: str) -> DesignError:
    shown = name[:TEXT_MAX]
    return DesignError(field=shown, message=f"There is no “{shown}” here. What can be set: {', '.join(PARAMETERS)}.")


def _neck(text: str, workshop: Workshop) -> float:
    if not text:
        example = "16 1/2 in" if workshop.units == "in" else "42 cm"
        raise DesignError(field="neck", message=f"Type the dog's neck, for example {example}.")
    reading = read_length(text, assume=workshop.units)
    if NECK_MIN <= reading.value <= NECK_MAX:
        return reading.value
    span = f"{show_length(NECK_MIN, reading.system)} to {show_length(NECK_MAX, reading.system)}"
    message = f"{show_both(reading.value, reading.system)} is outside what a collar is made for, {span}."
    meant = [value for value in _same_number(text, reading.unit, reading.value) if value]
    if meant:
        message += f" Did you mean {meant[0]}?"
    raise DesignError(
        field="neck",
        message=message,
        would_work=tuple(Suggestion("neck", value, f"I meant {value}") for value in meant),
    )


def _same_number(text: str, unit: str, value: float) -> tuple[str | None, ...]:
    """The number that was typed, with a unit that makes it a neck: 42 in may have been 42 cm, 419 cm 419 mm."""
    number = value / read_length("1 " + unit).value
    return tuple(
        f"{number:g} {other}"
        for other in ("cm", "mm", "in")
        if other != unit and NECK_MIN <= read_length("1 " + other).value * number <= NECK_MAX
    )


def _weight(text: str, workshop: Workshop) -> float:
    reading = read_mass(text, assume="lb" if workshop.units == "in" else "kg")
    if not WEIGHT_MIN <= reading.value <= WEIGHT_MAX:
        raise DesignError(field="weight", message="A dog weighs 1 lb (0.5 kg) to 286 lb (130 kg): for example 45 lb or 20 kg.")
    return reading.value


def _width(text: str, workshop: Workshop) -> float:
    value = read_length(text, assume=workshop.units if workshop.units == "in" else "mm").value
    made = widths(workshop)
    if any(hardware_fits(value, size) for size in made):
        return value
    sizes = ", ".join(show_both(size, "imperial") for size in made)
    close = sorted(made, key=lambda size: abs(size - value))[:2]
    raise DesignError(
        field="width",
        message=f"There is no hardware for a strap {show_both(value, 'imperial')} wide. Widths: {sizes}.",
        would_work=tuple(Suggestion("width", f"{size:g} mm", show_both(size, "imperial")) for size in sorted(close)),
    )


def _choice(field: str, allowed: Callable[[Workshop], Mapping[str, str]]) -> Reader:
    def read(text: str, workshop: Workshop) -> str:
        choices = allowed(workshop)
        if text not in choices:
            raise DesignError(
                field=field,
                message=f"Choose one of: {', '.join(choices)}.",
                would_work=tuple(Suggestion(field, code, name) for code, name in choices.items()),
            )
        return text

    return read


def _words(options: tuple[str, ...]) -> Callable[[Workshop], Mapping[str, str]]:
    named = {option: option.replace("-", " ") for option in options}
    return lambda _workshop: named


def _sized(field: str, low: float, high: float) -> Reader:
    def read(text: str, workshop: Workshop) -> float | None:
        if text.casefold() == "auto" and field != "studs":
            return None
        value = read_length(text, assume="in" if workshop.units == "in" else "mm").value
        if not low <= value <= high:
            raise DesignError(
                field=field,
                message=f"{show_both(value, 'imperial')} is outside {show_both(low, 'imperial')} to"
                f" {show_both(high, 'imperial')}; 1 in works, and so does 25 mm.",
            )
        return value

    return read


def _holes(text: str, _workshop: Workshop) -> int | None:
    if text.casefold() == "auto":
        return None
    if text.isascii() and text.isdigit() and len(text) < 3 and HOLES_MIN <= int(text) <= HOLES_MAX:
        return int(text)
    raise DesignError(
        field="holes", message=f"Holes: auto, or a whole number from {HOLES_MIN} to {HOLES_MAX}, for example 6."
    )


def _stamp(text: str, workshop: Workshop) -> float | None:
    if text.casefold() == "auto":
        return None
    value = read_length(text, assume="mm").value
    if 3 <= value <= 25:
        return value
    owned = ", ".join(show_mm(row.height) for row in workshop.stamps)
    raise DesignError(field="stamp", message=f"Stamps are 3 to 25 mm high. The workshop has: {owned}.")


def _lettering(text: str, workshop: Workshop) -> str:
    """Capitals where the stamps have them: letter stamps are sold as sets of capitals. Common practice."""
    line = clean_line(text, TEXT_MAX)
    owned = {character for row in workshop.stamps for character in row.advances}
    return "".join(c if c in owned else c.upper() if len(c.upper()) == 1 else c for c in line)


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


