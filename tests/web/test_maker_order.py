"""The maker's page of an order: what it shows, what may be done and by whom, and what happens in a race."""

import re
from dataclasses import replace
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from service.orders import MOVES, STAGES
from service.storage import Act, Link, Order, link_by_token, links_of, measurements_of, move_link_end
from service.web import maker_design, maker_order
from service.web.house import House
from service.web.kept import measured_as
from service.web.order_page import BY_HAND, moves_of
from service.web.proofs import MadeProof, make_proof
from service.web.query import Asked
from service.web.quoted import tried
from service.web.typed import typed_design
from service.workshop import Workshop
from tests.makers import parsed
from tests.web.shop_makers import Shop, words

WRITES = ("stage", "details", "proofs", "links", "measures", "design")


@pytest.fixture
def shop() -> Shop:
    made = Shop()
    made.order()
    return made


def test_the_page_shows_everything_that_is_kept_of_an_order(shop: Shop) -> None:
    said = words(shop.maker.get("/shop/orders/1"))
    for part in ("Ada Example", "(201) 555-0123", "Rex", "For walks.", "19 in (483 mm)", "Chestnut bridle"):
        assert part in said
    for part in ("Centre-bar buckle 1 in", "Labour", "Margin", "Hole 1", "The enquiry came in"):
        assert part in said


def test_an_order_nobody_has_is_not_there(shop: Shop) -> None:
    for number in ("2", "0", "01", "9" * 5000, "one", "１"):
        assert shop.maker.get(f"/shop/orders/{number}").status_code == 404


def test_a_reader_sees_the_order_and_can_change_nothing(shop: Shop) -> None:
    page = parsed(shop.browsers["read-only"].get("/shop/orders/1").text)
    assert page.xpath("//main//form") != []  # dates and notes, to be read
    assert page.xpath('//main//button[@type="submit"]') == []
    before = shop.kept(1)
    for place in WRITES:
        assert shop.post(f"/shop/orders/1/{place}", "read-only", to="cancelled").status_code == 403
    assert shop.kept(1) == before


def test_the_owner_may_do_what_a_maker_may(shop: Shop) -> None:
    answer = shop.post("/shop/orders/1/stage", "owner", to="quoted", **shop.guard(1))
    assert answer.status_code == 303
    assert shop.kept(1).stage == "quoted"


@pytest.mark.parametrize("stage", STAGES)
def test_only_moves_of_the_table_have_buttons(stage: str) -> None:
    offered = {move.to for move in moves_of(stage)}  # type: ignore[arg-type]
    assert offered == {to for to in MOVES[stage] if to in BY_HAND and to != stage}  # type: ignore[index]


def test_a_quote_settles_the_price(shop: Shop) -> None:
    assert shop.kept(1).quote_minor is None
    assert shop.move(1, "quoted").headers["location"] == "/shop/orders/1"
    kept = shop.kept(1)
    shown = parsed(shop.maker.get("/shop/orders/1").text).xpath('string(//b[@class="order-price"])')
    assert (kept.stage, f"${(kept.quote_minor or 0) / 100:.2f}") == ("quoted", shown)


@pytest.mark.parametrize("to", ["making", "handed-over", "ready"])
def test_a_move_that_there_is_not_is_refused_with_those_there_are(shop: Shop, to: str) -> None:
    answer = shop.move(1, to)
    assert answer.status_code == 409
    assert "From here it can go to: quoted, proof sent, cancelled." in words(answer)
    assert shop.kept(1).stage == "enquiry"


@pytest.mark.parametrize("to", ["approved", "changes-asked", "proof-sent", "polished", ""])
def test_nobody_answers_for_the_customer(shop: Shop, to: str) -> None:
    shop.proof(1)
    answer = shop.post("/shop/orders/1/stage", to=to, **{**shop.guard(1), "seen": "0"})
    assert answer.status_code in {303, 409}
    answer = shop.move(1, to)
    assert answer.status_code == (303 if to == "proof-sent" else 409)
    assert shop.kept(1).stage == "proof-sent"


def test_a_button_pressed_twice_moves_once(shop: Shop) -> None:
    guard = shop.guard(1)
    for _ in range(2):
        assert shop.post("/shop/orders/1/stage", to="quoted", **guard).status_code == 303
    assert shop.actions(shop.kept(1)).count("quoted") == 1


def test_a_stale_button_tells_what_happened_meanwhile(shop: Shop) -> None:
    old = shop.guard(1)
    shop.post("/shop/orders/1/details", bench_notes="Edges dark.", **shop.guard(1))
    answer = shop.post("/shop/orders/1/stage", to="quoted", **old)
    assert answer.status_code == 409
    assert "Dates or notes were changed" in words(answer)
    assert "Mia Maker" in words(answer)
    assert shop.kept(1).stage == "enquiry"


def test_stale_notes_are_answered_with_both_and_nothing_typed_is_lost(shop: Shop) -> None:
    old = shop.guard(1)
    shop.post("/shop/orders/1/details", bench_notes="Theirs.", notes="For walks.", **shop.guard(1))
    answer = shop.post("/shop/orders/1/details", bench_notes="Mine.", notes="For walks.", **old)
    assert answer.status_code == 409
    page = parsed(answer.text)
    assert page.xpath('string(//textarea[@name="bench_notes"])') == "Mine."
    row = page.xpath('//table[@class="against"]/tbody/tr')[0].text_content()
    assert "Theirs." in row
    assert "Mine." in row
    assert shop.kept(1).bench_notes == "Theirs."
    seen = page.xpath('(//input[@name="seen"])[1]/@value')[0]
    again = shop.post("/shop/orders/1/details", bench_notes="Mine.", notes="For walks.", seen=seen, entry="0")
    assert again.status_code == 303
    assert shop.kept(1).bench_notes == "Mine."


def test_dates_and_notes_are_kept(shop: Shop) -> None:
    fields = {"promised_on": "2026-12-24", "due_on": "", "notes": "Line one\nLine two", "bench_notes": ""}
    assert shop.post("/shop/orders/1/details", **fields, **shop.guard(1)).status_code == 303
    kept = shop.kept(1)
    assert (kept.promised_on, kept.due_on, kept.notes) == (date(2026, 12, 24), None, "Line one\nLine two")


@pytest.mark.parametrize(
    ("field", "typed"),
    [("promised_on", "tomorrow"), ("due_on", "3026-01-01"), ("notes", "\x00"), ("bench_notes", "x" * 2001)],
)
def test_what_cannot_be_kept_is_said_beside_its_field_and_stays_typed(
    shop: Shop, field: str, typed: str
) -> None:
    answer = shop.post("/shop/orders/1/details", **{field: typed}, **shop.guard(1))
    assert answer.status_code == 422
    page = parsed(answer.text.replace("\x00", ""))
    assert page.xpath(f'string(//*[@id="detail-{field}-note"])') != ""
    assert page.xpath(f'//*[@name="{field}"]/@aria-invalid') == ["true"]


def test_a_proof_is_made_sent_and_answered(shop: Shop) -> None:
    assert shop.proof(1).headers["location"] == "/shop/orders/1#links"
    kept = shop.kept(1)
    assert (kept.stage, kept.version) == ("proof-sent", 1)
    assert "No answer yet" in words(shop.maker.get("/shop/orders/1"))
    printed = shop.maker.get("/shop/orders/1/proofs/1.pdf")
    assert printed.content.startswith(b"%PDF")
    shop.answer(1, "ask-changes", "Wider, please.")
    said = words(shop.maker.get("/shop/orders/1"))
    assert "Changes asked for" in said
    assert "Wider, please." in said
    shop.proof(1)
    shop.answer(1)
    said = words(shop.maker.get("/shop/orders/1"))
    assert "Approved by Ada Example" in said
    assert "The proof was approved, version 2" in said
    for to in ("making", "ready", "making", "ready", "handed-over"):
        assert shop.move(1, to).status_code == 303
    assert shop.kept(1).stage == "handed-over"


def test_a_proof_asked_for_twice_is_made_once(shop: Shop) -> None:
    guard = shop.guard(1)
    for _ in range(2):
        assert shop.post("/shop/orders/1/proofs", version="1", **guard).status_code == 303
    assert shop.kept(1).version == 1


def test_no_proof_of_an_order_that_has_ended(shop: Shop) -> None:
    shop.move(1, "cancelled")
    answer = shop.proof(1)
    assert answer.status_code == 409
    assert "That is where an order ends" in words(answer)


def test_a_proof_nobody_made_is_not_there(shop: Shop) -> None:
    assert shop.maker.get("/shop/orders/1/proofs/1.pdf").status_code == 404
    assert shop.maker.get(f"/shop/orders/1/proofs/{'9' * 5000}.pdf").status_code == 404


def design(shop: Shop, **typed: str) -> dict[str, str]:
    """The form of the kept design with something changed."""
    return {**typed_design(shop.kept(1).design), **typed, "seen": str(shop.kept(1).row_version)}


def test_the_form_of_the_design_shows_what_a_change_makes_different(shop: Shop) -> None:
    answer = shop.maker.get("/shop/orders/1/design", params={"neck": "20 in", "leather": "black"})
    rows = parsed(answer.text).xpath('//section[@id="keep"]//tbody/tr/th/text()')
    assert rows == ["Neck", "Leather", "Strap", "Price"]
    assert measured_as(shop.kept(1).design, "neck") == pytest.approx(482.6)


def test_a_changed_design_is_kept_with_its_price_and_measure(shop: Shop) -> None:
    shop.move(1, "quoted")
    before = shop.kept(1)
    answer = shop.post("/shop/orders/1/design", **design(shop, neck="20 in", lettering="REX"))
    assert answer.status_code == 303
    kept = shop.kept(1)
    assert (measured_as(kept.design, "neck"), kept.design.lettering, kept.stage) == (508.0, "REX", "quoted")
    assert (kept.quote_minor or 0) > (before.quote_minor or 0)
    with shop.database.reading() as connection:
        newest = measurements_of(connection, kept.dog_id or "")[0]
    assert (newest.typed, newest.value, newest.made_by) == ("20 in", 508.0, "maker")


def test_a_design_that_cannot_be_made_says_what_would_work_on_the_same_page(shop: Shop) -> None:
    answer = shop.post("/shop/orders/1/design", **design(shop, width="7 in"))
    assert answer.status_code == 422
    page = parsed(answer.text)
    assert page.xpath('//div[@id="note-width"]//a/@href')[0].startswith("/shop/orders/1/design?")
    assert shop.kept(1).design.width == 25.4


def test_a_stale_design_is_answered_with_the_typed_one_still_there(shop: Shop) -> None:
    old = design(shop, neck="20 in")
    shop.post("/shop/orders/1/design", **design(shop, neck="21 in"))
    answer = shop.post("/shop/orders/1/design", **old)
    assert answer.status_code == 409
    page = parsed(answer.text)
    assert page.xpath('//input[@id="field-neck"]/@value') == ["20 in"]
    assert "21 in (533 mm)" in page.xpath('string(//section[@id="keep"]//tbody)')
    assert measured_as(shop.kept(1).design, "neck") == pytest.approx(533.4)


def test_an_approved_design_is_frozen_and_says_what_to_do(shop: Shop) -> None:
    shop.proof(1)
    shop.answer(1)
    answer = shop.post("/shop/orders/1/design", **design(shop, neck="20 in"))
    assert answer.status_code == 409
    assert "A change goes to them as a new proof" in words(answer)
    assert measured_as(shop.kept(1).design, "neck") == pytest.approx(482.6)
    assert "Send it as proof 2" in words(answer)
    answer = shop.post("/shop/orders/1/design", **{"as": "proof"}, **design(shop, neck="20 in"))
    assert answer.status_code == 303
    kept = shop.kept(1)
    assert (kept.stage, kept.version, measured_as(kept.design, "neck")) == ("proof-sent", 2, 508.0)


def test_the_design_of_an_order_that_has_ended_stays(shop: Shop) -> None:
    shop.move(1, "cancelled")
    for how in ({}, {"as": "proof"}):
        answer = shop.post("/shop/orders/1/design", **how, **design(shop, neck="20 in"))
        assert answer.status_code == 409
        assert "Start a new order" in words(answer)


def test_what_was_measured_before_stays_beside_what_is_measured_now(shop: Shop) -> None:
    for neck in ("19 1/2 in", "19 1/2 in", "50 cm"):
        answer = shop.post("/shop/orders/1/measures", neck=neck, measured="tape-snug", **shop.guard(1))
        assert answer.status_code == 303
    with shop.database.reading() as connection:
        kept = measurements_of(connection, shop.kept(1).dog_id or "")
    assert [row.typed for row in kept] == ["50 cm", "19 1/2 in"]
    assert measured_as(shop.kept(1).design, "neck") == pytest.approx(482.6)
    assert "typed “50 cm”, tape, snug, for two fingers" in words(shop.maker.get("/shop/orders/1"))


def test_fingers_and_coat_are_kept_with_the_neck_and_a_changed_answer_is_a_measure(shop: Shop) -> None:
    given = {"neck": "50 cm", "measured": "tape-snug", "fingers": "3"}
    for coat in ("thick-over", "thick-over", "thick-under"):
        answer = shop.post("/shop/orders/1/measures", **given, coat=coat, **shop.guard(1))
        assert answer.status_code == 303
    with shop.database.reading() as connection:
        kept = measurements_of(connection, shop.kept(1).dog_id or "")
    assert [(row.fingers, row.coat) for row in kept] == [(3, "thick-under"), (3, "thick-over")]
    said = words(shop.maker.get("/shop/orders/1"))
    assert "tape, snug, under a thick coat, for three fingers" in said
    customer = parsed(shop.maker.get(f"/shop/customers/{shop.kept(1).customer_id}").text)
    href = customer.xpath('//a[contains(text(), "New quote for")]/@href')[0]
    quote = parsed(shop.maker.get(href).text)
    assert quote.xpath("//input[@name='fingers'][@checked]/@value") == ["3"]
    assert quote.xpath("//input[@name='coat'][@checked]/@value") == ["thick-under"]
    assert quote.xpath("//input[@name='measured'][@checked]/@value") == ["tape-snug"]
    soft = {**given, "neck": "soft", "coat": "thick-over", **shop.guard(1)}
    page = parsed(shop.post("/shop/orders/1/measures", **soft).text)
    assert page.xpath("//*[@id='measure-fingers']/option[@selected]/@value") == ["3"]
    assert page.xpath("//*[@id='measure-coat']/option[@selected]/@value") == ["thick-over"]


@pytest.mark.parametrize("neck", ["", "soft", "3 in", "12,345"])
def test_a_measure_that_cannot_be_read_is_not_kept(shop: Shop, neck: str) -> None:
    answer = shop.post("/shop/orders/1/measures", neck=neck, measured="tape-snug", **shop.guard(1))
    page = parsed(answer.text)
    assert answer.status_code == 422
    assert page.xpath("//*[@id='measure-neck']/@value") == [neck]
    assert page.xpath("//*[@id='measure-neck']/@aria-invalid") == ["true"]
    assert page.xpath("//*[@class='wrong' and @id='measure-neck-note']")[0].text_content().strip()
    assert page.xpath("//*[@id='measure-how']/option[@selected]/@value") == ["tape-snug"]
    with shop.database.reading() as connection:
        assert measurements_of(connection, shop.kept(1).dog_id or "") == ()


def test_a_dog_is_weighed_again_too_and_a_bad_weight_stands_beside_its_field(shop: Shop) -> None:
    given = {"neck": "19 in", "measured": "existing-collar", **shop.guard(1)}
    answer = shop.post("/shop/orders/1/measures", weight="heavy", **given)
    assert answer.status_code == 422
    assert parsed(answer.text).xpath("//*[@id='measure-weight']/@aria-invalid") == ["true"]
    assert not parsed(answer.text).xpath("//*[@id='measure-neck']/@aria-invalid")
    assert shop.post("/shop/orders/1/measures", weight="45 lb", **given).status_code == 303
    with shop.database.reading() as connection:
        kept = measurements_of(connection, shop.kept(1).dog_id or "")
    assert {(row.what, row.typed) for row in kept} == {("neck", "19 in"), ("weight", "45 lb")}


def test_an_order_that_has_ended_is_made_again_from_its_head(shop: Shop) -> None:
    assert not parsed(shop.maker.get("/shop/orders/1").text).xpath("//a[text()='Make it again']")
    shop.move(1, "cancelled")
    [again] = parsed(shop.maker.get("/shop/orders/1").text).xpath("//a[text()='Make it again']/@href")
    page = parsed(shop.maker.get(again).text)
    assert set(page.xpath("//input[@name='neck']/@value")) == {"19 in"}


@pytest.mark.parametrize("paper", ["letter", "a4", "roll"])
def test_the_pattern_is_printed_from_the_kept_design(shop: Shop, paper: str) -> None:
    answer = shop.maker.get("/shop/orders/1/pattern.pdf", params={"paper": paper})
    assert answer.content.startswith(b"%PDF")
    assert "order-1-collar-19-in-1-in-chestnut.pdf" in answer.headers["content-disposition"]
    drawn = shop.maker.get("/shop/orders/1/pattern.svg")
    assert "Order 1" in drawn.text
    assert drawn.headers["content-type"].startswith("image/svg+xml")
    cut = shop.maker.get("/shop/orders/1/pattern.dxf")
    assert cut.headers["content-type"].startswith("image/vnd.dxf")
    assert "order-1-collar-19-in-1-in-chestnut.dxf" in cut.headers["content-disposition"]


def link(shop: Shop, **fields: str) -> str:
    """A link made on the page of order 1: the address of its own page."""
    answer = shop.post("/shop/orders/1/links", **{"label": "Ada's phone", "purpose": "order", **fields})
    assert answer.status_code == 303
    return str(answer.headers["location"])


def kept_link(shop: Shop) -> Link:
    """The newest link to order 1 as it is kept."""
    with shop.database.reading() as connection:
        return links_of(connection, shop.kept(1).id)[0]


def test_a_link_is_shown_once_as_text_and_code_and_only_its_hash_is_kept(shop: Shop) -> None:
    answer = shop.post("/shop/orders/1/links", label="Ada's phone", purpose="order")
    cookie = answer.headers["set-cookie"]
    path = answer.headers["location"]
    assert {"HttpOnly", f"Path={path}", "SameSite=strict"} <= {part.strip() for part in cookie.split(";")}
    page = parsed(shop.maker.get(path).text)
    address = page.xpath('//input[@id="share-link"]/@value')[0]
    token = re.fullmatch(r"http://localhost:8000/o/([A-Za-z0-9_-]{43})", address)
    assert token is not None
    with shop.database.reading() as connection:
        kept = link_by_token(connection, token[1])
    assert kept is not None
    assert kept.label == "Ada's phone"
    assert page.xpath('count(//*[local-name()="svg" and contains(@class, "qr")])') == 1.0
    ways = [href for href in page.xpath("//a/@href") if href.startswith(("mailto:", "sms:"))]
    assert len(ways) == 2
    assert all("Ada" not in way and "Rex" not in way for way in ways)
    shop.maker.cookies.delete("fresh")
    assert token[1] not in shop.maker.get(path).text
    assert token[1] not in path
    assert token[1] not in shop.maker.get("/shop/orders/1").text


def test_a_link_is_made_to_end_later_and_sooner_and_is_revoked(shop: Shop) -> None:
    path, today = link(shop), shop.app.state.house.today
    made = kept_link(shop)
    for days, later in ((20, True), (2, False), (0, False)):
        day = today + timedelta(days=days)
        assert shop.post(f"{path}/end", until=day.isoformat()).status_code == 303
        assert (kept_link(shop).expires_at > made.expires_at) is later
        # It opens to the end of that day by the workshop's clock, five hours behind UTC in November.
        end = datetime(day.year, day.month, day.day, tzinfo=ZoneInfo("America/New_York")) + timedelta(days=1)
        assert kept_link(shop).expires_at == end
    assert shop.post(f"{path}/revoke").status_code == 303
    assert kept_link(shop).revoked_at is not None
    assert shop.post(f"{path}/end", until=today.isoformat()).status_code == 422
    said = words(shop.maker.get("/shop/orders/1"))
    for part in ("A link was made: “Ada's phone”", "was extended", "end sooner", "was revoked", "Revoked"):
        assert part in said


@pytest.mark.parametrize(
    ("until", "said"),
    [
        ("", "year-month-day"),
        ("next week", "year-month-day"),
        ("2026-02-30", "year-month-day"),
        ("2001-01-01", "That day is over"),
        ("2999-01-01", "more than a year ahead"),
    ],
)
def test_a_day_a_link_can_not_end_on_is_refused_beside_its_field(shop: Shop, until: str, said: str) -> None:
    path = link(shop)
    made = kept_link(shop)
    answer = shop.post(f"{path}/end", until=until)
    assert answer.status_code == 422
    page = parsed(answer.text)
    assert said in page.xpath("string(//*[@id='until-wrong'])")
    if until:
        assert page.xpath("//input[@id='until']/@value") == [until]
    assert kept_link(shop) == made


def test_links_to_the_proof_of_a_cancelled_order_close_and_its_page_ends_in_a_month(shop: Shop) -> None:
    shop.proof(1)
    order_link, proof_link = link(shop), link(shop, purpose="proof", label="Bo")
    with shop.database.writing() as connection:
        for one in links_of(connection, shop.kept(1).id):
            by = Act("maker", "maker", shop.now)
            move_link_end(connection, one.id, shop.now + timedelta(days=300), by)
    assert shop.move(1, "cancelled").status_code == 303
    with shop.database.reading() as connection:
        there = {one.purpose: one for one in links_of(connection, shop.kept(1).id)}
    assert there["proof"].revoked_at is not None
    assert there["order"].revoked_at is None
    assert there["order"].expires_at < shop.now + timedelta(days=31)
    for path in (order_link, proof_link):
        answer = shop.post(f"{path}/end", until=shop.app.state.house.today.isoformat())
        assert answer.status_code == 422


def test_a_link_to_a_proof_needs_a_proof(shop: Shop) -> None:
    assert shop.post("/shop/orders/1/links", label="", purpose="proof").status_code == 422
    shop.proof(1)
    page = parsed(shop.maker.get(link(shop, purpose="proof", label="")).text)
    assert "/p/" in page.xpath('//input[@id="share-link"]/@value')[0]
    assert "Ada Example" in page.xpath("string(//h1)")


def test_the_link_of_another_order_is_not_found_here(shop: Shop) -> None:
    path = link(shop)
    shop.order("Bo Placeholder", "Otto")
    elsewhere = path.replace("/orders/1/", "/orders/2/")
    assert shop.maker.get(elsewhere).status_code == 404
    assert shop.post(f"{elsewhere}/revoke").status_code == 404


def test_reading_changes_nothing(shop: Shop) -> None:
    path = link(shop)
    before = (shop.kept(1), shop.actions(shop.kept(1)))
    for place in ("", "/design", "/pattern.svg", "/pattern.dxf", "/stage", "/details", "/proofs", "/links"):
        assert shop.maker.get(f"/shop/orders/1{place}").status_code in {200, 405}
    for place in ("/end", "/revoke"):
        assert shop.maker.get(f"{path}{place}").status_code == 405
    assert (shop.kept(1), shop.actions(shop.kept(1))) == before


def test_a_change_in_the_moment_of_keeping_is_not_overwritten(
    shop: Shop, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Between reading the order and writing the design somebody else is quicker."""

    def slow(asked: Asked, workshop: Workshop) -> object:
        shop.post("/shop/orders/1/details", bench_notes="Quicker.", notes="", **guard)
        return tried(asked, workshop)

    guard, fields = shop.guard(1), design(shop, neck="20 in")
    monkeypatch.setattr(maker_design, "tried", slow)
    answer = shop.post("/shop/orders/1/design", **fields)
    assert answer.status_code == 409
    assert parsed(answer.text).xpath('//input[@id="field-neck"]/@value') == ["20 in"]
    kept = shop.kept(1)
    assert kept.bench_notes == "Quicker."
    assert measured_as(kept.design, "neck") == pytest.approx(482.6)


def test_a_change_while_a_proof_is_drawn_keeps_it_back(shop: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    def slow(house: House, order: Order) -> MadeProof:
        shop.post("/shop/orders/1/details", bench_notes="Quicker.", notes="", **guard)
        return make_proof(house, order)

    guard = shop.guard(1)
    monkeypatch.setattr(maker_order, "make_proof", slow)
    answer = shop.post("/shop/orders/1/proofs", version="1", **guard)
    assert answer.status_code == 409
    assert "Dates or notes were changed" in words(answer)
    assert (shop.kept(1).stage, shop.kept(1).version) == ("enquiry", 0)


def test_what_others_typed_is_shown_as_text(shop: Shop) -> None:
    shop.order("<b>Ada</b> & “Co”", "<script>alert(1)</script>")
    for path in ("/shop", "/shop/orders/2", "/shop/customers", "/shop?q=%3Cscript%3E"):
        text = shop.maker.get(path).text
        assert "<script>alert" not in text
        assert "<b>Ada</b>" not in text
    shop.post(
        "/shop/orders/2/details", notes="</textarea><script>x</script>", bench_notes="", **shop.guard(2)
    )
    assert "<script>x" not in shop.maker.get("/shop/orders/2").text


def test_the_secret_of_a_fresh_link_is_kept_by_this_browser_alone(shop: Shop) -> None:
    answer = shop.post("/shop/orders/1/links", label="Ada's phone", purpose="order")
    cookie = answer.headers["Set-Cookie"]
    path = re.escape(answer.headers["Location"])
    assert re.fullmatch(
        rf"fresh=[A-Za-z0-9_-]{{43}}; HttpOnly; Max-Age=600; Path={path}; SameSite=strict", cookie
    )
    house = shop.app.state.house
    shop.app.state.house = replace(house, settings=replace(house.settings, origin="https://collars.example"))
    shop.maker.cookies.set("__Host-s", "session of maker")
    secure = shop.post("/shop/orders/1/links", label="Bo", purpose="order").headers["Set-Cookie"]
    assert secure.startswith("__Secure-fresh=")
    assert secure.endswith("; Secure")
