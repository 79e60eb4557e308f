"""Many dogs on one print: what is cut for each as a list, and behind it everybody's marking strip."""

from collections.abc import Iterator, Sequence

from service.design import CollarPattern
from service.drawing.correction import AS_IT_IS, Correction
from service.drawing.info_page import STEPS, Heading, first_pages
from service.drawing.marking_strip import JOIN, LAY, marking_strip
from service.drawing.pdf_writer import Layer, Page, write_pdf
from service.drawing.sheet import Block
from service.drawing.strips import strip_sheets
from service.drawing.text_blocks import Column, Setting, table
from service.drawing.tiles import LANDSCAPE, MARGIN, SheetPaper, printable
from service.language import tr
from service.units import System, show_length, show_mm

COLUMNS = (
    Column(0.0, 0.27, weight="bold"),
    Column(0.44, 0.16, "end"),
    Column(0.565, 0.12, "end"),
    Column(0.735, 0.165, "end", "bold"),
    Column(0.9, 0.16, "end"),
    Column(1.0, 0.095, "end"),
)


def run_pdf(
    dogs: Sequence[tuple[str, CollarPattern]],
    heading: Heading,
    paper: SheetPaper,
    correction: Correction = AS_IT_IS,
) -> bytes:
    """Return the collars of many dogs, each with its name, as one PDF: the list, then the marking strips."""
    size = LANDSCAPE[paper]

    def said(setting: Setting, high: float) -> Iterator[Block]:
        return _said(dogs, heading.system, setting, high)

    steps = (*map(tr, STEPS), *map(tr, JOIN), tr(LAY))
    firsts = first_pages(heading, said, steps, printable(paper))
    strips = (marking_strip(pattern, pattern.strap, name) for name, pattern in dogs)
    pages = (
        *(Page(*size, (Layer(first.items, MARGIN, MARGIN),)) for first in firsts),
        *strip_sheets(strips, paper, (heading.title, heading.shop)),
    )
    subject = tr("Size run from {shop}: print at 100 %", shop=heading.shop)
    return write_pdf(pages, heading.title, subject, correction)


def _said(
    dogs: Sequence[tuple[str, CollarPattern]], system: System, setting: Setting, height: float
) -> Iterator[Block]:
    """The list in as many tables as there are columns to fill."""
    head = "", tr("Neck"), tr("Width"), tr("Blank"), tr("Holes"), tr("Ring")
    rows = [_row(name, pattern, system) for name, pattern in dogs]
    empty = table(tr("What is cut"), COLUMNS, (head,), setting).height
    here = max(1, int((height - empty) // setting.line))
    for start in range(0, len(rows), here):
        yield table(tr("What is cut"), COLUMNS, (head, *rows[start : start + here]), setting)


def _row(name: str, pattern: CollarPattern, system: System) -> tuple[str, ...]:
    spec, layout = pattern.spec, pattern.layout
    return (
        name,
        show_length(spec.neck, system),
        show_length(spec.width, system),
        show_mm(layout.length),
        f"{len(layout.holes)} × {show_mm(layout.pitch, 2).removesuffix(' mm')}",
        show_mm(layout.ring).removesuffix(" mm"),
    )
