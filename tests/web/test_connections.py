import re
from typing import Any

import pytest
from starlette.testclient import TestClient

from service.storage import api_key_by_hash, api_keys_of, token_hash, verify_record, workshop_settings
from service.web.connections import KEYS_MAX
from service.web.sites import FramedBy
from tests.makers import SHOP, parsed
from tests.stores import contents
from tests.web.door_makers import PASSWORD, Door

HERE = "/shop/connections"


@pytest.fixture
def door() -> Door:
    return Door()


@pytest.fixture
def owner(door: Door) -> TestClient:
    return door.signed_in("Ola Owner")


def text(answer: Any) -> str:  # noqa: ANN401 - a response
    return " ".join(parsed(answer.text).xpath("string(//main)").split())


def listed(door: Door) -> tuple[str, ...]:
    with door.database.reading() as connection:
        return workshop_settings(connection, SHOP, FramedBy)[0].framed_by


def seen(owner: TestClient) -> str:
    return str(parsed(owner.get(HERE).text).xpath("//input[@name='seen']/@value")[0])


def keep_sites(owner: TestClient, sites: str, version: str = "") -> Any:  # noqa: ANN401 - a response
    return owner.post(f"{HERE}/sites", data={"sites": sites, "seen": version or seen(owner)})


def make_key(owner: TestClient, label: str = "The books", password: str = PASSWORD) -> Any:  # noqa: ANN401
    return owner.post(f"{HERE}/keys", data={"label": label, "now": password})


def shown_key(answer: Any) -> str:  # noqa: ANN401 - a response
    return str(parsed(answer.text).xpath("//textarea[@id='new-key']")[0].text.strip())


def test_an_owner_lists_sites_and_gets_the_lines_for_them(door: Door, owner: TestClient) -> None:
    assert "none can show it" in text(owner.get(HERE))
    kept = keep_sites(owner, "https://WWW.shop.example/\nhttps://shop.example")
    assert (kept.status_code, kept.headers["Location"]) == (303, f"{HERE}?done=sites")
    assert listed(door) == ("https://www.shop.example", "https://shop.example")
    page = owner.get(f"{HERE}?done=sites")
    assert "The list is in force" in text(page)
    lines = [one.text.strip() for one in parsed(page.text).xpath("//textarea[@readonly]")]
    assert lines[0].startswith('<script src="http://localhost:8000/embed.js" data-title="')
    (script,) = parsed(f"<div>{lines[0]}</div>").xpath("//script")
    assert script.get("data-title") == f"Collars and leads to measure, by {door.house.workshop.name}"
    (frame,) = parsed(f"<div>{lines[1]}</div>").xpath("//iframe")
    assert frame.get("src") == "http://localhost:8000/embed"
    assert frame.get("title") == script.get("data-title")


def test_a_wrong_site_is_refused_beside_its_field_and_nothing_typed_is_lost(
    door: Door, owner: TestClient
) -> None:
    typed = "https://good.example\nhttp://bad.example"
    answer = keep_sites(owner, typed)
    assert answer.status_code == 422
    page = parsed(answer.text)
    (field,) = page.xpath("//textarea[@id='sites']")
    assert field.text.strip().splitlines() == typed.splitlines()
    assert field.get("aria-invalid") == "true"
    assert "give https://bad.example" in page.xpath("string(//*[@id='note-sites'])")
    assert listed(door) == ()


def test_two_who_change_the_list_at_once_are_told_of_each_other(door: Door, owner: TestClient) -> None:
    before = seen(owner)
    assert keep_sites(owner, "https://a.example", before).status_code == 303
    answer = keep_sites(owner, "https://b.example", before)
    assert answer.status_code == 422
    assert "https://a.example" in text(answer)
    page = parsed(answer.text)
    assert page.xpath("//textarea[@id='sites']")[0].text.strip() == "https://b.example"
    assert listed(door) == ("https://a.example",)
    again = page.xpath("//input[@name='seen']/@value")[0]
    assert keep_sites(owner, "https://b.example", again).status_code == 303
    assert listed(door) == ("https://b.example",)


def test_a_list_without_its_version_is_not_taken(door: Door, owner: TestClient) -> None:
    for version in ("x", "-1", "1" * 30):
        assert keep_sites(owner, "https://a.example", version).status_code == 422
    assert listed(door) == ()


def test_a_key_is_shown_once_and_only_its_hash_is_kept(door: Door, owner: TestClient) -> None:
    made = make_key(owner, "  The  books ")
    assert made.status_code == 200
    assert "no-store" in made.headers["Cache-Control"]
    secret = shown_key(made)
    assert re.fullmatch(r"gwk_[A-Za-z0-9_-]{43}", secret)
    with door.database.reading() as connection:
        key = api_key_by_hash(connection, token_hash(secret))
        assert key is not None
        assert key.label == "The books"
    assert secret not in owner.get(HERE).text
    assert "The books" in text(owner.get(HERE))
    assert "never used" in text(owner.get(HERE))
    kept = str(contents(door.database))
    assert secret not in kept
    assert secret.removeprefix("gwk_") not in kept


def test_a_revoked_key_stays_on_the_page_and_opens_nothing(door: Door, owner: TestClient) -> None:
    secret = shown_key(make_key(owner))
    with door.database.reading() as connection:
        (key,) = api_keys_of(connection, SHOP)
    gone = owner.post(f"{HERE}/keys/{key.id}/revoke")
    assert (gone.status_code, gone.headers["Location"]) == (303, f"{HERE}?done=revoked")
    assert "revoked on Wednesday, November 25, 2026" in text(owner.get(HERE))
    with door.database.reading() as connection:
        assert api_key_by_hash(connection, token_hash(secret)) is None
        verify_record(connection, SHOP)
    assert owner.post(f"{HERE}/keys/{key.id}x/revoke").status_code == 404


@pytest.mark.parametrize(
    ("label", "password", "said"),
    [
        ("", PASSWORD, "Say what the key is for"),
        ("x" * 61, PASSWORD, "60"),
        ("The books", "not that one", "not your password"),
        ("The books", "", "password"),
        ("the BOOKS first", PASSWORD, "already"),
    ],
)
def test_a_key_is_refused_with_a_reason_and_the_label_stays(
    door: Door, owner: TestClient, label: str, password: str, said: str
) -> None:
    make_key(owner, "The books first")
    answer = make_key(owner, label, password)
    assert answer.status_code == 422
    assert said in text(answer)
    assert parsed(answer.text).xpath("//input[@id='key-label']/@value") == [label]
    with door.database.reading() as connection:
        assert len(api_keys_of(connection, SHOP)) == 1


def test_there_is_an_end_to_keys(owner: TestClient) -> None:
    for number in range(KEYS_MAX):
        assert make_key(owner, f"key {number}").status_code == 200
    assert "which is the most" in text(make_key(owner, "one more"))


@pytest.mark.parametrize("name", ["Mia Maker", "Rea Reader"])
def test_only_an_owner_sees_or_changes_any_of_it(door: Door, name: str) -> None:
    other = door.signed_in(name)
    before = contents(door.database)["api_key"], listed(door)
    assert other.get(HERE).status_code == 403
    assert make_key(other).status_code == 403
    assert keep_sites(other, "https://a.example", "1").status_code == 403
    assert other.post(f"{HERE}/keys/x/revoke").status_code == 403
    assert "connections" not in other.get("/shop/members").text
    assert (contents(door.database)["api_key"], listed(door)) == before
    assert door.browser().get(HERE).status_code == 303
