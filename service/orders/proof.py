"""The proof: built from a pattern, a quote and what is known of the order, then sealed by its hash."""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from decimal import Decimal

from service.design import (
    HardwareLine,
    HoleFit,
    Part,
    Pattern,
    fingers_in_words,
    kind_of,
    told,
)
from service.errors import GirthwrightError
from service.language import decimals, tr
from service.orders import words
from service.orders.body import (
    Amount,
    Choice,
    Drawing,
    HardwareRow,
    HoleRow,
    Measure,
    PartRow,
    Price,
    PriceLine,
    ProofBody,
    Size,
    Terms,
    canonical,
    read_body,
)
from service.orders.canonical import sha256_hex, short_code
from service.pricing import Quote, included
from service.units import System
from service.workshop import Workshop

HEEDED = {"question", "warning"}
"""Findings that the customer is shown. Advice and notes are for the bench."""


@dataclass(frozen=True, slots=True)
class OrderFacts:
    """What a proof shows beside the pattern and the price.

    `number` as the shop writes it; `title` and `sentence` say the design in words; `typed` what was typed, by
    parameter; `promised` the date in words; `system` the customer's; `show_money` writes a sum in a currency.
    """

    number: str
    customer: str
    dog: str
    title: str
    sentence: str
    typed: Mapping[str, str]
    promised: str
    terms: Terms
    engine: str
    system: System
    show_money: Callable[[Decimal, str], str]
    language: str = "en"
    agreed: tuple[str, ...] = ()
    drawings: tuple[Drawing, ...] = ()


@dataclass(frozen=True, slots=True)
class Seen:
    """Exactly which proof somebody has before them: the order's id, the version, the hash of the body."""

    order: str
    version: int
    sha256: str


@dataclass(frozen=True, slots=True)
class Proof:
    """One version of what an order's customer is asked to approve; never changed once it is made."""

    seen: Seen
    body: ProofBody

    @property
    def version(self) -> int:
        """The version, counted from 1."""
        return self.seen.version

    @property
    def sha256(self) -> str:
        """The SHA-256 of the body's canonical form."""
        return self.seen.sha256

    @property
    def code(self) -> str:
        """The short code, to be compared by eye."""
        return short_code(self.sha256)


class ProofDamaged(GirthwrightError):
    """A stored proof is not what was sealed: `seen` names it, `found` is the hash of what is there now."""

    def __init__(self, seen: Seen, found: str) -> None:
        self.seen = seen
        self.found = found
        super().__init__(
            tr(
                "Version {version} of the proof has been altered since it was made: it was {sealed} and is"
                " {found}. Restore it from a backup.",
                version=seen.version,
                sealed=short_code(seen.sha256),
                found=short_code(found),
            )
        )


def seal(order: str, version: int, body: ProofBody) -> Proof:
    """Return a body as one version of an order's proof, under its hash.

    Source: RFC 8785, FIPS 180-4. Worked: the same body has the same hash, another body another.
    """
    return Proof(Seen(order, version, sha256_hex(canonical(body))), body)


def unseal(seen: Seen, data: bytes) -> Proof:
    """Return the proof that was stored as these bytes under this hash.

    Source: derived. Worked: unseal(proof.seen, canonical(proof.body)) is proof. Raises ProofDamaged when the
    bytes are not those that were hashed, BodyUnreadable when they are no body.
    """
    found = sha256_hex(data)
    if found != seen.sha256:
        raise ProofDamaged(seen, found)
    return Proof(seen, read_body(data))


def build_proof_body(pattern: Pattern, quote: Quote, workshop: Workshop, facts: OrderFacts) -> ProofBody:
    """Return everything that a proof shows of a pattern, its quote, the workshop and the order's facts.

    Source: derived. Worked: a neck typed as "19 in" is the measure 48260 × 0.01 mm, "19 in (483 mm)".
    Raises NotCanonical when the quote holds a part of a coin.
    """
    system = facts.system
    return ProofBody(
        schema_version=1,
        engine=facts.engine,
        language=facts.language,
        shop=workshop.name,
        order=facts.number,
        customer=facts.customer,
        dog=facts.dog,
        title=facts.title,
        sentence=facts.sentence,
        measures=tuple(_measures(pattern, facts)),
        choices=_choices(pattern),
        lettering=pattern.spec.lettering,
        sizes=tuple(_sizes(pattern, system)),
        holes=tuple(_hole(hole, system) for hole in told(pattern).holes),
        parts=tuple(_part(part, system) for part in pattern.parts),
        distances=tuple(Size(row.name, words.cut(row.x, system)) for row in pattern.stations),
        hardware=tuple(_hardware(row, pattern.fittings.finish.name) for row in pattern.hardware),
        included=included(pattern, workshop.rates, system),
        agreed=facts.agreed,
        price=_price(tr(told(pattern).made), quote, workshop, facts),
        promised=facts.promised,
        terms=facts.terms,
        remarks=tuple(row.text.said(system) for row in pattern.findings if row.severity in HEEDED),
        cautions=tuple(map(tr, kind_of(pattern.spec).cautions)),
        rounding=(tr(words.LENGTHS_ROUNDED), quote.rounding),
        drawings=facts.drawings,
    )


def _measures(pattern: Pattern, facts: OrderFacts) -> Iterator[Measure]:
    spec, system = pattern.spec, facts.system
    for one in told(pattern).measures:
        size, how = words.length(one.size, system), "" if one.how is None else str(one.how)
        yield Measure(tr(one.name), facts.typed.get(one.field, ""), how, size)
    if spec.weight is not None:
        yield Measure(tr("Weight"), facts.typed.get("weight", ""), "", words.mass(spec.weight, system))


def _choices(pattern: Pattern) -> tuple[Choice, ...]:
    rows = words.chosen(pattern)
    return tuple(Choice(name, value) for name, value in rows)


def _sizes(pattern: Pattern, system: System) -> Iterator[Size]:
    strap, fittings, said = pattern.strap, pattern.fittings, told(pattern)
    rows = {
        tr("Strap width"): pattern.spec.width,
        tr("Strap length"): strap.length,
        tr("Leather thickness"): strap.thickness,
        **{tr(name): mm for name, mm in said.sizes},
    }
    height = next((one.height for one in pattern.strap.marks if one.kind in {"lettering", "engraving"}), None)
    if height is not None:
        rows[tr("Letters, height")] = height
    if fittings.stud is not None:
        rows[tr("Studs, across")] = fittings.stud.diameter
    for name, mm in rows.items():
        yield Size(name, words.cut(mm, system))
    for name, mm in said.girths:
        yield Size(tr(name), words.length(mm, system))


def _hole(hole: HoleFit, system: System) -> HoleRow:
    return HoleRow(
        hole.number,
        hole.target,
        words.length(hole.inside_girth, system),
        words.length(hole.ease, system),
        words.length(hole.tail, system),
        fingers_in_words(hole.fingers),
    )


def _part(part: Part, system: System) -> PartRow:
    length, width, thickness = (words.cut(mm, system) for mm in (part.length, part.width, part.thickness))
    return PartRow(tr(part.title), part.quantity, length, width, thickness)


def _hardware(row: HardwareLine, finish: str) -> HardwareRow:
    return HardwareRow(row.name, finish, row.quantity, tr(row.place))


def _price(made: str, quote: Quote, workshop: Workshop, facts: OrderFacts) -> Price:
    """The customer sees what is paid for, tax and total; how the shop gets there is its own affair."""

    def amount(value: Decimal) -> Amount:
        shown = facts.show_money(value, quote.currency)
        return words.money(value, shown, quote.currency, workshop.rates.minor_digits)

    lines = [PriceLine(made, amount(quote.before_tax))]
    taxes = [line for line in quote.lines if line.code == "tax"]
    lines.extend(PriceLine(line.label, amount(line.amount)) for line in taxes)
    rates = [
        tr("{tax} of {share} % is in the total.", tax=line.label, share=decimals(line.inputs[-1].value))
        for line in taxes
    ]
    return Price(quote.currency, tuple(lines), amount(quote.total), " ".join(rates) or tr("No tax is added."))
