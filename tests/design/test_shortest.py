"""The shortest neck: what is named can be made, and nothing shorter can."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.design import make_pattern, widths
from service.design.shortest import Shortest, shortest_neck
from service.design.spec import NECK_MIN
from service.errors import DesignError, DesignRefused
from service.typed import read_length
from service.workshop import Workshop
from tests.design.makers import attempt, collar, demo, only, workshop
from tests.wishes import read_collar

WAYS = ["existing-collar", "tape-two-fingers", "tape-snug"]
ONE_WIDTH = workshop(buckles=tuple(row for row in demo().buckles if row.width == 25.4))


def found(shop: Workshop, **wish: object) -> Shortest:
    shortest = shortest_neck(collar(**wish), shop)
    assert shortest is not None
    return shortest


def test_an_existing_collar_is_twice_what_the_ends_take() -> None:
    # 1 in strap, 3 mm: fold 12.7 + 25.4 + 31.75 / 2 + 9.525 = 63.5, half tab 12.7 + 8: 2 x (63.5 + 3 + 20.7).
    shortest = found(ONE_WIDTH)
    assert shortest.neck == pytest.approx(174.4)
    assert shortest.width == 25.4


@pytest.mark.parametrize("measured", WAYS)
def test_on_its_width_it_can_be_made_and_a_tenth_of_a_millimetre_less_can_not(measured: str) -> None:
    shop = only("leathers", thickness=5.0)
    shortest = found(shop, measured=measured)
    wish = collar(neck=shortest.neck + 1e-6, measured=measured, width=shortest.width)
    assert not isinstance(attempt(wish, shop), DesignError)
    if shortest.neck > NECK_MIN:
        for width in widths(shop):
            short = collar(neck=shortest.neck - 0.1, measured=measured, width=width)
            assert isinstance(attempt(short, shop), DesignError)


@settings(max_examples=30)
@given(st.floats(1.5, 6), st.sampled_from(WAYS), st.floats(8, 60))
def test_it_is_so_for_every_leather_and_buckle(thickness: float, measured: str, width: float) -> None:
    shop = workshop(
        leathers=only("leathers", thickness=thickness).leathers,
        buckles=tuple(row.model_copy(update={"width": width}) for row in demo().buckles),
        rings=tuple(row.model_copy(update={"width": width}) for row in demo().rings),
    )
    shortest = shortest_neck(collar(measured=measured), shop)
    if shortest is None or shortest.neck == NECK_MIN:
        return
    flat = make_pattern(collar(neck=400, measured=measured, width=width, fastening="rivet"), shop).layout
    assert shortest.neck < flat.target - flat.fold


def test_what_else_is_wished_for_changes_nothing() -> None:
    plain = found(demo())
    assert found(demo(), neck=900, studs=50.0, lettering="REX", stamp=9.0, weight=20.0, width=50.8) == plain
    assert found(demo(), finish="nickel", style="heel-bar", fastening="screw-post", holes=9) == plain


def test_a_workshop_without_a_complete_set_has_none() -> None:
    assert (
        shortest_neck(collar(), workshop(rings=(demo().rings[0].model_copy(update={"width": 80.0}),))) is None
    )


@pytest.mark.parametrize("measured", WAYS)
@pytest.mark.parametrize("neck", ["5 in", "12 cm"])
def test_a_neck_out_of_range_is_told_the_range_of_the_workshop_and_its_least_can_be_made(
    neck: str, measured: str
) -> None:
    with pytest.raises(DesignRefused) as caught:
        read_collar({"neck": neck, "measured": measured}, demo())
    (problem,) = caught.value.problems
    for system in ("imperial", "metric"):
        low = problem.message.said(system).split("made for here, ")[1].split(" to ")[0]
        wish = collar(neck=read_length(low).value, measured=measured)
        shortest = found(demo(), measured=measured)
        assert wish.neck == pytest.approx(shortest.neck, abs=1.6)
        assert not isinstance(attempt(wish.model_copy(update={"width": shortest.width})), DesignError)


def test_a_puppy_whose_neck_is_too_short_for_any_width_is_told_the_shortest_and_why() -> None:
    with pytest.raises(DesignError) as caught:
        make_pattern(read_collar({"neck": "6 in"}, demo()), demo())
    said = str(caught.value.message)
    assert said.startswith("This neck is too short for the workshop's hardware.")
    assert "the shortest is 6 1/2 in (165 mm), on a strap 5/8 in (15.9 mm) wide" in said
    assert "take that much room" in said
    assert caught.value.would_work == ()
