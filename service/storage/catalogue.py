"""The workshop's catalogue, read from its file in the data folder."""

import tomllib
from decimal import Decimal
from pathlib import Path

from pydantic import ValidationError

from service.errors import GirthwrightError
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
        rows = tomllib.loads(path.read_text(encoding="utf-8"), parse_float=Decimal)
    except (OSError, UnicodeDecodeError, tomllib.TOMLDecodeError) as fault:
        raise CatalogueUnusable(path, (str(fault),)) from fault
    try:
        return Workshop.model_validate(rows)
    except ValidationError as fault:
        complaints = tuple(
            f"{'.'.join(str(step) for step in error['loc'])}: {error['msg']}" for error in fault.errors()
        )
        raise CatalogueUnusable(path, complaints) from fault
