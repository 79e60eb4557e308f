"""What a table of the catalogue and a column in it are on pages and in files."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

from service.workshop import Row, Workshop

Kind = Literal[
    "text",
    "code",
    "colour",
    "thickness",
    "length",
    "width",
    "money",
    "share",
    "minutes",
    "hours",
    "grams",
    "newtons",
    "volume",
    "area",
    "tex",
    "figure",
    "choice",
    "signs",
    "currency",
    "whole",
    "languages",
]
Options = Callable[[Workshop], tuple[tuple[str, str], ...]]


@dataclass(frozen=True, slots=True)
class Column:
    """A column: `name` is the row's own, `unit` stands beside the label."""

    name: str
    label: str
    kind: Kind = "text"
    unit: str = ""
    hint: str = ""
    example: str = ""
    options: Options | None = None


@dataclass(frozen=True, slots=True)
class Sheet:
    """A table: what it and its rows are called, its columns, and the one a row is known by."""

    kind: str
    title: str
    add: str
    new: str
    model: type[Row]
    columns: tuple[Column, ...]
    about: str = ""
    key: str = "code"

    def column(self, name: str) -> Column:
        """Return the column of a name."""
        return next(one for one in self.columns if one.name == name)

    def required(self, name: str) -> bool:
        """Whether a row has to have this column."""
        return bool(self.model.model_fields[name].is_required())
