"""The printed table of what each hole gives: both systems in columns of their own, the reader's first."""

from itertools import combinations

import pytest

from service.drawing.fit_table import fit_table
from service.drawing.sheet import Block, Text
from service.drawing.text_blocks import Setting
from service.units import System
from tests.makers import pattern


def printed(system: System, **typed: str) -> Block:
    return fit_table(pattern(**typed).fit, system, Setting(82.0, 1.0))


def words(block: Block) -> list[str]:
    return [item.text for item in block.items if isinstance(item, Text)]


def test_the_readers_system_comes_first_and_every_length_is_in_both() -> None:
    imperial, metric = words(printed("imperial")), words(printed("metric"))
    assert imperial[0] == "Fit on a neck of 17 5/8 in (447 mm)"
    assert metric[0] == "Fit on a neck of 44.7 cm (17 5/8 in)"
    assert imperial[1:6] == metric[1:6] == ["Hole", "inside", "ease", "fingers", "tail"]
    assert imperial[6:12] == ["in", "mm"] * 3
    assert metric[6:12] == ["mm", "in"] * 3
    row = imperial.index("2, target")
    assert imperial[row + 1 : row + 8] == ["18 7/16", "468", "13/16", "21", "about 2", "6", "152"]
    row = metric.index("2, target")
    assert metric[row + 1 : row + 8] == ["468", "18 7/16", "21", "13/16", "about 2", "152", "6"]


@pytest.mark.parametrize("system", ["imperial", "metric"])
def test_nothing_is_shortened_and_no_text_meets_another(system: System) -> None:
    block = printed(system, neck="36 in", width="2 in", holes="12", pitch="40 mm")
    texts = [item for item in block.items if isinstance(item, Text)]
    assert not [text.text for text in texts if "…" in text.text]
    for (x0, y0, x1, y1), (u0, v0, u1, v1) in combinations([text.box for text in texts], 2):
        assert not (x0 < u1 and u0 < x1 and y0 < v1 and v0 < y1)
