"""The catalogue in the store: changed row by row, every version kept, nothing unusable let in."""

from decimal import Decimal
from typing import Any

import pytest
from pydantic import BaseModel

from service.storage import (
    CatalogueRefused,
    Database,
    NotKept,
    RowKind,
    StaleWrite,
    catalogue_history,
    change_columns,
    check,
    current_catalogue,
    keep_settings,
    last_entry,
    old_catalogue,
    put_row,
    put_table,
    remove_row,
    verify_record,
    workshop_ids,
    workshop_settings,
)
from tests.makers import workshop
from tests.storage.makers import SHOP, act, open_shop

LEATHER = {"code": "fern", "name": "Fern", "colour": "#335533", "thickness": 3.1, "price_per_m2": "151.50"}


class Terms(BaseModel):
    """What a page may set beside the catalogue."""

    terms: str = "none yet"


class Hours(BaseModel):
    """What another page may set."""

    hours: str = ""


@pytest.fixture
def shop(database: Database) -> Database:
    with database.writing() as connection:
        open_shop(connection)
    return database


def test_the_first_catalogue_is_the_one_that_was_brought_exactly(shop: Database) -> None:
    with shop.reading() as connection:
        assert current_catalogue(connection, SHOP).rows == workshop()
        assert workshop_ids(connection) == (SHOP,)
        with pytest.raises(NotKept):
            current_catalogue(connection, "shop-0")


def test_a_row_is_added_changed_and_removed_and_every_version_is_kept(shop: Database) -> None:
    with shop.writing() as connection:
        put_row(connection, SHOP, "leathers", LEATHER, act(), seen=1)
        dearer = {**LEATHER, "price_per_m2": "160"}
        put_row(connection, SHOP, "leathers", dearer, act(), seen=2)
        last = remove_row(connection, SHOP, "leathers", "fern", act(), seen=3)
    with shop.reading() as connection:
        rows = {n: old_catalogue(connection, SHOP, n).rows for n in (1, 2, 3, 4)}
        history = [row.change for row in catalogue_history(connection, SHOP)]
        entry = last_entry(connection, SHOP)
        verify_record(connection, SHOP)
    prices = [[r.price_per_m2 for r in rows[n].leathers if r.code == "fern"] for n in (1, 2, 3, 4)]
    assert prices == [[], [Decimal("151.50")], [Decimal(160)], []]
    assert rows[1] == rows[4] == last.rows == workshop()
    assert history[:3] == ["leathers: fern removed", "leathers: fern changed", "leathers: fern added"]
    assert entry is not None
    assert entry.fact.detail == "version 4"


@pytest.mark.parametrize(
    ("kind", "row", "says"),
    [
        ("leathers", {**LEATHER, "thickness": 9}, r"leathers, row \d+ \(fern\), thickness"),
        ("leathers", {**LEATHER, "colour": "green"}, "colour"),
        ("leathers", {"code": "fern"}, "colour: this is missing: write #"),
        ("studs", {"code": "s", "name": "S", "finish": "gold", "diameter": 6, "price": 1}, "no finish gold"),
    ],
)
def test_a_row_that_would_spoil_the_catalogue_is_refused_and_named(
    shop: Database, kind: RowKind, row: dict[str, Any], says: str
) -> None:
    before = check(shop)
    with pytest.raises(CatalogueRefused, match=says), shop.writing() as connection:
        put_row(connection, SHOP, kind, row, act(), seen=1)
    assert check(shop) == before


def test_a_row_that_others_need_and_one_that_is_not_there_are_not_removed(shop: Database) -> None:
    with pytest.raises(CatalogueRefused, match="there is no finish brass"), shop.writing() as connection:
        remove_row(connection, SHOP, "finishes", "brass", act(), seen=1)
    with pytest.raises(NotKept), shop.writing() as connection:
        remove_row(connection, SHOP, "finishes", "gold", act(), seen=1)


def test_a_time_is_known_by_its_step(shop: Database) -> None:
    row = {"step": "Set studs", "basic": "0.75", "per": "stud"}
    with shop.writing() as connection:
        put_row(connection, SHOP, "times", row, act(), seen=1)
        kept = current_catalogue(connection, SHOP).rows
    assert [r.basic for r in kept.times if r.step == "Set studs"] == [Decimal("0.75")]
    assert len(kept.times) == len(workshop().times)


def test_a_row_takes_another_name_or_the_first_place_and_a_table_is_put_in_whole(shop: Database) -> None:
    wax = {"name": "Wax", "price": "0.40"}
    others = [row.name for row in workshop().consumables if row.name != "Dye and finish"]
    with shop.writing() as connection:
        named = put_row(
            connection, SHOP, "consumables", wax, act(), seen=1, instead_of="Dye and finish", first=True
        )
        assert [row.name for row in named.rows.consumables] == ["Wax", *others]
        kept = put_table(connection, SHOP, "consumables", [wax], act(), seen=2, change="consumables: brought")
    assert [row.name for row in kept.rows.consumables] == ["Wax"]
    assert (named.change, kept.change) == ("consumables: Wax changed", "consumables: brought")


def test_the_slower_of_two_makers_is_told(shop: Database) -> None:
    with shop.writing() as connection:
        put_row(connection, SHOP, "leathers", LEATHER, act(), seen=1)
    with pytest.raises(StaleWrite) as told, shop.writing() as connection:
        change_columns(connection, SHOP, act(), workshop_columns={"units": "cm"}, seen=1)
    assert (told.value.seen, told.value.now) == (1, 2)


def test_rates_and_the_workshops_own_columns_are_changed(shop: Database) -> None:
    with shop.writing() as connection:
        rates = {"labour_per_hour": "31.20"}
        kept = change_columns(connection, SHOP, act(), workshop_columns={"units": "cm"}, rates=rates, seen=1)
    assert (kept.rows.units, kept.rows.rates.labour_per_hour) == ("cm", Decimal("31.20"))
    assert kept.change == "units, rates: labour_per_hour"
    with pytest.raises(CatalogueRefused, match="no country"), shop.writing() as connection:
        change_columns(connection, SHOP, act(), workshop_columns={"region": "ZZ"}, seen=2)


def test_settings_are_kept_and_not_overwritten_unseen(shop: Database) -> None:
    with shop.writing() as connection:
        settings, version = workshop_settings(connection, SHOP, Terms)
        assert settings == Terms()
        now = keep_settings(connection, SHOP, Terms(terms="Half in advance."), act(), seen=version)
        assert workshop_settings(connection, SHOP, Terms) == (Terms(terms="Half in advance."), now)
        there, version = workshop_settings(connection, SHOP, Hours)
        keep_settings(connection, SHOP, there.model_copy(update={"hours": "9 to 5"}), act(), seen=version)
        assert workshop_settings(connection, SHOP, Terms)[0] == Terms(terms="Half in advance.")
    with pytest.raises(StaleWrite), shop.writing() as connection:
        keep_settings(connection, SHOP, Terms(), act(), seen=version)
    with pytest.raises(NotKept), shop.reading() as connection:
        workshop_settings(connection, "shop-0", Terms)
