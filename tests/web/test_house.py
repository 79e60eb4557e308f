"""What is at hand: a change of the catalogue by somebody else is taken up soon, and without a restart."""

from datetime import UTC, datetime
from threading import Event, Thread
from time import monotonic, sleep

import pytest

from service.storage import Act, StorageUnavailable, change_columns, current_catalogue, put_row
from service.web.house import House, Shelf, keep_up
from tests.makers import SHOP, app, client

FERN = {"code": "fern", "name": "Fern", "colour": "#335533", "thickness": 3.1, "price_per_m2": "151.50"}


def elsewhere(house: House, seen: int) -> None:
    """Another process changes the catalogue."""
    with house.database.writing() as connection:
        act = Act("maker", "mia", datetime.now(UTC))
        put_row(connection, SHOP, "leathers", {**FERN, "code": f"fern-{seen}"}, act, seen=seen)


def until(house: House, version: int) -> None:
    end = monotonic() + 5
    while house.shelf.catalogue.version < version:
        assert monotonic() < end
        sleep(0.01)


def test_a_change_by_another_process_is_in_force_without_a_restart() -> None:
    made = app()
    house: House = made.state.house
    visitor, stop = client(made), Event()
    before = visitor.get("/preview.svg?neck=19+in").headers["etag"]
    watch = Thread(target=keep_up, args=(house, stop, 0.01))
    watch.start()
    try:
        elsewhere(house, 1)
        until(house, 2)
        assert visitor.get("/preview.svg?neck=19+in&leather=fern-1").status_code == 200
        assert visitor.get("/preview.svg?neck=19+in").headers["etag"] != before
        assert "fern-1" in visitor.get("/openapi.json").text
    finally:
        stop.set()
        watch.join()


def test_a_store_that_is_out_of_reach_is_asked_again_later(monkeypatch: pytest.MonkeyPatch) -> None:
    house: House = app().state.house
    asked: list[int] = []

    def version(*_: object) -> int:
        asked.append(1)
        if len(asked) < 3:
            raise StorageUnavailable("away")
        return 2

    elsewhere(house, 1)
    monkeypatch.setattr("service.web.house.catalogue_version", version)
    stop = Event()
    watch = Thread(target=keep_up, args=(house, stop, 0.01))
    watch.start()
    try:
        until(house, 2)
    finally:
        stop.set()
        watch.join()
    assert len(asked) >= 3


def test_an_older_version_never_takes_the_place_of_a_newer_one() -> None:
    house: House = app().state.house
    with house.database.writing() as connection:
        old = current_catalogue(connection, SHOP)
        act = Act("maker", "mia", datetime.now(UTC))
        new = change_columns(connection, SHOP, act, workshop_columns={"units": "cm"}, seen=1)
    shelf = Shelf(old)
    shelf.put(new)
    shelf.put(old)
    assert shelf.catalogue == new
