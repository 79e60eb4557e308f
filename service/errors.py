"""Every error raised on purpose, one family.

    GirthwrightError
    ├── Unreadable         something typed can't be read
    ├── DesignRefused      one or more DesignErrors, gathered before any is raised
    └── DesignError        the wishes can't be made into a thing
        ├── DoesNotFit     parts, holes or letters don't fit in the space there is
        └── NotStocked     the workshop's catalogue has no such item

Each error is a fact: it carries its data, its text is plain words saying what would work, and it
knows nothing of the web. Which page and status it becomes is decided where pages are made, and there its
messages are said in the reader's own units; as plain text, `str`, they have inches first.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Self

from service.saying import Message, Value, joined, say


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

    def __init__(self, text: str, reason: Message, would_work: str) -> None:
        self.text = text
        self.reason = reason
        self.would_work = would_work
        super().__init__()

    @property
    def message(self) -> Message:
        """What is wrong, and the example."""
        return try_instead(self.reason, self.would_work)

    def __str__(self) -> str:
        return str(self.message)


def try_instead(reason: Message, example: Value) -> Message:
    """Return what is wrong with something typed, followed by an example that would work."""
    return say("{reason} Try: {example}", reason=reason, example=example)


@dataclass(frozen=True, slots=True)
class Suggestion:
    """One way out: set the parameter `field` to `value`, and do what is in `also`; `text` says all of it."""

    field: str
    value: str
    text: Message
    also: tuple[Suggestion, ...] = ()

    @property
    def values(self) -> dict[str, str]:
        """Every parameter to be set, and what to."""
        return {self.field: self.value, **{one.field: one.value for one in self.also}}


class DesignError(GirthwrightError):
    """The wishes can't be made into a thing.

    `field` is the parameter to change first; `message` says what is wrong in plain words;
    `would_work` lists changes that lead to a design that can be made, the best first.
    """

    def __init__(self, *, field: str, message: Message, would_work: tuple[Suggestion, ...] = ()) -> None:
        self.field = field
        self.message = message
        self.would_work = would_work
        super().__init__()

    def __str__(self) -> str:
        return joined([self.message, *(way.text for way in self.would_work)])


class DoesNotFit(DesignError):
    """Parts, holes or letters don't fit in the space there is."""


class NotStocked(DesignError):
    """The workshop's catalogue has no such item in the width, finish or size asked for."""


class DesignRefused(GirthwrightError):
    """Everything that is wrong with a wish, gathered: `problems` holds one DesignError for each parameter."""

    def __init__(self, problems: tuple[DesignError, ...]) -> None:
        self.problems = problems
        super().__init__()

    def __str__(self) -> str:
        return joined(problem.message for problem in self.problems)
