"""The worn views, read back and reckoned anew: where things stand, and that nothing is cut off."""

import re
from io import StringIO
from itertools import pairwise
from math import asin, cos, radians, sin, tau
from typing import Any

import pytest
from hypothesis import given, settings
from lxml import etree
from svgelements import SVG, Path, Shape

from service.design import CollarPattern
from service.drawing import figures
from tests.design.makers import made, marks, patterns
from tests.drawing.test_preview import check_safe, tree

LEAST_MARGIN = 0.02  # of the frame's width, free on every side
UNIT = 1e-3  # places are written as whole thousandths of the strap's radius
MATRIX = re.compile(r"matrix\(([-\d. ]+)\)")
Matrix = tuple[float, ...]

RICH = made(style="heel-bar", studs=40, lettering="REX & 7'")
ALL_SORTS = [
    made(neck=483.0),
    made(neck=200.0, width=15.875),
    made(neck=356.0, width=50.8, end="round", fastening="screw-post", finish="nickel"),
    made(neck=660.0, width=38.1, style="heel-bar", end="square", studs=25.4),
    RICH,
]


def views(pattern: CollarPattern) -> tuple[etree._Element, etree._Element]:
    shown = figures(pattern, "imperial")
    return tree(shown.worn[0].svg), tree(shown.worn[1].svg)


def placed(view: etree._Element, what: str) -> list[Matrix]:
    """The matrices that lay everything of this name on the strap."""
    uses = (each for each in view.iter("{*}use") if f"-{what}-" in str(each.get("href")))
    return [matrix(each) for each in uses]


def matrix(element: etree._Element) -> Matrix:
    match = MATRIX.fullmatch(str(element.get("transform")))
    assert match is not None
    return tuple(map(float, match[1].split()))


def half_breadth(view: etree._Element, paint: str) -> float:
    (path,) = (each for each in view.iter() if str(each.get("fill")) == f"url(#{paint})")
    left, _, right, _ = Path(path.get("d")).bbox()
    return float(right - left) / 2


def outside(pattern: CollarPattern) -> float:
    """Radius of the strap's outside [mm], from the girth inside it."""
    return pattern.fit.inside_girth / tau + pattern.layout.thickness


@settings(max_examples=60)
@given(patterns())
def test_every_collar_lies_inside_its_frame_with_a_margin(pattern: CollarPattern) -> None:
    shown = figures(pattern, "imperial")
    for figure in (one.svg for one in shown.worn):
        check_margin(figure)


@pytest.mark.parametrize("pattern", ALL_SORTS)
def test_these_collars_lie_inside_their_frames_with_a_margin(pattern: CollarPattern) -> None:
    shown = figures(pattern, "imperial")
    for figure in (one.svg for one in shown.worn):
        check_margin(figure)


def check_margin(figure: str) -> None:
    """Only the shadow on the ground, which fades away, may come nearer to the side."""
    drawing = SVG.parse(StringIO(figure))
    shapes = [each for each in drawing.elements() if isinstance(each, Shape)]
    boxes = [each.bbox(with_stroke=True) for each in shapes if "-shade)" not in str(each.values["fill"])]
    assert len(boxes) > 10
    margin = LEAST_MARGIN * drawing.width
    for left, top, right, bottom in boxes:
        assert margin <= left < right <= drawing.width - margin
        assert margin <= top <= bottom <= drawing.height - margin


def test_a_frame_drawn_too_tight_would_be_noticed() -> None:
    figure = figures(made(), "imperial").worn[0].svg
    left, top, wide, high = map(float, str(tree(figure).get("viewBox")).split())
    for tight in ((left + 150, top, wide - 150, high), (left, top, wide, high - 150)):
        box = f'viewBox="{" ".join(map(str, tight))}"'
        with pytest.raises(AssertionError):
            check_margin(re.sub(r'viewBox="[^"]*"', box, figure))


def test_both_views_share_one_frame_and_so_one_scale() -> None:
    for pattern in ALL_SORTS:
        near, far = views(pattern)
        assert near.get("viewBox") == far.get("viewBox")


def test_views_of_one_page_have_no_name_in_common_and_each_stands_alone() -> None:
    for pattern in ALL_SORTS:
        near, far = views(pattern)
        for view in (near, far):
            check_safe(view)
        names = [{each.get("id") for each in view.iter() if each.get("id")} for view in (near, far)]
        assert not names[0] & names[1]


@pytest.mark.parametrize("pattern", ALL_SORTS)
def test_the_form_is_as_thick_as_the_neck_beside_the_strap(pattern: CollarPattern) -> None:
    for view, side in zip(views(pattern), ("buckle", "ring"), strict=True):
        strap = 1000.0
        neck = half_breadth(view, f"{side}-form")
        assert neck / strap == pytest.approx(pattern.fit.neck / tau / outside(pattern), abs=UNIT)


@pytest.mark.parametrize("pattern", ALL_SORTS)
def test_size_holes_stand_a_pitch_apart_round_the_neck(pattern: CollarPattern) -> None:
    near, _ = views(pattern)
    layout = pattern.layout
    tail = 1000 * (1 + layout.thickness / outside(pattern))  # the tail lies on one more ply
    turns = [asin(x / tail) for *_, x, _ in placed(near, "hole") if x > -700]
    steps = [after - before for before, after in pairwise(sorted(turns))]
    assert steps
    pitch = (layout.holes[1] - layout.holes[0]) / pattern.fit.flat * tau
    for step in steps:
        assert step == pytest.approx(pitch, abs=0.02)  # aslant, a unit of place is more than one of turn


def test_studs_and_letters_are_foreshortened_by_where_they_stand() -> None:
    seen = 0
    for view in views(RICH):
        letters = [matrix(each) for each in view.iter("{*}path") if "matrix" in str(each.get("transform"))]
        for along, down, nought, up, x, y in placed(view, "stud") + letters:
            turn = asin(max(-1.0, min(1.0, x / 1000)))
            if x < -1000 * sin(radians(60)):
                continue  # rivets of the tab stand off the strap: only a little, but it tells when so aslant
            seen += 1
            eye = radians(13)
            assert nought == 0
            assert along / up == pytest.approx(cos(turn) / cos(eye), rel=0.06)
            assert down / up == pytest.approx(-sin(turn) * sin(eye) / cos(eye), abs=0.03)
            assert y == pytest.approx(1000 * cos(turn) * sin(eye), abs=25)
    assert seen > 6


def test_studs_are_shown_as_many_as_can_be_seen_and_no_more() -> None:
    pattern = made(neck=483.0, studs=50.8)
    drawn = [len(placed(view, "stud")) for view in views(pattern)]
    assert drawn[1] > 2  # the two rivets of the tab, and studs
    assert sum(drawn) <= len(marks(pattern, "stud")) * 2 + 2
    assert [len(placed(view, "stud")) for view in views(made(neck=483.0))] == [0, 2]


def test_screw_posts_show_the_slot_that_rivets_have_not() -> None:
    posts, rivets = (
        figures(made(fastening=kind), "imperial").worn[1].svg for kind in ("screw-post", "rivet")
    )
    assert len(placed(tree(posts), "post")) == 2
    assert not placed(tree(rivets), "post")


def test_the_end_that_was_chosen_is_the_end_that_is_shown() -> None:
    shown = {figures(made(end=end), "imperial").worn[0].svg for end in ("english-point", "round", "square")}
    assert len(shown) == 3


def test_a_tail_that_goes_on_behind_the_neck_keeps_its_upper_edge_and_thread_stays_on_the_strap() -> None:
    # Without its edge the tail ended as a horn above the strap's outline; thread stuck out of it.
    pattern = made(neck=279.4, measured="tape-snug", adult=508.0, lining="calf-lining")
    near, _ = views(pattern)
    left, top, right, _ = Path(next(near.iter("{*}path")).get("d")).bbox()
    assert left < 1000 * cos(radians(15)) < 1000 < right
    strap = next(one for one in near.iter("{*}path") if "skin" in str(one.get("fill")))
    assert top < Path(strap.get("d")).bbox()[1] + 1
    (seam,) = (one for one in near.iter("{*}g", "{*}path") if str(one.get("id")).endswith("-tail"))
    assert max(Path(one.get("d")).bbox()[2] for one in seam.iter("{*}path")) < right - 10


@pytest.mark.parametrize(
    "changed",
    [{"width": 31.75, "qr": "+1 555 010 0123"}, {"ring_at": "fold"}, {"neck": 330.2, "width": 50.8}],
)
def test_a_name_is_read_whole_from_the_rings_side(changed: dict[str, Any]) -> None:
    _, far = views(made(**{"neck": 457.2, "lettering": "BELLA", **changed}))
    (words,) = (one for one in far.iter("{*}g") if str(one.get("id")).endswith("-words"))
    letters = [matrix(one)[0] for one in words.iter("{*}path")]
    assert len(letters) == len("BELLA")
    assert min(letters) > 0.2 * max(letters)  # turned away, but legible
