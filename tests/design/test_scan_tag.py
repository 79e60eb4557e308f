"""QR tags: what a code says, that it is as large as the standard has it, that it keeps to its zone."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.design import CollarPattern, adornments
from service.design.reading import read_parameter
from service.design.scan_tag import MODULE_LEAST, QUIET, scan_content, squares_of
from service.errors import DesignError, DoesNotFit
from service.orders import kept_rows
from service.pricing import estimate
from tests.design.makers import (
    CLEAR,
    attempt,
    clear_until,
    codes,
    collar,
    demo,
    made,
    marks,
    patterns,
    table,
    text_of,
    wishes,
)

SAYINGS = st.sampled_from(
    ["+44 20 7946 0958", "rex@oxlip.example", "oxlip.example/rex", "https://oxlip.example"]
)


def tagged() -> st.SearchStrategy[CollarPattern]:
    return patterns(qr=SAYINGS, neck=st.floats(250, 915), width=st.sampled_from([25.4, 30.0, 38.1, 50.8]))


@pytest.mark.parametrize("row", [one for one in table("qr_sizes.csv") if one["version"] != "40"])
def test_a_code_has_the_squares_of_its_version(row: dict[str, str]) -> None:
    # ISO/IEC 18004:2015: 17 + 4 x version squares a side, four bare ones round them; capacities at level M.
    side = int(row["modules_per_side"])
    assert side == 17 + 4 * int(row["version"])
    assert side + 2 * QUIET == int(row["side_with_quiet_zone"])
    most = int(row["bytes_M"])
    # Small letters: figures and capitals take fewer bits than a byte each.
    assert len(squares_of("a" * most)) == side
    assert len(squares_of("a" * (most + 1))) == side + 4


@given(tagged())
def test_a_tag_keeps_to_a_clear_zone_and_off_all_else(pattern: CollarPattern) -> None:
    layout = pattern.layout
    (code,) = marks(pattern, "code")
    tag = next(one for one in marks(pattern, "plate") if one.x == code.x)
    reach = (tag.length or 0) / 2
    covered = max(layout.fold + layout.tail, 2 * layout.fold)
    zones = (
        (covered + CLEAR, layout.ring - layout.tab_half - CLEAR),
        (
            max(layout.ring + layout.tab_half, covered) + CLEAR,
            clear_until(layout) - CLEAR,
        ),
    )
    assert any(start <= tag.x - reach + 1e-9 and tag.x + reach - 1e-9 <= end for start, end in zones)
    assert (tag.width or 0) / 2 <= layout.width / 2 - layout.margin + 1e-9
    for other in (*marks(pattern, "plate"), *marks(pattern, "lettering"), *marks(pattern, "stud")):
        if other != tag:
            half = (other.length or other.diameter or 0) / 2
            assert abs(other.x - tag.x) >= reach + half + CLEAR - 1e-9
    # Alone it is in the middle of the long run.
    if not pattern.spec.lettering:
        assert tag.x == pytest.approx(sum(zones[1]) / 2)


@given(tagged())
def test_the_squares_are_large_enough_and_the_bare_ones_lie_on_the_tag(pattern: CollarPattern) -> None:
    (code,), one = marks(pattern, "code"), pattern.fittings.plates[0]
    assert (code.length or 0) / ((code.count or 0) + 8) >= MODULE_LEAST
    assert code.length == code.width
    assert (code.length or 0) <= one.plate.width
    assert (code.length or 0) / 2 <= one.plate.hole_distance / 2 - one.fastener.cap / 2 + 1e-9


@given(wishes(qr=SAYINGS, neck=st.floats(200, 915)))
def test_studs_stay_at_equal_distances_from_the_ring(wish: object) -> None:
    pattern = attempt(wish)  # type: ignore[arg-type]
    if not isinstance(pattern, CollarPattern):
        return
    ring = pattern.layout.ring
    far = {round(one.x - ring, 6) for one in marks(pattern, "stud") if one.x > ring}
    near = {round(ring - one.x, 6) for one in marks(pattern, "stud") if one.x < ring}
    assert near <= far


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        # RFC 3966: a number from abroad, without marks. The number is one of Ofcom's for drama.
        ("020 7946 0958", "tel:+442079460958"),
        ("+44 (0)20 7946 0958", "tel:+442079460958"),
        # RFC 6068 and RFC 9110.
        ("rex@oxlip.example", "mailto:rex@oxlip.example"),
        ("oxlip.example/rex?a=1", "https://oxlip.example/rex?a=1"),
        ("http://oxlip.example", "http://oxlip.example"),
        ("HTTPS://OXLIP.EXAMPLE", "HTTPS://OXLIP.EXAMPLE"),
        ("javascript:alert(1)", None),
        ("data:text/html,x", None),
        ("Bella", None),
        ("oxlip .example", None),
        ("12345", None),
        ("xlíp.example", None),
        ("", None),
    ],
)
def test_what_is_typed_becomes_a_call_a_mail_or_a_page(typed: str, said: str | None) -> None:
    assert scan_content(typed, "GB") == said


@given(st.text(max_size=80))
def test_a_code_calls_mails_or_opens_a_page_and_nothing_else(typed: str) -> None:
    said = scan_content(typed, "US")
    assert said is None or said.lower().startswith(("tel:", "mailto:", "http://", "https://"))


def test_a_code_on_an_inch_is_of_25_squares_of_half_a_millimetre() -> None:
    pattern = made(qr="+44 20 7946 0958")
    (code,) = marks(pattern, "code")
    # 25.4 mm less 3 mm at each edge: a tag 16 mm wide. 16 / (25 + 8) = 0.485 mm.
    assert (code.text, code.count, code.length) == ("tel:+442079460958", 25, 16.0)
    assert text_of(pattern, "tag-code").startswith(
        "The tag says tel:+442079460958: 25 squares a side, 0.48 mm each."
    )
    assert "tag-dark" not in codes(pattern)
    assert "tag-dark" in codes(made(qr="+44 20 7946 0958", finish="black"))


def test_a_number_that_cannot_be_is_asked_about() -> None:
    (asked,) = [one for one in made(qr="555 0100 22").findings if one.code == "phone"]
    assert asked.field == "qr"
    assert "phone" not in codes(made(qr="+44 20 7946 0958"))


def test_a_tag_is_said_laid_out_and_paid_for() -> None:
    pattern = made(qr="oxlip.example/rex", lettering="REX")
    assert [str(one.phrase) for one in adornments(pattern)] == ["a QR tag 35 mm × 16 mm"]
    assert str(adornments(pattern)[0].value) == "“https://oxlip.example/rex”, 35 mm × 16 mm"
    usual = {line.code for line in estimate(made(lettering="REX"), demo()).lines}
    assert {line.code for line in estimate(pattern, demo()).lines} - usual == {
        "plate-brass-tag-35-16",
        "rivet-brass-rivet-short",
    }
    rows = kept_rows(pattern, demo())
    again = attempt(collar(qr="oxlip.example/rex", lettering="REX"), rows)
    assert isinstance(again, CollarPattern)
    assert again.parts == pattern.parts


def test_a_tag_and_a_name_plate_share_the_long_side() -> None:
    pattern = made(neck=650, qr="oxlip.example/rex", lettering="REX", letters="plate")
    assert [one.quantity for one in pattern.hardware if one.place == "plate"] == [4]
    assert len(pattern.fittings.plates) == len(marks(pattern, "plate")) == 2
    assert str(adornments(pattern)[0].phrase) == "a QR tag 35 mm × 16 mm"


def refused(**wish: object) -> DesignError:
    with pytest.raises(DoesNotFit) as caught:
        made(**wish)
    assert caught.value.would_work
    for way in caught.value.would_work:
        assert made(**(wish | {way.field: read_parameter(way.field, way.value, demo())})) is not None
    return caught.value


def test_squares_too_small_are_refused_with_a_strap_that_is_wide_enough() -> None:
    problem = refused(qr="oxlip.example/" + "a" * 50)
    assert problem.field == "qr"
    assert "37 squares a side" in str(problem.message)
    assert {"width", "qr"} == {way.field for way in problem.would_work}


def test_a_narrow_strap_has_no_room_for_a_code() -> None:
    problem = refused(width=15.875, neck=400, qr="+44 20 7946 0958")
    assert ("qr", "") in [(way.field, way.value) for way in problem.would_work]


def test_a_text_that_has_no_room_beside_a_tag_may_do_without_it() -> None:
    problem = refused(qr="oxlip.example/rex", lettering="BELLA +44 20 7946 0958", neck=420)
    assert ("qr", "") in [(way.field, way.value) for way in problem.would_work]
