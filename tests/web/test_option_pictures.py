"""Small pictures beside choices: one for each that is easier seen than read, and none without a choice."""

import re

import pytest

from service.web.option_pictures import PICTURES, picture_of
from service.web.parameters import ALL
from tests.makers import client, parsed, workshop

SEEN = sorted({name for name, _ in PICTURES} | {"stamp", "thread", "width"})


@pytest.mark.parametrize("name", SEEN)
def test_every_choice_of_a_field_that_is_seen_has_its_picture(name: str) -> None:
    options = [one for one in ALL[name].options(workshop(), "imperial") if one.value]
    pictures = [(picture_of(name, one.value), one.swatch) for one in options]
    assert all(picture for picture, _ in pictures)
    assert len({*pictures}) == len(pictures), "told apart by shape or colour"


def test_no_picture_is_left_of_a_choice_that_is_gone() -> None:
    known = {(one.name, choice.value) for one in ALL.values() for choice in one.options(workshop(), "metric")}
    assert PICTURES.keys() <= known


@pytest.mark.parametrize(("stamp", "height"), [("6 mm", 3.31), ("12 mm", 6.61), ("auto", 12), ("1 in", 12)])
def test_letters_are_as_high_as_their_stamps(stamp: str, height: float) -> None:
    # Worked: 12 mm on a strap of 25.4 mm, which is 14 in the box: 12 / 25.4 x 14 = 6.61.
    (drawn,) = re.findall(r"v-([\d.]+)l", picture_of("stamp", stamp))
    assert float(drawn) == pytest.approx(height, abs=0.01)


@pytest.mark.parametrize(("width", "height"), [("1 in", 7), ("2 in", 14), ("15.875 mm", 4.38), ("3 in", 14)])
def test_straps_are_as_wide_as_they_are_beside_each_other(width: str, height: float) -> None:
    # Worked: 2 in are 14 in the box: 15.875 / 50.8 x 14 = 4.38.
    (drawn,) = re.findall(r"v([\d.]+)H", picture_of("width", width))
    assert float(drawn) == pytest.approx(height, abs=0.01)


def test_painted_letters_are_shown_in_their_paint_without_a_script() -> None:
    page = parsed(client().get("/").text)
    paths = page.xpath("//*[@id='tags-letters']//label[input[@value='gold']]//*[local-name()='path']/@stroke")
    assert paths == ["none", "#d1a437"]
