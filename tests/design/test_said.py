"""What the engine says: to each reader in their own units first, whatever is wished for."""

from typing import get_args

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.design import make_pattern, read_wish
from service.errors import DesignError, DesignRefused, Suggestion
from service.saying import Message
from service.units import System
from tests.design.makers import demo, made, only, typed_wishes, workshop
from tests.readers import misread


def said(typed: dict[str, str]) -> list[Message]:
    """Every sentence of the engine on a wish: findings or what stands in its way, with the ways out."""
    try:
        pattern = make_pattern(read_wish(typed, demo()), demo())
    except DesignRefused as refused:
        return [text for problem in refused.problems for text in (problem.message, *ways(problem.would_work))]
    except DesignError as problem:
        return [problem.message, *ways(problem.would_work)]
    return [text for one in pattern.findings for text in (one.text, *ways(one.suggestions))]


def ways(suggestions: tuple[Suggestion, ...]) -> list[Message]:
    return [way.text for way in suggestions]


@settings(max_examples=300)
@given(typed_wishes(), st.sampled_from(get_args(System)))
def test_no_sentence_shows_the_other_system_first(typed: dict[str, str], system: System) -> None:
    for message in said(typed):
        assert misread(message.said(system), system) == [], message.said(system)


@pytest.mark.parametrize("system", get_args(System))
@pytest.mark.parametrize(
    "typed",
    [
        {"neck": "19 in", "weight": "5 lb"},
        {"neck": "42 cm", "weight": "90 kg"},
        {"neck": "42 in"},
        {"neck": "6 in"},
        {"neck": "7 in", "width": "2 in"},
        {"neck": "42 cm", "width": "3 in"},
        {"neck": "42 cm", "pitch": "3 in"},
        {"neck": "42 cm", "pitch": "8 mm"},
        {"neck": "42 cm", "holes": "99"},
        {"neck": "30 cm", "holes": "12"},
        {"neck": "42 cm", "studs": "1 mm"},
        {"neck": "42 cm", "studs": "8 mm"},
        {"neck": "42 cm", "studs": "2 in"},
        {"neck": "42 cm", "stamp": "2 in"},
        {"neck": "42 cm", "stamp": "7 mm", "lettering": "X"},
        {"neck": "30 cm", "lettering": "A" * 40},
        {"neck": "42 cm", "weight": "999 lb"},
        {"neck": "lots"},
        {"neck": "42 cm", "width": "lots", "pitch": "lots", "weight": "lots"},
        {"neck": "42 cm", "width": "2 in", "finish": "black"},
        {"neck": "42 cm", "width": "5/8 in", "fastening": "screw-post"},
        {"neck": "35 cm"},
        {"neck": "35 cm", "measured": "tape-snug", "coat": "thick-over"},
        {"neck": "35 cm", "measured": "tape-snug", "coat": "thick-under", "fingers": "3"},
        {"neck": "35 cm", "coat": "thick-over", "fingers": "3"},
        {},
    ],
    ids=str,
)
def test_every_kind_of_complaint_shows_the_readers_system_first(
    typed: dict[str, str], system: System
) -> None:
    texts = [message.said(system) for message in said(typed)]
    assert texts
    assert [misread(text, system) for text in texts if misread(text, system)] == []


def test_what_stock_brings_about_is_said_in_the_readers_units_too() -> None:
    rivets = only("fasteners", grip_min=2.0, grip_max=3.0)
    shops = (rivets, only("leathers", thickness=6.0), workshop(stamps=()))
    for shop in shops:
        for finding in make_pattern(made().spec, shop).findings:
            assert misread(finding.text.said("metric"), "metric") == []
            assert misread(finding.text.said("imperial"), "imperial") == []


def test_the_check_itself_sees_the_wrong_order() -> None:
    assert misread("A neck of 19 in (483 mm) is long.", "metric") == ["19 in"]
    assert misread("A neck of 48.3 cm (19 in) is long.", "imperial") == ["48.3 cm"]
    assert misread("A dog of 20 kg (44.1 lb).", "imperial") == ["20 kg"]
    assert misread("A neck of 48.3 cm (19 in) and 3 mm leather, ±4 mm (3/16 in).", "metric") == []
    assert misread("A neck of 19 in (483 mm) and 3 mm leather.", "imperial") == []
