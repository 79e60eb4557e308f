"""A kept design is shown as parameters that are read as exactly the same design."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.design import read_wish
from service.typed import read_length, read_mass
from service.web.typed import typed_design, typed_length, typed_mass
from tests.makers import collar, workshop

DESIGNS = (
    {"neck": "19 in"},
    {"neck": "42,3 cm", "weight": "45 lb", "width": "30 mm", "studs": "1 1/2 in", "measured": "tape-snug"},
    {"neck": "16 1/3 in", "holes": "7", "pitch": "7/8 in", "lettering": "REX 555 0100", "stamp": "9 mm"},
    {
        "neck": "500.123 mm",
        "weight": "3 lb 7 oz",
        "style": "heel-bar",
        "end": "round",
        "fastening": "screw-post",
    },
)


@pytest.mark.parametrize("typed", DESIGNS)
def test_a_design_is_read_again_as_the_very_same(typed: dict[str, str]) -> None:
    spec = collar(**typed)
    assert read_wish(typed_design(spec), workshop()) == spec


def test_a_length_is_written_as_people_write_it() -> None:
    assert typed_length(read_length("16 1/2 in").value) == "16 1/2 in"
    assert typed_length(420.0) == "42 cm"
    assert typed_length(1.25) == "1.25 mm" or read_length(typed_length(1.25)).value == 1.25


@given(st.floats(150, 915))
def test_any_length_is_read_again_exactly(mm: float) -> None:
    assert read_length(typed_length(mm)).value == mm


@given(st.floats(0.45, 130))
def test_any_weight_is_read_again_exactly(kg: float) -> None:
    assert read_mass(typed_mass(kg)).value == kg
