"""Complaints about a catalogue: plain sentences, and what they say would work does."""

import re
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pydantic import BaseModel, ValidationError

from service.language import speaking
from service.settings import ROOT
from service.storage.complaints import OWN, TABLES, WANTED, complaint
from service.web.languages import read_languages
from service.workshop import Workshop
from tests.makers import workshop

COLUMNS = [(table, name) for table, model in TABLES.items() for name in model.model_fields]
JARGON = re.compile(
    r"\b(input|valid|validat|field|required|permitted|decimal_|string|float|instance)", re.IGNORECASE
)


def rows() -> dict[str, Any]:
    """The demo workshop as a file holds it."""
    return workshop().model_dump(mode="json")


def changed(table: str, column: str, value: object) -> dict[str, Any]:
    """The same with another value in a column of a table's first row."""
    whole = rows()
    row = whole[table] if isinstance(whole[table], dict) else whole[table][0]
    row[column] = value
    return whole


def complaints(whole: dict[str, Any]) -> list[str]:
    try:
        Workshop.model_validate(whole)
    except ValidationError as fault:
        return [complaint(error, whole) for error in fault.errors()]
    return []


@pytest.mark.parametrize(
    ("table", "column", "value", "said"),
    [
        ("rates", "tax", "7 %", "rates, tax: write a share from 0 to 0.95, with 6 decimals"),
        ("rates", "margin", 25, "7 % is 0.07 (it is 25)"),
        ("rates", "productive_hours_per_month", 0.5, "write hours from 1 to 800"),
        ("rates", "minor_digits", 2.5, "from 0 to 4: 2 for cents (it is 2.5)"),
        ("rates", "labour_per_hour", "24 $", "write a sum from 0 to 100000000, such as 2.39"),
        ("assumptions", "holes_low", 21, "write a share above 0 and up to 1, with 6 decimals at most: 21 %"),
        ("buckles", "prong", -1, "row 1 (brass-centre-bar-5-8-in), prong: write millimetres above 0 and"),
        ("buckles", "code", "Brass Buckle", "write small letters, figures and hyphens, 40 at most"),
        ("leathers", "colour", "brown", "six of 0 to 9 and a to f, such as #7a3b1d (it is brown)"),
        ("times", "per", "hour", "write collar, part, dyed part, hole, fastener, stud, plate, letter,"),
        ("leathers", "name", "x" * 61, f"(it is {'x' * 40}…)"),
        ("leathers", "price", 3, "nothing is called that here (did you mean price_per_m2?)"),
        ("stamps", "advances", 3, "write one character in quotes, and a number above 0 and up to 5"),
    ],
)  # fmt: skip
def test_a_wrong_value_is_told_with_its_place_and_what_would_work(
    table: str, column: str, value: object, said: str
) -> None:
    (found,) = complaints(changed(table, column, value))
    assert said in found


def test_a_maker_reads_it_in_their_language_with_the_files_own_words() -> None:
    german = read_languages(ROOT / "service" / "translations")["de"]
    with speaking(german):
        (found,) = complaints(changed("buckles", "prong", -1))
        assert found.startswith("buckles, Zeile 1 (brass-centre-bar-5-8-in), prong: nötig ist: Millimeter")
        assert "grip_min ist größer als grip_max" in complaints(changed("fasteners", "grip_min", 50))[0]


@pytest.mark.parametrize(
    ("column", "value", "said"),
    [
        ("region", "Germany", "region: write a country's two letters (ISO 3166), such as DE (it is Germany)"),
        ("units", "mm", "units: write in or cm (it is mm)"),
        ("finishes", [], "brass-centre-bar-5-8-in: there is no finish brass: no finish is known yet"),
        ("leathers", "brown", "leathers: write each under [[leathers]], a column a line"),
        ("rates", 3, "rates: write each under [rates], a column a line"),
        ("colour", "red", "colour: nothing is called that here; there can be: name, region, units"),
        ("times", [{"step": "Cut", "basic": 1, "per": "part"}] * 101, "times: 100 rows are the most"),
    ],
)
def test_what_is_wrong_with_the_whole_is_told_too(column: str, value: object, said: str) -> None:
    assert any(one.startswith(said) for one in complaints(rows() | {column: value}))


@pytest.mark.parametrize("name", [name for name, one in Workshop.model_fields.items() if one.is_required()])
def test_what_is_missing_is_told_with_what_to_write(name: str) -> None:
    whole = rows()
    del whole[name]
    (found,) = complaints(whole)
    assert found.startswith(f"{name}: this is missing: write ")


@pytest.mark.parametrize(("table", "column"), COLUMNS)
@settings(max_examples=20)
@given(value=st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=50) | st.just([]))
def test_no_value_brings_out_jargon(table: str, column: str, value: object) -> None:
    for found in complaints(changed(table, column, value)):
        assert not JARGON.search(found.partition(": ")[2].partition(" (it is ")[0]), found


# The table of what may be written agrees with the rows themselves.


def limits(model: type[BaseModel], column: str) -> tuple[float, float] | None:
    """The least and the greatest number of a column, by the model's own schema."""
    schema = model.model_json_schema()["properties"][column]
    for kind in (schema, *schema.get("anyOf", ())):
        low, high = kind.get("minimum", kind.get("exclusiveMinimum")), kind.get("maximum")
        if low is not None and high is not None:
            return float(low), float(high)
    return None


def test_every_column_has_its_sentence_and_no_other_has() -> None:
    names = {name for _, name in COLUMNS} | {name for name in Workshop.model_fields if name not in TABLES}
    assert set(WANTED) == names


@pytest.mark.parametrize(("table", "column"), COLUMNS)
def test_the_limits_in_a_sentence_are_those_of_the_column(table: str, column: str) -> None:
    ends = limits(TABLES[table], column)
    if ends:
        said = re.search(
            r"(?:from|above) ([0-9.]+) (?:and up to|to) ([0-9.]+)", OWN.get((table, column)) or WANTED[column]
        )
        assert said is not None
        assert (float(said[1]), float(said[2])) == ends
