"""A paper tape to measure a dog with: millimetres and inches, in strips to cut out and join."""

from collections.abc import Iterator
from math import ceil

from service.drawing.correction import AS_IT_IS, Correction
from service.drawing.pdf_writer import write_pdf
from service.drawing.sheet import CUT, THIN, Item, Path, Text, polyline
from service.drawing.strips import Said, Strip, strip_pages
from service.drawing.tiles import SheetPaper
from service.language import mark, tr
from service.units import IN

LENGTH = 960.0
"""Of the tape [mm]: four pieces, longer than the longest neck that is read."""
HEIGHT = 18.0
"""Of the tape [mm]: common tapes are 13 to 20 mm wide. From memory."""
MM = {10: 5.5, 5: 4.0, 1: 2.6}
"""How long a tick is [mm] every so many millimetres."""
SIXTEENTHS = {16: 6.0, 8: 4.6, 4: 3.6, 2: 2.8, 1: 2.0}
"""The same every so many sixteenths of an inch."""
SIZE = 2.8
CM_BASE, IN_BASE = 8.2, 11.6
"""Where the numbers of either scale stand, from the upper edge [mm]."""
BEHIND = 0.7
"""A number stands so far [mm] before its line."""
STEPS = (
    mark("No scaling, and no fitting to the page."),
    mark(
        "Measure the inner square with a rule: it must be 100 mm. If it isn't, the tape is off too: set the"
        " printer right first."
    ),
)
JOIN = (
    mark("Cut out the four strips along their outlines."),
    mark(
        "Lay the end of each strip on the tab of the next, up to its line: the triangles' points meet, and so"
        " does every line. Glue or tape it."
    ),
    mark("Hold the tape by its grey end and read where the line of 0 comes to lie."),
)
MEASURE = (
    mark("Two fingers: the dog stands, the tape lies where the collar will sit, two fingers flat under it."),
    mark("Snug: the tape lies close to the skin, through the coat, without pressing."),
    mark("Measure twice. If the two differ, take the larger, and say how you measured."),
)


def tape_pdf(shop: str, paper: SheetPaper, correction: Correction = AS_IT_IS) -> bytes:
    """Return the tape as PDF in the reader's language: four pieces of 240 mm, and the check squares."""
    title = tr("A paper tape to measure your dog")
    beside = (
        (tr("Make it"), tuple(map(tr, JOIN))),
        (tr("How to measure"), tuple(map(tr, MEASURE))),
    )
    said = Said(shop, title, tuple(map(tr, STEPS)), beside)
    pages = strip_pages((Strip(LENGTH, HEIGHT, tuple(_scale())),), paper, said)
    return write_pdf(pages, title, tr("Measuring tape from {shop}: print at 100 %", shop=shop), correction)


def _scale() -> Iterator[Item]:
    """Each centimetre and each inch as one path, with its number before its line."""
    for cm in range(round(LENGTH / 10)):
        ticks = [(cm * 10 + mm, _tick(cm * 10 + mm, MM)) for mm in range(1, 11)]
        yield Path(THIN, tuple(polyline((x, 0.0), (x, long)) for x, long in ticks), "mm")
        yield _number(str(cm + 1), (cm + 1) * 10.0, CM_BASE)
    for inch in range(ceil(LENGTH / IN)):
        counts = [(inch * 16 + part, _tick(inch * 16 + part, SIXTEENTHS)) for part in range(1, 17)]
        lines = [(count / 16 * IN, long) for count, long in counts if count / 16 * IN < LENGTH]
        yield Path(THIN, tuple(polyline((x, HEIGHT), (x, HEIGHT - long)) for x, long in lines), "inch")
        yield _number(str(inch + 1), (inch + 1) * IN, IN_BASE)
    yield Text("cm", (1.0, CM_BASE), SIZE, "regular")
    yield Text("in", (1.0, IN_BASE), SIZE, "regular")
    yield Path(CUT, (polyline((0.0, 0.0), (0.0, HEIGHT)),), "zero")


def _tick(count: int, lengths: dict[int, float]) -> float:
    return next(long for every, long in lengths.items() if count % every == 0)


def _number(text: str, x: float, base: float) -> Text:
    return Text(text, (x - BEHIND, base), SIZE, "bold", "end")
