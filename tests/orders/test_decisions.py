"""Decisions: an answer counts once, for exactly the proof that was seen; everything else is told why not."""

import pickle

import pytest

from service.errors import Unreadable
from service.orders import (
    STAGES,
    Accepted,
    AlreadyApproved,
    ChangesAlreadyAsked,
    DecisionRefused,
    Head,
    KeyReused,
    Kind,
    OrderClosed,
    ProofChanged,
    Replayed,
    Seen,
    Stage,
    differences,
    judge,
    read_decision,
)
from service.orders.decisions import MESSAGE_MAX, NAME_MAX
from tests.orders.makers import AT, KEY, answer, proof

OLD = proof(1)
NEW = proof(2, dog="Max")
WAITING = Head("proof-sent", NEW)
OTHER_KEY = "key-of-another-form"


@pytest.mark.parametrize(("kind", "stage"), [("approve", "approved"), ("ask-changes", "changes-asked")])
def test_an_answer_to_the_newest_proof_is_accepted_and_moves_the_order(kind: Kind, stage: Stage) -> None:
    wish = answer(NEW, kind)
    assert judge(wish, WAITING, keyed=None, answers=(), seen=NEW) == Accepted(wish, stage)


def test_the_same_answer_sent_again_is_confirmed_again_and_changes_nothing() -> None:
    kept = answer(NEW)
    again = answer(NEW, at="2026-11-25T14:05:00+00:00")
    head = Head("approved", NEW)
    told = judge(again, head, keyed=kept, answers=(kept,), seen=NEW)
    assert told == Replayed(kept)
    assert isinstance(told, Replayed)
    assert told.decision.at == AT


@pytest.mark.parametrize("stage", STAGES)
def test_an_answer_sent_again_is_confirmed_wherever_the_order_has_come_to(stage: Stage) -> None:
    kept = answer(OLD)
    assert judge(answer(OLD), Head(stage, NEW), keyed=kept, answers=(kept,), seen=OLD) == Replayed(kept)


@pytest.mark.parametrize(
    "other",
    [
        answer(NEW, name="Bob Example"),
        answer(NEW, "ask-changes"),
        answer(NEW, message="And quickly."),
        answer(OLD),
    ],
)
def test_the_same_key_with_another_answer_is_refused_with_the_one_that_stands(other: object) -> None:
    kept = answer(NEW)
    assert isinstance(other, type(kept))
    with pytest.raises(KeyReused) as refused:
        judge(other, WAITING, keyed=kept, answers=(kept,), seen=NEW)
    assert refused.value.earlier == kept


def test_an_answer_to_an_older_proof_is_refused_with_both_proofs_and_what_changed() -> None:
    with pytest.raises(ProofChanged) as refused:
        judge(answer(OLD), WAITING, keyed=None, answers=(), seen=OLD)
    assert (refused.value.seen, refused.value.now) == (OLD, NEW)
    assert refused.value.changes == differences(OLD.body, NEW.body)
    assert f"Look version 2, code {NEW.code}, over" in str(refused.value)


def test_a_hash_that_belongs_to_no_proof_is_refused_with_the_newest() -> None:
    forged = Seen(NEW.seen.order, NEW.version, "0" * 64)
    wish = read_decision("approve", forged, KEY, name="Ada Example", message="", at=AT)
    with pytest.raises(ProofChanged) as refused:
        judge(wish, WAITING, keyed=None, answers=(), seen=None)
    assert (refused.value.seen, refused.value.now, refused.value.changes) == (None, NEW, ())


def test_the_same_content_under_an_older_version_is_still_an_older_proof() -> None:
    again = proof(3, dog="Max")
    assert again.sha256 == NEW.sha256
    with pytest.raises(ProofChanged):
        judge(answer(NEW), Head("proof-sent", again), keyed=None, answers=(), seen=NEW)


@pytest.mark.parametrize("stage", ["approved", "making", "ready", "handed-over"])
@pytest.mark.parametrize("seen", [OLD, NEW], ids=["stale", "newest"])
@pytest.mark.parametrize("kind", ["approve", "ask-changes"])
def test_after_the_approval_every_other_answer_is_told_of_it(stage: Stage, seen: object, kind: Kind) -> None:
    shown = OLD if seen is OLD else NEW
    approval = answer(NEW)
    wish = answer(shown, kind, key=OTHER_KEY)
    with pytest.raises(AlreadyApproved) as refused:
        judge(wish, Head(stage, NEW), keyed=None, answers=(approval,), seen=shown)
    assert refused.value.approval == approval
    assert "Ada Example has approved version 2 already" in str(refused.value)


@pytest.mark.parametrize("kind", ["approve", "ask-changes"])
def test_whoever_comes_second_is_told_that_changes_were_asked_for(kind: Kind) -> None:
    request = answer(NEW, "ask-changes")
    wish = answer(NEW, kind, key=OTHER_KEY)
    with pytest.raises(ChangesAlreadyAsked) as refused:
        judge(wish, Head("changes-asked", NEW), keyed=None, answers=(request,), seen=NEW)
    assert refused.value.request == request


def test_a_new_proof_after_an_answer_can_be_answered_anew() -> None:
    wish = answer(NEW, key=OTHER_KEY)
    for earlier in (answer(OLD), answer(OLD, "ask-changes")):
        assert judge(wish, WAITING, keyed=None, answers=(earlier,), seen=NEW) == Accepted(wish, "approved")


@pytest.mark.parametrize("stage", ["enquiry", "quoted", "changes-asked", "approved", "cancelled"])
def test_an_order_whose_proof_waits_for_no_answer_takes_none(stage: Stage) -> None:
    with pytest.raises(OrderClosed) as refused:
        judge(answer(NEW), Head(stage, NEW), keyed=None, answers=(), seen=NEW)
    assert refused.value.stage == stage


def test_a_cancelled_order_says_so_even_where_it_was_approved() -> None:
    wish = answer(NEW, key=OTHER_KEY)
    with pytest.raises(OrderClosed, match="This order is at “Cancelled”"):
        judge(wish, Head("cancelled", NEW), keyed=None, answers=(answer(NEW),), seen=NEW)


def test_what_is_typed_is_cleaned_and_nothing_of_it_lost() -> None:
    message = "  The neck is  20 in. \r\n\r\nAnd brass, please.\n\n"
    read = answer(NEW, "ask-changes", name="  Ada   Example ", message=message)
    assert (read.name, read.message) == ("Ada Example", "The neck is 20 in.\n\nAnd brass, please.")


@pytest.mark.parametrize("name", ["", "   ", "\t"])
def test_an_approval_needs_a_name(name: str) -> None:
    with pytest.raises(Unreadable, match="Type your name to approve"):
        answer(NEW, name=name)


@pytest.mark.parametrize("message", ["", " \n \r\n "])
def test_a_request_for_changes_needs_words_and_no_name(message: str) -> None:
    assert answer(NEW, "ask-changes", name="").name == ""
    with pytest.raises(Unreadable, match="Say what should be different"):
        answer(NEW, "ask-changes", message=message)


def test_names_and_messages_have_a_longest_length_that_is_still_taken() -> None:
    assert len(answer(NEW, name="A" * NAME_MAX).name) == NAME_MAX
    with pytest.raises(Unreadable):
        answer(NEW, name="A" * (NAME_MAX + 1))
    half = "b" * (MESSAGE_MAX // 2)
    assert len(answer(NEW, "ask-changes", message=f"{half}\n{half[1:]}").message) == MESSAGE_MAX
    with pytest.raises(Unreadable) as refused:
        answer(NEW, "ask-changes", message=f"{half}\n{half}")
    assert f"That is {MESSAGE_MAX + 1} characters, and {MESSAGE_MAX} is the most." in str(refused.value)
    assert answer(NEW, "ask-changes", message=refused.value.would_work).message == refused.value.would_work


def test_signs_that_cant_be_shown_are_refused_by_name() -> None:
    with pytest.raises(Unreadable, match=r"U\+202E right-to-left override"):
        answer(NEW, name="Ada \u202eExample")


@pytest.mark.parametrize("key", ["", "short", "k" * 65, "key with spaces in it", "key-of-the-first-form\n"])
def test_a_form_without_its_key_is_sent_back(key: str) -> None:
    with pytest.raises(Unreadable, match="load the page again"):
        answer(NEW, key=key)


@pytest.mark.parametrize(
    "refusal",
    [
        ProofChanged(OLD, NEW),
        KeyReused(answer(NEW)),
        AlreadyApproved(answer(NEW)),
        ChangesAlreadyAsked(answer(NEW, "ask-changes")),
        OrderClosed("cancelled"),
    ],
    ids=lambda refusal: type(refusal).__name__,
)
def test_every_refusal_says_what_would_work_and_can_be_handed_on(refusal: DecisionRefused) -> None:
    again = pickle.loads(pickle.dumps(refusal))  # noqa: S301 (made in the line itself)
    assert (type(again), vars(again), str(again)) == (type(refusal), vars(refusal), str(refusal))
    assert any(
        way in str(refusal) for way in ("answer that one", "load the page", "tell the shop", "ask the")
    )
