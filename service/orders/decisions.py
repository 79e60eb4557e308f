"""The customer's answer to a proof: how it is read, and the one rule by which it is taken or refused."""

import re
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Literal

from service.errors import GirthwrightError, Unreadable
from service.language import tr
from service.orders.changes import Change, differences
from service.orders.proof import Proof, Seen
from service.orders.stages import WORDS, Stage, move
from service.saying import say
from service.text import clean_line

Kind = Literal["approve", "ask-changes"]

OUTCOME: dict[Kind, Stage] = {"approve": "approved", "ask-changes": "changes-asked"}
"""The stage that each answer moves an order to."""

NAME_MAX = 80
"""Longest name under an approval [characters]. From memory."""
MESSAGE_MAX = 2000
"""Longest message with a request for changes [characters]. From memory."""
KEY = re.compile(r"[A-Za-z0-9_-]{16,64}")
"""The key that a form carries, so that one answer sent twice counts once."""


@dataclass(frozen=True, slots=True)
class Decision:
    """A customer's answer: what they had before them, the key of their form, and what they answered.

    `name` is what they typed to approve, `message` what they want changed. `at` (UTC, ISO 8601) is when it
    came; it is no part of the answer: the same answer sent twice comes at two times.
    """

    seen: Seen
    key: str
    kind: Kind
    name: str
    message: str
    at: str = field(compare=False)


@dataclass(frozen=True, slots=True)
class Head:
    """Where an order stands: its stage, and the newest version of its proof."""

    stage: Stage
    proof: Proof


@dataclass(frozen=True, slots=True)
class Accepted:
    """The answer counts: keep it, and move the order to `stage`."""

    decision: Decision
    stage: Stage


@dataclass(frozen=True, slots=True)
class Replayed:
    """The very same answer is kept already: nothing changes, and `decision` is what to confirm again."""

    decision: Decision


class DecisionRefused(GirthwrightError):
    """The head of all reasons not to take an answer; never raised itself."""


class ProofChanged(DecisionRefused):
    """The answer is to another proof than the newest: `seen`, if it can be told which, and `now`.

    `changes` is everything in which the two differ.
    """

    def __init__(self, seen: Proof | None, now: Proof) -> None:
        self.seen = seen
        self.now = now
        super().__init__(
            tr(
                "The shop has sent a newer proof since you opened this one, so your answer was not recorded."
                " Look version {version}, code {code}, over and answer that one.",
                version=now.version,
                code=now.code,
            )
        )

    @property
    def changes(self) -> tuple[Change, ...]:
        """What differs between the proof that was seen and the newest."""
        return () if self.seen is None else differences(self.seen.body, self.now.body)


class KeyReused(DecisionRefused):
    """The form's key came before with another answer, `earlier`, which stands."""

    def __init__(self, earlier: Decision) -> None:
        self.earlier = earlier
        super().__init__(
            tr(
                "This form was sent before with another answer, and that one stands. To answer anew, load the"
                " page again."
            )
        )


class AlreadyApproved(DecisionRefused):
    """The newest proof is approved already: `approval` is the answer that stands."""

    def __init__(self, approval: Decision) -> None:
        self.approval = approval
        super().__init__(
            tr(
                "{name} has approved version {version} already, and that stands. If something must change"
                " after all, tell the shop: it will send a new proof.",
                name=approval.name,
                version=approval.seen.version,
            )
        )


class ChangesAlreadyAsked(DecisionRefused):
    """Changes to the newest proof are asked for already: `request` is the answer that stands."""

    def __init__(self, request: Decision) -> None:
        self.request = request
        super().__init__(
            tr(
                "Changes to version {version} were asked for already, and the shop is at work on them. Answer"
                " the new proof when it comes; to add something, tell the shop.",
                version=request.seen.version,
            )
        )


class OrderClosed(DecisionRefused):
    """The order, at `stage`, has no proof that waits for an answer."""

    def __init__(self, stage: Stage) -> None:
        self.stage = stage
        super().__init__(
            tr(
                "This order is at “{stage}”, and no proof of it waits for an answer. If that surprises you,"
                " ask the shop.",
                stage=WORDS[stage].name,
            )
        )


def read_decision(kind: Kind, seen: Seen, key: str, *, name: str, message: str, at: str) -> Decision:
    """Return the answer that a form means; `name` and `message` as typed, `at` in UTC (ISO 8601).

    Source: derived. Worked: the name "  Ada  Example " is "Ada Example". Raises Unreadable for an approval
    without a name, a request that says nothing, signs that can't be shown, and a form without its key.
    """
    if KEY.fullmatch(key) is None:
        raise Unreadable(key, say("The form came without its key."), tr("load the page again, then send it."))
    signed, wanted = clean_line(name, NAME_MAX), _clean_lines(message)
    if kind == "approve" and not signed:
        raise Unreadable(name, say("Type your name to approve."), "Ada Example")
    if kind == "ask-changes" and not wanted:
        raise Unreadable(message, say("Say what should be different."), tr("The neck is 20 in, not 19 in."))
    return Decision(seen, key, kind, signed, wanted, at)


def _clean_lines(text: str) -> str:
    """Text as typed in several lines, each of them clean, without empty ones at either end."""
    lines = "\n".join(clean_line(line, MESSAGE_MAX) for line in text.splitlines()).strip("\n")
    if len(lines) > MESSAGE_MAX:
        reason = say(
            "That is {count} characters, and {limit} is the most.", count=len(lines), limit=MESSAGE_MAX
        )
        raise Unreadable(text, reason, lines[:MESSAGE_MAX])
    return lines


def judge(
    wish: Decision, head: Head, *, keyed: Decision | None, answers: Sequence[Decision], seen: Proof | None
) -> Accepted | Replayed:
    """Return whether an answer counts or was kept before; the whole rule, in the order in which it is asked.

    `keyed` is the answer kept under the wish's key, in whatever order; `answers` are those kept for this
    order; `seen` is the stored proof that the wish names, all None or empty where there is none. Source:
    derived: one answer to each version, bound to exactly what was seen. Worked: an approval of the newest
    proof is Accepted, the same sent again Replayed. Raises KeyReused for another answer under the same key,
    OrderClosed when nothing waits for an answer, AlreadyApproved, ProofChanged for any other proof than the
    newest, ChangesAlreadyAsked.
    """
    if keyed is not None:
        if keyed != wish:
            raise KeyReused(keyed)
        return Replayed(keyed)
    if head.stage == "cancelled":
        raise OrderClosed(head.stage)
    given = next((answer for answer in answers if answer.seen == head.proof.seen), None)
    if given is not None and given.kind == "approve":
        raise AlreadyApproved(given)
    if wish.seen != head.proof.seen:
        raise ProofChanged(seen, head.proof)
    if given is not None:
        raise ChangesAlreadyAsked(given)
    if head.stage != "proof-sent":
        raise OrderClosed(head.stage)
    return Accepted(wish, move(head.stage, OUTCOME[wish.kind]))
