"""The stages of an order: one table of moves, and plain words for each."""

from itertools import product
from typing import get_args

import pytest

from service.orders import (
    MOVES,
    STAGES,
    WORDS,
    MoveRefused,
    Stage,
    may_edit,
    may_send_proof,
    move,
    waits_for,
)

PAIRS = list(product(STAGES, STAGES))
FINAL = {"handed-over", "cancelled"}
FROZEN = {"approved", "making", "ready", "handed-over"}


def test_every_stage_has_its_moves_and_its_words() -> None:
    assert set(MOVES) == set(WORDS) == set(STAGES) == set(get_args(Stage))
    for words in WORDS.values():
        assert words.name
        assert words.maker.endswith(".")
        assert words.customer.endswith(".")


@pytest.mark.parametrize(("stage", "to"), PAIRS)
def test_a_move_is_made_when_the_table_holds_it_and_refused_otherwise(stage: Stage, to: Stage) -> None:
    if to in MOVES[stage]:
        assert move(stage, to) == to
        return
    with pytest.raises(MoveRefused) as refused:
        move(stage, to)
    assert (refused.value.stage, refused.value.to, refused.value.allowed) == (stage, to, MOVES[stage])
    for way in MOVES[stage]:
        assert WORDS[way].name.lower() in str(refused.value)


def test_a_refused_move_says_what_would_work() -> None:
    with pytest.raises(MoveRefused) as refused:
        move("approved", "handed-over")
    assert str(refused.value) == (
        "The order is at “Approved” and can't go to “Handed over”."
        " From here it can go to: making, proof sent, cancelled."
    )
    with pytest.raises(MoveRefused, match="That is where an order ends: start a new one"):
        move("cancelled", "making")


def test_every_order_can_come_to_each_stage_and_from_each_to_an_end() -> None:
    reached, todo = {"enquiry"}, [*MOVES["enquiry"]]
    while todo:
        stage = todo.pop()
        if stage not in reached:
            reached.add(stage)
            todo += MOVES[stage]
    assert reached == set(STAGES)
    assert {stage for stage, ways in MOVES.items() if not ways} == FINAL
    assert all("cancelled" in ways for stage, ways in MOVES.items() if stage not in FINAL)


def test_only_a_proof_that_was_sent_can_be_approved_or_sent_back() -> None:
    for outcome in ("approved", "changes-asked"):
        assert [stage for stage, ways in MOVES.items() if outcome in ways] == ["proof-sent"]


def test_nothing_is_made_that_was_not_approved() -> None:
    assert {stage for stage, ways in MOVES.items() if "making" in ways} == {"approved", "ready"}
    assert [stage for stage, ways in MOVES.items() if "handed-over" in ways] == ["ready"]


@pytest.mark.parametrize("stage", STAGES)
def test_a_design_is_frozen_by_the_approval_and_by_the_end(stage: Stage) -> None:
    assert may_edit(stage) == (stage not in FROZEN | FINAL)


@pytest.mark.parametrize("stage", STAGES)
def test_a_new_proof_may_go_out_as_long_as_the_order_is_not_over(stage: Stage) -> None:
    assert may_send_proof(stage) == (stage not in FINAL)


def test_an_order_waits_for_the_customer_where_the_customer_has_to_answer() -> None:
    assert [stage for stage in STAGES if waits_for(stage) == "customer"] == ["quoted", "proof-sent"]
    assert {stage for stage in STAGES if waits_for(stage) is None} == FINAL
