"""The configurator page as one typed value."""

from collections.abc import Iterable, Mapping

from service.design import (
    KINDS,
    Fact,
    Kind,
    Pattern,
    adornments,
    choices_of,
    collar_in,
    fingers_in_words,
    nearest_hole,
    told,
)
from service.drawing import figures
from service.errors import DesignError, DesignRefused, Unreadable
from service.language import decimals, mark, tr, tr_many, within
from service.pricing import estimate, included
from service.typed import read_length
from service.units import System, show_both, show_cut, show_inches, show_mm
from service.web.fields import asked_kind, fixes, form, system_of
from service.web.page import Choice, ConfiguratorPage, HoleRow, Outcome, Row, Says
from service.web.parameters import ALL
from service.web.query import Asked, address, as_first, design, linked
from service.web.words import mass_sentences, money, number, ring_place, sentence, title
from service.workshop import Workshop

EXAMPLE_NECK = {"in": "16 in", "cm": "40 cm"}
"""The neck of the collar that is shown before anything is typed, by the workshop's unit."""
NAMES = {option.value: option.label for option in ALL["kind"].fixed}
"""What the kinds are called."""
EXAMPLES = {"neck": EXAMPLE_NECK, "head": {"in": "19 in", "cm": "48 cm"}}
"""The same of every measure without which there is nothing to show."""
HEAD_MORE = 76.2
"""How much more an example's head measures than its neck [mm]."""
LETTER_PAPER = {"US", "CA", "MX", "CO", "VE", "AR", "CL", "CR", "GT", "PA", "PH"}
"""Countries [ISO 3166] whose printers hold Letter paper. From memory."""
PAPERS = {
    "a4": (mark("Pattern on A4 paper (PDF)"), mark("full scale on sheets to join; print at 100 %")),
    "letter": (mark("Pattern on Letter paper (PDF)"), mark("full scale on sheets to join; print at 100 %")),
    "roll": (mark("Pattern on one long sheet (PDF)"), mark("full scale, for a plotter or roll paper")),
}


def made_page(asked: Asked, workshop: Workshop, base: str) -> ConfiguratorPage:
    """The page of a design that can be made, or of the example when nothing was asked.

    `base` is the address of the service, "https://collars.example". Raises DesignRefused.
    """
    blank = not {*asked.typed} - {"kind"}
    shown = _with_example(asked, workshop) if blank else asked
    pattern = design(shown, workshop)
    main, more, _ = form(asked, workshop, pattern=pattern)
    outcome = _outcome(shown, pattern, workshop, base, example=blank)
    status = f"{outcome.sentence} {outcome.total}."
    return ConfiguratorPage(
        workshop.name,
        main,
        more,
        (),
        "",
        outcome,
        tuple(map(tr, asked_kind(asked).cautions)),
        status,
        query=address("", linked(asked, workshop)),
        kind=next(code for code, kind in KINDS.items() if kind is asked_kind(asked)),
        kinds=kinds(asked, workshop),
    )


def refused_page(
    asked: Asked, problems: Iterable[DesignError], workshop: Workshop, base: str
) -> ConfiguratorPage:
    """The page of a design that can't be made: what was typed stays, each error says what would work.

    When nothing but the neck is missing, the example shows the other choices meanwhile. Nothing is wrong
    where a measure is missing that nobody was asked for yet: its field then only asks.
    """
    found = tuple(problems)
    pattern = outcome = None
    wanting = {name for name in asked_kind(asked).measures if name not in asked.given}
    if found and {problem.field for problem in found} <= wanting:
        shown = _with_example(asked, workshop)
        try:
            pattern = design(shown, workshop)
        except DesignRefused as refused:
            found = (*found, *refused.problems)
        else:
            outcome = _outcome(shown, pattern, workshop, base, example=True)
    main, more, wrong = form(asked, workshop, found, pattern)
    if outcome is not None and wanting.isdisjoint(asked.typed):
        heading, status, wrong = "", " ".join(field.error for field in wrong), ()
    else:
        heading = _to_put_right(len(wrong))
        status = f"{heading}. " + " ".join(f"{field.label}: {field.error}" for field in wrong)
    return ConfiguratorPage(
        workshop.name,
        main,
        more,
        wrong,
        heading,
        outcome,
        tuple(map(tr, asked_kind(asked).cautions)),
        status,
        query=address("", linked(asked, workshop)),
        kind=next(code for code, kind in KINDS.items() if kind is asked_kind(asked)),
        kinds=kinds(asked, workshop),
    )


def _to_put_right(count: int) -> str:
    return _capital(
        tr_many("{count} thing to put right", "{count} things to put right", count, count=number(count))
    )


def _with_example(asked: Asked, workshop: Workshop) -> Asked:
    """The same with an example of each measure that is missing, beside a neck or a head that is given."""
    given = asked.given
    wanting = [name for name in asked_kind(asked).measures if name not in given]
    examples = {name: EXAMPLES[name][workshop.units] for name in wanting}
    for name, other, more in (("head", "neck", HEAD_MORE), ("neck", "head", -HEAD_MORE)):
        if name in examples and other in given:
            try:
                examples[name] = (
                    f"{(read_length(given[other], assume=workshop.units).value + more) / 10:.1f} cm"
                )
            except Unreadable:
                continue
    return Asked({**asked.typed, **examples}, asked.repeated)


def kinds(asked: Asked, workshop: Workshop) -> tuple[Choice, ...]:
    """Return what can be made here, each with the address of the page for it; what was typed goes along."""
    here, link = asked_kind(asked), linked(asked, workshop)
    return tuple(
        Choice(address("/", _carried(link, kind), kind=code), tr(NAMES[code]), kind is here, code)
        for code, kind in KINDS.items()
        if kind.widths(workshop)
    )


def _carried(link: Mapping[str, str], kind: Kind) -> dict[str, str]:
    """What of a design goes along to another kind: not a choice that it hasn't."""
    return {
        name: text
        for name, text in link.items()
        if name not in kind.asks or text in map(str, choices_of(kind.wish, name) or (text,))
    }


def _outcome(asked: Asked, pattern: Pattern, workshop: Workshop, base: str, *, example: bool) -> Outcome:
    system = system_of(asked, workshop)
    quote = estimate(pattern, workshop)
    said, said_of = sentence(pattern, system), told(pattern)
    link = linked(asked, workshop)
    return Outcome(
        example=example,
        title=title(pattern, system),
        sentence=tr("For example: {said}", said=said) if example else said,
        figures=figures(pattern, system),
        summary=summary(pattern, system),
        total=money(quote.total, quote.currency, workshop.region),
        total_note=total_note(workshop),
        included=included(pattern, workshop.rates, system),
        sits=tuple(one.said(system) for one in said_of.sits),
        mass=mass_sentences(pattern, system),
        holes=hole_rows(pattern, system),
        says=tuple(
            Says(one.severity, one.text.said(system), tr(one.source), fixes(one.suggestions, asked, workshop))
            for one in pattern.findings
        ),
        share_url=base + address("/", link),
        ask_url="" if example else address("/ask", link),
        query=address("", link),
        compare_url="" if example else f"{address('/compare', as_first(link))}#second",
        downloads=downloads(link, workshop, ends=collar_in(pattern) is not None),
    )


LETTERED = ("lettering", "engraving")
"""Marks that are letters."""


def summary(pattern: Pattern, system: System) -> tuple[Row, ...]:
    """Return the design as names and values."""
    spec, fittings, said = pattern.spec, pattern.fittings, told(pattern)
    along = tr("cut end to tip") if collar_in(pattern) else tr("from end to end")
    rows = [
        *(
            Row(tr(one.name), show_both(one.size, system), "" if one.how is None else one.how.said(system))
            for one in said.measures
        ),
        Row(tr("Width"), show_both(spec.width, system)),
        Row(tr("Leather"), fittings.leather.name, show_both(fittings.leather.thickness, "metric")),
        *(() if fittings.dye is None else (Row(tr("Dye"), fittings.dye.name),)),
        Row(tr("Metal"), fittings.finish.name),
        *(fact_row(one, system) for one in said.choices),
        Row(tr("Strap"), show_cut(pattern.strap.length, system), along),
    ]
    rows.extend(Row(tr(one.name), _capital(one.value.said(system))) for one in adornments(pattern))
    height = next((one.height for one in pattern.strap.marks if one.kind in LETTERED), None)
    if spec.lettering and height is not None:
        rows.append(
            Row(
                tr("Lettering"),
                tr("“{text}”", text=spec.lettering),
                tr("{height} high", height=show_mm(height)),
            )
        )
    return tuple(rows)


def summary_lines(pattern: Pattern, system: System) -> tuple[tuple[str, str], ...]:
    """Return the same for paper, where name and value stand alone."""
    rows = summary(pattern, system)
    return tuple((row.name, f"{row.value}, {row.other}" if row.other else row.value) for row in rows)


def fact_row(fact: Fact, system: System) -> Row:
    """Return a fact as a row of the page."""
    beside = "" if fact.beside is None else fact.beside.said(system)
    return Row(tr(fact.name), _capital(fact.value.said(system)), beside)


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def room(mm: float, system: System) -> str:
    """Return a length [mm] of a column, short and long ones in one unit: whole millimetres, or inches."""
    return show_inches(mm) if system == "imperial" else show_mm(mm, 0)


def hole_rows(pattern: Pattern, system: System) -> tuple[HoleRow, ...]:
    """Return what is said of each hole, the tightest first."""
    collar = collar_in(pattern)
    if collar is None:
        return ()
    wanted = nearest_hole(collar.fit, collar.spec.fingers)
    given = round(wanted.fingers) == collar.spec.fingers
    return tuple(
        HoleRow(
            hole.number,
            hole.target,
            hole is wanted and given,
            show_both(hole.inside_girth, system),
            room(hole.ease, system),
            fingers_in_words(hole.fingers),
            room(hole.tail, system),
            ring_place(hole.ring_offset_deg),
        )
        for hole in collar.fit.holes
    )


def total_note(workshop: Workshop) -> str:
    """Return what is said beside the total."""
    rates = workshop.rates
    if not rates.tax:
        return tr("An estimate; no tax is added.")
    share = decimals(f"{float(rates.tax) * 100:g}")
    return tr("An estimate, with {share} % {tax}.", share=share, tax=within(rates.tax_name))


def downloads(
    link: Mapping[str, str], workshop: Workshop, *, ends: bool = True
) -> tuple[tuple[str, str, str], ...]:
    """Return what can be taken along of a design, with templates of its `ends`: name, address, what for."""
    papers = (
        sorted(PAPERS, key=["letter", "a4", "roll"].index) if workshop.region in LETTER_PAPER else [*PAPERS]
    )
    query = address("", link)
    sheets = f"/pattern.pdf{query}{'&' if query else '?'}paper="
    templates = (
        (
            tr("End templates and size chart (PDF)"),
            f"/templates.pdf{query}{'&' if query else '?'}paper={papers[0]}",
            tr("for this width and hardware, whatever the neck"),
        ),
    )
    return (
        *((tr(PAPERS[paper][0]), sheets + paper, tr(PAPERS[paper][1])) for paper in papers),
        *(templates if ends else ()),
        (
            tr("Prints corrected for your printer"),
            f"/prints{query}",
            tr("where a print at 100 % measures a little off"),
        ),
        (
            tr("Pattern as a drawing (SVG)"),
            f"/pattern.svg{query}",
            tr("full scale, for a vector editor or a cutter"),
        ),
        (tr("Outlines for a cutter (DXF)"), f"/pattern.dxf{query}", tr("millimetres, a layer for each tool")),
        (tr("Picture (SVG)"), f"/preview.svg{query}", tr("to show around")),
        (tr("All numbers (JSON)"), f"/design.json{query}", tr("every length in millimetres")),
    )
