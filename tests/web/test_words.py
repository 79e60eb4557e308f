from decimal import Decimal

import pytest

from service.design import KINDS, SetPattern, fingers_in_words, make_pattern, read_wish, told, weigh
from service.units import show_mass
from service.web.words import (
    file_name,
    mass_sentences,
    money,
    number,
    ring_place,
    sentence,
    title,
)
from tests.makers import collar, pattern, workshop, workshop_with


@pytest.mark.parametrize(
    ("under", "said"),
    [
        (-0.01, "too tight"),
        (0.0, "less than one"),
        (0.49, "less than one"),
        (0.51, "about 1"),
        (2.0, "about 2"),
        (3.49, "about 3"),
        (3.5, "4 or more"),
        (12.0, "4 or more"),
    ],
)
def test_room_is_said_in_fingers(under: float, said: str) -> None:
    assert fingers_in_words(under) == said


def test_counts_are_words_up_to_twelve() -> None:
    assert [number(0), number(12), number(13)] == ["no", "twelve", "13"]


def test_the_ring_is_on_the_nape_on_the_target_hole_and_turns_on_the_others() -> None:
    tight, target, loose, *_ = pattern().fit.holes
    assert ring_place(target.ring_offset_deg) == "on the nape"
    # One hole is 25.4 mm on 482.6 mm: 360 × 25.4 / (2 × 482.6) = 9.5 degrees.
    assert ring_place(tight.ring_offset_deg) == "9° towards the buckle's end"
    assert ring_place(loose.ring_offset_deg) == "9° towards the tail"
    # Beside the buckle it hangs where the buckle does.
    assert ring_place(173.0) == ring_place(-173.0) == "at the throat"


def test_the_fit_is_one_sentence_in_the_readers_measures() -> None:
    made = pattern(neck="18 3/8 in", measured="tape-two-fingers")
    assert (
        told(made)
        .sits[0]
        .said("imperial")
        .startswith("On the second hole the collar measures 18 3/8 in inside, two fingers")
    )
    assert " 46.7 cm inside" in told(made).sits[0].said("metric")


def test_the_mass_is_said_in_the_readers_measures_and_as_a_share_of_the_dog() -> None:
    assert mass_sentences(pattern(), "imperial").startswith("It weighs about 2.9 oz. ")
    assert mass_sentences(pattern(weight="30 kg"), "metric").startswith(
        "It weighs about 83 g, 0.3 % of what the dog weighs. Where it turns freely, its ring comes to rest "
    )


def test_hardware_without_a_mass_is_named() -> None:
    buckles = tuple(row.model_copy(update={"mass_g": None}) for row in workshop().buckles)
    said = mass_sentences(make_pattern(collar(), workshop_with(buckles=buckles)), "metric")
    assert said == "It weighs more than 65 g: the catalogue has no mass for Centre-bar buckle 1 in."
    heavy = mass_sentences(make_pattern(collar(weight="10 kg"), workshop_with(buckles=buckles)), "metric")
    assert heavy.startswith(
        "It weighs more than 65 g, 0.7 % of what the dog weighs: the catalogue has no mass"
    )


@pytest.mark.parametrize("kind", [*KINDS])
def test_the_share_of_the_dog_is_that_of_what_it_wears(kind: str) -> None:
    known = {"neck": "19 in", "measured": "tape-snug", "head": "22 in", "length": "60 in", "weight": "30 kg"}
    made = make_pattern(read_wish({"kind": kind, **known}, workshop()), workshop())
    said = mass_sentences(made, "metric")
    assert (" % of what the dog weighs" in said) is (kind != "lead")
    if isinstance(made, SetPattern):
        alone = show_mass(round(weigh(made.collar).total) / 1000, "metric")
        assert said.startswith(f"It weighs about {alone}, 0.3 % ")
        assert said.endswith(f"with the lead it is {show_mass(round(weigh(made).total) / 1000, 'metric')}.")


def test_the_whole_collar_is_one_sentence() -> None:
    made = pattern(lettering="bella", studs="2 in")
    assert title(made, "imperial") == "Chestnut bridle collar, 1 in wide, to match a collar of 19 in"
    said = sentence(made, "imperial")
    for words in ("solid brass", "six holes 1 in apart", "studs", "lettered “BELLA”", "27 1/2 in long"):
        assert words in said
    assert said.count(".") == 1


def test_files_are_named_for_what_is_in_them() -> None:
    assert file_name(pattern(), "imperial", "pdf") == "collar-19-in-1-in-chestnut.pdf"
    assert (
        file_name(pattern(neck="16 1/2 in", width="1 1/4 in"), "imperial", "svg")
        == "collar-16.5-in-1.25-in-chestnut.svg"
    )
    assert (
        file_name(pattern(neck="42 cm", width="30 mm"), "metric", "pdf") == "collar-42-cm-3-cm-chestnut.pdf"
    )


@pytest.mark.parametrize(
    ("amount", "currency", "region", "written"),
    [
        # Unicode CLDR, English as written in each country.
        ("45.3", "USD", "US", "$45.30"),
        ("1234.5", "GBP", "GB", "£1,234.50"),
        ("1234", "JPY", "US", "¥1,234"),
        ("45.3", "USD", "JP", "$45.30"),
    ],
)
def test_money_is_written_as_the_country_writes_it(
    amount: str, currency: str, region: str, written: str
) -> None:
    assert money(Decimal(amount), currency, region) == written
