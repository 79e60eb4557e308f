"""Rows of the catalogue as they are typed, shown and written to files: each comes back as it was."""

from typing import Any

import pytest

from service.web.catalogue_cells import plain_cell, say_cell, show_cell
from service.web.catalogue_columns import Sheet
from service.web.catalogue_form import typed_row
from service.web.catalogue_tables import OWN, RATES, TABLES
from service.web.catalogue_typed import read_row
from service.workshop import Row
from tests.makers import workshop, workshop_with

ROWS = [(sheet, row) for sheet in TABLES.values() for row in getattr(workshop(), sheet.kind)]


@pytest.mark.parametrize("units", ["in", "cm"])
def test_every_row_of_the_demo_is_read_back_from_its_form_and_from_its_file(units: str) -> None:
    shop = workshop_with(units=units)
    for sheet, row in ROWS:
        shown = {one.name: show_cell(one, getattr(row, one.name), shop) for one in sheet.columns}
        plain = {one.name: plain_cell(one, getattr(row, one.name)) for one in sheet.columns}
        assert read_row(sheet, shown, shop).row == row
        assert read_row(sheet, plain, shop).row == row
        assert all(isinstance(say_cell(one, getattr(row, one.name), shop), str) for one in sheet.columns)


def test_rates_and_the_workshop_itself_are_read_back_too() -> None:
    shop = workshop()
    assert read_row(RATES, typed_row(RATES, shop.rates, shop), shop).row == shop.rates
    own = read_row(OWN, typed_row(OWN, shop, shop), shop)
    assert (own.errors, own.values) == ({}, {c.name: getattr(shop, c.name) for c in OWN.columns})


def test_every_column_of_every_row_has_its_field() -> None:
    for sheet in (*TABLES.values(), RATES):
        assert {one.name for one in sheet.columns} == {*sheet.model.model_fields}


def changed(sheet: Sheet, row: Row, **text: str) -> dict[str, Any]:
    return {**typed_row(sheet, row, workshop()), **text}


@pytest.mark.parametrize(
    ("kind", "text", "said"),
    [
        ("leathers", {"thickness": "9"}, "Thickness must be from 1.2 mm to 6 mm; 9 mm was typed. Try: 3"),
        ("leathers", {"thickness": "thick"}, "no number"),
        ("leathers", {"price_per_m2": "1,450"}, "1.450 or 1450"),
        ("leathers", {"price_per_m2": "200000000"}, "from 0.00 to 100000000.00"),
        ("leathers", {"colour": "brown"}, "six figures"),
        ("leathers", {"name": ""}, "Name is needed"),
        ("leathers", {"name": "x" * 61}, "61 characters, and 60"),
        ("leathers", {"name": "Fern\x07"}, "can't be shown"),
        ("leathers", {"code": "Oak bark"}, "small letters"),
        ("buckles", {"bar": "0"}, "more than 0 mm, and at most 12 mm"),
        ("buckles", {"width": "1"}, "from 8 mm"),
        ("buckles", {"finish": "gold"}, "none of: Solid brass, "),
        ("buckles", {"take_up": "8 oz"}, "oz"),
        ("buckles", {"mass_g": "9 kg"}, "at most 5000"),
        ("buckles", {"rated_load_n": "10 stone"}, "no unit of a load"),
        ("fasteners", {"grip_min": "9"}, "“Closes from” is larger than “Closes to”"),
        ("fasteners", {"post": "3"}, "“Post” is no longer than “Closes to”"),
        ("stamps", {"advances": "A b"}, "no plain number"),
        ("stamps", {"advances": "AB 1.2"}, "no sign and its width"),
        ("stamps", {"advances": "A 1\nA 2"}, "twice"),
        ("stamps", {"advances": "A 9"}, "A: its width must be more than 0 and at most 5"),
        ("times", {"per": "day"}, "none of: the whole piece, each part cut"),
        ("times", {"basic": "2 h"}, "not what is counted here"),
    ],
)
def test_a_wrong_cell_is_said_beside_its_field_with_what_would_work(
    kind: Any,  # noqa: ANN401 - a table's name
    text: dict[str, str],
    said: str,
) -> None:
    sheet = TABLES[kind]
    row = getattr(workshop(), kind)[0]
    read = read_row(sheet, changed(sheet, row, **text), workshop())
    (name,) = text
    assert read.row is None
    assert [*read.errors] == [name]
    assert said in read.errors[name]


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ({"margin": "100 %"}, "from 0 % to 95 %"),
        ({"productive_hours_per_month": "100.125"}, "at most 2 decimals"),
        ({"margin": "25"}, "could be a share or per cent"),
        ({"currency": "XQZ"}, "ISO 4217"),
        ({"minor_digits": "2.5"}, "whole number"),
        ({"tax_name": " "}, "needed"),
    ],
)
def test_wrong_rates_are_said_beside_their_fields(text: dict[str, str], said: str) -> None:
    (name,) = text
    read = read_row(RATES, changed(RATES, workshop().rates, **text), workshop())
    assert said in read.errors[name]


def test_a_row_without_a_code_gets_one_of_its_name_and_finish_that_is_free() -> None:
    sheet = TABLES["rings"]
    row = changed(sheet, workshop().rings[0], code="", name="Ring, größe 5/8", finish="brass")
    first = read_row(sheet, row, workshop())
    again = read_row(sheet, row, workshop(), ["brass-ring-groe-5-8"])
    assert first.values["code"] == "brass-ring-groe-5-8"
    assert again.values["code"] == "brass-ring-groe-5-8-2"
    nameless = read_row(TABLES["leathers"], {"name": "漢"}, workshop())
    assert nameless.values["code"] == "row"


@pytest.mark.parametrize("codes", ["", "xx-yy", "en, en", "english", "qq"])
def test_languages_are_known_and_given_once(codes: str) -> None:
    read = read_row(OWN, changed(OWN, workshop(), languages=codes), workshop())
    assert [*read.errors] == ["languages"]


def test_money_finer_than_a_coin_and_loads_are_said_in_full() -> None:
    sheet = TABLES["rings"]
    row = workshop().rings[0].model_copy(update={"rated_load_n": 1334.46648457815})
    said = say_cell(sheet.column("rated_load_n"), row.rated_load_n, workshop())
    assert said == "1334 N (the weight of 136 kg or 300 lb)"
    fine = read_row(sheet, changed(sheet, row, price="0.125"), workshop()).values["price"]
    assert say_cell(sheet.column("price"), fine, workshop()) == "$0.125"
    assert show_cell(sheet.column("price"), fine, workshop()) == "0.125"
