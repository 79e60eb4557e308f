"""The workshop's catalogue, read from its file in the data folder."""

import tomllib
from decimal import Decimal
from pathlib import Path

from pydantic import ValidationError

from service.errors import GirthwrightError
from service.storage.complaints import complaint
from service.workshop import Workshop


class CatalogueUnusable(GirthwrightError):
    """The catalogue can't be read: `path` says which file, `complaints` what is wrong, row by row."""

    def __init__(self, path: Path, complaints: tuple[str, ...]) -> None:
        self.path = path
        self.complaints = complaints
        super().__init__(f"The catalogue {path} can't be used: " + "; ".join(complaints))


def load_workshop(path: Path) -> Workshop:
    """Return the workshop kept in a TOML file; raises CatalogueUnusable naming every row that is wrong."""
    try:
        rows = tomllib.loads(path.read_text(encoding="utf-8-sig"), parse_float=Decimal)
    except OSError as fault:
        raise CatalogueUnusable(path, (f"it can't be read ({fault.strerror})",)) from fault
    except UnicodeDecodeError as fault:
        raise CatalogueUnusable(path, ("it is no text in UTF-8: save it as that",)) from fault
    except tomllib.TOMLDecodeError as fault:
        said = f"it is no TOML: {fault}; every line is a heading, name = value, or begins with #"
        raise CatalogueUnusable(path, (said,)) from fault
    try:
        return Workshop.model_validate(rows)
    except ValidationError as fault:
        raise CatalogueUnusable(path, tuple(complaint(error, rows) for error in fault.errors())) from fault
