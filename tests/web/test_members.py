import re
from typing import Any

import pytest
from starlette.testclient import TestClient

from service.storage import record_of
from tests.makers import SHOP, parsed
from tests.web.door_makers import PASSWORD, Door

NEW = "another four plain words"


@pytest.fixture
def door() -> Door:
    return Door()


@pytest.fixture
def owner(door: Door) -> TestClient:
    return door.signed_in("Ola Owner")


def text(answer: Any) -> str:  # noqa: ANN401 - a response
    return " ".join(parsed(answer.text).xpath("string(//main)").split())


def actions(door: Door) -> list[tuple[str, str]]:
    """What the record says was done, and by whom."""
    with door.database.reading() as connection:
        return [(entry.fact.action, entry.fact.who) for entry in record_of(connection, SHOP)]


def done(answer: Any) -> str:  # noqa: ANN401 - a response
    assert answer.status_code == 303, answer.text
    return str(answer.headers["Location"]).removeprefix("/shop/members?done=")


def test_an_owner_adds_a_member_who_can_sign_in(door: Door, owner: TestClient) -> None:
    sent = {"name": "  Nia  New ", "role": "maker", "password": NEW}
    assert done(owner.post("/shop/members", data=sent)) == "added"
    assert "The new member can sign in" in owner.get("/shop/members?done=added").text
    browser = door.browser()
    assert door.try_in(browser, "Nia New", NEW).status_code == 303
    assert ("member-added", "ola") in actions(door)
    assert "Nia New, maker" in text(owner.get("/shop/members"))


@pytest.mark.parametrize(
    ("sent", "place", "said"),
    [
        ({"name": "mia MAKER", "password": NEW}, "new-name", "There is a mia MAKER already"),
        ({"name": "", "password": NEW}, "new-name", "Give the name"),
        ({"name": "a\x00b", "password": NEW}, "new-name", "can't be shown"),
        ({"name": "x" * 61, "password": NEW}, "new-name", "60 is the most"),
        ({"name": "Nia New", "password": "short"}, "new-password", "from 12 to 128"),
        ({"name": "Nia New", "password": "nia new and more"}, "new-password", "easy to guess"),
    ],
)
def test_a_member_who_cannot_be_added_is_refused_and_what_was_typed_stays(
    owner: TestClient, sent: dict[str, str], place: str, said: str
) -> None:
    answer = owner.post("/shop/members", data={"role": "read-only", **sent})
    assert answer.status_code == 422
    page = parsed(answer.text)
    assert said in page.xpath(f"string(//*[@id='note-{place}'])")
    assert page.xpath(f"//*[@id='{place}']/@aria-invalid") == ["true"]
    assert page.xpath("//select[@id='new-role']/option[@selected]/@value") == ["read-only"]
    if "\x00" not in sent["name"]:
        assert page.xpath("//input[@id='new-name']/@value") == [sent["name"]]
    assert sent["password"] not in answer.text


def test_a_member_with_another_role_may_do_other_things_once_signed_in_again(
    door: Door, owner: TestClient
) -> None:
    maker = door.signed_in("Mia Maker")
    assert done(owner.post("/shop/members/mia/role", data={"seen": "1", "role": "read-only"})) == "role"
    assert door.member("mia").role == "read-only"
    assert maker.get("/shop").status_code == 303, "what was begun with the old role has ended"
    assert ("member-changed", "ola") in actions(door)


def test_somebody_who_has_left_cannot_go_on_and_comes_back_with_a_new_password(
    door: Door, owner: TestClient
) -> None:
    maker = door.signed_in("Mia Maker")
    assert done(owner.post("/shop/members/mia/leave", data={"seen": "1"})) == "left"
    assert maker.get("/shop").status_code == 303
    assert door.try_in(door.browser(), "Mia Maker").status_code == 422
    assert "Mia Maker, left" in text(owner.get("/shop/members"))
    assert done(owner.post("/shop/members/mia/password", data={"seen": "2", "password": NEW})) == "password"
    assert door.try_in(door.browser(), "Mia Maker").status_code == 422, "the old password is gone"
    assert door.try_in(door.browser(), "Mia Maker", NEW).status_code == 303


@pytest.mark.parametrize(
    ("path", "sent"), [("role", {"role": "maker"}), ("leave", {})], ids=["role", "leave"]
)
def test_the_only_owner_stays_one_until_there_is_another(
    door: Door, owner: TestClient, path: str, sent: dict[str, str]
) -> None:
    answer = owner.post(f"/shop/members/ola/{path}", data={"seen": "1", **sent})
    assert answer.status_code == 422
    assert "This is the only owner" in answer.text
    owner.post("/shop/members/mia/role", data={"seen": "1", "role": "owner"})
    assert owner.post(f"/shop/members/ola/{path}", data={"seen": "1", **sent}).status_code == 303
    assert door.member("ola").role == sent.get("role", "owner")


def test_of_two_owners_at_once_the_slower_overwrites_nothing(door: Door, owner: TestClient) -> None:
    owner.post("/shop/members/mia/role", data={"seen": "1", "role": "read-only"})
    answer = owner.post("/shop/members/mia/role", data={"seen": "1", "role": "owner"})
    assert answer.status_code == 409
    assert door.member("mia").role == "read-only"


def test_ones_own_password_needs_the_one_of_now_and_ends_every_other_session(door: Door) -> None:
    browser, other = door.signed_in("Mia Maker"), door.signed_in("Mia Maker")
    first = str(browser.cookies["s"])
    wrong = browser.post("/shop/members/mia/password", data={"seen": "1", "now": "wrong", "password": NEW})
    assert wrong.status_code == 422
    assert "That is not your password of now" in wrong.text
    sent = {"seen": "1", "now": PASSWORD, "password": "short"}
    assert "from 12 to 128" in browser.post("/shop/members/mia/password", data=sent).text
    assert done(browser.post("/shop/members/mia/password", data={**sent, "password": NEW})) == "password"
    assert browser.get("/shop").status_code == 200
    assert str(browser.cookies["s"]) != first
    assert other.get("/shop").status_code == 303
    assert len(door.sessions("mia")) == 1
    assert door.try_in(door.browser(), "Mia Maker", NEW).status_code == 303


def test_guessing_the_password_of_an_open_browser_is_slowed_down_too(door: Door) -> None:
    browser = door.signed_in("Mia Maker")
    sent = {"seen": "1", "now": "guess after guess", "password": NEW}
    said = [browser.post("/shop/members/mia/password", data=sent).text for _ in range(6)]
    assert ["tried too often" in one for one in said] == [False] * 4 + [True] * 2


def test_everyone_sees_where_they_are_signed_in_and_ends_it(door: Door) -> None:
    browser, phone = door.signed_in("Mia Maker"), door.signed_in("Mia Maker")
    page = parsed(browser.get("/shop/members").text)
    assert "Your sign-in" in page.xpath("string(//h1)")
    assert len(page.xpath("//ul[@class='ledger']/li")) == 2
    assert len(page.xpath("//span[@class='mark']")) == 1
    key = page.xpath("//input[@name='session']/@value")[0]
    assert not str(browser.cookies["s"]).startswith(str(key))
    assert done(browser.post("/shop/members/mia/sessions", data={"session": str(key)})) == "ended"
    assert phone.get("/shop").status_code == 303
    assert browser.get("/shop").status_code == 200


def test_all_other_sessions_end_at_once_and_this_one_stays(door: Door) -> None:
    browser, *others = (door.signed_in("Mia Maker") for _ in range(4))
    assert "End all the others" in browser.get("/shop/members").text
    browser.post("/shop/members/mia/sessions", data={"session": "all"})
    assert [one.get("/shop").status_code for one in others] == [303, 303, 303]
    assert browser.get("/shop").status_code == 200


@pytest.mark.parametrize("key", ["", "x", "0" * 16])
def test_a_session_that_is_not_there_ends_nothing(door: Door, owner: TestClient, key: str) -> None:
    owner.post("/shop/members/ola/sessions", data={"session": key})
    assert len(door.sessions("ola")) == 1


def test_an_owner_ends_the_sessions_of_others(door: Door, owner: TestClient) -> None:
    maker, twice = door.signed_in("Mia Maker"), door.signed_in("Mia Maker")
    page = owner.get("/shop/members").text
    assert "End all of them" in page
    owner.post("/shop/members/mia/sessions", data={"session": "all"})
    assert [maker.get("/shop").status_code, twice.get("/shop").status_code] == [303, 303]


def test_a_session_nobody_used_for_long_is_not_shown(door: Door) -> None:
    door.signed_in("Mia Maker")
    door.later(hours=13)
    page = parsed(door.signed_in("Mia Maker").get("/shop/members").text)
    assert len(page.xpath("//ul[@class='ledger']/li")) == 1


DEEDS = [
    ("", {"name": "Nia New", "role": "owner", "password": NEW}),
    ("/ola/role", {"seen": "1", "role": "maker"}),
    ("/mia/role", {"seen": "1", "role": "owner"}),
    ("/ola/leave", {"seen": "1"}),
    ("/ola/password", {"seen": "1", "password": NEW}),
    ("/ola/sessions", {"session": "all"}),
]


@pytest.mark.parametrize(("path", "sent"), DEEDS)
@pytest.mark.parametrize("name", ["Mia Maker", "Rea Reader"])
def test_nobody_but_an_owner_changes_others(
    door: Door, owner: TestClient, path: str, sent: dict[str, str], name: str
) -> None:
    before = [door.member(key) for key in ("ola", "mia", "rea")]
    answer = door.signed_in(name).post(f"/shop/members{path}", data=sent)
    assert answer.status_code == 403
    assert [door.member(key) for key in ("ola", "mia", "rea")] == before
    assert owner.get("/shop").status_code == 200


@pytest.mark.parametrize(("path", "sent"), DEEDS)
def test_nobody_at_all_does_anything_without_signing_in(door: Door, path: str, sent: dict[str, str]) -> None:
    answer = door.browser().post(f"/shop/members{path}", data=sent)
    assert answer.status_code == 403
    assert "You were signed out before that was sent" in answer.text


def test_others_are_shown_to_an_owner_only(door: Door, owner: TestClient) -> None:
    assert "Mia Maker" in owner.get("/shop/members").text
    page = door.signed_in("Rea Reader").get("/shop/members").text
    assert "Mia Maker" not in page
    assert "Add a member" not in page


@pytest.mark.parametrize("seen", ["", "x", "²", "-1", "9" * 40, "1.0"])
def test_a_form_that_does_not_say_what_it_was_made_from_changes_nothing(
    door: Door, owner: TestClient, seen: str
) -> None:
    answer = owner.post("/shop/members/mia/role", data={"seen": seen, "role": "owner"})
    assert answer.status_code == 422
    assert door.member("mia").role == "maker"


@pytest.mark.parametrize("role", ["", "admin", "Owner", "owner ", "\x00"])
def test_a_role_there_is_not_is_refused(owner: TestClient, role: str) -> None:
    assert owner.post("/shop/members/mia/role", data={"seen": "1", "role": role}).status_code == 422


@pytest.mark.parametrize("path", ["role", "leave", "password", "sessions"])
def test_a_member_there_is_not_is_not_found(owner: TestClient, path: str) -> None:
    sent = {"seen": "1", "role": "maker", "password": NEW, "session": "all"}
    assert owner.post(f"/shop/members/nobody/{path}", data=sent).status_code == 404


def test_what_is_said_after_a_deed_is_never_taken_from_the_address(owner: TestClient) -> None:
    page = owner.get("/shop/members", params={"done": "<b>Call this number</b>"}).text
    assert "Call this number" not in page


def test_neither_passwords_nor_their_hashes_are_ever_shown_or_put_on_record(
    door: Door, owner: TestClient
) -> None:
    owner.post("/shop/members", data={"name": "Nia New", "role": "maker", "password": NEW})
    page = owner.get("/shop/members").text
    with door.database.reading() as connection:
        told = page + str(record_of(connection, SHOP))
    assert not re.search(r"argon2|four plain words here|another four", told)
    assert "Nia New" not in str(actions(door)), "the record holds ids, not names"


def test_the_page_shows_names_as_text(owner: TestClient) -> None:
    owner.post("/shop/members", data={"name": "<b>Bo & Co</b>", "role": "maker", "password": NEW})
    assert "<b>Bo" not in owner.get("/shop/members").text
    assert "<b>Bo & Co</b>" in text(owner.get("/shop/members"))
