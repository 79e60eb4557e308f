"""The language of whoever reads now: words looked up in its catalogue, and its decimal mark.

Who answers a reader says once which language it is (`speak`); whatever is made for that reader after that,
in the same thread of work, is in it. Texts stand in English where they are needed and are the keys of the
catalogues: `tr` and `tr_many` look one up at once, `mark` leaves that to whoever shows it. The extractor of
gettext catalogues finds their literals.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass
from gettext import NullTranslations
from typing import Protocol


class Catalogue(Protocol):
    """The words of one language, as gettext keeps them."""

    def gettext(self, message: str, /) -> str:
        """Return a text in the language."""
        ...

    def ngettext(self, one: str, several: str, count: int, /) -> str:
        """Return the text of a count in the language."""
        ...


@dataclass(frozen=True, slots=True)
class Language:
    """A language: its tag (BCP 47), its own name, its words, and the sign before its decimals."""

    code: str
    name: str
    catalogue: Catalogue
    decimal_sign: str = "."


ENGLISH = Language("en", "English", NullTranslations())
"""The language that the texts are written in."""
_READER: ContextVar[Language] = ContextVar("reader", default=ENGLISH)


def spoken() -> Language:
    """Return the language of whoever reads now."""
    return _READER.get()


def speak(language: Language) -> None:
    """Have what follows in this thread of work said in a language."""
    _READER.set(language)


@contextmanager
def speaking(language: Language) -> Iterator[None]:
    """Have what is made within said in a language, for another reader than the one who asked."""
    before = _READER.set(language)
    try:
        yield
    finally:
        _READER.reset(before)


def mark(text: str) -> str:
    """Return a text as it is, and have it in the catalogues: whoever shows it looks it up."""
    return text


def tr(text: str, /, **values: object) -> str:
    """Return a text in the reader's language, its {places} filled.

    Source: derived. Worked: tr("Order {number}", number=3) is "Order 3" in English.
    """
    found = spoken().catalogue.gettext(text) if text else ""
    return found.format(**values) if values else found


def tr_many(one: str, several: str, count: int, /, **values: object) -> str:
    """Return the text of a count, which stands in the place {count}, in the reader's language.

    Source: derived. Worked: tr_many("{count} hole", "{count} holes", 6) is "6 holes" in English.
    """
    values.setdefault("count", count)
    return spoken().catalogue.ngettext(one, several, count).format(**values)


def decimals(number: str) -> str:
    """Return a number that is written with a decimal point with the sign of the reader's language.

    Source: derived. Worked: "0.01" is "0.01" in English and "0,01" in German.
    """
    return number.replace(".", spoken().decimal_sign)


def within(name: str) -> str:
    """Return a thing's name as it stands within a sentence: small where the language does so.

    Source: derived. Worked: "Brass" is "brass" in English and stays "Brass" in German.
    """
    return name.lower() if spoken() is ENGLISH else name
