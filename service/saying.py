"""What is said to people: templates and the quantities in them, made into text for one reader at a time.

A text that holds a size is no string before its reader is known: one reads inches, another centimetres, a
third another language. So it is kept as a template in English with its values, and each reader gets it in
their own system. Templates stand as plain literals in calls of `say` and `say_many`: there the extractor of
gettext catalogues finds them (keywords `say` and `say_many:1,2`). The language is that of whoever reads now
(`service/language.py`).
"""

from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache
from math import ceil, floor
from typing import Literal, Protocol

from service.language import decimals, mark, spoken, tr
from service.units import IN, System, show_both, show_inches, show_length, show_mass, show_mm

_SIXTEENTH = IN / 16
_TAPE = 100  # mm; below it sizes are read to a tenth
_NOISE = 1e-6  # mm; nearer than this to a mark of the ruler is on it
_ALIKE = 0.02  # of a length: nearer than that its two roundings look like one size. By eye

_NUMBERS = (
    mark("no"),
    mark("one"),
    mark("two"),
    mark("three"),
    mark("four"),
    mark("five"),
    mark("six"),
    mark("seven"),
    mark("eight"),
    mark("nine"),
    mark("ten"),
    mark("eleven"),
    mark("twelve"),
)


class Sayable(Protocol):
    """A value that is said differently to different readers."""

    def said(self, system: System) -> str:
        """Return the text for a reader of this system."""
        ...


Value = str | int | Sayable


@dataclass(frozen=True, slots=True)
class Length:
    """A length [mm] in the reader's system, and in the other in brackets; with `alone` without that."""

    mm: float
    alone: bool = False

    def said(self, system: System) -> str:
        """Return it as text. Worked: 419.1 mm is "16 1/2 in (419 mm)" or "41.9 cm (16 1/2 in)"."""
        return show_length(self.mm, system) if self.alone else show_both(self.mm, system)


@dataclass(frozen=True, slots=True)
class Limit:
    """A limit [mm] in both systems, each rounded to the side on which it holds; with `alone` in one only.

    The other system is left out where rounding takes it so far off that it would look like a mistake.
    """

    mm: float
    side: Literal["least", "most"]
    alone: bool = False

    def said(self, system: System) -> str:
        """Return it as text.

        Worked: at least 150 mm is "5 15/16 in (150 mm)" or "15 cm (5 15/16 in)", at least 17.5 mm "3/4 in" or
        "17.5 mm".
        """
        sixteenths = self._within(_SIXTEENTH)
        mm = self._within(1.0 if self.mm >= _TAPE else 0.1)
        inches = show_inches(sixteenths)
        alone = self.alone or abs(sixteenths - mm) > _ALIKE * mm
        if system == "imperial":
            return inches if alone else f"{inches} ({show_mm(mm)})"
        return show_length(mm, system) if alone else f"{show_length(mm, system)} ({inches})"

    def _within(self, step: float) -> float:
        """The nearest whole count of steps [mm] that keeps to the limit."""
        if self.side == "least":
            return ceil((self.mm - _NOISE) / step) * step
        return floor((self.mm + _NOISE) / step) * step


@dataclass(frozen=True, slots=True)
class OffSpool:
    """A length [mm] that is bought or cut off a spool, thread or lace: more than enough, and no finer."""

    mm: float

    def said(self, system: System) -> str:
        """Return it as text. Worked: 4076 mm is "13 1/2 ft (4.1 m)" or "4.1 m (13 1/2 ft)"."""
        whole, half = divmod(ceil(self.mm / (6 * IN) - _NOISE), 2)
        feet = f"{whole}{' 1/2' if half else ''} ft" if whole else "1/2 ft"
        metres = decimals(f"{ceil(self.mm / 100 - _NOISE) / 10:g} m")
        return f"{feet} ({metres})" if system == "imperial" else f"{metres} ({feet})"


@dataclass(frozen=True, slots=True)
class Either:
    """Two texts that say the same: one for readers of inches and pounds, one for all others."""

    imperial: str
    metric: str

    def said(self, system: System) -> str:
        """Return the text. Worked: "45 lb" or "20 kg"."""
        return self.imperial if system == "imperial" else self.metric


@dataclass(frozen=True, slots=True)
class Exact:
    """A length [mm] that everybody reads in millimetres: a thickness, a hole, a stack."""

    mm: float
    places: int = 1

    def said(self, system: System) -> str:  # noqa: ARG002
        """Return it as text. Worked: 2.80 mm is "2.8 mm"."""
        return show_mm(self.mm, self.places)


@dataclass(frozen=True, slots=True)
class Figure:
    """A plain number of four digits at most, its unit being in the text."""

    number: float

    def said(self, system: System) -> str:  # noqa: ARG002
        """Return it as text. Worked: 6.60 is "6.6"."""
        return decimals(f"{self.number:.4g}")


@dataclass(frozen=True, slots=True)
class Spelled:
    """A count in words up to twelve where the language writes it so, in figures beyond."""

    count: int

    def said(self, system: System) -> str:  # noqa: ARG002
        """Return it as text. Worked: 6 is "six", 13 is "13"."""
        return tr(_NUMBERS[self.count]) if 0 <= self.count < len(_NUMBERS) else str(self.count)


@dataclass(frozen=True, slots=True)
class Mass:
    """A weight [kg] in both systems, the reader's first."""

    kg: float

    def said(self, system: System) -> str:
        """Return it as text. Worked: 10 kg is "22 lb (10 kg)" or "10 kg (22 lb)"."""
        other: System = "metric" if system == "imperial" else "imperial"
        return f"{show_mass(self.kg, system)} ({show_mass(self.kg, other)})"


@dataclass(frozen=True, slots=True)
class Listed:
    """Values one after the other, with commas between them; semicolons where one holds a comma itself."""

    values: tuple[Value, ...]

    def said(self, system: System) -> str:
        """Return them as text. Worked: 19.05 and 25.4 mm are "3/4 in (19.1 mm), 1 in (25.4 mm)"."""
        said = [_said(value, system) for value in self.values]
        return ("; " if any(", " in one for one in said) else ", ").join(said)


@dataclass(frozen=True, slots=True)
class Message:
    """A template with named places and what stands in them; made by `say`, `say_many` and `named`.

    With `several` it is the template of one, that of several, and the `count` that decides. As plain text,
    `str`, it has inches first.
    """

    template: str
    values: tuple[tuple[str, Value], ...] = ()
    several: str = ""
    count: int = 1

    def said(self, system: System) -> str:
        """Return the text for a reader of this system."""
        catalogue = spoken().catalogue
        if self.several:
            template = catalogue.ngettext(self.template, self.several, self.count)
        else:
            template = catalogue.gettext(self.template)
        return template.format(**{name: _said(value, system) for name, value in self.values})

    def __str__(self) -> str:
        return self.said("imperial")


def say(template: str, **values: Value) -> Message:
    """Return a message.

    Source: derived. Worked: say("It is {size} long.", size=Length(25.4)) is "It is 1 in (25.4 mm) long."
    """
    return Message(template, tuple(values.items()))


def say_many(one: str, several: str, count: int, *, spelled: bool = False, **values: Value) -> Message:
    """Return a message that depends on a count, which stands in the place {count}; `spelled`, in words.

    Source: derived. Worked: say_many("{count} hole", "{count} holes", 6) is "6 holes".
    """
    shown: Value = Spelled(count) if spelled else count
    return Message(one, (("count", shown), *values.items()), several, count)


@lru_cache(maxsize=1024)
def named(text: str) -> Message:
    """Return a message that is the same in every language: a name from the catalogue, or what was typed."""
    return Message("{text}", (("text", text),))


def in_turn(*messages: Message) -> Message:
    """Return whole sentences as one message, one after the other."""
    places = [f"sentence{n}" for n in range(len(messages))]
    template = " ".join(f"{{{place}}}" for place in places)
    return Message(template, tuple(zip(places, messages, strict=True)))


def joined(messages: Iterable[Message]) -> str:
    """Return messages one after the other as plain text with inches first."""
    return " ".join(map(str, messages))


def _said(value: Value, system: System) -> str:
    return str(value) if isinstance(value, str | int) else value.said(system)
