"""What is wrong in a catalogue, in plain sentences: the table, the row, the column, and what would work."""

from collections.abc import Mapping
from difflib import get_close_matches
from typing import Any, Final

from pydantic import BaseModel
from pydantic_core import ErrorDetails

from service import workshop

TABLES: Final[Mapping[str, type[BaseModel]]] = {
    "leathers": workshop.Leather,
    "dyes": workshop.Dye,
    "finishes": workshop.Finish,
    "buckles": workshop.Buckle,
    "rings": workshop.Ring,
    "fasteners": workshop.Fastener,
    "studs": workshop.Stud,
    "stamps": workshop.LetterStamps,
    "times": workshop.TimeStandard,
    "consumables": workshop.Consumable,
    "rates": workshop.Rates,
}
NAME = "1 to 60 characters in quotes"
MM = "millimetres above 0 and up to"
MONEY = "a sum from 0 to 100000000, such as 2.39, with 6 decimals at most"
SHARE = "a share from 0 to 0.95, with 6 decimals at most: 7 % is 0.07"
WANTED: Final[Mapping[str, str]] = {
    "code": "small letters, figures and hyphens, 40 at most, such as brass-ring-1-in",
    "name": NAME,
    "tax_name": NAME,
    "step": NAME,
    "colour": "# and six of 0 to 9 and a to f, such as #7a3b1d",
    "finish": "the code of one of the finishes, such as brass",
    "style": "centre-bar or heel-bar",
    "kind": "rivet or screw-post",
    "per": "collar, part, hole, fastener, stud, letter or metre of edge",
    "thickness": "millimetres from 1.2 to 6",
    "width": "millimetres from 8 to 80",
    "bar": f"{MM} 12",
    "prong": f"{MM} 12",
    "wire": f"{MM} 12",
    "take_up": "millimetres from 0 to 30, or leave it out",
    "cap": f"{MM} 50",
    "hole": f"{MM} 50",
    "grip_min": f"{MM} 50",
    "grip_max": f"{MM} 50",
    "post": f"{MM} 50, or leave it out",
    "diameter": f"{MM} 50",
    "height": "millimetres from 3 to 25",
    "gap": "millimetres from 0 to 10",
    "advances": (
        "one character in quotes, and a number above 0 and up to 5: its width as a share of its height,"
        ' such as "A" = 0.67'
    ),
    "basic": "minutes from 0 to 600, with 6 decimals at most",
    "bottle_ml": "millilitres above 0 and up to 10000",
    "covers_m2": "square metres above 0 and up to 500",
    "price": MONEY,
    "price_per_m2": MONEY,
    "labour_per_hour": MONEY,
    "overhead_per_month": MONEY,
    "productive_hours_per_month": "hours from 1 to 800, with 2 decimals at most",
    **dict.fromkeys(("rest", "contingency", "waste", "margin", "tax"), SHARE),
    "minor_digits": "how many decimals the currency's coins have, from 0 to 4: 2 for cents",
    "currency": "a currency's three capitals (ISO 4217), such as EUR",
    "region": "a country's two letters (ISO 3166), such as DE",
    "units": "in or cm",
    "zone": "a time zone (IANA), such as Europe/London, or leave it out",
    "languages": 'two-letter codes (ISO 639-1) in a list, such as ["en", "de"]',
    "mass_g": "grams above 0 and up to 5000, or leave it out",
    "rated_load_n": "newtons above 0 and up to 100000, or leave it out",
    "supplier": "120 characters at most, in quotes, or leave it out",
}
"""What may be written in each column."""
LONGEST: Final = 40
"""More characters than that of what is wrong are not repeated."""


def complaint(error: ErrorDetails, rows: Mapping[str, Any]) -> str:
    """One fault in words: table, row as a person counts and its code, column, and what would work."""
    steps: list[str] = []
    at: Any = rows
    for step in error["loc"]:
        if step == "[key]":
            break
        at = _inside(at, step)
        if isinstance(step, int):
            code = at.get("code") if isinstance(at, Mapping) else None
            steps.append(f"row {step + 1} ({code})" if code else f"row {step + 1}")
        else:
            steps.append(step)
    said = _sentence(error)
    return f"{', '.join(steps)}: {said}" if steps else said


def _inside(at: Any, step: int | str) -> Any:  # noqa: ANN401 - whatever a TOML file holds
    if isinstance(at, Mapping):
        return at.get(step)
    return at[step] if isinstance(at, list | tuple) and isinstance(step, int) and step < len(at) else None


def _sentence(error: ErrorDetails) -> str:
    kind, place = error["type"], [step for step in error["loc"] if isinstance(step, str)]
    if kind == "value_error" or not place:  # rules of our own speak for themselves
        return error["msg"].removeprefix("Value error, ")
    if kind == "extra_forbidden":
        return _unknown(place)
    if place[-1] in TABLES:
        return _table(kind, place[-1], error)
    wanted = WANTED["advances" if "advances" in place else place[-1]]
    return f"this is missing: write {wanted}" if kind == "missing" else f"write {wanted}{_given(error)}"


def _unknown(place: list[str]) -> str:
    model = TABLES[place[0]] if len(place) > 1 else workshop.Workshop
    names = list(model.model_fields)
    close = get_close_matches(place[-1], names, 1) or [name for name in names if name.startswith(place[-1])]
    meant = f" (did you mean {close[0]}?)" if close else ""
    return f"nothing is called that here{meant}; there can be: {', '.join(names)}"


def _table(kind: str, table: str, error: ErrorDetails) -> str:
    heading = "[rates]" if table == "rates" else f"[[{table}]]"
    if kind == "too_long":
        return f"{error['ctx']['max_length']} rows are the most"
    if kind == "missing":
        return f"this is missing: write one at least, under {heading}"
    return f"write each under {heading}, a column a line"


def _given(error: ErrorDetails) -> str:
    given = str(error["input"])
    return f" (it is {given if len(given) <= LONGEST else given[:LONGEST] + '…'})"
