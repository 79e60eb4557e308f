"""What the order tests are made with: an invented order for a collar from the invented demo workshop."""

from dataclasses import replace
from decimal import Decimal
from typing import Any

from service.design import CollarPattern
from service.orders import (
    Decision,
    Drawing,
    Kind,
    OrderFacts,
    Proof,
    ProofBody,
    Terms,
    build_proof_body,
    read_decision,
    seal,
)
from service.pricing import estimate
from tests.makers import pattern, workshop

KEY = "key-of-the-first-form"
AT = "2026-11-25T14:02:11+00:00"
RICH = {"weight": "45 lb", "lettering": "REX", "studs": "2 in", "style": "heel-bar"}
"""A collar with everything on it."""


def facts(**changed: Any) -> OrderFacts:  # noqa: ANN401 - any fact
    """What is known of the invented order beside its design."""
    known = OrderFacts(
        number="1042",
        customer="Ada Example",
        dog="Rex",
        title="Chestnut bridle collar, 1 in wide, to match a collar of 19 in",
        sentence="A chestnut collar with six holes 1 in apart.",
        typed={"neck": " 19 in", "weight": "45 lb"},
        promised="Saturday, 12 December 2026",
        terms=Terms("2", "Half is paid with the order, half when it is ready."),
        engine="0.1.0",
        system="imperial",
        show_money=lambda amount, currency: f"{amount} {currency}",
        agreed=("Edges dyed dark brown.",),
        drawings=(Drawing("worn", "ab" * 32),),
    )
    return replace(known, **changed)


def body_of(design: CollarPattern, **changed: Any) -> ProofBody:  # noqa: ANN401 - any fact
    """The body of a proof of a design in the demo workshop."""
    return build_proof_body(design, estimate(design, workshop()), workshop(), facts(**changed))


def body(**typed: str) -> ProofBody:
    """The body of a proof of what was typed."""
    return body_of(pattern(**typed))


def proof(version: int = 1, **changed: Any) -> Proof:  # noqa: ANN401 - any field of a body
    """A version of the invented order's proof, with some of its fields changed."""
    return seal("order-1", version, replace(PLAIN, **changed))


def answer(to: Proof, kind: Kind = "approve", *, key: str = KEY, **changed: str) -> Decision:
    """An answer to a proof as it comes from a form."""
    said = {"name": "Ada Example", "message": "" if kind == "approve" else "Wider.", "at": AT, **changed}
    return read_decision(kind, to.seen, key, name=said["name"], message=said["message"], at=said["at"])


PLAIN = body()
DOLLARS = Decimal("57.06")
