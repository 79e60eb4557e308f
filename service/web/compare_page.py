"""Two designs side by side, and the form for the second: all in the address, nothing is kept.

The first design's parameters stand in the query with `first-` before their names, the second's by their own:
so the plain form changes the second. Without any of its own the second begins as the first is.
"""

from dataclasses import dataclass, replace
from http import HTTPStatus
from typing import Final
from urllib.parse import parse_qsl, urlsplit

from starlette.requests import Request
from starlette.responses import HTMLResponse, Response

from service.design import FOR_THE_WEARER, Pattern, not_ready, told, weigh
from service.drawing import Figures, figures, told_apart
from service.errors import DesignError, DesignRefused
from service.language import tr, tr_many
from service.pricing import Quote, estimate
from service.strength import estimate_strength
from service.units import System, show_mass
from service.web.configurator import fact_row, summary, total_note
from service.web.design_page import HEADERS, is_partial
from service.web.errors import unready_page
from service.web.fields import form, system_of
from service.web.house import house_of
from service.web.page import FormField, Row
from service.web.query import FIRST, Asked, address, as_first, design, linked, read_query
from service.web.shop_form import design_fields
from service.web.strength_words import force_range
from service.web.words import money, number, title
from service.workshop import Workshop

HERE: Final = "/compare"


@dataclass(frozen=True, slots=True)
class Side:
    """One of the two: its name, what it looks like and costs, and its own page."""

    title: str
    figures: Figures
    total: str
    href: str


@dataclass(frozen=True, slots=True)
class Pair:
    """What is said of both, the second value None where that design can't be made or has no such thing."""

    name: str
    first: Row | None
    second: Row | None
    differs: bool


@dataclass(frozen=True, slots=True)
class ComparePage:
    """Both designs; one that can't be made is None, with its problems. `first` goes along with the form.

    `main`, `more` and `problems` are the second's fields; at the address `swapped` the first is changed.
    """

    shop: str
    first: tuple[tuple[str, str], ...]
    sides: tuple[Side | None, Side | None]
    first_problems: tuple[FormField, ...]
    main: tuple[FormField, ...]
    more: tuple[tuple[str, tuple[FormField, ...]], ...]
    problems: tuple[FormField, ...]
    pairs: tuple[Pair, ...]
    said: tuple[str, ...]
    swapped: str
    caution: str
    total_note: str

    @property
    def outcome(self) -> Side | None:
        """The second, if it can be made: its form reproaches nothing then."""
        return self.sides[1]

    @property
    def status_sentence(self) -> str:
        """What a reader hears after a change."""
        wrong = (*self.first_problems, *self.problems)
        return " ".join((*self.said, *(f"{field.label}: {field.error}" for field in wrong)))


def compare(request: Request) -> Response:
    """The page; for a script in it only what changes."""
    house = house_of(request)
    lacking = not_ready(house.workshop)
    if lacking is not None:
        return unready_page(house, lacking)
    first, second = two_designs(
        read_query(request.scope["query_string"], house.settings.query_max, designs=2)
    )
    page = compare_page(first, second, house.workshop)
    status = HTTPStatus.OK if all(page.sides) else HTTPStatus.UNPROCESSABLE_ENTITY
    partial = is_partial(request)
    template = house.pages.get_template(f"compare/{'_parts' if partial else 'page'}.html")
    link = {"HX-Replace-Url": _address(first, second, house.workshop)} if partial else {}
    return HTMLResponse(template.render(page=page), status, {**HEADERS, **link})


def two_designs(asked: Asked) -> tuple[Asked, Asked]:
    """Take the two designs of a query apart."""
    first = {name.removeprefix(FIRST): text for name, text in asked.typed.items() if name.startswith(FIRST)}
    second = {name: text for name, text in asked.typed.items() if not name.startswith(FIRST)}
    twice = [name for name in asked.repeated if name.startswith(FIRST)]
    kept = Asked(first, tuple(name.removeprefix(FIRST) for name in twice))
    if not second:
        return kept, kept
    return kept, Asked(second, tuple(name for name in asked.repeated if name not in twice))


def compare_page(first: Asked, second: Asked, workshop: Workshop) -> ComparePage:
    """Return what is said of two designs."""
    system = system_of(first if first.typed else second, workshop)
    made = [_made(asked, workshop) for asked in (first, second)]
    (one, first_wrong), (other, second_wrong) = made
    given = as_first(linked(first, workshop))
    fields = design_fields(address(HERE, given), second, workshop, second_wrong, other)
    quotes = [estimate(pattern, workshop) if pattern else None for pattern in (one, other)]
    pairs = _pairs(*([] if it is None else rows(it, workshop, system) for it in (one, other)))
    sides = [
        None if pattern is None or quote is None else _side(pattern, quote, asked, workshop, system)
        for pattern, quote, asked in zip((one, other), quotes, (first, second), strict=True)
    ]
    if sides[1] is not None:
        sides[1] = replace(sides[1], figures=told_apart(sides[1].figures, "second"))
    return ComparePage(
        workshop.name,
        tuple(given.items()),
        (sides[0], sides[1]),
        _first_problems(first, second, first_wrong, workshop),
        fields.main,
        fields.more,
        fields.problems,
        pairs,
        _said(pairs, quotes[0], quotes[1], workshop) if one and other else (),
        f"{_address(second, first, workshop)}#second",
        tr(FOR_THE_WEARER[0]),
        total_note(workshop),
    )


def _made(asked: Asked, workshop: Workshop) -> tuple[Pattern | None, tuple[DesignError, ...]]:
    try:
        return design(asked, workshop), ()
    except DesignRefused as refused:
        return None, tuple(refused.problems)


def _address(first: Asked, second: Asked, workshop: Workshop) -> str:
    return address(HERE, {**as_first(linked(first, workshop)), **linked(second, workshop)})


def _first_problems(
    first: Asked, second: Asked, problems: tuple[DesignError, ...], workshop: Workshop
) -> tuple[FormField, ...]:
    """What is wrong with the first; its ways out keep the second as it is."""
    if not problems:
        return ()
    beside = linked(second, workshop)
    return tuple(
        replace(
            field,
            fixes=tuple(
                replace(
                    fix,
                    href=address(HERE, {**as_first(dict(parse_qsl(urlsplit(fix.href).query))), **beside}),
                )
                for fix in field.fixes
            ),
        )
        for field in form(first, workshop, problems)[2]
    )


def _side(pattern: Pattern, quote: Quote, asked: Asked, workshop: Workshop, system: System) -> Side:
    return Side(
        title(pattern, system),
        figures(pattern, system),
        money(quote.total, quote.currency, workshop.region),
        address("/", linked(asked, workshop)),
    )


def rows(pattern: Pattern, workshop: Workshop, system: System) -> list[Row]:
    """Return what two designs are compared by: every choice, how it fits, its price, mass and strength."""
    quote, found = estimate(pattern, workshop), weigh(pattern)
    mass = show_mass(round(found.total) / 1000, system)
    weakest = estimate_strength(pattern, workshop).weakest
    weighs = tr("more than {mass}", mass=mass) if found.unknown else tr("about {mass}", mass=mass)
    said = [one.text.said(system) for one in pattern.findings if one.severity in {"question", "warning"}]
    return [
        Row(tr("Price"), money(quote.total, quote.currency, workshop.region)),
        *summary(pattern, system),
        *(fact_row(one, system) for one in told(pattern).fits),
        Row(tr("It weighs"), weighs),
        Row(tr("Weakest place"), force_range(weakest), weakest.name.said(system)),
        Row(tr("To heed"), " ".join(said) if said else tr("nothing")),
    ]


def _pairs(first: list[Row], second: list[Row]) -> tuple[Pair, ...]:
    """Put what is said of both under one name, in the order in which it is told."""
    one, other = ({row.name: row for row in found} for found in (first, second))
    longer, shorter = (one, other) if len(one) >= len(other) else (other, one)
    names = [*longer, *(name for name in shorter if name not in longer)]
    both = bool(first and second)
    return tuple(
        Pair(name, one.get(name), other.get(name), both and one.get(name) != other.get(name))
        for name in names
    )


def _said(
    pairs: tuple[Pair, ...], one: Quote | None, other: Quote | None, workshop: Workshop
) -> tuple[str, ...]:
    """In how much they differ, and by what price."""
    count = sum(pair.differs for pair in pairs)
    if not count or one is None or other is None:
        return (tr("So far both are the same. Change the second, and what differs is marked."),)
    differ = tr_many(
        "They differ in {count} thing.", "They differ in {count} things.", count, count=number(count)
    )
    more = other.total - one.total
    if not more:
        return differ, tr("They cost the same.")
    amount = money(abs(more), one.currency, workshop.region)
    dearer = tr("The second costs {amount} more.", amount=amount)
    return differ, dearer if more > 0 else tr("The second costs {amount} less.", amount=amount)
