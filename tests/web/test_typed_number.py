"""Numbers as a maker types them: exact, and refused where they could mean two things."""

from collections.abc import Callable
from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.errors import Unreadable
from service.web.typed_number import (
    read_counted,
    read_grams,
    read_metres,
    read_millilitres,
    read_money,
    read_newtons,
    read_number,
    read_share,
    read_square_metres,
    read_tex,
    read_thickness,
)
from tests.design.makers import table


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("145", "145"),
        (" 2.39 ", "2.39"),
        ("2,39", "2.39"),
        (".5", "0.5"),
        ("1.234", "1.234"),
        ("1 234.50", "1234.50"),
        ("1,234.50", "1234.50"),
        ("1.234,50", "1234.50"),
        ("1'234", "1234"),
        ("12 345 678", "12345678"),
        ("１２", "12"),
    ],
)
def test_a_plain_number_is_read_in_every_usual_writing(text: str, value: str) -> None:
    assert read_number(text, "45") == Decimal(value)


@pytest.mark.parametrize(
    "text", ["", "1,234", "1,2,3", "-3", "1e5", "abc", "1.2.3", "12 34", "9" * 41, "٣", "NaN"]
)
def test_what_is_no_plain_number_is_refused_with_one_that_is(text: str) -> None:
    with pytest.raises(Unreadable) as fault:
        read_number(text, "45")
    assert read_number(fault.value.would_work, "45") > 0


@given(st.decimals(0, 10**6, places=4))
def test_a_number_comes_back_with_a_point_and_with_a_comma(number: Decimal) -> None:
    assert read_number(f"{number:f}", "45") == number
    assert read_number(f"{number:f}".replace(".", ","), "45") == number


@pytest.mark.parametrize(
    ("read", "text", "value"),
    [
        (read_share, "7 %", Decimal("0.07")),
        (read_share, "0,07", Decimal("0.07")),
        (read_share, "12.5%", Decimal("0.125")),
        (read_grams, "35", 35.0),
        (read_grams, "0.035 kg", 35.0),
        # One avoirdupois ounce is 28.349523125 g exactly: NIST SP 811 (2008), appendix B.8.
        (read_grams, "1 oz", 28.349523125),
        (read_newtons, "1500", 1500.0),
        (read_newtons, "1.5 kN", 1500.0),
        # One kilogram-force is 9.80665 N and one pound-force 4.4482216152605 N exactly: NIST SP 811, B.8.
        (read_newtons, "100 kg", 980.665),
        (read_newtons, "1 lbf", 4.4482216152605),
        # An ounce of leather is 1/64 in, 0.396875 mm: common practice.
        (read_thickness, "8 oz", 3.175),
        (read_thickness, "3", 3.0),
        (read_thickness, "1/8 in", 3.175),
        (read_square_metres, "4.2", Decimal("4.2")),
        (read_square_metres, "4,2 m²", Decimal("4.2")),
        # One square foot is 0.09290304 m² exactly: NIST SP 811, B.8.
        (read_square_metres, "100 sq ft", Decimal("9.290304")),
        (read_millilitres, "120", Decimal(120)),
        (read_millilitres, "12,5 cl", Decimal(125)),
        (read_millilitres, "0.5 l", Decimal(500)),
        # One fluid ounce of the US is 29.5735 ml: NIST SP 811, B.8; 231 in³ / 128 exactly.
        (read_millilitres, "4 fl oz", Decimal("118.29411825")),
        (read_millilitres, "1 US fl. oz.", Decimal("29.5735295625")),
        # One yard is 0.9144 m exactly: NIST SP 811, B.8.
        (read_metres, "100 yd", Decimal("91.44")),
        (read_metres, "55 m", Decimal(55)),
        (read_tex, "210", 210.0),
        (read_tex, "Tex 210", 210.0),
        (read_tex, "T210", 210.0),
        (read_tex, "2100 dtex", 210.0),
        (read_tex, "Nm 20/3", 150.0),
    ],
)
def test_each_kind_of_number_is_read_with_and_without_its_unit(
    read: Callable[[str], Any], text: str, value: object
) -> None:
    assert read(text) == value


@pytest.mark.parametrize(
    ("read", "text"),
    [
        (read_share, "7"),
        (read_share, "-7 %"),
        (read_newtons, "5 tons"),
        (read_newtons, ""),
        (read_thickness, "7-8 oz"),
        (read_grams, "35 mm"),
        (read_square_metres, "4.2 acres"),
        (read_millilitres, "a cup"),
        (read_millilitres, "ml"),
        (read_millilitres, "4 oz"),
        (read_millilitres, ""),
        (read_metres, "a spool"),
        (read_tex, ""),
        (read_tex, "thick"),
        (read_tex, "0"),
        (read_tex, "210/2"),
        (read_tex, "Tex 210 den"),
        (read_tex, "Nm 0"),
    ],
)
def test_what_could_mean_two_things_or_nothing_is_refused(read: Callable[[str], Any], text: str) -> None:
    with pytest.raises(Unreadable) as fault:
        read(text)
    read(fault.value.would_work)


@pytest.mark.parametrize("row", table("thread_sizes.csv"), ids=lambda row: row["input"])
def test_a_thread_is_read_by_every_number_it_is_sold_by(row: dict[str, str]) -> None:
    # checks/thread_conversion.csv: published conversion formulas, their values recomputed to two decimals.
    tex = float(row["tex"])
    for text in (
        row["input"],
        f"{row['denier']} denier",
        f"ticket {row['metric_ticket']}",
        f"cotton ticket {row['cotton_ticket']}",
        f"Ne {row['cotton_count_Ne']}",
    ):
        assert read_tex(text) == pytest.approx(tex, rel=0.002)


def test_tickets_of_the_textile_pages() -> None:
    tickets = {row["id"]: row["expected"] for row in table("check_values.csv")}
    assert read_tex(f"ticket {tickets['S4']}") == 40
    assert read_tex("Nm 80/2") == read_tex(f"ticket {tickets['S5']}") == 25


def test_money_may_have_its_sign_on_either_side_and_time_its_unit() -> None:
    signs = ("USD", "$", "US$")
    assert read_money("$2.39", signs, "45") == read_money("2.39 USD", signs, "45") == Decimal("2.39")
    assert read_money("US$ 1,234.50", signs, "45") == Decimal("1234.50")
    assert read_counted("2.5 min", ("min",), "2.5") == Decimal("2.5")
    with pytest.raises(Unreadable):
        read_money("2.39 €", signs, "45")
    with pytest.raises(Unreadable):
        read_counted("2 h", ("min",), "2.5")
