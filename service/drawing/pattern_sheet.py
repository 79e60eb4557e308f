"""The pattern at full scale: every part with its marks, named above and measured below, on one sheet."""

from collections.abc import Callable, Iterator, Sequence
from itertools import pairwise
from math import inf

from service.design import KEEPER_CLOSING, MOTIFS, Mark, Part, Pattern, collar_in, seam_in, stitch_of
from service.drawing.bench_marks import OVERHANG, Place, part_items
from service.drawing.callouts import Callout, Placed, depth, drawn, stagger
from service.drawing.sheet import DIMENSION, SOFT, Block, Item, Path, Sheet, Text, moved, polyline
from service.drawing.typeface import text_width
from service.language import tr
from service.units import show_blank, show_inches, show_mm
from service.workshop import LetterStamps

PAD, PAD_Y, PAD_END = 8.0, 3.5, 2.0
"""Kept free at the sheet's left, at its top and foot, and behind everything on its right [mm]."""
CLEAR_OF_TRIM = 9.0
"""Small parts keep this far [mm] from where tiles are trimmed: match marks stand there."""
TITLE = 3.4
"""Size of a part's title [mm]."""
UNDER_TITLE = 1.2
FACTS = 2.5
NEAR = 1.5
"""Leaders end this far [mm] from the part."""
DATUM = 4.2
"""The line of distances lies this far [mm] under the part."""
LONGER = 20.0
"""Rows of parts that a sheet has no room for are tried so much longer [mm], again and again. Derived."""
BETWEEN, BESIDE = 5.0, 10.0
"""Least distance [mm] between parts one under another, and side by side."""


def post_for_rivet(text: str, pattern: Pattern) -> str:
    """Return a text with the name of what fastens this collar."""
    if pattern.spec.fastening != "screw-post":
        return text
    return text.replace(tr("Rivet"), tr("Post")).replace(tr("rivet"), tr("post"))


def bench_sheet(pattern: Pattern, trims: Sequence[float] = (), least: float = 0.0) -> Sheet:
    """Return the sheet with all parts at full scale, at least so high [mm].

    No label and no small part lies across a trim line of the tiles, at `trims` [mm] from the left.

    Worked: a 19 in collar 1 in wide: 8 mm, its strap of 698.5 mm, half of its last label, 2 mm: 714 mm wide.
    """
    rows = _rows(pattern, trims, least - 2 * PAD_Y)
    height = _height(rows) + 2 * PAD_Y
    spare = max(0.0, least - height) / 3
    items: list[Item] = []
    y = PAD_Y + spare
    for n, row in enumerate(rows):
        items.extend(moved(row.items, 0.0, y))
        y += row.height + BETWEEN + (0.0 if n else spare)
    return Sheet(max(row.width for row in rows) + PAD_END, max(least, height), tuple(items))


def _height(rows: Sequence[Block]) -> float:
    return sum(row.height for row in rows) + (len(rows) - 1) * BETWEEN


def _rows(pattern: Pattern, trims: Sequence[float], room: float) -> list[Block]:
    """All parts in rows, x from the sheet's left [mm]: as short as they can be where `room` is for them [mm].

    No shorter than the longest part; where no room is said, or none is enough, in as many rows as that gives.
    """
    blocks = [_part_block(pattern, part) for part in pattern.parts]
    limit = PAD + max(block.width for block in blocks)
    last = PAD + sum(block.width + BESIDE + 2 * CLEAR_OF_TRIM for block in blocks)
    rows = shortest = _packed(blocks, trims, limit)
    while _high(rows, blocks) > room > 0 and limit < last:
        limit += LONGER
        rows = _packed(blocks, trims, limit)
    if _high(rows, blocks) > room:
        rows = shortest
    return [_row(pattern, row, blocks, trims) for row in rows]


Row = list[tuple[int, float]]
"""Which parts lie side by side, each with its x from the sheet's left [mm]."""


def _high(rows: Sequence[Row], blocks: Sequence[Block]) -> float:
    return sum(max(blocks[n].height for n, _ in row) for row in rows) + (len(rows) - 1) * BETWEEN


def _packed(blocks: Sequence[Block], trims: Sequence[float], limit: float) -> list[Row]:
    """Each part in the first row that has room for it, up to the limit [mm]."""
    rows: list[Row] = []
    for part, block in enumerate(blocks):
        for row in rows:
            n, at = row[-1]
            x = _clear_of(trims, at + blocks[n].width + BESIDE, block.width, limit)
            if x + block.width <= limit:
                row.append((part, x))
                break
        else:
            rows.append([(part, _clear_of(trims, PAD, block.width, limit) if rows else PAD)])
    return rows


def _row(pattern: Pattern, row: Row, blocks: Sequence[Block], trims: Sequence[float]) -> Block:
    items: tuple[Item, ...] = ()
    width = height = 0.0
    for n, planned in row:
        # Labels that keep off trim lines may make the part before it longer than it was planned.
        x = max(planned, width + BESIDE) if items else planned
        block = blocks[n]
        across = tuple(trim - x for trim in trims if x < trim < x + block.width)
        if across:
            block = _part_block(pattern, pattern.parts[n], across)
        items = (*items, *moved(block.items, x, 0.0))
        width, height = x + block.width, max(height, block.height)
    return Block(items, width, height)


def _clear_of(trims: Sequence[float], x: float, width: float, limit: float) -> float:
    """The first place from x on where so wide a thing is whole on one tile; x where no tile is so wide."""
    longer = len(trims) > 1 and width > trims[1] - trims[0]
    for trim in trims:
        if x - CLEAR_OF_TRIM < trim < x + width + CLEAR_OF_TRIM:
            place = trim + CLEAR_OF_TRIM
            return x if longer or place + width > limit else place
    return x


def _part_block(pattern: Pattern, part: Part, trims: Sequence[float] = ()) -> Block:
    strap = part is pattern.strap
    head = tuple(_title(part, strap=strap, buckled=collar_in(pattern) is not None))
    names = tuple(_names(pattern, part))
    return part_block(part, head, names, tuple(_distances(pattern, part)), pattern.fittings.stamps, trims)


def part_block(
    part: Part,
    head: tuple[Item, ...],
    names: Sequence[Callout],
    distances: Sequence[Callout],
    stamps: LetterStamps | None = None,
    trims: Sequence[float] = (),
) -> Block:
    """Return a part at full scale under its title, with names above it and distances below.

    No label lies across a trim line, at `trims` from the part's left [mm].
    """
    above, below = stagger(tuple(names), trims), stagger(tuple(distances), trims)
    top = TITLE + UNDER_TITLE + depth(above) + NEAR + OVERHANG
    foot = top + part.width
    items = (
        *head,
        *drawn(above, 0.0, top - NEAR - OVERHANG, -1, NEAR),
        *part_items(part, Place(0.0, top + part.width / 2), stamps),
        *_datum(part, below, foot + DATUM),
        *drawn(below, 0.0, foot + DATUM, 1, DATUM - NEAR - OVERHANG),
    )
    width = max(part.length, *(item.box[2] for item in items if isinstance(item, Text)))
    return Block(items, width, foot + DATUM + depth(below))


def titled(name: str, facts: str) -> Iterator[Item]:
    """Yield a part's title: its name, and behind it what is to be known of it."""
    yield Text(name, (0.0, TITLE * 0.8), TITLE, "bold")
    yield Text(facts, (text_width(name, TITLE, "bold") + 3.0, TITLE * 0.8), FACTS, colour=SOFT)


def _title(part: Part, *, strap: bool, buckled: bool) -> Iterator[Item]:
    name = tr("{part}, cut {count}", part=tr(part.title), count=part.quantity)
    size = show_blank(part.length, part.width, "metric")
    inches, thickness = show_blank(part.length, part.width, "imperial"), show_mm(part.thickness)
    facts = tr("{size} ({inches}), {thickness} thick", size=size, inches=inches, thickness=thickness)
    if strap:
        if buckled:
            facts = tr("{facts}, grain side up; distances from the buckle end", facts=facts)
        else:
            facts = tr("{facts}, grain side up; distances from the left end", facts=facts)
    if strap and (insets := _grooves(part)):
        facts = tr("{facts}; grooves {insets} in from the edges", facts=facts, insets=insets)
    if seam := seam_in(part.marks):
        size = show_mm(stitch_of(seam), 2)
        facts = tr("{facts}; {count} stitches of {size}", facts=facts, count=seam.count, size=size)
    yield from titled(name, facts)


def _grooves(part: Part) -> str:
    """How far in from the edge each groove runs, in one phrase."""
    reaches = (
        max([abs(mark.y), *(abs(y) for _, y in mark.line)]) for mark in part.marks if mark.kind == "groove"
    )
    insets = sorted({round(part.width / 2 - reach, 1) for reach in reaches if reach})
    return ", ".join(map(show_mm, insets))


def _datum(part: Part, below: Sequence[Placed], y: float) -> Iterator[Item]:
    """The line along which distances are read, with a tick at each."""
    if not below:
        return
    ticks = (polyline((one.callout.x, y - NEAR), (one.callout.x, y)) for one in below)
    yield Path(DIMENSION, (polyline((0.0, y), (part.length, y)), *ticks))


def _distances(pattern: Pattern, part: Part) -> Iterator[Callout]:
    """From end to end of the strap; on a small part, whose title says its length, only of what is on it."""
    if part is pattern.strap:
        places = {0.0, part.length, *(row.x for row in pattern.stations)}
    else:
        places = {x for mark in part.marks for x in _ends_of(mark)}
    for x in sorted(places):
        yield distance(x, x)


def _ends_of(mark: Mark) -> tuple[float, ...]:
    """Where a mark is measured: a slit and what runs along an edge at both ends, a groove nowhere."""
    if mark.kind in ("slit", "border", "lacing") and mark.length is not None:
        return mark.x - mark.length / 2, mark.x + mark.length / 2
    return () if mark.kind in ("groove", "stitch") else (mark.x,)


def distance(x: float, shown: float) -> Callout:
    """Return the label under a place x [mm] that says a distance [mm]."""
    return Callout(x, ("0",) if shown == 0 else (show_mm(shown), show_inches(shown)))


def marked(pattern: Pattern, marks: Sequence[Mark]) -> Iterator[Callout]:
    """Yield the names of marks, those at one place together."""
    for x in sorted({mark.x for mark in marks if mark.kind in _NAMED}):
        here = [mark for mark in marks if mark.x == x]
        lines = [
            line for kind, name in _NAMED.items() for mark in here if mark.kind == kind for line in name(mark)
        ]
        # What stands above and below the centre line at one distance is named once.
        yield Callout(x, tuple(post_for_rivet(line, pattern) for line in dict.fromkeys(lines)))


def _names(pattern: Pattern, part: Part) -> Iterator[Callout]:
    if part is pattern.strap:
        yield Callout(0.0, (tr(pattern.ends[0]),))
        yield from named_studs(part)
    yield from marked(pattern, part.marks)


def _size(mm: float | None) -> str:
    return show_mm(mm or 0.0)


def _hole(mark: Mark) -> tuple[str, ...]:
    number = f"{mark.number}"
    return tr("{number}, target", number=number) if mark.target else number, f"ø {_size(mark.diameter)}"


def _lap(mark: Mark) -> tuple[str, ...]:
    if mark.name:  # that of a lead, which its rivets hold
        return (tr("Lap to this line"), _size(mark.length))
    return tr("Lap to this line, {length}:", length=_size(mark.length)), tr(KEEPER_CLOSING)


def _border(mark: Mark) -> tuple[str, ...]:
    count = mark.count or 0
    step = show_mm((mark.length or 0.0) / max(1, count), 2)
    return (
        tr("Border of {motif}", motif=MOTIFS[mark.name].name),
        tr("{count} stamps at {step}", count=count, step=step),
        tr("their middle {size} from the centre", size=_size(abs(mark.y))),
    )


def _lacing(mark: Mark) -> tuple[str, ...]:
    count = mark.count or 0
    step = show_mm((mark.length or 0.0) / max(1, count), 2)
    return (
        tr("{count} lace holes at {step}", count=count, step=step),
        f"ø {_size(mark.height)}",
        tr("their middle {size} from the centre", size=_size(abs(mark.y))),
    )


_NAMED: dict[str, Callable[[Mark], tuple[str, ...]]] = {
    "size-hole": _hole,
    "rivet-hole": lambda mark: (tr("Rivet"), f"ø {_size(mark.diameter)}"),
    "fold": lambda _mark: (tr("Fold"),),
    "slot": lambda mark: (tr("slot {length} × {width}", length=_size(mark.length), width=_size(mark.width)),),
    "ring": lambda _mark: (tr("Ring"),),
    "width": lambda mark: (tr(mark.name), tr("{width} wide", width=_size(mark.width))),
    "keeper": lambda mark: (tr("Keeper"), _size(mark.length)),
    "lap": _lap,
    "slit": lambda mark: (tr("Slit {length} along the lines", length=_size(mark.length)),),
    "border": _border,
    "lacing": _lacing,
    "code": lambda mark: (tr("Code, {size} across", size=_size(mark.length)),),
    "plate": lambda mark: (
        tr("Plate"),
        tr("{length} × {width}", length=_size(mark.length), width=_size(mark.width)),
    ),
    "lettering": lambda mark: (tr("Lettering"), tr("{height} stamps", height=_size(mark.height))),
}


def named_studs(strap: Part) -> Iterator[Callout]:
    """One name for each run of studs; every stud's distance is written below."""
    studs = [mark for mark in strap.marks if mark.kind == "stud"]
    rings = tuple(mark.x for mark in strap.marks if mark.kind == "ring")
    for places in _runs(tuple(dict.fromkeys(mark.x for mark in studs)), rings):
        run = [mark for mark in studs if mark.x in places]
        off = abs(run[0].y)
        yield Callout(
            places[0],
            (
                tr("Stud") if len(run) == 1 else tr("{count} studs in a run", count=len(run)),
                f"ø {_size(run[0].diameter)}",
                *((tr("their middle {size} from the centre", size=_size(off)),) if off else ()),
            ),
        )


def _runs(places: Sequence[float], rings: Sequence[float]) -> list[list[float]]:
    """Neighbours at one pitch with no ring between them, from left to right."""
    steps = {
        after: after - before
        for before, after in pairwise(places)
        if not any(before < ring < after for ring in rings)
    }
    pitch = min(steps.values(), default=0.0)
    runs: list[list[float]] = []
    for x in places:
        if runs and steps.get(x, inf) < pitch + 0.01:
            runs[-1].append(x)
        else:
            runs.append([x])
    return runs
