"""The audit chain: whatever is changed, moved, added or left out is found, and the first such entry named."""

from collections.abc import Sequence
from dataclasses import fields, replace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.orders import (
    GENESIS,
    ChainBroken,
    Entry,
    Fact,
    canonical_json,
    chain_hash,
    next_entry,
    sha256_hex,
    verify_chain,
)
from tests.orders.makers import AT

ACTIONS = ("enquiry-sent", "quote-sent", "proof-sent", "approved", "making", "ready", "handed-over")


def chain(actions: Sequence[str] = ACTIONS) -> list[Entry]:
    entries: list[Entry] = []
    for action in actions:
        fact = Fact(AT, "maker", "person-1", action, "order-1", 1, "ab" * 32)
        entries.append(next_entry(entries[-1] if entries else None, fact))
    return entries


def first_broken(entries: Sequence[Entry], witnesses: dict[int, str] | None = None) -> int:
    with pytest.raises(ChainBroken) as broken:
        verify_chain(entries, witnesses)
    assert f"from entry {broken.value.number} on: {broken.value.reason}" in str(broken.value)
    return broken.value.number


def test_a_chain_as_it_was_written_holds_and_gives_its_last_hash() -> None:
    entries = chain()
    assert verify_chain(entries) == entries[-1].hash
    assert [entry.number for entry in entries] == [1, 2, 3, 4, 5, 6, 7]


def test_a_chain_without_entries_gives_what_the_first_is_bound_to() -> None:
    assert verify_chain([]) == GENESIS == "0" * 64
    assert chain()[0].prev == GENESIS


def test_a_hash_can_be_worked_out_by_anyone_from_what_is_stored() -> None:
    entry = chain()[1]
    written = (
        '{"action":"quote-sent","actor":"maker","address":"","agent":"","at":"2026-11-25T14:02:11+00:00",'
        f'"detail":"","number":2,"order":"order-1","prev":"{entry.prev}","sha256":"{"ab" * 32}","version":1,'
        '"who":"person-1"}'
    )
    assert entry.hash == sha256_hex(written.encode()) == chain_hash(2, entry.fact, entry.prev)


def altered(value: Any) -> Any:  # noqa: ANN401 - a text or a number
    return value + 1 if isinstance(value, int) else f"{value}x"


@pytest.mark.parametrize("name", [field.name for field in fields(Fact)])
@pytest.mark.parametrize("place", [0, 3, 6])
def test_the_control_a_tampered_entry_is_found_whatever_was_tampered_with(name: str, place: int) -> None:
    entries = chain()
    entry = entries[place]
    fact = replace(entry.fact, **{name: altered(getattr(entry.fact, name))})
    entries[place] = replace(entry, fact=fact)
    assert first_broken(entries) == place + 1


@pytest.mark.parametrize("place", [0, 3])
def test_a_tampered_entry_with_its_hash_made_anew_breaks_the_next(place: int) -> None:
    entries = chain()
    fact = replace(entries[place].fact, who="person-2")
    entries[place] = Entry(
        place + 1, fact, entries[place].prev, chain_hash(place + 1, fact, entries[place].prev)
    )
    assert first_broken(entries) == place + 2


@given(st.data())
def test_entries_left_out_repeated_or_moved_are_found(data: st.DataObject) -> None:
    entries = chain()
    other = data.draw(st.lists(st.sampled_from(entries), max_size=9))
    whole = all(entry == kept for entry, kept in zip(other, entries, strict=False)) and len(other) <= len(
        entries
    )
    if whole:
        assert verify_chain(other) == (other[-1].hash if other else GENESIS)
    else:
        number = first_broken(other)
        assert other[: number - 1] == entries[: number - 1]
        assert other[number - 1] not in entries[number - 1 : number]


def test_an_entry_put_in_between_is_found() -> None:
    entries = chain()
    forged = next_entry(entries[2], replace(entries[2].fact, action="approved"))
    assert first_broken([*entries[:3], forged, *entries[3:]]) == 5


def test_a_chain_that_was_cut_off_is_found_by_a_hash_kept_elsewhere() -> None:
    entries = chain()
    witness = {5: entries[4].hash}
    assert verify_chain(entries, witness) == entries[-1].hash
    assert verify_chain(entries[:5], witness) == entries[4].hash
    assert first_broken(entries[:4], witness) == 5
    assert first_broken([], {2: "ab", 9: "cd"}) == 1


def test_a_chain_written_anew_is_found_by_a_hash_kept_elsewhere() -> None:
    kept, anew = chain(), chain(("enquiry-sent", "quote-sent", "proof-sent", "cancelled"))
    assert verify_chain(anew) == anew[-1].hash
    assert first_broken(anew, {4: kept[3].hash}) == 4


def test_entries_may_come_one_by_one() -> None:
    entries = chain()
    assert verify_chain(iter(entries)) == entries[-1].hash


def test_a_fact_holds_text_and_whole_numbers_only() -> None:
    fact = chain()[0].fact
    assert canonical_json({field.name: getattr(fact, field.name) for field in fields(fact)})
