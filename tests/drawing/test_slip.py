"""Pictures of limited-slip collars: closed where leather meets metal, and words where there is room."""

from math import tau

import pytest
from lxml import etree
from svgelements import Path

from service.design import PAINTS
from service.drawing.slip import slip_details, slip_views
from tests.design.test_slip import made
from tests.drawing.test_preview import SVG


@pytest.mark.parametrize(("neck", "head", "width"), [(228.6, 240.0, 15.875), (711.2, 730.0, 50.8)])
def test_the_loop_goes_round_both_rings_and_the_head_is_named_inside_the_neck(
    neck: float, head: float, width: float
) -> None:
    pattern = made(neck=neck, head=head, width=width)
    tight, wide = (etree.fromstring(figure.inline()) for _, figure in slip_views(pattern, "metric"))
    thick, wire = pattern.layout.thickness, pattern.fittings.ring.wire
    bows = -pattern.fit.tight / tau - thick  # where the rings' middles are, on the strap's own
    loops = [Path(one.get("d")).bbox() for one in tight.iter(f"{SVG}path") if "H-2" in str(one.get("d"))]
    assert loops
    for _, top, _, bottom in loops:
        assert bottom == pytest.approx(bows + (wire + thick) / 2, abs=0.5)
        assert top < bows - pattern.layout.span / 2
    (named,) = (one for one in wide.iter(f"{SVG}text") if one.text == "head")
    assert float(str(named.get("y"))) < pattern.fit.neck / tau


def test_what_adorns_it_is_seen_in_use_at_its_places_and_a_plain_one_has_no_third_picture() -> None:
    assert [name for name, _ in slip_views(made(), "metric")] == ["worn-tight", "worn-open"]
    pattern = made(studs=50.8, lettering="REX", letters="white")
    name, outside = slip_views(pattern, "metric")[2]
    assert name == "worn-outside"
    drawn = etree.fromstring(outside.inline())
    paths = [(one.get("fill"), Path(one.get("d")).bbox()) for one in drawn.iter(f"{SVG}path") if one.get("d")]
    studs = [one for one in pattern.strap.marks if one.kind == "stud"]
    caps = [box for fill, box in paths if fill == pattern.fittings.finish.colour]
    left = min(one.x - (one.diameter or 0) / 2 for one in studs)
    assert any(box[0] == pytest.approx(left, abs=0.05) for box in caps)
    # From fold to fold: what is folded back is not to be seen.
    (strap,) = [box for fill, box in paths if str(fill).startswith("url(")]
    assert (strap[0], strap[2]) == pytest.approx(
        (pattern.layout.fold, pattern.strap.length - pattern.layout.fold)
    )
    assert PAINTS["white"].colour in outside.content


def test_the_loop_s_distances_are_in_inches_too() -> None:
    pattern = made()
    ((_, _, detail),) = slip_details(pattern)
    said = {one.text for one in etree.fromstring(detail.inline()).iter(f"{SVG}text")}
    # Common practice: the first rivet half an inch from the cut end, the second an inch on.
    assert {"12.7", "1/2", "38.1", "1 1/2"} <= said
