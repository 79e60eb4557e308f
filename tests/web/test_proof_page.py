"""The proof, its two answers, and every way in which an answer is not taken."""

from collections.abc import Iterator
from dataclasses import fields, is_dataclass
from datetime import timedelta
from typing import Any

import pypdfium2
import pytest

from service.orders import Amount, sha256_hex
from service.storage import link_by_token
from service.web import proof_page
from tests.makers import parsed
from tests.web.customers import Customer, full_disk, hidden, said


@pytest.fixture
def customer() -> Customer:
    made = Customer()
    made.proof()
    return made


def texts(value: Any) -> Iterator[str]:  # noqa: ANN401 - any part of a body
    """Every text that a body shows."""
    if isinstance(value, Amount):
        yield value.words
    elif isinstance(value, str):
        yield value
    elif isinstance(value, tuple):
        for one in value:
            yield from texts(one)
    elif is_dataclass(value):
        for field in fields(value):
            yield from texts(getattr(value, field.name))


def everything(customer: Customer, neck: float = 0) -> list[str]:
    """What the newest proof's body says, but for what is not shown in words."""
    body = customer.proof(neck).body
    unseen = {body.engine, body.language, body.price.currency, *texts(body.drawings)}
    return [" ".join(text.split()) for text in texts(body) if text and text not in unseen]


def test_it_shows_everything_that_its_body_says(customer: Customer) -> None:
    wanted = everything(customer)
    text = customer.browser.get(customer.proof_page).text
    shown = said(text) + " ".join(parsed(text).xpath("//header")[0].text_content().split())
    assert [one for one in wanted if one not in shown] == []
    assert len(wanted) > 150


def test_it_shows_the_drawings_that_were_sent(customer: Customer) -> None:
    proof = customer.proof()
    text = customer.browser.get(customer.proof_page).text
    assert len(proof.body.drawings) >= 6
    found = parsed(text).xpath("//main//*[local-name()='svg']")
    assert len(found) == len(proof.body.drawings)
    assert proof.code in text
    assert proof.sha256 in text
    assert "BISCUIT" in parsed(text).xpath("//p[@class='lettering']")[0].text


def test_the_proof_to_print_says_everything_too(customer: Customer) -> None:
    wanted = everything(customer)
    answer = customer.browser.get(f"{customer.proof_page}/version-2.pdf")
    assert answer.headers["Content-Type"] == "application/pdf"
    assert answer.headers["Content-Disposition"] == 'attachment; filename="proof-1-version-2.pdf"'
    with pypdfium2.PdfDocument(answer.content) as pdf:
        pages = [page.get_textpage().get_text_bounded() for page in pdf]
    shown = "".join("".join(pages).split())
    assert [one for one in wanted if "".join(one.split()) not in shown] == []


def test_every_version_can_be_printed_and_no_other(customer: Customer) -> None:
    customer.proof()
    for version, status in {"1": 200, "2": 200, "3": 404, "0": 404, "x": 404, "9" * 30: 404}.items():
        assert customer.browser.get(f"{customer.proof_page}/version-{version}.pdf").status_code == status


def test_an_approval_is_recorded_and_confirmed(customer: Customer) -> None:
    form = customer.form()
    answer = customer.answer(form, "approve", name="  Ada   Example ")
    assert answer.status_code == 303
    assert customer.order.stage == "approved"
    text = said(customer.browser.get(answer.headers["location"]).text)
    assert "Ada Example approved version 1. Recorded" in text
    assert "Your answer" not in text
    kept = customer.browser.get(f"{customer.proof_page}/receipt.txt")
    assert kept.headers["Content-Type"] == "text/plain; charset=utf-8"
    assert form["sha256"] in kept.text
    assert "Ada Example approved this proof." in kept.text


def test_there_is_no_receipt_before_an_answer(customer: Customer) -> None:
    assert customer.browser.get(f"{customer.proof_page}/receipt.txt").status_code == 404


def test_changes_are_recorded_with_their_words(customer: Customer) -> None:
    answer = customer.answer(customer.form(), "ask-changes", message="The neck is 20 in.\r\nAnd wider.")
    assert answer.status_code == 303
    assert customer.order.stage == "changes-asked"
    text = said(customer.browser.get(customer.proof_page).text)
    assert "Changes asked for Recorded" in text
    assert "The neck is 20 in. And wider." in text


def test_the_next_proof_says_what_differs(customer: Customer) -> None:
    customer.answer(customer.form(), "ask-changes", message="The neck is 20 in.")
    customer.proof(508.0)
    text = said(customer.browser.get(customer.proof_page).text)
    assert "What differs from version 1" in text
    assert "Neck, size 19 in (483 mm) is now 20 in (508 mm)" in text
    assert "Drawings as on version 1 is now drawn anew" in text


def test_the_same_answer_sent_again_is_the_same_answer(customer: Customer) -> None:
    form = customer.form()
    for _ in range(3):
        assert customer.answer(form, "approve", name="Ada Example").status_code == 303
    assert customer.shop.actions(customer.order).count("approve") == 1


def test_an_answer_to_an_older_proof_is_not_taken_and_shows_what_differs(customer: Customer) -> None:
    form = customer.form()
    customer.proof(508.0)
    answer = customer.answer(form, "approve", name="Ada Example")
    text = said(answer.text)
    assert answer.status_code == 409
    assert "The proof has changed, and nothing was recorded" in text
    assert "19 in (483 mm) is now 20 in (508 mm)" in text
    assert parsed(answer.text).xpath("//*[@id='field-name']/@value") == ["Ada Example"]
    assert customer.order.stage == "proof-sent"
    new = hidden(answer.text, "//form[contains(@class, 'approve')]")
    assert (new["version"], new["key"] != form["key"]) == ("2", True)
    assert customer.answer(new, "approve", name="Ada Example").status_code == 303


def test_a_mistake_on_an_older_proof_does_not_slip_in_the_newer(customer: Customer) -> None:
    form = customer.form()
    customer.proof(508.0)
    answer = customer.answer(form, "approve", name="")
    assert answer.status_code == 409
    assert "The proof has changed" in said(answer.text)


@pytest.mark.parametrize(
    "changed", [{"sha256": "0" * 64}, {"version": "7"}, {"version": "x"}, {"sha256": ""}]
)
def test_a_proof_that_was_never_sent_can_not_be_approved(customer: Customer, changed: dict[str, str]) -> None:
    answer = customer.answer({**customer.form(), **changed}, "approve", name="Ada Example")
    assert answer.status_code == 409
    assert customer.order.stage == "proof-sent"


def test_a_key_with_another_answer_is_refused_and_the_first_stands(customer: Customer) -> None:
    form = customer.form()
    customer.answer(form, "approve", name="Ada Example")
    answer = customer.answer(form, "ask-changes", message="Wider after all.")
    text = said(answer.text)
    assert answer.status_code == 409
    assert text.startswith("You have answered on this page before")
    assert "Ada Example approved version 1." in text
    assert "Wider after all." in text


def test_what_is_approved_stays_approved(customer: Customer) -> None:
    form = customer.form()
    customer.answer(form, "approve", name="Ada Example")
    answer = customer.answer({**form, "key": "k" * 43}, "ask-changes", message="Wider after all.")
    assert answer.status_code == 409
    assert said(answer.text).startswith("This proof is approved already")
    assert "Wider after all." in said(answer.text)
    assert customer.order.stage == "approved"


def test_changes_are_asked_for_once(customer: Customer) -> None:
    form = customer.form()
    customer.answer(form, "ask-changes", message="Wider.")
    answer = customer.answer({**form, "key": "k" * 43}, "approve", name="Ada Example")
    assert answer.status_code == 409
    assert said(answer.text).startswith("Changes were asked for already")
    assert customer.order.stage == "changes-asked"


def test_a_closed_order_takes_no_answer(customer: Customer) -> None:
    form = customer.form()
    customer.change(stage="cancelled")
    answer = customer.answer(form, "approve", name="Ada Example")
    assert answer.status_code == 409
    assert said(answer.text).startswith("This proof can't be answered any more")
    assert "This order is closed" in said(customer.browser.get(customer.proof_page).text)


@pytest.mark.parametrize(
    ("kind", "typed", "ident", "word"),
    [
        ("approve", {"name": " "}, "name", "Type your name"),
        ("approve", {"name": "A\x07da"}, "name", "can't be shown"),
        ("approve", {"name": "x" * 81}, "name", "80 is the most"),
        ("ask-changes", {"message": "\n"}, "message", "Say what should be different"),
        ("ask-changes", {"message": "x" * 2001}, "message", "2000 is the most"),
    ],
)
def test_a_mistake_is_said_beside_its_field(
    customer: Customer, kind: str, typed: dict[str, str], ident: str, word: str
) -> None:
    form = customer.form()
    answer = customer.answer(form, kind, **typed)
    page = parsed(answer.text)
    assert answer.status_code == 422
    assert word in page.xpath(f"//*[@id='mistake-{ident}']")[0].text_content()
    assert page.xpath(f"//*[@class='wrongs']//a[@href='#field-{ident}']")
    assert hidden(answer.text, "//form[contains(@class, 'approve')]")["key"] == form["key"]
    assert customer.order.stage == "proof-sent"


def test_a_form_without_its_key_gets_a_new_one(customer: Customer) -> None:
    answer = customer.answer({**customer.form(), "key": ""}, "approve", name="Ada Example")
    assert answer.status_code == 422
    assert "without its key" in said(answer.text)
    assert "Ada Example" in answer.text
    assert customer.answer(
        {**hidden(answer.text, "//form[contains(@class, 'approve')]")}, "approve", name="Ada"
    ).is_redirect


def test_a_form_that_says_neither_is_not_taken(customer: Customer) -> None:
    assert customer.answer(customer.form(), "both").status_code == 422


def test_a_full_disk_records_nothing_and_loses_nothing(
    customer: Customer, monkeypatch: pytest.MonkeyPatch
) -> None:
    form = customer.form()
    monkeypatch.setattr(proof_page, "answer_proof", full_disk)
    answer = customer.answer(form, "ask-changes", message="Wider.")
    assert answer.status_code == 503
    assert answer.headers["Retry-After"]
    assert parsed(answer.text).xpath("//*[@id='field-message']")[0].text.strip() == "Wider."
    monkeypatch.undo()
    assert customer.answer(form, "ask-changes", message="Wider.").status_code == 303


def test_no_robot_approves(customer: Customer) -> None:
    form = customer.form()
    path = f"{customer.proof_page}/answer"
    before = customer.contents()
    for send in (customer.browser.get, customer.browser.head, customer.browser.options):
        assert send(path, params={**form, "kind": "approve", "name": "Bot"}).status_code == 405
    other = customer.browser.post(
        path, data={**form, "kind": "approve", "name": "Bot"}, headers={"Sec-Fetch-Site": "cross-site"}
    )
    assert other.status_code == 403
    assert customer.contents() == before


def test_a_link_that_has_ended_takes_no_answer_and_gives_it_back(customer: Customer) -> None:
    form = customer.form()
    customer.link("ended", days=-1)
    customer.proof_page = "/p/ended"
    assert customer.browser.get("/p/ended").status_code == 410
    answer = customer.answer(form, "ask-changes", message="Wider.")
    assert answer.status_code == 410
    assert "Wider." in said(answer.text)
    assert customer.order.stage == "proof-sent"
    assert customer.browser.get("/p/ended/version-1.pdf").status_code == 410
    assert customer.browser.get("/p/ended/receipt.txt").status_code == 410


def test_an_order_without_a_proof_has_none_to_show() -> None:
    customer = Customer()
    assert customer.browser.get(customer.proof_page).status_code == 404


def test_what_others_see_of_the_link_names_nobody(customer: Customer) -> None:
    page = parsed(customer.browser.get(customer.proof_page).text)
    assert page.xpath("//meta[@property='og:title']/@content") == ["A proof is ready"]
    (script,) = page.xpath("//script")
    assert "/static/js/seen" in script.get("src")
    assert not page.xpath("//link[starts-with(@href, 'http')] | //img[starts-with(@src, 'http')]")


def test_the_price_that_was_quoted_is_the_one_on_the_proof() -> None:
    customer = Customer()
    customer.change(stage="quoted", quote_minor=6000, currency="USD")
    proof = customer.proof()
    assert proof.body.price.total.words == "$60.00"
    assert [line.price.words for line in proof.body.price.lines] == ["$56.07", "$3.93"]
    assert sha256_hex(b"") != proof.sha256


def test_after_an_approval_the_link_is_a_receipt_for_thirty_days_and_then_ends(customer: Customer) -> None:
    customer.proof()
    for days, token in ((2, "short"), (200, "long")):
        customer.link(token, days=days)
    customer.link("closed", revoked=True)
    answer = customer.answer(customer.form(), "approve", name="Ada Example")
    assert answer.status_code == 303
    with customer.shop.database.reading() as connection:
        links = [link_by_token(connection, token) for token in ("short", "long")]
    wanted = customer.shop.app.state.house.now() + timedelta(days=30)
    assert all(link and abs(link.expires_at - wanted) < timedelta(minutes=1) for link in links)
    page = customer.browser.get("/p/short")
    assert "Ada Example approved version 2" in said(page.text)
    assert not parsed(page.text).xpath("//main//form")
    assert customer.browser.get("/p/closed").status_code == 410
    assert customer.browser.get(customer.order_page).status_code == 200
