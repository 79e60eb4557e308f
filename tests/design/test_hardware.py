"""Hardware from the catalogue: what fits a width, what holds a stack, and what is said when it is missing."""

from dataclasses import replace
from itertools import product
from typing import get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.design import complete_finishes, make_pattern, widths
from service.design.hardware import (
    fastener_for,
    fittings_for,
    grips_of,
    hardware_fits,
    hardware_list,
    ranges_in_words,
)
from service.errors import DesignError, NotStocked
from service.workshop import Buckle, Fastener, Fastening, Ring, Style
from tests.design.makers import codes, collar, demo, made, only, workshop

SHOP = demo()
BRASS = [row for row in SHOP.fasteners if row.finish == "brass" and row.kind == "rivet"]


def rivet(code: str, low: float, high: float) -> Fastener:
    row = BRASS[0]
    return row.model_copy(update={"code": code, "grip_min": low, "grip_max": high, "post": None})


# Widths.


@pytest.mark.parametrize(
    ("strap", "nominal", "fits"),
    [
        (25.4, 25.4, True),
        (25.4, 25.0, True),  # an inch strap in 25 mm hardware
        (26.0, 25.4, False),
        (25.89, 25.4, True),
        (24.41, 25.4, True),
        (24.39, 25.4, False),
        (20.0, 19.05, False),
        (19.05, 20.0, True),
    ],
)
def test_a_strap_runs_in_hardware_a_little_wider_but_hardly_narrower(
    strap: float, nominal: float, *, fits: bool
) -> None:
    assert hardware_fits(strap, nominal) is fits


@given(st.floats(14.9, 51.2))
def test_of_all_hardware_that_fits_the_closest_is_taken(width: float) -> None:
    fitting = [row.width for row in SHOP.rings if row.finish == "brass" and hardware_fits(width, row.width)]
    if not fitting:
        with pytest.raises(NotStocked):
            fittings_for(SHOP, collar(width=width))
        return
    fittings = fittings_for(SHOP, collar(width=width))
    best = min(abs(size - width) for size in fitting)
    assert abs(fittings.ring.width - width) == abs(fittings.buckle.width - width) == best


@pytest.mark.parametrize(("style", "finish"), list(product(get_args(Style), ["brass", "nickel"])))
def test_the_buckle_is_of_the_style_and_everything_of_the_finish(style: str, finish: str) -> None:
    fittings = made(style=style, finish=finish, studs=40).fittings
    assert fittings.buckle.style == style
    stud = fittings.stud
    assert stud is not None
    metal = {fittings.buckle.finish, fittings.ring.finish, fittings.fold_fastener.finish, stud.finish}
    assert metal == {fittings.finish.code} == {finish}


# Grip.


@pytest.mark.parametrize(
    ("stack", "code"),
    [
        (3.3, "a"),
        (4.999, "a"),
        (5.0, "a"),  # at a limit that two share, the one that is fullest: its post stands least proud
        (5.001, "b"),
        (6.6, "b"),
        (8.2, "c"),
        (1.0, "a"),
        (12.0, "c"),
    ],
)
def test_the_fastener_is_chosen_by_the_stack(stack: float, code: str) -> None:
    shop = workshop(fasteners=(rivet("c", 6.6, 8.2), rivet("a", 3.3, 5.0), rivet("b", 5.0, 6.6)))
    found = fastener_for(shop, "rivet", "brass", stack)
    assert found is not None
    assert found.code == code


@pytest.mark.parametrize("leather", [row.code for row in SHOP.leathers])
@pytest.mark.parametrize("fastening", get_args(Fastening))
def test_the_grip_holds_two_plies_of_every_demo_leather(leather: str, fastening: str) -> None:
    pattern = made(leather=leather, fastening=fastening)
    stack = 2 * pattern.fittings.leather.thickness
    for row in (pattern.fittings.fold_fastener, pattern.fittings.tab_fastener):
        assert row.kind == fastening
        assert row.grip_min <= stack <= row.grip_max
    assert "grip" not in codes(pattern)


def test_the_grips_of_a_workshop_are_told_as_one_range_where_they_meet() -> None:
    rows = (rivet("c", 8.2, 9.8), rivet("b", 5.0, 6.6), rivet("a", 3.4, 5.0), rivet("d", 8.5, 9.0))
    shop = workshop(fasteners=rows)
    assert grips_of(shop, "rivet", "brass") == ((3.4, 6.6), (8.2, 9.8))
    assert str(ranges_in_words(grips_of(shop, "rivet", "brass"))) == "3.4 to 6.6 mm and 8.2 to 9.8 mm"
    assert grips_of(shop, "rivet", "nickel") == grips_of(shop, "screw-post", "brass") == ()


# The list.


def test_a_plain_collar_takes_a_buckle_a_ring_and_four_rivets() -> None:
    lines = {line.kind: line.quantity for line in made().hardware}
    assert lines == {"buckle": 1, "ring": 1, "rivet": 4}


@given(st.floats(300, 900), st.none() | st.floats(12, 80), st.sampled_from(get_args(Fastening)))
def test_the_list_has_a_fastener_for_every_two_holes_that_meet_and_a_stud_for_every_stud_mark(
    neck: float, studs: float | None, fastening: Fastening
) -> None:
    pattern = made(neck=neck, studs=studs, fastening=fastening)
    lines = {line.kind: line.quantity for line in pattern.hardware}
    places = [mark.kind for part in pattern.parts for mark in part.marks]
    # On the fold, two holes of the strap meet on one post; on the tab, one of the strap and one of the tab.
    assert lines[fastening] == places.count("rivet-hole") / 2
    assert lines.get("stud", 0) == places.count("stud")
    assert all(line.finish == "brass" for line in pattern.hardware)


def test_joints_that_take_different_fasteners_have_a_line_each() -> None:
    fittings = made().fittings
    longer = rivet("longer", 6.6, 8.2)
    lines = hardware_list(replace(fittings, tab_fastener=longer), 0)
    assert [(line.code, line.quantity, line.place) for line in lines[2:]] == [
        (fittings.fold_fastener.code, 2, "fold"),
        ("longer", 2, "ring tab"),
    ]


# Missing hardware.


def has_everything(width: float, style: str, finish: str, fastening: str, *, studs: bool) -> bool:
    """Looked up row by row, as a person with the catalogue in hand would."""

    def fits(row: Buckle | Ring) -> bool:
        return row.finish == finish and -1.0 <= width - row.width <= 0.5

    return (
        any(fits(row) and row.style == style for row in SHOP.buckles)
        and any(map(fits, SHOP.rings))
        and any(row.finish == finish and row.kind == fastening for row in SHOP.fasteners)
        and (not studs or any(row.finish == finish for row in SHOP.studs))
    )


@pytest.mark.parametrize("studs", [None, 40.0])
@pytest.mark.parametrize("fastening", get_args(Fastening))
@pytest.mark.parametrize("style", get_args(Style))
def test_finishes_and_widths_are_complete_when_the_catalogue_has_all_of_it(
    style: str, fastening: str, studs: float | None
) -> None:
    finishes = [row.code for row in SHOP.finishes]
    for width, finish in product(widths(SHOP), finishes):
        wish = collar(width=width, style=style, fastening=fastening, studs=studs, finish=finish, neck=700)
        complete = {
            code
            for code in finishes
            if has_everything(width, style, code, fastening, studs=studs is not None)
        }
        assert set(complete_finishes(SHOP, wish)) == complete
        if finish in complete:
            assert fittings_for(SHOP, wish).finish.code == finish
            continue
        with pytest.raises(NotStocked) as caught:
            make_pattern(wish, SHOP)
        assert {way.value for way in caught.value.would_work if way.field == "finish"} <= complete
        assert str(caught.value.message).startswith("The workshop has not all ")


def test_what_is_missing_is_named_and_what_is_complete_is_listed() -> None:
    with pytest.raises(NotStocked) as caught:
        made(finish="black", style="heel-bar", width=31.75)
    problem = caught.value
    assert "It lacks: heel-bar buckle, ring." in str(problem.message)
    assert "Complete at this width: solid brass, nickel plate." in str(problem.message)
    assert "Complete in blackened steel: 3/4 in (19.1 mm), 1 in (25.4 mm)." in str(problem.message)
    assert problem.field == "finish"
    assert [(way.field, way.value) for way in problem.would_work] == [
        ("finish", "brass"),
        ("finish", "nickel"),
        ("width", "19.05 mm"),
        ("width", "25.4 mm"),
    ]


def test_a_fastener_that_is_missing_is_told_with_its_stack_and_with_what_other_finishes_close() -> None:
    with pytest.raises(NotStocked) as caught:
        made(finish="black", fastening="screw-post")
    said = str(caught.value.message)
    assert "all that a strap 1 in (25.4 mm) wide in blackened steel takes. It lacks: screw post." in said
    assert "At the fold and the ring tab 2 plies make 6 mm" in said
    assert "screw posts: in solid brass they close 5 to 8.8 mm, in nickel plate they close 5 to" in said
    shop = workshop(fasteners=(rivet("only", 5.0, 6.6),))
    with pytest.raises(NotStocked, match=r"2 plies make 6 mm\.$"):
        fittings_for(shop, collar(fastening="screw-post"))


def test_studs_that_are_missing_can_be_left_out() -> None:
    with pytest.raises(NotStocked, match="no stud") as caught:
        made(finish="black", studs=40)
    assert ("studs", "") in [(way.field, way.value) for way in caught.value.would_work]


@pytest.mark.parametrize(
    ("field", "wish"), [("leather", {"leather": "unicorn"}), ("finish", {"finish": "gold"})]
)
def test_a_wish_kept_from_before_the_catalogue_changed_says_what_is_gone(
    field: str, wish: dict[str, str]
) -> None:
    with pytest.raises(NotStocked) as caught:
        made(**wish)
    assert caught.value.field == field
    assert f"“{wish[field]}”" in str(caught.value.message)
    assert {way.field for way in caught.value.would_work} == {field}


def test_a_catalogue_that_changes_changes_the_hardware() -> None:
    before = fittings_for(SHOP, collar())
    after = fittings_for(only("buckles", bar=7.5), collar())
    assert (before.buckle.bar, after.buckle.bar) == (4.0, 7.5)
    assert fittings_for(SHOP, collar()) == before


def test_nothing_at_all_in_stock_is_still_an_answer() -> None:
    shop = workshop(rings=(SHOP.rings[0],), buckles=(SHOP.buckles[-1],))
    with pytest.raises(DesignError) as caught:
        make_pattern(collar(), shop)
    assert "It lacks: " in str(caught.value.message)
    assert caught.value.would_work == ()
