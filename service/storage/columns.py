"""Kinds of column that hold the same on both engines, and that STRICT tables of SQLite take."""

import json
from collections.abc import Mapping
from contextlib import suppress
from datetime import UTC, date, datetime
from functools import cache
from typing import Any, Final, TypeVar, get_args, get_origin, get_type_hints

from pydantic import BaseModel, TypeAdapter, ValidationError
from sqlalchemy import BigInteger, Dialect, Double, Integer, Text
from sqlalchemy.dialects import sqlite
from sqlalchemy.types import TypeDecorator, TypeEngine

MINOR: Final[TypeEngine[int]] = BigInteger().with_variant(Integer, "sqlite")
"""Money in the currency's minor units, whole."""
REAL: Final[TypeEngine[float]] = Double().with_variant(sqlite.REAL, "sqlite")
"""A measure, to the last bit of the float."""
Model = TypeVar("Model", bound=BaseModel)


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
    """A frozen model as JSON: floats in the fewest digits that give them back, decimals as text.

    What was let in once is read for good: only its columns and their kinds are checked, no bounds.
    """

    impl = Text
    cache_ok = True

    def __init__(self, model: type[BaseModel], kinds: Mapping[str, type[BaseModel]] | None = None) -> None:
        """Take the model of what is kept; with `kinds` its subclass for each "kind" that a document names."""
        self.model = model
        self.kinds = tuple((kinds or {}).items())
        super().__init__()

    def process_bind_param(self, value: BaseModel | None, dialect: Dialect) -> str | None:
        del dialect
        return None if value is None else value.model_dump_json()

    def process_result_value(self, value: str | None, dialect: Dialect) -> BaseModel | None:
        del dialect
        if value is None:
            return None
        model = self._model(value)
        try:
            return model.model_validate_json(value)
        except ValidationError as fault:
            with suppress(ValidationError):
                return without_bounds(model, json.loads(value))
            raise fault from None  # it names the place

    def _model(self, value: str) -> type[BaseModel]:
        if not self.kinds:
            return self.model
        columns = json.loads(value)
        kind = columns.get("kind") if isinstance(columns, Mapping) else None
        return dict(self.kinds).get(str(kind), self.model)


def without_bounds(model: type[Model], columns: Any) -> Model:  # noqa: ANN401 - whatever a document holds
    """Return the model of these columns whose numbers and rules an older release may have let in.

    Raises ValidationError for a column that is missing, unknown or of another kind.
    """
    fields, hints = model.model_fields, _kinds(model)
    needed = {name for name, field in fields.items() if field.is_required()}
    if not isinstance(columns, Mapping) or not needed <= {*columns} <= {*fields}:
        return model.model_validate(columns)  # says what is wrong
    return model.model_construct(**{name: _unbound(hints[name], each) for name, each in columns.items()})


def _unbound(kind: Any, value: Any) -> Any:  # noqa: ANN401 - as above
    if isinstance(kind, type) and issubclass(kind, BaseModel):
        return without_bounds(kind, value)
    if get_origin(kind) is tuple and isinstance(value, list | tuple):
        return tuple(_unbound(get_args(kind)[0], each) for each in value)
    return _reader(kind).validate_python(value)


@cache
def _kinds(model: type[BaseModel]) -> dict[str, Any]:
    """The kinds of a model's columns, without what else is said of them."""
    return get_type_hints(model)


@cache
def _reader(kind: Any) -> TypeAdapter[Any]:  # noqa: ANN401 - as above
    return TypeAdapter(kind)


def moment_text(at: datetime) -> str:
    """Return the moment in UTC, always with six digits of a second; raises ValueError for a naive one."""
    if at.tzinfo is None:
        raise ValueError(f"{at} doesn't say which time zone it is in")
    return at.astimezone(UTC).isoformat(timespec="microseconds").replace("+00:00", "Z")
