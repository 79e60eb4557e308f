"""Messages: one template, said to each reader in their own units and language."""

from __future__ import annotations

import ast
import pickle
import string
from collections.abc import Iterator
from io import BytesIO
from pathlib import Path

import pytest
from babel.messages.catalog import Catalog
from babel.messages.extract import extract_from_file
from babel.messages.mofile import write_mo
from babel.support import Translations
from hypothesis import given
from hypothesis import strategies as st

from service.language import Language, speaking
from service.saying import (
    Either,
    Exact,
    Length,
    Limit,
    Listed,
    Mass,
    Message,
    OffSpool,
    Value,
    in_turn,
    named,
    say,
    say_many,
)
from service.typed import read_length

SERVICE = Path(__file__).parents[1] / "service"
MARKED = {"say": 1, "say_many": 2}
"""The functions that templates are passed to, and how many templates each takes."""


@pytest.mark.parametrize(
    ("value", "imperial", "metric"),
    [
        (Length(482.6), "19 in (483 mm)", "48.3 cm (19 in)"),
        (Length(482.6, alone=True), "19 in", "48.3 cm"),
        (Limit(25.1, "least"), "1 in (25.1 mm)", "25.1 mm (1 in)"),
        (Limit(17.5, "least"), "3/4 in", "17.5 mm"),  # "3/4 in (17.5 mm)" would look wrong
        (Limit(150, "least", alone=True), "5 15/16 in", "15 cm"),
        (Limit(915, "most"), "36 in (915 mm)", "91.5 cm (36 in)"),
        (Exact(2.80), "2.8 mm", "2.8 mm"),
        (Mass(10), "22 lb (10 kg)", "10 kg (22 lb)"),
        (OffSpool(4076), "13 1/2 ft (4.1 m)", "4.1 m (13 1/2 ft)"),
        (OffSpool(100), "1/2 ft (0.1 m)", "0.1 m (1/2 ft)"),
        (Either("45 lb", "20 kg"), "45 lb", "20 kg"),
        (Listed(("Pigskin, tan", "Soft calf")), "Pigskin, tan; Soft calf", "Pigskin, tan; Soft calf"),
        (Listed((Length(19.05), 6, "brass")), "3/4 in (19.1 mm), 6, brass", "19.1 mm (3/4 in), 6, brass"),
    ],
    ids=str,
)
def test_a_quantity_is_said_in_the_readers_units(value: Value, imperial: str, metric: str) -> None:
    message = say("It is {size}.", size=value)
    assert message.said("imperial") == str(message) == f"It is {imperial}."
    assert message.said("metric") == f"It is {metric}."


@given(st.floats(7, 1000), st.sampled_from(["least", "most"]))
def test_a_limit_that_is_typed_as_it_is_said_keeps_to_it(mm: float, side: str) -> None:
    limit = Limit(mm, "least" if side == "least" else "most")
    for text in (limit.said("imperial"), limit.said("metric")):
        for said in text.rstrip(")").split(" ("):
            over = read_length(said).value - mm
            assert over >= -1e-6 if side == "least" else over <= 1e-6
            assert abs(over) < 1.6  # within a sixteenth of an inch


def test_messages_stand_in_messages_and_follow_one_another() -> None:
    width = say("{width} wide", width=Length(25.4))
    both = in_turn(say("A strap {strap}.", strap=width), say("Try another."))
    assert both.said("metric") == "A strap 25.4 mm (1 in) wide. Try another."


@given(st.text(st.characters(exclude_categories=["Cs"]), max_size=20))
def test_what_was_typed_is_said_as_it_was_typed(text: str) -> None:
    assert str(named(text)) == text
    assert str(say("“{text}” is nothing.", text=text)) == f"“{text}” is nothing."


@pytest.mark.parametrize(("count", "said"), [(1, "1 hole fits"), (0, "0 holes fit"), (6, "6 holes fit")])
def test_a_count_decides_between_one_and_several(count: int, said: str) -> None:
    assert str(say_many("{count} hole fits", "{count} holes fit", count)) == said


def test_a_catalogue_of_gettext_translates_templates_and_counts() -> None:
    catalog = Catalog("de")
    catalog.add("It is {size} long.", "Länge: {size}.")
    catalog.add(("{count} hole fits", "{count} holes fit"), ("{count} Loch passt", "{count} Löcher passen"))
    file = BytesIO()
    write_mo(file, catalog)
    file.seek(0)
    with speaking(Language("de", "Deutsch", Translations(file), ",")):
        assert say("It is {size} long.", size=Length(25.4)).said("metric") == "Länge: 25,4 mm (1 in)."
        counted = [say_many("{count} hole fits", "{count} holes fit", n).said("metric") for n in (1, 2)]
        assert counted == ["1 Loch passt", "2 Löcher passen"]
        assert say("Not translated yet.").said("metric") == "Not translated yet."
    assert say("It is {size} long.", size=Length(25.4)).said("metric") == "It is 25.4 mm (1 in) long."


def test_messages_are_values() -> None:
    message = say("It is {size}.", size=Length(25.4))
    assert message == say("It is {size}.", size=Length(25.4))
    assert len({message, pickle.loads(pickle.dumps(message))}) == 1  # noqa: S301 (made in the line itself)


# The source itself: what the extractor finds is all that is said.


def _calls(path: Path) -> Iterator[ast.Call]:
    for node in ast.walk(ast.parse(path.read_text("utf-8"))):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id in MARKED:
            yield node


def _places(template: str) -> set[str]:
    return {name for _, name, _, _ in string.Formatter().parse(template) if name is not None}


SOURCES = [path for path in SERVICE.rglob("*.py") if any(_calls(path))]


@pytest.mark.parametrize("path", SOURCES, ids=lambda path: str(path.relative_to(SERVICE)))
def test_every_template_is_a_literal_whose_places_are_filled(path: Path) -> None:
    for call in _calls(path):
        assert isinstance(call.func, ast.Name)
        count = MARKED[call.func.id]
        templates = [node.value for node in call.args[:count] if isinstance(node, ast.Constant)]
        assert len(templates) == count, f"line {call.lineno}: a template is no plain literal"
        given_places = {word.arg for word in call.keywords} | ({"count"} if count > 1 else set())
        if None in given_places:
            continue  # places given by a mapping
        given_places.discard("spelled")  # how the count is said
        used = set().union(*(_places(str(template)) for template in templates))
        assert used <= given_places, f"line {call.lineno}"
        assert given_places - {"count"} <= used, f"line {call.lineno}"


@pytest.mark.parametrize("path", SOURCES, ids=lambda path: str(path.relative_to(SERVICE)))
def test_the_extractor_of_catalogues_finds_every_template(path: Path) -> None:
    found = extract_from_file("python", path, keywords={"say": None, "say_many": (1, 2)})
    extracted = {text for _, texts, _, _ in found for text in ([texts] if isinstance(texts, str) else texts)}
    written = {
        node.value
        for call in _calls(path)
        for node in call.args[: MARKED[call.func.id] if isinstance(call.func, ast.Name) else 0]
        if isinstance(node, ast.Constant)
    }
    assert written == extracted


def test_no_message_is_made_but_by_the_marked_functions() -> None:
    makers = [
        path.name
        for path in SERVICE.rglob("*.py")
        for node in ast.walk(ast.parse(path.read_text("utf-8")))
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == Message.__name__
    ]
    assert set(makers) == {"saying.py"}
