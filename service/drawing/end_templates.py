"""The pair of end templates to print and keep: both ends of the strap at full scale, and the chart of blanks.

They hang on style, width and hardware alone; what a dog changes is a line of the chart.
"""

from collections.abc import Iterator, Sequence

from service.design import CollarPattern, EndTemplates, Part, SizeRow, TipEnd
from service.drawing.callouts import Callout
from service.drawing.correction import AS_IT_IS, Correction
from service.drawing.info_page import STEPS, Heading, first_pages
from service.drawing.pattern_sheet import PAD, distance, marked, part_block, titled
from service.drawing.pdf_writer import Layer, Page, write_pdf
from service.drawing.sheet import SADDLE, SOFT, Block, Item, Text, moved
from service.drawing.text_blocks import Column, Setting, paragraphs, spread, table
from service.drawing.tiles import FOOT, LANDSCAPE, MARGIN, SheetPaper, printable, sheet_foot
from service.drawing.typeface import shortened
from service.language import mark, tr
from service.units import System, show_inches, show_length, show_mm

BETWEEN = 6.0
"""Between two templates one under the other [mm]."""
NAME, CLEAR = 2.1, 2.0
"""Size of the name in a template, and how far it keeps from its edges and lines [mm]."""
USE = (
    mark("Glue the templates to card, cut them out, and pierce the middles of the holes."),
    mark("Cut a blank as long as the chart says, and draw both lines across it."),
    mark("Lay each end on its line and mark. Set the ring by the chart."),
)
FLAT_IS = {
    "existing-collar": mark("Flat is what the existing collar measures, from its fold to the hole in use."),
    "tape-two-fingers": mark(
        "Flat is the tape's measure, with two fingers under it, + {added} for leather and buckle, and + or -"
        " what other fingers change."
    ),
    "tape-snug": mark(
        "Flat is the snug tape's measure + the room for the fingers + {added} for leather and buckle."
    ),
}
"""How flat comes from a measure, by the way of measuring."""
LINED = mark(
    "Flat is what the existing collar measures, from its fold to the hole in use, + {added} for the lining."
)
"""The same where a lined collar is made to match one that isn't."""
CHART = (
    Column(0.0, 0.2, weight="bold"),
    Column(0.0, 0.2, "end", "bold"),
    Column(0.0, 0.2, "end", colour=SOFT, before=0.6),
    Column(0.0, 0.2, "end"),
    Column(0.0, 0.2, "end"),
)


def templates_pdf(
    pattern: CollarPattern,
    made: EndTemplates,
    heading: Heading,
    name: str,
    paper: SheetPaper,
    correction: Correction = AS_IT_IS,
) -> bytes:
    """Return the templates of a pattern's ends with the chart as PDF; `name` tells them from others."""
    width, height = LANDSCAPE[paper]

    def said(setting: Setting, high: float) -> Iterator[Block]:
        return _said(pattern, made, heading.system, setting, high)

    firsts = first_pages(heading, said, (*map(tr, STEPS), *map(tr, USE)), printable(paper))
    pages = [Page(width, height, (Layer(first.items, MARGIN, MARGIN),)) for first in firsts]
    wide, high = printable(paper)
    sheets = _sheets(tuple(_templates(pattern, made, name, (-PAD, wide - PAD))), high - FOOT)
    for number, items in enumerate(sheets, 1):
        which = tr("Templates {number} of {count}", number=number, count=len(sheets))
        said_under = tr("Print at 100 %, no scaling.")
        foot = tuple(sheet_foot((width, height), which, said_under, (heading.title, heading.shop)))
        pages.append(Page(width, height, (Layer(items, MARGIN + PAD, MARGIN), Layer(foot))))
    subject = tr("End templates from {shop}: print at 100 %", shop=heading.shop)
    return write_pdf(pages, heading.title, subject, correction)


def _sheets(blocks: Sequence[Block], room: float) -> tuple[tuple[Item, ...], ...]:
    """Templates one under the other, as many to a sheet as have room [mm]."""
    sheets: list[list[Item]] = [[]]
    y = 0.0
    for block in blocks:
        if y and y + block.height > room:
            sheets.append([])
            y = 0.0
        sheets[-1].extend(moved(block.items, 0.0, y))
        y += block.height + BETWEEN
    return tuple(map(tuple, sheets))


def _templates(
    pattern: CollarPattern, made: EndTemplates, name: str, edges: tuple[float, float]
) -> Iterator[Block]:
    buckle, fold = made.buckle, pattern.layout.fold
    names = (
        Callout(0.0, (tr("Cut end"),)),
        *marked(pattern, buckle.marks),
        Callout(buckle.length, (tr("Lay on the line"), tr("at {length}", length=show_mm(buckle.length)))),
    )
    facts = tr("{name}; grain side up, distances from the buckle end", name=name)
    below = tuple(distance(x, x) for x in _places(buckle))
    title = tuple(titled(tr(buckle.title), facts))
    block = part_block(buckle, title, names, below, trims=edges)
    yield _named(block, buckle, f"{tr(buckle.title)}: {name}", (fold, buckle.length))
    for tip in made.tips:
        yield _tip(tip, name, edges, pattern.layout.taper)


def _places(part: Part) -> list[float]:
    """Both ends of a template and of each slot on it, and the middle of all else [mm]."""
    places = {0.0, part.length}
    for one in part.marks:
        half = (one.length or 0.0) / 2 if one.kind == "slot" else 0.0
        places |= {one.x - half, one.x + half}
    return sorted(places)


def _tip(tip: TipEnd, name: str, edges: tuple[float, float], taper: float) -> Block:
    part = tip.part
    called = tr("Tip end, holes {pitch} apart", pitch=show_mm(tip.pitch, 2))
    facts = tr("{name}; grain side up, distances from the tip", name=name)
    if tip.left:
        facts = tr("{facts}; mark the other holes on from these", facts=facts)
    line = tr("Lay on the line"), tr("{length} before the tip", length=show_mm(part.length))
    diameter = show_mm(part.marks[0].diameter or 0.0)
    names = [Callout(0.0, line), Callout(part.length, (tr("Tip"),))]
    for number, hole in enumerate(part.marks, 1):
        if number == 1 or number in tip.counts:
            said = tr("Hole 1 of {count}", count=number) if number > 1 else tr("Last hole")
            names.append(Callout(hole.x, (said, f"ø {diameter}")))
    below = tuple(distance(x, part.length - x) for x in _places(part))
    block = part_block(part, tuple(titled(called, facts)), names, below, trims=edges)
    return _named(block, part, f"{called}: {name}", (0.0, part.length - taper))


def _named(block: Block, part: Part, said: str, run: tuple[float, float]) -> Block:
    """The same with its name on it, in a run of the part [mm]: it is cut out of all that is round it."""
    outline = next(item for item in block.items if not isinstance(item, Text) and item.name == part.name)
    start, end = run[0] + CLEAR, run[1] - CLEAR
    at = start, outline.box[3] - CLEAR + NAME * 0.3
    text = Text(shortened(said, end - start, NAME), at, NAME, colour=SADDLE)
    return Block((*block.items, text), block.width, block.height)


def _said(
    pattern: CollarPattern, made: EndTemplates, system: System, setting: Setting, height: float
) -> Iterator[Block]:
    """How a blank comes about, and the chart in as many tables as there are columns to fill."""
    yield (above := paragraphs(tr("How a blank comes about"), tuple(_constants(pattern, made)), setting))
    head = tr("Neck"), tr("Blank"), "", tr("Holes"), tr("Ring at")
    rows = [_row(row, system) for row in made.chart]
    columns = spread(CHART, (head, *rows), setting)
    room, start = height - above.height, 0
    while start < len(rows):
        title = tr("Size chart")
        empty = table(title, columns, (head,), setting).height
        here = max(1, int((room - empty) // setting.line))
        yield table(title, columns, (head, *rows[start : start + here]), setting)
        room, start = height, start + here


def _row(row: SizeRow, system: System) -> tuple[str, ...]:
    sign = " *" if row.reaches_ring else ""
    return (
        show_length(row.neck, system),
        show_mm(row.length),
        show_inches(row.length),
        f"{row.holes} × {show_mm(row.pitch, 2)}{sign}",
        show_mm(row.ring),
    )


def _constants(pattern: CollarPattern, made: EndTemplates) -> Iterator[str]:
    layout = pattern.layout
    fold, tip = show_mm(layout.fold), show_mm(layout.tip)
    if pattern.spec.measured == "existing-collar" and made.added.lining:
        yield tr(LINED, added=show_mm(made.added.lining))
    else:
        yield tr(FLAT_IS[pattern.spec.measured], added=show_mm(made.added.all))
    plans = sorted({(row.pitch, row.holes) for row in made.chart}, reverse=True)
    for n, (pitch, holes) in enumerate(plans):
        more = layout.fold + (holes - 2) * pitch + layout.tip
        said = {"more": f"{show_mm(more)} ({show_inches(more)})", "holes": holes, "pitch": show_mm(pitch, 2)}
        if n:
            yield tr("With {holes} holes {pitch} apart: flat + {more}.", **said)
        else:
            yield tr(
                "Blank = flat + {more} with {holes} holes {pitch} apart: {fold} to the fold, {between} from"
                " the second hole to the last, {tip} to the tip.",
                fold=fold,
                between=show_mm((holes - 2) * pitch),
                tip=tip,
                **said,
            )
    if layout.tab_rivets and layout.tab_rivets[0] > layout.ring:
        yield tr(
            "Ring at = {fold} + half of flat. The rivets of its tab stand {reach} and {further} behind it.",
            fold=fold,
            reach=show_mm(layout.tab_rivets[0] - layout.ring),
            further=show_mm(layout.tab_rivets[1] - layout.ring),
        )
    elif layout.tab_half:
        yield tr(
            "Ring at = {fold} + half of flat. The rivets of its tab stand {reach} either side of it.",
            fold=fold,
            reach=show_mm(layout.tab_reach),
        )
    else:
        yield tr("The ring hangs in the fold, between its rivets: put it in before they are set.")
    yield tr("Holes are numbered from the buckle. The dog wears hole 2; only hole 1 is tighter.")
    if any(row.reaches_ring for row in made.chart):
        if layout.tab_half:
            yield tr("* On the tightest hole the tail reaches the ring tab and lifts it.")
        else:
            yield tr("* On the tightest hole the tail reaches half way round, to the nape.")
