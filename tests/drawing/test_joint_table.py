"""The printed table of joints: whole, short, and with what to know of each once."""

from itertools import combinations

import pytest

from service.drawing.joint_table import joint_table
from service.drawing.sheet import Block, Text
from service.drawing.text_blocks import Setting
from tests.makers import pattern, workshop

THICK = next(row.code for row in workshop().leathers if row.thickness == 3.2)


def printed(**typed: str) -> Block:
    return joint_table(pattern(**typed), Setting(81.7, 1.0))


def texts(block: Block) -> list[str]:
    return [item.text for item in block.items if isinstance(item, Text)]


def test_each_joint_has_its_plies_its_stack_its_fastener_and_what_that_closes() -> None:
    said = texts(printed(style="heel-bar"))
    assert said[:5] == ["Joints, mm", "plies", "stack", "held by", "closes"]
    assert said[5:10] == ["Fold, outer", "2", "6", "Double-cap rivet, medium", "5 to 6.6"]
    assert said[-5:] == [
        "Keeper lap",
        "2",
        "6",
        "sewn, or glued and riveted",
        "Fold, ring tab: 2.2 mm proud before setting",
    ]


def test_a_stack_near_the_limit_says_what_to_skive_to() -> None:
    assert texts(printed(leather=THICK))[-1] == "Fold, ring tab: skive to 6.6 mm if thicker"
    assert not any("skive" in text for text in texts(printed()))


@pytest.mark.parametrize("fastening", ["rivet", "screw-post"])
def test_nothing_is_shortened_and_no_text_meets_another(fastening: str) -> None:
    block = printed(style="heel-bar", leather=THICK, fastening=fastening)
    boxes = [item.box for item in block.items if isinstance(item, Text)]
    assert not any("…" in text for text in texts(block))
    for (x0, y0, x1, y1), (u0, v0, u1, v1) in combinations(boxes, 2):
        assert not (x0 < u1 and u0 < x1 and y0 < v1 and v0 < y1)
