"""What differs between two proofs: every leaf that differs is told, in plain words, and nothing else is."""

import json
from collections.abc import Iterator
from dataclasses import fields, is_dataclass, replace
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from service.orders import Amount, Change, ProofBody, Terms, canonical, differences, read_body
from service.orders.changes import WORDS
from tests.orders.makers import PLAIN, RICH, body

BASE = replace(body(**RICH), remarks=("Is the weight right?",))

Path = tuple[str | int, ...]


def leaves(value: Any, path: Path = ()) -> Iterator[Path]:  # noqa: ANN401 - any part of a body
    inner = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    if not isinstance(value, dict | list):
        yield path
    for step, below in inner:
        yield from leaves(below, (*path, step))


STORED: dict[str, Any] = json.loads(canonical(BASE))
LEAVES = [path for path in leaves(STORED) if path != ("schema_version",)]


def owner_of(stored: Any, path: Path) -> Any:  # noqa: ANN401 - any part of a body
    for step in path[:-1]:
        stored = stored[step]
    return stored


def with_other(paths: list[Path]) -> ProofBody:
    """The body with another value at each of these places."""
    stored = json.loads(canonical(BASE))
    for path in paths:
        owner, step = owner_of(stored, path), path[-1]
        was = owner[step]
        owner[step] = (not was) if isinstance(was, bool) else was + 1 if isinstance(was, int) else was + "!"
    return read_body(json.dumps(stored).encode())


def test_nothing_differs_between_a_proof_and_itself() -> None:
    assert differences(BASE, BASE) == ()
    assert differences(BASE, read_body(canonical(BASE))) == ()


def test_every_single_leaf_that_differs_is_told() -> None:
    for path in LEAVES:
        changes = differences(BASE, with_other([path]))
        assert changes, path
        assert all(change.was != change.now for change in changes), path
        was = owner_of(STORED, path)[path[-1]]
        if isinstance(was, bool):
            assert [{change.was, change.now} for change in changes] == [{"yes", "no"}]
            continue
        now = was + 1 if isinstance(was, int) else was + "!"
        assert any(str(was) in (change.was or change.what) for change in changes), path
        assert any(str(now) in (change.now or "") or str(now) in change.what for change in changes), path


TOLD_AS = {path: {change.what for change in differences(BASE, with_other([path]))} for path in LEAVES}
NAMES = {"name", "number"}  # what a row is known by: another one is another row
BESIDE = [path for path in LEAVES if path[-1] not in NAMES and not isinstance(path[-1], int)]


@settings(deadline=None, max_examples=60)
@given(st.sets(st.sampled_from(BESIDE), min_size=1, max_size=12))
def test_leaves_that_differ_together_are_told_as_each_is_alone(paths: set[Path]) -> None:
    changes = differences(BASE, with_other(sorted(paths, key=str)))
    assert {change.what for change in changes} == {what for path in paths for what in TOLD_AS[path]}


ROWS = [field.name for field in fields(ProofBody) if isinstance(getattr(BASE, field.name), tuple)]


@settings(deadline=None, max_examples=60)
@given(st.data(), st.sampled_from(ROWS))
def test_rows_added_left_out_repeated_or_moved_are_told(data: st.DataObject, table: str) -> None:
    rows = getattr(BASE, table)
    other: Any = tuple(data.draw(st.lists(st.sampled_from(rows), max_size=min(len(rows) + 2, 9))))
    changed = replace(BASE, **{table: other})
    assert (differences(BASE, changed) == ()) == (canonical(BASE) == canonical(changed))
    assert (differences(changed, BASE) == ()) == (canonical(BASE) == canonical(changed))


def test_a_longer_neck_is_told_in_words_with_all_that_follows() -> None:
    told = differences(PLAIN, body(neck="20 in"))
    assert Change("Neck, size", "19 in (483 mm)", "20 in (508 mm)") in told
    assert Change("Strap length", "27 1/2 in (698.5 mm)", "28 1/2 in (723.9 mm)") in told
    assert Change("Hole 2, inside", "18 7/16 in (468 mm)", "19 7/16 in (493 mm)") in told
    assert Change("Along the strap, Tip", "27 1/2 in (698.5 mm)", "28 1/2 in (723.9 mm)") in told
    assert {change.what.split(",")[0] for change in told} >= {"Strap", "Hole 6"}


def test_a_part_that_came_or_went_is_told_whole() -> None:
    heel = body(style="heel-bar")
    told = differences(PLAIN, heel)
    keeper = next(change for change in told if change.what == "Fixed keeper")
    assert keeper.was is None
    assert keeper.now == (
        "how many: 1; length: 3 3/8 in (85.8 mm); width: 1/2 in (12 mm); thickness: 1/8 in (3 mm)"
    )
    assert Change("Buckle", "centre-bar buckle", "heel-bar buckle") in told
    back = next(change for change in differences(heel, PLAIN) if change.what == "Fixed keeper")
    assert (back.was, back.now) == (keeper.now, None)


def test_the_same_words_for_two_sizes_do_not_hide_the_difference() -> None:
    finer = replace(PLAIN.sizes[1], size=replace(PLAIN.sizes[1].size, count=69851))
    told = differences(PLAIN, replace(PLAIN, sizes=(PLAIN.sizes[0], finer, *PLAIN.sizes[2:])))
    words = "27 1/2 in (698.5 mm), exactly"
    assert told == (Change("Strap length", f"{words} 69850 × 0.01 mm", f"{words} 69851 × 0.01 mm"),)


def test_terms_price_and_promise_are_told() -> None:
    price = replace(PLAIN.price, total=Amount("60.00 USD", 6000, "0.01 USD"))
    other = replace(PLAIN, price=price, terms=Terms("3", "Paid when ready."), promised="in January")
    assert differences(PLAIN, other) == (
        Change("Price, total", PLAIN.price.total.words, "60.00 USD"),
        Change("Promised", PLAIN.promised, "in January"),
        Change("Terms, version", "2", "3"),
        Change("Terms, text", PLAIN.terms.text, "Paid when ready."),
    )


def test_a_caution_left_out_and_another_order_are_told() -> None:
    first, second, *rest = PLAIN.cautions
    assert differences(PLAIN, replace(PLAIN, cautions=(second, *rest))) == (Change("Cautions", first, None),)
    (moved,) = differences(PLAIN, replace(PLAIN, cautions=(second, first, *rest)))
    assert moved.what == "Cautions, in which order"
    assert (moved.was or "").startswith(first)
    assert (moved.now or "").startswith(second)


def test_the_second_of_two_rows_of_one_name_is_told_by_its_number() -> None:
    stud, *others = [row for row in BASE.distances if row.name == "Stud"]
    fewer = replace(BASE, distances=tuple(row for row in BASE.distances if row not in others[:1]))
    whats = {change.what for change in differences(BASE, fewer)}
    assert f"Along the strap, {stud.name} (2)" in whats


def all_fields(value: Any) -> Iterator[str]:  # noqa: ANN401 - any part of a body
    if isinstance(value, tuple):
        for row in value:
            yield from all_fields(row)
    elif is_dataclass(value) and not isinstance(value, Amount):
        for field in fields(value):
            yield field.name
            yield from all_fields(getattr(value, field.name))


def test_every_field_of_a_proof_has_a_word_of_its_own_and_no_word_is_idle() -> None:
    assert set(all_fields(BASE)) == set(WORDS)
