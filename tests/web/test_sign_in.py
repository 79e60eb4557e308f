import re
import statistics
import time
from datetime import timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st
from zxcvbn import zxcvbn
from zxcvbn.frequency_lists import FREQUENCY_LISTS

from service.settings import Settings
from service.storage import token_hash
from service.web import passwords, sign_in
from service.web.passwords import GUESSED, LEAST, MOST, PasswordRefused, hashed, matches
from service.web.sign_in import safe_back
from service.web.throttle import FREE, NAME_WAIT, PLACE_WAIT, wait_after
from tests.makers import client, parsed
from tests.stores import contents
from tests.web.door_makers import PASSWORD, Door

HTTPS = Settings(origin="https://collars.example", allowed_hosts=("localhost", "collars.example"))


@pytest.fixture
def door() -> Door:
    return Door()


def count_hashing(monkeypatch: pytest.MonkeyPatch) -> list[str | None]:
    counted: list[str | None] = []

    def counting(password: str, kept: str | None) -> bool:
        counted.append(kept)
        return matches(password, kept)

    monkeypatch.setattr(sign_in, "matches", counting)
    return counted


def test_a_member_signs_in_goes_where_they_wanted_and_signs_out(door: Door) -> None:
    browser = door.browser()
    sent = browser.get("/shop/orders/7?x=1")
    assert (sent.status_code, sent.headers["Location"]) == (
        303,
        "/shop/sign-in?next=%2Fshop%2Forders%2F7%3Fx%3D1",
    )
    page = parsed(browser.get(sent.headers["Location"]).text)
    back = str(page.xpath("//input[@name='next']/@value")[0])
    answer = door.try_in(browser, "Mia Maker", to=back)
    assert (answer.status_code, answer.headers["Location"]) == (303, "/shop/orders/7?x=1")
    assert browser.get("/shop").status_code == 200
    assert browser.get("/shop/sign-in").headers["Location"] == "/shop"
    out = browser.post("/shop/sign-out")
    assert out.headers["Location"] == "/shop/sign-in?signed=out"
    assert "You are signed out" in browser.get(out.headers["Location"]).text
    assert browser.get("/shop").status_code == 303


def test_the_cookie_is_a_secret_of_256_bits_that_scripts_and_other_sites_do_not_get(door: Door) -> None:
    cookie = door.try_in(door.browser(), "Mia Maker").headers["Set-Cookie"]
    assert re.fullmatch(r"s=[A-Za-z0-9_-]{43}; HttpOnly; Max-Age=2592000; Path=/; SameSite=lax", cookie)
    behind = Door(HTTPS)
    over_tls = behind.try_in(behind.browser("https://collars.example"), "Mia Maker").headers["Set-Cookie"]
    assert re.fullmatch(
        r"__Host-s=[A-Za-z0-9_-]{43}; HttpOnly; Max-Age=2592000; Path=/; SameSite=lax; Secure", over_tls
    )


def test_only_a_hash_of_the_secret_is_kept_and_it_is_another_one_each_time(door: Door) -> None:
    browser = door.signed_in("Mia Maker")
    first = str(browser.cookies["s"])
    assert [one.token_hash for one in door.sessions("mia")] == [token_hash(first)]
    assert first not in str(contents(door.database))
    browser.post("/shop/sign-in", data={"name": "Mia Maker", "password": PASSWORD})
    second = str(browser.cookies["s"])
    assert second != first
    assert [one.token_hash for one in door.sessions("mia")] == [token_hash(second)]


def test_a_session_someone_else_chose_is_never_taken_up(door: Door) -> None:
    browser = door.browser()
    browser.cookies.set("s", "A" * 43)
    door.try_in(browser, "Mia Maker")
    assert [one.token_hash for one in door.sessions("mia")] != [token_hash("A" * 43)]


@pytest.mark.parametrize("name", ["mia maker", " Mia   Maker ", "MIA MAKER"])
def test_a_name_may_be_typed_as_it_comes(door: Door, name: str) -> None:
    assert door.try_in(door.browser(), name).status_code == 303


def test_a_wrong_name_and_a_wrong_password_are_told_in_the_same_words(door: Door) -> None:
    def said(name: str, password: str) -> tuple[int, str]:
        answer = door.try_in(door.browser(), name, password)
        return answer.status_code, answer.text.replace(name, "NAME")

    wrong = said("Mia Maker", "not the password at all")
    assert wrong[0] == 422
    assert wrong == said("Nobody Here", "not the password at all")
    assert "Error: Sign in" in wrong[1]
    assert "not the password at all" not in wrong[1]


def test_a_wrong_name_takes_as_long_as_a_wrong_password(monkeypatch: pytest.MonkeyPatch, door: Door) -> None:
    kept = count_hashing(monkeypatch)
    door.try_in(door.browser(), "Nobody Here", "not the password at all")
    door.try_in(door.browser(), "Mia Maker", "not the password at all")
    assert kept == [None, door.member("mia").password_hash]

    def seconds(of: str | None) -> float:
        start = time.process_time()
        assert not matches("not the password at all", of)
        return time.process_time() - start

    known = statistics.median(seconds(door.member("mia").password_hash) for _ in range(5))
    unknown = statistics.median(seconds(None) for _ in range(5))
    assert 0.5 < known / unknown < 2


@pytest.mark.parametrize(
    "sent", [{}, {"name": "Mia Maker"}, {"password": PASSWORD}, {"name": " ", "password": "x"}]
)
def test_nothing_typed_is_asked_for(door: Door, sent: dict[str, str]) -> None:
    answer = door.browser().post("/shop/sign-in", data={"next": "/shop/quote", **sent})
    assert answer.status_code == 422
    (form,) = parsed(answer.text).xpath("//form[.//input[@type='password']]")
    assert form.xpath(".//input[@name='name']/@value") == [sent.get("name", "")]
    assert form.xpath(".//input[@name='next']/@value") == ["/shop/quote"]


def test_who_has_left_cannot_sign_in(door: Door) -> None:
    owner = door.signed_in("Ola Owner")
    owner.post("/shop/members/mia/leave", data={"seen": "1"})
    assert door.try_in(door.browser(), "Mia Maker").status_code == 422


def test_a_hundred_guesses_in_a_minute_are_few_and_the_owner_still_gets_in(
    monkeypatch: pytest.MonkeyPatch, door: Door
) -> None:
    kept = count_hashing(monkeypatch)
    statuses = []
    for _ in range(100):
        answer = door.try_in(door.browser(), "Ola Owner", "guess after guess")
        statuses.append(answer.status_code)
        if answer.status_code == 429:
            assert int(answer.headers["Retry-After"]) >= 1
            assert "tried too often" in answer.text
        door.later(seconds=0.6)
    assert set(statuses) == {422, 429}
    assert FREE < len(kept) <= 10
    for _ in range(100):
        door.try_in(door.browser(), "Ola Owner", "guess after guess")
        door.later(seconds=3)
    # From another place the owner gets in after a short wait, while the place of the guesses has a long one.
    door.now += NAME_WAIT
    assert door.try_in(door.browser(), "Ola Owner").status_code == 429
    assert door.try_in(door.browser(place="192.0.2.7"), "Ola Owner").status_code == 303


def test_a_name_nobody_has_waits_as_one_that_somebody_has(door: Door) -> None:
    def statuses(name: str) -> list[int]:
        return [door.try_in(door.browser(), name, "guess after guess").status_code for _ in range(8)]

    known = statuses("Ola Owner")
    door.later(hours=2)
    assert statuses("Nobody Here") == known == [422] * (FREE + 1) + [429] * (7 - FREE)


def test_many_names_from_one_place_wait_too(door: Door) -> None:
    statuses = [
        door.try_in(door.browser(), f"Somebody {n}", "guess after guess").status_code for n in range(8)
    ]
    assert statuses == [422] * (FREE + 1) + [429] * (7 - FREE)


def test_waits_outlast_a_restart_and_end_by_themselves(door: Door) -> None:
    for _ in range(FREE + 1):
        door.try_in(door.browser(), "Mia Maker", "guess after guess")
    assert door.try_in(door.browser(), "Mia Maker").status_code == 429
    door.restart()
    assert door.try_in(door.browser(), "Mia Maker").status_code == 429
    door.later(seconds=3)
    assert door.try_in(door.browser(), "Mia Maker").status_code == 303
    assert door.try_in(door.browser(), "Mia Maker", "one wrong").status_code == 422, "it counts anew"


def test_waits_double_up_to_a_bound() -> None:
    waits = [wait_after(number, NAME_WAIT).total_seconds() for number in range(1, 10)]
    assert waits == [0, 0, 0, 2, 4, 8, 16, 30, 30]
    assert wait_after(10_000, PLACE_WAIT) == PLACE_WAIT == timedelta(minutes=15)


@pytest.mark.parametrize(
    "path",
    [
        "https://elsewhere.example/",
        "//elsewhere.example",
        "/\\elsewhere.example",
        "/shopping",
        "/",
        "",
        "/shop\n",
        "/shop/\\x",
        "/shop/sign-out",
        "/shop/sign-in?next=/shop",
        "javascript:alert(1)",
        "/shop é",
    ],
)
def test_nobody_is_sent_anywhere_but_into_the_shop(door: Door, path: str) -> None:
    assert safe_back(path) == "/shop"
    assert door.try_in(door.browser(), "Mia Maker", to=path).headers["Location"] == "/shop"


@given(st.text())
def test_any_address_to_go_on_to_is_one_of_the_shop(path: str) -> None:
    assert re.match(r"/shop(?=$|[/?])", safe_back(path))


@pytest.mark.parametrize(
    "path", ["/shop", "/shop/quote?neck=19+in&lettering=%C3%A9", "/shop/orders/3", "/shop?q=ada"]
)
def test_pages_of_the_shop_are_come_back_to(path: str) -> None:
    assert safe_back(path) == path


@pytest.mark.parametrize(
    ("password", "why"),
    [
        ("x" * (LEAST - 1), f"from {LEAST} to {MOST}"),
        ("ab cd ef gh " * 20, f"from {LEAST} to {MOST}"),
        ("ab" * 8, "easy to guess"),
        ("1234" * 4, "easy to guess"),
        ("password1234", "easy to guess"),
        ("iloveyou12345", "easy to guess"),
        ("qwertyuiop12", "easy to guess"),
        ("P@ssw0rdP@ssw0rd", "easy to guess"),
        ("Girthwright2026", "easy to guess"),
        ("ola owner and more", "easy to guess"),
    ],
)
def test_a_password_that_will_not_do_is_refused_with_what_would(password: str, why: str) -> None:
    with pytest.raises(PasswordRefused, match=why):
        hashed(password, "Ola Owner")


# From memory: what people are told to take, and what they take when told to take something longer.
@pytest.mark.parametrize(
    "password",
    ["four plain words here", "mill river anvil otter", "x7!kQ9#mZp2w", "Ünter den Linden-Häusern 9"],
)
def test_a_password_that_is_hard_to_guess_is_taken(password: str) -> None:
    assert matches(password, hashed(password, "Ola Owner"))


def test_the_3000_passwords_most_often_taken_are_all_refused() -> None:
    # OWASP ASVS 5, 6.2.4; the list, by frequency, is the one that zxcvbn ships (MIT licence).
    common = [one for one in FREQUENCY_LISTS["passwords"] if len(one) >= LEAST - 6][:3000]
    for one in common:
        long_enough = one if len(one) >= LEAST else one * -(-LEAST // len(one))
        with pytest.raises(PasswordRefused):
            hashed(long_enough, "Ola Owner")


@given(st.text(min_size=LEAST, max_size=MOST))
def test_any_password_is_judged_without_a_fault(password: str) -> None:
    assert 0 <= zxcvbn(password[:GUESSED], ["Ola Owner"])["score"] <= 4


def test_a_password_is_the_same_however_its_accents_are_typed() -> None:
    composed, apart = "caf\u00e9 near the mill", "cafe\u0301 near the mill"
    assert matches(apart, hashed(composed, "Ola"))
    assert not matches(composed.upper(), hashed(composed, "Ola"))


def test_hashes_are_argon2id_as_strong_as_is_advised_and_none_is_like_another() -> None:
    # OWASP Password Storage Cheat Sheet: Argon2id with m=47104 (46 MiB), t=1, p=1.
    first, second = hashed(PASSWORD, "Ola"), hashed(PASSWORD, "Ola")
    assert first.startswith("$argon2id$v=19$m=47104,t=1,p=1$")
    assert first != second
    assert passwords.NOBODY.startswith("$argon2id$v=19$m=47104,t=1,p=1$")


def test_a_fresh_shop_says_that_nobody_can_sign_in_yet(door: Door) -> None:
    assert "Nobody can sign in yet" not in door.browser().get("/shop/sign-in").text
    page = client().get("/shop/sign-in").text
    assert "Nobody can sign in yet" in page
    assert "member add NAME --role owner" in page


def test_looking_at_the_door_writes_nothing(door: Door) -> None:
    browser = door.signed_in("Mia Maker")
    before = contents(door.database)
    door.later(hours=1)
    for path in ("/shop/sign-in", "/shop/members", "/shop", "/healthz", "/shop/sign-in?signed=out"):
        for method in ("GET", "HEAD", "OPTIONS"):
            browser.request(method, path)
            door.browser().request(method, path)
    assert contents(door.database) == before
    browser.post("/shop/sign-out")
    assert contents(door.database) != before, "a write would be noticed"


def test_a_long_password_is_taken_whole() -> None:
    long = "several plain words and then " * 4
    assert 64 < len(long) <= MOST
    kept = hashed(long, "Ola Owner")
    assert matches(long, kept)
    assert not matches(long[:-1], kept)
    assert not matches(f"{long[:-1]}x", kept)


def test_signing_out_clears_pages_that_could_be_gone_back_to(door: Door) -> None:
    out = door.signed_in("Mia Maker").post("/shop/sign-out")
    assert out.headers["Clear-Site-Data"] == '"cache"'
