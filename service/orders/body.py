"""Everything that a proof shows, as frozen values of text and whole numbers: what the customer approves."""

from dataclasses import asdict, dataclass
from typing import Literal

from pydantic import TypeAdapter, ValidationError

from service.errors import GirthwrightError
from service.orders.canonical import canonical_json


@dataclass(frozen=True, slots=True)
class Amount:
    """A length, weight or sum: as it is shown, and exactly, as a whole count of a small unit.

    19 in is Amount("19 in (483 mm)", 48260, "0.01 mm"); $57.06 is Amount("$57.06", 5706, "0.01 USD").
    """

    words: str
    count: int
    unit: str


@dataclass(frozen=True, slots=True)
class Measure:
    """A measure of the dog: its name, what was typed, how it was measured, and the size it was read as."""

    name: str
    typed: str
    how: str
    size: Amount


@dataclass(frozen=True, slots=True)
class Size:
    """A size of what is made, or a distance along the strap."""

    name: str
    size: Amount


@dataclass(frozen=True, slots=True)
class Choice:
    """Something chosen: what, and which."""

    name: str
    value: str


@dataclass(frozen=True, slots=True)
class HoleRow:
    """What the collar measures on a size hole, numbered from the buckle; `target` is the one to wear."""

    number: int
    target: bool
    inside: Amount
    ease: Amount
    tail: Amount
    fingers: str


@dataclass(frozen=True, slots=True)
class PartRow:
    """A piece of leather, and how many of it."""

    name: str
    quantity: int
    length: Amount
    width: Amount
    thickness: Amount


@dataclass(frozen=True, slots=True)
class HardwareRow:
    """A piece of hardware, its finish, how many of it, and where it goes."""

    name: str
    finish: str
    quantity: int
    place: str


@dataclass(frozen=True, slots=True)
class PriceLine:
    """A line of the price as the customer sees it."""

    name: str
    price: Amount


@dataclass(frozen=True, slots=True)
class Price:
    """The price in a currency (ISO 4217): its lines, their total, and what is said about tax."""

    currency: str
    lines: tuple[PriceLine, ...]
    total: Amount
    tax: str


@dataclass(frozen=True, slots=True)
class Terms:
    """The shop's terms: which version, and their whole text."""

    version: str
    text: str


@dataclass(frozen=True, slots=True)
class Drawing:
    """A drawing shown beside the text: its name and the SHA-256 of its bytes."""

    name: str
    sha256: str


@dataclass(frozen=True, slots=True)
class ProofBody:
    """Everything that a proof shows.

    `engine` is the version of what made it; `language` the tag (BCP 47) it is shown in; `included` what the
    customer gets; `agreed` what was agreed beside the design; `remarks` what to ask or heed about this one;
    `cautions` what goes with every one; `rounding` how lengths and sums were rounded.
    """

    schema_version: Literal[1]
    engine: str
    language: str
    shop: str
    order: str
    customer: str
    dog: str
    title: str
    sentence: str
    measures: tuple[Measure, ...]
    choices: tuple[Choice, ...]
    lettering: str
    sizes: tuple[Size, ...]
    holes: tuple[HoleRow, ...]
    parts: tuple[PartRow, ...]
    distances: tuple[Size, ...]
    hardware: tuple[HardwareRow, ...]
    included: tuple[str, ...]
    agreed: tuple[str, ...]
    price: Price
    promised: str
    terms: Terms
    remarks: tuple[str, ...]
    cautions: tuple[str, ...]
    rounding: tuple[str, ...]
    drawings: tuple[Drawing, ...]


class BodyUnreadable(GirthwrightError):
    """Stored bytes are no body of a proof; `complaints` name each place and what is wrong there."""

    def __init__(self, complaints: tuple[str, ...]) -> None:
        self.complaints = complaints
        super().__init__("This is no proof that can be read: " + "; ".join(complaints))


_BODIES = TypeAdapter(ProofBody)


def canonical(body: ProofBody) -> bytes:
    """Return the canonical form of a body: the same bytes for the same content, whatever program wrote them.

    Source: RFC 8785 (2020). Worked: it begins {"agreed":[ and holds no space outside of text. Raises
    NotCanonical when there is a fraction in it.
    """
    return canonical_json(asdict(body))


def read_body(data: bytes) -> ProofBody:
    """Return the body that a canonical form holds.

    Source: derived; nothing is guessed, added or left out. Worked: read_body(canonical(body)) is body.
    Raises BodyUnreadable.
    """
    try:
        return _BODIES.validate_json(data, strict=True, extra="forbid")
    except ValidationError as fault:
        complaints = [f"{'.'.join(map(str, one['loc'])) or 'body'}: {one['msg']}" for one in fault.errors()]
        raise BodyUnreadable(tuple(complaints)) from fault
