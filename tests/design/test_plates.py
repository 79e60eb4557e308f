"""Name plates: which one is chosen, how its text stands on it, that it keeps to its zone, what it takes."""

from math import cos, pi, sin

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.design import CollarPattern, adornments
from service.design.plates import ADVANCES, FROM_EDGE, LEAST, MOST, engraved, line_length, rise
from service.design.reading import read_parameter
from service.drawing.letters import stamp_advances
from service.errors import DesignError, DoesNotFit, NotStocked
from service.orders import kept_rows
from service.pricing import estimate
from service.pricing.labour import work_counts
from tests.design.makers import (
    CLEAR,
    attempt,
    clear_until,
    codes,
    collar,
    demo,
    made,
    marks,
    patterns,
    text_of,
    workshop,
)

TEXTS = st.text("ABELOX 0123456789+-&'", min_size=1, max_size=30).filter(lambda text: text.strip() == text)


def plated() -> st.SearchStrategy[CollarPattern]:
    return patterns(letters=st.just("plate"), lettering=TEXTS, qr=st.just(""), neck=st.floats(200, 915))


@given(plated())
def test_a_plate_stays_in_the_clear_run_beside_the_ring(pattern: CollarPattern) -> None:
    layout = pattern.layout
    (plate,) = marks(pattern, "plate")
    half, tall = (plate.length or 0) / 2, (plate.width or 0) / 2
    start = max(layout.ring + layout.tab_half, layout.fold + layout.tail, 2 * layout.fold) + CLEAR
    end = clear_until(layout) - CLEAR
    assert plate.x == pytest.approx((start + end) / 2)
    assert start <= plate.x - half + 1e-9
    assert plate.x + half - 1e-9 <= end
    assert tall <= layout.width / 2 - layout.margin + 1e-9
    for stud in marks(pattern, "stud"):
        assert abs(stud.x - plate.x) >= half + (stud.diameter or 0) / 2
    for border in marks(pattern, "border"):
        assert abs(border.y) - (border.height or 0) / 2 >= tall


@given(plated())
def test_engraving_stays_on_its_plate_and_clear_of_the_rivets(pattern: CollarPattern) -> None:
    (plate,), (one,) = marks(pattern, "plate"), pattern.fittings.plates
    lines = marks(pattern, "engraving")
    assert "".join(line.text or "" for line in lines).replace(" ", "") == pattern.spec.lettering.replace(
        " ", ""
    )
    for line in lines:
        assert LEAST <= (line.height or 0) <= MOST
        assert (line.length or 0) / 2 <= one.plate.hole_distance / 2 - one.fastener.cap / 2 - FROM_EDGE + 1e-9
        assert abs(line.y) + (line.height or 0) / 2 <= (plate.width or 0) / 2 - FROM_EDGE + 1e-9
    rivets = [mark for mark in marks(pattern, "rivet-hole") if mark.name == "Plate, rivet"]
    assert [mark.x - plate.x for mark in rivets] == pytest.approx(
        [-one.plate.hole_distance / 2, one.plate.hole_distance / 2]
    )
    assert not marks(pattern, "lettering")


@given(TEXTS, st.floats(10, 80), st.floats(5, 25))
def test_no_other_break_sets_the_text_higher(text: str, run: float, across: float) -> None:
    best = engraved(text, run, across)
    assert best.height <= MOST
    assert max(line_length(line, best.height) for line in best.lines) <= run + 1e-9
    assert best.height * (1 + 1.55 * (len(best.lines) - 1)) <= across + 1e-9
    assert best.height >= engraved(text.replace(" ", "-"), run, across).height - 1e-9 or " " in text


def test_a_name_stands_over_its_number_and_no_number_is_broken() -> None:
    # Common practice: the name above, the number below.
    assert engraved("REX 555 0100", 40, 14).lines == ("REX", "555 0100")
    assert engraved("555 010 0100", 40, 14).lines == ("555 010 0100",)
    assert engraved("555-0100", 40, 14).lines == ("555-0100",)


def test_signs_are_as_wide_as_they_are_drawn() -> None:
    assert stamp_advances() == pytest.approx(ADVANCES, abs=0.006)
    assert line_length("HI", 5.0) == pytest.approx(10.15)


def test_the_plate_on_which_the_text_is_largest_is_chosen() -> None:
    narrow, wide = (
        made(width=15.875, neck=400, lettering="REX", letters="plate"),
        made(lettering="REX", letters="plate"),
    )
    # 15.9 mm less 3 mm at each edge leaves 9.9 mm, and 25.4 mm leaves 19.4 mm.
    assert [marks(one, "plate")[0].width for one in (narrow, wide)] == [9, 16]
    # A name that is as high on two of them takes the shorter one.
    assert marks(made(width=38.1, lettering="I", letters="plate"), "plate")[0].length == 35


def test_a_plate_is_bent_by_the_height_of_its_arc() -> None:
    # Handbook mathematics: a chord c and a radius r have a rise of r - sqrt(r² - c²/4); c = 2 r sin(a / 2).
    radius, angle = 63.7, 0.8
    assert rise(2 * radius * sin(angle / 2), 2 * pi * radius) == pytest.approx(radius * (1 - cos(angle / 2)))
    assert "it rises 4.3 mm in its middle" in text_of(made(lettering="REX", letters="plate"), "plate-bend")
    assert "plate-bend" not in codes(made(lettering="REX"))


def test_a_plate_and_its_rivets_are_laid_out_joined_and_paid_for() -> None:
    plain, pattern = made(), made(lettering="REX 5", letters="plate")
    lines = {(line.code, line.place): line.quantity for line in pattern.hardware}
    assert lines["brass-plate-50-16", "strap"] == 1
    # 3 mm of leather and 1 mm of metal: a shorter rivet than at the fold, where two plies are 6 mm.
    assert lines["brass-rivet-short", "plate"] == 2
    (joint,) = [one for one in pattern.joints if one.place == "plate"]
    assert (joint.stack, joint.quantity, joint.closes) == (4.0, 2, True)
    counts, before = work_counts(pattern), work_counts(plain)
    assert [int(counts[one]) for one in ("plate", "letter")] == [1, 0]
    assert [int(counts[one] - before[one]) for one in ("fastener", "hole")] == [2, 2]
    found = {line.code for line in estimate(pattern, demo()).lines} - {
        line.code for line in estimate(plain, demo()).lines
    }
    assert found == {"plate-brass-plate-50-16", "rivet-brass-rivet-short"}
    assert [str(one.phrase) for one in adornments(pattern)] == ["a name plate 50 mm × 16 mm"]


def test_what_is_kept_with_an_order_gives_the_same_plate() -> None:
    wish = collar(lettering="REX 555", letters="plate", studs=50.8)
    pattern = made(lettering="REX 555", letters="plate", studs=50.8)
    rows = kept_rows(pattern, demo())
    assert [row.code for row in rows.plates] == ["brass-plate-50-16"]
    again = attempt(wish, rows)
    assert isinstance(again, CollarPattern)
    assert (again.parts, again.hardware) == (pattern.parts, pattern.hardware)


def refused(error: type[DesignError] = DoesNotFit, **wish: object) -> DesignError:
    with pytest.raises(error) as caught:
        made(letters="plate", **wish)
    assert caught.value.would_work
    for way in caught.value.would_work:
        changed = {way.field: read_parameter(way.field, way.value, demo())}
        assert made(**({"letters": "plate"} | wish | changed)) is not None
    return caught.value


def test_a_text_too_long_is_told_how_much_of_it_fits() -> None:
    problem = refused(lettering="A VERY LONG NAME FOR ONE SMALL DOG")
    assert problem.field == "lettering"
    kept = next(way.value for way in problem.would_work if way.field == "lettering")
    assert f"the first {len(kept)} characters fit" in str(problem.message)
    with pytest.raises(DoesNotFit):
        made(letters="plate", lettering="A VERY LONG NAME FOR ONE SMALL DOG"[: len(kept) + 2])


def test_a_phone_number_is_never_cut_short() -> None:
    ways = refused(lettering="+44 20 7946 0958 EXTENSION 1234", width=15.875, neck=400).would_work
    # It may be left out, or stamped, or go on a wider strap.
    assert {way.value for way in ways if way.field == "lettering"} <= {""}


def test_a_sign_that_cannot_be_engraved_is_named() -> None:
    problem = refused(lettering="BELLÉ")
    assert str(problem.message).startswith("É can't be engraved here")
    assert ("lettering", "BELL") in [(way.field, way.value) for way in problem.would_work]


def test_a_border_that_leaves_no_plate_room_is_told_of() -> None:
    problem = refused(lettering="REX", width=20.0, neck=400, border="leaf")
    assert "On this strap a plate may be" in str(problem.message)
    assert ("border", "") in [(way.field, way.value) for way in problem.would_work]


def test_a_workshop_without_plates_says_so() -> None:
    wish = collar(lettering="REX", letters="plate")
    none = attempt(wish, workshop(plates=()))
    assert isinstance(none, DoesNotFit)
    assert [(way.field, way.value) for way in none.would_work] == [("letters", "stamped")]
    black = attempt(wish, workshop(plates=tuple(row for row in demo().plates if row.finish == "nickel")))
    assert isinstance(black, NotStocked)
    assert ("finish", "nickel") in [(way.field, way.value) for way in black.would_work]
