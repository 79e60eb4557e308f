"""Match the dog: colours in, dyes and leathers out, and nothing kept of a photo."""

import tempfile
from io import BytesIO
from typing import Any
from urllib.parse import parse_qs, urlsplit

import pytest
from PIL import Image
from starlette.testclient import TestClient

from service.colour import difference, lab_of, rgb_of
from service.web import match as match_module
from service.web.counts import Pace
from tests.makers import app, client, parsed, workshop
from tests.web.photo_makers import photo_file

DESIGN = "neck=19+in&leather=chestnut&lettering=REX"


@pytest.fixture
def ask() -> TestClient:
    return client()


def coat(colour: tuple[int, int, int], size: tuple[int, int] = (900, 700), kind: str = "JPEG") -> bytes:
    """A photo with a coat in its middle and green round it."""
    image = Image.new("RGB", size, (60, 160, 60))
    image.paste(colour, (size[0] // 5, size[1] // 5, size[0] * 4 // 5, size[1] * 4 // 5))
    out = BytesIO()
    image.save(out, kind)
    return out.getvalue()


def sent(ask: TestClient, content: bytes, query: str = DESIGN) -> Any:  # noqa: ANN401 - a client's answer
    files = {"photo": ("dog.jpg", content, "image/jpeg")}
    return ask.post(f"/match?{query}", files=files, follow_redirects=False)


def nearest(text: str) -> list[tuple[str, str]]:
    return [(one.text, one.get("href")) for one in parsed(text).xpath("//ul[@class='near']//a")]


def test_the_page_of_a_design_leads_to_it_and_back(ask: TestClient) -> None:
    page = parsed(ask.get(f"/?{DESIGN}").text)
    (href,) = page.xpath("//*[@id='match']//a/@href")
    assert href == f"/match?{DESIGN}"
    shown = parsed(ask.get(href).text)
    assert shown.xpath("//a[.='Back to the design']/@href") == [f"/?{DESIGN}"]
    fields = {one.get("name"): one.get("value") for one in shown.xpath("//input[@type='hidden']")}
    assert fields == {"neck": "19 in", "leather": "chestnut", "lettering": "REX"}
    assert not nearest(ask.get(href).text)


@pytest.mark.parametrize("dye", workshop().dyes, ids=lambda row: row.code)
def test_the_colour_of_a_dye_is_nearest_to_that_dye(ask: TestClient, dye: Any) -> None:  # noqa: ANN401 - a row
    answer = ask.get("/match", params={"neck": "19 in", "lettering": "REX", "colour": dye.colour.upper()})
    (name, href), *_ = nearest(answer.text)
    assert name == f"{dye.name}, dyed on Natural veg tan"
    assert "hard to tell apart; difference 0.0" in answer.text
    asked = parse_qs(urlsplit(href).query)
    assert asked == {"neck": ["19 in"], "lettering": ["REX"], "leather": ["natural"], "dye": [dye.code]}
    assert dye.colour[1:] in ask.get(href).text


def test_what_is_named_is_the_nearest_and_the_order_is_that_of_the_difference(ask: TestClient) -> None:
    found = nearest(ask.get("/match?colour=%23705030").text)
    colours = {f"{row.name}, dyed on Natural veg tan": row.colour for row in workshop().dyes}
    colours |= {f"{row.name}, as it comes": row.colour for row in workshop().leathers}
    wanted = lab_of(rgb_of("#705030"))
    off = {name: difference(wanted, lab_of(rgb_of(colour))) for name, colour in colours.items()}
    named = [name for name, _ in found]
    assert named == sorted(named, key=off.__getitem__)
    assert min(off, key=off.__getitem__) == named[0]
    assert {name for name in named if "as it comes" in name} == set(
        sorted((name for name in off if "as it comes" in name), key=off.__getitem__)[:2]
    )


def test_leather_as_it_comes_leaves_the_dye_out(ask: TestClient) -> None:
    text = ask.get("/match?neck=19+in&leather=natural&dye=fern-dye&colour=%23262322").text
    (href,) = (href for name, href in nearest(text) if name == "Black bridle, as it comes")
    assert href == "/?neck=19+in&leather=black"


def test_a_photo_is_told_by_what_is_in_its_middle(ask: TestClient) -> None:
    answer = sent(ask, coat((120, 80, 45)))
    assert answer.status_code == 303
    where = urlsplit(answer.headers["location"])
    asked = parse_qs(where.query)
    assert where.path == "/match"
    assert asked.pop("lettering") == ["REX"]
    colour, _, share = asked["colours"][0].partition("-")
    assert share == "100"
    assert difference(lab_of(rgb_of(f"#{colour}")), lab_of((120, 80, 45))) < 2
    text = ask.get(answer.headers["location"]).text
    assert "100 % of what was looked at" in parsed(text).text_content()
    assert "A photo’s colours change with its light" in text


def test_a_coat_of_two_colours_is_told_by_both(ask: TestClient) -> None:
    found = parse_qs(urlsplit(sent(ask, photo_file()).headers["location"]).query)["colours"][0]
    assert sorted(one.partition("-")[2] for one in found.split(".")) == ["50", "50"]


def cut_out(dense: int) -> bytes:
    """A brown dog that was cut out of its photo: all round it is clear."""
    image = Image.new("RGBA", (300, 200), (120, 80, 45, 0))
    image.paste((120, 80, 45, dense), (130, 80, 170, 120))
    out = BytesIO()
    image.save(out, "PNG")
    return out.getvalue()


def test_of_a_dog_that_was_cut_out_only_the_dog_is_told(ask: TestClient) -> None:
    answer = sent(ask, cut_out(255))
    colour, _, share = parse_qs(urlsplit(answer.headers["location"]).query)["colours"][0].partition("-")
    assert share == "100"
    assert difference(lab_of(rgb_of(f"#{colour}")), lab_of((120, 80, 45))) < 2


def test_a_large_photo_never_touches_the_disk(ask: TestClient, monkeypatch: pytest.MonkeyPatch) -> None:
    def rolled(_self: object) -> None:
        raise AssertionError("written to a file")

    monkeypatch.setattr(tempfile.SpooledTemporaryFile, "rollover", rolled)
    noise = Image.effect_noise((1800, 1400), 90).convert("RGB")
    out = BytesIO()
    noise.save(out, "PNG")
    assert len(out.getvalue()) > 2_000_000
    assert sent(ask, out.getvalue()).status_code == 303


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"", "Choose a photo first."),
        (b"GIF89a" + b"\0" * 60, "can't be read as a photo"),
        (photo_file()[:400], "can't be read as a photo"),
        (b"\xff\xd8" + b"x" * 10_000_001, "It is larger than 10 MB."),
        (cut_out(0), "There is nothing in its middle."),
    ],
    ids=["none", "another kind", "cut off", "too large", "clear"],
)
def test_what_is_no_photo_is_said_beside_its_field(ask: TestClient, content: bytes, said: str) -> None:
    answer = sent(ask, content)
    assert answer.status_code == 422
    page = parsed(answer.text)
    assert said in page.xpath("string(//*[@id='mistake-photo'])")
    assert page.xpath("//input[@name='lettering']/@value") == ["REX"]
    assert page.xpath("//title")[0].text.startswith("Error: ")


@pytest.mark.parametrize("colour", ["brown", "#12345", "#gggggg", "<b>"])
def test_what_is_no_colour_is_said_beside_its_field(ask: TestClient, colour: str) -> None:
    answer = ask.get("/match", params={"neck": "19 in", "colour": colour})
    assert answer.status_code == 422
    assert "six figures" in parsed(answer.text).xpath("string(//*[@id='mistake-colour'])")


@pytest.mark.parametrize("colours", ["x", "7a3b1d", "7a3b1d-9999", "-", "7a3b1d-50" * 40])
def test_colours_in_an_address_that_was_changed_by_hand_do_no_harm(ask: TestClient, colours: str) -> None:
    assert ask.get("/match", params={"colours": colours}).status_code == 200


def test_whoever_sends_too_many_photos_waits(monkeypatch: pytest.MonkeyPatch) -> None:
    ask = TestClient(app(), "http://localhost:8000", client=("198.51.100.1", 1))
    ask.headers["Sec-Fetch-Site"] = "same-origin"
    monkeypatch.setattr(match_module, "PHOTOS", Pace("few photos", 1000, 3600))
    answer = sent(ask, coat((120, 80, 45)))
    assert answer.status_code == 422
    assert "Wait" in parsed(answer.text).xpath("string(//*[@id='mistake-photo'])")
