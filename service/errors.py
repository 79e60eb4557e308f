"""Every error raised on purpose, one family.

    GirthwrightError
    ├── Unreadable         something typed can't be read
    ├── OutOfRange         a number is readable but too small or too large
    ├── DesignRefused      one or more DesignErrors, gathered before any is raised
    └── DesignError        the wishes can't be made into a thing
        ├── DoesNotFit     parts, holes or letters don't fit in the space there is
        └── NotStocked     the workshop's catalogue has no such item

Each error is a fact: it carries its data, its text is plain words saying what would work, and it
knows nothing of the web. Which page and status it becomes is decided where pages are made.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Self


class GirthwrightError(Exception):
    """The head of the family; never raised itself."""

    @classmethod
    def _bare(cls, *args: object) -> Self:
        return cls.__new__(cls, *args)

    def __reduce__(self) -> tuple[Any, ...]:
        # Copied by its data, not by calling __init__ again: so it survives the way out of another process.
        return self._bare, self.args, self.__dict__


class Unreadable(GirthwrightError):
    """Something typed can't be read.

    `text` is what was typed, whole; `reason` one sentence saying what is wrong; `would_work` an
    example that the same reader accepts.
    """

    def __init__(self, text: str, reason: str, would_work: str) -> None:
        self.text = text
        self.reason = reason
        self.would_work = would_work
        super().__init__(f"{reason} Try: {would_work}")


class OutOfRange(GirthwrightError):
    """A number is readable but outside what can be made.

    `what` names the thing ("neck"); `value`, `low` and `high` are in `unit`, the ends included.
    """

    def __init__(self, value: float, low: float, high: float, *, what: str, unit: str = "mm") -> None:
        self.value = value
        self.low = low
        self.high = high
        self.what = what
        self.unit = unit
        super().__init__(f"The {what} must be from {low:g} to {high:g} {unit}; {value:g} {unit} was given.")


@dataclass(frozen=True, slots=True)
class Suggestion:
    """One way out: set the parameter `field` to `value`; `text` says so in plain words."""

    field: str
    value: str
    text: str


class DesignError(GirthwrightError):
    """The wishes can't be made into a thing.

    `field` is the parameter to change first; `message` says what is wrong in plain words;
    `would_work` lists changes that lead to a design that can be made, the best first.
    """

    def __init__(self, *, field: str, message: str, would_work: tuple[Suggestion, ...] = ()) -> None:
        self.field = field
        self.message = message
        self.would_work = would_work
        super().__init__(" ".join([message, *(way.text for way in would_work)]))


class DoesNotFit(DesignError):
    """Parts, holes or letters don't fit in the space there is."""


class NotStocked(DesignError):
    """The workshop's catalogue has no such item in the width, finish or size asked for."""


class DesignRefused(GirthwrightError):
    """Everything that is wrong with a wish, gathered: `problems` holds one DesignError for each parameter."""

    def __init__(self, problems: tuple[DesignError, ...]) -> None:
        self.problems = problems
        super().__init__(" ".join(problem.message for problem in problems))
