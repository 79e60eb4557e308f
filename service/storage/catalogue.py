"""The workshop's catalogue, read from its file in the data folder."""

import tomllib
from decimal import Decimal
from pathlib import Path
from typing import Any

from pydantic import ValidationError
from pydantic_core import ErrorDetails

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
        rows = tomllib.loads(path.read_text(encoding="utf-8-sig"), parse_float=Decimal)
    except (OSError, UnicodeDecodeError, tomllib.TOMLDecodeError) as fault:
        raise CatalogueUnusable(path, (str(fault),)) from fault
    try:
        return Workshop.model_validate(rows)
    except ValidationError as fault:
        raise CatalogueUnusable(path, tuple(complaint(error, rows) for error in fault.errors())) from fault


def complaint(error: ErrorDetails, rows: dict[str, Any]) -> str:
    """One fault in words: table, row as a person counts and its code, column, and what is wrong."""
    steps: list[str] = []
    at: Any = rows
    for step in error["loc"]:
        at = _inside(at, step)
        if isinstance(step, int):
            code = at.get("code") if isinstance(at, dict) else None
            steps.append(f"row {step + 1} ({code})" if code else f"row {step + 1}")
        else:
            steps.append(step)
    said = error["msg"].removeprefix("Value error, ")
    given = f" (it is {at})" if isinstance(at, str | int | Decimal) else ""
    return f"{', '.join(steps)}: {said}{given}" if steps else said


def _inside(at: Any, step: int | str) -> Any:  # noqa: ANN401 - whatever a TOML file holds
    if isinstance(at, dict):
        return at.get(step)
    return at[step] if isinstance(at, list) and isinstance(step, int) else None
