"""The catalogues: complete, and with the same values and marks in every language."""

import ast
import re
import string
from collections import Counter
from configparser import ConfigParser
from pathlib import Path
from typing import Any

import pytest
from babel.messages.catalog import Catalog
from babel.messages.extract import extract_from_dir
from babel.messages.pofile import read_po

from service.drawing.typeface import showable
from service.settings import ROOT
from service.web.texts import LITERAL, TOKEN

TRANSLATIONS = ROOT / "service" / "translations"
KEYWORDS = {"say": None, "say_many": (1, 2), "tr": None, "tr_many": (1, 2), "mark": None}
"""As in the command at the head of babel.cfg."""
LANGUAGES = sorted(TRANSLATIONS.glob("*/LC_MESSAGES/messages.po"))
UNREACHED: tuple[str, ...] = ()
"""Families whose texts are in English still: the beginnings of their files' paths. Never a customer's."""

Id = str | tuple[str, ...]


def _used() -> dict[Id, set[str]]:
    """Every text there is in the source, with the files it is in."""
    config = ConfigParser()
    config.read(TRANSLATIONS / "babel.cfg", "utf-8")
    own = dict(config["extractors"])
    methods = [
        (pattern, own.get(kind, kind))
        for kind, pattern in (row.split(": ") for row in config.sections() if ": " in row)
    ]
    found: dict[Id, set[str]] = {}
    for folder in ("service", "templates"):
        for name, _, text, _, _ in extract_from_dir(ROOT / folder, methods, keywords=KEYWORDS):
            found.setdefault(text, set()).add(f"{folder}/{name}")
    found.pop("", None)
    return found


USED = _used()


def _catalogue(path: Path) -> Catalog:
    with path.open("rb") as file:
        return read_po(file, locale=path.parts[-3])


def _texts(value: Any) -> tuple[str, ...]:  # noqa: ANN401 - as a catalogue has it
    return (value,) if isinstance(value, str) else tuple(value)


def _marks(text: str) -> Counter[str]:
    """The values and marks of a template's text; literals may differ, and so may a value's filters."""
    if "{{" not in text and "<" not in text:
        return Counter()
    return Counter(
        LITERAL.sub("''", token[0]).split("|")[0].strip("{} ")
        for token in TOKEN.finditer(text)
        if token.lastgroup != "skip"
    )


def _places(text: str) -> set[str]:
    return set() if "{{" in text else {name for _, name, _, _ in string.Formatter().parse(text) if name}


def test_there_is_another_language_than_english() -> None:
    assert LANGUAGES


@pytest.mark.parametrize("path", LANGUAGES, ids=lambda path: path.parts[-3])
def test_every_text_is_translated(path: Path) -> None:
    translated = {row.id for row in _catalogue(path) if row.id and all(_texts(row.string))}
    missing = {text: files for text, files in USED.items() if text not in translated}
    assert not {text for text, files in missing.items() if not all(map(_unreached, files))}
    still = {name for files in missing.values() for name in files}
    assert all(any(name.startswith(family) for name in still) for family in UNREACHED), (
        "one is done: strike it"
    )


def _unreached(name: str) -> bool:
    return name.startswith(UNREACHED)


@pytest.mark.parametrize("path", LANGUAGES, ids=lambda path: path.parts[-3])
def test_a_catalogue_holds_no_text_that_is_gone(path: Path) -> None:
    catalogue = _catalogue(path)
    assert {row.id for row in catalogue if row.id} <= set(USED)
    assert not catalogue.obsolete
    assert not any(row.fuzzy for row in catalogue if row.id)


@pytest.mark.parametrize("path", LANGUAGES, ids=lambda path: path.parts[-3])
def test_a_translation_has_the_values_and_marks_of_its_text(path: Path) -> None:
    for row in _catalogue(path):
        one, *_ = _texts(row.id)
        several = _texts(row.id)[-1]
        for text in _texts(row.string) if row.id else ():
            if text:
                assert _places(text) <= _places(one) | _places(several), text
                assert _places(one) & _places(several) <= _places(text) | {"count"}, text
                assert _marks(text) == _marks(one), text


@pytest.mark.parametrize(
    ("text", "translation"),
    [
        ("Order {{ page.number }}", "Auftrag"),
        ("See <b>it</b>", "Sehen Sie es"),
        ("<b>One</b>", "<b>Eins</b> {{ page.secret }}"),
    ],
)
def test_a_value_or_mark_too_few_or_too_many_is_found(text: str, translation: str) -> None:
    assert _marks(text) != _marks(translation)


def test_a_place_that_is_left_out_is_found() -> None:
    assert _places("Order {number}") != _places("Auftrag {numer}")


@pytest.mark.parametrize("path", LANGUAGES, ids=lambda path: path.parts[-3])
def test_whoever_translates_is_told_how(path: Path) -> None:
    head = (TRANSLATIONS / "babel.cfg").read_text("utf-8")
    assert "pybabel extract" in head
    assert "babel.cfg" in path.read_text("utf-8")
    assert all(re.search(rf"\b{word}\b", head) for word in KEYWORDS)


def test_no_text_hides_in_a_formatted_string_where_no_extractor_sees_it() -> None:
    hidden = [
        f"{path.name}: {line}"
        for path in (ROOT / "service").rglob("*.py")
        for line in path.read_text("utf-8").splitlines()
        if re.search(r"\{[^{}\"]*\b(?:tr|tr_many|mark|say)\('", line)
    ]
    assert not hidden


# Whatever looks like a sentence and is in no catalogue has another reader than the people on the pages.

PROSE = re.compile(r"[A-Za-z]{2,}[,:;]? [a-z]+[,:;]? [a-z]{2,}|^[A-Z][a-z]+(?: [a-z]+)+")
OPERATORS = (
    "app.py",
    "commands/",
    "settings.py",
    "storage/",
    "web/health.py",
    "worker.py",
)
"""What the operator reads, on the command line and in logs. Of the store, pages show no sentence of a fault
but those of `complaints.py`, which are in the catalogues."""
PROGRAMS = (
    "web/answers.py",
    "web/api_",
    "web/openapi.py",
    "web/parameters.py",
    "web/routes.py",
    "web/security.py",
)
"""What other programs' makers read: descriptions, and answers of `/api/`."""
BROKEN = ("orders/audit.py", "orders/body.py", "orders/canonical.py", "orders/words.py", "typed.py")
"""What is only said of a store that was tampered with, or of a mistake in the program; words to be read."""
NOT_SHOWN = {
    "border stamp",
    "metre of further groove",
    "metre of edge",
    "metre of lace",  # words of the catalogue's file
    ": from a file, ",  # notes of the store, put in words by `change_words`
    "from a file, ([0-9]+) added, ([0-9]+) changed, ([0-9]+) removed",
    "of that address",  # what NotKept looked for; its page has a sentence of its own
    "This design can't be made",  # a title for programs
    "password too soon",  # reasons in the log
    "code too soon",
    "sent from elsewhere",
}


def _unmarked(source: str) -> set[str]:
    """Sentences in Python that no extractor takes."""
    tree = ast.parse(source)
    taken = {id(inner) for node in ast.walk(tree) for part in _known(node) for inner in ast.walk(part)}
    return {
        node.value
        for node in ast.walk(tree)
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in taken
        if PROSE.search(node.value)
    }


def _known(node: ast.AST) -> list[ast.expr]:
    """The parts of a node that are in the catalogues, or a docstring."""
    if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id in KEYWORDS:
        return node.args
    return [node.value] if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant) else []


def test_no_sentence_in_python_is_left_out_of_the_catalogues() -> None:
    service = ROOT / "service"
    left_out = {
        f"{name}: {text}"
        for path in service.rglob("*.py")
        for text in _unmarked(path.read_text("utf-8")) - NOT_SHOWN
        if not (name := path.relative_to(service).as_posix()).startswith((*OPERATORS, *PROGRAMS, *BROKEN))
        or name == "storage/complaints.py"
    }
    assert left_out == set()


@pytest.mark.parametrize(
    "source",
    ["raise Wrong('Give a name to it.')", "title = f'{count} rows are the most'", "Kind(429, 'One moment')"],
)
def test_a_sentence_that_was_left_out_would_be_found(source: str) -> None:
    assert _unmarked(source)
    assert not _unmarked(re.sub(r"f?('.*?')", r"tr(\1)", source))


@pytest.mark.parametrize("path", LANGUAGES, ids=lambda path: path.parts[-3])
def test_every_letter_of_a_translation_can_be_printed(path: Path) -> None:
    signs = {sign for row in _catalogue(path) if row.id for text in _texts(row.string) for sign in text}
    assert {sign for sign in signs if showable(sign, "bold") != sign} == set()
