"""The receipt: what was answered, to what, and the hashes that bear witness."""

import pytest

from service.orders import Fact, next_entry, receipt
from tests.orders.makers import answer, proof

PROOF = proof(3)
ENTRY = next_entry(None, Fact("2026-11-25T14:02:11+00:00", "customer", "link-1", "approved"))


def test_a_receipt_says_who_answered_what_and_when() -> None:
    lines = receipt(answer(PROOF), PROOF, ENTRY).splitlines()
    total = PROOF.body.price.total.words
    assert lines[0] == "Oxlip Bench, order 1042"
    assert lines[1] == f"Recorded 2026-11-25 14:02 UTC, version 3, code {PROOF.code}"
    assert "Ada Example approved this proof." in lines
    assert "For Rex" in lines
    assert any(line.startswith(f"Price: {total} (Collar, made to measure ") for line in lines)
    assert "Promised: Saturday, 12 December 2026" in lines
    assert "Terms: version 2" in lines


def test_a_receipt_bears_witness_for_the_proof_and_for_the_record() -> None:
    text = receipt(answer(PROOF), PROOF, ENTRY)
    assert PROOF.sha256 in text
    assert f"Entry 1 of the shop's record: {ENTRY.hash}" in text
    assert text.endswith("records.\n")


def test_a_request_for_changes_is_receipted_with_its_words() -> None:
    text = receipt(answer(PROOF, "ask-changes", name="", message="Wider.\nAnd brass."), PROOF, ENTRY)
    assert "The customer asked for changes to this proof.\nWanted: Wider.\nAnd brass.\n" in text


@pytest.mark.parametrize(
    "at", ["2026-11-25T14:02:11Z", "2026-11-25T15:02:11.123456+01:00", "2026-11-25T14:02:11"]
)
def test_a_time_is_told_in_utc_however_it_is_stored(at: str) -> None:
    assert "Recorded 2026-11-25 14:02 UTC" in receipt(answer(PROOF, at=at), PROOF, ENTRY)
