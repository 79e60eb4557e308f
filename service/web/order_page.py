"""What the maker's page of an order shows, as one typed value."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Final
from urllib.parse import urlsplit

from service.design import Buckled, Collar, Worn
from service.errors import DesignRefused
from service.language import mark, tr
from service.orders import MOVES, STAGES, WORDS, Decision, Entry, Stage, may_edit, may_send_proof
from service.storage import (
    Connection,
    Customer,
    Dog,
    Link,
    Measurement,
    Member,
    Order,
    answers_of,
    customer_by_id,
    links_of,
    mails_of,
    measurements_of,
    members_of,
    photos_of,
    proof_of_version,
    record_of,
)
from service.units import LB
from service.web.configurator import LETTER_PAPER, PAPERS, made_page
from service.web.fields import in_words, system_of
from service.web.frame import Frame, frame_for
from service.web.house import House
from service.web.kept import dog_of, how_words, measured_as, read_back
from service.web.maker_links import LinkRow, link_rows
from service.web.numbers_page import Numbers, numbers_page
from service.web.page import Fix, Outcome
from service.web.photos import PhotoShown, PhotosTyped, photos_shown
from service.web.query import Asked, address
from service.web.quoted import price_of
from service.web.shop_words import day_words, due_day, due_words, entry_words
from service.web.typed import typed_design
from service.web.upkeep import CUSTOMER_MAILS, mail_state, trouble_words
from service.web.words import moment
from service.workshop import Workshop

ROAD: Final[tuple[Stage, ...]] = tuple(one for one in STAGES if one not in {"changes-asked", "cancelled"})
"""The stages that every order comes through; the other two are off the road."""
BY_HAND: Final[dict[Stage, str]] = {
    "quoted": mark("Mark it quoted"),
    "making": mark("Begin making it"),
    "ready": mark("Mark it ready"),
    "handed-over": mark("Mark it handed over"),
    "cancelled": mark("Cancel this order"),
}
"""The moves a maker makes with a button. A proof is sent by making one; its answer is the customer's."""
MEASURED: Final = {"neck": mark("Neck"), "weight": mark("Weight")}


@dataclass(frozen=True, slots=True)
class Step:
    """A stage on the road of an order: behind it, where it is, or ahead."""

    name: str
    state: str


@dataclass(frozen=True, slots=True)
class Move:
    """A button that moves the order on; `quiet` is for ways back and out."""

    to: Stage
    text: str
    quiet: bool


@dataclass(frozen=True, slots=True)
class MeasureRow:
    """Something measured on the dog: as typed, as read, how, when and by whom."""

    what: str
    typed: str
    read: str
    how: str
    at: str
    by: str
    used: bool


@dataclass(frozen=True, slots=True)
class ProofRow:
    """A version of the proof, and what the customer answered."""

    version: int
    code: str
    at: str
    href: str
    answer: str
    message: str


@dataclass(frozen=True, slots=True)
class MailedRow:
    """A mail to the customer, and what became of it."""

    what: str
    state: str
    trouble: str


@dataclass(frozen=True, slots=True)
class TrailRow:
    """An entry of the record in words."""

    at: str
    said: str
    who: str


@dataclass(frozen=True, slots=True)
class DetailField:
    """A field of the order's dates and notes: as it is kept, as it is typed, and what is wrong with it."""

    name: str
    label: str
    kind: str
    kept: str
    typed: str
    hint: str = ""
    error: str = ""

    @property
    def differs(self) -> bool:
        """Whether what was typed is another than what is kept."""
        return self.typed != self.kept


@dataclass(frozen=True, slots=True)
class Trouble:
    """Why something that was sent was not done: in a sentence, with what others did meanwhile."""

    said: str
    meanwhile: tuple[TrailRow, ...] = ()
    others: tuple[DetailField, ...] = ()


@dataclass(frozen=True, slots=True)
class MeasuresTyped:
    """What was typed as measured again, and what is wrong with it."""

    neck: str
    weight: str
    how: str
    fingers: str
    coat: str
    neck_wrong: str
    weight_wrong: str


@dataclass(frozen=True, slots=True)
class OrderPage:
    """The page of an order. `outcome` and `numbers` are what a page of the kept design would show."""

    frame: Frame
    number: int
    called: str
    stage: Stage
    stage_name: str
    next_step: str
    steps: tuple[Step, ...]
    moves: tuple[Move, ...]
    proof: int
    may_edit: bool
    seen: int
    last_entry: int
    price: str
    price_note: str
    margin: str
    minutes: str
    due: str
    haste: str
    customer: Customer
    dog: Dog | None
    measures: tuple[MeasureRow, ...]
    outcome: Outcome | None
    numbers: Numbers | None
    unmade: str
    proofs: tuple[ProofRow, ...]
    links: tuple[LinkRow, ...]
    mails: tuple[MailedRow, ...]
    mail_to: str
    mail_key: str
    sends_mail: bool
    details: tuple[DetailField, ...]
    trail: tuple[TrailRow, ...]
    again: str
    photos: tuple[PhotoShown, ...]
    fingers: str
    coat: str
    trouble: Trouble | None = None
    photos_typed: PhotosTyped | None = None
    measured: MeasuresTyped | None = None

    @property
    def path(self) -> str:
        """The address of this page."""
        return f"/shop/orders/{self.number}"


def made_order_page(
    house: House,
    connection: Connection,
    member: Member,
    order: Order,
    typed: Mapping[str, str] | None = None,
    errors: Mapping[str, str] | None = None,
    trouble: Trouble | None = None,
) -> OrderPage:
    """Return the page of an order as it is kept; `typed` and `errors` are those of its dates and notes."""
    workshop, today = house.workshop, house.today
    customer, dog = customer_by_id(connection, order.customer_id), dog_of(connection, order)
    links = links_of(connection, order.id)
    entries = record_of(connection, house.workshop_id, order.id)
    members = {one.id: one.name for one in members_of(connection, house.workshop_id)}
    measured = measurements_of(connection, dog.id) if dog else ()
    day = due_day(order) if WORDS[order.stage].waits else None
    cost = price_of(order, house)
    worn = order.design if isinstance(order.design, Worn) else None
    outcome, numbers, unmade = outcome_of(order)
    return OrderPage(
        frame_for(member, workshop.name),
        order.number,
        dog.name if dog else customer.name,
        order.stage,
        WORDS[order.stage].name,
        WORDS[order.stage].maker,
        steps_of(order.stage),
        moves_of(order.stage, cost[0]),
        order.version + 1 if may_send_proof(order.stage) else 0,
        may_edit(order.stage),
        order.row_version,
        entries[-1].number if entries else 0,
        *cost,
        f"{due_words(day, today)}, {day_words(day, workshop.region, today)}" if day else "",
        "" if day is None else "overdue" if day < today else "",
        customer,
        dog,
        tuple(_measure(row, order, members, workshop) for row in measured),
        outcome,
        numbers,
        unmade,
        proof_rows(connection, order, entries, workshop),
        link_rows(house, order, links),
        mailed_rows(connection, order, workshop),
        customer.email if house.settings.smtp else "",
        house.reference(),
        house.settings.smtp is not None,
        details_of(order, typed or {}, errors or {}),
        trail_rows(entries, members, links, workshop)[::-1],
        again_path(order, dog),
        photos_shown(photos_of(connection, order.id), f"/shop/orders/{order.number}/photos"),
        str(worn.fingers) if isinstance(worn, Buckled) else "",
        worn.coat if worn else "",
        trouble,
    )


def mailed_rows(connection: Connection, order: Order, workshop: Workshop) -> tuple[MailedRow, ...]:
    """Return the mails to an order's customer, the newest first."""
    return tuple(
        MailedRow(
            tr(CUSTOMER_MAILS[one.kind]),
            mail_state(one, workshop),
            "" if one.sent_at else trouble_words(one.trouble),
        )
        for one in mails_of(connection, order.id)
        if one.kind in CUSTOMER_MAILS
    )


def outcome_of(order: Order) -> tuple[Outcome | None, Numbers | None, str]:
    """Return what follows from the kept design and the rows kept with it, with downloads of its own."""
    asked = Asked(typed_design(order.design))
    try:
        outcome = made_page(asked, order.kept, "").outcome
        numbers = numbers_page(asked, order.kept).numbers
    except DesignRefused as refused:
        return None, None, in_words(refused.problems, system_of(asked, order.kept))
    if outcome is None:
        return None, None, tr("The design can't be drawn.")
    path = f"/shop/orders/{order.number}"
    papers = ("letter", "a4", "roll") if order.kept.region in LETTER_PAPER else ("a4", "letter", "roll")
    collars = (
        (
            tr("End templates and size chart (PDF)"),
            address(f"{path}/templates.pdf", {}, paper=papers[0]),
            tr("for this width and hardware, whatever the neck"),
        ),
        (
            tr("Size run of this design"),
            address("/shop/run", asked.given),
            tr("many dogs on one print: what is cut for each, and its marking strip"),
        ),
    )
    downloads = (
        *(
            (tr(PAPERS[paper][0]), address(f"{path}/pattern.pdf", {}, paper=paper), tr(PAPERS[paper][1]))
            for paper in papers
        ),
        (
            tr("Marking strip (PDF)"),
            address(f"{path}/strip.pdf", {}, paper=papers[0]),
            tr("to lay along the blank: each place with its name"),
        ),
        *(collars if isinstance(order.design, Collar) else ()),
        (
            tr("Prints corrected for your printer"),
            f"{path}/prints",
            tr("where a print at 100 % measures a little off"),
        ),
        (
            tr("Pattern as a drawing (SVG)"),
            f"{path}/pattern.svg",
            tr("full scale, for a vector editor or a cutter"),
        ),
        (tr("Outlines for a cutter (DXF)"), f"{path}/pattern.dxf", tr("millimetres, a layer for each tool")),
    )
    says = tuple(replace(one, fixes=_led_to_design(one.fixes, path)) for one in outcome.says)
    return replace(outcome, ask_url="", downloads=downloads, says=says), numbers, ""


def _led_to_design(fixes: tuple[Fix, ...], path: str) -> tuple[Fix, ...]:
    return tuple(replace(fix, href=f"{path}/design?{urlsplit(fix.href).query}") for fix in fixes)


def steps_of(stage: Stage) -> tuple[Step, ...]:
    """Return the road of an order with what is behind it; one that was cancelled is nowhere on it."""
    if stage == "cancelled":
        return ()
    at = ROAD.index("proof-sent" if stage == "changes-asked" else stage)
    return tuple(
        Step(
            WORDS[stage if place == at else one].name,
            "now" if place == at else "done" if place < at else "ahead",
        )
        for place, one in enumerate(ROAD)
    )


def moves_of(stage: Stage, price: str = "") -> tuple[Move, ...]:
    """Return the moves that a maker makes with a button, from here; a quote is one at a price."""
    ahead = {one: place for place, one in enumerate(ROAD)}
    return tuple(
        Move(
            to,
            _move_words(stage, to, price),
            to == "cancelled" or ahead[to] <= ahead.get(stage, 0),
        )
        for to in MOVES[stage]
        if to in BY_HAND and to != stage
    )


def _move_words(stage: Stage, to: Stage, price: str) -> str:
    if (stage, to) == ("ready", "making"):
        return tr("Back to the bench")
    return tr("Quote it at {price}", price=price) if to == "quoted" and price else tr(BY_HAND[to])


def _measure(row: Measurement, order: Order, members: Mapping[str, str], workshop: Workshop) -> MeasureRow:
    wanted = measured_as(order.design, row.what)
    used = wanted is not None and abs(wanted - row.value) < LB / 100
    by = members.get(row.made_by, tr("the customer"))
    return MeasureRow(
        tr(MEASURED.get(row.what, row.what.capitalize())),
        row.typed,
        read_back(row, order.kept),
        how_words(row),
        moment(row.made_at, workshop),
        by,
        used,
    )


def proof_rows(
    connection: Connection, order: Order, entries: tuple[Entry, ...], workshop: Workshop
) -> tuple[ProofRow, ...]:
    """Return every version of the proof with its answer, the newest first."""
    answers = {one.seen.version: one for one in answers_of(connection, order.id)}
    sent = {one.fact.version: one.fact.at for one in entries if one.fact.action == "proof-sent"}
    rows = []
    for version in range(order.version, 0, -1):
        proof = proof_of_version(connection, order.id, version)
        said, message = _answer(answers.get(version), newest=version == order.version, stage=order.stage)
        at = moment_of(sent.get(version, ""), workshop)
        path = f"/shop/orders/{order.number}/proofs/{version}.pdf"
        rows.append(ProofRow(version, proof.code, at, path, said, message))
    return tuple(rows)


def _answer(given: Decision | None, *, newest: bool, stage: Stage) -> tuple[str, str]:
    if given is None:
        return (tr("No answer yet") if newest and stage == "proof-sent" else tr("Never answered")), ""
    if given.kind == "approve":
        return tr("Approved by {name}", name=given.name), ""
    return tr("Changes asked for"), given.message


def trail_rows(
    entries: tuple[Entry, ...], members: Mapping[str, str], links: tuple[Link, ...], workshop: Workshop
) -> tuple[TrailRow, ...]:
    """Return the record of an order in words, oldest first."""
    labels = {link.id: link.label for link in links}
    return tuple(
        TrailRow(moment_of(entry.fact.at, workshop), *entry_words(entry, members, labels))
        for entry in entries
    )


def moment_of(text: str, workshop: Workshop) -> str:
    """Return a moment that is kept as text (ISO 8601) in words."""
    return moment(datetime.fromisoformat(text), workshop) if text else ""


def details_of(order: Order, typed: Mapping[str, str], errors: Mapping[str, str]) -> tuple[DetailField, ...]:
    """Return the dates and notes of an order as a form."""
    promised, due = (day.isoformat() if day else "" for day in (order.promised_on, order.due_on))
    rows = (
        ("promised_on", tr("Promised for"), "date", promised, ""),
        ("due_on", tr("The customer needs it by"), "date", due, ""),
        ("notes", tr("What the customer said"), "lines", order.notes, ""),
        (
            "bench_notes",
            tr("Notes for the bench"),
            "lines",
            order.bench_notes,
            tr("The customer never sees these."),
        ),
    )
    return tuple(
        DetailField(name, label, kind, kept, typed.get(name, kept), hint, errors.get(name, ""))
        for name, label, kind, kept, hint in rows
    )


def again_path(order: Order, dog: Dog | None) -> str:
    """Return the address of a quick quote for the same dog in the same sizes."""
    given = {"customer": order.customer_id, "dog": dog.id if dog else "", **typed_design(order.design)}
    return address("/shop/quote", given)
