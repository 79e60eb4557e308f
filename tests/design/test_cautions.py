"""Cautions, and the strain of the fold."""

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.design import AT_THE_BENCH, FOR_THE_WEARER, make_pattern
from service.design.cautions import fold_finding
from tests.design.makers import codes, collar, made, only


def skived(text: str) -> float:
    found = re.search(r"Skive the fold to ([0-9.]+) mm", text)
    assert found
    return float(found[1])


@given(st.floats(2, 10), st.floats(1.2, 6))
def test_a_fold_that_strains_the_grain_above_forty_percent_is_to_be_skived(
    bar: float, thickness: float
) -> None:
    # Strain t / (d + t) derived; the limit is common practice.
    finding = fold_finding(bar, thickness)
    strain = thickness / (bar + thickness)
    assert (finding is not None) == (strain > 0.40)
    if finding:
        thin = skived(str(finding.text))
        assert thin / (bar + thin) <= 0.40 + 1e-12  # the advice cures what it is given for
        assert thin < thickness
        assert finding.severity == "advice"


def test_the_limit_is_two_thirds_of_the_bar() -> None:
    assert fold_finding(4.5, 3.0) is None  # exactly 40 %
    assert fold_finding(4.4, 3.0) is not None
    assert "fold-strain" in codes(made())  # 3 mm round 4 mm: 43 %
    assert "fold-strain" not in codes(make_pattern(collar(), only("leathers", thickness=2.6)))


@pytest.mark.parametrize(
    ("word", "cautions"),
    [
        ("never a rating", FOR_THE_WEARER),
        ("tie-out", FOR_THE_WEARER),
        ("crate", FOR_THE_WEARER),
        ("Growing", FOR_THE_WEARER),
        ("vet", FOR_THE_WEARER),
        ("swallowed", FOR_THE_WEARER),
        ("local law", FOR_THE_WEARER),
        ("eye protection", AT_THE_BENCH),
        ("ventilation", AT_THE_BENCH),
        ("301/2014", AT_THE_BENCH),
        ("entry 27", AT_THE_BENCH),
        ("ring before the last rivet", AT_THE_BENCH),
    ],
)
def test_every_caution_of_the_trade_is_there_once(word: str, cautions: tuple[str, ...]) -> None:
    said = [caution for caution in cautions if word in caution]
    assert said
    assert len(set(cautions)) == len(cautions)
