"""How it stands with the backups, for the shop and for whoever watches the service."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from service.storage import backup
from tests.web.shop_makers import Shop, words


@pytest.fixture
def shop(tmp_path: Path) -> Shop:
    made = Shop()
    house = made.app.state.house
    made.app.state.house = replace(house, settings=replace(house.settings, backups=tmp_path / "backups"))
    return made


def backed_up(shop: Shop, **ago: float) -> None:
    backup(shop.database, shop.app.state.house.settings.backups, datetime.now(UTC) - timedelta(**ago))


def test_that_there_is_no_backup_yet_is_a_warning(shop: Shop) -> None:
    assert "There is no backup yet." in words(shop.maker.get("/shop/upkeep"))
    assert shop.maker.get("/healthz").json()["last_backup"] is None


def test_a_fresh_backup_is_shown_with_its_moment(shop: Shop) -> None:
    backed_up(shop, minutes=59)
    text = words(shop.maker.get("/shop/upkeep"))
    assert "Last backup" in text
    assert "copied every hour" in text
    assert "older than it should be" not in text
    last = datetime.fromisoformat(shop.maker.get("/healthz").json()["last_backup"])
    assert timedelta(minutes=58) < datetime.now(UTC) - last < timedelta(minutes=61)


def test_a_backup_that_is_late_is_a_warning(shop: Shop) -> None:
    backed_up(shop, hours=2, minutes=1)
    assert "The last backup is older than it should be." in words(shop.maker.get("/shop/upkeep"))


def test_only_an_owner_sees_where_backups_lie(shop: Shop) -> None:
    where = str(shop.app.state.house.settings.backups)
    assert where in words(shop.browsers["owner"].get("/shop/upkeep"))
    assert where not in shop.maker.get("/shop/upkeep").text


def test_that_none_are_made_is_said(shop: Shop) -> None:
    house = shop.app.state.house
    shop.app.state.house = replace(house, settings=replace(house.settings, backup_hours=0))
    assert "No backups are made by themselves" in words(shop.maker.get("/shop/upkeep"))


def test_nobody_sees_it_who_is_not_signed_in(shop: Shop) -> None:
    shop.maker.cookies.clear()
    assert shop.maker.get("/shop/upkeep").status_code == 303
