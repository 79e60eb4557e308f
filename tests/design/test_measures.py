"""Questions about the measure: only asked, never used for sizing."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.design.measures import meant_necks, usual_neck
from tests.design.makers import IN, codes, collar, demo, made, text_of, typed
from tests.wishes import read_collar

QUESTION = "neck-for-weight"


@pytest.mark.parametrize(
    ("kg", "low_cm", "high_cm"), [(1, 11.7, 16.6), (8, 23.4, 33.2), (27, 35.1, 49.8), (64, 46.8, 66.4)]
)
def test_the_usual_neck_grows_with_the_cube_root_of_the_weight(
    kg: float, low_cm: float, high_cm: float
) -> None:
    # Derived (isometric scaling), weak: 11.7 to 16.6 cm times the cube root of kg. Cubes, so by hand.
    assert usual_neck(kg) == pytest.approx((10 * low_cm, 10 * high_cm))


def asked(neck: float, kg: float) -> bool:
    return QUESTION in codes(made(neck=neck, measured="tape-snug", weight=kg))


def test_a_question_is_asked_outside_the_range_and_not_inside() -> None:
    for neck, unusual in ((350.9, True), (351.1, False), (497.9, False), (498.1, True)):
        assert asked(neck, 27) is unusual


def test_no_weight_no_question() -> None:
    assert QUESTION not in codes(made(neck=900))


def test_centimetres_typed_as_inches_are_found_out() -> None:
    # A 38 cm terrier's collar typed as 38 in is no neck; 30 cm typed as 30 in is one, on a dog of 8 kg.
    pattern = typed(neck="30 in", weight="8 kg", measured="tape-snug")
    (finding,) = [finding for finding in pattern.findings if finding.code == QUESTION]
    assert finding.severity == "question"
    assert "Inches or centimetres?" in str(finding.text)
    assert [(way.field, way.value) for way in finding.suggestions] == [("neck", "30 cm")]


def test_inches_typed_as_centimetres_are_found_out() -> None:
    pattern = typed(neck="17 cm", weight="60 lb", measured="tape-snug")
    (finding,) = [finding for finding in pattern.findings if finding.code == QUESTION]
    assert [(way.field, way.value) for way in finding.suggestions] == [("neck", "17 in")]


@pytest.mark.parametrize(
    ("neck", "meant"),
    [
        (160, ["16 in"]),
        (165, ["16.5 in"]),
        (163, ["16.3 in"]),
        (203.2, []),  # 8 in: 8 cm is no neck, and nobody types 20.32 cm
        (381, ["15 cm"]),  # 15 in; 38.1 cm is a neck too, and rarer to type
        (419.1, ["16.5 cm"]),
        (412.37, []),
    ],
)
def test_the_number_is_taken_as_it_was_likely_typed(neck: float, meant: list[str]) -> None:
    assert [way.value for way in meant_necks(collar(neck=neck))] == meant


@given(st.floats(170, 900), st.floats(1, 120))
def test_what_is_suggested_is_a_neck_that_suits_the_dog(neck: float, kg: float) -> None:
    pattern = made(neck=neck, weight=kg, measured="tape-snug", width=15.875)
    low, high = usual_neck(kg)
    for finding in pattern.findings:
        for way in finding.suggestions if finding.code == QUESTION else ():
            meant = read_collar({way.field: way.value}, demo()).neck
            assert low <= meant <= high


@given(st.floats(200, 900), st.floats(0.5, 130))
def test_the_weight_never_changes_the_size(neck: float, kg: float) -> None:
    assert made(neck=neck, weight=kg).parts == made(neck=neck).parts


@pytest.mark.parametrize(
    ("measured", "pitch", "said"),
    [
        (
            "existing-collar",
            IN,
            "±3/16 in (4 mm); the holes are 1 in (25.4 mm) apart, so that is less than half",
        ),
        (
            "tape-snug",
            IN,
            "±5/16 in (8 mm); the holes are 1 in (25.4 mm) apart, so that is less than half",
        ),
        ("tape-snug", IN / 2, "so that is up to a hole: measure twice"),
        ("tape-two-fingers", 8.0, "so that is up to a hole: measure twice"),
    ],
)
def test_the_uncertainty_is_shown_against_the_hole_pitch(measured: str, pitch: float, said: str) -> None:
    assert said in text_of(made(neck=400, measured=measured, pitch=pitch), "uncertainty")
