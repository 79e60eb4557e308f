from dataclasses import replace
from urllib.parse import parse_qs, urlsplit

import pytest
from starlette.testclient import TestClient

from service.settings import ROOT
from service.storage import Act, keep_settings, workshop_settings
from service.web.counts import Counts
from service.web.pace import DRAWINGS
from service.web.security import CONTENT_SECURITY_POLICY
from service.web.sites import FramedBy
from tests.makers import LINK, SHOP, app, client, parsed, workshop_with
from tests.web.door_makers import NOON, Door

SITES = ("https://www.shop.example", "http://localhost:3000")
HTMX = {"HX-Request": "true", "HX-Request-Type": "partial"}


@pytest.fixture(scope="module")
def door() -> Door:
    door = Door()
    with door.database.writing() as connection:
        _, seen = workshop_settings(connection, SHOP, FramedBy)
        keep_settings(connection, SHOP, FramedBy(framed_by=SITES), Act("service", "test", NOON), seen=seen)
    return door


@pytest.fixture
def ask(door: Door) -> TestClient:
    return client(door.app)


def rule(ask: TestClient, path: str, name: str = "frame-ancestors") -> str:
    """What the policy of an answer says of something."""
    (policy,) = ask.get(path).headers.get_list("Content-Security-Policy")
    return dict(part.strip().split(" ", 1) for part in policy.split(";"))[name]


@pytest.mark.parametrize(
    "query", ["", f"?{LINK}", "?neck=lots", "?no=parameter", "?neck=%ff", "?x=" + "y" * 5000]
)
def test_listed_sites_and_no_others_may_frame_the_page_whatever_it_answers(
    ask: TestClient, query: str
) -> None:
    assert rule(ask, f"/embed{query}") == " ".join(SITES)
    headers = ask.get(f"/embed{query}").headers
    # A page that is isolated from others can frame it too (HTML, 7.1.4, cross-origin embedder policies).
    assert headers["Cross-Origin-Resource-Policy"] == "cross-origin"
    assert headers["Cross-Origin-Embedder-Policy"] == "require-corp"
    assert "X-Frame-Options" not in headers  # it knows no list, and would contradict the policy


def test_nothing_else_of_its_policy_is_looser(ask: TestClient) -> None:
    strict = CONTENT_SECURITY_POLICY.replace("'none'; object-src", f"{' '.join(SITES)}; object-src")
    assert ask.get("/embed").headers["Content-Security-Policy"] == strict


def test_while_no_site_is_listed_none_may_frame_it() -> None:
    assert rule(client(), "/embed") == "'none'"


@pytest.mark.parametrize(
    "path", ["/", f"/?{LINK}", f"/ask?{LINK}", "/shop/sign-in", "/o/x", "/p/x", "/embed.js"]
)
def test_nothing_else_may_be_framed_by_anybody(ask: TestClient, path: str) -> None:
    assert rule(ask, path) == "'none'"


def test_a_change_of_the_list_is_in_force_at_once(door: Door, ask: TestClient) -> None:
    with door.database.writing() as connection:
        _, seen = workshop_settings(connection, SHOP, FramedBy)
        keep_settings(
            connection, SHOP, FramedBy(framed_by=SITES[:1]), Act("service", "test", NOON), seen=seen
        )
        assert rule(ask, "/embed") == " ".join(SITES)  # not before it is kept
    assert rule(ask, "/embed") == SITES[0]
    with door.database.writing() as connection:
        keep_settings(
            connection, SHOP, FramedBy(framed_by=SITES), Act("service", "test", NOON), seen=seen + 1
        )


def links(text: str) -> list[tuple[str, str]]:
    """Where the links and forms of a page lead, and in which window."""
    page = parsed(text)
    found = [(one.get("href"), one.get("target", "_self")) for one in page.xpath("//a[@href]")]
    return [*found, *((one.get("action"), one.get("target", "_self")) for one in page.xpath("//form"))]


@pytest.mark.parametrize(
    "query", ["", f"?{LINK}", f"?{LINK}&neck=60+cm&weight=3+kg", "?neck=lots&width=3+in"]
)
@pytest.mark.parametrize("headers", [{}, HTMX])
def test_every_link_stays_in_the_frame_or_opens_a_window(
    ask: TestClient, query: str, headers: dict[str, str]
) -> None:
    led = links(ask.get(f"/embed{query}", headers=headers).text)
    stays = [href for href, target in led if target == "_self"]
    assert stays or headers
    for href in stays:
        assert href.startswith("#") or urlsplit(href).path == "/embed", href
    assert {target for _, target in led} <= {"_self", "_blank"}


def test_the_same_page_has_the_same_links_at_its_own_address_without_another_window(ask: TestClient) -> None:
    led = links(ask.get(f"/?{LINK}").text)
    assert not [href for href, target in led if target != "_self" or "/embed" in href]
    assert [href for href, _ in led if href.startswith("/ask?")]


def test_the_enquiry_opens_a_window_that_says_so_and_can_not_reach_back(ask: TestClient) -> None:
    way, *again = parsed(ask.get(f"/embed?{LINK}").text).xpath("//a[starts-with(@href, '/ask?')]")
    assert {one.get("href") for one in again} == {way.get("href")}, "as well beside the design as the price"
    assert (way.get("target"), way.get("rel")) == ("_blank", "noopener")
    assert "in a new window" in way.getparent().text_content()


def test_what_leads_out_of_a_problem_stays_in_the_frame(ask: TestClient) -> None:
    answer = ask.get("/embed?neck=19+in&colour=red")
    assert answer.status_code == 422
    (way,) = parsed(answer.text).xpath("//a[contains(., 'Leave')]/@href")
    assert urlsplit(way).path == "/embed"
    assert parse_qs(urlsplit(way).query) == {"neck": ["19 in"]}


def test_the_link_to_a_design_leads_to_its_own_page(ask: TestClient) -> None:
    (shared,) = parsed(ask.get(f"/embed?{LINK}").text).xpath("//input[@id='share-link']/@value")
    assert urlsplit(shared).path == "/"


def test_parts_are_the_frames_own_and_name_its_address(ask: TestClient) -> None:
    for query, status in ((LINK, 200), ("neck=lots", 422)):
        answer = ask.get(f"/embed?{query}", headers=HTMX)
        assert answer.status_code == status
        assert answer.headers["HX-Replace-Url"].startswith("/embed?")
        assert answer.headers["Vary"].startswith("HX-Request")
        assert "<html" not in answer.text


def test_the_framed_page_has_no_shop_front_and_one_heading(ask: TestClient) -> None:
    page = parsed(ask.get(f"/embed?{LINK}").text)
    assert page.xpath("//header//a") == []
    assert [one.text for one in page.xpath("//h1")] == ["Collars and leads to measure"]
    assert page.xpath("//form[@id='wish']/@action") == ["/embed"]


def test_a_page_of_trouble_leads_back_into_the_frame(ask: TestClient) -> None:
    page = parsed(ask.get("/embed?neck=%ff").text)
    assert page.xpath("//main//a/@href") == ["/embed"]


@pytest.mark.parametrize(("path", "tag"), [("/embed/de", "de"), ("/embed/en", "en"), ("/embed/fr", "es")])
def test_the_shops_line_may_name_a_language_that_stays_in_the_frame(
    ask: TestClient, path: str, tag: str
) -> None:
    # One that is not offered, any longer perhaps, leaves it to the browser.
    headers = {"Accept-Language": "de" if tag == "en" else "en"}
    answer = ask.get(f"{path}?{LINK}&neck=lots", headers=headers)
    here = path if tag != "es" else "/embed"
    assert answer.headers["Content-Language"] == (tag if tag != "es" else "en")
    page = parsed(answer.text)
    assert page.xpath("//form[@id='wish']/@action") == [here]
    stays = [urlsplit(href).path for href, target in links(answer.text) if target == "_self"]
    assert {*filter(None, stays)} == {here}
    strong = ask.get(f"{path}/strength?{LINK}", headers={**HTMX, **headers})
    assert {urlsplit(href).path for href, _ in links(strong.text) if href[:1] == "/"} <= {here}
    part = ask.get(f"{path}?{LINK}", headers={**HTMX, **headers})
    assert part.headers["HX-Replace-Url"].startswith(f"{here}?")
    assert rule(ask, path) == " ".join(SITES)


def test_no_other_address_takes_a_language(ask: TestClient) -> None:
    assert [ask.get(path).status_code for path in ("/embed/DE", "/embed/de/x", "/de", "/embed/d")] == [
        404
    ] * 4


def test_whoever_asks_too_often_is_told_so_in_the_frame() -> None:
    door = Door()
    with door.database.writing() as connection:
        _, seen = workshop_settings(connection, SHOP, FramedBy)
        keep_settings(connection, SHOP, FramedBy(framed_by=SITES), Act("service", "test", NOON), seen=seen)
    browser = door.browser(place="192.0.2.6")
    door.app.state.house = replace(door.house, counts=Counts(lambda: 0.0))
    answers = [browser.get(f"/embed/de?{LINK}") for _ in range(DRAWINGS.amount + 1)]
    held = answers[-1]
    assert (answers[-2].status_code, held.status_code) == (200, 429)
    assert held.headers["Content-Language"] == "de"
    assert f"frame-ancestors {' '.join(SITES)};" in held.headers["Content-Security-Policy"]
    page = parsed(held.text)
    assert page.xpath("//main//a/@href") == [f"/embed/de?{LINK}"]
    assert page.xpath("//script[contains(@src, 'framed.js')]")  # the page around it learns its height
    assert not page.xpath("//header//a | //form")


def test_an_empty_workshop_says_so_in_the_frame_and_asks_nobody_to_sign_in() -> None:
    answer = client(app(rows=workshop_with(leathers=(), buckles=()))).get("/embed/de")
    page = parsed(answer.text)
    assert (answer.status_code, answer.headers["Content-Language"]) == (200, "de")
    assert [one.text for one in page.xpath("//h1")] == ["Hier kann noch nichts gemacht werden"]
    assert not page.xpath("//a[not(@class='skip')] | //form")
    assert page.xpath("//script[contains(@src, 'framed.js')]")


def test_the_script_may_be_run_by_any_site_and_kept_for_an_hour(ask: TestClient) -> None:
    answer = ask.get("/embed.js?leather=chestnut")
    assert answer.headers["Content-Type"].startswith("text/javascript")
    assert answer.headers["Cross-Origin-Resource-Policy"] == "cross-origin"
    assert answer.headers["Cache-Control"] == "public, max-age=3600"
    assert answer.content == (ROOT / "static" / "js" / "embed.js").read_bytes()
