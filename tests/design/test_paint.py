"""Paint in stamped letters: which colour is advised on which leather, what it is called, what it costs."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.colour import contrast
from service.design import PAINTS, adornments
from service.design.paint import LARGE_TEXT, paint_finding, readable
from service.drawing import preview_svg
from service.pricing import estimate
from tests.design.makers import codes, demo, made, marks, text_of

GROUNDS = st.integers(0, 0xFFFFFF).map(lambda number: f"#{number:06x}")


@given(GROUNDS)
def test_on_every_leather_some_paint_can_be_read(ground: str) -> None:
    # WCAG 2.2, 1.4.3: 3 to 1 for large letters.
    assert readable(ground)
    ratios = [contrast(ground, PAINTS[code].colour) for code in readable(ground)]
    assert ratios == sorted(ratios, reverse=True)
    assert min(ratios) >= 3


@given(GROUNDS, st.sampled_from([*PAINTS]))
def test_advice_comes_where_the_contrast_is_too_small_and_names_what_reads_better(
    ground: str, code: str
) -> None:
    finding = paint_finding(PAINTS[code], ground)
    assert (finding is None) == (contrast(ground, PAINTS[code].colour) >= LARGE_TEXT)
    if finding:
        assert finding.suggestions
        for way in finding.suggestions:
            assert way.field == "letters"
            assert paint_finding(PAINTS[way.value], ground) is None


DARK = {"leather": "natural", "dye": "soot-dye", "lettering": "REX"}


def test_black_on_black_leather_is_advised_against() -> None:
    pattern = made(**DARK, letters="black")
    assert "letters-dark" not in codes(pattern)
    assert "to 1 to this leather; large letters want 3" in text_of(pattern, "paint-contrast")
    better = next(one for one in pattern.findings if one.code == "paint-contrast").suggestions
    assert [way.value for way in better] == ["white", "gold"]
    assert "paint-contrast" not in codes(made(**DARK, letters="white"))


def test_plain_letters_on_dark_leather_are_told_of_paint() -> None:
    (dark,) = [one for one in made(**DARK).findings if one.code == "letters-dark"]
    assert [way.value for way in dark.suggestions] == ["white", "gold"]


@pytest.mark.parametrize("code", PAINTS)
def test_letters_are_drawn_in_their_paint_and_stay_where_they_were(code: str) -> None:
    plain, painted = made(lettering="REX"), made(lettering="REX", letters=code)
    assert marks(plain, "lettering") == marks(painted, "lettering")
    colour = PAINTS[code].colour
    # Once on the flat strap and once on the worn one's ring side.
    assert preview_svg(painted, "imperial").count(f'fill="{colour}"') == 2
    assert colour not in preview_svg(plain, "imperial")


def test_paint_is_said_and_paid_for_by_the_letter() -> None:
    plain, painted = made(lettering="MY REX"), made(lettering="MY REX", letters="gold")
    assert [str(one.phrase) for one in adornments(painted)] == ["letters painted gold"]
    assert adornments(plain) == ()
    lines = {line.code: line for line in estimate(painted, demo()).lines}
    used = [row.value for row in lines["consumables"].inputs if row.name == "Acrylic leather paint"]
    assert used == ["5", "0.04"]
    before = {line.code: line for line in estimate(plain, demo()).lines}
    assert lines["consumables"].amount - before["consumables"].amount == Decimal("0.20")
    assert lines["labour"].amount > before["labour"].amount


def test_paint_without_letters_is_nothing() -> None:
    painted = made(letters="red")
    assert adornments(painted) == ()
    assert estimate(painted, demo()).total == estimate(made(), demo()).total
