"""Kinds of column that hold the same on both engines, and that STRICT tables of SQLite take."""

from datetime import UTC, date, datetime
from typing import Any, Final

from pydantic import BaseModel
from sqlalchemy import BigInteger, Dialect, Double, Integer, Text
from sqlalchemy.dialects import sqlite
from sqlalchemy.types import TypeDecorator, TypeEngine

MINOR: Final[TypeEngine[int]] = BigInteger().with_variant(Integer, "sqlite")
"""Money in the currency's minor units, whole."""
REAL: Final[TypeEngine[float]] = Double().with_variant(sqlite.REAL, "sqlite")
"""A measure, to the last bit of the float."""


class Moment(TypeDecorator[datetime]):
    """A moment in UTC as text of one width, so that it sorts: 2026-11-25T09:30:00.000000Z."""

    impl = Text
    cache_ok = True

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> str | None:
        del dialect
        return None if value is None else moment_text(value)

    def process_result_value(self, value: str | None, dialect: Dialect) -> datetime | None:
        del dialect
        return None if value is None else datetime.fromisoformat(value)


class Day(TypeDecorator[date]):
    """A day of the calendar as text: 2026-11-25."""

    impl = Text
    cache_ok = True

    def process_bind_param(self, value: date | None, dialect: Dialect) -> str | None:
        del dialect
        return None if value is None else value.isoformat()

    def process_result_value(self, value: str | None, dialect: Dialect) -> date | None:
        del dialect
        return None if value is None else date.fromisoformat(value)


class Document(TypeDecorator[Any]):
    """A frozen model as JSON: floats in the fewest digits that give them back, decimals as text."""

    impl = Text
    cache_ok = True

    def __init__(self, model: type[BaseModel]) -> None:
        self.model = model
        super().__init__()

    def process_bind_param(self, value: BaseModel | None, dialect: Dialect) -> str | None:
        del dialect
        return None if value is None else value.model_dump_json()

    def process_result_value(self, value: str | None, dialect: Dialect) -> BaseModel | None:
        del dialect
        return None if value is None else self.model.model_validate_json(value)


def moment_text(at: datetime) -> str:
    """Return the moment in UTC, always with six digits of a second; raises ValueError for a naive one."""
    if at.tzinfo is None:
        raise ValueError(f"{at} doesn't say which time zone it is in")
    return at.astimezone(UTC).isoformat(timespec="microseconds").replace("+00:00", "Z")
