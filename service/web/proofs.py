"""A proof made from an order: its body, the drawings that it shows, and the same to print.

A route makes it before it writes, so that nobody waits for a drawing:

    with house.database.reading() as connection:
        order = order_by_number(connection, house.workshop_id, number)
    made = make_proof(house, order)
    with house.database.writing() as connection:
        send_proof(connection, made.order, made.proof, made.drawings, act)  # and links, in the same writing

`send_proof` raises StaleWrite when somebody has changed the order in between.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from itertools import zip_longest
from typing import Final

from service.design import Pattern, kind_of, make_pattern
from service.drawing import Document, Section, document_pdf, figures
from service.language import ENGLISH, mark, speaking, spoken, tr
from service.orders import (
    Drawing,
    OrderFacts,
    Proof,
    ProofBody,
    Size,
    build_proof_body,
    kept_rows,
    seal,
)
from service.pricing import Quote, at_price, estimate
from service.storage import (
    Connection,
    Measurement,
    Order,
    ProofDrawing,
    customer_by_id,
    dogs_of,
    drawing,
    measurements_of,
)
from service.units import System
from service.web.configurator import LETTER_PAPER
from service.web.fields import system_of_design, system_typed
from service.web.house import House
from service.web.kept import measured_as
from service.web.terms import stated, terms_of
from service.web.words import day, money, sentence, title
from service.workshop import Workshop

SVG, PDF = "image/svg+xml", "application/pdf"
PRINT: Final = "print"
"""The name under which the proof to print is kept beside its drawings."""
WORN, STRAP = "worn-", "strap-"
"""How the names begin of drawings that show it in use, and of the flat strap; others are details."""
NOT_PROMISED: Final = mark("No date is promised yet.")
SAME_MM: Final = 0.01
"""Two measures nearer than that [mm] are the same one."""


@dataclass(frozen=True, slots=True)
class MadeProof:
    """A sealed proof, its drawings, and the order with the price that the proof states."""

    order: Order
    proof: Proof
    drawings: tuple[ProofDrawing, ...]


def make_proof(house: House, order: Order, agreed: tuple[str, ...] = ()) -> MadeProof:
    """Return the order's next proof, in its customer's language, from its design and the rows kept with it.

    `agreed` as it is shown.

    Raises DesignError when the design can't be made, NotKept when the customer is gone.
    """
    with house.database.reading() as connection:
        code = customer_by_id(connection, order.customer_id).language
    with speaking(house.pages.languages.get(code, ENGLISH)):
        return _made(house, order, agreed)


def _made(house: House, order: Order, agreed: tuple[str, ...]) -> MadeProof:
    rows = order.kept
    pattern = make_pattern(order.design, rows)
    quote = _quote(pattern, rows, order)
    with house.database.reading() as connection:
        facts = _facts(house, connection, order, pattern)
    drawn = _drawings(pattern, facts.system)
    shown = tuple(Drawing(each.name, each.sha256) for each in drawn)
    body = build_proof_body(pattern, quote, rows, replace(facts, agreed=agreed, drawings=shown))
    proof = seal(order.id, order.version + 1, body)
    printed = drawing(PRINT, PDF, proof_pdf(proof, pattern, rows.region))
    priced = replace(
        order,
        kept=kept_rows(pattern, rows),
        quote_minor=body.price.total.count,
        currency=body.price.currency,
    )
    return MadeProof(priced, proof, (*drawn, printed))


def _quote(pattern: Pattern, rows: Workshop, order: Order) -> Quote:
    """The estimate, or the price that was quoted instead."""
    quote = estimate(pattern, rows)
    if order.quote_minor is None or order.currency != rows.rates.currency:
        return quote
    return at_price(quote, Decimal(order.quote_minor).scaleb(-rows.rates.minor_digits), rows.rates)


def _facts(house: House, connection: Connection, order: Order, pattern: Pattern) -> OrderFacts:
    rows = order.kept
    customer = customer_by_id(connection, order.customer_id)
    dogs = {dog.id: dog for dog in dogs_of(connection, order.customer_id)}
    dog = dogs.get(order.dog_id or "")
    typed = _typed(measurements_of(connection, dog.id) if dog else (), order)
    terms, _ = terms_of(connection, order.workshop_id)
    read = typed.get(kind_of(order.design).reads_in, "")
    system = system_typed(read, rows) if read else system_of_design(order.design, rows)
    return OrderFacts(
        number=str(order.number),
        customer=customer.name,
        dog=dog.name if dog else "",
        title=title(pattern, system),
        sentence=sentence(pattern, system),
        typed=typed,
        promised=day(order.promised_on, rows.region) if order.promised_on else tr(NOT_PROMISED),
        terms=stated(terms),
        engine=house.version,
        system=system,
        show_money=lambda amount, currency: money(amount, currency, rows.region),
        language=spoken().code,
    )


def _typed(measured: Iterable[Measurement], order: Order) -> dict[str, str]:
    """What was typed for the measures that the design is made for; the newest first."""
    found: dict[str, str] = {}
    for row in measured:
        value = measured_as(order.design, row.what)
        if value is not None and abs(row.value - value) < SAME_MM:
            found.setdefault(row.what, row.typed)
    return found


def _drawings(pattern: Pattern, system: System) -> tuple[ProofDrawing, ...]:
    """Every figure on its own, named in the order in which they stand on the page."""
    made = figures(pattern, system)
    named = {
        **{one.name: one.svg for one in made.worn},
        **{f"{STRAP}{number}": piece for number, piece in enumerate(made.flat, 1)},
        **{one.name: one.svg for one in made.details},
    }
    return tuple(drawing(name, SVG, figure.encode()) for name, figure in named.items())


def proof_pdf(proof: Proof, pattern: Pattern, region: str) -> bytes:
    """Return everything that a proof says, and its pattern, as PDF."""
    body = proof.body
    named = tr(
        "{shop}, order {number}, proof version {version}, code {code}",
        shop=body.shop,
        number=body.order,
        version=proof.version,
        code=proof.code,
    )
    whose = tr("For {dog} of {customer}.", dog=body.dog or tr("the dog"), customer=body.customer)
    under = (
        named,
        f"{whose} {body.sentence}",
        tr("Fingerprint (SHA-256 of RFC 8785): {hash}", hash=proof.sha256),
    )
    document = Document(body.title, under, tuple(_sections(body)), named)
    return document_pdf(document, pattern, "letter" if region in LETTER_PAPER else "a4")


def _sections(body: ProofBody) -> Iterator[Section]:
    yield Section(tr("Price"), tuple(_price(body)), (0.7, 0.3), (1,))
    if body.lettering:
        yield Section(tr("Lettering, exactly so"), ((body.lettering,),), bold=(0,), size=8.0)
    measures = tuple((row.name, row.size.words, row.typed, row.how) for row in body.measures)
    yield Section(
        tr("Measures: what they were read as, what was typed, how"), measures, (0.2, 0.3, 0.2, 0.3), (1,)
    )
    yield Section(tr("Chosen"), tuple((row.name, row.value) for row in body.choices), NAMED, (1,))
    yield Section(tr("Sizes"), tuple(_paired(body.sizes)), PAIRED, (1, 3))
    yield Section(tr("Holes, counted from the buckle"), tuple(_holes(body)), (0.16, 0.24, 0.2, 0.16, 0.24))
    yield Section(tr("Parts"), tuple(_parts(body)), (0.25, 0.27, 0.24, 0.24))
    start = tr("Distances from the buckle end") if body.holes else tr("Distances from the left end")
    yield Section(start, tuple(_paired(body.distances)), PAIRED, (1, 3))
    hardware = tuple((str(row.quantity), row.name, row.finish, row.place) for row in body.hardware)
    yield Section(tr("Hardware"), hardware, (0.06, 0.4, 0.2, 0.34))
    yield Section(tr("Included"), _dashed(body.included))
    yield Section(tr("Also agreed"), _dashed(body.agreed))
    yield Section(tr("Promised"), ((body.promised,),))
    yield Section(tr("To heed on this one"), _dashed(body.remarks))
    yield Section(tr("Take care"), _dashed(body.cautions))
    yield Section(
        tr("Terms, version {version}", version=body.terms.version),
        tuple((line,) for line in body.terms.text.splitlines()),
    )
    yield Section(tr("How it is rounded"), _dashed(body.rounding))


NAMED: Final = (0.5, 0.5)
PAIRED: Final = (0.28, 0.22, 0.28, 0.22)


def _paired(sizes: Sequence[Size]) -> Iterator[tuple[str, str, str, str]]:
    """Two columns of names and sizes, read down the first and then down the second."""
    rows = [(row.name, row.size.words) for row in sizes]
    half = (len(rows) + 1) // 2
    for left, right in zip_longest(rows[:half], rows[half:], fillvalue=("", "")):
        yield *left, *right


def _price(body: ProofBody) -> Iterator[tuple[str, str]]:
    for line in body.price.lines:
        yield line.name, line.price.words
    yield tr("Total. {tax}", tax=body.price.tax), body.price.total.words


def _holes(body: ProofBody) -> Iterator[tuple[str, ...]]:
    if not body.holes:
        return
    yield tr("Hole"), tr("Inside"), tr("Ease"), tr("Fingers"), tr("Tail")
    for row in body.holes:
        name = tr("{number}, to wear", number=row.number) if row.target else str(row.number)
        yield name, row.inside.words, row.ease.words, row.fingers, row.tail.words


def _parts(body: ProofBody) -> Iterator[tuple[str, ...]]:
    yield tr("Part"), tr("Length"), tr("Width"), tr("Thickness")
    for row in body.parts:
        name = f"{row.name}, {row.quantity}"
        yield name, row.length.words, row.width.words, row.thickness.words


def _dashed(texts: Iterable[str]) -> tuple[tuple[str], ...]:
    return tuple((f"– {text}",) for text in texts)
