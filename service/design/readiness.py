"""What a workshop makes when it isn't told otherwise, and what it still lacks to make anything."""

from dataclasses import dataclass
from functools import lru_cache
from itertools import product
from typing import Literal, get_args

from service.design.hardware import fastener_for, hardware_fits, widths
from service.design.spec import Collar
from service.errors import DesignRefused, NotStocked
from service.saying import Length, Listed, Message, say
from service.workshop import Fastening, Style, Workshop

Kind = Literal["leather", "finish", "buckle", "ring", "fastener"]
Usual = tuple[Style, float, Fastening]
"""Style, strap width [mm] and fastening."""

FIRST_WIDTH: float = Collar.model_fields["width"].default
FIELDS: dict[Kind, str] = {"leather": "leather", "finish": "finish", "fastener": "fastening"}
"""The parameter that speaks of it; of buckles and rings that is the width."""
NAMES: dict[Kind, Message] = {
    "leather": say("a leather"),
    "finish": say("a metal finish"),
    "buckle": say("a buckle"),
    "ring": say("a ring"),
    "fastener": say("a rivet or screw post"),
}


@dataclass(frozen=True, slots=True)
class Lack:
    """What a workshop lacks for its first collar, with the finish's code and the width [mm] if known."""

    kind: Kind
    finish: str = ""
    width: float | None = None


@lru_cache(maxsize=64)
def usual_choices(workshop: Workshop) -> Usual | None:
    """Return what a wish gets that leaves open style, width [mm] and fastening; None if nothing is complete.

    The first of each, 1 in wide, unless the workshop has the hardware for that in no finish; then the width
    nearest to it, the next style, the next fastening. Source: derived. Worked: a workshop with heel-bar
    buckles of 30 mm and screw posts alone makes that.
    """
    for fastening, style in product(get_args(Fastening), get_args(Style)):
        fitting = {row.width for row in workshop.buckles if row.style == style}
        nearest = sorted(fitting, key=lambda size: (abs(size - FIRST_WIDTH), size))
        for width in nearest:
            if _complete(workshop, style, width, fastening):
                return style, FIRST_WIDTH if hardware_fits(FIRST_WIDTH, width) else width, fastening
    return None


def _complete(workshop: Workshop, style: Style, width: float, fastening: Fastening) -> bool:
    return any(
        any(b.finish == row.code and b.style == style and b.width == width for b in workshop.buckles)
        and any(r.finish == row.code and hardware_fits(width, r.width) for r in workshop.rings)
        and fastener_for(workshop, fastening, row.code, 0.0) is not None
        for row in workshop.finishes
    )


@lru_cache(maxsize=64)
def first_needs(workshop: Workshop) -> tuple[Lack, ...]:
    """Return what a workshop lacks for its first collar; none when there is a collar that it can make.

    Of all finishes and widths it is what the one needs that is nearest to complete. Source: derived.
    Worked: a leather, one finish and a buckle of 25.4 mm in it lack a ring of 25.4 mm and a fastener.
    """
    leather = () if workshop.leathers else (Lack("leather"),)
    if usual_choices(workshop) is not None:
        return leather
    if not workshop.finishes:
        return (*leather, Lack("finish"), Lack("buckle"), Lack("ring"), Lack("fastener"))
    ways = [_lacking(workshop, row.code, width) for row in workshop.finishes for width in _sizes(workshop)]
    return (*leather, *min(ways, key=len))


def _sizes(workshop: Workshop) -> tuple[float | None, ...]:
    return tuple(sorted({*widths(workshop), *(row.width for row in workshop.rings)})) or (None,)


def _lacking(workshop: Workshop, finish: str, width: float | None) -> tuple[Lack, ...]:
    def there(size: float) -> bool:
        return width is not None and hardware_fits(width, size)

    found: dict[Kind, bool] = {
        "buckle": any(row.finish == finish and row.width == width for row in workshop.buckles),
        "ring": any(row.finish == finish and there(row.width) for row in workshop.rings),
        "fastener": any(row.finish == finish for row in workshop.fasteners),
    }
    return tuple(
        Lack(kind, finish, None if kind == "fastener" else width) for kind, has in found.items() if not has
    )


def what_is_usual(workshop: Workshop) -> Usual:
    """Return what a wish that leaves them open gets: style, width [mm], fastening.

    Source: derived. Worked: as `usual_choices`. Raises DesignRefused saying what the workshop lacks when it
    can make nothing yet.
    """
    lacking, usual = not_ready(workshop), usual_choices(workshop)
    if lacking is not None or usual is None:
        raise DesignRefused(() if lacking is None else (lacking,))
    return usual


def not_ready(workshop: Workshop) -> NotStocked | None:
    """Return why a workshop can make nothing yet, or None when it can.

    Source: derived. Worked: without rows it needs a leather, a metal finish, a buckle, a ring, a rivet or
    screw post.
    """
    lacks = first_needs(workshop)
    if not lacks:
        return None
    message = say(
        "Before anything can be made here the workshop still needs: {things}.",
        things=Listed(tuple(map(_named, lacks))),
    )
    return NotStocked(field=FIELDS.get(lacks[0].kind, "width"), message=message)


def _named(lack: Lack) -> Message:
    if lack.width is None:
        return NAMES[lack.kind]
    if lack.kind == "buckle":
        return say("a buckle for a strap {width} wide", width=Length(lack.width))
    return say("a ring for a strap {width} wide", width=Length(lack.width))
