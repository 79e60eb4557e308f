"""A shop that one has to sign in to: members with real passwords, a clock that can be moved, browsers."""

from dataclasses import dataclass, field, replace
from datetime import UTC, datetime, timedelta
from functools import cache
from typing import Any

from fastapi import FastAPI
from starlette.testclient import TestClient

from service.app import create_app
from service.settings import Settings
from service.storage import Act, Database, Member, MemberSession, Role, add_member, members_of, sessions_of
from service.web.house import House
from service.web.passwords import hashed
from tests.makers import SHOP, app

PASSWORD = "four plain words here"  # noqa: S105 - of a member who is made up
NOON = datetime(2026, 11, 25, 12, tzinfo=UTC)


@cache
def password_hash() -> str:
    return hashed(PASSWORD, "Nobody")


@dataclass
class Door:
    """The service with a member of each role, and its clock at noon."""

    settings: Settings = field(default_factory=Settings)
    now: datetime = NOON

    def __post_init__(self) -> None:
        self.app: FastAPI = app(self.settings)
        house: House = self.app.state.house
        self.house = replace(house, now=lambda: self.now)
        self.app.state.house = self.house
        self.database: Database = house.database
        self.join("Ola Owner", "owner")
        self.join("Mia Maker", "maker")
        self.join("Rea Reader", "read-only")

    def join(self, name: str, role: Role) -> None:
        key = name.partition(" ")[0].lower()
        with self.database.writing() as connection:
            new = Member(key, SHOP, name, password_hash(), role, None, self.now)
            add_member(connection, new, Act("service", "test", self.now))

    def restart(self) -> None:
        """The service stops, and another one starts over the same store."""
        self.app = create_app(self.house.settings, self.database, SHOP)
        house: House = self.app.state.house
        self.app.state.house = self.house = replace(house, now=lambda: self.now)

    def browser(self, base: str = "http://localhost:8000", place: str = "198.51.100.1") -> TestClient:
        """A browser that nobody is signed in with; it shows where it is sent instead of going there."""
        return TestClient(
            self.app,
            base_url=base,
            client=(place, 50_000),
            headers={"Sec-Fetch-Site": "same-origin"},
            follow_redirects=False,
        )

    def try_in(self, browser: TestClient, name: str, password: str = PASSWORD, to: str = "") -> Any:  # noqa: ANN401 - a response
        return browser.post("/shop/sign-in", data={"name": name, "password": password, "next": to})

    def signed_in(self, name: str) -> TestClient:
        browser = self.browser()
        assert self.try_in(browser, name).status_code == 303
        return browser

    def later(self, **how_long: float) -> None:
        self.now += timedelta(**how_long)

    def member(self, key: str) -> Member:
        with self.database.reading() as connection:
            return next(one for one in members_of(connection, SHOP) if one.id == key)

    def sessions(self, key: str) -> tuple[MemberSession, ...]:
        with self.database.reading() as connection:
            return sessions_of(connection, key)
