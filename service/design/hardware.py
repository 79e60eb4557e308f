"""Hardware from the catalogue: what fits a width in a finish, what is missing, what is complete."""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace
from functools import lru_cache, reduce
from typing import Any, TypeVar

from service.design.pattern import CollarFittings, HardwareLine
from service.design.ring_tab import tab_plies
from service.design.spec import Collar, Wish
from service.errors import NotStocked, Suggestion
from service.language import mark, within
from service.saying import Exact, Figure, Length, Listed, Message, in_turn, named, say
from service.workshop import (
    Buckle,
    Dye,
    Fastener,
    Fastening,
    Finish,
    Leather,
    Lining,
    Ring,
    Stud,
    Style,
    Thread,
    Workshop,
)

TIGHTEST, LOOSEST = 0.5, 1.0
"""A strap may be this much wider or narrower [mm] than the hardware's nominal width. From memory."""
PLIES = 2
"""Plies of strap leather at a rivet. Common practice."""

KINDS: dict[str, Message] = {
    "centre-bar buckle": say("centre-bar buckle"),
    "heel-bar buckle": say("heel-bar buckle"),
    "ring": say("ring"),
    "O-ring": say("O-ring"),
    "snap": say("snap"),
    "rivet": say("rivet"),
    "screw post": say("screw post"),
    "stud": say("stud"),
}
"""What the kinds of hardware are called."""
FASTENERS: dict[Fastening, Message] = {"rivet": say("rivets"), "screw-post": say("screw posts")}
"""What fasteners are called, several of them."""

Sized = TypeVar("Sized", Buckle, Ring)
Coded = TypeVar("Coded", Leather, Dye, Lining, Thread, Finish)


Lacks = Callable[[Workshop, Any, str], tuple[str, ...]]
"""What names the hardware that a workshop lacks for a wish in a finish."""
Wanted = tuple[Style | None, float, Fastening]
"""What decides the hardware besides leather and finish: style of a buckle, strap width [mm], fastening."""


def hardware_fits(strap: float, nominal: float) -> bool:
    """Tell whether a strap of this width [mm] runs in hardware of this nominal width [mm].

    Source: from memory. Worked: a 25.4 mm strap runs in 25 mm hardware, a 26 mm strap does not.
    """
    return -LOOSEST <= strap - nominal <= TIGHTEST


def by_code(rows: Iterable[Coded], code: str, kind: str) -> Coded:
    """Return the row of this code among rows of a kind, such as "leather".

    Source: derived. Worked: the code "brass" among finishes. Raises NotStocked, naming the codes there are.
    """
    found = {row.code: row for row in rows}
    if code in found:
        return found[code]
    raise NotStocked(
        field=kind,
        message=say(
            "The workshop has nothing called “{code}” here. It has: {codes}.",
            code=code,
            codes=Listed(tuple(found)),
        ),
        would_work=tuple(Suggestion(kind, row.code, named(row.name)) for row in found.values()),
    )


def _closest(rows: Iterable[Sized], width: float) -> Sized | None:
    fitting = [row for row in rows if hardware_fits(width, row.width)]
    return min(fitting, key=lambda row: abs(row.width - width), default=None)


def _buckle(workshop: Workshop, style: Style, width: float, finish: str) -> Buckle | None:
    rows = (row for row in workshop.buckles if row.finish == finish and row.style == style)
    return _closest(rows, width)


def ring_for(workshop: Workshop, width: float, finish: str) -> Ring | None:
    """Return the ring of a finish whose width is nearest to a strap's [mm], or None.

    Source: from memory, `hardware_fits`. Worked: a strap of 25.4 mm takes a ring of 25 mm.
    """
    return _closest((row for row in workshop.rings if row.finish == finish), width)


def fastener_for(workshop: Workshop, kind: Fastening, finish: str, stack: float) -> Fastener | None:
    """Return the rivet or post of this finish whose grip holds a stack [mm], else the nearest, else None.

    Source: common practice: the post must stand 1.6 to 3.2 mm proud, which a row's grip range already says.
    Worked: stack 6 mm takes grip 5.2-6.8 and not 6.3-7.9.
    """
    rows = [row for row in workshop.fasteners if row.kind == kind and row.finish == finish]
    return min(rows, key=lambda row: (_outside(row, stack), abs(row.grip_max - stack)), default=None)


def _outside(row: Fastener, stack: float) -> float:
    return max(row.grip_min - stack, stack - row.grip_max, 0.0)


def grips_of(workshop: Workshop, kind: Fastening, finish: str) -> tuple[tuple[float, float], ...]:
    """Return the ranges of stacks [mm] that rivets or posts of a finish close; those that meet are one.

    Source: derived. Worked: grips 3.4-5, 5-6.6 and 8.2-9.8 close 3.4 to 6.6 and 8.2 to 9.8 mm.
    """
    rows = [row for row in workshop.fasteners if row.kind == kind and row.finish == finish]
    ranges: list[tuple[float, float]] = []
    for low, high in sorted((row.grip_min, row.grip_max) for row in rows):
        if ranges and low <= ranges[-1][1]:
            ranges[-1] = ranges[-1][0], max(high, ranges[-1][1])
        else:
            ranges.append((low, high))
    return tuple(ranges)


def ranges_in_words(ranges: Iterable[tuple[float, float]]) -> Message:
    """Return ranges of stacks [mm], of which there is one at least, in words.

    Source: derived. Worked: "3.4 to 6.6 mm and 8.2 to 9.8 mm".
    """
    said = (say("{low} to {high} mm", low=Figure(low), high=Figure(high)) for low, high in ranges)
    return reduce(lambda some, more: say("{some} and {more}", some=some, more=more), said)


def missing(workshop: Workshop, spec: Wish, finish: str) -> tuple[str, ...]:
    """Name the kinds of hardware the workshop lacks for this wish in a finish; none when it is complete.

    Source: common practice: an order's hardware comes in one finish. Worked: no rings in black gives
    ("ring",).
    """
    wanted = spec.style if isinstance(spec, Collar) else None, spec.width, spec.fastening
    return _missing(workshop, wanted, finish, studs=spec.studs is not None)


@lru_cache(maxsize=1024)
def _missing(workshop: Workshop, wanted: Wanted, finish: str, *, studs: bool) -> tuple[str, ...]:
    style, width, fastening = wanted
    found: dict[str, Buckle | Ring | Fastener | Stud | None] = {}
    if style is not None:
        found[f"{style} buckle"] = _buckle(workshop, style, width, finish)
    found["ring"] = ring_for(workshop, width, finish)
    found[fastening.replace("-", " ")] = fastener_for(workshop, fastening, finish, 0.0)
    if studs:
        found["stud"] = stud_in(workshop, finish)
    return tuple(name for name, row in found.items() if row is None)


def stud_in(workshop: Workshop, finish: str) -> Stud | None:
    """Return the workshop's first stud of this finish, or None."""
    return next((row for row in workshop.studs if row.finish == finish), None)


def widths(workshop: Workshop) -> tuple[float, ...]:
    """Return every strap width [mm] that some buckle of the workshop is made for, narrowest first."""
    return tuple(sorted({row.width for row in workshop.buckles}))


def fittings_for(workshop: Workshop, spec: Collar) -> CollarFittings:
    """Return the catalogue rows for a wish.

    Raises NotStocked, naming what is missing and which finishes or widths are complete. Source: common
    practice.
    """
    wanted = spec.style, spec.width, spec.fastening
    lined = spec.lining, spec.thread
    fittings = _fittings(workshop, spec.leather, spec.finish, wanted, lined, studs=spec.studs is not None)
    if fittings is None:
        raise _not_stocked(workshop, spec)
    if tab_plies(spec) > PLIES:
        stack = tab_plies(spec) * fittings.leather.thickness
        row = fastener_for(workshop, spec.fastening, spec.finish, stack)
        fittings = replace(fittings, tab_fastener=row or fittings.tab_fastener)
    return fittings


def thread_for(workshop: Workshop, code: str) -> Thread:
    """Return the thread of a code, the workshop's first where there is none; raises NotStocked."""
    if code:
        return by_code(workshop.threads, code, "thread")
    if workshop.threads:
        return workshop.threads[0]
    message = say("A lining is sewn on, and the workshop has no thread.")
    raise NotStocked(
        field="lining", message=message, would_work=(Suggestion("lining", "", say("no lining")),)
    )


@lru_cache(maxsize=1024)
def _fittings(
    workshop: Workshop, leather: str, finish: str, wanted: Wanted, lined: tuple[str, str], *, studs: bool
) -> CollarFittings | None:
    """Rows for a leather and a finish, by style, width [mm] and fastening; None when one is missing.

    With a lining, if one is named, there is its thread too, and rivets or posts for a fold thicker by it.
    """
    style, width, fastening = wanted
    skin = by_code(workshop.leathers, leather, "leather")
    metal = by_code(workshop.finishes, finish, "finish")
    # Both joints are two plies thick: the fold's two legs, and the ring tab on the strap.
    fastener = fastener_for(workshop, fastening, finish, PLIES * skin.thickness)
    buckle = None if style is None else _buckle(workshop, style, width, finish)
    ring = ring_for(workshop, width, finish)
    stud = stud_in(workshop, finish) if studs else None
    if buckle is None or ring is None or fastener is None or (studs and stud is None):
        return None
    lining = by_code(workshop.linings, lined[0], "lining") if lined[0] else None
    thicker = PLIES * skin.thickness + (lining.thickness if lining else 0.0)
    return CollarFittings(
        leather=skin,
        finish=metal,
        buckle=buckle,
        ring=ring,
        fold_fastener=fastener_for(workshop, fastening, finish, thicker) or fastener,
        tab_fastener=fastener,
        stud=stud,
        lining=lining,
        thread=thread_for(workshop, lined[1]) if lining else None,
    )


def _not_stocked(workshop: Workshop, spec: Collar) -> NotStocked:
    beside: tuple[Message, ...] = ()
    if spec.fastening.replace("-", " ") in missing(workshop, spec, spec.finish):
        beside = tuple(_fasteners_elsewhere(workshop, spec))
    ways = (Suggestion("studs", "", say("no studs")),) if spec.studs is not None else ()
    return not_stocked(workshop, spec, missing, widths(workshop), beside, ways)


def not_stocked(
    workshop: Workshop,
    spec: Wish,
    lacks: Lacks,
    sizes: Iterable[float],
    beside: Iterable[Message] = (),
    ways: tuple[Suggestion, ...] = (),
) -> NotStocked:
    """Return what is lacking for a wish of any kind, in which finishes and widths it is complete.

    `lacks` names what a workshop lacks for a wish in a finish, `sizes` are the widths to try [mm], `beside`
    is said too, and `ways` are further ways out. Source: derived. Worked: no ring in black: finishes that
    have one.
    """
    metal = within(by_code(workshop.finishes, spec.finish, "finish").name)
    finishes = [row for row in workshop.finishes if not lacks(workshop, spec, row.code)]
    complete = [
        size for size in sizes if not lacks(workshop, spec.model_copy(update={"width": size}), spec.finish)
    ]
    said = [
        say(
            "The workshop has not all that a strap {width} wide in {metal} takes. It lacks: {lacking}.",
            width=Length(spec.width),
            metal=metal,
            lacking=Listed(tuple(KINDS[kind] for kind in lacks(workshop, spec, spec.finish))),
        ),
        *beside,
    ]
    if finishes:
        names = Listed(tuple(within(row.name) for row in finishes))
        said.append(say("Complete at this width: {finishes}.", finishes=names))
    if complete:
        made = Listed(tuple(map(Length, complete)))
        said.append(say("Complete in {metal}: {widths}.", metal=metal, widths=made))
    would_work = (
        *(Suggestion("finish", row.code, named(row.name)) for row in finishes),
        *(Suggestion("width", f"{size:g} mm", say("{width}", width=Length(size))) for size in complete),
        *ways,
    )
    return NotStocked(field="finish" if finishes else "width", message=in_turn(*said), would_work=would_work)


def _fasteners_elsewhere(workshop: Workshop, spec: Collar) -> Iterator[Message]:
    """The stack that has to be closed, and what the workshop has to close it with in other finishes."""
    stack = PLIES * by_code(workshop.leathers, spec.leather, "leather").thickness
    yield say("At the fold and the ring tab {plies} plies make {stack}.", plies=PLIES, stack=Exact(stack))
    yield from closed_elsewhere(workshop, spec.fastening)


def closed_elsewhere(workshop: Workshop, kind: Fastening) -> Iterator[Message]:
    """Yield which stacks a workshop's rivets or posts close in each of its finishes, if it has any.

    Source: derived, `grips_of`. Worked: "The workshop's rivets: in brass they close 3.4 to 6.6 mm."
    """
    closed = tuple(
        say("in {metal} they close {stacks}", metal=within(row.name), stacks=ranges_in_words(grips))
        for row in workshop.finishes
        if (grips := grips_of(workshop, kind, row.code))
    )
    if closed:
        yield say("The workshop's {fasteners}: {closed}.", fasteners=FASTENERS[kind], closed=Listed(closed))


def hardware_list(fittings: CollarFittings, studs: int, *, in_fold: bool = False) -> tuple[HardwareLine, ...]:
    """Return the hardware to lay out for one collar with so many studs.

    Source: common practice: two rivets hold the fold, two the ring tab, if the ring is not in the fold.
    Worked: a plain collar has four rivets.
    """
    buckle, ring, finish = fittings.buckle, fittings.ring, fittings.finish.code
    fold, tab = fittings.fold_fastener, fittings.tab_fastener
    lines = [
        HardwareLine("buckle", buckle.code, buckle.name, finish, 1, mark("fold")),
        HardwareLine("ring", ring.code, ring.name, finish, 1, mark("fold") if in_fold else mark("ring tab")),
    ]
    if in_fold:
        lines.append(HardwareLine(fold.kind, fold.code, fold.name, finish, 2, mark("fold")))
    elif fold.code == tab.code:
        lines.append(HardwareLine(fold.kind, fold.code, fold.name, finish, 4, mark("fold and ring tab")))
    else:
        lines.append(HardwareLine(fold.kind, fold.code, fold.name, finish, 2, mark("fold")))
        lines.append(HardwareLine(tab.kind, tab.code, tab.name, finish, 2, mark("ring tab")))
    if fittings.stud is not None and studs:
        lines.append(
            HardwareLine("stud", fittings.stud.code, fittings.stud.name, finish, studs, mark("strap"))
        )
    return tuple(lines)
