from typing import Any
from urllib.parse import urlencode

import pytest
from pyotp import TOTP
from starlette.testclient import TestClient

from service.web.family import FORM_MAX
from service.web.unsent import unsent_in
from tests.makers import parsed
from tests.stores import contents
from tests.web.door_makers import PASSWORD, Door
from tests.web.test_second_factor import set_up

CUSTOMER = {"name": "Ada “Example” & Söhne", "phone": "", "email": "", "notes": "Line <one> & more"}


@pytest.fixture
def door() -> Door:
    return Door()


def hidden(text: str, action: str) -> dict[str, str]:
    inputs = parsed(text).xpath(f"//form[@action='{action}']//input[@type='hidden']")
    return {one.get("name"): one.get("value") for one in inputs}


def ended(door: Door) -> TestClient:
    """A browser whose session has ended."""
    browser = door.signed_in("Mia Maker")
    door.later(hours=13)
    return browser


def signed_in_again(browser: TestClient, page: str, **more: str) -> Any:  # noqa: ANN401 - a response
    carried = hidden(page, "/shop/sign-in")
    return browser.post("/shop/sign-in", data={**carried, "name": "Mia Maker", "password": PASSWORD, **more})


def test_what_was_typed_before_the_session_ended_is_sent_after_signing_in_again(door: Door) -> None:
    browser = ended(door)
    before = contents(door.database)
    answer = browser.post("/shop/customers/somebody", data=CUSTOMER)
    assert answer.status_code == 403
    assert "What you typed is kept" in answer.text
    assert contents(door.database) == before
    wrong = signed_in_again(browser, answer.text, password="not it at all")  # noqa: S106 - a wrong one
    assert wrong.status_code == 422
    page = signed_in_again(browser, wrong.text)
    assert page.status_code == 200
    assert "You are signed in as Mia Maker" in page.text
    assert hidden(page.text, "/shop/customers/somebody") == CUSTOMER
    assert browser.get("/shop").status_code == 200
    assert "Ada “Example” & Söhne" in parsed(page.text).xpath("string(//dl)")


def test_it_waits_for_a_code_of_the_second_factor_too(door: Door) -> None:
    browser = door.signed_in("Mia Maker")
    secret, _ = set_up(door, browser)
    door.later(hours=13)
    answer = browser.post("/shop/customers/somebody", data=CUSTOMER)
    asked = signed_in_again(browser, answer.text)
    carried = hidden(asked.text, "/shop/sign-in/code")
    wrong = browser.post("/shop/sign-in/code", data={**carried, "code": "000000"})
    carried = hidden(wrong.text, "/shop/sign-in/code")
    page = browser.post("/shop/sign-in/code", data={**carried, "code": TOTP(secret).at(door.now)})
    assert hidden(page.text, "/shop/customers/somebody") == CUSTOMER


def test_nothing_is_sent_by_itself(door: Door) -> None:
    browser = ended(door)
    answer = browser.post("/shop/members", data={"name": "Nia New", "role": "maker"})
    before = contents(door.database)["member"]
    signed_in_again(browser, answer.text)
    assert contents(door.database)["member"] == before


@pytest.mark.parametrize(
    ("path", "sent"),
    [
        ("/shop/members", {"name": "Nia", "role": "maker", "password": "another four plain words"}),
        ("/shop/members/me/second-factor", {"now": PASSWORD}),
        ("/shop/members/me/second-factor/first-code", {"code": "123456"}),
        ("/shop/customers/x", {}),
    ],
)
def test_passwords_and_codes_are_never_kept(door: Door, path: str, sent: dict[str, str]) -> None:
    answer = ended(door).post(path, data=sent)
    assert answer.status_code == 403
    assert "unsent" not in hidden(answer.text, "/shop/sign-in")
    assert not any(text in answer.text for text in sent.values() if len(text) > 5)
    assert "nothing was changed" in answer.text


def test_the_longest_form_is_kept_whole(door: Door) -> None:
    browser = ended(door)
    long = {"notes": "é" * ((FORM_MAX - 6) // 6)}
    assert len(urlencode(long)) > FORM_MAX - 20
    answer = browser.post("/shop/customers/somebody", data=long)
    page = signed_in_again(browser, answer.text)
    assert hidden(page.text, "/shop/customers/somebody") == long


def test_more_than_a_form_may_hold_is_not_kept_and_is_no_fault(door: Door) -> None:
    answer = ended(door).post("/shop/customers/somebody", data={"notes": "x" * (2 * FORM_MAX)})
    assert answer.status_code == 413 or "nothing was changed" in answer.text


def test_files_are_not_kept_and_the_page_says_that_nothing_was_changed(door: Door) -> None:
    answer = ended(door).post("/shop/customers/somebody", files={"photo": ("a.png", b"x")})
    assert answer.status_code == 403
    assert "nothing was changed" in answer.text


@pytest.mark.parametrize(
    ("to", "body"),
    [
        ("https://elsewhere.example/", "a=1"),
        ("//elsewhere.example", "a=1"),
        ("/p/token/answer", "a=1"),
        ("/shop/sign-out", "a=1"),
        ("/shop/\\x", "a=1"),
        ("/shop/customers/x", ""),
        ("/shop/customers/x", "&".join("a=1" for _ in range(500))),
        ("/shop/customers/x", "a=1&password=x"),
        ("/shop/customers/x", "a=" + "x" * FORM_MAX),
    ],
)
def test_only_a_form_for_a_page_of_the_shop_is_carried(to: str, body: str) -> None:
    assert unsent_in({"to": to, "unsent": body}) is None
    assert unsent_in({"to": "/shop/orders/1?x=2", "unsent": "a=1"}) is not None


def test_another_site_cannot_have_its_own_form_carried(door: Door) -> None:
    sent = {"name": "Mia Maker", "password": PASSWORD, "to": "/shop/members", "unsent": "name=Eve&role=owner"}
    answer = door.browser().post("/shop/sign-in", data=sent, headers={"Sec-Fetch-Site": "cross-site"})
    assert answer.status_code == 403
    assert "Eve" not in answer.text
