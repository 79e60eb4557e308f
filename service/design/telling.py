"""A pattern in words, whatever is made: the rooms above say it without knowing what kind of thing it is."""

from dataclasses import dataclass

from service.design.pattern import HoleFit
from service.saying import Message, Sayable


@dataclass(frozen=True, slots=True)
class Fact:
    """A name, what stands there, and a few words beside it."""

    name: str
    value: Sayable
    beside: Message | None = None


@dataclass(frozen=True, slots=True)
class Measured:
    """A measure that was typed: its parameter, its name, what it was read as [mm], and how it was taken."""

    field: str
    name: str
    size: float
    how: Message | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """What is said of a pattern.

    `title` names it, `made` is its line in a price, `code` begins the names of its files, with the first of
    `measures` and the width. `phrases` tell it in one sentence, of which `length` is the end. `choices` are
    what was chosen of the kind's own, `fits` how it fits, `sizes` [mm] what is cut to a tenth, `girths` [mm]
    what is read to whole millimetres. `sits` are sentences on the fit, `included` what the buyer gets,
    `holes` the fit on each size hole, where there are any.
    """

    code: str
    title: Message
    made: str
    phrases: tuple[Message, ...]
    length: Message
    measures: tuple[Measured, ...]
    choices: tuple[Fact, ...]
    fits: tuple[Fact, ...]
    sizes: tuple[tuple[str, float], ...]
    girths: tuple[tuple[str, float], ...]
    sits: tuple[Message, ...]
    included: tuple[Message, ...]
    holes: tuple[HoleFit, ...] = ()
