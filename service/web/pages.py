"""Templates: compiled once in a process, strict about what they use, every value escaped.

Besides their own context, all templates know `asset("css/base.css")`, the address of a static file, and
`once(macro, value)`: what a macro makes of frozen values, made once and shown again for the same ones;
`language`, the one they are in, `languages()`, those that are offered, and `is_demo()`, whether the workshop
is the invented one; `again`, a form that is refused (`again.py`), else None. Each language has templates of
its own: their text is exchanged when they are loaded
(`texts.py`). A number, its fraction and its unit are never on two lines, except where somebody types them.
"""

import re
from collections.abc import Callable, Iterable
from functools import lru_cache
from pathlib import Path
from types import CodeType
from typing import Final

from jinja2 import BytecodeCache, Environment, FileSystemLoader, StrictUndefined, Template
from jinja2.bccache import Bucket

from service.language import ENGLISH, Language, spoken
from service.web.static import fingerprints
from service.web.texts import exchanged

INCLUDE = re.compile(r'{% include "(.+?)" %}')
INDENT = re.compile(r"^[ \t]+", re.MULTILINE)
ATTRIBUTE = re.compile(r'="(?:[^"{]|\{\{.*?\}\}|\{%.*?%\}|\{)*"')
TYPED = re.compile(r"<textarea.*?</textarea>", re.DOTALL)
SHOWN = re.compile(r"\{\{(.*?)\}\}")
MEASURE = re.compile(r"(?<=\d) (?=\d+/\d|(?:in|mm|cm|m|ft|kg|g|lb|oz|N)\b|%)")
"""The spaces within a size, as people read it."""
KEPT = 1024
"""So much of what macros made is kept: a field is a few kB."""


class Whole(FileSystemLoader):
    """Loads templates in a language, with what they include in place and without the room before their lines.

    To look either up at each visit takes longer; that room is a seventeenth of a page as it is sent.
    """

    def __init__(self, folder: Path, language: Language) -> None:
        super().__init__(folder)
        self.language = language

    def get_source(self, environment: Environment, template: str) -> tuple[str, str, Callable[[], bool]]:
        """Return a template's text, where it is, and whether it is still so; raises TemplateNotFound."""
        text, path, fresh = super().get_source(environment, template)
        if self.language is not ENGLISH:
            text = exchanged(text, self.language.catalogue.gettext)
        text = ATTRIBUTE.sub(_as_it_is, TYPED.sub(_as_it_is, INDENT.sub("", text)))
        return INCLUDE.sub(lambda found: self._part(environment, found[1]), text), path, fresh

    def _part(self, environment: Environment, template: str) -> str:
        return self.get_source(environment, template)[0].rstrip("\n")


def _as_it_is(found: re.Match[str]) -> str:
    """An attribute, or what is typed: what stands in it is escaped and nothing else."""
    return SHOWN.sub(r"{{ (\1)|e }}", found[0])


def _unbroken(value: object) -> object:
    """A text that is shown, with its sizes each on one line."""
    return MEASURE.sub("\N{NO-BREAK SPACE}", value) if type(value) is str else value


class Compiled(BytecodeCache):
    """What templates were compiled to, by their name and text, for every application of the process."""

    def __init__(self) -> None:
        self.kept: dict[tuple[str, str], CodeType | None] = {}

    def load_bytecode(self, bucket: Bucket) -> None:
        """Give a template what its text was compiled to before, if it was."""
        bucket.code = self.kept.get((bucket.key, bucket.checksum))

    def dump_bytecode(self, bucket: Bucket) -> None:
        """Keep what a template's text was compiled to."""
        self.kept[bucket.key, bucket.checksum] = bucket.code


COMPILED: Final = Compiled()


class Pages:
    """The templates of every language; whoever reads gets those of theirs."""

    def __init__(
        self,
        templates: Path,
        static: Path,
        languages: Iterable[Language],
        offered: Callable[[], Iterable[Language]] = tuple,
    ) -> None:
        self.offered = offered
        self.languages = {language.code: language for language in languages}
        self.asset = {name: f"/static/{name}?v={digest}" for name, digest in fingerprints(static).items()}
        self.sets = {one.code: self._environment(templates, one) for one in self.languages.values()}

    def get_template(self, name: str) -> Template:
        """Return a template in the reader's language."""
        return self.sets[spoken().code].get_template(name)

    def know(self, name: str, what: Callable[[], object]) -> None:
        """Let every template ask for something by a name."""
        for one in self.sets.values():
            one.globals[name] = what

    def _environment(self, templates: Path, language: Language) -> Environment:
        made = Environment(
            loader=Whole(templates, language),
            undefined=StrictUndefined,
            autoescape=True,
            trim_blocks=True,
            lstrip_blocks=True,
            auto_reload=False,
            bytecode_cache=COMPILED,
            finalize=_unbroken,
        )
        made.globals["asset"] = self.asset.__getitem__
        made.globals["once"] = lru_cache(maxsize=KEPT)(lambda macro, *values: macro(*values))
        made.globals["language"] = language
        made.globals["again"] = None
        made.globals["languages"] = self.offered
        return made
