"""Where a long pattern is cut into rows of a page: beside what is punched or stamped, never through it."""

from collections.abc import Iterator
from math import ceil

from service.design import Mark, Pattern
from service.drawing.bench_marks import OVERHANG
from service.drawing.letters import contours

Span = tuple[float, float]

CLEAR = 1.0
"""A row ends this far [mm] from what it must not cut."""
LEAST = 1 / 3
"""No row but the last is narrower than this share of the page, or letters would each get a row."""


def row_cuts(pattern: Pattern, length: float, width: float) -> tuple[float, ...]:
    """Return where along the strap [mm] rows end that are at most `width` [mm] wide, of about one width.

    `length` [mm] is what the rows hold together. Lettering stays whole where a row can hold it, and else ends
    between two letters.
    Source: derived. Worked: 500 mm with nothing on it, in rows of 190 mm, end at 166.7 and 333.3 mm.
    """
    whole, letters = tuple(_spans(pattern, width)), tuple(_letters(pattern))
    cuts: list[float] = []
    start = 0.0
    while length - start > width:
        wanted = start + (length - start) / ceil((length - start) / width)
        allowed = (start + LEAST * width, start + width)
        start = _clear(whole, wanted, allowed) or _clear(letters, wanted, allowed) or allowed[1]
        cuts.append(start)
    return tuple(cuts)


def _clear(spans: tuple[Span, ...], wanted: float, allowed: Span) -> float | None:
    """The place nearest to the one that is wanted which lies in no span; or none."""
    places = (wanted, *(x for left, right in spans for x in (left - CLEAR, right + CLEAR)))
    free = (
        x
        for x in places
        if allowed[0] <= x <= allowed[1] and not any(left < x < right for left, right in spans)
    )
    return min(free, key=lambda x: abs(x - wanted), default=None)


def _spans(pattern: Pattern, width: float) -> Iterator[Span]:
    """From where to where on the strap each thing reaches; lettering as one where a row can hold it."""
    for mark in pattern.strap.marks:
        if mark.kind in ("groove", "border", "lacing", "stitch"):
            continue
        if mark.kind != "lettering":
            half = max(mark.diameter or 0.0, mark.length or 0.0) / 2 + OVERHANG
            yield mark.x - half, mark.x + half
        elif mark.length is not None and mark.length + 2 * CLEAR <= width:
            yield mark.x - mark.length / 2, mark.x + mark.length / 2
    yield from _letters(pattern)


def _letters(pattern: Pattern) -> Iterator[Span]:
    for mark in pattern.strap.marks:
        if mark.kind == "lettering":
            yield from _letters_of(mark, pattern)


def _letters_of(mark: Mark, pattern: Pattern) -> Iterator[Span]:
    """From where to where each contour reaches: a curve stays among its control points."""
    stamps = pattern.fittings.stamps
    if stamps is None or mark.text is None or mark.height is None:
        return
    for shape in contours(mark.text, (mark.x, mark.y), mark.height, stamps.gap, stamps.advances):
        xs = [shape.start[0], *(x for step in shape.steps for x, _ in step)]
        yield min(xs), max(xs)
