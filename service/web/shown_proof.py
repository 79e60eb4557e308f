"""What the page of a proof shows, as one typed value made from the store."""

import re
from dataclasses import dataclass
from datetime import datetime
from html import unescape
from http import HTTPStatus
from typing import Final

from starlette.exceptions import HTTPException
from starlette.requests import Request

from service import orders
from service.language import mark, tr
from service.orders import Change, Decision, Kind, Proof, ProofBody, differences
from service.storage import (
    Connection,
    Link,
    NotKept,
    Order,
    answers_of,
    entry_of,
    newest_proof,
    order_by_id,
    proof_drawing_of,
    proof_of_version,
)
from service.web.followed import opened, speak_for
from service.web.house import house_of
from service.web.proofs import STRAP, WORN
from service.web.words import moment
from service.workshop import Workshop

DECIDED: Final = frozenset({"measures", "choices", "lettering", "agreed", "price", "promised", "terms"})
"""The fields of a proof that the customer decides on, with the strap's width; the others follow from them."""
ENDS: Final = {"buckle-end": mark("Buckle end"), "point": mark("Holes and tip")}
"""What the details of a collar's strap are called, by the names they are kept under."""
SAID: Final = re.compile(r'aria-label="([^"]*)"')
"""What a drawing says of itself."""


@dataclass(frozen=True, slots=True)
class Answer:
    """An answer that stands, in words."""

    kind: Kind
    name: str
    message: str
    at: str
    version: int


@dataclass(frozen=True, slots=True)
class Drawn:
    """The drawings as they were sent with the proof; of details each with what is written under it."""

    worn: tuple[str, ...]
    strap: tuple[str, ...]
    details: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Changed:
    """What differs from another version: what was decided on, and what follows from it."""

    since: int
    code: str
    chosen: tuple[Change, ...]
    follows: tuple[Change, ...]


@dataclass(frozen=True, slots=True)
class Said:
    """What was typed in the two forms, and what is wrong with it."""

    name: str = ""
    message: str = ""
    name_error: str = ""
    message_error: str = ""
    notice: str = ""


@dataclass(frozen=True, slots=True)
class ProofPage:
    """A proof. `stale`: the answer sent was to another one; `is_open`: this one waits for an answer."""

    body: ProofBody
    version: int
    code: str
    sha256: str
    drawn: Drawn
    changed: Changed | None
    is_open: bool
    stale: bool
    answer: Answer | None
    receipt: str
    said: Said
    key: str
    here: str
    order_href: str

    @property
    def shop(self) -> str:
        """The shop's name, as the proof states it."""
        return self.body.shop

    @property
    def problems(self) -> tuple[tuple[str, str, str], ...]:
        """Every error: id of the input, its name, what is wrong."""
        found = (
            ("field-name", tr("Your name"), self.said.name_error),
            ("field-message", tr("What should be different"), self.said.message_error),
        )
        return tuple(row for row in found if row[2])


@dataclass(frozen=True, slots=True)
class RefusedPage:
    """Why an answer was not taken, which one stands, and what was typed, so that it isn't lost."""

    shop: str
    heading: str
    text: str
    stands: Answer | None
    typed: str
    here: str


@dataclass(frozen=True, slots=True)
class Opened:
    """What a link to a proof opens."""

    link: Link
    order: Order
    proof: Proof
    token: str


def found_proof(request: Request, connection: Connection, token: str) -> Opened:
    """What the link opens: an order's own page opens its proof too, since whoever asked may answer."""
    link = opened(request, connection, token)
    speak_for(request, connection, link)
    order, proof = order_by_id(connection, link.order_id), newest_proof(connection, link.order_id)
    if proof is None:
        raise HTTPException(HTTPStatus.NOT_FOUND)
    return Opened(link, order, proof, token)


def made_proof_page(
    request: Request,
    connection: Connection,
    found: Opened,
    said: Said,
    *,
    key: str = "",
    stale: Proof | None = None,
    is_stale: bool = False,
) -> ProofPage:
    proof, given = found.proof, given_to(connection, found.proof)
    before = stale
    if before is None and proof.version > 1:
        before = proof_of_version(connection, found.order.id, proof.version - 1)
    return ProofPage(
        body=proof.body,
        version=proof.version,
        code=proof.code,
        sha256=proof.sha256,
        drawn=_drawn(connection, proof),
        changed=None if before is None else changed(before, proof),
        is_open=given is None and found.order.stage == "proof-sent",
        stale=is_stale,
        answer=None if given is None else in_words(given, house_of(request).workshop),
        receipt=receipt_of(connection, found, given),
        said=said,
        key=key or house_of(request).token(),
        here=f"/p/{found.token}",
        order_href=f"/o/{found.token}" if found.link.purpose == "order" else "",
    )


def given_to(connection: Connection, proof: Proof) -> Decision | None:
    answers = answers_of(connection, proof.seen.order)
    return next((answer for answer in answers if answer.seen == proof.seen), None)


def in_words(given: Decision, workshop: Workshop) -> Answer:
    at = moment(datetime.fromisoformat(given.at), workshop)
    return Answer(given.kind, given.name, given.message, at, given.seen.version)


def receipt_of(connection: Connection, found: Opened, given: Decision | None) -> str:
    if given is None:
        return ""
    entry = entry_of(connection, found.order.workshop_id, given)
    return orders.receipt(given, found.proof, entry)


def _drawn(connection: Connection, proof: Proof) -> Drawn:
    """The kept drawings; one whose bytes aren't those that the proof names is not shown for it."""
    kept: dict[str, str] = {}
    for one in proof.body.drawings:
        drawing = proof_drawing_of(connection, proof.seen, one.name)
        if drawing.sha256 != one.sha256:
            raise NotKept("drawing", one.name)
        kept[one.name] = drawing.content.decode()
    return Drawn(
        tuple(text for name, text in kept.items() if name.startswith(WORN)),
        tuple(text for name, text in kept.items() if name.startswith(STRAP)),
        tuple(
            (text, _caption(name, text)) for name, text in kept.items() if not name.startswith((WORN, STRAP))
        ),
    )


def _caption(name: str, drawing: str) -> str:
    """What is written under a detail: of a collar's ends what they are, of others what the drawing says."""
    if name in ENDS:
        return tr(ENDS[name])
    said = SAID.search(drawing)
    return "" if said is None else unescape(said[1])


def changed(before: Proof, now: Proof) -> Changed:
    """Return everything in which a proof differs from one before it; its drawings as one thing."""
    rows = differences(before.body, now.body)
    others = [row for row in rows if row.field != "drawings"]
    if len(others) < len(rows):
        others.append(
            Change(
                tr("Drawings"),
                tr("as on version {version}", version=before.version),
                tr("drawn anew, as shown here"),
            )
        )
    width = now.body.sizes[0].name
    chosen = tuple(row for row in others if row.field in DECIDED or row.what == width)
    follows = tuple(row for row in others if row not in chosen)
    return Changed(before.version, before.code, chosen, follows)
