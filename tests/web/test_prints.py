"""Prints for the bench: end templates, the correction for a printer, and the page of all of them."""

import pytest
from starlette.testclient import TestClient

from service.web.prints import ACROSS, DOWN
from tests.drawing.prints import opened
from tests.makers import LINK, app, client, parsed, workshop_with
from tests.web.shop_makers import Shop

BROWSER = {"Accept": "text/html,application/xhtml+xml,application/xml;q=0.9,*/*;q=0.8"}
SAID = "prints 100 mm as 99.2 mm across and 99.5 mm down"


@pytest.fixture(scope="module")
def ask() -> TestClient:
    return client()


@pytest.fixture
def shop() -> Shop:
    made = Shop()
    made.order()
    return made


def text_of(data: bytes) -> str:
    return " ".join(" ".join(page.get_textpage().get_text_bounded().split()) for page in opened(data))


def test_templates_need_no_neck_and_say_what_they_are_for(ask: TestClient) -> None:
    answer = ask.get("/templates.pdf?width=2+in&style=heel-bar")
    assert answer.headers["content-type"] == "application/pdf"
    assert "end-templates-50.8-mm-heel-bar-brass.pdf" in answer.headers["content-disposition"]
    text = text_of(answer.content)
    assert "2 in (50.8 mm), heel-bar buckle, solid brass, rivets" in text
    assert "Lay on the line" in text


def test_the_neck_changes_nothing_in_the_templates(ask: TestClient) -> None:
    small, large = (
        text_of(ask.get(f"/templates.pdf?neck={neck}&lettering=REX").content).replace(neck, "")
        for neck in ("14in", "30in")
    )
    assert small.replace("&lettering=REX", "") == large.replace("&lettering=REX", "")


def test_templates_of_what_cant_be_made_are_refused_as_the_design_is(ask: TestClient) -> None:
    read = ask.get("/templates.pdf?width=50+in&colour=red").json()
    assert [one["field"] for one in read["errors"]] == ["colour", "width"]
    assert ask.get("/templates.pdf?width=2+in&paper=roll").json()["errors"][0]["field"] == "paper"


def test_the_tape_asks_for_nothing_and_is_on_the_shops_paper(ask: TestClient) -> None:
    answer = ask.get("/tape.pdf")
    assert opened(answer.content)[0].get_size() == pytest.approx((792, 612), abs=0.1)
    assert answer.content == ask.get(f"/tape.pdf?paper=letter&{LINK}").content
    metric = client(app(rows=workshop_with(region="DE")))
    assert opened(metric.get("/tape.pdf").content)[0].get_size() == pytest.approx((841.9, 595.3), abs=0.1)


def test_the_tape_is_in_its_readers_language() -> None:
    german = client(app(rows=workshop_with(languages=("en", "de"))))
    text = text_of(german.get("/tape.pdf", headers={"Accept-Language": "de"}).content)
    assert "Zwei Finger:" in text
    assert "Two fingers" not in text


def test_the_tape_is_found_where_one_measures_and_where_one_asks(ask: TestClient) -> None:
    for path in ("/measure", f"/measure?{LINK}", f"/ask?{LINK}"):
        assert parsed(ask.get(path).text).xpath("//main//a[@href='/tape.pdf']")
    bad = parsed(ask.get(f"/tape.pdf?{ACROSS}=1", headers=BROWSER).text)
    assert bad.xpath(f"//input[@name='{ACROSS}']/@value") == ["1"]


@pytest.mark.parametrize("path", ["/templates.pdf", "/tape.pdf"])
def test_a_print_on_paper_that_it_isnt_made_for_is_refused_beside_the_papers(
    ask: TestClient, path: str
) -> None:
    answer = ask.get(f"{path}?paper=roll&{DOWN}=99.5", headers=BROWSER)
    assert answer.status_code == 422
    page = parsed(answer.text)
    assert "a4 and letter" in page.xpath("//*[@id='note-paper']")[0].text_content()
    assert page.xpath("//input[@name='paper' and @checked]/@value") == ["roll"]
    assert page.xpath(f"//input[@name='{DOWN}']/@value") == ["99.5"]


@pytest.mark.parametrize("path", ["/pattern.pdf", "/templates.pdf", "/tape.pdf"])
@pytest.mark.parametrize("typed", [{ACROSS: "99.2", DOWN: "99,5 mm"}, {ACROSS: "9.92 cm", DOWN: " 99.5"}])
def test_a_measured_square_goes_back_in(ask: TestClient, path: str, typed: dict[str, str]) -> None:
    answer = ask.get(path, params={"neck": "19 in", **typed})
    assert SAID in text_of(answer.content)
    assert "square-" not in text_of(answer.content)


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("96.9", "96.9 mm is more than a printer's error"),
        ("103.1 mm", "103.1 mm is more than a printer's error"),
        ("one hand", "Try: 99.2 mm"),
        ("-100", "Try: 99.2 mm"),
        ("1e2", "Try: 99.2 mm"),
    ],
)
def test_what_no_printer_does_is_said_beside_its_field_and_kept(
    ask: TestClient, typed: str, said: str
) -> None:
    answer = ask.get("/pattern.pdf", params={"neck": "19 in", DOWN: typed, ACROSS: "99.2"}, headers=BROWSER)
    assert answer.status_code == 422
    page = parsed(answer.text)
    assert said in page.xpath(f"//*[@id='note-{DOWN}']")[0].text_content()
    assert page.xpath(f"//*[@id='note-{ACROSS}']")[0].text_content().strip() == ""
    assert page.xpath(f"//input[@name='{DOWN}']/@value") == [typed]
    assert page.xpath(f"//input[@name='{ACROSS}']/@value") == ["99.2"]
    assert page.xpath("//input[@type='hidden' and @name='neck']/@value") == ["19 in"]


def test_programs_are_told_which_square_is_wrong(ask: TestClient) -> None:
    for query in (f"{ACROSS}=90", f"{ACROSS}=99&{ACROSS}=99"):
        answer = ask.get(f"/templates.pdf?{query}")
        assert answer.status_code == 422
        assert [one["field"] for one in answer.json()["errors"]] == [ACROSS]


def test_what_is_wrong_with_the_design_is_said_with_what_is_wrong_with_the_print(ask: TestClient) -> None:
    answer = ask.get(f"/pattern.pdf?neck=lots&{ACROSS}=90", headers=BROWSER)
    assert answer.status_code == 422
    said = parsed(answer.text).xpath("//*[@id='problems']")[0].text_content()
    assert "Neck" in said
    assert "Square across" in said


def test_the_form_prints_without_script_what_the_page_offers(ask: TestClient) -> None:
    page = parsed(ask.get(f"/prints?{LINK}").text)
    (form,) = page.xpath("//main//form")
    sent = {one.get("name"): one.get("value", "") for one in form.xpath(".//input[@type!='radio']")}
    sent["paper"] = form.xpath(".//input[@type='radio' and @checked]/@value")[0]
    assert sent["paper"] == "letter"
    for place in form.xpath(".//button/@formaction"):
        answer = ask.get(place, params={**sent, ACROSS: "99.2", DOWN: "99.5"})
        assert SAID in text_of(answer.content)
        assert ask.get(place, params=sent).content.startswith(b"%PDF")


def test_a_link_to_the_design_carries_no_correction(ask: TestClient) -> None:
    answer = ask.get(f"/prints?{LINK}&{ACROSS}=99.2&paper=a4")
    (back,) = parsed(answer.text).xpath("//main//a/@href")
    assert back.startswith("/?neck=19+in")
    assert "square" not in back
    assert "paper" not in back
    assert parsed(answer.text).xpath(f"//input[@name='{ACROSS}']/@value") == ["99.2"]
    assert ask.get(f"/?neck=19+in&{ACROSS}=99.2").status_code == 422


def test_the_page_of_prints_wants_a_design_that_can_be_made(ask: TestClient) -> None:
    assert ask.get("/prints?neck=lots", headers=BROWSER).status_code == 422


def test_an_order_is_printed_from_what_is_kept_with_it(shop: Shop) -> None:
    for place, name in (
        ("templates", "order-1-end-templates"),
        ("pattern", "order-1-collar"),
        ("strip", "order-1-"),
    ):
        answer = shop.maker.get(f"/shop/orders/1/{place}.pdf", params={ACROSS: "99.2", DOWN: "99.5"})
        assert name in answer.headers["content-disposition"]
        assert SAID in text_of(answer.content)


def test_the_page_of_an_order_leads_to_its_prints(shop: Shop) -> None:
    links = parsed(shop.maker.get("/shop/orders/1").text).xpath("//*[@id='cut']//a/@href")
    assert "/shop/orders/1/prints" in links
    assert "/shop/orders/1/templates.pdf?paper=letter" in links
    assert "/shop/orders/1/strip.pdf?paper=letter" in links
    page = parsed(shop.maker.get("/shop/orders/1/prints").text)
    assert page.xpath("//main//a/@href") == ["/shop/orders/1#cut"]
    for place in page.xpath("//button/@formaction"):
        assert shop.maker.get(place).content.startswith(b"%PDF")


@pytest.mark.parametrize("place", ["pattern.pdf", "templates.pdf", "strip.pdf"])
@pytest.mark.parametrize("typed", [{DOWN: "90"}, {"paper": "foil"}, {DOWN: "x", "paper": "roll"}])
def test_what_is_wrong_with_an_orders_print_is_said_beside_its_field(
    shop: Shop, place: str, typed: dict[str, str]
) -> None:
    answer = shop.maker.get(f"/shop/orders/1/{place}", params=typed)
    assert answer.status_code == 422
    page = parsed(answer.text)
    assert page.xpath("//*[contains(@class, 'wrong')]")
    if DOWN in typed:
        assert page.xpath(f"//input[@name='{DOWN}']/@value") == [typed[DOWN]]


def test_prints_of_an_order_are_for_those_who_are_signed_in(shop: Shop) -> None:
    for place in ("prints", "templates.pdf", "strip.pdf"):
        assert client(shop.app).get(f"/shop/orders/1/{place}", follow_redirects=False).status_code == 303
