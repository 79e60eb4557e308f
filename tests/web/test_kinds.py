"""Every kind of thing on its way from the form to what the bench prints: asked for, proved, approved, cut."""

import re
from urllib.parse import urlencode

import pytest

from service.design import KINDS, USUAL_KIND
from service.storage import Order
from tests.makers import client, parsed
from tests.web.customers import WHO, hidden, said
from tests.web.shop_makers import Shop

ASKED: dict[str, dict[str, str]] = {
    "collar": {"neck": "19 in"},
    "limited-slip": {"kind": "limited-slip", "neck": "14 in", "head": "17 in", "lacing": "whip"},
    "set": {
        "kind": "set",
        "neck": "16 in",
        "length": "6 ft",
        "make": "two-part",
        "lettering": "BISCUIT",
        "border": "rope",
        "studs": "2 in",
        "lining": "padded-calf",
        "thread": "bark-thread",
        "ring_at": "folded-tab",
    },
    "lead": {
        "kind": "lead",
        "length": "180 cm",
        "make": "traffic-loop",
        "width": "1 1/4 in",
        "lacing": "whip",
        "lettering": "BISCUIT",
        "letters": "plate",
        "qr": "020 7946 0958",
    },
}
"""Something of each kind."""
IN_USE = {"collar": 2, "limited-slip": 3, "set": 2, "lead": 2}
"""How many pictures show it in use; of a limited-slip collar that is adorned its outside too."""
PATHS = ("/preview.svg", "/pattern.svg", "/pattern.pdf", "/pattern.dxf", "/design.json")


def test_there_is_one_of_each() -> None:
    assert ASKED.keys() == KINDS.keys()


@pytest.fixture(params=[kind for kind in KINDS if kind != USUAL_KIND])
def kind(request: pytest.FixtureRequest) -> str:
    return str(request.param)


def asked(shop: Shop, kind: str) -> tuple[Order, str]:
    """The order of something of this kind, and the customer's page of it."""
    browser, path = client(shop.app), f"/ask?{urlencode(ASKED[kind])}"
    browser.follow_redirects = False
    answer = browser.post(path, data={**hidden(browser.get(path).text), **WHO})
    assert answer.status_code == 303, said(answer.text)
    return shop.kept(1), answer.headers["location"]


@pytest.mark.parametrize("language", ["en", "de"])
def test_its_page_asks_only_what_it_needs_and_is_whole(kind: str, language: str) -> None:
    browser = client(Shop().app)
    text = browser.get("/", params=ASKED[kind], headers={"Accept-Language": language}).text
    page = parsed(text)
    fields = {one.get("name") for one in page.xpath("//form[@id='wish']//input")} - {"kind"}
    assert fields == {*KINDS[kind].asks}
    assert page.xpath("//nav[@class='kinds']//a[@aria-current]/text()")
    assert len(page.xpath("//figure[@id='worn']//*[local-name()='svg']")) == IN_USE[kind]
    assert page.xpath("//form[@id='wish']//input[@name='kind']/@value") == [kind]


@pytest.mark.parametrize("path", PATHS)
def test_every_file_of_it_is_made(kind: str, path: str) -> None:
    answer = client(Shop().app).get(path, params=ASKED[kind])
    assert answer.status_code == 200, answer.text
    assert len(answer.content) > 2_000


@pytest.mark.parametrize("path", ["/strength", "/price", "/bench", "/files", "/prints", "/compare", "/match"])
def test_every_page_about_it_answers(kind: str, path: str) -> None:
    first = {f"first-{name}": text for name, text in ASKED[kind].items()} if path == "/compare" else {}
    assert client(Shop().app).get(path, params={**ASKED[kind], **first}).status_code == 200


def test_it_is_asked_for_proved_approved_and_cut(kind: str) -> None:
    shop = Shop()
    order, page = asked(shop, kind)
    assert order.design.kind == kind
    browser = client(shop.app)
    assert browser.get(page).status_code == 200
    assert shop.maker.get("/shop").status_code == 200
    assert shop.maker.get("/shop/orders/1").status_code == 200
    assert shop.proof(1).status_code == 303
    proof = browser.get(page.replace("/o/", "/p/"))
    assert proof.status_code == 200
    assert len(parsed(proof.text).xpath("//main//*[local-name()='svg']")) >= 4
    assert len(parsed(proof.text).xpath("//*[@class='pair']//*[local-name()='svg']")) == IN_USE[kind]
    has_holes = kind in {"collar", "set"}
    assert bool(parsed(proof.text).xpath("//table[@class='holes']")) == has_holes
    assert ("Distances from the buckle end" in proof.text) == has_holes
    captions = [one.text for one in parsed(proof.text).xpath("//figure/figcaption")]
    assert all(captions)
    assert ("Buckle end" in captions) == has_holes
    assert browser.get(f"{page.replace('/o/', '/p/')}/proof.pdf").status_code in {200, 404}
    shop.answer(1)
    assert shop.kept(1).stage == "approved"
    assert browser.get(page).status_code == 200
    for name in ("pattern.pdf", "pattern.svg", "pattern.dxf", "strip.pdf", "prints"):
        assert shop.maker.get(f"/shop/orders/1/{name}").status_code == 200, name


def test_its_design_can_be_changed_by_the_maker(kind: str) -> None:
    shop = Shop()
    asked(shop, kind)
    text = shop.maker.get("/shop/orders/1/design").text
    assert parsed(text).xpath("//form//input[@name='kind']/@value")[0] == kind
    plain = dict.fromkeys(("border", "lacing", "studs", "letters", "qr"), "")
    changed = {**ASKED[kind], **plain, "width": "3/4 in", "seen": str(shop.kept(1).row_version)}
    answer = shop.post("/shop/orders/1/design", **changed)
    assert answer.status_code == 303, said(answer.text)
    assert (shop.kept(1).design.kind, f"{shop.kept(1).design.width:.2f}") == (kind, "19.05")


def test_end_templates_are_a_buckle_s_alone(kind: str) -> None:
    answer = client(Shop().app).get("/templates.pdf", params=ASKED[kind])
    assert answer.status_code == (200 if kind == "set" else 422)


def test_what_was_typed_goes_along_to_another_kind_and_back() -> None:
    page = parsed(client(Shop().app).get("/?neck=19+in&measured=existing-collar&holes=7&width=1+in").text)
    links = {one.text_content().strip(): one.get("href") for one in page.xpath("//nav[@class='kinds']//a")}
    assert links["Lead"] == "/?neck=19+in&measured=existing-collar&holes=7&width=1+in&kind=lead"
    # A limited-slip collar is not measured by an existing one.
    assert links["Limited-slip collar"] == "/?neck=19+in&holes=7&width=1+in&kind=limited-slip"
    back = parsed(client(Shop().app).get(links["Lead"]).text)
    (link,) = (
        one.get("href") for one in back.xpath("//nav[@class='kinds']//a") if "Buckle" in one.text_content()
    )
    assert "holes=7" in link
    assert "neck=19+in" in link


@pytest.mark.parametrize("neck", ["7 in", "14 in", "50 cm", "33"])
def test_another_kind_asks_for_the_measure_it_needs_and_finds_no_fault_yet(neck: str) -> None:
    link = f"/?{urlencode({'kind': 'limited-slip', 'neck': neck})}"
    answer = client(Shop().app).get(link)
    page = parsed(answer.text)
    assert answer.status_code == 200
    assert page.xpath("//input[@name='neck']/@value") == [neck]
    assert "Measure the dog's head at its widest" in said(answer.text)
    assert not page.xpath("//*[@aria-invalid or @class='wrong' or @role='group']")
    assert len(page.xpath("//figure[@id='worn']//*[local-name()='svg']")) == 2
    assert not page.xpath("//a[starts-with(@href, '/ask')]"), "an example can't be asked for"
    # Sent without it, the form says that it is missing; so does the description of the design.
    sent = client(Shop().app).get(f"{link}&head=")
    assert sent.status_code == 422
    assert parsed(sent.text).xpath("//input[@name='head']/@aria-invalid") == ["true"]
    assert client(Shop().app).get(link.replace("/?", "/design.json?")).status_code == 422


@pytest.mark.parametrize(("asked", "drawn"), [("kind=lead&length=1+in", "-lead"), ("neck=2+in", "")])
def test_what_is_refused_is_sketched_as_what_it_is(asked: str, drawn: str) -> None:
    answer = client(Shop().app).get(f"/?{asked}")
    assert answer.status_code == 422
    assert re.search(rf"/static/img/no-drawing{drawn}\.svg", answer.text)
