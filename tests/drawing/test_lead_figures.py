"""Pictures of leads: well-formed, with names of their own, and showing what the pattern has."""

from typing import get_args

import pytest
from lxml import etree

from service.design.lead_wish import Make
from service.drawing import figures, preview_svg
from service.drawing.lead_figures import lead_views
from tests.design.test_leads import made


@pytest.mark.parametrize("make", get_args(Make))
def test_every_figure_of_a_lead_is_one_picture_with_a_name(make: Make) -> None:
    pattern = made(make=make, studs=50.8)
    drawn = figures(pattern)
    pictures = [one.svg for one in (*drawn.worn, *drawn.details)] + list(drawn.flat)
    names: list[str] = []
    for text in pictures:
        picture = etree.fromstring(text)
        assert picture.get("role") == "img"
        assert picture.get("aria-label")
        names += [found for one in picture.iter(etree.Element) if (found := one.get("id"))]
    assert len(names) == len(set(names))
    assert len(drawn.details) == len(pattern.parts) - 1
    assert preview_svg(pattern) == preview_svg(made(make=make, studs=50.8))


@pytest.mark.parametrize("make", get_args(Make))
def test_what_a_figure_of_a_lead_paints_with_is_defined_on_its_page(make: Make) -> None:
    drawn = figures(made(make=make))
    page = "".join([*(one.svg for one in (*drawn.worn, *drawn.details)), *drawn.flat])
    used = {piece.split(")")[0] for piece in page.split("url(#")[1:]}
    assert used
    assert all(f'id="{name}"' in page for name in used)


def test_a_plait_a_stud_and_a_lap_are_drawn_only_where_there_are_any() -> None:
    def hand(make: Make = "plain", length: float = 1524.0, studs: float | None = None) -> str:
        return dict(lead_views(made(make=make, length=length, studs=studs)))["hands-end"].content

    plain = hand()
    assert len({plain, hand(make="plaited-handle"), hand(studs=50.8), hand(length=9000.0)}) == 4
    assert hand(length=1200.0) == plain
