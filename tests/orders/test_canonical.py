"""One canonical form: against RFC 8785 and FIPS 180-4, and no fraction gets into it."""

import csv
import json
import struct
from decimal import Decimal
from typing import Any

import pytest
import rfc8785
from hypothesis import given
from hypothesis import strategies as st

from service.orders import NotCanonical, canonical_json, sha256_hex, short_code
from tests.makers import DATA

# RFC 8785 (2020), section 3.2.2, as printed there, and section 3.2.4, its canonical form in bytes.
SAMPLE = r"""{
  "numbers": [333333333.33333329, 1E30, 4.50, 2e-3, 0.000000000000000000000000001],
  "string": "\u20ac$\u000F\u000aA'\u0042\u0022\u005c\\\"\/",
  "literals": [null, true, false]
}"""
SAMPLE_BYTES = """
7b 22 6c 69 74 65 72 61 6c 73 22 3a 5b 6e 75 6c 6c 2c 74 72 75 65 2c 66 61 6c 73 65 5d 2c 22 6e 75 6d 62
65 72 73 22 3a 5b 33 33 33 33 33 33 33 33 33 2e 33 33 33 33 33 33 33 2c 31 65 2b 33 30 2c 34 2e 35 2c 30
2e 30 30 32 2c 31 65 2d 32 37 5d 2c 22 73 74 72 69 6e 67 22 3a 22 e2 82 ac 24 5c 75 30 30 30 66 5c 6e 41
27 42 5c 22 5c 5c 5c 5c 5c 22 2f 22 7d
"""

# RFC 8785 (2020), section 3.2.3: names are sorted by UTF-16 code units, so the emoji comes before U+FB33.
NAMES = r"""{
  "\u20ac": "Euro Sign",
  "\r": "Carriage Return",
  "\ufb33": "Hebrew Letter Dalet With Dagesh",
  "1": "One",
  "\ud83d\ude00": "Emoji: Grinning Face",
  "\u0080": "Control",
  "\u00f6": "Latin Small Letter O With Diaeresis"
}"""
NAMES_SORTED = [
    "Carriage Return",
    "One",
    "Control",
    "Latin Small Letter O With Diaeresis",
    "Euro Sign",
    "Emoji: Grinning Face",
    "Hebrew Letter Dalet With Dagesh",
]

with (DATA / "rfc8785_numbers.csv").open(encoding="utf-8", newline="") as file:
    NUMBERS = [pytest.param(row["ieee754"], row["json"], id=row["id"]) for row in csv.DictReader(file)]

MOST = 2**53 - 1  # RFC 8785 (2020), appendix B, note 1, by way of RFC 7493, section 2.2

plain = st.recursive(
    st.none() | st.booleans() | st.integers(-MOST, MOST) | st.text(max_size=8),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=4), inner, max_size=4),
    max_leaves=12,
)


def test_names_are_sorted_as_the_standard_shows() -> None:
    assert [*json.loads(canonical_json(json.loads(NAMES))).values()] == NAMES_SORTED


def test_text_and_literals_are_written_as_the_standard_shows() -> None:
    sample = json.loads(SAMPLE)
    del sample["numbers"]
    whole = bytes.fromhex(SAMPLE_BYTES)
    start, end = whole.index(b'"numbers"'), whole.index(b'"string"')
    assert canonical_json(sample) == whole[:start] + whole[end:]


def test_the_library_writes_the_whole_example_of_the_standard() -> None:
    assert rfc8785.dumps(json.loads(SAMPLE)) == bytes.fromhex(SAMPLE_BYTES)


def test_the_control_the_standards_own_example_is_refused_for_its_fractions() -> None:
    with pytest.raises(NotCanonical) as refused:
        canonical_json(json.loads(SAMPLE))
    assert refused.value.place == "numbers[1]"
    assert "333333333.3333333 is neither text nor a whole number" in str(refused.value)


@pytest.mark.parametrize(("bits", "text"), NUMBERS)
def test_numbers_are_the_standards_in_the_library_and_refused_in_what_is_hashed(bits: str, text: str) -> None:
    (number,) = struct.unpack(">d", bytes.fromhex(bits))
    if text:
        assert rfc8785.dumps(number).decode() == text
    with pytest.raises(NotCanonical):
        canonical_json(number)


@pytest.mark.parametrize("number", [MOST, -MOST, 0, 48260])
def test_whole_numbers_that_every_program_can_hold_are_written_out(number: int) -> None:
    assert canonical_json(number) == str(number).encode()


@pytest.mark.parametrize(
    "value",
    [MOST + 1, -MOST - 1, "\ud800", {"\ud800": 1}, {"price": Decimal("57.06")}, b"bytes", {1, 2}],
    ids=repr,
)
def test_whatever_another_program_could_read_differently_is_refused(value: Any) -> None:  # noqa: ANN401
    with pytest.raises(NotCanonical):
        canonical_json(value)


def test_names_that_are_no_text_are_refused() -> None:
    numbered: Any = {1: "one"}
    with pytest.raises(NotCanonical):
        canonical_json(numbered)


def test_a_fraction_is_found_wherever_it_hides() -> None:
    hidden: Any = {"holes": [{"number": 1}, {"number": 2, "inside": (1, 2, [482.6])}]}
    with pytest.raises(NotCanonical) as refused:
        canonical_json(hidden)
    assert refused.value.place == "holes[2].inside[3][1]"


@given(plain)
def test_what_is_written_reads_back_and_is_written_the_same_again(value: Any) -> None:  # noqa: ANN401
    written = canonical_json(value)
    assert json.loads(written) == value
    assert canonical_json(json.loads(written)) == written


@given(st.dictionaries(st.text(max_size=4), st.integers(0, 9), max_size=6), st.randoms())
def test_the_order_in_which_names_were_given_does_not_matter(value: dict[str, int], chance: Any) -> None:  # noqa: ANN401
    names = [*value]
    chance.shuffle(names)
    assert canonical_json({name: value[name] for name in names}) == canonical_json(value)


def test_hashes_are_those_of_the_standards_examples() -> None:
    # FIPS 180-4 (2015), examples published with it: one block and two.
    long = b"abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq"
    assert sha256_hex(b"abc") == "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
    assert sha256_hex(long) == "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1"


def test_a_short_code_is_the_head_of_the_hash_in_two_groups() -> None:
    assert short_code(sha256_hex(b"abc")) == "BA78-16BF"
