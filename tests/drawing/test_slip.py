"""Pictures of limited-slip collars: closed where leather meets metal, and words where there is room."""

from math import tau

import pytest
from lxml import etree
from svgelements import Path

from service.drawing.slip import slip_views
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
