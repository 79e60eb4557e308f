"""One form for what is hashed: canonical JSON of strings and whole numbers, its SHA-256, its short code."""

from collections.abc import Mapping, Sequence
from hashlib import sha256
from typing import TypeAlias

import rfc8785

from service.errors import GirthwrightError

Plain: TypeAlias = "str | int | bool | Sequence[Plain] | Mapping[str, Plain] | None"
"""What may be in a canonical form. A fraction goes in as a count of a small unit, or as text."""

CODE = 8
"""Figures of a short code: enough to tell an order's proofs apart by eye; the whole hash is what binds."""


class NotCanonical(GirthwrightError):
    """A value has no place in a canonical form: `place` says where it stands, `reason` what is wrong."""

    def __init__(self, place: str, reason: str) -> None:
        self.place = place
        self.reason = reason
        super().__init__(f"{place}: {reason}")


def canonical_json(value: Plain) -> bytes:
    """Return the one canonical form of a value made of text, whole numbers, yes and no, lists and names.

    Source: RFC 8785 (2020), JSON Canonicalization Scheme. Worked: {"b": 1, "a": "ö"} is {"a":"ö","b":1}.
    Raises NotCanonical for a fraction, whose last digits differ from one program to the next, for a whole
    number beyond 2^53 - 1, and for text that is no valid Unicode.
    """
    _no_fractions(value, "")
    try:
        return rfc8785.dumps(value)
    except (rfc8785.CanonicalizationError, UnicodeEncodeError) as fault:
        raise NotCanonical("value", str(fault)) from fault


def _no_fractions(value: object, place: str) -> None:
    if isinstance(value, Mapping):
        for name, inner in value.items():
            _no_fractions(inner, f"{place}.{name}" if place else str(name))
    elif isinstance(value, list | tuple):
        for number, inner in enumerate(value, 1):
            _no_fractions(inner, f"{place}[{number}]")
    elif not (value is None or isinstance(value, str | int)):
        said = f"{value!r} is neither text nor a whole number; give a count of a small unit instead."
        raise NotCanonical(place or "value", said)


def sha256_hex(data: bytes) -> str:
    """Return the SHA-256 of some bytes as 64 small hexadecimal figures.

    Source: FIPS 180-4 (2015). Worked: of "abc" it begins ba7816bf.
    """
    return sha256(data).hexdigest()


def short_code(digest: str) -> str:
    """Return the code that people compare by eye or read out: a hash's first eight figures in two groups.

    Source: derived. Worked: ba7816bf8f01... is "BA78-16BF".
    """
    head = digest[:CODE].upper()
    return f"{head[: CODE // 2]}-{head[CODE // 2 :]}"
