import pytest

from service.design import PARAMETERS, read_wish
from service.web.parameters import ALL, MAIN, MORE, width_value
from tests.makers import workshop


def test_the_table_holds_the_engines_parameters() -> None:
    assert set(ALL) == set(PARAMETERS)


def test_every_parameter_but_the_kind_has_its_place_in_the_form() -> None:
    assert sorted((*MAIN, *(name for _, names in MORE for name in names), "kind")) == sorted(PARAMETERS)


@pytest.mark.parametrize("name", [name for name in PARAMETERS if name != "neck"])
def test_every_option_and_example_is_read_by_the_engine(name: str) -> None:
    parameter = ALL[name]
    for value in (*(option.value for option in parameter.options(workshop(), "imperial")), parameter.example):
        typed = {"neck": "19 in", "head": "21 in", name: value}
        assert read_wish(typed, workshop()).kind == (value if name == "kind" else "collar")


def test_options_are_told_apart() -> None:
    for parameter in ALL.values():
        options = parameter.options(workshop(), "metric")
        assert (
            len({option.value for option in options})
            == len({option.label for option in options})
            == len(options)
        )


@pytest.mark.parametrize(
    ("mm", "value"),
    [
        (25.4, "1 in"),
        (31.75, "1 1/4 in"),
        (15.875, "5/8 in"),
        (20.0, "20 mm"),
        (30.0, "30 mm"),
        (40.0, "40 mm"),
    ],
)
def test_a_width_is_written_in_the_unit_it_is_round_in(mm: float, value: str) -> None:
    assert width_value(mm) == value


def test_hardware_made_in_millimetres_is_called_by_its_millimetres() -> None:
    labels = {one.value: one.label for one in ALL["width"].options(workshop(), "imperial")}
    assert labels["1 in"] == "1 in (25.4 mm)"
    assert labels["20 mm"] == "20 mm (13/16 in)"
