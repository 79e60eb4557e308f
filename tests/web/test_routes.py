import gzip
import re
from urllib.parse import parse_qs, urlsplit

import pypdfium2
import pytest
from lxml import etree
from starlette.testclient import TestClient

from service.settings import Settings
from tests.makers import LINK, app, client, parsed, pattern

SVG_TAG = "{http://www.w3.org/2000/svg}svg"
PAGE = "text/html; charset=utf-8"
HTMX = {"HX-Request": "true", "HX-Request-Type": "partial"}
BROWSER = {"Accept": "text/html,application/xhtml+xml,application/xml;q=0.9,*/*;q=0.8"}
IMAGE = {"Accept": "image/avif,image/webp,image/svg+xml,image/*,*/*;q=0.8"}
ROUTES = [
    "/",
    f"/?{LINK}",
    f"/preview.svg?{LINK}",
    f"/pattern.svg?{LINK}",
    f"/pattern.pdf?{LINK}",
    f"/pattern.dxf?{LINK}",
    f"/templates.pdf?{LINK}",
    "/tape.pdf",
    f"/prints?{LINK}",
    f"/design.json?{LINK}",
    "/healthz",
    "/robots.txt",
    "/favicon.ico",
    "/openapi.json",
    "/static/img/favicon.svg",
]


@pytest.fixture(scope="module")
def ask() -> TestClient:
    return client()


@pytest.mark.parametrize("path", ROUTES)
def test_every_address_answers(ask: TestClient, path: str) -> None:
    answer = ask.get(path)
    assert answer.status_code == 200
    assert answer.content


@pytest.mark.parametrize("path", ROUTES)
def test_every_address_answers_head_like_get_with_the_same_headers(ask: TestClient, path: str) -> None:
    full, head = ask.get(path), ask.head(path)
    assert head.status_code == 200
    assert head.headers == full.headers


def test_the_first_page_is_an_example_with_an_empty_neck(ask: TestClient) -> None:
    answer = ask.get("/")
    assert answer.headers["Content-Type"] == PAGE
    page = parsed(answer.text)
    assert page.xpath("//input[@name='neck']/@value") == [""]
    assert "Example" in answer.text


def test_a_design_is_a_page_with_its_drawing_its_price_and_what_was_typed(ask: TestClient) -> None:
    page = parsed(ask.get("/", params={"neck": "19 in", "lettering": "Bella & Co"}).text)
    assert page.xpath("//input[@name='neck']/@value") == ["19 in"]
    assert page.xpath("//input[@name='lettering']/@value") == ["Bella & Co"]
    assert len(page.xpath("//*[local-name()='svg']")) > 4
    assert re.search(r"\$\d+\.\d\d", page.text_content())


def test_links_carry_the_unit_of_a_bare_number_and_the_field_keeps_what_was_typed(ask: TestClient) -> None:
    query = {"neck": "19", "weight": "5", "width": "1"}
    answer = ask.get("/", params=query)
    page = parsed(answer.text)
    for name in ("neck", "weight"):
        assert page.xpath(f"//input[@name='{name}']/@value") == [query[name]]
    links = [link for _, _, link, _ in page.iterlinks() if "neck=" in link]
    links += page.xpath("//input[@id='share-link']/@value")
    assert any(link.startswith("/ask?") for link in links)
    for link in links:
        asked = {name.removeprefix("first-"): text for name, text in parse_qs(urlsplit(link).query).items()}
        assert asked["width"] == ["1 in"]
        assert asked["neck"] in (["19 in"], ["19 cm"])
        assert asked.get("weight", ["5 lb"]) == ["5 lb"]
    assert ask.get("/", params=query, headers=HTMX).headers["HX-Replace-Url"] == (
        "/?neck=19+in&weight=5+lb&width=1+in"
    )
    refused = ask.get("/", params={**query, "holes": "99"}, headers=HTMX)
    assert refused.headers["HX-Replace-Url"] == "/?neck=19+in&weight=5+lb&width=1+in&holes=99"


def test_every_link_of_the_page_leads_to_an_answer(ask: TestClient) -> None:
    page = parsed(ask.get("/", params={"neck": "19 in", "studs": "2 in", "lettering": "Rex"}).text)
    followed = (link for row, _, link, _ in page.iterlinks() if row.get("method") != "post")
    links = {link for link in followed if link.startswith("/")}
    (files,) = (link for link in links if link.startswith("/files?"))
    links |= {link for _, _, link, _ in parsed(ask.get(files).text).iterlinks() if link.startswith("/")}
    assert {"/pattern.pdf", "/pattern.svg", "/preview.svg", "/design.json", "/compare", "/measure"} <= {
        urlsplit(link).path for link in links
    }
    links -= {"/language"}  # where the choice of one is sent
    assert {link: ask.get(link).status_code for link in links} == dict.fromkeys(links, 200)


def test_a_script_gets_only_what_changes_and_the_address_without_empty_fields(ask: TestClient) -> None:
    answer = ask.get("/", params={"neck": "19 in", "weight": "", "width": "1 in"}, headers=HTMX)
    assert answer.status_code == 200
    assert "<html" not in answer.text
    assert "hx-partial" in answer.text
    assert answer.headers["HX-Replace-Url"] == "/?neck=19+in&width=1+in"


@pytest.mark.parametrize(
    "headers",
    [{"HX-Request": "true", "HX-Request-Type": "full"}, {**HTMX, "HX-History-Restore-Request": "true"}, {}],
)
def test_whoever_needs_the_whole_page_gets_it(ask: TestClient, headers: dict[str, str]) -> None:
    assert ask.get("/", params={"neck": "19 in"}, headers=headers).text.startswith("<!doctype html>")


@pytest.mark.parametrize("headers", [HTMX, {}])
@pytest.mark.parametrize("query", [LINK, "neck=no"])
def test_caches_are_told_that_page_and_parts_share_an_address(
    ask: TestClient, headers: dict[str, str], query: str
) -> None:
    assert "HX-Request, HX-Request-Type" in ask.get(f"/?{query}", headers=headers).headers["Vary"]


def test_the_preview_is_one_drawing_to_show_in_place(ask: TestClient) -> None:
    answer = ask.get(f"/preview.svg?{LINK}")
    assert answer.headers["Content-Type"] == "image/svg+xml"
    assert answer.headers["Content-Disposition"] == "inline"
    assert etree.fromstring(answer.content).tag == SVG_TAG


def test_an_unchanged_preview_is_not_sent_again(ask: TestClient) -> None:
    first = ask.get(f"/preview.svg?{LINK}")
    again = ask.get(f"/preview.svg?{LINK}", headers={"If-None-Match": first.headers["ETag"]})
    other = ask.get(f"/preview.svg?{LINK}&studs=2+in", headers={"If-None-Match": first.headers["ETag"]})
    assert (again.status_code, again.content, again.headers["ETag"]) == (304, b"", first.headers["ETag"])
    assert other.status_code == 200


def test_the_pattern_is_saved_as_a_drawing_in_millimetres(ask: TestClient) -> None:
    answer = ask.get(f"/pattern.svg?{LINK}")
    root = etree.fromstring(answer.content)
    assert answer.headers["Content-Disposition"] == 'attachment; filename="collar-19-in-1-in-chestnut.svg"'
    assert root.tag == SVG_TAG
    assert str(root.get("width")).endswith("mm")
    assert float(str(root.get("width")).removesuffix("mm")) > pattern().layout.length


@pytest.mark.parametrize(
    ("paper", "size"),
    # ISO 216 A4 and US Letter, landscape or portrait [mm].
    [("a4", {210.0, 297.0}), ("letter", {215.9, 279.4}), ("", {210.0, 297.0})],
)
def test_the_pattern_is_printed_on_the_paper_asked_for(ask: TestClient, paper: str, size: set[float]) -> None:
    answer = ask.get(f"/pattern.pdf?{LINK}&paper={paper}")
    assert answer.headers["Content-Type"] == "application/pdf"
    assert answer.headers["Content-Disposition"] == 'attachment; filename="collar-19-in-1-in-chestnut.pdf"'
    for width, height in (page.get_size() for page in pypdfium2.PdfDocument(answer.content)):
        assert {round(width / 72 * 25.4, 1), round(height / 72 * 25.4, 1)} == size


def test_a_roll_is_one_page(ask: TestClient) -> None:
    printed = pypdfium2.PdfDocument(ask.get(f"/pattern.pdf?{LINK}&paper=roll").content)
    assert len(printed) == 1
    assert printed[0].get_width() / 72 * 25.4 > pattern().layout.length


def test_the_print_carries_the_address_of_the_design() -> None:
    ask = client(app(Settings(origin="https://collars.example", allowed_hosts=("localhost",))))
    printed = pypdfium2.PdfDocument(ask.get(f"/pattern.pdf?{LINK}").content)
    text = "".join("".join(page.get_textpage().get_text_bounded().split()) for page in printed)
    assert "https://collars.example/?neck=19+in" in text


def test_the_same_design_is_the_same_file_to_the_byte(ask: TestClient) -> None:
    for path in (
        f"/pattern.pdf?{LINK}",
        f"/pattern.svg?{LINK}",
        f"/pattern.dxf?{LINK}",
        f"/templates.pdf?{LINK}",
        f"/preview.svg?{LINK}",
        f"/design.json?{LINK}",
    ):
        assert ask.get(path).content == ask.get(path).content


def test_the_service_says_that_it_is_well_and_whose_it_is(ask: TestClient) -> None:
    answer = ask.get("/healthz")
    assert answer.json()["status"] == "ok"
    assert answer.json()["workshop"] == "Oxlip Bench"
    assert re.fullmatch(r"\d+\.\d+\.\d+", answer.json()["version"])
    assert answer.headers["Cache-Control"] == "no-store"


def test_crawlers_are_kept_to_the_first_page(ask: TestClient) -> None:
    assert ask.get("/robots.txt").text.splitlines()[-1] == "Disallow: /"


def test_links_begin_with_the_origin_that_is_set_and_else_with_the_host_asked() -> None:
    def link(settings: Settings) -> str:
        page = parsed(client(app(settings)).get("/?neck=19+in").text)
        return str(page.xpath("//input[@id='share-link']/@value")[0])

    assert link(Settings(origin="https://collars.example", allowed_hosts=("localhost",))) == (
        "https://collars.example/?neck=19+in"
    )
    assert link(Settings()) == "http://localhost:8000/?neck=19+in"


def test_a_print_has_a_code_to_scan_only_where_the_origin_is_set() -> None:
    def drawn(settings: Settings) -> str:
        return client(app(settings)).get("/pattern.svg?neck=19+in").text

    assert "scan-code" in drawn(Settings(origin="https://collars.example", allowed_hosts=("localhost",)))
    assert "scan-code" not in drawn(Settings())


def test_text_is_compressed_when_that_is_understood_and_pdf_is_not_compressed_twice(ask: TestClient) -> None:
    page = ask.get("/", headers={"Accept-Encoding": "gzip"})
    assert page.headers["Content-Encoding"] == "gzip"
    assert "Accept-Encoding" in page.headers["Vary"]
    assert "Content-Encoding" not in ask.get("/", headers={"Accept-Encoding": "identity"}).headers
    assert "Content-Encoding" not in ask.get(f"/pattern.pdf?{LINK}").headers


def test_the_first_page_stays_small_for_a_slow_connection(ask: TestClient) -> None:
    assert len(gzip.compress(ask.get("/").content, 5)) < 20_000


def test_parameters_mean_the_same_at_every_address(ask: TestClient) -> None:
    page = parsed(ask.get("/", params={"neck": "14 in", "width": "3/4 in", "style": "heel-bar"}).text)
    for link in page.xpath("//section[@id='take']//a/@href"):
        query = parse_qs(urlsplit(link).query)
        query.pop("paper", None)
        assert query == {"neck": ["14 in"], "width": ["3/4 in"], "style": ["heel-bar"]}


@pytest.mark.parametrize("path", ["/", f"/?{LINK}", f"/preview.svg?{LINK}"])
def test_every_name_is_given_once_and_every_paint_and_copy_finds_its_own(ask: TestClient, path: str) -> None:
    page = ask.get(path).text
    names = re.findall(r'\sid="([^"]+)"', page)
    assert len(names) == len(set(names))
    wanted = set(re.findall(r"url\(#([^)]+)\)", page)) | set(re.findall(r'<use href="#([^"]+)"', page))
    assert len(wanted) > 10
    assert wanted <= set(names)
