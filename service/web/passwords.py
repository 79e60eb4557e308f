"""Passwords: what is asked of one, and its hash; members made with one."""

import unicodedata
from collections.abc import Callable, Iterable
from datetime import UTC, datetime
from secrets import token_urlsafe
from threading import BoundedSemaphore
from typing import Final

from pwdlib import PasswordHash
from pwdlib.hashers.argon2 import Argon2Hasher
from zxcvbn import zxcvbn

from service.errors import GirthwrightError
from service.language import tr
from service.storage import Member, Role
from service.text import clean_line

LEAST: Final = 12
MOST: Final = 128
NAME_MAX: Final = 60
SAFE_SCORE: Final = 3
"""What zxcvbn calls safely unguessable on its scale from 0 to 4: 10⁸ guesses and more. It knows common
passwords, names and words, also with digits for letters, and rows of keys, dates and repeats."""
GUESSED: Final = 72
"""So many characters of a password are judged: from there on it is long enough, and judging takes time."""
OURS: Final = ("girthwright", "collar", "collars", "leather")
"""Words that whoever guesses at this door would try."""

# 46 MiB, one pass, one lane: OWASP Password Storage Cheat Sheet, Argon2id.
HASHER: Final = PasswordHash((Argon2Hasher(memory_cost=47_104, time_cost=1, parallelism=1),))
AT_ONCE: Final = BoundedSemaphore(2)
"""Hashing takes memory and a processor: no more at once than that."""
NOBODY: Final = HASHER.hash(token_urlsafe(32))
"""What a password is compared with when nobody has the name, so that it takes as long."""


class PasswordRefused(GirthwrightError):
    """That password won't do; the sentence says why and what would."""


class NameRefused(GirthwrightError):
    """That name won't do; the sentence says why and what would."""


def hashed(password: str, name: str) -> str:
    """Return the hash of a new password; raises PasswordRefused."""
    plain = unicodedata.normalize("NFC", password)
    if not LEAST <= len(plain) <= MOST:
        raise PasswordRefused(
            tr(
                "The password has {count} characters: take from {least} to {most}, four plain words for"
                " example.",
                count=len(plain),
                least=LEAST,
                most=MOST,
            )
        )
    if name.casefold() in plain.casefold() or zxcvbn(plain[:GUESSED], [name, *OURS])["score"] < SAFE_SCORE:
        raise PasswordRefused(
            tr(
                "That password is too easy to guess: it is made of what people often take. Take four plain "
                "words that have nothing to do with each other or with the name."
            )
        )
    with AT_ONCE:
        return HASHER.hash(plain)


def matches(password: str, kept: str | None) -> bool:
    """Tell whether it is the password of a hash; None takes as long, and is never right."""
    plain = unicodedata.normalize("NFC", password[: 2 * MOST])
    with AT_ONCE:
        return HASHER.verify(plain, kept or NOBODY) and kept is not None


def new_member(
    there: Iterable[Member], workshop_id: str, name: str, role: Role, password: Callable[[], str]
) -> Member:
    """Return a new member beside those there are; raises NameRefused, PasswordRefused, Unreadable."""
    clean = clean_line(name, NAME_MAX)
    if not clean:
        raise NameRefused(tr("Give the name that they will sign in with."))
    if any(clean.casefold() == other.name.casefold() for other in there):
        raise NameRefused(
            tr("There is a {name} already: take another name, a surname's letter with it.", name=clean)
        )
    now = datetime.now(UTC)
    return Member(token_urlsafe(16), workshop_id, clean, hashed(password(), clean), role, None, now)
