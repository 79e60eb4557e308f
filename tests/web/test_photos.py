"""Photos that come with an enquiry: shown to those who may see them, and not lost by a mistake elsewhere."""

from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from starlette.testclient import TestClient

from service.app import create_app
from service.settings import Settings
from service.storage import (
    WAITING_MAX,
    Photo,
    SentPhoto,
    StorageFull,
    all_about,
    forget_waiting,
    let_wait,
    photos_of,
    waiting_photos,
)
from service.web import enquiry
from service.web.counts import Pace
from tests.makers import SHOP, client, parsed
from tests.stores import contents
from tests.web.customers import ASK, WHO, hidden, said
from tests.web.photo_makers import opened, photo_file
from tests.web.shop_makers import Shop

BEACH = ("photos", ("beach.jpg", photo_file(), "image/jpeg"))
WORN = ("photos", ("C:\\dogs\\worn.png", photo_file("PNG", (100, 100)), "image/png"))
BROKEN = ("photos", ("page.jpg", b"<script>alert(1)</script>", "image/jpeg"))
NONE = ("photos", ("", b"", "application/octet-stream"))
"""What a browser sends for an input of files in which none is chosen (HTML, 4.10.21.7)."""


@dataclass
class Asking:
    """Somebody at the form."""

    shop: Shop = field(default_factory=Shop)

    def __post_init__(self) -> None:
        self.browser: TestClient = client(self.shop.app)
        self.browser.follow_redirects = False
        self.carried = hidden(self.browser.get(ASK).text)

    def send(self, *files: Any, **typed: str) -> Any:  # noqa: ANN401 - a response
        return self.browser.post(ASK, data={**self.carried, **WHO, **typed}, files=list(files) or [NONE])

    def kept(self) -> tuple[Photo, ...]:
        with self.shop.database.reading() as connection:
            return photos_of(connection, self.shop.kept(1).id)


@pytest.fixture
def asking() -> Asking:
    return Asking()


def ticks(text: str) -> dict[str, str]:
    """The photos that wait with a form, as it sends them again."""
    boxes = parsed(text).xpath(
        "//form//input[@type='checkbox' and starts-with(@name, 'photo-') and @checked]"
    )
    return {box.get("name"): box.get("value") for box in boxes}


def test_photos_come_with_the_enquiry_and_stand_on_the_pages_of_customer_and_shop(asking: Asking) -> None:
    answer = asking.send(BEACH, WORN)
    assert answer.status_code == 303, said(answer.text)
    assert [(one.purpose, one.width, one.height) for one in asking.kept()] == [
        ("enquiry", 800, 600),
        ("enquiry", 100, 100),
    ]
    page = parsed(asking.browser.get(answer.headers["location"]).text)
    small = page.xpath("//*[@class='gallery']//img/@src")
    assert len(small) == 2
    for src in (small[0], page.xpath("//*[@class='gallery']//a/@href")[0]):
        got = asking.browser.get(src)
        assert got.headers["content-type"] == "image/jpeg"
        assert got.headers["x-content-type-options"] == "nosniff"
        assert got.headers["cache-control"] == "no-store"
        assert "noindex" in got.headers["x-robots-tag"]
        assert 'filename="order-1-photo.jpg"' in got.headers["content-disposition"]
    assert opened(asking.browser.get(small[0]).content).size == (320, 240)


def test_a_form_without_photos_is_taken_as_before(asking: Asking) -> None:
    assert asking.send().status_code == 303
    assert asking.kept() == ()


def test_photos_outlive_a_mistake_elsewhere_in_the_form(asking: Asking) -> None:
    wrong = asking.send(BEACH, WORN, dog="")
    assert wrong.status_code == 422
    assert "beach.jpg" in said(wrong.text)
    assert "worn.png" in said(wrong.text)
    assert "C:\\dogs" not in wrong.text
    assert asking.send(**ticks(wrong.text)).status_code == 303
    assert [one.width for one in asking.kept()] == [800, 100]


def test_a_photo_that_is_not_ticked_any_more_is_left_out(asking: Asking) -> None:
    wrong = asking.send(BEACH, WORN, dog="")
    left = {name: yes for name, yes in ticks(wrong.text).items() if name != "photo-1"}
    assert asking.send(**left).status_code == 303
    assert [one.width for one in asking.kept()] == [100]


def test_a_bad_photo_is_named_beside_its_field_and_the_good_ones_wait(asking: Asking) -> None:
    wrong = asking.send(BEACH, BROKEN)
    page = parsed(wrong.text)
    assert wrong.status_code == 422
    assert (
        "page.jpg: It can't be read as a photo." in page.xpath("//*[@id='mistake-photos']")[0].text_content()
    )
    assert page.xpath("//*[@class='wrongs']//a[@href='#field-photos']")
    assert page.xpath("//*[@id='field-photos']/@aria-invalid") == ["true"]
    assert page.xpath("//*[@id='field-dog']/@value") == ["Biscuit"]
    assert ticks(wrong.text) == {"photo-1": "yes"}
    assert asking.send(**ticks(wrong.text)).status_code == 303
    assert len(asking.kept()) == 1


def test_the_sixth_photo_is_named_and_left_out(asking: Asking) -> None:
    wrong = asking.send(BEACH, BEACH, BEACH, BEACH, BEACH, WORN)
    assert wrong.status_code == 422
    assert "5 photos are the most. Left out: worn.png." in said(wrong.text)
    again = asking.send(WORN, **ticks(wrong.text))
    assert "5 photos are the most. Left out: worn.png." in said(again.text)
    assert asking.send(**ticks(again.text)).status_code == 303
    assert len(asking.kept()) == 5


def test_more_files_than_are_looked_at_are_refused_in_words(asking: Asking) -> None:
    answer = asking.send(*[WORN] * 101)
    assert answer.status_code == 422
    assert "At most 100 files" in answer.text


def test_photos_that_are_gone_are_asked_for_again_once(asking: Asking) -> None:
    answer = asking.send(**{"photo-1": "yes"})
    assert answer.status_code == 422
    assert "no longer here" in said(answer.text)
    assert asking.send(**ticks(answer.text)).status_code == 303


def test_the_same_form_sent_twice_keeps_its_photos_once(asking: Asking) -> None:
    wrong = asking.send(BEACH, dog="")
    first, second = (asking.send(**ticks(wrong.text)) for _ in range(2))
    assert (first.status_code, second.status_code) == (303, 303)
    assert len(asking.kept()) == 1


def test_a_body_larger_than_five_photos_is_refused(asking: Asking) -> None:
    files = [("photos", (f"{n}.jpg", bytes(10_000_001), "image/jpeg")) for n in range(5)]
    assert asking.send(*files).status_code == 422
    files = [("photos", (f"{n}.jpg", bytes(13_000_000), "image/jpeg")) for n in range(4)]
    assert asking.send(*files).status_code == 413


def test_a_photo_opens_for_its_own_order_only(asking: Asking) -> None:
    mine = asking.send(BEACH).headers["location"]
    other = Asking(asking.shop).send(dog="Other").headers["location"]
    [photo] = asking.kept()
    assert asking.browser.get(f"{mine}/photos/{photo.id}.jpg").status_code == 200
    assert asking.browser.get(f"{other}/photos/{photo.id}.jpg").status_code == 404
    assert asking.browser.get(f"/o/{'x' * 43}/photos/{photo.id}.jpg").status_code == 404
    assert asking.browser.get(f"{mine}/photos/%00.jpg").status_code == 404


def test_photos_are_part_of_everything_about_a_customer(asking: Asking) -> None:
    asking.send(BEACH)
    with asking.shop.database.reading() as connection:
        about = all_about(connection, asking.shop.kept(1).customer_id)
    [row] = about["photos"]
    assert row["purpose"] == "enquiry"
    assert row["content"].startswith("/9j/")  # the Base64 of FF D8 FF, with which a JPEG begins


def photos_waiting(asking: Asking) -> list[str]:
    return [row[2] for row in contents(asking.shop.database)["waiting_photo"]]


def test_another_process_and_one_that_was_started_anew_find_what_waits(asking: Asking) -> None:
    wrong = asking.send(BEACH, WORN, dog="")
    other = create_app(Settings(), asking.shop.database, SHOP)
    asking.browser = client(other)
    asking.browser.follow_redirects = False
    again = asking.send(**ticks(wrong.text), name="")
    assert ("beach.jpg" in said(again.text), "worn.png" in said(again.text)) == (True, True)
    asking.browser = client(asking.shop.app)
    asking.browser.follow_redirects = False
    assert asking.send(**ticks(again.text)).status_code == 303
    assert [one.width for one in asking.kept()] == [800, 100]


def test_the_store_holds_no_key_of_a_form_whose_photos_wait(asking: Asking) -> None:
    asking.send(BEACH, dog="")
    assert photos_waiting(asking) == ["beach.jpg"]
    assert asking.carried["key"] not in repr(contents(asking.shop.database))


def test_photos_that_can_not_be_kept_are_asked_for_again(
    asking: Asking, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_: object) -> None:
        raise StorageFull("no room")

    monkeypatch.setattr(enquiry, "let_wait", full)
    wrong = asking.send(BEACH, dog="")
    assert wrong.status_code == 422
    assert "choose them again" in parsed(wrong.text).xpath("string(//*[@id='mistake-photos'])")
    assert ticks(wrong.text) == {}
    monkeypatch.undo()
    assert asking.send(BEACH).status_code == 303


def test_more_photos_than_one_place_may_send_in_an_hour_are_left_out_and_the_form_is_not(
    asking: Asking, monkeypatch: pytest.MonkeyPatch
) -> None:
    size = len(BEACH[1][1])
    few = Pace("few", 2 * size, 3600)
    monkeypatch.setattr(enquiry, "PHOTOS", few)
    asking.browser = TestClient(
        asking.shop.app, "http://localhost:8000", client=("198.51.100.1", 1), follow_redirects=False
    )
    asking.browser.headers["Sec-Fetch-Site"] = "same-origin"
    assert asking.send(BEACH, BEACH, dog="").status_code == 422
    held = asking.send(BEACH)
    assert held.status_code == 422
    mistake = parsed(held.text).xpath("string(//*[@id='mistake-photos'])")
    assert "too much came from where you are. Wait 30 minutes" in mistake
    assert parsed(held.text).xpath("//*[@id='field-dog']/@value") == ["Biscuit"]
    assert asking.send(**ticks(asking.send(dog="", **{"photo-1": "yes"}).text)).status_code == 303
    assert len(asking.kept()) == 1


@pytest.mark.parametrize("said_to_be", ["50000000", ""], ids=["a length", "no length"])
def test_a_place_that_sends_more_than_anybody_would_is_refused_at_the_door(
    asking: Asking, monkeypatch: pytest.MonkeyPatch, said_to_be: str
) -> None:
    monkeypatch.setattr(enquiry, "BODIES", Pace("few", 60_000_000, 3600))
    browser = TestClient(asking.shop.app, "http://localhost:8000", client=("198.51.100.1", 1))
    headers = {"Sec-Fetch-Site": "same-origin", "Content-Type": "application/x-www-form-urlencoded"}
    if said_to_be:
        headers["Content-Length"] = said_to_be
    answers = [browser.post(ASK, content=iter([b"name="]), headers=headers) for _ in range(2)]
    assert [answer.status_code for answer in answers] == [422, 429]
    assert "Wait" in answers[1].json()["detail"]


ONE = SentPhoto("beach.jpg", 8, 6, photo_file(size=(8, 6)))
NOON = datetime(2026, 11, 25, 12, tzinfo=UTC)


def test_what_waits_goes_after_its_time_and_before_it_is_too_much(asking: Asking) -> None:
    database = asking.shop.database
    for number in range(WAITING_MAX + 1):
        with database.writing() as connection:
            let_wait(connection, f"key {number}", (ONE,), NOON + timedelta(seconds=number))
    with database.reading() as connection:
        assert waiting_photos(connection, "key 0", NOON) == ()
        assert waiting_photos(connection, "key 1", NOON) == (ONE,)
        assert waiting_photos(connection, "key 1", NOON + timedelta(hours=3)) == ()
    assert len(photos_waiting(asking)) == WAITING_MAX
    forget_waiting(database, NOON + timedelta(hours=2, seconds=30))
    assert len(photos_waiting(asking)) == WAITING_MAX - 30
    with database.writing() as connection:
        let_wait(connection, "another", (ONE, ONE), NOON + timedelta(hours=3))
    assert len(photos_waiting(asking)) == 2
