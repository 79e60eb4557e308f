"""The proof: everything that is shown is in it, to the hundredth and to the coin, and its hash holds it."""

from dataclasses import fields, replace
from decimal import Decimal
from itertools import pairwise
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.design import FOR_THE_WEARER, Collar, make_pattern
from service.orders import (
    Amount,
    HardwareRow,
    NotCanonical,
    PriceLine,
    ProofBody,
    ProofDamaged,
    build_proof_body,
    canonical,
    canonical_json,
    read_body,
    seal,
    sha256_hex,
    unseal,
)
from service.pricing import estimate
from tests.makers import pattern, workshop, workshop_with
from tests.orders.makers import PLAIN, RICH, body, body_of, facts, proof


def size_of(shown: ProofBody, name: str) -> Amount:
    return next(row.size for row in (*shown.sizes, *shown.distances) if row.name == name)


def test_what_the_order_says_is_shown_word_for_word() -> None:
    known = facts()
    for name in ("customer", "dog", "title", "sentence", "promised", "terms", "engine", "language", "agreed"):
        assert getattr(PLAIN, name) == getattr(known, name)
    assert (PLAIN.order, PLAIN.shop, PLAIN.drawings) == (known.number, "Oxlip Bench", known.drawings)


def test_a_measure_is_shown_as_typed_as_measured_and_as_read() -> None:
    neck, weight = body(**RICH).measures
    assert (neck.name, neck.typed, neck.how) == ("Neck", " 19 in", "existing collar")
    assert neck.size == Amount("19 in (483 mm)", 48260, "0.01 mm")
    assert (weight.typed, weight.size) == ("45 lb", Amount("45 lb (20.4 kg)", 20412, "g"))


def test_a_dog_that_was_not_weighed_has_no_weight_in_its_proof() -> None:
    assert [measure.name for measure in PLAIN.measures] == ["Neck"]


def test_sizes_are_those_of_the_trades_rule() -> None:
    # Common practice: a 1 in strap folds 2 1/2 in from its end; 19 in to the target hole, six holes 1 in
    # apart and 2 in of tip make 27 1/2 in (698.5 mm).
    assert size_of(PLAIN, "Strap length") == Amount("27 1/2 in (698.5 mm)", 69850, "0.01 mm")
    assert size_of(PLAIN, "Fold") == Amount("2 1/2 in (63.5 mm)", 6350, "0.01 mm")
    assert size_of(PLAIN, "Hole 2, target") == Amount("21 1/2 in (546.1 mm)", 54610, "0.01 mm")
    assert size_of(PLAIN, "Slot, length") == Amount("1 1/4 in (31.8 mm)", 3175, "0.01 mm")


def test_every_hole_is_in_the_table_and_one_is_the_one_to_wear() -> None:
    assert [row.number for row in PLAIN.holes] == [1, 2, 3, 4, 5, 6]
    assert [row.number for row in PLAIN.holes if row.target] == [2]
    worn = PLAIN.holes[1]
    assert (worn.inside, worn.fingers) == (size_of(PLAIN, "Inside girth on the target hole"), "about 2")
    girths = [row.inside.count for row in PLAIN.holes]
    assert [after - before for before, after in pairwise(girths)] == [2540] * 5


def test_every_part_and_every_piece_of_hardware_is_listed() -> None:
    rich = body(**RICH)
    assert [row.name for row in rich.parts] == ["Strap", "Ring tab", "Fixed keeper"]
    assert rich.hardware[0] == HardwareRow("Heel-bar buckle 1 in", "Solid brass", 1, "fold")
    assert [(row.quantity, row.place) for row in rich.hardware[1:]] == [
        (1, "ring tab"),
        (4, "fold and ring tab"),
        (5, "strap"),
    ]


def test_choices_are_said_in_words() -> None:
    assert {row.name: row.value for row in PLAIN.choices} == {
        "Leather": "Chestnut bridle",
        "Metal": "Solid brass",
        "Buckle": "centre-bar buckle",
        "End": "English point",
        "Held by": "rivets",
        "Holes": "6",
        "Room": "as on the collar that was measured",
    }


def test_fingers_and_coat_are_said_with_what_to_heed() -> None:
    shown = body(measured="tape-snug", fingers="3", coat="thick-over")
    assert shown.measures[0].how == "snug tape, over a thick coat"
    assert {row.name: row.value for row in shown.choices}["Room"] == "three fingers"
    assert any("clipped, wet or moulted" in text for text in shown.remarks)


@pytest.mark.parametrize("lettering", ["REX", "A 1", ""])
def test_lettering_is_exactly_what_is_stamped(lettering: str) -> None:
    shown = body(lettering=lettering)
    assert shown.lettering == lettering
    assert any(row.name == "Letters, height" for row in shown.sizes) == bool(lettering)


def test_the_customer_sees_what_is_paid_for_the_tax_and_the_total() -> None:
    quote = estimate(pattern(), workshop())
    price, tax = PLAIN.price.lines
    assert price == PriceLine(
        "Collar, made to measure",
        Amount(f"{quote.before_tax} USD", int(quote.before_tax * 100), "0.01 USD"),
    )
    assert tax.name == "Sales tax"
    assert PLAIN.price.tax == "Sales tax of 7 % is in the total."
    assert PLAIN.price.total.count == price.price.count + tax.price.count == int(quote.total * 100)
    assert PLAIN.price.currency == "USD"


def test_where_no_tax_is_charged_the_proof_says_so() -> None:
    rows = workshop_with(rates={"tax": Decimal(0), "currency": "JPY", "minor_digits": 0})
    design = pattern()
    price = build_proof_body(design, estimate(design, rows), rows, facts()).price
    assert [line.name for line in price.lines] == ["Collar, made to measure"]
    assert (price.tax, price.total.unit) == ("No tax is added.", "1 JPY")


def test_a_quote_with_a_part_of_a_coin_makes_no_proof() -> None:
    design = pattern()
    quote = replace(estimate(design, workshop()), total=Decimal("57.065"))
    with pytest.raises(NotCanonical, match="round it first"):
        build_proof_body(design, quote, workshop(), facts())


def test_cautions_and_how_it_was_rounded_are_part_of_the_proof() -> None:
    assert PLAIN.cautions == FOR_THE_WEARER
    lengths, sums = PLAIN.rounding
    assert "0.01 mm, rounded half to even" in lengths
    assert "rounded half up to 0.01 USD" in sums


def test_a_doubt_about_the_measure_is_shown_and_the_makers_notes_are_not() -> None:
    doubtful = pattern(neck="12 in", weight="90 lb", width="3/4 in")
    shown = body_of(doubtful)
    assert [text for text in shown.remarks if "unusual for a dog" in text]
    hidden = [str(row.text) for row in doubtful.findings if row.severity in {"note", "advice"}]
    assert hidden
    assert not set(hidden) & set(shown.remarks)


def test_the_customers_own_system_comes_first() -> None:
    shown = body_of(pattern(), system="metric")
    assert size_of(shown, "Strap length").words == "698.5 mm (27 1/2 in)"
    assert size_of(shown, "Strap length").count == 69850


hundredths = st.integers(28_000, 75_000).map(lambda count: count / 100)


@settings(max_examples=60, deadline=None)
@given(neck=hundredths, lettering=st.sampled_from(["", "REX"]), studs=st.sampled_from([None, 50.8]))
def test_every_proof_holds_text_and_whole_numbers_only_and_reads_back(
    neck: float, lettering: str, studs: float | None
) -> None:
    spec = Collar(
        neck=neck, leather="chestnut", finish="brass", width=19.05, lettering=lettering, studs=studs
    )
    shown = body_of(make_pattern(spec, workshop()))
    written = canonical(shown)
    assert read_body(written) == shown
    lengths = [row.size for row in (*shown.sizes, *shown.distances)]
    assert {row.unit for row in lengths} == {"0.01 mm"}
    assert shown.measures[0].size.count == round(neck * 100)


def test_a_proof_is_sealed_by_the_hash_of_its_canonical_form() -> None:
    sealed = proof(3)
    assert sealed.sha256 == sha256_hex(canonical(PLAIN))
    assert (sealed.version, sealed.seen.order, len(sealed.code)) == (3, "order-1", 9)
    assert sealed.code.replace("-", "").lower() == sealed.sha256[:8]


@pytest.mark.parametrize("field", [field.name for field in fields(ProofBody)])
def test_a_change_of_any_field_is_another_hash(field: str) -> None:
    value: Any = getattr(PLAIN, field)
    other: Any
    if isinstance(value, tuple):
        other = (*value, *value, "more") if not value or isinstance(value[0], str) else value * 2
    elif isinstance(value, str):
        other = value + "."
    elif field == "schema_version":
        other = 2
    else:
        first = fields(value)[0].name
        other = replace(value, **{first: getattr(value, first) + "."})
    assert proof(**{field: other}).sha256 != proof().sha256


def test_a_sealed_proof_opens_again() -> None:
    sealed = proof(2)
    assert unseal(sealed.seen, canonical(sealed.body)) == sealed


def test_the_control_a_stored_proof_that_was_altered_is_found() -> None:
    sealed = proof(2)
    altered = canonical(sealed.body).replace(b'"dog":"Rex"', b'"dog":"Max"')
    with pytest.raises(ProofDamaged) as damaged:
        unseal(sealed.seen, altered)
    assert (damaged.value.seen, damaged.value.found) == (sealed.seen, sha256_hex(altered))
    assert f"it was {sealed.code} and is" in str(damaged.value)


def test_the_control_a_fraction_in_a_body_is_refused() -> None:
    forged = replace(PLAIN, holes=(replace(PLAIN.holes[0], tail=Amount("7 in", 177.8, "mm")),))  # type: ignore[arg-type]
    with pytest.raises(NotCanonical) as refused:
        seal("order-1", 1, forged)
    assert refused.value.place == "holes[1].tail.count"


def test_the_form_of_a_body_is_stored_with_it() -> None:
    assert canonical(PLAIN).startswith(b'{"agreed":["Edges dyed dark brown."],"cautions":[')
    assert canonical_json({"schema_version": 1}).strip(b"{}") in canonical(PLAIN)
