from dataclasses import replace
from datetime import UTC, date, datetime

import pytest
from phonenumbers import SUPPORTED_REGIONS
from pydantic import ValidationError

from service.web.board import made_board
from service.web.clock import end_of, every_zone, local_day, usual_zone, zone_of
from service.web.frame import Frame
from service.web.words import moment
from service.workshop import Workshop
from tests.makers import parsed, workshop
from tests.web.shop_makers import Shop

MIDNIGHT = datetime(2026, 11, 26, 3, 30, tzinfo=UTC)


def at(zone: str, region: str = "US") -> Workshop:
    return workshop().model_copy(update={"zone": zone, "region": region})


@pytest.mark.parametrize(
    ("zone", "written"),
    # IANA time zone database: Eastern time is UTC-5 in November, India UTC+5:30 all year.
    [
        ("America/New_York", "November 25, 2026, 22:30 EST"),
        ("Asia/Kolkata", "November 26, 2026, 09:00 +0530"),
        ("UTC", "November 26, 2026, 03:30 UTC"),
    ],
)
def test_a_moment_is_written_by_the_workshops_clock_with_its_zone(zone: str, written: str) -> None:
    assert moment(MIDNIGHT, at(zone)) == written


def test_summer_time_is_kept() -> None:
    assert moment(datetime(2026, 7, 1, 12, tzinfo=UTC), at("America/New_York")).endswith("08:00 EDT")


def test_the_day_is_the_one_at_the_workshop() -> None:
    assert local_day(MIDNIGHT, at("America/New_York")) == date(2026, 11, 25)
    assert local_day(MIDNIGHT, at("Asia/Kolkata")) == date(2026, 11, 26)
    assert end_of(date(2026, 11, 25), at("America/New_York")) == datetime(2026, 11, 26, 5, tzinfo=UTC)


def test_a_day_on_which_the_clock_changes_ends_when_the_next_begins() -> None:
    # Clocks in New York went back on 1 November 2026: that day has 25 hours.
    first, second = (end_of(date(2026, 11, day), at("America/New_York")) for day in (1, 2))
    before = end_of(date(2026, 10, 31), at("America/New_York"))
    assert [(first - before).total_seconds(), (second - first).total_seconds()] == [25 * 3600, 24 * 3600]


@pytest.mark.parametrize(
    ("region", "zone"),
    [("GB", "Europe/London"), ("DE", "Europe/Berlin"), ("JP", "Asia/Tokyo"), ("US", "UTC")],
)
def test_a_country_with_one_time_needs_no_zone_named(region: str, zone: str) -> None:
    assert usual_zone(region) == zone
    assert zone_of(at("", region)).key == zone


def test_every_country_has_a_zone() -> None:
    assert all(zone_of(at("", region)) for region in SUPPORTED_REGIONS)


@pytest.mark.parametrize(
    "zone", ["Mars/Olympus", "../../etc/passwd", "EST5EDT; x", "/etc/localtime", "\x00", "é"]
)
def test_a_zone_there_is_not_is_refused_with_what_would_work(zone: str) -> None:
    with pytest.raises(ValidationError, match="Europe/London"):
        Workshop.model_validate({**workshop().model_dump(), "zone": zone})


def test_a_kept_catalogue_without_a_zone_is_still_read() -> None:
    kept = workshop().model_dump()
    del kept["zone"]
    assert Workshop.model_validate(kept).zone == ""


def test_an_order_due_today_at_the_workshop_is_not_overdue_because_it_is_tomorrow_in_greenwich() -> None:
    shop = Shop()
    shop.app.state.house = house = replace(shop.app.state.house, now=lambda: MIDNIGHT)
    shop.order(due_on=date(2026, 11, 25))
    assert house.today == date(2026, 11, 25)
    frame = Frame(house.workshop.name, "Mia Maker", "maker", "board")
    assert [card.due for card in made_board(house, frame).today] == ["due today"]


def test_every_zone_that_can_be_chosen_is_one() -> None:
    offered = every_zone()
    assert len(offered) > 300
    assert all(Workshop.model_validate({**workshop().model_dump(), "zone": zone}) for zone in offered)


def test_a_workshops_zone_is_chosen_on_its_page_the_countrys_own_first() -> None:
    shop = Shop()
    page = parsed(shop.browsers["owner"].get("/shop/catalogue/workshop").text)
    options = page.xpath("//select[@name='zone']/option/@value")
    assert options[0] == ""
    assert options[1].startswith("America/")
    assert page.xpath("//select[@name='zone']/option[@selected]/@value") == ["America/New_York"]
