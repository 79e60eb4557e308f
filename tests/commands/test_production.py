from contextlib import closing
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import pytest

from service.commands.opening import NotStarted, the_store
from service.commands.production import refuse_half_set_up
from service.settings import Settings, SettingUnusable, read_settings
from service.storage import Act, change_columns, current_catalogue
from tests.makers import SHOP, app, client, parsed, store

READY = Settings(origin="https://collars.example", allowed_hosts=("collars.example",))
NOW = Act("service", "test", datetime(2026, 11, 25, tzinfo=UTC))


def faults(settings: Settings, *, named: str = "") -> str:
    """What a store with the demo workshop is refused for, renamed if so asked."""
    with closing(store()) as database:
        if named:
            with database.writing() as connection:
                seen = current_catalogue(connection, SHOP).version
                change_columns(connection, SHOP, NOW, workshop_columns={"name": named}, seen=seen)
        try:
            refuse_half_set_up(settings, database, SHOP)
        except NotStarted as fault:
            return str(fault)
        return ""


def test_in_production_the_demo_workshop_is_refused() -> None:
    said = faults(READY)
    assert "invented demo, Oxlip Bench" in said
    assert "GIRTHWRIGHT_MODE=demo" in said
    assert faults(READY, named="Ferry Lane Leather") == ""


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        ({"mode": "production", "origin": ""}, "GIRTHWRIGHT_ORIGIN is not set"),
        ({"mode": "production", "origin": "http://collars.example"}, "unencrypted"),
        ({"allowed_hosts": ("*",)}, "GIRTHWRIGHT_ALLOWED_HOSTS"),
    ],
)
def test_settings_that_are_not_for_customers_are_refused(changed: dict[str, str], said: str) -> None:
    assert said in faults(replace(READY, **changed), named="Ferry Lane Leather")  # type: ignore[arg-type]


def test_everything_that_is_missing_is_said_at_once() -> None:
    said = faults(replace(READY, mode="production", origin="", allowed_hosts=("*",)))
    assert said.count("\n  - ") == 3


@pytest.mark.parametrize(
    "settings", [Settings(), replace(READY, mode="demo"), Settings(origin="http://192.168.1.5:8000")]
)
def test_a_trial_starts_as_it_is(settings: Settings) -> None:
    assert faults(settings) == ""


def test_a_mode_there_is_not_is_refused() -> None:
    with pytest.raises(SettingUnusable, match="production or demo"):
        read_settings({}, {"GIRTHWRIGHT_MODE": "debug"})


def test_a_fresh_folder_is_refused_for_customers_until_it_is_set_up(tmp_path: Path) -> None:
    settings = replace(READY, data=tmp_path)
    with the_store(settings) as (database, workshop_id), pytest.raises(NotStarted, match="invented demo"):
        refuse_half_set_up(settings, database, workshop_id)


@pytest.mark.parametrize("path", ["/", "/shop/sign-in", "/nothing"])
def test_the_demo_says_on_every_page_that_it_is_invented(path: str) -> None:
    made = app()
    asked, house = client(made), made.state.house
    page = parsed(asked.get(path, headers={"Accept": "text/html"}).text)
    assert page.xpath("string(//p[@class='demo'])") == "An invented demo workshop"
    renamed = house.workshop.model_copy(update={"name": "Ferry Lane Leather"})
    house.shelf.put(replace(house.shelf.catalogue, version=99, rows=renamed))
    page = parsed(asked.get(path, headers={"Accept": "text/html"}).text)
    assert not page.xpath("//p[@class='demo']")
