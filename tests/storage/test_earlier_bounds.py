"""A catalogue that an earlier release let in goes on as it is; what is new keeps to the bounds of today."""

import json
from decimal import Decimal
from typing import Any

import pytest
from pydantic import ValidationError
from sqlalchemy import Connection, text, update

from service.design import make_pattern
from service.pricing import estimate
from service.storage import (
    CatalogueRefused,
    Database,
    change_columns,
    check,
    current_catalogue,
    keep_catalogue,
    old_catalogue,
    order_by_id,
    put_back,
    put_row,
    remove_row,
    tables,
)
from service.storage.columns import moment_text
from service.workshop import Workshop
from tests.design.makers import collar
from tests.makers import DATA, workshop
from tests.storage.makers import NOON, SHOP, act, enquiry, open_shop

RATES = {"margin": "0.97", "productive_hours_per_month": "0.5", "contingency": "0.0512345"}
"""Before 2026-11-25 a margin only had to be below 1, hours above 0, and no decimals were counted."""
BASIC = "2.1234567"


def earlier() -> dict[str, Any]:
    """The rows kept by the release of 2026-11-25, with what the release before it let in."""
    rows: dict[str, Any] = json.loads((DATA / "kept_rows_2026_11_25.json").read_text(encoding="utf-8"))
    rows["rates"] |= RATES
    rows["times"][0]["basic"] = BASIC
    return rows


AS_WRITTEN = text("""
    INSERT INTO catalogue (workshop_id, version, schema_version, "rows", change, made_by, made_at)
    VALUES (:shop, 2, 1, :written, 'first catalogue', 'start', :at)
""")


def in_force(connection: Connection, rows: dict[str, Any]) -> None:
    """Version 2 of the catalogue is what another release has written, as it wrote it."""
    given = {"shop": SHOP, "written": json.dumps(rows), "at": moment_text(NOON)}
    connection.execute(AS_WRITTEN, given)
    connection.execute(update(tables.workshop).values(catalogue_version=2))


@pytest.fixture
def shop(database: Database) -> Database:
    with database.writing() as connection:
        open_shop(connection)
        in_force(connection, earlier())
    return database


def test_what_an_earlier_release_let_in_is_read_and_priced_as_it_was(shop: Database) -> None:
    with shop.reading() as connection:
        rows = current_catalogue(connection, SHOP).rows
    with pytest.raises(ValidationError):
        Workshop.model_validate(earlier())
    assert (rows.rates.margin, rows.times[0].basic) == (Decimal("0.97"), Decimal(BASIC))
    quote = estimate(make_pattern(collar(studs=50.8, lettering="BELLA"), rows), rows)
    # What the last release without these bounds (the commit before 9553ffa) came to for these rows and this
    # collar when it was run.
    assert (quote.before_tax, quote.total) == (Decimal("46892.67"), Decimal("50175.16"))
    cost = sum(line.amount for line in quote.lines if line.code not in {"margin", "tax"})
    assert (quote.before_tax * Decimal("0.03")).quantize(Decimal("0.01")) == cost, (
        "price x (1 - margin) = cost"
    )
    assert check(shop).faults == ()


def test_what_is_within_the_bounds_reads_the_same_either_way(shop: Database) -> None:
    with shop.reading() as connection:
        assert old_catalogue(connection, SHOP, 1).rows == workshop()
        rows = current_catalogue(connection, SHOP).rows
    assert json.loads(rows.model_dump_json(exclude_unset=True)) == earlier()


def test_an_order_made_from_such_rows_is_still_there(shop: Database) -> None:
    with shop.writing() as connection:
        order = enquiry(connection)
        whole = json.dumps(earlier() | {"region": "XX"})
        connection.execute(text("UPDATE orders SET kept = :kept"), {"kept": whole})
        kept = order_by_id(connection, order.id).kept
    assert (kept.rates.margin, kept.region) == (Decimal("0.97"), "XX")


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"tax": "much"}, "rates.tax"),
        ({"tax": None}, "rates.tax"),
        ({"tip": "0.1"}, "rates.tip"),
    ],
)
def test_what_no_release_has_let_in_is_not_read(
    database: Database, change: dict[str, Any], said: str
) -> None:
    rows = earlier()
    rows["rates"] |= change
    with database.writing() as connection:
        open_shop(connection)
        in_force(connection, rows)
    with database.reading() as connection, pytest.raises(ValidationError, match=said):
        current_catalogue(connection, SHOP)


def test_a_new_version_keeps_to_the_bounds_and_is_told_what_to_put_right(shop: Database) -> None:
    with shop.writing() as connection:
        rows = current_catalogue(connection, SHOP).rows
    leather = {**rows.leathers[0].model_dump(), "name": "Chestnut"}
    before = check(shop)
    with pytest.raises(CatalogueRefused) as told, shop.writing() as connection:
        put_row(connection, SHOP, "leathers", leather, act(), seen=2)
    assert "rates, margin: write a share from 0 to 0.95" in str(told.value)
    assert told.value.before
    assert len(told.value.complaints) == 4
    with pytest.raises(CatalogueRefused), shop.writing() as connection:
        change_columns(connection, SHOP, act(), rates={"margin": "0.98"}, seen=2)
    with pytest.raises(CatalogueRefused), shop.writing() as connection:
        remove_row(connection, SHOP, "consumables", rows.consumables[0].name, act(), seen=2)
    assert check(shop) == before


def test_it_is_put_right_step_by_step_and_then_changed_as_ever(shop: Database) -> None:
    right = {"margin": "0.95", "productive_hours_per_month": "1", "contingency": "0.05"}
    with shop.writing() as connection:
        for seen, (name, value) in enumerate(right.items(), 2):
            change_columns(connection, SHOP, act(), rates={name: value}, seen=seen)
        times = current_catalogue(connection, SHOP).rows.times
        assert times[0].basic == Decimal(BASIC)
        kept = put_row(connection, SHOP, "times", {**times[0].model_dump(), "basic": "2.1"}, act(), seen=5)
    assert Workshop.model_validate(kept.rows.model_dump()) == kept.rows
    with pytest.raises(CatalogueRefused) as told, shop.writing() as connection:
        change_columns(connection, SHOP, act(), rates={"margin": "0.97"}, seen=6)
    assert not told.value.before


def test_such_a_version_is_not_put_back(shop: Database) -> None:
    with shop.writing() as connection:
        keep_catalogue(connection, SHOP, workshop(), act(), seen=2, change="from workshop.toml")
    with pytest.raises(CatalogueRefused, match="margin") as told, shop.writing() as connection:
        put_back(connection, SHOP, 2, act(), seen=3)
    assert not told.value.before
    with shop.writing() as connection:
        assert put_back(connection, SHOP, 1, act(), seen=3).change == "version 1 put back"
