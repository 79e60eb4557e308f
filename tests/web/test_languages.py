"""Which language a reader gets, and how they choose another."""

from pathlib import Path
from typing import Any

import pytest
from starlette.requests import Request
from starlette.testclient import TestClient
from starlette.types import Receive, Scope, Send

from service.language import ENGLISH, tr
from service.web.catalogue_form import typed_row
from service.web.catalogue_tables import OWN
from service.web.languages import Languages, chosen, read_languages, wanted
from tests.makers import LINK, client, parsed, workshop
from tests.web.customers import ASK, WHO, Customer, hidden, said
from tests.web.photo_makers import photo_file
from tests.web.shop_makers import Shop

PO = """msgid ""
msgstr ""
"Content-Type: text/plain; charset=utf-8\\n"
"Plural-Forms: nplurals=2; plural=(n != 1);\\n"

msgid "Neck"
msgstr "Hals"
"""


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    place = tmp_path / "de" / "LC_MESSAGES"
    place.mkdir(parents=True)
    (place / "messages.po").write_text(PO, "utf-8")
    return tmp_path


def asking(language: str = "", cookie: str = "") -> Request:
    headers = [(b"accept-language", language.encode()), (b"cookie", cookie.encode())]
    return Request({"type": "http", "headers": headers})


def test_a_catalogue_in_the_folder_is_a_language_with_its_own_name_and_decimal_sign(folder: Path) -> None:
    languages = read_languages(folder)
    german = languages["de"]
    assert list(languages) == ["en", "de"]
    assert (german.code, german.name, german.decimal_sign) == ("de", "Deutsch", ",")
    assert german.catalogue.gettext("Neck") == "Hals"
    assert languages["en"] is ENGLISH


@pytest.mark.parametrize(
    ("asked", "code"),
    [
        ("", "en"),
        ("de", "de"),
        ("de-AT,de;q=0.9,en;q=0.8", "de"),
        ("en-GB,en;q=0.9,de;q=0.8", "en"),
        ("en;q=0.5, de", "de"),
        ("fr,de;q=0", "en"),
        ("*", "en"),
        (";;;q=2,,\x00", "en"),
        ("de;q=high", "en"),
        (",".join(f"x{n}" for n in range(99)) + ",de", "en"),
    ],
)
def test_the_browsers_first_language_that_there_is(folder: Path, asked: str, code: str) -> None:
    # RFC 9110, 12.5.4: by weight, one without a weight first, weight 0 never.
    assert wanted(asking(asked), read_languages(folder)).code == code


def test_a_choice_counts_if_there_is_such_a_language(folder: Path) -> None:
    languages = read_languages(folder)
    assert chosen(asking(cookie="language=de"), languages) is languages["de"]
    assert chosen(asking(cookie="language=xx"), languages) is None


@pytest.fixture
def visit(folder: Path) -> TestClient:
    async def answer(scope: Scope, _receive: Receive, send: Send) -> None:
        kind = scope["path"].removeprefix("/").encode()
        await send({"type": "http.response.start", "status": 200, "headers": [(b"content-type", kind)]})
        await send({"type": "http.response.body", "body": tr("Neck").encode()})

    languages = read_languages(folder)
    return TestClient(Languages(answer, lambda: languages))


def test_an_answer_says_its_language_and_what_that_hung_on(visit: TestClient) -> None:
    german = visit.get("/text/html", headers={"Accept-Language": "de"})
    assert (german.text, german.headers["Content-Language"]) == ("Hals", "de")
    assert german.headers["Vary"] == "Accept-Language, Cookie"
    assert visit.get("/text/html").text == "Neck"
    assert "Vary" not in visit.get("/text/css").headers


@pytest.fixture(scope="module")
def shop() -> TestClient:
    made = client()
    made.follow_redirects = False
    return made


@pytest.mark.parametrize(
    ("referer", "way"),
    [
        (f"/?{LINK}", f"/?{LINK}"),
        ("/o/token", "/o/token"),
        ("//elsewhere.example/", "/"),
        ("", "/"),
    ],
)
def test_a_choice_is_kept_and_leads_back_to_where_it_was_made(
    shop: TestClient, referer: str, way: str
) -> None:
    here = {"Referer": f"{shop.base_url}{referer}"} if referer else {}
    answer = shop.post("/language", data={"to": "de"}, headers=here)
    assert (answer.status_code, answer.headers["Location"]) == (303, way)
    assert "HttpOnly" in answer.headers["Set-Cookie"]
    assert shop.get("/").headers["Content-Language"] == "de"
    assert shop.get("/", headers={"Accept-Language": "en"}).headers["Content-Language"] == "de"
    shop.cookies.clear()


def test_a_page_elsewhere_is_not_led_back_to_and_a_language_there_is_none_of_not_kept(
    shop: TestClient,
) -> None:
    answer = shop.post("/language", data={"to": "xx"}, headers={"Referer": "https://elsewhere.example/page"})
    assert answer.headers["Location"] == "/"
    assert "Set-Cookie" not in answer.headers


def test_drawings_and_pages_are_kept_apart_by_language(shop: TestClient) -> None:
    english = shop.get(f"/preview.svg?{LINK}")
    german = shop.get(f"/preview.svg?{LINK}", headers={"Accept-Language": "de"})
    assert english.headers["ETag"] != german.headers["ETag"]
    assert "Schnallenseite" in german.text
    assert "Accept-Language" in german.headers["Vary"]


def in_german(browser: TestClient, page: str) -> Any:  # noqa: ANN401 - a response
    """What the page of a refused form answers when German is chosen at its foot."""
    (form,) = parsed(page).xpath("//form[@class='tongues']")
    (button,) = form.xpath(".//button[@lang='de']")
    fields = {one.get("name"): one.get("value") for one in form.xpath(".//input")}
    return browser.post(button.get("formaction"), data=fields)


def test_what_was_typed_in_a_refused_form_is_still_there_in_another_language() -> None:
    ada = Customer()
    before = ada.contents()
    form = hidden(ada.browser.get(ASK).text)
    photo = {"photos": ("Biscuit.jpg", photo_file(), "image/jpeg")}
    refused = ada.browser.post(ASK, data={**form, **WHO, "email": "ada at mail"}, files=photo)
    german = in_german(ada.browser, refused.text)
    page = parsed(german.text)
    assert (german.status_code, german.headers["Content-Language"]) == (422, "de")
    assert page.xpath("//main//input[@name='email']/@value") == ["ada at mail"]
    assert page.xpath("//main//input[@name='name']/@value") == ["Ada Example"]
    assert "For walks." in page.xpath("string(//main//textarea[@name='notes'])")
    assert page.xpath("//main//input[@name='photo-1'][@checked]")
    assert "Biscuit.jpg" in said(german.text)
    assert ada.browser.get("/").headers["Content-Language"] == "de"  # the choice is kept
    assert {**ada.contents(), "waiting_photo": []} == {**before, "waiting_photo": []}


def test_what_was_typed_and_not_yet_sent_is_there_in_another_language_and_nothing_is_taken() -> None:
    ada = Customer()
    before = ada.contents()
    page = ada.browser.get(ASK).text
    (button,) = parsed(page).xpath("//footer//button[@lang='de']")
    look = {button.get("name"): button.get("value"), "name": "Ada Example", "notes": "For walks."}
    photo = {"photos": ("Biscuit.jpg", photo_file(), "image/jpeg")}
    german = ada.browser.post(button.get("formaction"), data={**hidden(page), **look}, files=photo)
    shown = parsed(german.text)
    assert (german.status_code, german.headers["Content-Language"]) == (200, "de")
    assert shown.xpath("//main//input[@name='name']/@value") == ["Ada Example"]
    assert "For walks." in shown.xpath("string(//main//textarea[@name='notes'])")
    assert shown.xpath("//main//input[@name='photo-1'][@checked]")
    assert not shown.xpath("//*[@role='alert'] | //*[@aria-invalid]")
    assert ada.browser.get("/").headers["Content-Language"] == "de"  # the choice is kept
    assert {**ada.contents(), "waiting_photo": []} == {**before, "waiting_photo": []}
    # Without a parameter, too, the choice ends the address.
    (button,) = parsed(ada.browser.get("/ask?kind=lead").text).xpath("//footer//button[@lang='en']")
    assert button.get("formaction") == "/ask?kind=lead&language=en"


def test_a_row_of_the_catalogue_that_is_refused_is_too() -> None:
    shop = Shop()
    typed = {"name": "Fern", "colour": "green", "thickness": "3", "price_per_m2": "140"}
    refused = shop.post("/shop/catalogue/leathers/row", **typed)
    german = in_german(shop.maker, refused.text)
    assert (german.status_code, german.headers["Content-Language"]) == (422, "de")
    assert parsed(german.text).xpath("//main//input[@name='colour']/@value") == ["green"]


def test_a_form_with_a_password_is_not_carried_and_a_choice_in_an_address_is_not_kept_otherwise() -> None:
    shop = Shop()
    page = shop.post("/shop/members", "owner", name="", role="maker", password="x", now="y").text  # noqa: S106
    assert parsed(page).xpath("//form[@class='tongues']/@action") == ["/language"]
    assert not parsed(page).xpath("//form[@class='tongues']//input")
    assert "Set-Cookie" not in shop.maker.get("/shop?language=de").headers


def test_a_workshop_speaks_only_languages_that_there_is_a_translation_into() -> None:
    shop = Shop()
    own = {**typed_row(OWN, workshop(), workshop()), "languages": "en, fr", "seen": "1"}
    refused = shop.post("/shop/catalogue/workshop", "owner", **own)
    assert refused.status_code == 422
    assert "no translation yet for: fr. There is: en (English), de (Deutsch)" in refused.text
    assert parsed(refused.text).xpath("//main//input[@name='languages']/@value") == ["en, fr"]
