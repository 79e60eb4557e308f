"""The text of templates: found whole, exchanged in place, and nothing but text."""

from io import BytesIO
from pathlib import Path

import pytest

from service.web.texts import TOKEN, exchanged, extract, literals, runs

TEMPLATES = sorted((Path(__file__).parents[2] / "templates").rglob("*.html"))


def found(source: str) -> list[str]:
    return [run.message for run in runs(source)]


@pytest.mark.parametrize(
    ("source", "messages"),
    [
        ("<p>Keep it.</p>", ["Keep it."]),
        ("<p>\n  Keep\n  it.\n</p>", ["Keep it."]),
        ("<p>{{ page.name }}</p>", []),
        ("<p>Order {{ page.number }}, kept</p>", ["Order {{ page.number }}, kept"]),
        ('<li><a href="{{ a }}">Find</a></li>', ["Find"]),
        ('<p>Go. <a href="#a">There</a></p>', ['Go. <a href="#a">There</a>']),
        ("<p>{% if a < b %}Less{% else %}More{% endif %}</p>", ["Less", "More"]),
        ('<ul class="a{% if a|length > 1 %} b{% endif %}"><li>One</li></ul>', ["One"]),
        ('{{ "Error: " if wrong }}{{ title }}', ['{{ "Error: " if wrong }}{{ title }}']),
        ("{{ part('design-till') }}", []),
        ('<img src="x" alt="A strap" width="2">', ["A strap"]),
        ('<input title="{{ page.name }}">', []),
        ('<meta name="description" content="Collars">', ["Collars"]),
        ('<meta name="viewport" content="width=device-width">', []),
        ("{# A note #}<svg><title>No</title></svg><script>let a;</script>", []),
        ("<p>3 × 4</p>", []),
        ('<p>See <button aria-label="Close it">×</button></p>', ["See", "Close it"]),
        ('<a aria-label="A picture"><b>{{ x }}</b></a>', ["A picture"]),
    ],
)
def test_each_run_of_text_is_one_message(source: str, messages: list[str]) -> None:
    assert sorted(found(source)) == sorted(messages)


def test_a_translation_takes_the_place_of_its_text_and_of_nothing_else() -> None:
    words = {"Order {{ n }}, kept": "Behalten: Auftrag {{ n }}", "Close": "Zu"}
    source = '<p class="Close">\n  {}\n</p>{{% if Close %}}<b title="{}">{{{{ Close }}}}</b>{{% endif %}}'
    english, german = (source.format(*texts) for texts in (words.keys(), words.values()))
    assert exchanged(english, lambda text: words.get(text, text)) == german


@pytest.mark.parametrize("path", TEMPLATES, ids=lambda path: f"{path.parent.name}/{path.name}")
def test_no_word_of_a_template_stands_outside_its_runs(path: Path) -> None:
    source = path.read_text("utf-8")
    assert exchanged(source, lambda text: text).split() == source.split()
    left = exchanged(source, lambda _: "")
    for token in TOKEN.finditer(left):
        if token.lastgroup in {"logic", "value"}:
            assert not literals(token[0]), "a literal in a statement is no message: write it as text"
    assert not any(letter.isalpha() for letter in TOKEN.sub("", left))


def test_catalogues_get_each_message_with_its_line() -> None:
    messages = extract(BytesIO(b"<h1>One</h1>\n<p>Two</p>\n"), (), (), {})
    assert [(line, text) for line, _, text, _ in messages] == [(1, "One"), (2, "Two")]
