"""Every word that people read comes from the catalogues: shown in a language with no plain letter in it."""

import re
from collections.abc import Iterator
from dataclasses import replace
from gettext import NullTranslations

import pytest
from starlette.testclient import TestClient

from service.language import ENGLISH, Language
from service.settings import ROOT
from service.storage import change_customer, customer_by_id
from service.web.catalogue_counts import COUNTS
from service.web.pages import Pages
from service.web.texts import LITERAL, TOKEN, WORDY
from service.workshop import Leather
from tests.makers import parsed, workshop
from tests.web.customers import Customer

ACCENTS = str.maketrans(
    "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ",
    "áƀçďéƒǧĥíĵķĺɱñóƥɋŕšťúṽŵẋýžÁßÇĎÉƑǦĤÍĴĶĹṀÑÓƤɊŔŠŤÚṼŴẊÝŽ",
)
PLACE = re.compile(r"\{[a-z_0-9]+\}")
WORD = re.compile(r"[A-Za-z]{2,}")
HASH = re.compile(r"[0-9A-F]{4}-[0-9A-F]{4}|[0-9a-f]{64}|/\S+")
UNITS = "mm cm in kg lb oz min ft sq USD UTC SHA RFC PDF SVG JSON CSV"
DATES = "Montag Dienstag Mittwoch Donnerstag Freitag Samstag Sonntag Januar Februar März April Mai Juni Juli"
MONTHS = "August September Oktober November Dezember Jan Feb Apr Jun Jul Aug Sep Sept Okt Nov Dez"
DAYS = "Mo Di Mi Do Fr Sa So"


def accented(text: str) -> str:
    """A text of a catalogue in that language: longer by two fifths, its places and values as they are."""
    parts, at = [], 0
    for found in (PLACE if "{{" not in text else TOKEN).finditer(text):
        said = LITERAL.sub(lambda one: _literal(one[0]), found[0]) if found[0].startswith("{{") else found[0]
        parts += [text[at : found.start()].translate(ACCENTS), said]
        at = found.end()
    parts.append(text[at:].translate(ACCENTS))
    return "".join(parts) + "·" * (len(text) * 2 // 5 if " " in text and "<" not in text else 0)


def _literal(text: str) -> str:
    return text.translate(ACCENTS) if WORDY.search(text) else text


class Accented(NullTranslations):
    """A catalogue that has everything."""

    def gettext(self, message: str) -> str:
        if "<" in message and "{{" not in message:
            return "".join(part if part.startswith("<") else accented(part) for part in _parts(message))
        return accented(message)

    def ngettext(self, msgid1: str, msgid2: str, n: int) -> str:
        return accented(msgid1 if n == 1 else msgid2)


def _parts(message: str) -> Iterator[str]:
    at = 0
    for found in TOKEN.finditer(message):
        yield message[at : found.start()]
        yield found[0]
        at = found.end()
    yield message[at:]


PSEUDO = Language("de", "Ƥšéúďó", Accented(), ",")
"""It takes the place of a language that the demo workshop offers, so that dates and sums have a locale."""


ASKED = {"Accept-Language": "de", "Accept": "text/html"}


def data_words() -> set[str]:
    """The words that the workshop and the customer brought themselves."""
    names = " ".join(
        re.findall(r'(?:name|code|step|tax_name)="?\'?([^"\'=]+)', str(workshop()).replace("='", '="'))
    )
    own = "Ada Example ada mail example Biscuit BISCUIT REX For walks By Christmas Oxlip Bench Mia Ola Rea"
    own += " Maker Owner Reader https file csv"
    own += " ".join(["", *Leather.model_fields, *(one.name for one in COUNTS)])  # a file's columns
    return set(WORD.findall(f"{names} {own} {UNITS} {DATES} {MONTHS} {DAYS}"))


@pytest.fixture(scope="module")
def customer() -> Customer:
    made = Customer()
    house = made.shop.app.state.house
    pages = Pages(ROOT / "templates", ROOT / "static", [ENGLISH, PSEUDO], house.pages.offered)
    pages.know("is_demo", lambda: True)
    made.shop.app.state.house = replace(house, pages=pages)
    with made.shop.database.writing() as connection:
        asks = customer_by_id(connection, made.order.customer_id)
        change_customer(connection, replace(asks, language="de"), made.act)
    return made


def plain(browser: TestClient, path: str) -> set[str]:
    """The plain words on a page that are nobody's data."""
    return plain_words(browser.get(path, headers=ASKED, follow_redirects=True).text)


def plain_words(text: str) -> set[str]:
    """The same of a page's source."""
    page = parsed(text)
    for hidden in page.xpath("//script | //style | //textarea | //*[@lang='en'] | //code"):
        hidden.drop_tree()
    texts = [*page.xpath("//text()"), *page.xpath("//@aria-label | //@alt | //@title | //@placeholder")]
    return set(WORD.findall(HASH.sub("", " ".join(texts)))) - data_words()


@pytest.mark.parametrize(
    "path",
    [
        "/",
        "/?neck=42+cm&studs=2+in&lettering=Rex&style=heel-bar&weight=20+kg&coat=thick-over",
        "/?neck=16+in&measured=tape-snug&coat=thick-under&fingers=3&fastening=screw-post",
        "/?neck=lots&width=3&holes=99&studs=1+mm",
        "/?neck=42+cm&measured=%25&style=%25&leather=%25&finish=%25&fastening=%25&end=%25&fingers=%25",
        "/embed?neck=42+cm",
        "/embed?neck=lots",
        "/ask?neck=42+cm",
        "/terms",
        "/nothing",
        "/o/nothing",
    ],
)
def test_a_public_page_says_nothing_that_no_catalogue_has(customer: Customer, path: str) -> None:
    assert plain(customer.browser, path) == set()


def test_a_customers_order_and_proof_say_nothing_that_no_catalogue_has(customer: Customer) -> None:
    assert plain(customer.browser, customer.order_page) == set()
    customer.proof()
    assert plain(customer.browser, customer.order_page) == set()
    assert plain(customer.browser, customer.proof_page) == set()


def test_a_word_in_no_catalogue_would_be_found(customer: Customer) -> None:
    assert "Deutsch" not in plain(customer.browser, "/")
    answer = customer.browser.get("/", headers={"Accept-Language": "en"})
    assert "Collars" in set(WORD.findall(answer.text)) - data_words()


SHOP = [
    "/shop",
    "/shop/quote",
    "/shop/quote?neck=42+cm&studs=2+in",
    "/shop/orders/1",
    "/shop/orders/1/design?neck=43+cm",
    "/shop/customers",
    "/shop/members",
    "/shop/catalogue",
    "/shop/catalogue/leathers",
    "/shop/catalogue/rates",
    "/shop/catalogue/leathers/row?key=chestnut",
    "/shop/catalogue/leathers/import",
    "/shop/catalogue/leathers/stock",
    "/shop/catalogue/history",
    "/shop/catalogue/history/1",
    "/shop/catalogue/terms",
    "/shop/customers?find=ada",
    "/shop/orders/99",
    "/shop/upkeep",
    "/shop/connections",
]


@pytest.mark.parametrize("path", SHOP)
def test_a_page_of_the_shop_says_nothing_that_no_catalogue_has(customer: Customer, path: str) -> None:
    assert plain(customer.shop.browsers["owner"], path) == set()


TYPED = "%%%"
"""No form takes it, and it is no word."""


def sent(browser: TestClient, path: str) -> Iterator[tuple[str, str]]:
    """Every form of a page sent with nothing sensible in it: which it was, and the page that refuses it."""
    page = parsed(browser.get(path, headers=ASKED, follow_redirects=True).text)
    for form in page.xpath("//main//form[@method='post']"):
        fields = {
            name: field.get("value", "") if field.get("type") in {"hidden", "radio"} else TYPED
            for field in form.xpath(".//input[@name] | .//textarea[@name] | .//select[@name]")
            if (name := field.get("name")) and field.get("type") not in {"file", "checkbox"}
        }
        action = form.get("action") or path
        files = {"file": ("file.csv", TYPED)} if form.get("enctype") else None
        answer = browser.post(action, data=fields, files=files, headers=ASKED)
        if 400 <= answer.status_code < 500:
            yield action, answer.text


REFUSING = [
    "/shop/catalogue/leathers/row",
    "/shop/catalogue/fasteners/row",
    "/shop/catalogue/stamps/row",
    "/shop/catalogue/times/row",
    "/shop/catalogue/leathers/import",
    "/shop/catalogue/rates",
    "/shop/catalogue/leathers/stock",
    "/shop/members",
    "/shop/connections",
    "/shop/orders/1",
    "/shop/quote?neck=42+cm",
]


@pytest.mark.parametrize("path", REFUSING)
def test_a_form_that_is_refused_says_nothing_that_no_catalogue_has(customer: Customer, path: str) -> None:
    refused = dict(sent(customer.shop.browsers["owner"], path))
    assert refused
    assert {action: words for action, text in refused.items() if (words := plain_words(text))} == {}


def test_a_customers_form_that_is_refused_says_nothing_that_no_catalogue_has(customer: Customer) -> None:
    refused = dict(sent(customer.browser, "/ask?neck=42+cm"))
    assert refused
    assert all(not plain_words(text) for text in refused.values())
