"""The stages of an order: which moves there are, whom each waits for, and what each is called."""

from dataclasses import dataclass
from typing import Literal, get_args

from service.errors import GirthwrightError
from service.language import mark, tr

Stage = Literal[
    "enquiry",
    "quoted",
    "proof-sent",
    "changes-asked",
    "approved",
    "making",
    "ready",
    "handed-over",
    "cancelled",
]
Waits = Literal["maker", "customer"]

STAGES: tuple[Stage, ...] = get_args(Stage)
"""Every stage, in the order in which an order comes to them."""

MOVES: dict[Stage, tuple[Stage, ...]] = {
    "enquiry": ("quoted", "proof-sent", "cancelled"),
    "quoted": ("quoted", "proof-sent", "cancelled"),
    "proof-sent": ("proof-sent", "changes-asked", "approved", "cancelled"),
    "changes-asked": ("proof-sent", "cancelled"),
    "approved": ("making", "proof-sent", "cancelled"),
    "making": ("ready", "proof-sent", "cancelled"),
    "ready": ("handed-over", "making", "proof-sent", "cancelled"),
    "handed-over": (),
    "cancelled": (),
}
"""Where each stage may go. A quote or a proof may be replaced by a newer one before it is answered; whatever
is changed after the approval goes back to the customer as a new proof. Common practice."""


DRAFTED: frozenset[Stage] = frozenset({"enquiry", "quoted", "proof-sent", "changes-asked"})
"""Stages in which the design may still be edited."""


@dataclass(frozen=True, slots=True)
class StageWords:
    """A stage in plain words: its name, whom it waits for, and what is next for maker and customer."""

    called: str
    waits: Waits | None
    to_maker: str
    to_customer: str

    @property
    def name(self) -> str:
        """What it is called, in the reader's language."""
        return tr(self.called)

    @property
    def maker(self) -> str:
        """What is next for the maker, in the reader's language."""
        return tr(self.to_maker)

    @property
    def customer(self) -> str:
        """What is next for the customer, in the reader's language."""
        return tr(self.to_customer)


WORDS: dict[Stage, StageWords] = {
    "enquiry": StageWords(
        mark("Enquiry"),
        "maker",
        mark("Send a quote or a proof."),
        mark("The shop has your enquiry and will answer you."),
    ),
    "quoted": StageWords(
        mark("Quoted"),
        "customer",
        mark("The customer has the quote. When they say yes, send a proof."),
        mark("Tell the shop whether the price suits you."),
    ),
    "proof-sent": StageWords(
        mark("Proof sent"),
        "customer",
        mark("The customer has the proof. Nothing is cut before it is approved."),
        mark("Look the proof over, then approve it or ask for changes."),
    ),
    "changes-asked": StageWords(
        mark("Changes asked"),
        "maker",
        mark("Change the design as asked and send a new proof."),
        mark("The shop is changing the design and will send a new proof."),
    ),
    "approved": StageWords(
        mark("Approved"),
        "maker",
        mark("Make it exactly as approved."),
        mark("The shop has your approval and will begin."),
    ),
    "making": StageWords(
        mark("Making"), "maker", mark("Finish it, and mark it ready."), mark("Your order is on the bench.")
    ),
    "ready": StageWords(
        mark("Ready"),
        "maker",
        mark("Hand it over or send it."),
        mark("Your order is finished and ready for you."),
    ),
    "handed-over": StageWords(
        mark("Handed over"),
        None,
        mark("Nothing is left to do."),
        mark("It is with you. Check the fit every week."),
    ),
    "cancelled": StageWords(
        mark("Cancelled"),
        None,
        mark("Nothing is left to do."),
        mark("Nothing will be made. If that surprises you, ask the shop."),
    ),
}
"""What each stage is called and waits for. Common practice."""


class MoveRefused(GirthwrightError):
    """An order can't go from `stage` to `to`; `allowed` are the stages it can go to."""

    def __init__(self, stage: Stage, to: Stage) -> None:
        self.stage = stage
        self.to = to
        self.allowed = MOVES[stage]
        ways = ", ".join(WORDS[way].name.lower() for way in self.allowed)
        out = (
            tr("From here it can go to: {ways}.", ways=ways)
            if ways
            else tr("That is where an order ends: start a new one.")
        )
        at = tr(
            "The order is at “{stage}” and can't go to “{to}”.", stage=WORDS[stage].name, to=WORDS[to].name
        )
        super().__init__(f"{at} {out}")


def move(stage: Stage, to: Stage) -> Stage:
    """Return the stage that an order at one stage is at after a move to another.

    Source: `MOVES`, common practice. Worked: from "approved" to "making" is "making". Raises MoveRefused,
    naming the moves there are.
    """
    if to not in MOVES[stage]:
        raise MoveRefused(stage, to)
    return to


def waits_for(stage: Stage) -> Waits | None:
    """Return whom an order at this stage waits for: the maker, the customer or nobody (None).

    Source: `WORDS`, common practice. Worked: "proof-sent" waits for the customer.
    """
    return WORDS[stage].waits


def may_edit(stage: Stage) -> bool:
    """Tell whether the design of an order at this stage may be edited; after the approval it is frozen.

    Source: common practice. Worked: "changes-asked" may, "approved" may not.
    """
    return stage in DRAFTED


def may_send_proof(stage: Stage) -> bool:
    """Tell whether a new proof may go out at this stage; after the approval it is how a change is made.

    Source: `MOVES`. Worked: "approved" may, "cancelled" may not.
    """
    return "proof-sent" in MOVES[stage]
