"""The query string, read once and strictly: no parameter twice, nothing that isn't UTF-8, nothing endless."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from urllib.parse import parse_qsl, urlencode

from service.design import (
    PARAMETERS,
    CollarPattern,
    Pattern,
    Wish,
    collar_in,
    read_wish,
    try_pattern,
    with_unit,
)
from service.errors import DesignError, DesignRefused, GirthwrightError, Suggestion
from service.language import tr
from service.saying import say
from service.workshop import Workshop

MOST_PARAMETERS = 48
"""More parameters than a design has names for: nobody's form sends that many."""
FIRST = "first-"
"""What stands before the parameters of a design that another is compared with."""
SHAPING = frozenset(PARAMETERS) - {"weight"}
"""The parameters that change what is cut; the weight only questions the measure."""


class QueryUnreadable(GirthwrightError):
    """The address can't be taken apart; `reason` says why in plain words."""

    def __init__(self, reason: str) -> None:
        self.reason = reason
        again = tr("Start again from the form, or check where the link was cut.")
        super().__init__(f"{reason} {again}")


class QueryTooLong(QueryUnreadable):
    """The address is longer than `limit` characters after its question mark."""

    def __init__(self, length: int, limit: int) -> None:
        self.length = length
        self.limit = limit
        super().__init__(
            tr(
                "The address holds {count} characters after its “?”, and {limit} is the most.",
                count=length,
                limit=limit,
            )
        )


@dataclass(frozen=True, slots=True)
class Asked:
    """What was typed, by parameter, empty ones too; `repeated` names parameters that came more than once."""

    typed: Mapping[str, str]
    repeated: tuple[str, ...] = ()

    @property
    def given(self) -> dict[str, str]:
        """What was typed, without what was left empty."""
        return {name: text for name, text in self.typed.items() if text.strip()}

    def without(self, name: str) -> "Asked":
        """Return the same without one parameter."""
        rest = {key: text for key, text in self.typed.items() if key != name}
        return Asked(rest, tuple(key for key in self.repeated if key != name))


def read_query(query: bytes, limit: int, designs: int = 1) -> Asked:
    """Return what a query string asks; one that holds several designs may be so much longer.

    Raises QueryTooLong and QueryUnreadable. Of a parameter given twice the last is kept, and its name noted.
    """
    if len(query) > limit * designs:
        raise QueryTooLong(len(query), limit * designs)
    most = MOST_PARAMETERS * designs
    try:
        pairs = parse_qsl(
            query.decode(),
            keep_blank_values=True,
            encoding="utf-8",
            errors="strict",
            max_num_fields=most,
        )
    except UnicodeDecodeError as fault:
        raise QueryUnreadable(tr("The address holds signs that aren't UTF-8 text.")) from fault
    except ValueError as fault:  # the only other one is too many fields
        reason = tr("The address holds more than {count} parameters.", count=most)
        raise QueryUnreadable(reason) from fault
    typed = dict(pairs)
    if len(typed) == len(pairs):
        return Asked(typed)
    names = [name for name, _ in pairs]
    return Asked(typed, tuple(name for name in typed if names.count(name) > 1))


def address(path: str, given: Mapping[str, str], **changed: str) -> str:
    """Return the address of a design: what was given with some of it changed, and nothing that is empty."""
    query = urlencode({name: text for name, text in {**given, **changed}.items() if text.strip()})
    return f"{path}?{query}" if query else path


def as_first(given: Mapping[str, str]) -> dict[str, str]:
    """Return parameters as those of the first of two designs."""
    return {FIRST + name: text for name, text in given.items()}


def linked(asked: Asked, workshop: Workshop) -> dict[str, str]:
    """Return what was given as a link holds it: each number with the unit that the workshop means today."""
    return {name: with_unit(name, text, workshop) for name, text in asked.given.items()}


def design(asked: Asked, workshop: Workshop, also: Iterable[DesignError] = ()) -> Pattern:
    """Return the pattern that is asked for; raises DesignRefused holding all that stands in the way.

    `also` is what is already known to be wrong: the design is refused with it, and with all that is found.
    """
    problems = [*also, *(_twice(name, asked.typed[name]) for name in asked.repeated)]
    spec, unread = _read(asked.typed, workshop)
    problems += unread
    obstacles: tuple[DesignError, ...] = ()
    if spec is not None:
        made, obstacles = try_pattern(spec, workshop)
        if made is not None and not problems:
            return made
    raise DesignRefused((*problems, *obstacles))


def collar_design(asked: Asked, workshop: Workshop, also: Iterable[DesignError] = ()) -> CollarPattern:
    """Return the same of a buckle collar; raises DesignRefused, too, where another kind is asked for."""
    return collar_of(design(asked, workshop, also))


def collar_of(pattern: Pattern) -> CollarPattern:
    """Return a pattern that is a buckle collar's; raises DesignRefused where it is another's."""
    collar = collar_in(pattern)
    if collar is not None:
        return collar
    message = say("This is made for buckle collars alone.")
    ways = (Suggestion("kind", "collar", say("a buckle collar")),)
    raise DesignRefused((DesignError(field="kind", message=message, would_work=ways),))


def _read(typed: Mapping[str, str], workshop: Workshop) -> tuple[Wish | None, tuple[DesignError, ...]]:
    """The wish, and what of it can't be read; the wish too where all that can't be read shapes no collar."""
    try:
        return read_wish(typed, workshop), ()
    except DesignRefused as refused:
        if any(problem.field in SHAPING for problem in refused.problems):
            return None, refused.problems
        shaping = {name: text for name, text in typed.items() if name in SHAPING}
        return read_wish(shaping, workshop), refused.problems


def _twice(name: str, last: str) -> DesignError:
    shown = name[:40]
    would_work = (Suggestion(name, last, say("Keep “{text}”", text=last)),) if last.strip() else ()
    message = say("“{name}” is given more than once; give it once.", name=shown)
    return DesignError(field=shown, message=message, would_work=would_work)
