"""Lined and padded collars: the lining inside the strap's edge, the seam that holds it, and its thread."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise
from math import dist, inf

from service.design.fit import lining_adds
from service.design.pattern import Cut, Finding, Fittings, Layout, Mark, Part
from service.design.spec import Collar
from service.design.taper import HOLE_CLEAR, LEG_CLEAR
from service.errors import DoesNotFit, Suggestion
from service.geometry import End, Point, cut_out, inside, mirrored, upper_edge
from service.language import mark
from service.saying import Exact, Figure, Length, Limit, Message, OffSpool, say
from service.units import IN, TICKET
from service.workshop import Lining, Thread

LINING_IN = 2.0
"""A lining is cut this far inside the strap's edge [mm], and begins so far behind the slot. Common
practice."""
SEAM_IN = 3.0
"""The seam runs this far in from the strap's edge [mm]. Common practice."""
FROM_SEAM = 1.0
"""Decoration keeps this far [mm] from the seam. From memory."""
PADDING_IN = 2.0
"""Padding keeps this far [mm] from the seam: no needle goes through it. From memory."""
BETWEEN = 6.0
"""Between both edges' seams, and across the padding, this much is left [mm] at the least. From memory."""
STITCH_HOLE = 1.0
"""Diameter of the hole that a stitch is sewn through [mm]. From memory."""
PADDED_LEAST = 50.0
"""Padding shorter than this [mm] is not worth sewing in. By eye."""
ENDS = 400.0
"""Thread beyond what the stitches take [mm]: two needles threaded, three stitches sewn back. From memory."""
FAR = 1000.0
"""Longer than any tip [mm]."""
SAME = 1e-6
"""A hole lies on the end of a line where it misses it by no more than this [mm]."""
NO_LINING = Suggestion("lining", "", say("no lining"))


@dataclass(frozen=True, slots=True)
class Sewn:
    """A seam: so many `stitches`, each so long, and the `thread` it takes, in mm."""

    stitches: int
    stitch: float
    thread: float


def guard_lining(width: float, lining: Lining | None) -> None:
    """Raise DoesNotFit when a strap of this width [mm] is too narrow for what it is lined with.

    Source: common practice: both seams 3 mm in. Worked: 6 mm between them: 12 mm, and 16 mm where it is
    padded.
    """
    if lining is None:
        return
    least = 2 * (SEAM_IN + (PADDING_IN if lining.padding else 0.0)) + BETWEEN
    if width >= least:
        return
    if lining.padding:
        message = say("Padding between two seams takes a strap {width} wide.", width=Limit(least, "least"))
    else:
        message = say(
            "A lining with a seam along both edges takes a strap {width} wide.", width=Limit(least, "least")
        )
    raise DoesNotFit(field="lining", message=message, would_work=(NO_LINING,))


def padded_run(lining: Lining | None, leg: float, tightest: float) -> tuple[float, float] | None:
    """Return from where to where a strap is padded [mm from the buckle end], or None.

    `leg` is where the folded leg ends, `tightest` the edge of the tightest hole. Source: common practice: the
    ends stay thin. Worked: leg 127, hole's edge 519 mm: 130 to 513 mm. Raises DoesNotFit where that is too
    short.
    """
    if lining is None or not lining.padding:
        return None
    start, end = leg + LEG_CLEAR, tightest - HOLE_CLEAR
    if end - start < PADDED_LEAST:
        message = say("Between the folded end and the holes there is no room for padding.")
        raise DoesNotFit(field="lining", message=message, would_work=(NO_LINING,))
    return start, end


def lining_parts(layout: Layout, end: End, lining: Lining | None) -> tuple[Part, ...]:
    """Return what is cut to line a strap: the lining, and the padding where there is some; none without.

    Source: common practice: 2 mm inside the edge, from behind the slot to the tip. Worked: a strap 25.4 mm
    wide has a lining of 21.4 mm.
    """
    if lining is None or layout.lined is None:
        return ()
    upper = _within(layout, end, LINING_IN, layout.lined)
    parts = [_part("lining", mark("Lining"), upper, lining.thickness)]
    if layout.padded is not None:
        start, stop = layout.padded
        upper = _within(layout, end, SEAM_IN + PADDING_IN, start, stop)
        parts.append(_part("padding", mark("Padding"), upper, lining.padding))
    return tuple(parts)


def _part(name: Cut, title: str, upper: tuple[Point, ...], thickness: float) -> Part:
    start = upper[0][0]
    edge = tuple((x - start, y) for x, y in upper)
    widest = 2 * max(y for _, y in edge)
    return Part(name, title, 1, edge[-1][0], widest, thickness, mirrored(edge), (), name)


def seam_mark(layout: Layout, end: End, thread: Thread | None) -> tuple[Mark, ...]:
    """Return the seam that holds the lining: along both edges and round the tip, in whole stitches.

    Source: common practice: 3 mm in from the edge. It is open at the buckle, where the fold's rivets hold the
    lining. Worked: a line of 1000 mm in stitches of 4 mm: 250; of 1001 mm: 250 of 4.004 mm.
    """
    if thread is None or layout.lined is None:
        return ()
    upper = _within(layout, end, SEAM_IN, layout.lined + SEAM_IN)
    lower = tuple((x, -y) for x, y in reversed(upper) if y > 0)
    line = (*upper, *lower)
    start, tip = upper[0][0], upper[-1][0]
    count = max(1, round(_long(line) / thread.stitch))
    return (Mark("stitch", (start + tip) / 2, length=tip - start, count=count, line=line),)


def seam_in(marks: Iterable[Mark]) -> Mark | None:
    """Return the seam among marks, or None. Source: derived. Worked: of a collar that isn't lined: None."""
    return next((one for one in marks if one.kind == "stitch"), None)


@lru_cache(maxsize=256)
def stitch_of(mark: Mark) -> float:
    """Return how long each stitch of a seam is [mm]. Source: derived. Worked: 1001 mm in 250: 4.004 mm."""
    return _long(mark.line) / (mark.count or 1)


def stitch_holes(mark: Mark) -> tuple[Point, ...]:
    """Return the holes of a seam's stitches [mm], the first one and the last one too.

    Source: derived. Worked: 250 stitches go through 251 holes.
    """
    stitch = stitch_of(mark)
    holes, gone = [mark.line[0]], 0.0
    for (x0, y0), (x1, y1) in pairwise(mark.line):
        size = dist((x0, y0), (x1, y1))
        while size and gone + size >= len(holes) * stitch - SAME and len(holes) <= (mark.count or 0):
            share = min(1.0, (len(holes) * stitch - gone) / size)
            holes.append((x0 + share * (x1 - x0), y0 + share * (y1 - y0)))
        gone += size
    return tuple(holes)


def _long(line: tuple[Point, ...]) -> float:
    return sum(map(dist, line, line[1:]))


def _within(layout: Layout, end: End, by: float, start: float, stop: float = inf) -> tuple[Point, ...]:
    if layout.swell is None:
        half, tip = layout.width / 2 - by, _tip(end, layout.width, by)
        if stop <= layout.length + tip[0][0]:
            return (start, half), (stop, half)
        return (start, half), *((layout.length + x, y) for x, y in tip)
    return cut_out(inside(upper_edge(layout.length, layout.width, end, layout.swell), by), start, stop)


@lru_cache(maxsize=256)
def _tip(end: End, width: float, by: float) -> tuple[Point, ...]:
    """So far inside a straight strap's end, x from its tip: the same for every length."""
    _, *tip = inside(upper_edge(FAR, width, end), by)
    return tuple((x - FAR, y) for x, y in tip)


def sewn(marks: tuple[Mark, ...], fittings: Fittings) -> Sewn | None:
    """Return what the seam among marks takes of thread, or None where nothing is sewn.

    For each stitch both threads go along the leather once and through it once, in a saddle stitch as in a
    lockstitch. Source: derived, 2 (p + t) a stitch; 400 mm for the ends, from memory. Worked: 250 stitches
    of 4 mm through 4 mm: 4000 + 400 mm.
    """
    seam = seam_in(marks)
    if seam is None or not seam.count:
        return None
    stitch = stitch_of(seam)
    return Sewn(seam.count, stitch, 2 * seam.count * (stitch + fittings.thickness) + ENDS)


def thread_size(tex: float) -> Message:
    """Return the size of a thread as it may be sold.

    Source: metric ticket = 3000 / tex. Worked: "Tex 40 (metric ticket 75)".
    """
    return say("Tex {tex} (metric ticket {ticket})", tex=Figure(tex), ticket=Figure(round(TICKET / tex)))


def lining_findings(spec: Collar, fittings: Fittings, marks: tuple[Mark, ...]) -> tuple[Finding, ...]:
    """Return what to know of a lined collar: its seam, its thread, the order of making it, its girth.

    Source: common practice; derived. Worked: not lined: nothing.
    """
    seam, thread = sewn(marks, fittings), fittings.thread
    if seam is None or thread is None:
        return tuple(_unseen(spec))
    text = say(
        "Sewn {inset} in from the edge with {count} stitches {stitch} long, {per_inch} to the inch: about"
        " {length} of {thread}, {size}. What has a back goes on before the lining covers it: ring tab, studs,"
        " plates. Then cement, stitch, punch the holes through both, and fold the buckle end last.",
        inset=Exact(SEAM_IN),
        count=seam.stitches,
        stitch=Exact(seam.stitch, 2),
        per_inch=Figure(round(IN / seam.stitch, 1)),
        length=OffSpool(seam.thread),
        thread=thread.name,
        size=thread_size(thread.tex),
    )
    source = mark("common practice; derived: how much thread it takes")
    return Finding("lined", "advice", text, source, "lining"), *_copied(spec, fittings)


def _unseen(spec: Collar) -> Iterator[Finding]:
    if spec.thread:
        text = say("Stitches hold a lining, and this collar has none: choose one to see them.")
        yield Finding("thread-unseen", "note", text, mark("derived"), "thread")


def _copied(spec: Collar, fittings: Fittings) -> Iterator[Finding]:
    """That a lined collar is made longer than the one it is made to match."""
    more = lining_adds(fittings.lining)
    if spec.measured == "existing-collar" and more:
        text = say(
            "The collar that was measured is taken to have no lining. This one is made {more} longer, so that"
            " there is as much room inside it. Was the old one lined as thickly? Then measure the neck with a"
            " tape instead.",
            more=Length(more),
        )
        yield Finding("lined-longer", "note", text, mark("derived"), "measured")
