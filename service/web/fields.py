"""The form: what was typed, how it was read, what can be chosen and what is wrong."""

from collections.abc import Iterable, Sequence
from functools import lru_cache

from service.design import (
    KINDS,
    USUAL_KIND,
    Collar,
    CollarPattern,
    Kind,
    Pattern,
    Wish,
    choices_of,
    collar_in,
    complete_finishes,
    kind_of,
    told,
    usual_choices,
)
from service.errors import DesignError, Suggestion, Unreadable
from service.language import Language, mark, spoken, tr
from service.saying import Mass
from service.typed import read_length, read_mass
from service.units import System, show_both, show_length
from service.web.option_pictures import picture_of
from service.web.page import Choice, Fix, FormField
from service.web.parameters import ALL, MAIN, MORE, Option, Parameter, width_options, width_value
from service.web.query import Asked, address, linked
from service.web.typed import typed_design
from service.web.words import number
from service.workshop import Workshop

SAME = 0.05
"""Two lengths nearer than this [mm] are one choice."""
STRAYS = {
    "kind": ALL["kind"].label,
    "dye": ALL["dye"].label,
    "paper": mark("Paper"),
    "square-across": mark("Square across"),
    "square-down": mark("Square down"),
}
"""What has no field in the form, yet can be asked for."""
USUAL = (
    {
        name: str(row.default or "")
        for kind in KINDS.values()
        for name, row in kind.wish.model_fields.items()
        if not row.is_required()
    }
    | {name: str(row.default or "") for name, row in Collar.model_fields.items()}
    | {
        "stamp": "auto",
        "width": "1 in",
    }
)
"""What an empty parameter means, as it would be typed, where a workshop has everything."""
CHOSEN_HERE = {"leather", "finish", "style", "width", "fastening", "grooves"}
"""Parameters whose usual choice hangs on what the workshop has."""
STOP = mark("Neck, for the stop of a slip lead")
MISSING = mark("not complete in this width and style")
UNIT_NAMES = {"in": mark("inches"), "cm": mark("centimetres"), "lb": mark("pounds"), "kg": mark("kilograms")}


def asked_kind(asked: Asked) -> Kind:
    """The kind of thing that is asked for; a buckle collar when none, or none that is known, is named."""
    return KINDS.get(asked.typed.get("kind", "").strip(), KINDS[USUAL_KIND])


def system_of(asked: Asked, workshop: Workshop) -> System:
    """The system that the kind's first measure was typed in; the workshop's own when it can't be told."""
    return system_typed(asked.typed.get(asked_kind(asked).reads_in, ""), workshop)


def system_of_design(spec: Wish, workshop: Workshop) -> System:
    """The same of a design that is kept."""
    return system_typed(typed_design(spec).get(kind_of(spec).reads_in, ""), workshop)


def system_typed(length: str, workshop: Workshop) -> System:
    """The system of measures a length was typed in; the workshop's own when it can't be told."""
    try:
        return read_length(length, assume=workshop.units).system
    except Unreadable:
        return own_system(workshop)


def mass_system_typed(mass: str, workshop: Workshop) -> System:
    """The system of measures a weight was typed in; the workshop's own when it can't be told."""
    try:
        return read_mass(mass, assume=_pounds_or_kilograms(workshop)).system
    except Unreadable:
        return own_system(workshop)


def own_system(workshop: Workshop) -> System:
    """The system of measures of a workshop."""
    return "imperial" if workshop.units == "in" else "metric"


def _pounds_or_kilograms(workshop: Workshop) -> str:
    return "lb" if workshop.units == "in" else "kg"


def in_words(problems: Iterable[DesignError], system: System) -> str:
    """What is wrong, one after the other."""
    return " ".join(problem.message.said(system) for problem in problems)


def form(
    asked: Asked,
    workshop: Workshop,
    problems: Iterable[DesignError] = (),
    pattern: Pattern | None = None,
) -> tuple[tuple[FormField, ...], tuple[tuple[str, tuple[FormField, ...]], ...], tuple[FormField, ...]]:
    """Return the fields asked first, those folded away under their headings, and every field with an error.

    A problem with something that has no field, such as a parameter nobody knows, makes a field of its own.
    """
    first: dict[str, DesignError] = {}
    for problem in problems:
        first.setdefault(problem.field, problem)
    system, asks = system_of(asked, workshop), asked_kind(asked).asks
    made = {
        name: _field(ALL[name], asked, workshop, system, first.get(name), pattern)
        for name in ALL
        if name in asks and ALL[name].offered(workshop)
    }
    kind = asked.typed.get("kind", "").strip()
    named = (FormField("kind", "", "", kind),) if kind in KINDS and kind != USUAL_KIND else ()
    # A neck that may be left out is asked last.
    measures = asked_kind(asked).measures
    later = {"neck"} - {*measures}
    first_asked = MAIN if measures else (*(name for name in MAIN if name != "weight"), "weight")
    main = (*named, *(made[name] for name in first_asked if name in made and name not in later))
    more = tuple(
        (tr(heading), fields)
        for heading, names in (*MORE, (STOP, tuple(later)))
        if (fields := tuple(made[name] for name in names if name in made))
    )
    others = [_stray(problem, asked, workshop) for name, problem in first.items() if name not in made]
    shown = (*main, *(field for _, fields in more for field in fields))
    return main, more, (*(field for field in shown if field.error), *others)


def fixes(suggestions: Sequence[Suggestion], asked: Asked, workshop: Workshop) -> tuple[Fix, ...]:
    """Return the address of the design with each suggested change, and without parameters nobody knows."""
    if not suggestions:
        return ()
    known, system = _known(asked, workshop), system_of(asked, workshop)
    return tuple(
        Fix(
            one.text.said(system),
            address("/pattern.pdf" if one.field == "paper" else "/", known, **one.values),
        )
        for one in suggestions
        if one.field in ALL or one.field == "paper"
    )


def _known(asked: Asked, workshop: Workshop) -> dict[str, str]:
    return {name: text for name, text in linked(asked, workshop).items() if name in ALL}


def _stray(problem: DesignError, asked: Asked, workshop: Workshop) -> FormField:
    label = tr(STRAYS.get(problem.field, "")) or tr("“{name}” in the address", name=problem.field)
    ways = fixes(problem.would_work, asked, workshop)
    if not ways and problem.field not in STRAYS:
        ways = (Fix(tr("Leave “{name}” out", name=problem.field), address("/", _known(asked, workshop))),)
    typed = asked.typed.get(problem.field, "")
    said = problem.message.said(system_of(asked, workshop))
    return FormField(problem.field, label, "", typed, error=said, fixes=ways)


def _field(
    parameter: Parameter,
    asked: Asked,
    workshop: Workshop,
    system: System,
    problem: DesignError | None,
    pattern: Pattern | None,
) -> FormField:
    name = parameter.name
    typed = asked.typed.get(name, "")
    return FormField(
        name,
        tr(parameter.label),
        tr(parameter.hint),
        typed,
        _choices(parameter, asked, workshop, system, pattern.spec if pattern else None),
        _echo(name, typed.strip(), workshop, system, pattern),
        problem.message.said(system) if problem else "",
        fixes(problem.would_work, asked, workshop) if problem else (),
    )


def _choices(
    parameter: Parameter, asked: Asked, workshop: Workshop, system: System, spec: Wish | None
) -> tuple[Choice, ...]:
    kind, typed = asked_kind(asked), asked.typed.get(parameter.name, "").strip()
    wanted = typed or _usual(parameter.name, kind, workshop, spec)
    stocked = complete_finishes(workshop, spec) if parameter.name == "finish" and spec else None
    return _marked(parameter.name, wanted, kind, workshop, system, stocked, spoken())


@lru_cache(maxsize=1024)
def _marked(
    name: str,
    wanted: str,
    kind: Kind,
    workshop: Workshop,
    system: System,
    stocked: tuple[str, ...] | None,
    _language: Language,  # kept apart for each: the words are in it
) -> tuple[Choice, ...]:
    """Every choice of a parameter, the wanted one chosen; where it matters, those not in stock say so."""
    parameter = ALL[name]
    options = _options(parameter, kind, workshop, system)
    if not options:
        return ()
    chosen = next((option for option in options if _same(parameter, option.value, wanted)), None)
    if chosen is None and parameter.free:
        chosen = Option(wanted, wanted)  # typed into the address by hand: it stays, and can be sent again
        options = (*options, chosen)
    return tuple(
        Choice(
            option.value,
            option.label,
            option is chosen,
            option.note if stocked is None or option.value in stocked else tr(MISSING),
            option.swatch,
            picture_of(name, option.value),
        )
        for option in options
    )


def _options(parameter: Parameter, kind: Kind, workshop: Workshop, system: System) -> tuple[Option, ...]:
    """What can be chosen for a kind: widths that there is hardware for, and what its wish has."""
    if parameter.name == "width":
        return width_options(kind.widths(workshop), system)
    options, allowed = parameter.options(workshop, system), choices_of(kind.wish, parameter.name)
    return tuple(one for one in options if one.value in map(str, allowed)) if allowed else options


def _usual(name: str, kind: Kind, workshop: Workshop, spec: Wish | None) -> str:
    """What an empty parameter means."""
    own = kind.wish.model_fields[name].default
    if kind.wish is not Collar and name not in CHOSEN_HERE and isinstance(own, str):
        return own
    if spec is None or name not in CHOSEN_HERE:
        return _usual_here(workshop).get(name, "")
    value = getattr(spec, name)
    return width_value(value) if isinstance(value, float) else value


@lru_cache(maxsize=64)
def _usual_here(workshop: Workshop) -> dict[str, str]:
    """The same by parameter, where no design tells: what this workshop makes first."""
    style, width, fastening = usual_choices(workshop) or (USUAL["style"], None, USUAL["fastening"])
    return {
        **USUAL,
        "style": style,
        "width": USUAL["width"] if width is None else width_value(width),
        "fastening": fastening,
        "leather": next((row.code for row in workshop.leathers), ""),
        "finish": next((row.code for row in workshop.finishes), ""),
    }


def _same(parameter: Parameter, value: str, wanted: str) -> bool:
    if value == wanted or not parameter.free:
        return value == wanted
    one, other = _mm(value), _mm(wanted)
    return one is not None and other is not None and abs(one - other) < SAME


@lru_cache(maxsize=512)
def _mm(text: str) -> float | None:
    try:
        return read_length(text).value
    except Unreadable:
        return None


def _echo(name: str, typed: str, workshop: Workshop, system: System, pattern: Pattern | None) -> str:
    """How a field was read, where that isn't plain to see."""
    if name in {"neck", "head", "length", "adult"} and typed:
        return _length_echo(typed, workshop)
    if name == "weight":
        return _weight_echo(typed, workshop)
    return _made_echo(name, typed, system, pattern) if pattern else ""


def _made_echo(name: str, typed: str, system: System, pattern: Pattern) -> str:
    """What was made of a field that leaves something to the engine."""
    spec = pattern.spec
    if name == "lettering" and spec.lettering != typed:
        if spec.letters == "plate":
            return tr("Engraved as {text}", text=spec.lettering)
        return tr("Stamped as {text}", text=spec.lettering)
    if name == "length" and not typed:
        return next(show_both(one.size, system) for one in told(pattern).measures if one.field == name)
    if name == "qr":
        return next((one.text or "" for one in pattern.strap.marks if one.kind == "code"), "")
    collar = collar_in(pattern)
    return "" if collar is None else _hole_echo(name, system, collar)


def _hole_echo(name: str, system: System, pattern: CollarPattern) -> str:
    if name == "holes" and pattern.spec.holes is None:
        return tr("{count} holes for this collar", count=number(len(pattern.layout.holes)))
    if name == "pitch" and pattern.spec.pitch is None:
        return tr("{length} on this collar", length=show_length(pattern.layout.pitch, system))
    return ""


def _length_echo(typed: str, workshop: Workshop) -> str:
    try:
        reading = read_length(typed, assume=workshop.units)
    except Unreadable:
        return ""
    read = show_both(reading.value, reading.system)
    if not reading.assumed:
        return read
    return tr("{size}, read as {unit}", size=read, unit=tr(UNIT_NAMES[reading.unit]))


def _weight_echo(typed: str, workshop: Workshop) -> str:
    try:
        reading = read_mass(typed, assume=_pounds_or_kilograms(workshop))
    except Unreadable:
        return ""
    read = Mass(reading.value).said(reading.system)
    if not reading.assumed:
        return read
    return tr("{size}, read as {unit}", size=read, unit=tr(UNIT_NAMES[reading.unit]))
