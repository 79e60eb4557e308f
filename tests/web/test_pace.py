import re
import threading
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from starlette.testclient import TestClient

from service.settings import ROOT, Settings
from service.web import enquiry, followed, pace, proof_page
from service.web.counts import PLACES_MAX, Counts, Pace
from service.web.pace import BODIES, DRAWINGS, DRAWN, ENQUIRIES, GUESSES, PAGES, PHOTOS, pace_of
from tests.makers import LINK, parsed
from tests.stores import contents
from tests.web.customers import WHO, Customer, hidden, said
from tests.web.door_makers import Door

ASK = f"/ask?{LINK}"
FEW = Pace("few", 3, 60)


@pytest.fixture
def door() -> Door:
    return Door()


def slow(monkeypatch: pytest.MonkeyPatch, name: str, *modules: Any) -> None:  # noqa: ANN401 - modules
    """Let a pace be three a minute."""
    for module in (pace, *modules):
        monkeypatch.setattr(module, name, FEW)


def statuses(browser: TestClient, path: str, times: int) -> list[int]:
    return [browser.get(path).status_code for _ in range(times)]


def test_the_paces_are_those_that_were_decided() -> None:
    wanted = {
        DRAWINGS: (100, 20),
        PAGES: (60, 60),
        GUESSES: (10, 60),
        ENQUIRIES: (20, 3600),
        PHOTOS: (250_000_000, 3600),
        BODIES: (1_000_000_000, 3600),
    }
    assert {one: (one.amount, one.seconds) for one in wanted} == wanted


@pytest.mark.parametrize("path", sorted(DRAWN))
def test_drawings_are_held_up_by_place_and_others_go_on(door: Door, path: str) -> None:
    asked = f"{path}?{LINK}&nothing=of+that+name"  # it is refused, which takes less time than a drawing
    browser = door.browser()
    door.app.state.house = replace(door.house, counts=Counts(lambda: 0.0))
    answered = statuses(browser, asked, DRAWINGS.amount + 5)
    assert 429 not in answered[: DRAWINGS.amount]
    assert answered[DRAWINGS.amount :] == [429] * 5
    held = browser.get(asked)
    assert 1 <= int(held.headers["Retry-After"]) <= DRAWINGS.seconds
    assert door.browser(place="192.0.2.7").get(asked).status_code != 429


def test_nobody_types_so_fast_that_they_are_held_up() -> None:
    # A page that is typed in asks after each pause, and then for one thing.
    template = (ROOT / "templates" / "configurator" / "_wish.html").read_text(encoding="utf-8")
    (pause,) = re.findall(r"input delay:([0-9]+)ms", template)
    assert DRAWINGS.amount / DRAWINGS.seconds >= 1000 / int(pause)


def test_whoever_is_held_up_is_told_how_long(door: Door, monkeypatch: pytest.MonkeyPatch) -> None:
    slow(monkeypatch, "DRAWINGS")
    browser = door.browser()
    statuses(browser, f"/?{LINK}", 3)
    page = browser.get(f"/?{LINK}", headers={"Accept": "text/html"})
    assert "One moment" in parsed(page.text).xpath("string(//h1)")
    assert "Wait" in page.text
    problem = browser.get(f"/design.json?{LINK}")
    assert (problem.status_code, problem.json()["title"]) == (429, "Too Many Requests")


def test_an_ipv6_customer_is_one_place_whatever_their_last_bits(
    door: Door, monkeypatch: pytest.MonkeyPatch
) -> None:
    slow(monkeypatch, "DRAWINGS")
    for last in ("1", "2", "3"):
        assert door.browser(place=f"2001:db8:1:2::{last}").get("/").status_code == 200
    assert door.browser(place="2001:db8:1:2::4").get("/").status_code == 429
    assert door.browser(place="2001:db8:1:3::4").get("/").status_code == 200


def test_pages_behind_a_link_and_the_form_that_asks_share_a_pace(
    door: Door, monkeypatch: pytest.MonkeyPatch
) -> None:
    slow(monkeypatch, "PAGES")
    browser = door.browser()
    assert [browser.get(path).status_code for path in (ASK, "/o/none", "/p/none", ASK)] == [
        200,
        404,
        404,
        429,
    ]
    assert browser.get("/static/css/page.css").status_code == 200
    assert browser.get("/healthz").status_code == 200
    assert pace_of("/o/token/photos/3") is DRAWINGS


def test_links_that_there_are_not_can_be_tried_a_few_times_only(door: Door) -> None:
    browser = door.browser()
    answered = [browser.get(f"/p/{number}").status_code for number in range(GUESSES.amount + 2)]
    assert answered == [404] * GUESSES.amount + [429] * 2


def test_a_link_that_there_is_opens_although_others_were_tried_from_there(door: Door) -> None:
    browser = door.browser()
    page = browser.post(ASK, data={**hidden(browser.get(ASK).text), **WHO}).headers["Location"]
    assert [browser.get(f"/o/{number}").status_code for number in range(12)][-1] == 429
    assert browser.get(page).status_code == 200


def test_an_enquiry_too_many_is_not_taken_and_everything_typed_stays(
    door: Door, monkeypatch: pytest.MonkeyPatch
) -> None:
    slow(monkeypatch, "ENQUIRIES", enquiry)
    browser = door.browser()
    for _ in range(3):
        assert browser.post(ASK, data={**hidden(browser.get(ASK).text), **WHO}).status_code == 303
    form = hidden(browser.get(ASK).text)
    before = contents(door.database)
    answer = browser.post(ASK, data={**form, **WHO, "notes": "Mind the <left> ear."})
    assert answer.status_code == 429
    assert int(answer.headers["Retry-After"]) >= 1
    assert "What you typed is kept" in said(answer.text)
    assert hidden(answer.text) == form
    page = parsed(answer.text)
    assert page.xpath("//input[@name='name']/@value") == [WHO["name"]]
    assert page.xpath("//textarea[@name='notes']/text()")[0].strip() == "Mind the <left> ear."
    assert contents(door.database) == before


def test_a_form_sent_too_often_with_mistakes_keeps_what_was_typed(
    door: Door, monkeypatch: pytest.MonkeyPatch
) -> None:
    slow(monkeypatch, "PAGES", enquiry)
    browser = door.browser()
    form = hidden(browser.get(ASK).text)
    answers = [browser.post(ASK, data={**form, "name": "Ada Example"}) for _ in range(3)]
    assert [answer.status_code for answer in answers] == [422, 422, 429]
    assert parsed(answers[-1].text).xpath("//input[@name='name']/@value") == ["Ada Example"]


def test_an_answer_too_many_is_not_recorded_and_the_name_typed_stays(monkeypatch: pytest.MonkeyPatch) -> None:
    customer = Customer()
    customer.proof()
    form = customer.form()
    customer.browser = TestClient(
        customer.shop.app, "http://localhost:8000", client=("198.51.100.1", 1), follow_redirects=False
    )
    customer.browser.headers["Sec-Fetch-Site"] = "same-origin"
    slow(monkeypatch, "PAGES", proof_page, followed)
    for _ in range(3):
        assert customer.answer(form, "approve", name="").status_code == 422
    before = customer.contents()
    answer = customer.answer(form, "approve", name="Ada Example")
    assert answer.status_code == 429
    assert int(answer.headers["Retry-After"]) >= 1
    assert parsed(answer.text).xpath("//input[@name='name']/@value") == ["Ada Example"]
    assert customer.contents() == before
    assert customer.browser.post(f"{customer.proof_page}/seen").status_code == 429


def test_it_can_be_left_to_a_proxy(monkeypatch: pytest.MonkeyPatch) -> None:
    slow(monkeypatch, "DRAWINGS")
    assert statuses(Door(Settings(limits=False)).browser(), "/", 6) == [200] * 6


def test_a_place_that_can_not_be_told_is_not_held_up_for_others(
    door: Door, monkeypatch: pytest.MonkeyPatch
) -> None:
    slow(monkeypatch, "DRAWINGS")
    assert statuses(door.browser(place="a-socket"), "/", 6) == [200] * 6


def test_counts_at_the_same_moment_let_no_more_through(door: Door, monkeypatch: pytest.MonkeyPatch) -> None:
    slow(monkeypatch, "DRAWINGS")
    answered: list[int] = []
    go = threading.Barrier(8)

    def ask(browser: TestClient, wait: Callable[[], int]) -> None:
        wait()
        answered.append(browser.get("/preview.svg?neck=19+in").status_code)

    threads = [threading.Thread(target=ask, args=(door.browser(), go.wait)) for _ in range(8)]
    for one in threads:
        one.start()
    for one in threads:
        one.join()
    assert sorted(answered) == [200] * 3 + [429] * 5


def test_what_is_used_up_comes_back_one_by_one() -> None:
    now = [0.0]
    counts, pace = Counts(lambda: now[0]), Pace("few", 3, 60)
    assert [counts.wait(pace, "a") for _ in range(5)] == [0, 0, 0, 20, 20]
    now[0] = 19.9
    assert 0 < counts.wait(pace, "a") < 0.2
    assert counts.wait(pace, "b") == 0
    now[0] = 20
    assert [counts.wait(pace, "a") for _ in range(2)] == [0, 20]
    now[0] = 1000
    assert [counts.wait(pace, "a") for _ in range(4)] == [0, 0, 0, 20]


@given(st.lists(st.floats(0, 30), min_size=1, max_size=200))
def test_over_any_time_no_place_gets_more_than_its_pace(pauses: list[float]) -> None:
    now, taken = [0.0], list[float]()
    counts, pace = Counts(lambda: now[0]), Pace("few", 5, 50)
    for pause in pauses:
        now[0] += pause
        if not counts.wait(pace, "a"):
            taken.append(now[0])
    for first, start in enumerate(taken):
        for last, end in enumerate(taken[first:], start=1):
            assert last <= pace.amount + (end - start) * pace.amount / pace.seconds + 0.01


def test_places_that_hold_nobody_up_any_more_are_forgotten() -> None:
    now = [0.0]
    counts, pace = Counts(lambda: now[0]), Pace("few", 3, 60)
    for place in range(PLACES_MAX):
        counts.wait(pace, str(place))
    now[0] = 100
    counts.wait(pace, "another")
    assert len(counts._empty_at) == 1  # noqa: SLF001 - memory is nobody else's affair
