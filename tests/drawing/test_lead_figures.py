"""Pictures of leads: well-formed, with names of their own, and showing what the pattern has."""

import re
from io import StringIO
from typing import Any, get_args

import pytest
from lxml import etree
from svgelements import SVG, Path

from service.design import make_pattern, read_wish
from service.design.lead_wish import Make
from service.drawing import figures, preview_svg
from service.drawing.lead_figures import lead_views
from tests.design.makers import demo
from tests.design.test_leads import made, shoulders

ADORNED: dict[str, Any] = {
    "studs": 50.8,
    "border": "dots",
    "lettering": "REX",
    "width": 31.75,
    "length": 1290.0,
}


@pytest.mark.parametrize("make", get_args(Make))
def test_every_figure_of_a_lead_is_one_picture_with_a_name(make: Make) -> None:
    pattern = made(shoulders() if make != "one-piece" else None, make=make, **ADORNED)
    drawn = figures(pattern, "imperial")
    pictures = [one.svg for one in (*drawn.worn, *drawn.details)] + list(drawn.flat)
    names: list[str] = []
    for text in pictures:
        picture = etree.fromstring(text)
        assert picture.get("role") == "img"
        assert picture.get("aria-label")
        names += [found for one in picture.iter(etree.Element) if (found := one.get("id"))]
    assert len(names) == len(set(names))
    assert len(drawn.details) == len(pattern.parts) - 1
    assert preview_svg(pattern, "imperial") == preview_svg(pattern, "imperial")


@pytest.mark.parametrize("make", get_args(Make))
def test_what_a_figure_of_a_lead_paints_with_is_defined_on_its_page(make: Make) -> None:
    drawn = figures(made(make=make, **ADORNED), "imperial")
    page = "".join([*(one.svg for one in (*drawn.worn, *drawn.details)), *drawn.flat])
    used = {piece.split(")")[0] for piece in page.split("url(#")[1:]}
    assert used
    assert all(f'id="{name}"' in page for name in used)


def test_a_plait_a_stud_and_a_lap_are_drawn_only_where_there_are_any() -> None:
    def hand(make: Make = "plain", length: float = 1524.0, studs: float | None = None) -> str:
        return dict(lead_views(made(make=make, length=length, studs=studs)))["worn-hands-end"].content

    plain = hand()
    assert len({plain, hand(make="plaited-handle"), hand(studs=50.8), hand(length=9000.0)}) == 4
    assert hand(length=1200.0) == plain


def test_the_flat_strap_shows_what_decorates_it_where_its_marks_are() -> None:
    wish: dict[str, Any] = {
        "lettering": "REX",
        "letters": "plate",
        "qr": "020 7946 0958",
        "lacing": "whip",
        "grooves": "none",
    }
    pattern = made(width=31.75, studs=50.8, **wish)
    svg = SVG.parse(StringIO(figures(pattern, "imperial").flat[0]))
    boxes = [box for one in svg.select(lambda one: isinstance(one, Path)) if (box := one.bbox())]
    for mark in pattern.strap.marks:
        if mark.kind == "plate":
            half, tall = (mark.length or 0) / 2, mark.width or 0
            found = [box for box in boxes if box[0] == pytest.approx(mark.x - half, abs=0.02)]
            assert any(
                (box[2], box[3] - box[1]) == pytest.approx((mark.x + half, tall), abs=0.02) for box in found
            )
    drawn = etree.fromstring(figures(pattern, "imperial").flat[0])
    names = {one.get("id") for one in drawn.iter(etree.Element)}
    assert "flat-lace-1" in names
    studs = sum(one.kind == "stud" for one in pattern.strap.marks)
    metal = pattern.fittings.finish.colour
    caps = [one.get("d") or "" for one in drawn.iter(etree.Element) if one.get("fill") == metal]
    assert max(path.count("M") for path in caps) == studs


def test_what_is_lettered_is_seen_whole_at_the_hand_even_of_a_lead_in_two_parts() -> None:
    for make, shop in (("plain", None), ("plain", shoulders()), ("two-part", None), ("slip", shoulders())):
        pattern = made(shop, make=make, lettering="REX 020 7946 0958", letters="white", width=25.4)
        (_, figure) = lead_views(pattern)[1]
        assert figure.content.count("hands-end-hand-strap-words") == 3
        _, _, wide, _ = figure.box
        picture = SVG.parse(StringIO(figure.inline()))
        words = [one for one in picture.elements() if getattr(one, "id", "") == "hands-end-hand-strap-words"]
        assert words
        start, _, end, _ = words[-1].bbox()
        assert 0 < start < end < wide


def test_a_set_shows_what_is_on_the_edges_of_its_leads_strap_too() -> None:
    wish = read_wish({"kind": "set", "neck": "16 in", "border": "rope", "studs": "2 in"}, demo())
    drawn = figures(make_pattern(wish, demo()), "imperial")
    assert [one.name for one in drawn.details] == ["buckle-end", "point", "lead-strap", "billet", "handle"]
    page = "".join([*(one.svg for one in (*drawn.worn, *drawn.details)), *drawn.flat])
    names = re.findall(r' id="([^"]+)"', page)
    assert len(names) == len(set(names))
    assert {"flat-border", "lead-strap-border", "dogs-end-snap-strap-border"} <= {*names}


def test_the_picture_of_a_set_is_of_the_side_with_its_letters_or_studs() -> None:
    def drawn(**typed: str) -> list[str]:
        wish = read_wish({"kind": "set", "neck": "16 in", **typed}, demo())
        return [one.name for one in figures(make_pattern(wish, demo()), "imperial").worn]

    assert drawn() == ["worn-buckle", "worn-dogs-end"]
    assert drawn(lettering="REX") == ["worn-ring", "worn-dogs-end"]
    assert drawn(studs="2 in") == ["worn-ring", "worn-dogs-end"]
