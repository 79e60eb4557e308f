"""Strips to lay along the blanks of an order: every place that is marked on each, with its name."""

from collections.abc import Iterator

from service.design import Part, Pattern, collar_in
from service.drawing.callouts import Callout, depth, drawn, stagger
from service.drawing.correction import AS_IT_IS, Correction
from service.drawing.info_page import STEPS, Heading
from service.drawing.pattern_sheet import named_studs, post_for_rivet
from service.drawing.pdf_writer import write_pdf
from service.drawing.sheet import CUT, SADDLE, Path, Text, polyline
from service.drawing.strips import PIECE, Said, Strip, seams, strip_pages
from service.drawing.tiles import SheetPaper
from service.drawing.typeface import shortened
from service.language import mark, tr
from service.units import show_cut, show_inches, show_mm

TICK = 5.0
"""Length of a tick from the edge that lies along the blank [mm]."""
TOP = 3.0
"""Above the highest label, for the strip's name [mm]."""
NAME, INSET = 2.0, 3.0
"""Size of that name, and how far in it stands [mm]."""
BEYOND = 0.8
"""A label this far [mm] past an end is off the strip."""
LONG = 300.0
"""What is longer [mm] is on more than one sheet of its pattern. Derived: A4 and Letter across."""
JOIN = (
    mark("Cut out the strips along their outlines."),
    mark("Lay the end of each on the tab of the next, up to its line: triangles meet. Glue or tape it."),
)
MEASURE = mark("Measure it from the line of 0 to its end: {length}.")
MEASURE_EACH = mark("Measure each from the line of 0 to its end: {lengths}.")
LAY = mark("Lay its lower edge along the blank, the line of 0 at the end it names, and mark at every tick.")


def strip_pdf(
    pattern: Pattern, heading: Heading, paper: SheetPaper, correction: Correction = AS_IT_IS
) -> bytes:
    """Return the marking strips of a pattern as PDF, in pieces to join: of its strap, and what else is long.

    What isn't is marked from the pattern itself.
    """
    further = (part for part in pattern.parts[1:] if part.length > LONG and pattern.stations_on(part))
    parts = pattern.strap, *further
    if len(parts) == 1:
        names, measure = [heading.title], tr(MEASURE, length=show_cut(pattern.strap.length, "metric"))
    else:
        names = [f"{_named(part)}, {heading.title}" for part in parts]
        lengths = "; ".join(f"{_named(part)} {show_cut(part.length, 'metric')}" for part in parts)
        measure = tr(MEASURE_EACH, lengths=lengths)
    strips = [marking_strip(pattern, part, name) for part, name in zip(parts, names, strict=True)]
    steps = *map(tr, JOIN), measure, tr(LAY)
    summary = tuple(f"{name}: {value}" for name, value in heading.summary)
    beside = ((tr("How to use it"), steps), (tr("For this design"), summary))
    said = Said(heading.shop, heading.title, tuple(map(tr, STEPS)), beside)
    subject = tr("Marking strip from {shop}: print at 100 %", shop=heading.shop)
    return write_pdf(strip_pages(strips, paper, said), heading.title, subject, correction)


def _named(part: Part) -> str:
    return tr(part.title) if part.quantity == 1 else f"{part.quantity} × {tr(part.title)}"


def marking_strip(pattern: Pattern, part: Part, called: str) -> Strip:
    """Return the strip of a part: as long as its blank, a tick and a name at every station.

    Each piece is named `called`: they are cut out of all that is round them.
    """
    length, ends = part.length, seams(part.length)
    # No label beyond the ends either: there the strip is cut off.
    labels = stagger(tuple(_labels(pattern, part)), (-BEYOND, 0.0, *ends, length, length + BEYOND))
    height = TOP + depth(labels) + TICK
    places = sorted({row.x for row in pattern.stations_on(part)} - {length})
    ticks = tuple(polyline((x, height), (x, height - TICK)) for x in places)
    names = (
        Text(f"{number}  {shortened(called, PIECE / 2, NAME)}", (x + INSET, NAME * 1.2), NAME, colour=SADDLE)
        for number, x in enumerate((0.0, *ends), 1)
    )
    items = (Path(CUT, ticks, "station"), *drawn(labels, 0.0, height - TICK, -1), *names)
    return Strip(length, height, items)


def _labels(pattern: Pattern, part: Part) -> Iterator[Callout]:
    """Of studs one for each run; where there are two names, both."""
    yield from named_studs(part)
    of_collar = part is pattern.strap and collar_in(pattern)
    named: dict[float, list[str]] = {0.0: [tr("0, buckle end") if of_collar else tr("0, left end")]}
    for row in pattern.stations_on(part):
        if row.name != tr("Stud"):
            named.setdefault(row.x, []).append(post_for_rivet(row.name, pattern))
    for x, names in named.items():
        sizes = (f"{show_mm(x)}, {show_inches(x)}",) if x else ()
        yield Callout(x, (*names, *sizes))
