"""Where a long pattern is cut into rows of a page: beside what is punched or stamped, never through it."""

from bisect import bisect_right
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from math import ceil, floor

from service.design import Mark, Part, Pattern
from service.drawing.bench_marks import OVERHANG
from service.drawing.letters import contours

Span = tuple[float, float]

CLEAR = 1.0
"""A row ends this far [mm] from what it must not cut."""
EMPTY, TRIES, MORE = 90.0, 9, 2
"""Rows may be longer together than the strap by so much [mm], in so many steps, and so many more. By eye."""
ASIDE = 1e-6
"""What is so far [mm] from a span is not in it."""
LEAST = 1 / 3
"""No row but the last is narrower than this share of the page, or letters would each get a row."""


def row_cuts(pattern: Pattern, length: float, width: float) -> tuple[float, ...]:
    """Return where along the strap [mm] rows end that are at most `width` [mm] wide, of about one width.

    `length` [mm] is what the rows hold together. Lettering stays whole where a row can hold it, and else ends
    between two letters.
    Source: derived. Worked: 500 mm with nothing on it, in rows of 190 mm, end at 166.7 and 333.3 mm.
    """
    whole, letters = tuple(_spans(pattern, width)), tuple(_letters(pattern))
    # Long parts lie one under another, all from the sheet's left; the main strap's marks matter most.
    every = *whole, *(span for part in pattern.parts[1:] if part.length > width for span in _on(part))
    cuts: list[float] = []
    start = 0.0
    while length - start > width:
        wanted = start + (length - start) / ceil((length - start) / width)
        allowed = (start + LEAST * width, start + width)
        start = (
            _clear(every, wanted, allowed)
            or _clear(whole, wanted, allowed)
            or _clear(letters, wanted, allowed)
            or allowed[1]
        )
        cuts.append(start)
    return tuple(cuts)


@dataclass(frozen=True, slots=True)
class Rows:
    """Rows of one width that a strap is shown in: where the first starts, how wide each is [mm], how many.

    The first may start before the strap, and the last end past it.
    """

    start: float
    size: float
    count: int

    def number(self, x: float) -> int:
        """Return in which row, from 0, a place of the strap is."""
        return min(self.count - 1, max(0, floor((x - self.start) / self.size)))

    def span(self, number: int) -> Span:
        """Return from where to where on the strap a row reaches [mm]."""
        left = self.start + number * self.size
        return left, left + self.size


def even_rows(pattern: Pattern, most: float) -> Rows:
    """Return rows of one width, at most `most` [mm], that end where nothing is on the strap, if any do.

    They are as few as that width allows, or one or two more. Lettering stays whole where that can be.
    Source: derived. Worked: 500 mm with nothing on it, in rows of at most 190 mm: three of 166.7 mm from 0.
    """
    length = pattern.strap.length
    fewest = max(1, ceil(length / most))
    even = Rows(0.0, length / fewest, fewest)
    if fewest == 1:
        return even
    # Lettering as one, at last with a row to spare, or else letter by letter.
    whole = _merged(_spans(pattern, most))
    return (
        _rows(whole, even, most, EMPTY)
        or _rows(whole, even, most, most)
        or _rows(_merged(_spans(pattern, 0.0)), even, most, most)
        or even
    )


def _rows(spans: tuple[list[float], list[float]], even: Rows, most: float, empty: float) -> Rows | None:
    """Rows of at most a width [mm] that end in no span, so much longer together than the strap at most."""
    length = even.count * even.size
    for count in range(even.count, even.count + MORE + 1):
        widest = min(most, (length + empty) / count)
        for wider in range(TRIES + 1):
            size = length / count + (widest - length / count) * wider / TRIES
            start = _start(spans, min(0.0, length - count * size), size, count)
            if start is not None:
                return Rows(start, size, count)
    return None


def _start(spans: tuple[list[float], list[float]], earliest: float, size: float, count: int) -> float | None:
    """Where so many rows may start so that none ends in a span: the nearest before 0, or None."""
    lefts, rights = spans
    start = 0.0
    while start >= earliest and start > -size:
        for number in range(1, count):
            cut = start + number * size
            at = bisect_right(lefts, cut)
            if at and cut < rights[at - 1]:
                start = lefts[at - 1] - ASIDE - number * size  # this row's end before what it would cut
                break
        else:
            return start
    return None


def _merged(spans: Iterable[Span]) -> tuple[list[float], list[float]]:
    """Where runs begin and where they end in which nothing may be cut, in their order."""
    lefts: list[float] = []
    rights: list[float] = []
    for left, right in sorted(spans):
        if rights and left - CLEAR < rights[-1]:
            rights[-1] = max(rights[-1], right + CLEAR)
        else:
            lefts.append(left - CLEAR)
            rights.append(right + CLEAR)
    return lefts, rights


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
        if mark.kind == "lap":
            yield mark.x - OVERHANG, mark.x + OVERHANG  # a line; its length is what comes to lie on it
            continue
        if mark.kind != "lettering":
            half = max(mark.diameter or 0.0, mark.length or 0.0) / 2 + OVERHANG
            yield mark.x - half, mark.x + half
        elif mark.length is not None and mark.length + 2 * CLEAR <= width:
            yield mark.x - mark.length / 2, mark.x + mark.length / 2
        else:
            yield from _letters_of(mark, pattern)


def _on(part: Part) -> Iterator[Span]:
    """From where to where each hole and stud of a further part reaches."""
    for mark in part.marks:
        if mark.diameter is not None:
            yield mark.x - mark.diameter / 2 - OVERHANG, mark.x + mark.diameter / 2 + OVERHANG


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
