"""Proofs and answers: exactly what was seen is approved, once, whoever else writes at the same moment."""

from dataclasses import replace

import pytest
from sqlalchemy import text
from sqlalchemy.exc import DBAPIError

from service.errors import GirthwrightError
from service.orders import (
    Accepted,
    AlreadyApproved,
    Decision,
    Head,
    KeyReused,
    MoveRefused,
    Proof,
    ProofChanged,
    ProofDamaged,
    Replayed,
    Seen,
)
from service.storage import (
    Database,
    NotKept,
    StaleWrite,
    answers_of,
    change_order,
    check,
    newest_proof,
    order_by_id,
    proof_drawing_of,
    proof_of_version,
    proofs,
    record_of,
    send_proof,
)
from tests.storage.makers import (
    SHOP,
    SVG,
    act,
    answered,
    new_id,
    sealed,
    sent,
    shop_with_an_order,
)
from tests.storage.races import run_races, undecided

RACES = 100


def test_a_proof_is_read_back_as_it_was_sent(database: Database) -> None:
    order = shop_with_an_order(database)
    with database.writing() as connection:
        order, proof = sent(connection, order)
    with database.reading() as connection:
        assert newest_proof(connection, order.id) == proof == proof_of_version(connection, order.id, 1)
        assert proof_drawing_of(connection, proof.seen, "worn") == SVG
        assert order_by_id(connection, order.id) == order
        with pytest.raises(NotKept):
            proof_of_version(connection, order.id, 2)
        with pytest.raises(NotKept):
            proof_drawing_of(connection, proof.seen, "flat")
    assert (order.stage, order.version) == ("proof-sent", 1)


def test_an_approval_is_kept_with_its_entry_on_the_record(database: Database) -> None:
    order = shop_with_an_order(database)
    with database.writing() as connection:
        order, proof = sent(connection, order)
        done = answered(connection, proof)
    with database.reading() as connection:
        assert order_by_id(connection, order.id).stage == "approved"
        assert answers_of(connection, order.id) == (done.verdict.decision,)
        assert record_of(connection, SHOP, order.id)[-1] == done.entry
    assert done.entry.fact.sha256 == proof.sha256
    assert done.entry.fact.action == "approve"


def test_the_same_answer_three_times_is_one_decision_and_one_entry(database: Database) -> None:
    order = shop_with_an_order(database)
    with database.writing() as connection:
        order, proof = sent(connection, order)
        first = answered(connection, proof, key="key-of-the-first-form")
    before = check(database)
    for _ in range(2):
        with database.writing() as connection:
            again = answered(connection, proof, key="key-of-the-first-form")
        assert again.verdict == Replayed(first.verdict.decision)
        assert again.entry == first.entry
    assert check(database) == before


def refused(
    database: Database, kind: type[GirthwrightError], proof: Proof, **answer: str
) -> GirthwrightError:
    before = check(database)
    with pytest.raises(kind) as told, database.writing() as connection:
        answered(connection, proof, "approve", **answer)
    assert check(database) == before
    return told.value


def test_an_answer_to_an_older_proof_is_refused_with_both(database: Database) -> None:
    order = shop_with_an_order(database)
    with database.writing() as connection:
        order, old = sent(connection, order)
        order, new = sent(connection, order)
    told = refused(database, ProofChanged, old)
    assert isinstance(told, ProofChanged)
    assert (told.seen, told.now) == (old, new)
    assert [(change.was, change.now) for change in told.changes] == [
        ("This is version 1.", "This is version 2.")
    ]


def test_an_answer_with_another_hash_is_refused(database: Database) -> None:
    order = shop_with_an_order(database)
    with database.writing() as connection:
        _, proof = sent(connection, order)
    told = refused(database, ProofChanged, replace(proof, seen=Seen(order.id, 1, "0" * 64)))
    assert isinstance(told, ProofChanged)
    assert told.seen is None


def test_a_key_with_another_answer_and_a_second_approval_are_refused(database: Database) -> None:
    order = shop_with_an_order(database)
    with database.writing() as connection:
        _, proof = sent(connection, order)
        answered(connection, proof, key="key-of-the-first-form")
    refused(database, KeyReused, proof, key="key-of-the-first-form", name="Somebody Else")
    refused(database, AlreadyApproved, proof)


def test_an_answer_to_no_order_and_to_no_proof_is_refused(database: Database) -> None:
    order = shop_with_an_order(database)
    refused(database, NotKept, sealed(order))
    refused(database, NotKept, sealed(replace(order, id="order-0")))


def test_asking_for_changes_leads_to_a_second_version(database: Database) -> None:
    order = shop_with_an_order(database)
    with database.writing() as connection:
        _, first = sent(connection, order)
        answered(connection, first, "ask-changes")
        order = order_by_id(connection, order.id)
        assert order.stage == "changes-asked"
        order, second = sent(connection, order)
        answered(connection, second)
    with database.reading() as connection:
        assert [(d.kind, d.seen.version) for d in answers_of(connection, order.id)] == [
            ("ask-changes", 1),
            ("approve", 2),
        ]
        assert proof_of_version(connection, order.id, 1) == first


def test_a_proof_from_a_stale_page_is_refused_and_so_is_one_after_the_end(database: Database) -> None:
    stale = shop_with_an_order(database)
    with database.writing() as connection:
        order = change_order(connection, replace(stale, notes="Softer."), act())
    with pytest.raises(StaleWrite), database.writing() as connection:
        sent(connection, stale)
    with database.writing() as connection:
        ended = change_order(connection, replace(order, stage="cancelled"), act())
    with pytest.raises(MoveRefused), database.writing() as connection:
        sent(connection, ended)
    with pytest.raises(ValueError, match="version 1"), database.writing() as connection:
        send_proof(connection, ended, sealed(replace(ended, version=4)), [], act())
    assert check(database).rows["proof"] == 0


@pytest.mark.parametrize("table", ["proof", "proof_drawing", "decision", "audit", "catalogue"])
@pytest.mark.parametrize(
    "statement",
    ["UPDATE {} SET version = version + 1", "DELETE FROM {}"],
)
def test_what_was_sent_answered_and_recorded_can_not_be_changed(
    database: Database, table: str, statement: str
) -> None:
    order = shop_with_an_order(database)
    with database.writing() as connection:
        _, proof = sent(connection, order)
        answered(connection, proof)
    before = check(database)
    with pytest.raises(DBAPIError, match=f"kept in {table} is not to be"), database.writing() as connection:
        connection.exec_driver_sql(statement.format(table))
    assert check(database) == before


def test_neither_replacing_nor_emptying_goes_round_the_triggers(database: Database) -> None:
    order = shop_with_an_order(database)
    with database.writing() as connection:
        _, proof = sent(connection, order)
        answered(connection, proof)
    before = check(database)
    ways = (
        [
            "INSERT OR REPLACE INTO audit SELECT * FROM audit",
            "INSERT OR REPLACE INTO proof SELECT * FROM proof",
        ]
        if database.file
        else ["TRUNCATE audit", "TRUNCATE proof CASCADE", "TRUNCATE catalogue"]
    )
    for way in ways:
        with pytest.raises(DBAPIError, match="is not to be"), database.writing() as connection:
            connection.exec_driver_sql(way)
    assert check(database) == before


def test_a_proof_altered_behind_the_triggers_is_noticed(database: Database) -> None:
    order = shop_with_an_order(database)
    with database.writing() as connection:
        sent(connection, order)
        on = "" if database.file else " ON proof"
        connection.exec_driver_sql(f"DROP TRIGGER proof_changed{on}")
        connection.exec_driver_sql("UPDATE proof SET body = replace(body, 'Ada', 'Eve')")
    with pytest.raises(ProofDamaged), database.reading() as connection:
        newest_proof(connection, order.id)


def test_of_racing_approvals_and_edits_exactly_one_wins(url: str) -> None:
    wrong, came = run_races(url, RACES)
    assert wrong == []
    assert undecided(came) == []
    assert {name for race_came in came for name, how in race_came.items() if how == "done"} >= {"edit"}


def test_the_races_would_show_answers_taken_without_the_rule(
    url: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    def take_all(wish: Decision, head: Head, **_: object) -> Accepted:
        del head
        return Accepted(wish, "approved")

    monkeypatch.setattr(proofs, "judge", take_all)
    wrong, _ = run_races(url, 40)
    assert wrong


def test_one_version_has_one_answer_even_for_who_writes_around_the_rule(database: Database) -> None:
    order = shop_with_an_order(database)
    with database.writing() as connection:
        _, proof = sent(connection, order)
        answered(connection, proof)
    columns = "order_id, version, sha256, kind, name, message, at"
    twice = text(f"INSERT INTO decision (key, {columns}) SELECT :key, {columns} FROM decision")  # noqa: S608
    with pytest.raises(DBAPIError), database.writing() as connection:
        connection.execute(twice, {"key": new_id("key")})
