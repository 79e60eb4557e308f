"""Ways out of a wish that can't be made: each one has been tried before it is suggested."""

from collections.abc import Callable, Container, Iterable, Iterator
from dataclasses import dataclass, replace
from typing import Any, TypeVar, get_args

from service.design.hardware import widths
from service.design.layout import AUTO_PITCHES, NOT_GROWING, TAIL, TAIL_CLEAR
from service.design.measures import is_usual, meant_necks
from service.design.pattern import CollarPattern, Pattern
from service.design.reading import CHOICE_NAMES, read_parameter
from service.design.ring import ON_TAB, in_fold
from service.design.shortest import shortest_neck
from service.design.spec import HOLES_MIN, PITCH_MIN, Buckled, Collar, Wish, Worn
from service.errors import DesignError, Suggestion
from service.geometry import End
from service.saying import Length, Limit, Listed, Message, in_turn, named, say
from service.workshop import Fastening, Style, Workshop

Make = Callable[[Any, Workshop], Pattern]
Made = TypeVar("Made", bound=Pattern)
SAME_WIDTH = 1.0
"""Widths nearer than this [mm] take the same strap."""
MOST = 3
"""Most ways out that change the same parameter, where it isn't what is wrong."""
TRIES = 80
"""So many wishes at most are tried to find changes that work together: a tenth of a second."""
LETTERED = frozenset(("lettering", "letters", "stamp", "qr"))
"""What a wider strap has more room for."""

EXTRAS = (
    "lettering",
    "studs",
    "qr",
    "border",
    "lacing",
    "grooves",
    "lining",
    "throat",
    "ring_at",
    "keepers",
    "holes",
    "pitch",
    "adult",
    "dye",
)
"""What can be left out of what is made, and is left out where nothing less would do."""


def with_ways_out(problem: DesignError, spec: Wish, workshop: Workshop, make: Make) -> DesignError:
    """Return the problem with only those suggestions that `make` succeeds with.

    When the neck may be the mistake, the same number in the other unit comes first. When none of its own is
    left, every other single choice is tried, and then several together. Its field is then the one to change
    first. Source: derived. Worked: a neck too short for a strap 1 in wide suggests the widths that it is long
    enough for.
    """

    def works(way: Suggestion) -> bool:
        # Another kind is made by another maker, and is asked for anew.
        return way.field == "kind" or _made_with(way, spec, workshop, make) is not None

    meant = []
    if isinstance(spec, Worn) and (problem.field == "neck" or not is_usual(spec, spec.neck)):
        meant = [way for way in meant_necks(spec) if works(way)]
    few = problem.field in LETTERED
    ways = _working(problem.would_work, works, {"width"} if few else ())
    ways = ways or _working(_other_choices(spec, workshop), works, type(spec).model_fields)
    ways = ways or _together(problem, spec, workshop, make)
    plain = () if ways else _plain(spec, workshop, make)
    message = problem.message
    if problem.field == "neck" and not ways and not plain:
        message = _too_short(spec, workshop) or message
    ways = [*meant, *ways]
    fields = [way.field for way in ways if way.field != "kind"] or [problem.field]
    field = problem.field if problem.field in fields else fields[0]
    return type(problem)(field=field, message=message, would_work=(*ways, *plain))


def _working(
    tried: Iterable[Suggestion], works: Callable[[Suggestion], bool], few: Container[str]
) -> list[Suggestion]:
    """Those that work; of a field of which few are wanted not more than a few."""
    ways: list[Suggestion] = []
    for way in tried:
        many = way.field in few and sum(way.field == found.field for found in ways) >= MOST
        if not many and works(way):
            ways.append(way)
    return ways


def _together(problem: DesignError, spec: Wish, workshop: Workshop, make: Make) -> list[Suggestion]:
    """The fewest changes that work together, where no single one does: what each refusal suggests in turn."""
    tried, found = 0, dict[frozenset[str], Suggestion]()
    ahead: list[tuple[tuple[Suggestion, ...], Wish, DesignError]] = [((), spec, problem)]
    for changes, wish, refused in ahead:
        done = frozenset(one.field for one in changes)
        if any(len(done) >= len(fields) for fields in found):
            break  # with one change more it would be longer than what was found
        for way in refused.would_work or _other_choices(wish, workshop):
            if way.field in {"kind", *done} or tried == TRIES:
                continue
            tried += 1
            changed = _changed(wish, way, workshop)
            try:
                make(changed, workshop)
            except DesignError as another:
                ahead.append(((*changes, way), changed, another))
            else:
                found.setdefault(done | {way.field}, _all_of((*changes, way)))
    return [*found.values()][:MOST]


def _plain(spec: Wish, workshop: Workshop, make: Make) -> tuple[Suggestion, ...]:
    """The last resort: without anything that can be left out, at the nearest width and in a metal that do."""
    own = type(spec).model_fields
    left = [
        Suggestion(name, "", say("no extras"))
        for name in EXTRAS
        if name in own and getattr(spec, name) != own[name].default
    ]
    bare = spec
    for one in left:
        bare = _changed(bare, one, workshop)
    for size in sorted(widths(workshop), key=lambda size: abs(size - spec.width)):
        for row in sorted(workshop.finishes, key=lambda row: row.code != spec.finish):
            changed = [_width(size)] if abs(size - spec.width) >= SAME_WIDTH else []
            changed += [Suggestion("finish", row.code, named(row.name))] if row.code != spec.finish else []
            wish = bare
            for one in changed:
                wish = _changed(wish, one, workshop)
            if (left or changed) and _made(wish, workshop, make) is not None:
                way = _all_of((*left[:1], *changed))
                return (replace(way, also=(*way.also, *left[1:])),)
    return ()


def _all_of(changes: tuple[Suggestion, ...]) -> Suggestion:
    first, *also = changes
    if not also:
        return first
    others, last = Listed(tuple(one.text for one in changes[:-1])), changes[-1].text
    return replace(first, text=say("{others} and {last}", others=others, last=last), also=tuple(also))


def with_cures(pattern: Made, collar: CollarPattern, workshop: Workshop, make: Make) -> Made:
    """Return a pattern that holds a collar with a warning of its tail that names what would do, each tried.

    Source: derived. Worked: six holes an inch apart on a neck of 14 in: five holes, or 3/4 in apart.
    """
    if _clear(pattern):
        return pattern
    held = _Held(pattern.spec, collar, workshop, make)
    ways = tuple(_tail_cures(held))
    if ways:
        cure = say("Any one of these clears it: {ways}.", ways=Listed(tuple(way.text for way in ways)))
    else:
        cure = _few_and_close(held)
    findings = (
        one._replace(text=in_turn(one.text, cure), suggestions=ways) if one.code == TAIL else one
        for one in pattern.findings
    )
    return replace(pattern, findings=tuple(findings))


@dataclass(frozen=True, slots=True)
class _Held:
    """A collar, by itself or in a set, the wish that it is of, and what makes that wish."""

    spec: Wish
    collar: CollarPattern
    workshop: Workshop
    make: Make


def _tail_cures(held: _Held) -> Iterator[Suggestion]:
    """Of each kind of change the first that leaves the tail clear of the ring tab."""

    def clears(way: Suggestion) -> bool:
        return _clear(_made_with(way, held.spec, held.workshop, held.make))

    collar = held.collar
    for ways in (
        _forced(collar.spec),
        _fewer(collar),
        _closer(collar),
        _narrower(collar.spec, held.workshop),
    ):
        found = next(filter(clears, ways), None)
        if found:
            yield found


def _few_and_close(held: _Held) -> Message:
    """What clears the tail where no single change does."""
    pitch = _fitting_pitch(held.collar, HOLES_MIN)
    few = held.spec.model_copy(update={"holes": HOLES_MIN, "pitch": pitch})
    if pitch and _clear(_made(few, held.workshop, held.make)):
        return say("{count} holes {pitch} apart would clear it.", count=HOLES_MIN, pitch=Length(pitch))
    return say("It takes fewer holes, closer together, on a narrower strap.")


def _fitting_pitch(pattern: CollarPattern, holes: int) -> float | None:
    """The widest pitch in whole mm that so many holes can have with the tail clear of the ring tab."""
    layout = pattern.layout
    room = pattern.fit.flat / 2 - layout.tab_half - TAIL_CLEAR - layout.tip
    pitch = float(room // (holes - 1))
    return pitch if pitch >= PITCH_MIN else None


def _forced(spec: Collar) -> Iterator[Suggestion]:
    if spec.adult is not None:
        yield NOT_GROWING
    if spec.holes is not None:
        yield Suggestion("holes", "auto", say("holes on auto"))
    if spec.pitch is not None:
        yield Suggestion("pitch", "auto", say("pitch on auto"))


def _fewer(pattern: CollarPattern) -> Iterator[Suggestion]:
    for count in range(len(pattern.layout.holes) - 1, HOLES_MIN - 1, -1):
        yield Suggestion("holes", str(count), say("{count} holes", count=count))


def _closer(pattern: CollarPattern) -> Iterator[Suggestion]:
    layout = pattern.layout
    for pitch in (*AUTO_PITCHES, _fitting_pitch(pattern, len(layout.holes))):
        if pitch and pitch < layout.pitch:
            yield Suggestion("pitch", f"{pitch:g} mm", say("a pitch of {pitch}", pitch=Length(pitch)))


def _narrower(spec: Collar, workshop: Workshop) -> Iterator[Suggestion]:
    for size in reversed(widths(workshop)):
        if size <= spec.width - SAME_WIDTH:
            yield _width(size)


def _made_with(way: Suggestion, spec: Wish, workshop: Workshop, make: Make) -> Pattern | None:
    return _made(_changed(spec, way, workshop), workshop, make)


def _changed(spec: Wish, way: Suggestion, workshop: Workshop) -> Wish:
    """A wish with a single change."""
    own = type(spec).model_fields[way.field]
    # Left empty it means what this kind's wish has then: a collar needs a neck, a slip lead doesn't.
    empty = not way.value and not own.is_required()
    value = own.get_default() if empty else read_parameter(way.field, way.value, workshop)
    changed = {way.field: value}
    if way.field == "lacing" and not value and spec.grooves == "none":
        changed["grooves"] = "one"  # without lace an edge has the usual groove again
    return spec.model_copy(update=changed)


def _made(spec: Wish, workshop: Workshop, make: Make) -> Pattern | None:
    try:
        return make(spec, workshop)
    except DesignError:
        return None


def _clear(pattern: Pattern | None) -> bool:
    return pattern is not None and TAIL not in [finding.code for finding in pattern.findings]


def _too_short(spec: Wish, workshop: Workshop) -> Message | None:
    """What is said where the neck is too short for everything there is: the shortest one, and why."""
    shortest = shortest_neck(spec, workshop) if isinstance(spec, Collar) else None
    if shortest is None:
        return None
    return say(
        "This neck is too short for the workshop's hardware. Measured this way, the shortest is {neck}, on a"
        " strap {width} wide: the buckle's end and the ring's tab take that much room. Is the measure right?",
        neck=Limit(shortest.neck, "least"),
        width=Length(shortest.width),
    )


def _width(size: float) -> Suggestion:
    return Suggestion("width", f"{size:g} mm", say("{width} wide", width=Length(size)))


def _other_choices(spec: Wish, workshop: Workshop) -> Iterator[Suggestion]:
    """Every other choice that can be made with one change, nearest widths first."""
    for size in sorted(widths(workshop), key=lambda size: abs(size - spec.width)):
        if abs(size - spec.width) >= SAME_WIDTH:
            yield _width(size)
    for field, options in (("fastening", Fastening), ("style", Style), ("end", End)):
        for option in get_args(options) if field in type(spec).model_fields else ():
            if option != getattr(spec, field):
                yield Suggestion(field, option, CHOICE_NAMES[option])
    for row in workshop.finishes:
        yield Suggestion("finish", row.code, named(row.name))
    yield from _without_wishes(spec)


def _without_wishes(spec: Wish) -> Iterator[Suggestion]:
    """What was asked for and could be left out or left to the engine."""
    if isinstance(spec, Buckled) and in_fold(spec):
        yield ON_TAB
    for field, value, text in (
        ("holes", "auto", say("holes on auto")),
        ("pitch", "auto", say("pitch on auto")),
        ("throat", "", say("straight edges")),
        ("lining", "", say("no lining")),
        ("border", "", say("no border")),
        ("lacing", "", say("no lacing")),
        ("studs", "", say("no studs")),
        ("lettering", "", say("no lettering")),
        ("qr", "", say("no QR tag")),
    ):
        if getattr(spec, field, None):
            yield Suggestion(field, value, text)
