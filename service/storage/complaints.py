"""What is wrong in a catalogue, in plain sentences: the table, the row, the column, and what would work.

Tables and columns are called as they are in the file; the sentences are in the reader's language.
"""

from collections.abc import Mapping
from difflib import get_close_matches
from typing import Any, Final

from pydantic import BaseModel
from pydantic_core import ErrorDetails

from service import workshop
from service.language import mark, tr

TABLES: Final[Mapping[str, type[BaseModel]]] = {
    "leathers": workshop.Leather,
    "dyes": workshop.Dye,
    "linings": workshop.Lining,
    "threads": workshop.Thread,
    "finishes": workshop.Finish,
    "buckles": workshop.Buckle,
    "rings": workshop.Ring,
    "o_rings": workshop.ORing,
    "snaps": workshop.Snap,
    "fasteners": workshop.Fastener,
    "studs": workshop.Stud,
    "plates": workshop.Plate,
    "stamps": workshop.LetterStamps,
    "times": workshop.TimeStandard,
    "consumables": workshop.Consumable,
    "rates": workshop.Rates,
    "assumptions": workshop.Assumptions,
}
NAME = mark("1 to 60 characters in quotes")
TO_12 = mark("millimetres above 0 and up to 12")
TO_50 = mark("millimetres above 0 and up to 50")
REACH = mark("millimetres above 0 and up to 250")
MONEY = mark("a sum from 0 to 100000000, such as 2.39, with 6 decimals at most")
SHARE = mark("a share from 0 to 0.95, with 6 decimals at most: 7 % is 0.07")
STRESS = mark("newtons per square millimetre above 0 and up to 2000")
HOLES = mark("a share above 0 and up to 1, with 6 decimals at most: 21 % is 0.21")
SINGLE: Final = ("rates", "assumptions")
"""Tables of one row."""
WANTED: Final[Mapping[str, str]] = {
    "code": mark("small letters, figures and hyphens, 40 at most, such as brass-ring-1-in"),
    "name": NAME,
    "tax_name": NAME,
    "step": NAME,
    "colour": mark("# and six of 0 to 9 and a to f, such as #7a3b1d"),
    "colouring": mark("dyed or undyed"),
    "finish": mark("the code of one of the finishes, such as brass"),
    "style": mark("centre-bar or heel-bar"),
    "kind": mark("rivet or screw-post"),
    "per": mark(
        "collar, part, dyed part, hole, fastener, stud, plate, letter, painted letter, border stamp, lace"
        " hole, metre of lace, metre of edge, metre of further groove or stitch"
    ),
    "longest": mark("millimetres from 600 to 5000"),
    "length": REACH,
    "inside": REACH,
    "hole_distance": REACH,
    "gauge": TO_12,
    "thickness": mark("millimetres from 1.2 to 6"),
    "width": mark("millimetres from 8 to 80"),
    "padding": mark("millimetres from 0 to 8"),
    "tex": mark("grams per kilometre from 10 to 1000"),
    "stitch": mark("millimetres from 2 to 12"),
    "strength_n": mark("newtons above 0 and up to 100000, or leave it out"),
    "bar": TO_12,
    "prong": TO_12,
    "wire": TO_12,
    "take_up": mark("millimetres from 0 to 30, or leave it out"),
    "cap": TO_50,
    "hole": TO_50,
    "grip_min": TO_50,
    "grip_max": TO_50,
    "post": mark("millimetres above 0 and up to 50, or leave it out"),
    "diameter": TO_50,
    "height": mark("millimetres from 3 to 25"),
    "gap": mark("millimetres from 0 to 10"),
    "advances": mark(
        "one character in quotes, and a number above 0 and up to 5: its width as a share of its height,"
        ' such as "A" = 0.67'
    ),
    "basic": mark("minutes from 0 to 600, with 6 decimals at most"),
    "bottle_ml": mark("millilitres above 0 and up to 10000"),
    "covers_m2": mark("square metres above 0 and up to 500"),
    "strength_n_mm2": mark("newtons per square millimetre above 0 and up to 2000, or leave it out"),
    "leather_n_mm2": STRESS,
    "metal_n_mm2": STRESS,
    "holes_low": HOLES,
    "holes_high": HOLES,
    "lead_n_m": mark("newtons per metre above 0 and up to 1000000"),
    "speed_m_s": mark("metres per second from 0 to 20"),
    "pull_n": mark("newtons from 0 to 5000"),
    "price": MONEY,
    "price_per_m": MONEY,
    "price_per_m2": MONEY,
    "labour_per_hour": MONEY,
    "overhead_per_month": MONEY,
    "productive_hours_per_month": mark("hours from 1 to 800, with 2 decimals at most"),
    **dict.fromkeys(("rest", "contingency", "waste", "margin", "tax"), SHARE),
    "minor_digits": mark("how many decimals the currency's coins have, from 0 to 4: 2 for cents"),
    "currency": mark("a currency's three capitals (ISO 4217), such as EUR"),
    "region": mark("a country's two letters (ISO 3166), such as DE"),
    "units": mark("in or cm"),
    "zone": mark("a time zone (IANA), such as Europe/London, or leave it out"),
    "languages": mark('two-letter codes (ISO 639-1) in a list, such as ["en", "de"]'),
    "mass_g": mark("grams above 0 and up to 5000, or leave it out"),
    "rated_load_n": mark("newtons above 0 and up to 100000, or leave it out"),
    "supplier": mark("120 characters at most, in quotes, or leave it out"),
}
"""What may be written in each column."""
OWN: Final[Mapping[tuple[str, str], str]] = {("linings", "thickness"): mark("millimetres from 0.4 to 4")}
"""What may be written in a column of one table, where columns of that name in others take something else."""
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
            row = tr("row {number} ({code})", number=step + 1, code=code)
            steps.append(row if code else tr("row {number}", number=step + 1))
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
    if kind == "value_error":  # rules of our own speak for themselves
        return str(error["ctx"]["error"])
    if kind == "extra_forbidden":
        return _unknown(place)
    if place[-1] in TABLES:
        return _table(kind, place[-1], error)
    column = "advances" if "advances" in place else place[-1]
    wanted = tr(OWN.get((place[0], column)) or WANTED[column])
    if kind == "missing":
        return tr("this is missing: write {wanted}", wanted=wanted)
    return tr("write {wanted} (it is {given})", wanted=wanted, given=_given(error))


def _unknown(place: list[str]) -> str:
    model = TABLES[place[0]] if len(place) > 1 else workshop.Workshop
    names = list(model.model_fields)
    close = get_close_matches(place[-1], names, 1) or [name for name in names if name.startswith(place[-1])]
    listed = ", ".join(names)
    if not close:
        return tr("nothing is called that here; there can be: {names}", names=listed)
    return tr(
        "nothing is called that here (did you mean {close}?); there can be: {names}",
        close=close[0],
        names=listed,
    )


def _table(kind: str, table: str, error: ErrorDetails) -> str:
    heading = f"[{table}]" if table in SINGLE else f"[[{table}]]"
    if kind == "too_long":
        return tr("{most} rows are the most", most=error["ctx"]["max_length"])
    if kind == "missing":
        return tr("this is missing: write one at least, under {heading}", heading=heading)
    return tr("write each under {heading}, a column a line", heading=heading)


def _given(error: ErrorDetails) -> str:
    given = str(error["input"])
    return given if len(given) <= LONGEST else f"{given[:LONGEST]}…"
