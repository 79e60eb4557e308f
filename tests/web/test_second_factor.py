import re
from base64 import b32encode
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from pyotp import TOTP
from starlette.testclient import TestClient

from service.storage import SecondFactor, record_of
from service.web.second_factor import SPARE, TICKET_LASTS, is_ticket_of, spare_codes, ticket_for, used
from tests.makers import SHOP, parsed
from tests.stores import contents
from tests.web.door_makers import PASSWORD, Door

HERE = "/shop/members"
MINE = f"{HERE}/me/second-factor"
# RFC 6238, appendix B: the secret of its SHA-1 test vectors.
RFC_SECRET = b32encode(b"12345678901234567890").decode()


@pytest.fixture
def door() -> Door:
    return Door()


def code_at(secret: str, at: datetime) -> str:
    return TOTP(secret).at(at)


def set_up(door: Door, browser: TestClient) -> tuple[str, list[str]]:
    """Turn the second factor on; return its secret and the spare codes."""
    page = browser.post(MINE, data={"now": PASSWORD})
    assert page.status_code == 200, page.text
    secret = parsed(page.text).xpath("string(//p[@class='secret'])").replace(" ", "")
    answer = browser.post(f"{MINE}/first-code", data={"code": code_at(secret, door.now)})
    assert answer.status_code == 200, answer.text
    return secret, [
        str(code) for code in parsed(answer.text).xpath("//ol[@class='spare-codes']//code/text()")
    ]


def after_password(door: Door, browser: TestClient, name: str = "Mia Maker") -> dict[str, str]:
    """What the form that asks for a code carries."""
    answer = door.try_in(browser, name, to="/shop/customers")
    assert answer.status_code == 200
    assert "Set-Cookie" not in answer.headers
    inputs = parsed(answer.text).xpath("//form[@action='/shop/sign-in/code']//input[@type='hidden']")
    return {one.get("name"): one.get("value") for one in inputs}


def give(browser: TestClient, carried: dict[str, str], code: str) -> Any:  # noqa: ANN401 - a response
    return browser.post("/shop/sign-in/code", data={**carried, "code": code})


def actions(door: Door) -> list[str]:
    with door.database.reading() as connection:
        return [entry.fact.action for entry in record_of(connection, SHOP)]


@pytest.mark.parametrize(
    ("seconds", "code"),
    # RFC 6238, appendix B, SHA-1; the last six of its eight figures.
    [
        (59, "287082"),
        (1111111109, "081804"),
        (1111111111, "050471"),
        (1234567890, "005924"),
        (2000000000, "279037"),
    ],
)
def test_codes_are_those_of_the_standard(seconds: int, code: str) -> None:
    left = used(SecondFactor(secret=RFC_SECRET), code, datetime.fromtimestamp(seconds, UTC))
    assert left is not None
    assert left.factor.last_step == seconds // 30
    assert not left.spare


@pytest.mark.parametrize(("off", "taken"), [(-61, False), (-30, True), (0, True), (30, True), (61, False)])
def test_a_telephones_clock_may_be_half_a_minute_off(off: int, taken: bool) -> None:  # noqa: FBT001 - a case
    now = datetime(2026, 11, 25, 12, 0, 15, tzinfo=UTC)
    code = code_at(RFC_SECRET, now + timedelta(seconds=off))
    assert (used(SecondFactor(secret=RFC_SECRET), code, now) is not None) is taken


@pytest.mark.parametrize("code", ["", "12345", "1234567", "²²²²²²", "0" * 5000, "abc-def", "٢٨٧٠٨٢", "\x00"])
def test_what_is_no_code_is_none(code: str) -> None:
    shown, kept = spare_codes()
    assert len(set(shown)) == len(set(kept)) == SPARE
    assert used(SecondFactor(secret=RFC_SECRET, recovery=kept), code, datetime.fromtimestamp(59, UTC)) is None


def test_with_a_second_factor_a_password_alone_opens_nothing(door: Door) -> None:
    browser = door.signed_in("Mia Maker")
    secret, codes = set_up(door, browser)
    assert len(codes) == SPARE
    assert browser.get("/shop").status_code == 200, "this browser stays signed in"
    door.later(minutes=1)
    other = door.browser()
    carried = after_password(door, other)
    assert other.get("/shop").status_code == 303
    answer = give(other, carried, code_at(secret, door.now))
    assert (answer.status_code, answer.headers["Location"]) == (303, "/shop/customers")
    assert other.get("/shop").status_code == 200


def test_other_sessions_end_when_it_is_turned_on(door: Door) -> None:
    elsewhere, browser = door.signed_in("Mia Maker"), door.signed_in("Mia Maker")
    set_up(door, browser)
    assert elsewhere.get("/shop").status_code == 303
    assert actions(door).count("second-factor-on") == 1


def test_a_code_is_taken_once_and_no_older_one_after_it(door: Door) -> None:
    secret, _ = set_up(door, door.signed_in("Mia Maker"))
    door.later(minutes=2)
    code, older = code_at(secret, door.now), code_at(secret, door.now - timedelta(seconds=30))
    first, second = door.browser(), door.browser()
    assert give(first, after_password(door, first), code).status_code == 303
    carried = after_password(door, second)
    for replayed in (code, older):
        answer = give(second, carried, replayed)
        assert answer.status_code == 422
        assert "used before" in answer.text
    door.later(minutes=1)
    assert give(second, carried, code_at(secret, door.now)).status_code == 303


def test_the_code_that_turned_it_on_does_not_sign_in(door: Door) -> None:
    secret, _ = set_up(door, door.signed_in("Mia Maker"))
    other = door.browser()
    assert give(other, after_password(door, other), code_at(secret, door.now)).status_code == 422


def test_a_spare_code_stands_in_once(door: Door) -> None:
    _, codes = set_up(door, door.signed_in("Mia Maker"))
    assert all(re.fullmatch(r"[a-z2-7]{4}(-[a-z2-7]{4}){5}", code) for code in codes)
    browser = door.browser()
    assert give(browser, after_password(door, browser), codes[3].upper().replace("-", " ")).status_code == 303
    assert "9 of your spare codes are left" in browser.get(HERE).text
    again = door.browser()
    assert give(again, after_password(door, again), codes[3]).status_code == 422
    assert "spare-code-used" in actions(door)


def test_of_spare_codes_only_hashes_are_kept_and_no_secret_is_on_record(door: Door) -> None:
    secret, codes = set_up(door, door.signed_in("Mia Maker"))
    kept = contents(door.database)
    assert secret in str(kept["member"])
    assert secret not in str({name: rows for name, rows in kept.items() if name != "member"})
    assert not any(code in str(kept) or code.replace("-", "") in str(kept) for code in codes)
    assert secret not in repr(door.member("mia"))


def test_guesses_at_codes_wait_longer_and_longer_although_the_password_is_right(door: Door) -> None:
    secret, _ = set_up(door, door.signed_in("Mia Maker"))
    door.later(minutes=2)
    statuses = []
    for _ in range(8):
        browser = door.browser()
        statuses.append(give(browser, after_password(door, browser), "000000").status_code)
    assert statuses == [422] * 4 + [429] * 4
    door.later(seconds=3)
    browser = door.browser()
    assert give(browser, after_password(door, browser), code_at(secret, door.now)).status_code == 303


def test_what_the_password_gave_ends_after_minutes_and_with_the_password(door: Door) -> None:
    secret, _ = set_up(door, door.signed_in("Mia Maker"))
    browser = door.browser()
    carried = after_password(door, browser)
    door.now += TICKET_LASTS + timedelta(seconds=1)
    late = give(browser, carried, code_at(secret, door.now))
    assert late.status_code == 422
    assert "more than five minutes" in late.text
    carried = after_password(door, browser)
    owner = door.signed_in("Ola Owner")
    version = str(door.member("mia").row_version)
    owner.post(f"{HERE}/mia/password", data={"seen": version, "password": "another four plain words"})
    assert give(browser, carried, code_at(secret, door.now)).status_code == 422


@pytest.mark.parametrize(
    "ticket", ["", "mia", "mia.1", "mia..", "mia.99999999999.x", "ola.1.2", "é.1.2", "mia.²."]
)
def test_a_made_up_ticket_opens_nothing(door: Door, ticket: str) -> None:
    secret, _ = set_up(door, door.signed_in("Mia Maker"))
    door.later(minutes=1)
    assert give(door.browser(), {"ticket": ticket}, code_at(secret, door.now)).status_code == 422


def test_a_ticket_is_good_for_its_member_alone_and_not_for_longer(door: Door) -> None:
    mia, ola = door.member("mia"), door.member("ola")
    ticket = ticket_for(mia, door.now)
    assert is_ticket_of(mia, ticket, door.now)
    assert not is_ticket_of(ola, ticket, door.now)
    key, until, signed = ticket.split(".")
    assert not is_ticket_of(mia, f"{key}.{int(until) + 60}.{signed}", door.now)
    assert not is_ticket_of(mia, ticket, door.now + timedelta(hours=1))


def test_it_is_set_up_with_the_password_and_turned_on_by_a_right_code_alone(door: Door) -> None:
    browser = door.signed_in("Mia Maker")
    wrong = browser.post(MINE, data={"now": "not the password at all"})
    assert wrong.status_code == 422
    assert "not your password of now" in wrong.text
    assert door.member("mia").second_factor is None
    page = browser.post(MINE, data={"now": PASSWORD})
    secret = parsed(page.text).xpath("string(//p[@class='secret'])").replace(" ", "")
    answer = browser.post(f"{MINE}/first-code", data={"code": "000000"})
    assert answer.status_code == 422
    assert secret in parsed(answer.text).xpath("string(//p[@class='secret'])").replace(" ", "")
    assert door.try_in(door.browser(), "Mia Maker").status_code == 303, "it is not asked for yet"


def test_the_qr_code_holds_the_secret_and_no_style(door: Door) -> None:
    page = door.signed_in("Mia Maker").post(MINE, data={"now": PASSWORD})
    drawing = parsed(page.text).xpath("//figure//*[local-name()='svg']")[0]
    assert not drawing.xpath(".//@style")
    assert page.headers["Cache-Control"] == "no-store"


def test_a_first_code_without_a_secret_changes_nothing(door: Door) -> None:
    browser = door.signed_in("Mia Maker")
    assert browser.post(f"{MINE}/first-code", data={"code": "123456"}).status_code == 303
    assert browser.post(f"{MINE}/spare-codes", data={"now": PASSWORD}).status_code == 303
    assert door.member("mia").second_factor is None


def test_a_second_factor_that_is_on_is_not_set_up_over(door: Door) -> None:
    browser = door.signed_in("Mia Maker")
    secret, _ = set_up(door, browser)
    assert browser.post(MINE, data={"now": PASSWORD}).status_code == 303
    kept = door.member("mia").second_factor
    assert kept is not None
    assert kept.secret == secret


def test_new_spare_codes_take_the_place_of_the_old(door: Door) -> None:
    browser = door.signed_in("Mia Maker")
    _, old = set_up(door, browser)
    assert browser.post(f"{MINE}/spare-codes", data={"now": "wrong"}).status_code == 422
    page = parsed(browser.post(f"{MINE}/spare-codes", data={"now": PASSWORD}).text)
    new = page.xpath("//ol[@class='spare-codes']//code/text()")
    assert not {*old} & {*new}
    other = door.browser()
    carried = after_password(door, other)
    assert give(other, carried, old[0]).status_code == 422
    assert give(other, carried, new[0]).status_code == 303


def test_a_member_takes_their_own_off_with_the_password(door: Door) -> None:
    browser = door.signed_in("Mia Maker")
    set_up(door, browser)
    assert browser.post(f"{HERE}/mia/second-factor/off", data={"now": "wrong"}).status_code == 422
    assert browser.post(f"{HERE}/mia/second-factor/off", data={"now": PASSWORD}).status_code == 303
    assert browser.get(HERE).status_code == 200
    assert door.try_in(door.browser(), "Mia Maker").status_code == 303
    assert actions(door).count("second-factor-off") == 1


def test_an_owner_takes_off_somebody_elses_and_others_may_not(door: Door) -> None:
    set_up(door, door.signed_in("Mia Maker"))
    reader, owner = door.signed_in("Rea Reader"), door.signed_in("Ola Owner")
    off = f"{HERE}/mia/second-factor/off"
    assert reader.post(off, data={"now": PASSWORD}).status_code == 403
    assert owner.post(off, data={"now": ""}).status_code == 422
    assert owner.post(off, data={"now": PASSWORD}).status_code == 303
    assert door.member("mia").second_factor is None
    assert owner.post(f"{HERE}/nobody/second-factor/off", data={"now": PASSWORD}).status_code == 404


def test_a_new_password_from_an_owner_leaves_the_second_factor_on(door: Door) -> None:
    set_up(door, door.signed_in("Mia Maker"))
    owner, new = door.signed_in("Ola Owner"), "another four plain words"
    version = str(door.member("mia").row_version)
    assert owner.post(f"{HERE}/mia/password", data={"seen": version, "password": new}).status_code == 303
    answer = door.try_in(door.browser(), "Mia Maker", new)
    assert answer.status_code == 200
    assert parsed(answer.text).xpath("//form[@action='/shop/sign-in/code']")


def test_every_field_for_a_password_is_masked_and_may_be_pasted_into(door: Door) -> None:
    owner = door.signed_in("Ola Owner")
    pages = [door.browser().get("/shop/sign-in"), owner.get(HERE), owner.get("/shop/data")]
    fields = [
        one for page in pages for one in parsed(page.text).xpath("//input[@name='password' or @name='now']")
    ]
    assert len(fields) >= 6
    assert {one.get("type") for one in fields} == {"password"}
    assert {one.get("autocomplete") for one in fields} <= {"current-password", "new-password"}
    assert not any(name.startswith("on") for one in fields for name in one.keys())  # noqa: SIM118 - of lxml
