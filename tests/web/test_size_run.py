"""A size run: many dogs on one print, mistakes row by row, nothing that was typed lost."""

import pytest

from service.web.size_run import ROWS_MAX
from tests.drawing.prints import opened, shapes, squares
from tests.drawing.test_strips import pieces
from tests.makers import client, parsed, pattern
from tests.web.shop_makers import Shop

DESIGN = "https://collars.example/?neck=19+in&width=1+in&style=heel-bar"


@pytest.fixture(scope="module")
def shop() -> Shop:
    return Shop()


def text_of(data: bytes) -> str:
    return " ".join(" ".join(page.get_textpage().get_text_bounded().split()) for page in opened(data))


def rows_of(page: str) -> dict[str, str]:
    """What is said of each row, by its line."""
    rows = parsed(page).xpath("//table[@class='run']//tr")
    return {row.xpath("string(th)"): " ".join(row.xpath("string(td[2])").split()) for row in rows}


@pytest.mark.parametrize("parted", [", ", ";", "\t"])
def test_every_dog_is_on_one_print_with_a_strip_as_long_as_its_blank(shop: Shop, parted: str) -> None:
    dogs = "\r\n".join(parted.join(row) for row in (("Rex", "16 1/2 in"), ("Bella", "40 cm"), ("", "12 in")))
    answer = shop.post("/shop/run", design=DESIGN, dogs=dogs, paper="a4")
    assert answer.headers["content-type"] == "application/pdf"
    text = text_of(answer.content)
    assert "Size run: 3 dogs" in text
    assert "Dog 3" in text
    wanted = [pattern(neck=neck, style="heel-bar").strap.length for neck in ("16.5 in", "40 cm", "12 in")]
    found: list[float] = []
    for piece in pieces(answer.content):
        # The piece of a strip that holds no more than a whole one is its last.
        if not found or abs(found[-1] - 240 * round(found[-1] / 240)) > 0.1:
            found.append(0.0)
        found[-1] += piece.length
    assert found == pytest.approx(wanted, abs=0.05)
    assert squares(shapes(opened(answer.content)[0]), 100.0, 0.7)


def test_columns_are_named_in_a_first_line_and_may_be_any_of_a_design(shop: Shop) -> None:
    dogs = "lettering; Neck; name\nREX; 41,9 cm; Rex\n; 60 cm; Bruno"
    text = text_of(shop.post("/shop/run", dogs=dogs).content)
    assert "Lettering begins" in text
    assert "Bruno" in text


def test_a_quotation_mark_that_is_not_closed_takes_in_no_other_dog(shop: Shop) -> None:
    dogs = 'name,neck,lettering\nRex,41 cm,REX\nBella,"lots\nMax,43 cm,MAX\n"Émile, the small",44 cm,'
    said = rows_of(shop.post("/shop/run", design=DESIGN, dogs=dogs, paper="a4").text)
    assert list(said) == ["2", "3", "4", "5"]
    assert said["3"].startswith("Neck")
    assert all(said[line].startswith("a blank of") for line in ("2", "4", "5"))


def test_each_row_that_is_wrong_says_so_and_nothing_is_lost(shop: Shop) -> None:
    dogs = "name,neck,lettering\nRex,16 1/2 in,REX\nBella,lots\nÉmile,41 cm,É\n\nMax,9999 in,,more"
    answer = shop.post("/shop/run", design=DESIGN, dogs=dogs, paper="a4", **{"square-across": "99.2"})
    assert answer.status_code == 422
    said = rows_of(answer.text)
    assert list(said) == ["2", "3", "4", "6"]
    assert said["2"].startswith("a blank of 25 in (635 mm)")
    assert said["3"] == "Neck: There is no number in it. Try: 16 1/2 in"
    assert said["4"].startswith("Name or phone number: There is no letter stamp for É.")
    assert "more" in said["6"].lower()
    page = parsed(answer.text)
    assert page.xpath("string(//textarea[@name='dogs'])").strip().splitlines() == dogs.splitlines()
    assert page.xpath("//main//input[@name='design']/@value") == [DESIGN]
    assert page.xpath("//main//input[@name='square-across']/@value") == ["99.2"]
    assert page.xpath("//main//input[@name='paper' and @checked]/@value") == ["a4"]
    assert "3 rows can't be made" in page.xpath("string(//main)")


def test_those_that_can_be_made_are_printed_if_that_is_wanted(shop: Shop) -> None:
    answer = shop.post("/shop/run", dogs="Rex, 16 in\nBella, lots", **{"as": "good"})
    assert answer.headers["content-type"] == "application/pdf"
    text = text_of(answer.content)
    assert "Size run: 1 dog" in text
    assert "Bella" not in text


def test_a_run_is_looked_over_without_being_printed(shop: Shop) -> None:
    answer = shop.post("/shop/run", dogs="Rex, 16 in", **{"as": "look"})
    assert answer.status_code == 200
    assert list(rows_of(answer.text)) == ["1"]


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ({"dogs": ""}, "There is no dog in it"),
        ({"dogs": "name,neck"}, "There is no dog in it"),
        ({"dogs": "name,neck,colour\nRex,16 in,red"}, "Each column is named once"),
        ({"dogs": "name,neck,neck\nRex,16 in,red"}, "Each column is named once"),
        ({"dogs": "Rex, 16 in\n" * (ROWS_MAX + 1)}, f"There are {ROWS_MAX + 1} dogs in it"),
        ({"dogs": "Rex, 16 in", "design": "the red one"}, "That is no link to a design"),
        ({"dogs": "Rex, 16 in", "design": "https://x.example/?a=1"}, "That is no link to a design"),
        ({"dogs": "Rex, 16 in", "square-down": "90"}, "more than a printer's error"),
        ({"dogs": "Rex, 16 in", "paper": "roll"}, "Paper is one of a4 and letter"),
        ({"dogs": 'Rex, "16 in'}, "Neck:"),
        ({"dogs": "Rex\x01, 16 in"}, "Name:"),
        ({"dogs": "x" * 60_000}, "Name:"),
        ({"dogs": "Rex\r16 in\rBella"}, "Neck:"),
        ({"dogs": "x" * 200_000}, ""),
        ({"dogs": '"' + "x," * 20_000}, ""),
    ],
)
def test_what_is_wrong_with_a_run_is_said(shop: Shop, typed: dict[str, str], said: str) -> None:
    answer = shop.post("/shop/run", **typed)
    assert 400 <= answer.status_code < 500
    assert said in parsed(answer.text).xpath("string(//main)")


def test_sixty_dogs_are_one_print_the_same_every_time(shop: Shop) -> None:
    dogs = "".join(f"Dog {n}, {10 + n % 25} in\n" for n in range(ROWS_MAX))
    first, again = (shop.post("/shop/run", dogs=dogs).content for _ in range(2))
    assert first == again
    text = text_of(first)
    assert all(f"Dog {n}" in text for n in range(ROWS_MAX))


def test_a_run_begins_with_the_design_in_the_address(shop: Shop) -> None:
    page = parsed(shop.maker.get("/shop/run?width=2+in&style=heel-bar").text)
    (link,) = page.xpath("//main//input[@name='design']/@value")
    assert link.endswith("/?width=2+in&style=heel-bar")
    assert "2 in" in text_of(shop.post("/shop/run", design=link, dogs="Rex, 20 in").content)


def test_a_run_is_for_those_who_are_signed_in(shop: Shop) -> None:
    assert client(shop.app).get("/shop/run", follow_redirects=False).status_code == 303
    assert shop.browsers["read-only"].get("/shop/run").status_code == 200


def test_what_a_dog_weighs_and_grows_to_is_its_own_and_no_row_has_the_link_s(shop: Shop) -> None:
    link = "https://collars.example/?neck=12+in&adult=16+in&weight=90+lb"
    said = rows_of(shop.post("/shop/run", design=link, dogs="Rex, 20 in\nPup, 13 in", **{"as": "look"}).text)
    plain = rows_of(shop.post("/shop/run", dogs="Rex, 20 in\nPup, 13 in", **{"as": "look"}).text)
    assert said == plain
    dogs = "name, neck, adult\nRex, 20 in\nPup, 13 in, 17 in\nOld, 20 in, 18 in"
    text = text_of(shop.post("/shop/run", dogs=dogs.rpartition("\n")[0]).content)
    assert "13 in" in text
    grown = rows_of(shop.post("/shop/run", dogs=dogs).text)
    assert grown["2"] == said["1"]
    assert grown["3"] != said["2"], "a longer blank, with holes to grow into"
    assert "larger than it is now" in grown["4"]
