"""A stored body reads back whole, or says what is wrong with it."""

import json
from collections.abc import Callable
from typing import Any

import pytest

from service.orders import BodyUnreadable, canonical, read_body
from tests.orders.makers import PLAIN

Spoil = Callable[[dict[str, Any]], None]


def spoiled(spoil: Spoil) -> bytes:
    stored: dict[str, Any] = json.loads(canonical(PLAIN))
    spoil(stored)
    return json.dumps(stored).encode()


def test_a_body_reads_back_as_it_was_written() -> None:
    assert read_body(canonical(PLAIN)) == PLAIN


def no_dog(stored: dict[str, Any]) -> None:
    del stored["dog"]


def one_more(stored: dict[str, Any]) -> None:
    stored["colour"] = "red"


def one_more_inside(stored: dict[str, Any]) -> None:
    stored["price"]["discount"] = "half"


def fraction(stored: dict[str, Any]) -> None:
    stored["holes"][0]["inside"]["count"] = 44228.5


def number_as_text(stored: dict[str, Any]) -> None:
    stored["parts"][1]["quantity"] = "1"


def later_form(stored: dict[str, Any]) -> None:
    stored["schema_version"] = 2


@pytest.mark.parametrize(
    ("spoil", "place"),
    [
        (no_dog, "dog"),
        (one_more, "colour"),
        (one_more_inside, "price.discount"),
        (fraction, "holes.0.inside.count"),
        (number_as_text, "parts.1.quantity"),
        (later_form, "schema_version"),
    ],
)
def test_nothing_is_guessed_added_or_left_out(spoil: Spoil, place: str) -> None:
    with pytest.raises(BodyUnreadable) as refused:
        read_body(spoiled(spoil))
    (complaint,) = refused.value.complaints
    assert complaint.startswith(f"{place}: ")
    assert complaint in str(refused.value)


@pytest.mark.parametrize("data", [b"", b"{", b"[]", b"\xff"])
def test_what_is_no_body_at_all_is_refused(data: bytes) -> None:
    with pytest.raises(BodyUnreadable, match="body: "):
        read_body(data)
