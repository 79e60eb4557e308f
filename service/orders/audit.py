"""The audit: a chain of entries, each bound to the one before, in which no change goes unnoticed.

The chain shows that an entry was changed, moved, added or left out. That the last ones were cut off, or that
the whole chain was written anew, shows only against a hash kept elsewhere: on a customer's receipt, in the
record of backups.
"""

from collections.abc import Iterable, Mapping
from dataclasses import asdict, dataclass
from typing import Literal

from service.errors import GirthwrightError
from service.orders.canonical import canonical_json, sha256_hex

Actor = Literal["customer", "maker", "service"]

GENESIS = "0" * 64
"""What the first entry is bound to."""


@dataclass(frozen=True, slots=True)
class Fact:
    """What is put on record.

    `at` in UTC (ISO 8601); `actor` and `who` (a link's or a person's id, never a name, so that a customer
    can be forgotten); `action` in a word; `order`, `version` and `sha256` of the proof, 0 and empty where it
    is about none; `address` shortened and `agent` hashed by the caller; `detail` in words.
    """

    at: str
    actor: Actor
    who: str
    action: str
    order: str = ""
    version: int = 0
    sha256: str = ""
    address: str = ""
    agent: str = ""
    detail: str = ""


@dataclass(frozen=True, slots=True)
class Entry:
    """A fact in its place: its number from 1, the hash of the entry before, and its own."""

    number: int
    fact: Fact
    prev: str
    hash: str


class ChainBroken(GirthwrightError):
    """The chain does not hold: `number` is the first entry that is not as it was written, `reason` why."""

    def __init__(self, number: int, reason: str) -> None:
        self.number = number
        self.reason = reason
        super().__init__(f"The record is not as it was written, from entry {number} on: {reason}")


def chain_hash(number: int, fact: Fact, prev: str) -> str:
    """Return the hash of an entry: of its number, its fact and the hash of the entry before.

    Source: derived; SHA-256 (FIPS 180-4) of the canonical form (RFC 8785). Worked: with anything changed it
    is another hash.
    """
    return sha256_hex(canonical_json({**asdict(fact), "number": number, "prev": prev}))


def next_entry(last: Entry | None, fact: Fact) -> Entry:
    """Return the entry that puts a fact on record after the last one, or as the first where there is none.

    Source: derived. Worked: the first has number 1 and is bound to 64 zeros.
    """
    number, prev = (1, GENESIS) if last is None else (last.number + 1, last.hash)
    return Entry(number, fact, prev, chain_hash(number, fact, prev))


def verify_chain(entries: Iterable[Entry], witnesses: Mapping[int, str] | None = None) -> str:
    """Return the hash of the last of a chain's entries, all of them from the first on, oldest first.

    `witnesses` are hashes kept elsewhere, by the number of their entry. Source: derived. Worked: no entries
    give 64 zeros. Raises ChainBroken naming the first entry that was changed, moved, added or left out.
    """
    kept = dict(witnesses or {})
    number, head = 0, GENESIS
    for number, entry in enumerate(entries, 1):
        if entry.number != number:
            raise ChainBroken(number, f"entry {entry.number} stands where {number} should.")
        if entry.prev != head:
            raise ChainBroken(number, "it is not bound to the entry before it.")
        if entry.hash != chain_hash(number, entry.fact, entry.prev):
            raise ChainBroken(number, "what it says is not what was written.")
        if kept.pop(number, entry.hash) != entry.hash:
            raise ChainBroken(number, "a hash kept elsewhere says otherwise.")
        head = entry.hash
    if kept:
        raise ChainBroken(number + 1, f"the record ends before entry {min(kept)}, which is known elsewhere.")
    return head
