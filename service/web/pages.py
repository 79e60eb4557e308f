"""Templates: compiled once, strict about what they use, every value escaped.

Besides their own context, all templates know `asset("css/base.css")`, the address of a static file.
"""

from pathlib import Path

from jinja2 import Environment, FileSystemLoader, StrictUndefined

from service.web.static import fingerprints


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
    return made
