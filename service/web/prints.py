"""Prints besides the pattern, and what all prints take: the paper, and the correction for a printer."""

from collections.abc import Mapping
from dataclasses import dataclass
from http import HTTPStatus
from typing import Final, TypeVar, get_args

from anyio import to_thread
from starlette.requests import Request
from starlette.responses import Response

from service.design import CHOICE_NAMES, Collar, CollarPattern, Wish, end_templates, room_words, with_coat
from service.drawing import AS_IT_IS, Correction, Heading, Paper, SheetPaper, tape_pdf, templates_pdf
from service.errors import DesignError, DesignRefused, Suggestion, Unreadable, try_instead
from service.language import mark, tr, within
from service.saying import Exact, Figure, named, say
from service.typed import read_length
from service.units import show_both
from service.web.configurator import EXAMPLE_NECK, LETTER_PAPER, PAPERS
from service.web.family import shown
from service.web.fields import asked_kind, own_system, system_of
from service.web.house import house_of, origin
from service.web.page import Choice, FormField
from service.web.query import Asked, address, collar_design, design, linked, read_query
from service.web.words import title
from service.workshop import Workshop

PDF: Final = "application/pdf"
SHORTLY: Final = "private, max-age=60"
"""So long a drawing may be shown again without asking: only a change of workshop or service changes it."""
SHEETS: Final[tuple[SheetPaper, ...]] = ("a4", "letter")
ACROSS, DOWN = "square-across", "square-down"
SQUARES: Final = {ACROSS: mark("Square across"), DOWN: mark("Square down")}
"""What the check square of 100 mm measured on a print, across and down the page."""
LEAST, MOST = 97.0, 103.0
"""What it may have measured [mm]: more than 3 % off is no printer's error but a setting. From memory."""
SHEETS_ALONE: Final = ("/templates.pdf", "/tape.pdf")
"""Prints that are not made for a roll."""
OWN: Final = ("paper", ACROSS, DOWN)
"""The parameters of a print that are none of its design's: no link to the design carries them."""
AWAY: Final = (
    "weight",
    "lettering",
    "letters",
    "qr",
    "stamp",
    "border",
    "lacing",
    "studs",
    "stud_rows",
    "throat",
    "thread",
)
"""What of a design has no say in its ends."""

PAPER_NAMES: Final[dict[Paper, str]] = {
    "a4": mark("A4"),
    "letter": mark("Letter"),
    "roll": mark("One long sheet"),
}
WHOLE: Final = (mark("Pattern"), mark("every part of it"), "/pattern.pdf")
PRINTS: Final = (
    WHOLE,
    (
        mark("End templates and size chart"),
        mark("for this width and hardware, whatever the neck"),
        "/templates.pdf",
    ),
)
"""What can be printed of a design: what it is, of what, and where."""
TAPE: Final = (mark("Measuring tape"), mark("to measure a dog with, from paper"), "/tape.pdf")
STRIP: Final = (mark("Marking strip"), mark("to lay along the blank: each place with its name"), "/strip.pdf")
"""The same of what is printed for whoever measures, and for an order."""

AnyPaper = TypeVar("AnyPaper", bound=Paper)


def of_design(asked: Asked) -> Asked:
    """Return what was asked without what is the print's own."""
    for name in OWN:
        asked = asked.without(name)
    return asked


def paper_of(
    asked: Asked, papers: tuple[AnyPaper, ...], usual: AnyPaper
) -> tuple[AnyPaper, tuple[DesignError, ...]]:
    """Return the paper to print on, and what is wrong with what was asked for."""
    word = asked.given.get("paper", usual).strip()
    if word in papers and "paper" not in asked.repeated:
        return word, ()
    ways = tuple(Suggestion("paper", paper, named(tr(PAPERS[paper][0]))) for paper in papers)
    message = (
        say("Paper is one of a4, letter and roll, given once.")
        if "roll" in papers
        else say("Paper is one of a4 and letter, given once.")
    )
    return usual, (DesignError(field="paper", message=message, would_work=ways),)


def correction_of(asked: Asked) -> tuple[Correction, tuple[DesignError, ...]]:
    """Return the correction for a printer, and what is wrong with what was asked for."""
    found: dict[str, float] = {}
    wrong: list[DesignError] = []
    for name in SQUARES:
        text = asked.given.get(name, "").strip()
        if name in asked.repeated:
            wrong.append(DesignError(field=name, message=say("Give it once.")))
        elif text:
            try:
                found[name] = measured_square(name, text)
            except DesignError as fault:
                wrong.append(fault)
    usual = AS_IT_IS
    return Correction(found.get(ACROSS, usual.across), found.get(DOWN, usual.down)), tuple(wrong)


def measured_square(name: str, text: str) -> float:
    """Return what the square of 100 mm measured [mm], a bare number as millimetres.

    Raises DesignError for what can't be read, and for what no printer does. Worked: "99.2" is 99.2 mm.
    """
    try:
        measured = read_length(text, assume="mm").value
    except Unreadable as fault:
        message = try_instead(fault.reason, "99.2 mm")
        raise DesignError(field=name, message=message) from fault
    if LEAST <= measured <= MOST:
        return measured
    raise DesignError(
        field=name,
        message=say(
            "{measured} is more than a printer's error: set the printer to 100 %, no scaling, print again and"
            " measure the square anew. From {least} to {most} can be corrected.",
            measured=Exact(measured),
            least=Figure(LEAST),
            most=Exact(MOST),
        ),
    )


def usual_paper(workshop: Workshop) -> SheetPaper:
    """Return the paper that printers hold where a workshop is."""
    return "letter" if workshop.region in LETTER_PAPER else "a4"


async def templates_print(request: Request) -> Response:
    """The end templates of a style, width and hardware, with the chart; the neck may be left out."""
    house = house_of(request)
    workshop = house.workshop
    everything = read_query(request.scope["query_string"], house.settings.query_max)
    paper, wrong = paper_of(everything, SHEETS, "a4")
    correction, off = correction_of(everything)
    asked = of_design(everything)
    ends = asked
    for name in AWAY:
        ends = ends.without(name)
    if "neck" not in ends.given:
        ends = Asked({**ends.typed, "neck": EXAMPLE_NECK[workshop.units]}, ends.repeated)
    pattern = collar_design(ends, workshop, (*wrong, *off))
    link = origin(request) + address("/", linked(asked, workshop))
    printed = await to_thread.run_sync(
        made_templates, pattern, workshop, link, paper, correction, limiter=house.press
    )
    return download(printed, templates_name(pattern))


async def tape_print(request: Request) -> Response:
    """A paper tape to measure a dog with; a design that comes along, as from the page of prints, is left."""
    house = house_of(request)
    everything = read_query(request.scope["query_string"], house.settings.query_max)
    paper, wrong = paper_of(everything, SHEETS, usual_paper(house.workshop))
    correction, off = correction_of(everything)
    if wrong or off:
        raise DesignRefused((*wrong, *off))
    printed = await to_thread.run_sync(tape_pdf, house.workshop.name, paper, correction, limiter=house.press)
    return download(printed, "measuring-tape.pdf")


def made_templates(
    pattern: CollarPattern, rows: Workshop, link: str, paper: SheetPaper, correction: Correction
) -> bytes:
    """Return the print of a pattern's end templates, made from a workshop's rows."""
    name = ends_name(pattern, rows)
    heading = Heading(
        shop=rows.name,
        title=tr("End templates: {name}", name=name),
        price=None,
        link=link,
        system=own_system(rows),
        summary=_ends_summary(pattern, rows),
    )
    made = end_templates(pattern, rows.units)
    return templates_pdf(pattern, made, heading, name, paper, correction)


def ends_name(pattern: CollarPattern, rows: Workshop) -> str:
    """Return what tells templates from others: "1 in (25.4 mm), centre-bar buckle, solid brass, rivets"."""
    spec, system = pattern.spec, own_system(rows)
    return tr(
        "{width}, {style}, {metal}, {fastening}",
        width=show_both(spec.width, system),
        style=CHOICE_NAMES[spec.style].said(system),
        metal=within(pattern.fittings.finish.name),
        fastening=CHOICE_NAMES[spec.fastening].said(system),
    )


def _ends_summary(pattern: CollarPattern, rows: Workshop) -> tuple[tuple[str, str], ...]:
    """What both ends and the chart hang on, as names and values."""
    spec, fittings, system = pattern.spec, pattern.fittings, own_system(rows)
    leather = f"{fittings.leather.name}, {show_both(fittings.leather.thickness, 'metric')}"
    way = with_coat(CHOICE_NAMES[spec.measured], spec).said(system)
    return (
        (tr("Width"), show_both(spec.width, system)),
        (tr("Buckle"), fittings.buckle.name),
        (tr("Metal"), fittings.finish.name),
        (tr("Held by"), fittings.fold_fastener.name),
        (tr("End"), CHOICE_NAMES[spec.end].said(system)),
        (tr("Leather"), leather),
        (tr("Neck"), way),
        (tr("Room"), room_words(spec).said(system)),
    )


def templates_name(pattern: CollarPattern) -> str:
    """A name for the saved file, safe on every system: "end-templates-25.4-mm-centre-bar-brass.pdf"."""
    spec = pattern.spec
    return f"end-templates-{round(spec.width, 2):g}-mm-{spec.style}-{spec.finish}.pdf"


def download(body: bytes, name: str, media_type: str = PDF) -> Response:
    """Return a drawing that anybody may have, as a file of this name."""
    headers = {"Cache-Control": SHORTLY, "Content-Disposition": f'attachment; filename="{name}"'}
    return Response(body, headers=headers, media_type=media_type)


@dataclass(frozen=True, slots=True)
class PrintsPage:
    """Every print of a design, on which paper, and what the check square measured.

    `back` is the design's own page, `carried` are its parameters; of each of `prints` its name, some words
    about it, and its address.
    """

    shop: str
    title: str
    back: str
    carried: tuple[tuple[str, str], ...]
    paper: FormField
    squares: tuple[FormField, ...]
    prints: tuple[tuple[str, str, str], ...]
    wrong: bool


def prints_page(request: Request) -> Response:
    """Every print of a design, and the correction for a printer."""
    house = house_of(request)
    everything = read_query(request.scope["query_string"], house.settings.query_max)
    asked = of_design(everything)
    called = title(design(asked, house.workshop), system_of(asked, house.workshop))
    return _prints(request, everything, called)


def prints_again(request: Request) -> Response:
    """The same for a print that was refused, with what is wrong beside each field."""
    house = house_of(request)
    everything = read_query(request.scope["query_string"], house.settings.query_max)
    asked = of_design(everything)
    try:
        called = title(design(asked, house.workshop), system_of(asked, house.workshop))
    except DesignRefused:  # not every print needs the whole design
        called = ""
    return _prints(request, everything, called)


def _prints(request: Request, everything: Asked, called: str) -> Response:
    workshop = house_of(request).workshop
    link = linked(of_design(everything), workshop)
    papers = SHEETS if request.scope["path"] in SHEETS_ALONE else get_args(Paper)
    at = address("/", link), ""
    page = made_prints_page(
        everything, workshop, called, at, (*prints_of(asked_kind(everything).wish), TAPE), link, papers
    )
    status = HTTPStatus.UNPROCESSABLE_ENTITY if page.wrong else HTTPStatus.OK
    return shown(request, "prints/page.html", page, status)


def prints_of(wish: type[Wish]) -> tuple[tuple[str, str, str], ...]:
    """Return what can be printed of a kind of design: its pattern, of a buckle collar its ends as well."""
    return PRINTS if wish is Collar else (WHOLE,)


def made_prints_page(
    asked: Asked,
    workshop: Workshop,
    called: str,
    at: tuple[str, str],
    prints: tuple[tuple[str, str, str], ...],
    carried: Mapping[str, str] | None = None,
    papers: tuple[Paper, ...] = get_args(Paper),
) -> PrintsPage:
    """Return the page of prints with what was asked and what is wrong with that.

    `at` is the address of the design's own page, and the path that the prints stand under; `papers` those of
    the print that was asked for.
    """
    back, path = at
    _, wrong = paper_of(asked, papers, papers[0])
    paper, _ = paper_of(asked, get_args(Paper), usual_paper(workshop))
    _, off = correction_of(asked)
    said = {one.field: one.message.said(own_system(workshop)) for one in (*wrong, *off)}
    choices = tuple(
        Choice(one, tr(PAPER_NAMES[one]), one == paper, tr("the pattern alone") if one == "roll" else "")
        for one in get_args(Paper)
    )
    return PrintsPage(
        workshop.name,
        called,
        back,
        tuple((carried or {}).items()),
        FormField("paper", tr("Paper"), "", paper, choices, error=said.get("paper", "")),
        tuple(
            FormField(name, tr(label), "", asked.typed.get(name, ""), error=said.get(name, ""))
            for name, label in SQUARES.items()
        ),
        tuple((tr(name), tr(about), path + place) for name, about, place in prints),
        bool(said),
    )
