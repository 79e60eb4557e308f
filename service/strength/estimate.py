"""An estimate of a collar's strength: all modes, what is asked of it, and what would make it stronger."""

from collections.abc import Iterator
from dataclasses import dataclass

from service.design import AUTO_PITCHES, CHOICE_NAMES, Pattern, Wish, collar_in, make_pattern, widths
from service.errors import DesignError, Suggestion
from service.saying import Exact, Length, say
from service.strength.demand import Demand, demands
from service.strength.kinds import modes_of
from service.strength.modes import Mode
from service.workshop import Fastener, Fastening, Workshop

BETTER = 1.02
"""What raises the weakest place by less is no way to make it stronger."""
WIDER = 1.0
"""Widths nearer than this [mm] take the same strap."""
THOROUGH = 2
"""Decimals of a newton within which two capacities are the same."""


@dataclass(frozen=True, slots=True)
class Way:
    """A change that makes it stronger, tried: its weakest place then, and what is unknown then."""

    change: Suggestion
    weakest: Mode
    unknown: int


@dataclass(frozen=True, slots=True)
class Estimate:
    """What a collar bears, estimated: ways to let go and to give, the weakest first, the unknown last."""

    breaking: tuple[Mode, ...]
    giving: tuple[Mode, ...]
    demands: tuple[Demand, ...]

    @property
    def weakest(self) -> Mode:
        """The weakest of those whose figure is known."""
        return self.breaking[0]

    @property
    def unknown(self) -> tuple[Mode, ...]:
        """Those whose figure isn't known: they may be weaker still."""
        return tuple(mode for mode in self.breaking if not mode.known)

    @property
    def by_hand(self) -> Demand:
        """The greatest pull that was measured by hand."""
        return max((one for one in self.demands if one.kind == "hand"), key=lambda one: one.newtons)

    @property
    def snatch(self) -> Demand | None:
        """The pull at the end of a slack lead, where the dog's weight is known."""
        return next((one for one in self.demands if one.kind == "snatch"), None)


def ratio(mode: Mode, demand: Demand) -> float:
    """Return how many times a demand the least that a mode bears is; a known one.

    Source: derived. Worked: 240 N against 162.8 N: 1.47.
    """
    return mode.least / demand.newtons


def estimate_strength(pattern: Pattern, workshop: Workshop) -> Estimate:
    """Return the estimate for a buckle collar, made of a workshop's rows.

    Source: as each mode and demand says. Worked: 1 in of 3 mm leather at 15 N/mm²: weakest at its size holes,
    240 to 411 N, which is 1.5 times the highest pull of a dog on average.
    """
    breaking, giving = _parted(pattern, workshop)
    return Estimate(breaking, giving, demands(pattern.spec.weight, workshop.assumptions))


def _parted(pattern: Pattern, workshop: Workshop) -> tuple[tuple[Mode, ...], tuple[Mode, ...]]:
    modes = modes_of(pattern, workshop)
    return tuple(one for one in modes if one.ends == "lets go"), tuple(m for m in modes if m.ends == "gives")


def ways_to_strengthen(pattern: Pattern, workshop: Workshop) -> tuple[Way, ...]:
    """Return changes that make the weakest place stronger, each of them made and reckoned anew.

    Of each kind of change the nearest, and the one furthest from it. Source: derived. Worked: 1 in of 3 mm:
    the next wider strap, the widest, the next thicker leather, the thickest.
    """
    breaking, _ = _parted(pattern, workshop)
    return tuple(_ways(pattern, workshop, breaking))


def _ways(pattern: Pattern, workshop: Workshop, breaking: tuple[Mode, ...]) -> Iterator[Way]:
    spec = pattern.spec
    kinds = (
        _wider(spec, workshop),
        _thicker(pattern, workshop),
        _other_fastening(pattern, workshop),
        _further(pattern),
    )
    for changes in kinds:
        tried = [_tried(change, value, pattern, workshop, breaking) for change, value in changes]
        found = [way for way in tried if way is not None]
        yield from (*found[:1], *found[1:][-1:])


def _tried(
    change: Suggestion, value: object, pattern: Pattern, workshop: Workshop, breaking: tuple[Mode, ...]
) -> Way | None:
    """The way that a change is, if the collar can be made so, is stronger then, and warns of nothing new."""
    try:
        made = make_pattern(pattern.spec.model_copy(update={change.field: value}), workshop)
    except DesignError:
        return None
    if _warnings(made) - _warnings(pattern):
        return None
    rows = [row for row in made.fittings.hardware.values() if isinstance(row, Fastener)]
    if change.field == "fastening" and any(row.rated_load_n is None for row in rows):
        return None
    now, _ = _parted(made, workshop)
    unknown, before = (sum(not mode.known for mode in modes) for modes in (now, breaking))
    stronger = now[0].least > breaking[0].least * BETTER and unknown <= before
    surer = unknown < before and round(now[0].least - breaking[0].least, THOROUGH) >= 0
    return Way(change, now[0], unknown) if stronger or surer else None


def _warnings(pattern: Pattern) -> set[str]:
    return {finding.code for finding in pattern.findings if finding.severity == "warning"}


def _wider(spec: Wish, workshop: Workshop) -> Iterator[tuple[Suggestion, object]]:
    for size in widths(workshop):
        if size >= spec.width + WIDER:
            yield Suggestion("width", f"{size:g} mm", say("{width} wide", width=Length(size))), size


def _thicker(pattern: Pattern, workshop: Workshop) -> Iterator[tuple[Suggestion, object]]:
    """Leathers that bear more on the same width, the nearest first."""

    def bears(row_strength: float | None, thickness: float) -> float:
        return (row_strength or workshop.assumptions.leather_n_mm2) * thickness

    now = pattern.fittings.leather
    least = bears(now.strength_n_mm2, now.thickness)
    rows = [row for row in workshop.leathers if bears(row.strength_n_mm2, row.thickness) > least]
    for row in sorted(rows, key=lambda row: bears(row.strength_n_mm2, row.thickness)):
        way = say("{leather}, {thickness} thick", leather=row.name, thickness=Exact(row.thickness))
        yield Suggestion("leather", row.code, way), row.code


def _other_fastening(pattern: Pattern, workshop: Workshop) -> Iterator[tuple[Suggestion, object]]:
    """Posts for rivets or rivets for posts, if their figure is known: else neither can be called stronger."""
    other: Fastening = "screw-post" if pattern.spec.fastening == "rivet" else "rivet"
    if any(row.kind == other and row.rated_load_n for row in workshop.fasteners):
        yield Suggestion("fastening", other, CHOICE_NAMES[other]), other


def _further(pattern: Pattern) -> Iterator[tuple[Suggestion, object]]:
    """Size holes further apart, the nearest first: more leather for the prong to tear."""
    collar = collar_in(pattern)
    for pitch in sorted(AUTO_PITCHES) if collar else ():
        if collar and pitch > collar.layout.pitch:
            text = say("size holes {pitch} apart", pitch=Length(pitch))
            yield Suggestion("pitch", f"{pitch:g} mm", text), pitch
