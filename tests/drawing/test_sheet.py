"""The sheet's own shapes: bounds, moves and the slot with round ends."""

from math import hypot

import pytest

from service.drawing.sheet import CUT, Circle, Item, Path, Run, Text, box_run, cross, moved, polyline, stadium
from service.drawing.typeface import shortened, showable, text_width, wrapped, writable


def cubic(
    p0: tuple[float, float], controls: tuple[tuple[float, float], ...], t: float
) -> tuple[float, float]:
    points = (p0, *controls)
    weights = ((1 - t) ** 3, 3 * t * (1 - t) ** 2, 3 * t * t * (1 - t), t**3)
    x = sum(w * point[0] for w, point in zip(weights, points, strict=True))
    return x, sum(w * point[1] for w, point in zip(weights, points, strict=True))


def test_a_slot_is_as_long_and_wide_overall_as_asked() -> None:
    slot = Path(CUT, (stadium(63.5, 20.0, 31.75, 4.0),))
    assert slot.box == pytest.approx((63.5 - 15.875, 18.0, 63.5 + 15.875, 22.0))


def test_a_slots_ends_are_round_to_a_thousandth_of_a_millimetre() -> None:
    run = stadium(0.0, 0.0, 31.75, 4.0)
    at = run.start
    for step in run.steps:
        if len(step) == 3:
            middle = 13.875 if at[0] > 0 else -13.875
            for n in range(11):
                x, y = cubic(at, step, n / 10)
                assert hypot(x - middle, y) == pytest.approx(2.0, abs=0.001)
        at = step[-1]
    assert run.closed


def test_things_move_whole() -> None:
    things: tuple[Item, ...] = (
        Path(CUT, (box_run(0, 0, 10, 5), *cross(2, 2, 1))),
        Circle(CUT, (3.0, 4.0), 2.0),
        Text("Fold", (1.0, 2.0), 3.0),
    )
    for before, after in zip(things, moved(things, 7.0, -3.0), strict=True):
        shifted = tuple(edge + (7.0, -3.0)[n % 2] for n, edge in enumerate(before.box))
        assert after.box == pytest.approx(shifted)


def test_a_texts_box_hangs_on_its_anchor() -> None:
    start, middle, end = (
        Text("520.7 mm", (50.0, 10.0), 2.3, "bold", anchor) for anchor in ("start", "middle", "end")
    )
    assert start.box[0] == 50.0
    assert (middle.box[0] + middle.box[2]) / 2 == pytest.approx(50.0)
    assert end.box[2] == pytest.approx(50.0)
    assert start.width == pytest.approx(text_width("520.7 mm", 2.3, "bold"))


def test_a_line_is_an_open_run() -> None:
    assert polyline((0, 0), (1, 0)) == Run((0, 0), (((1, 0),),))


def test_text_grows_with_its_size_and_letters() -> None:
    assert text_width("0", 2.0) == pytest.approx(1.296, abs=0.001)
    assert text_width("Fold", 4.0) == pytest.approx(2 * text_width("Fold", 2.0))
    assert text_width("Folds", 2.0) > text_width("Fold", 2.0)


def test_lines_are_wrapped_within_their_width_and_lose_no_letter() -> None:
    text = "Lay each on the tile before it until marks of the same letter meet " + "9" * 60
    lines = wrapped(text, 40.0, 3.0)
    assert all(text_width(line, 3.0) <= 40.0 for line in lines)
    assert "".join(lines).replace(" ", "") == text.replace(" ", "")


def test_a_text_that_is_too_wide_ends_in_an_ellipsis() -> None:
    assert shortened("Strap", 40.0, 3.0) == "Strap"
    short = shortened("An uncommonly long-winded name for a plain collar", 40.0, 3.0)
    assert short.endswith("…")
    assert text_width(short, 3.0) <= 40.0


@pytest.mark.parametrize(
    ("typed", "shown"),
    [("Žofie", "Žofie"), ("Ἀλέξανδρος", "??????????"), ("Ǎ", "A"), ("犬🐶", "??"), ("½ ø ×", "½ ø ×")],
)
def test_what_a_font_lacks_is_shown_plainly(typed: str, shown: str) -> None:
    assert showable(typed) == shown


def test_nothing_that_xml_cannot_hold_is_written() -> None:
    assert writable("a\x00b\x1bc\ud800d\ufffee\tf🐶") == "abcde\tf🐶"
