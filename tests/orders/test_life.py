"""An order's whole life, step by step at random, against a plain model of it that says what must happen."""

from collections.abc import Sequence
from dataclasses import replace
from functools import cache
from typing import ClassVar, Protocol

import pytest
from hypothesis import Phase, settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    RuleBasedStateMachine,
    invariant,
    precondition,
    rule,
    run_state_machine_as_test,
)

from service.orders import (
    STAGES,
    Accepted,
    AlreadyApproved,
    ChangesAlreadyAsked,
    Decision,
    DecisionRefused,
    Entry,
    Fact,
    Head,
    KeyReused,
    Kind,
    MoveRefused,
    OrderClosed,
    Proof,
    ProofChanged,
    Replayed,
    Stage,
    canonical,
    judge,
    may_edit,
    move,
    next_entry,
    sha256_hex,
    verify_chain,
    waits_for,
)
from tests.orders.makers import AT, PLAIN, answer, proof

DOGS = ("Rex", "Max")
KEYS = tuple(f"key-of-the-form-{n}" for n in range(6))
MAKERS_MOVES: dict[str, set[Stage]] = {  # the model's own words for what a maker may do, by where it leads
    "quoted": {"enquiry", "quoted"},
    "making": {"approved", "ready"},
    "ready": {"making"},
    "handed-over": {"ready"},
    "cancelled": {*STAGES} - {"handed-over", "cancelled"},
    "enquiry": set(),
}
HASHES = {dog: sha256_hex(canonical(replace(PLAIN, dog=dog))) for dog in DOGS}
QUICK = settings(max_examples=80, stateful_step_count=25, deadline=None)
ONCE = settings(QUICK, phases=[Phase.generate], derandomize=True, database=None, report_multiple_bugs=False)
a_proof = cache(lambda version, dog: proof(version, dog=dog))


class Rule(Protocol):
    def __call__(
        self,
        wish: Decision,
        head: Head,
        *,
        keyed: Decision | None,
        answers: Sequence[Decision],
        seen: Proof | None,
    ) -> Accepted | Replayed: ...


class OrdersLife(RuleBasedStateMachine):
    """The shop sends proofs and moves the order, the customer answers old and new proofs with any key."""

    judge: ClassVar[Rule] = staticmethod(judge)

    def __init__(self) -> None:
        super().__init__()
        self.stage: Stage = "enquiry"
        self.proofs: list[Proof] = []
        self.kept: dict[str, Decision] = {}
        self.record: list[Entry] = []
        self.answered: dict[int, Kind] = {}  # the model: what was answered to which version

    def put_on_record(self, action: str) -> None:
        fact = Fact(AT, "service", "test", action, "order-1", len(self.proofs))
        self.record.append(next_entry(self.record[-1] if self.record else None, fact))

    @rule(to=st.sampled_from(sorted(MAKERS_MOVES)))
    def the_maker_moves_the_order(self, to: Stage) -> None:
        try:
            after: Stage | None = move(self.stage, to)
        except MoveRefused:
            after = None
        assert (after is not None) == (self.stage in MAKERS_MOVES[to])
        self.stage = after or self.stage
        self.put_on_record(to)

    @precondition(lambda self: self.stage not in {"handed-over", "cancelled"})
    @rule(dog=st.sampled_from(DOGS))
    def the_maker_sends_a_new_proof(self, dog: str) -> None:
        self.stage = move(self.stage, "proof-sent")
        self.proofs.append(a_proof(len(self.proofs) + 1, dog))
        self.put_on_record("proof-sent")

    @precondition(lambda self: self.proofs)
    @rule(
        kind=st.sampled_from(["approve", "approve", "ask-changes"]),
        back=st.sampled_from([0, 0, 0, 1, 2]),
        key=st.sampled_from(KEYS),
        forged=st.sampled_from([False, False, False, True]),
    )
    def the_customer_answers(self, kind: Kind, back: int, key: str, forged: bool) -> None:  # noqa: FBT001
        shown = self.proofs[max(0, len(self.proofs) - 1 - back)]
        wish = answer(shown, kind, key=key)
        if forged:
            wish = replace(wish, seen=replace(shown.seen, sha256="0" * 64))
        expected = self.expected(wish)
        head = Head(self.stage, self.proofs[-1])
        given = tuple(self.kept.values())
        told: object
        try:
            told = type(self).judge(wish, head, keyed=self.kept.get(key), answers=given, seen=shown)
        except DecisionRefused as refusal:
            told = refusal
        assert type(told) is expected
        if isinstance(told, Accepted):
            self.kept[key] = told.decision
            self.answered[wish.seen.version] = kind
            self.stage = told.stage
            self.put_on_record(kind)

    def expected(self, wish: Decision) -> type[object]:
        """What the model says must come of an answer, from what was answered to which version alone."""
        newest = len(self.proofs)
        if wish.key in self.kept:
            return Replayed if self.kept[wish.key] == wish else KeyReused
        if self.stage == "cancelled":
            return OrderClosed
        if self.answered.get(newest) == "approve":
            return AlreadyApproved
        if wish.seen.version < newest or wish.seen.sha256 == "0" * 64:
            return ProofChanged
        return ChangesAlreadyAsked if newest in self.answered else Accepted

    @invariant()
    def every_answer_is_to_exactly_one_proof_and_none_has_two(self) -> None:
        seen = [decision.seen for decision in self.kept.values()]
        assert len(set(seen)) == len(seen)
        assert {one.version for one in seen} == set(self.answered)
        for one in seen:
            assert one.sha256 == HASHES[self.proofs[one.version - 1].body.dog]

    @invariant()
    def nothing_is_made_but_what_was_approved_last(self) -> None:
        if self.stage in {"approved", "making", "ready", "handed-over"}:
            assert self.answered[len(self.proofs)] == "approve"
            assert not may_edit(self.stage)
            assert waits_for(self.stage) != "customer"

    @invariant()
    def the_record_holds(self) -> None:
        assert verify_chain(self.record) == (self.record[-1].hash if self.record else "0" * 64)


TestOrdersLife = OrdersLife.TestCase
TestOrdersLife.settings = QUICK


def without_the_hash(
    wish: Decision, head: Head, *, keyed: Decision | None, answers: Sequence[Decision], seen: Proof | None
) -> Accepted | Replayed:
    """A careless rule: whatever the form says was seen, it is taken for the newest proof."""
    blind = replace(wish, seen=head.proof.seen)
    return judge(blind, head, keyed=keyed, answers=answers, seen=seen)


def without_the_key(
    wish: Decision, head: Head, *, keyed: Decision | None, answers: Sequence[Decision], seen: Proof | None
) -> Accepted | Replayed:
    """A careless rule: it forgets what came before under the same key."""
    del keyed
    return judge(wish, head, keyed=None, answers=answers, seen=seen)


def without_the_first_answer(
    wish: Decision, head: Head, *, keyed: Decision | None, answers: Sequence[Decision], seen: Proof | None
) -> Accepted | Replayed:
    """A careless rule: the last answer wins."""
    del answers
    return judge(wish, replace(head, stage="proof-sent"), keyed=keyed, answers=(), seen=seen)


@pytest.mark.parametrize("careless", [without_the_hash, without_the_key, without_the_first_answer])
def test_the_control_the_model_finds_a_careless_rule(careless: Rule) -> None:
    class CarelessLife(OrdersLife):
        judge: ClassVar[Rule] = staticmethod(careless)

    with pytest.raises(AssertionError):
        run_state_machine_as_test(CarelessLife, settings=ONCE)
