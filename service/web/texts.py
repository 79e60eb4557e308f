"""The text of templates: where it stands in their source, and its exchange for another language.

Templates hold plain English. Each run of text between blocks, with the values and the inline marks in it, is
one message of the catalogues, and is exchanged once, when a template is loaded: what is shown costs nothing
more, and no text can be forgotten. A translation holds the same values and marks, in any order it needs.
"""

import re
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from typing import BinaryIO, Final

TOKEN: Final = re.compile(
    r"(?P<skip>\{#.*?#\}|<(?:script|style|svg)\b.*?</(?:script|style|svg)>)"
    r"|(?P<value>\{\{.*?\}\})"
    r"|(?P<logic>\{%.*?%\})"
    r"|(?P<tag><(?=[/!a-z]|\{\{)(?:\{\{.*?\}\}|\{%.*?%\}|[^>{]|\{(?![{%]))*>)",
    re.DOTALL,
)
INLINE: Final = re.compile(r"</?(?:a|abbr|b|br|code|del|em|ins|small|span|strong|time)\b")
SAID: Final = re.compile(
    r'(?P<before>\s(?:aria-label|alt|title|placeholder|data-say-[a-z]+)=")(?P<text>[^"]*)(?=")'
)
DESCRIBED: Final = re.compile(r'(?P<before>\scontent=")(?P<text>[^"]*)(?=")')
DESCRIBES: Final = re.compile(r'<meta (?:name="description"|property="og:title")')
LITERAL: Final = re.compile(r"\"([^\"]*)\"|'([^']*)'")
WORDY: Final = re.compile(r"[A-Z][a-z]|[a-z]{2,}[:,.]? |[a-z]+ [a-z]")
"""A literal that people read, not a name for programs."""
LETTER: Final = re.compile(r"[^\W\d_]")


@dataclass(frozen=True, slots=True)
class Run:
    """A run of text in a template's source: from where to where, and what it says."""

    start: int
    end: int
    text: str

    @property
    def message(self) -> str:
        """The text as the catalogues have it: each break is one space."""
        return " ".join(self.text.split())


def runs(source: str) -> Iterator[Run]:
    """Yield every run of text in a template's source, in order."""
    start = 0
    for found in TOKEN.finditer(source):
        inline = found.lastgroup == "value" or (found.lastgroup == "tag" and INLINE.match(found[0]))
        if inline:
            continue
        yield from _run(source, start, found.start())
        start = found.end()
        if found.lastgroup == "tag":
            yield from _attributes(found[0], found.start())
    yield from _run(source, start, len(source))


def exchanged(source: str, translate: Callable[[str], str]) -> str:
    """Return a template's source with its text translated."""
    parts, at = [], 0
    for run in sorted(runs(source), key=lambda one: one.start):
        parts += [source[at : run.start], translate(run.message)]
        at = run.end
    return "".join([*parts, source[at:]])


def extract(
    fileobj: BinaryIO,
    keywords: object,  # noqa: ARG001 - as the extractors of catalogues are called
    comment_tags: object,  # noqa: ARG001
    options: object,  # noqa: ARG001
) -> Iterable[tuple[int, None, str, list[str]]]:
    """Yield what gettext's catalogues take from a template: line, no function, message, no comments."""
    source = fileobj.read().decode()
    for run in runs(source):
        yield source.count("\n", 0, run.start) + 1, None, run.message, []


def literals(expression: str) -> list[str]:
    """Return the literals in an expression that people read."""
    return [
        text for found in LITERAL.finditer(expression) if WORDY.search(text := found[1] or found[2] or "")
    ]


def _attributes(tag: str, offset: int) -> Iterator[Run]:
    kinds = (SAID, DESCRIBED) if DESCRIBES.match(tag) else (SAID,)
    for kind in kinds:
        for found in kind.finditer(tag):
            if _says(found["text"]):
                yield Run(offset + found.start("text"), offset + found.end("text"), found["text"])


def _run(source: str, start: int, end: int) -> Iterator[Run]:
    """The run between two places, without the marks that only stand round it; none where nothing is said."""
    first, last = _bounds(source, start, end)
    text = source[first:last]
    if _says(text):
        yield Run(first, last, text)
        return
    for found in TOKEN.finditer(source, start, end):
        if found.lastgroup == "tag":
            yield from _attributes(found[0], found.start())


def _bounds(source: str, start: int, end: int) -> tuple[int, int]:
    """Where the text begins and ends once blanks and marks that enclose all of it are taken off."""
    while True:
        text = source[start:end]
        start += len(text) - len(text.lstrip())
        end -= len(text) - len(text.rstrip())
        text = source[start:end]
        tags = [found for found in TOKEN.finditer(text) if found.lastgroup == "tag"]
        if not tags or tags[0].start() or not _encloses(tags, len(text)):
            return start, end
        start, end = start + tags[0].end(), end - (len(text) - tags[-1].start())


def _encloses(tags: list[re.Match[str]], length: int) -> bool:
    """Tell whether the first mark is closed by the last one, at the very end."""
    depth = 0
    for number, tag in enumerate(tags):
        depth += 0 if tag[0].startswith("<br") else -1 if tag[0].startswith("</") else 1
        if depth == 0:
            return number == len(tags) - 1 and tag.end() == length and number > 0
    return False


def _says(text: str) -> bool:
    values = [found[0] for found in TOKEN.finditer(text) if found.lastgroup == "value"]
    return bool(LETTER.search(TOKEN.sub("", text)) or any(map(literals, values)))
