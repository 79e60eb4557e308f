import json

import pytest

from tests.web.door_makers import PASSWORD, Door
from tests.web.test_second_factor import after_password, give, set_up


def test_refusals_are_told_in_lines_that_name_nobody(caplog: pytest.LogCaptureFixture) -> None:
    door = Door()
    set_up(door, door.signed_in("Mia Maker"))
    door.later(minutes=2)
    browser = door.browser()
    give(browser, after_password(door, browser), "000000")
    door.try_in(door.browser(), "Ola Owner", "guess after guess")
    door.try_in(door.browser(), "Nobody\n{}", "another guess")
    door.signed_in("Rea Reader").post("/shop/members/mia/leave", data={"seen": "1"})
    door.browser().post("/shop/sign-in", data={}, headers={"Sec-Fetch-Site": "cross-site"})
    owner = door.signed_in("Ola Owner")
    owner.post("/shop/data", data={"now": "not the password"})
    lines = [json.loads(record.message) for record in caplog.records if record.name == "girthwright.refused"]
    assert [(line["refused"], line["member"]) for line in lines] == [
        ("code", "mia"),
        ("password", "ola"),
        ("password", ""),
        ("role", "rea"),
        ("sent from elsewhere", ""),
        ("password", "ola"),
    ]
    assert {line["from"] for line in lines} == {"198.51.100.0"}
    assert all(line["at"].startswith("2026-11-25T12:") and line["at"].endswith("Z") for line in lines)
    told = "\n".join(record.message for record in caplog.records)
    assert not any(said in told for said in ("guess", "Ola", "Nobody", PASSWORD, "/shop"))


def test_a_flood_of_tries_is_told_as_such(caplog: pytest.LogCaptureFixture) -> None:
    door = Door()
    for _ in range(6):
        door.try_in(door.browser(), "Mia Maker", "guess after guess")
    told = [json.loads(record.message)["refused"] for record in caplog.records]
    assert told == ["password"] * 4 + ["password too soon"] * 2
