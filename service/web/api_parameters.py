"""What can be asked of the interface for other programs, read strictly and described from one table."""

import re
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any, Final, cast

from service.errors import GirthwrightError
from service.orders import STAGES, Stage
from service.web.answers import SuggestionAnswer, TroubleAnswer
from service.web.query import Asked

LIMIT: Final = 50
LIMIT_MAX: Final = 200
NUMBER_MAX: Final = 999_999_999
WHOLE: Final = re.compile(r"[0-9]{1,9}")
NAME_MAX: Final = 40

NUMBER: Final = {
    "name": "number",
    "in": "path",
    "required": True,
    "description": "The order's number.",
    "schema": {"type": "integer", "minimum": 1, "maximum": NUMBER_MAX},
}


def _query(name: str, description: str, **schema: object) -> dict[str, Any]:
    return {"name": name, "in": "query", "required": False, "description": description, "schema": schema}


PARAMETERS: Final[list[dict[str, Any]]] = [
    _query("stage", "Only orders at this stage.", type="string", enum=[*STAGES]),
    _query(
        "after",
        "Only orders of higher numbers than this: the last one seen.",
        type="integer",
        minimum=0,
        maximum=NUMBER_MAX,
        default=0,
    ),
    _query("limit", "At most so many orders.", type="integer", minimum=1, maximum=LIMIT_MAX, default=LIMIT),
]


class ParametersRefused(GirthwrightError):
    """Parameters can't be used: `troubles` say which, and what would work."""

    def __init__(self, troubles: tuple[TroubleAnswer, ...]) -> None:
        self.troubles = troubles
        super().__init__(" ".join(f"{one['field']}: {one['detail']}" for one in troubles))


@dataclass(frozen=True, slots=True)
class Wanted:
    """Which orders are asked for."""

    stage: Stage | None
    after: int
    limit: int


def read_wanted(asked: Asked) -> Wanted:
    """Return which orders a query asks for; raises ParametersRefused for all that is wrong with it."""
    known = {one["name"] for one in PARAMETERS}
    wrong = [_unknown(name) for name in asked.typed if name not in known]
    wrong += [_trouble(name, "Give it once.") for name in asked.repeated if name in known]
    stage = asked.typed.get("stage")
    if stage is not None and stage not in STAGES:
        wrong.append(_trouble("stage", "There is no such stage.", STAGES))
    after = _whole(asked, "after", 0, (0, NUMBER_MAX), wrong)
    limit = _whole(asked, "limit", LIMIT, (1, LIMIT_MAX), wrong)
    _refuse(wrong)
    return Wanted(cast("Stage | None", stage), after, limit)


def read_nothing(asked: Asked) -> None:
    """Raise ParametersRefused for every parameter: the address takes none."""
    _refuse([_unknown(name) for name in asked.typed])


def _whole(asked: Asked, name: str, usual: int, ends: tuple[int, int], wrong: list[TroubleAnswer]) -> int:
    word = asked.typed.get(name)
    if word is None:
        return usual
    low, high = ends
    if WHOLE.fullmatch(word) and low <= int(word) <= high:
        return int(word)
    wrong.append(_trouble(name, f"Give a whole number from {low} to {high}.", (str(usual),)))
    return usual


def _unknown(name: str) -> TroubleAnswer:
    return _trouble(name[:NAME_MAX], "There is no such parameter.")


def _trouble(field: str, detail: str, ways: Iterable[str] = ()) -> TroubleAnswer:
    would_work = [_suggestion(field, way) for way in ways]
    return {"field": field, "detail": detail, "would_work": would_work}


def _suggestion(field: str, value: str) -> SuggestionAnswer:
    return {"field": field, "value": value, "text": f"For example {value}.", "also": {}}


def _refuse(wrong: list[TroubleAnswer]) -> None:
    if wrong:
        raise ParametersRefused(tuple(wrong))
