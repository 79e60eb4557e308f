"""Templates: compiled once, strict about what they use, every value escaped.

Besides their own context, all templates know `asset("css/base.css")`, the address of a static file, and
`once(macro, value)`: what a macro makes of frozen values, made once and shown again for the same ones.
"""

import re
from collections.abc import Callable
from functools import lru_cache
from pathlib import Path

from jinja2 import Environment, FileSystemLoader, StrictUndefined

from service.web.static import fingerprints

INCLUDE = re.compile(r'{% include "(.+?)" %}')
KEPT = 1024
"""So much of what macros made is kept: a field is a few kB."""


class Whole(FileSystemLoader):
    """Loads templates with what they include already in place: to look that up at each visit takes longer."""

    def get_source(self, environment: Environment, template: str) -> tuple[str, str, Callable[[], bool]]:
        """Return a template's text, where it is, and whether it is still so; raises TemplateNotFound."""
        text, path, fresh = super().get_source(environment, template)
        return INCLUDE.sub(lambda found: self._part(environment, found[1]), text), path, fresh

    def _part(self, environment: Environment, template: str) -> str:
        return self.get_source(environment, template)[0].rstrip("\n")


def environment(templates: Path, static: Path) -> Environment:
    """Return the templates of a folder, with addresses for the files of a static folder."""
    made = Environment(
        loader=Whole(templates),
        undefined=StrictUndefined,
        autoescape=True,
        trim_blocks=True,
        lstrip_blocks=True,
        auto_reload=False,
    )
    assets = {name: f"/static/{name}?v={digest}" for name, digest in fingerprints(static).items()}
    made.globals["asset"] = assets.__getitem__
    made.globals["once"] = lru_cache(maxsize=KEPT)(lambda macro, *values: macro(*values))
    return made
