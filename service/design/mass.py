"""What a collar weighs, and where its ring comes to rest: all that hangs round the neck, pulled down."""

from collections.abc import Iterator
from dataclasses import dataclass
from math import atan2, cos, degrees, hypot, pi, sin, tau

from service.design.pattern import CollarPattern, Layout, Mark, Part, Pattern
from service.design.ring_tab import tab_plies
from service.geometry import area, width_at

LEATHER_DENSITY = 0.95e-3
"""Mass of vegetable-tanned leather [g/mm³]; 0.86 to 1.02 g/cm³ are usual. From memory."""
FELT_DENSITY = 0.25e-3
"""Mass of felt or foam [g/mm³] to pad with. From memory."""
WEAK = 0.02
"""Below this share of all its mass times radius nothing pulls a collar round: leather drags. From memory."""

SLICES = 24
"""Even runs that what a tapered strap has more than a straight one is reckoned as. Derived."""


@dataclass(frozen=True, slots=True)
class Weighed:
    """The mass of a collar [g]: `leather`, `hardware`, and the names of hardware whose mass is not known.

    `rest_deg` is how far from the nape the ring comes to rest when the collar turns freely, positive towards
    the tail; None where too little is known or next to nothing pulls.
    """

    leather: float
    hardware: float
    unknown: tuple[str, ...]
    rest_deg: float | None

    @property
    def total(self) -> float:
        """Leather and what is known of the hardware [g]."""
        return self.leather + self.hardware


@dataclass(frozen=True, slots=True)
class _Run:
    """Mass spread evenly along the neck, from `start` to `end` [mm from the bar]: `per_mm` [g/mm]."""

    start: float
    end: float
    per_mm: float


@dataclass(frozen=True, slots=True)
class _Lump:
    """Mass [g] at one place `at` [mm from the bar], its middle so far [mm] outside the strap's."""

    at: float
    grams: float
    out: float = 0.0


def part_mass(part: Part) -> float:
    """Return the mass [g] of a part's pieces: its outline less its holes and slots, by its thickness.

    Source: derived, 0.95 g/cm³ from memory. Worked: 100 by 25.4 mm of 3 mm leather: 7.24 g; with a hole of
    4 mm 7.20 g.
    """
    face = abs(area(part.outline)) - sum(map(_gone, part.marks))
    density = FELT_DENSITY if part.of == "padding" else LEATHER_DENSITY
    return part.quantity * face * part.thickness * density


def _gone(mark: Mark) -> float:
    """Area [mm²] that is punched or cut out."""
    if mark.kind in ("rivet-hole", "size-hole") and mark.diameter is not None:
        return pi * mark.diameter**2 / 4
    if mark.kind == "slot" and mark.length is not None and mark.width is not None:
        return (mark.length - mark.width) * mark.width + pi * mark.width**2 / 4
    return 0.0


def weigh(pattern: Pattern) -> Weighed:
    """Return what something weighs, and, of what goes round a neck, where its ring rests.

    Leather lies at one radius, the legs of the fold and the tail over the strap; a collar that turns freely
    comes to rest with its centre of mass lowest. Source: derived (statics). Worked: all of a collar's mass in
    its buckle rests with the ring, half way round, on the nape: 0 degrees.
    """
    rows = pattern.fittings.hardware
    known = {code: row.mass_g for code, row in rows.items() if row.mass_g is not None}
    hardware = sum(known.get((row.kind, row.code), 0.0) * row.quantity for row in pattern.hardware)
    unknown = tuple(row.name for row in pattern.hardware if (row.kind, row.code) not in known)
    leather = sum(map(part_mass, pattern.parts))
    rest = _rest(pattern, known) if isinstance(pattern, CollarPattern) else None
    return Weighed(leather, hardware, unknown, rest)


def _rest(pattern: CollarPattern, known: dict[tuple[str, str], float]) -> float | None:
    fittings, flat = pattern.fittings, pattern.fit.flat
    if ("buckle", fittings.buckle.code) not in known or ("ring", fittings.ring.code) not in known:
        return None
    runs, lumps = tuple(_runs(pattern)), tuple(_lumps(pattern, known))
    moments = [_of_run(run, flat) for run in runs] + [_of_lump(lump, flat) for lump in lumps]
    x, y = sum(a for a, _ in moments), sum(b for _, b in moments)
    whole = sum(run.per_mm * (run.end - run.start) for run in runs) + sum(lump.grams for lump in lumps)
    if hypot(x, y) < WEAK * whole:
        return None
    ring = tau * (pattern.layout.ring - pattern.layout.fold) / flat
    turned = degrees(pi - (ring - atan2(y, x)))
    return (turned + 180) % 360 - 180


def _runs(pattern: CollarPattern) -> Iterator[_Run]:
    layout = pattern.layout
    per_mm = layout.width * layout.thickness * LEATHER_DENSITY
    yield _Run(0.0, layout.fold, per_mm)  # the inner leg lies on the strap's beginning
    yield _Run(0.0, layout.length - layout.fold, per_mm)
    yield from _swollen(layout)
    begins = {"lining": layout.lined or 0.0, "padding": layout.padded[0] if layout.padded else 0.0}
    for part in pattern.parts:
        if part.of != "leather":
            start = begins[part.of] - layout.fold
            yield _Run(start, start + part.length, part_mass(part) / part.length)
    start, end = (x - layout.fold for x in layout.tab_span)
    yield _Run(start, end, per_mm * (tab_plies(pattern.spec) - 1))  # nothing where it has no tab


def _swollen(layout: Layout) -> Iterator[_Run]:
    """What a strap that swells has more than its ends: even runs, each as wide as in its middle."""
    swell = layout.swell
    if swell is None:
        return
    step = (swell.end - swell.start) / SLICES
    for n in range(SLICES):
        x = swell.start + n * step
        more = width_at(x + step / 2, layout.width, swell) - layout.width
        start = x - layout.fold
        yield _Run(start, start + step, more * layout.thickness * LEATHER_DENSITY)


def _lumps(pattern: CollarPattern, known: dict[tuple[str, str], float]) -> Iterator[_Lump]:
    layout, rows = pattern.layout, pattern.fittings
    yield _Lump(0.0, known["buckle", rows.buckle.code])
    # A D hangs out from its straight side by about half its width: its middle lies half as far out.
    yield _Lump(layout.ring - layout.fold, known["ring", rows.ring.code], layout.width / 4)
    fold = known.get((rows.fold_fastener.kind, rows.fold_fastener.code), 0.0)
    tab = known.get((rows.tab_fastener.kind, rows.tab_fastener.code), 0.0)
    yield from (_Lump(x - layout.fold, fold) for x in layout.rivets[2:])
    for x in layout.tab_rivets:
        yield _Lump(x - layout.fold, tab)
    stud = 0.0 if rows.stud is None else known.get(("stud", rows.stud.code), 0.0)
    yield from (_Lump(mark.x - layout.fold, stud) for mark in pattern.strap.marks if mark.kind == "stud")
    places = (mark.x - layout.fold for mark in pattern.strap.marks if mark.kind == "plate")
    for one, x in zip(rows.plates, places, strict=True):
        fastener = known.get((one.fastener.kind, one.fastener.code), 0.0)
        yield _Lump(x, known.get(("plate", one.plate.code), 0.0) + 2 * fastener)
    for part in pattern.parts:
        if part.name == "keeper" and layout.keeper is not None:
            yield _Lump(layout.keeper - layout.fold, part_mass(part))
        elif part.name == "sliding-keeper":
            # Where it stays when the tail is pushed home: just before the tip narrows.
            yield _Lump(layout.length - layout.target - layout.taper - part.width, part_mass(part))


def _of_run(run: _Run, flat: float) -> tuple[float, float]:
    """First moment of an even run round a circle [g of radius]: the integral of cosine and sine along it."""
    start, end = tau * run.start / flat, tau * run.end / flat
    scale = run.per_mm * flat / tau
    return scale * (sin(end) - sin(start)), scale * (cos(start) - cos(end))


def _of_lump(lump: _Lump, flat: float) -> tuple[float, float]:
    turn = tau * lump.at / flat
    pull = lump.grams * (1 + lump.out * tau / flat)
    return pull * cos(turn), pull * sin(turn)
