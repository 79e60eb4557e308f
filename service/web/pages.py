"""Templates: compiled once, strict about what they use, every value escaped.

Besides their own context, all templates know `asset("css/base.css")`, the address of a static file, and
`once(macro, value)`: what a macro makes of frozen values, made once and shown again for the same ones.
"""

from functools import lru_cache
from pathlib import Path

from jinja2 import Environment, FileSystemLoader, StrictUndefined

from service.web.static import fingerprints

KEPT = 1024
"""So much of what macros made is kept: a field is a few kB."""


def environment(templates: Path, static: Path) -> Environment:
    """Return the templates of a folder, with addresses for the files of a static folder."""
    made = Environment(
        loader=FileSystemLoader(templates),
        undefined=StrictUndefined,
        autoescape=True,
        trim_blocks=True,
        lstrip_blocks=True,
        auto_reload=False,
    )
    made.globals["asset"] = lambda name: f"/static/{name}?v={fingerprints(static)[name]}"
    made.globals["once"] = lru_cache(maxsize=KEPT)(lambda macro, *values: macro(*values))
    return made
