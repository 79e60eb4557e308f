"""Whether a strap is stout enough for the dog: common practice at 1 in, carried on by the snatch's root."""

import pytest

from service.design import CollarPattern, make_pattern
from service.design.weight import LIGHT, suited_section
from service.strength.sections import snatch
from tests.design.makers import IN, codes, only, text_of, typed
from tests.wishes import read_collar

OUNCE = IN / 64  # one leather ounce, common practice


def advised(pattern: CollarPattern) -> list[tuple[str, str]]:
    (found,) = [one for one in pattern.findings if one.code == LIGHT]
    return [(way.field, way.value) for way in found.suggestions]


def test_an_inch_of_seven_ounces_suits_thirty_pounds() -> None:
    assert suited_section(30 * 0.45359237) == pytest.approx(25.4 * 7 * OUNCE)


def test_the_section_grows_as_the_pull_of_a_dog_at_the_end_of_a_slack_lead() -> None:
    assert suited_section(50) / suited_section(10) == pytest.approx(snatch(50, 4, 5000) / snatch(10, 4, 5000))


@pytest.mark.parametrize("weight", ["15 lb", "22 lb", "30 lb"])
def test_seven_to_eight_ounces_an_inch_wide_suit_fifteen_to_thirty_pounds(weight: str) -> None:
    for ounces in (7, 8):
        shop = only("leathers", thickness=ounces * OUNCE)
        made = make_pattern(read_collar({"neck": "16 in", "weight": weight}, shop), shop)
        assert LIGHT not in codes(made)


def test_a_heavier_dog_gets_it_wider_or_thicker_and_what_is_named_does() -> None:
    made = typed(weight="30 kg")
    assert text_of(made, LIGHT).startswith(
        "A strap 1 in (25.4 mm) wide and 3 mm thick is light for a dog of 66.1 lb"
    )
    assert advised(made) == [("width", "31.75 mm")]
    for field, value in advised(made):
        assert LIGHT not in codes(typed(weight="30 kg", **{field: value}))


def test_thicker_leather_is_named_where_that_is_enough() -> None:
    made = typed(weight="25 kg")
    assert advised(made) == [("width", "30 mm"), ("leather", "moss")]
    for field, value in advised(made):
        assert LIGHT not in codes(typed(weight="25 kg", **{field: value}))


def test_where_nothing_is_enough_the_stoutest_that_can_be_made_is_named() -> None:
    made = typed(weight="120 kg", width="5/8 in", neck="13 in")
    ways = advised(made)
    assert {field for field, _ in ways} == {"width", "leather"}
    for field, value in ways:
        typed(weight="120 kg", neck="13 in", **{"width": "5/8 in", field: value})


def test_without_a_weight_nothing_is_said() -> None:
    assert LIGHT not in codes(typed())


def test_the_advice_begins_at_a_tenth_under_what_suits() -> None:
    # 25.4 x 3 = 76.2 mm² are 0.9 of what suits 13.608 x (76.2 / 0.9 / 70.56)² = 19.59 kg.
    assert LIGHT not in codes(typed(weight="19.5 kg"))
    assert LIGHT in codes(typed(weight="19.7 kg"))
