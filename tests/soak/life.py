"""An order's whole life, step by step at random, through pages and store, against a plain model of it.

`tests/orders/test_life.py` does the same with the rules alone.
"""

from datetime import UTC, datetime, timedelta
from http import HTTPStatus
from itertools import count
from typing import ClassVar, Final

from hypothesis import Phase, settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    RuleBasedStateMachine,
    invariant,
    precondition,
    rule,
    run_state_machine_as_test,
)

from service.orders import Kind, Proof, Stage
from service.storage import Act, Link, answers_of, make_link, newest_proof, token_hash
from tests.makers import client
from tests.orders.test_life import MAKERS_MOVES
from tests.web.shop_makers import Shop

DONE: Final = 303
KEYS: Final = tuple(f"key-of-the-form-{n}" for n in range(4))
BUTTONS: Final = sorted({*MAKERS_MOVES} - {"enquiry"})


class LifeOnPages(RuleBasedStateMachine):
    """A maker's browser and a customer's, and a model that knows who has answered what to which version."""

    shop: ClassVar[Shop]
    orders: ClassVar["count[int]"] = count(1)
    steps: ClassVar["count[int]"] = count(1)

    def __init__(self) -> None:
        super().__init__()
        number = next(self.orders)
        self.number = self.shop.order(f"Ada {number}").number
        self.token = f"token-of-{number}".ljust(43, "-")
        self.customer = client(self.shop.app)
        self.customer.follow_redirects = False
        self.proofs: list[Proof] = []
        self.stage: Stage = "enquiry"
        self.kept: dict[str, tuple[int, Kind]] = {}
        self.answered: dict[int, Kind] = {}
        at = datetime.now(UTC)
        order = self.shop.kept(self.number).id
        link = Link(
            f"link-{number}", order, "proof", "Ada", token_hash(self.token), at, at + timedelta(days=1)
        )
        with self.shop.database.writing() as connection:
            make_link(connection, link, Act("maker", "maker", at))

    @rule(to=st.sampled_from(BUTTONS))
    def the_maker_presses_a_button(self, to: Stage) -> None:
        next(self.steps)
        may = (
            self.stage in MAKERS_MOVES[to] or self.stage == to
        )  # the same again is taken, and changes nothing
        assert (self.shop.move(self.number, to).status_code == DONE) is may
        if may:
            self.stage = to

    @precondition(lambda self: self.stage not in {"handed-over", "cancelled"})
    @rule()
    def the_maker_sends_a_proof(self) -> None:
        next(self.steps)
        answer = self.shop.proof(self.number)
        assert answer.status_code == DONE, answer.text
        with self.shop.database.reading() as connection:
            made = newest_proof(connection, self.shop.kept(self.number).id)
        assert made is not None
        self.proofs.append(made)
        self.stage = "proof-sent"

    @precondition(lambda self: self.proofs)
    @rule(
        kind=st.sampled_from(["approve", "approve", "ask-changes"]),
        back=st.sampled_from([0, 0, 0, 1]),
        key=st.sampled_from(KEYS),
        forged=st.sampled_from([False, False, False, True]),
    )
    def the_customer_answers(self, kind: Kind, back: int, key: str, forged: bool) -> None:  # noqa: FBT001
        next(self.steps)
        shown = self.proofs[max(0, len(self.proofs) - 1 - back)]
        version, sha256 = shown.version, "0" * 64 if forged else shown.sha256
        form = {"version": str(version), "sha256": sha256, "key": f"{key}-of-{self.number:->9}", "kind": kind}
        form |= {"name": "Ada Example"} if kind == "approve" else {"message": "Wider, please."}
        answer = self.customer.post(f"/p/{self.token}/answer", data=form)
        accepted = self.expected(kind, version, key, forged=forged)
        assert (answer.status_code == DONE) is accepted, (answer.status_code, form, vars(self))
        if accepted and key not in self.kept:
            self.kept[key] = (version, kind)
            self.answered[version] = kind
            self.stage = "approved" if kind == "approve" else "changes-asked"

    def expected(self, kind: Kind, version: int, key: str, *, forged: bool) -> bool:
        """Whether the model takes an answer; the same one again is taken too, and changes nothing."""
        if key in self.kept:
            return self.kept[key] == (version, kind) and not forged
        newest = len(self.proofs)
        return self.stage == "proof-sent" and version == newest and newest not in self.answered and not forged

    @invariant()
    def the_store_holds_what_the_model_says(self) -> None:
        order = self.shop.kept(self.number)
        assert (order.stage, order.version) == (self.stage, len(self.proofs))
        with self.shop.database.reading() as connection:
            held = {one.seen.version: one.kind for one in answers_of(connection, order.id)}
        assert held == self.answered

    @invariant()
    def the_customer_can_look(self) -> None:
        if self.proofs:
            closed = self.stage == "cancelled"  # its links close with an order
            status = HTTPStatus.GONE if closed else HTTPStatus.OK
            assert self.customer.get(f"/p/{self.token}").status_code == status


def live(examples: int, steps: int) -> int:
    """Live so many lives; how many steps were taken. Raises AssertionError where pages and model differ."""

    class Life(LifeOnPages):
        shop = Shop()
        orders = count(1)
        steps = count(1)

    how = settings(max_examples=examples, stateful_step_count=steps, deadline=None, database=None)
    once = settings(how, phases=[Phase.generate], derandomize=True, report_multiple_bugs=False)
    run_state_machine_as_test(Life, settings=once)
    return next(Life.steps) - 1
