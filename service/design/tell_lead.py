"""A lead in words."""

from collections.abc import Iterator

from service.design.lead import LeadPattern
from service.design.lead_lengths import LAP, LOOP
from service.design.lead_parts import cords
from service.design.lead_wish import MAKES
from service.design.reading import CHOICE_NAMES
from service.design.telling import Fact, Measured, Told
from service.language import mark, within
from service.saying import Length, Message, Spelled, named, say, say_many


def tell_lead(pattern: LeadPattern) -> Told:
    """Return a lead in words.

    Source: derived. Worked: its title is "Chestnut bridle lead, 3/4 in wide, 60 in long".
    """
    spec = pattern.spec
    measures = [Measured("length", mark("Length"), spec.length)]
    if spec.make == "slip" and spec.neck is not None:
        measures.append(Measured("neck", mark("Neck that the stop is set for"), spec.neck))
    return Told(
        code="lead",
        title=say(
            "{leather} lead, {width} wide, {length} long",
            leather=named(pattern.fittings.leather.name),
            width=Length(spec.width, alone=True),
            length=Length(spec.length, alone=True),
        ),
        made=mark("Lead, made to measure"),
        phrases=tuple(_phrases(pattern)),
        length=say("taut it is {length} long", length=Length(pattern.length, alone=True)),
        measures=tuple(measures),
        choices=(
            Fact(mark("Make"), MAKES[spec.make]),
            Fact(mark("Held by"), CHOICE_NAMES[spec.fastening]),
        ),
        fits=tuple(_fits(pattern)),
        sizes=tuple(_sizes(pattern)),
        girths=(),
        sits=tuple(_sits(pattern)),
        included=tuple(_included(pattern)),
    )


def _phrases(pattern: LeadPattern) -> Iterator[Message]:
    yield MAKES[pattern.spec.make]
    laps = sum(run.laps for run in pattern.runs)
    if laps:
        yield say_many("{count} lap", "{count} laps", laps)


def _fits(pattern: LeadPattern) -> Iterator[Fact]:
    beside = say("from snap to handle, taut")
    if pattern.spec.make == "slip":
        beside = say("from ring to handle, taut")
    yield Fact(mark("Finished length"), Length(pattern.length), beside)
    for run in pattern.runs[1:]:
        name = mark("Short lead alone") if run.name == "short" else mark("Each branch")
        yield Fact(name, Length(run.length))


def _sizes(pattern: LeadPattern) -> Iterator[tuple[str, float]]:
    yield mark("Finished length, taut"), pattern.length
    yield mark("Lap of each joint"), LAP
    yield mark("Handle's loop, laid flat"), LOOP
    yield mark("Holes at billet and handle, across"), pattern.fittings.end_fastener.hole
    if any(run.laps for run in pattern.runs) or pattern.spec.make == "traffic-loop":
        yield mark("Holes at the laps, across"), pattern.fittings.lap_fastener.hole


def _sits(pattern: LeadPattern) -> Iterator[Message]:
    spec, loop = pattern.spec, Length(LOOP, alone=True)
    if spec.make == "plaited-handle":
        yield say(
            "The handle is a loop of {length}, laid flat, plaited of {count} cords.",
            length=loop,
            count=Spelled(cords(spec.width)),
        )
    else:
        yield say("The handle is a loop of {length}, laid flat.", length=loop)


def _included(pattern: LeadPattern) -> Iterator[Message]:
    metal, snaps = named(pattern.fittings.finish.name), _count(pattern, "snap")
    if snaps:
        several = named(within(pattern.fittings.finish.name))
        yield say_many(
            "{metal} snap", "{count} snaps of {metal}", snaps, metal=metal if snaps == 1 else several
        )
    if _count(pattern, "o-ring"):
        yield say("{metal} O-ring", metal=metal)
    for name, text in (
        ("traffic-loop", say("Traffic loop")),
        ("stop", say("Stop on the noose")),
    ):
        if any(part.name == name for part in pattern.parts):
            yield text


def _count(pattern: LeadPattern, kind: str) -> int:
    return sum(line.quantity for line in pattern.hardware if line.kind == kind)
