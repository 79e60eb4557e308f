"""Studs and lettering: where they may stand, where they stand, and what is said when they can't."""

from itertools import pairwise

import phonenumbers
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from phonenumbers import PhoneNumberFormat

from service.colour import contrast
from service.design import Collar, CollarPattern, clear_zones, make_pattern
from service.design.decoration import lettering_length, phone_findings
from service.design.paint import LARGE_TEXT
from service.design.zones import even_pitch
from service.errors import DesignError, DesignRefused, DoesNotFit
from service.workshop import Leather, LetterStamps
from tests.design.makers import (
    IN,
    clear_until,
    codes,
    collar,
    demo,
    made,
    marks,
    only,
    text_of,
    wishes,
    workshop,
)
from tests.wishes import read_collar

MARGIN, SIDE = 3.0, 6.0
SETS = {row.height: row for row in demo().stamps}

# `None` where a wish can't be made.


def tried(**wish: object) -> CollarPattern | None:
    try:
        return made(**wish)
    except DesignError:
        return None


def refusal(**wish: object) -> DesignError:
    with pytest.raises(DesignError) as caught:
        made(**wish)
    return caught.value


def covered(pattern: CollarPattern) -> list[tuple[float, float]]:
    """Everything on the strap that decoration must keep off, from the marks themselves [mm]."""
    layout = pattern.layout
    holes = marks(pattern, "size-hole")
    spans = [(mark.x - (mark.diameter or 0) / 2, mark.x + (mark.diameter or 0) / 2) for mark in holes]
    spans.append((0, 2 * layout.fold))  # the folded leg with its rivets, slot and keeper
    tail = layout.length - holes[0].x
    spans.append((layout.fold, layout.fold + tail))  # the tail on the tightest hole
    spans.append((layout.ring - layout.tab_half, layout.ring + layout.tab_half))
    return spans


def decoration(pattern: CollarPattern) -> list[tuple[float, float]]:
    """Where each stud and the lettering begin and end [mm]."""
    studs = [(mark.x, mark.diameter or 0.0) for mark in marks(pattern, "stud")]
    words = [(mark.x, mark.length or 0.0) for mark in marks(pattern, "lettering")]
    return [(x - size / 2, x + size / 2) for x, size in (*studs, *words)]


@given(wishes())
def test_nothing_stands_under_the_tail_or_the_tab_or_near_a_hole_or_an_edge(wish: Collar) -> None:
    try:
        pattern = make_pattern(wish, demo())
    except DesignError:
        return
    for start, end in decoration(pattern):
        for low, high in covered(pattern):
            assert end <= low - MARGIN + 1e-9 or start >= high + MARGIN - 1e-9
    for mark in marks(pattern, "stud") + marks(pattern, "lettering"):
        assert mark.y == 0 or mark.kind == "stud"
        assert (
            abs(mark.y) + (mark.diameter or mark.height or 0) / 2 + MARGIN <= pattern.layout.width / 2 + 1e-9
        )


def test_clear_zones_are_what_is_left_between_tail_tab_and_holes() -> None:
    # 19 in, 1 in wide, six holes an inch apart: by hand, in mm.
    layout = made().layout
    ring, tail = 63.5 + 241.3, 5 * 25.4 + 50.8
    short, long = clear_zones(layout)
    assert (short.start, short.end) == pytest.approx((63.5 + tail + 3, ring - 20.7 - 3))
    assert (long.start, long.end) == pytest.approx((ring + 20.7 + 3, 63.5 + 482.6 - 25.4 - 2 - 3))
    assert short.length == pytest.approx(42.8 - 6)


def test_a_forced_tail_that_reaches_past_the_ring_covers_the_long_side_too() -> None:
    layout = made(neck=400, holes=12, pitch=25.4).layout
    tail_ends = layout.fold + 11 * 25.4 + 50.8
    assert tail_ends > layout.ring + layout.tab_half
    short, long = clear_zones(layout)
    assert short.length == 0
    assert long.start == pytest.approx(tail_ends + 3)


# Studs.


@given(st.floats(5, 800), st.floats(5, 200))
def test_no_even_pitch_is_nearer_to_the_nominal_one(run: float, nominal: float) -> None:
    gaps, pitch = even_pitch(run, nominal)
    assert gaps * pitch == pytest.approx(run)
    assert abs(pitch - nominal) <= min(abs(run / n - nominal) for n in range(1, 400)) + 1e-9


@given(st.floats(21, 800), st.floats(10.5, 200))
def test_studs_never_come_nearer_than_a_millimetre_to_each_other(run: float, nominal: float) -> None:
    _, pitch = even_pitch(run, nominal, 10.5)
    assert pitch >= 10.5


@given(st.floats(200, 900), st.floats(10.5, 200), st.sampled_from([15.875, 25.4, 50.8]))
def test_studs_divide_the_long_side_evenly_and_stand_alike_on_both_sides_of_the_ring(
    neck: float, nominal: float, width: float
) -> None:
    pattern = tried(neck=neck, studs=nominal, width=width)
    assume(pattern is not None)
    assert pattern is not None
    layout = pattern.layout
    xs = [mark.x for mark in marks(pattern, "stud")]
    assert xs == sorted(xs)
    far = [x - layout.ring for x in xs if x > layout.ring]
    near = [layout.ring - x for x in xs if x < layout.ring]
    gaps = [b - a for a, b in pairwise(far)]
    assert gaps == pytest.approx([gaps[0]] * len(gaps))
    assert min(gaps) >= 9.5 + 1 - 1e-9
    # Each stud before the ring has its twin behind it, and none is left out that has room.
    assert near[::-1] == pytest.approx(far[: len(near)])
    short, long = clear_zones(layout)
    room = layout.ring - short.start - 4.75
    assert len(near) == sum(offset <= room for offset in far)
    # The row fills the clear run from end to end.
    assert far[0] + layout.ring == pytest.approx(long.start + 4.75)
    assert far[-1] + layout.ring == pytest.approx(long.end - 4.75)


def test_studs_at_two_inches_on_19_in_come_to_five_and_one() -> None:
    # The run is 187.2 mm less a stud: 177.7 mm, four gaps of 44.4 mm, nearer to 50.8 than three of 59.2 mm.
    pattern = made(studs=2 * IN)
    xs = [mark.x - pattern.layout.ring for mark in marks(pattern, "stud")]
    assert [round(b - a, 3) for a, b in pairwise(xs[1:])] == [44.425] * 4
    assert len(xs) == 6
    text = text_of(pattern, "studs-spaced")
    assert text.startswith("Studs at 1 3/4 in (44.4 mm), the pitch nearest to 2 in (50.8 mm)")
    assert "5 on the long side of the ring; 1 opposite" in text


@given(st.floats(300, 900), st.floats(11, 100), st.text("ABEL 19", min_size=1, max_size=8))
def test_studs_keep_off_the_lettering_and_on_both_sides_alike(neck: float, nominal: float, text: str) -> None:
    pattern = tried(neck=neck, studs=nominal, lettering=text)
    assume(pattern is not None)
    assert pattern is not None
    (words,) = marks(pattern, "lettering")
    assert words.length is not None
    studs, ring = marks(pattern, "stud"), pattern.layout.ring
    assert all(abs(mark.x - words.x) >= words.length / 2 + SIDE + 4.75 - 1e-9 for mark in studs)
    far = {round(mark.x - ring, 6) for mark in studs if mark.x > ring}
    assert {round(ring - mark.x, 6) for mark in studs if mark.x < ring} <= far
    assert far


@pytest.mark.parametrize(
    ("wish", "said"),
    [
        ({"studs": 10.4}, "a pitch of at least 7/16 in"),
        ({"studs": 25.4, "pitch": 60.0, "neck": 180}, "no clear run long enough"),
    ],
)
def test_studs_that_can_not_be_set_are_refused_in_plain_words(wish: dict[str, float], said: str) -> None:
    problem = refusal(**wish)
    assert isinstance(problem, DoesNotFit)
    assert said in str(problem.message)
    assert any(way.field == "studs" for way in problem.would_work)


def test_a_stud_needs_three_millimetres_of_leather_on_both_sides() -> None:
    wide = only("studs", diameter=19.4)
    assert marks(make_pattern(collar(studs=60, neck=600), wide), "stud")
    with pytest.raises(DoesNotFit, match=r"need a strap of 1 1/16 in or wider"):
        make_pattern(collar(studs=60, neck=600), only("studs", diameter=19.6))


# Lettering.


def test_a_phone_number_is_never_offered_cut_short() -> None:
    problem = refusal(neck=203.2, width=15.875, lettering="650 253 0000")
    assert [way.value for way in problem.would_work if way.field == "lettering"] == [""]


def test_a_text_is_as_long_as_its_stamps_and_the_gaps_between_them() -> None:
    row = LetterStamps(code="s", name="S", height=6, gap=1, advances={"A": 1.0, "I": 0.5, " ": 0.4})
    assert lettering_length("AA", row) == pytest.approx(13)
    assert lettering_length("A", row) == pytest.approx(6)
    assert lettering_length("", row) == 0
    assert lettering_length("AI A", row) == pytest.approx(6 + 3 + 2.4 + 6 + 3 * 1)


def clear_run(pattern: CollarPattern) -> float:
    """From tab to tightest hole, less 6 mm on both sides [mm]: what letters may take."""
    layout = pattern.layout
    return clear_until(layout) - (layout.ring + layout.tab_half) - 2 * SIDE


@given(st.floats(240, 900), st.text("ABEL 019+-", min_size=1, max_size=40).map(str.strip).filter(bool))
def test_the_tallest_stamps_are_taken_that_the_text_fits_in(neck: float, text: str) -> None:
    room = clear_run(made(neck=neck))
    fitting = [height for height in (12.0, 9.0, 6.0) if lettering_length(text, SETS[height]) <= room]
    if fitting:
        pattern = made(neck=neck, lettering=text)
        (words,) = marks(pattern, "lettering")
        assert words.height == fitting[0]
        assert words.text == text
        assert words.length == pytest.approx(lettering_length(text, SETS[fitting[0]]))
        stamps = pattern.fittings.stamps
        assert stamps is not None
        assert stamps.height == fitting[0]
    else:
        assert "long in 6 mm stamps" in str(refusal(neck=neck, lettering=text).message)


@given(
    st.floats(240, 900),
    st.sampled_from([12.0, 9.0, 6.0]),
    st.text("ABEL 019+-", min_size=20, max_size=40).map(str.strip).filter(bool),
)
def test_the_longest_text_that_fits_is_really_the_longest(neck: float, height: float, text: str) -> None:
    room, row = clear_run(made(neck=neck)), SETS[height]
    assume(lettering_length(text, row) > room)
    problem = refusal(neck=neck, lettering=text, stamp=height)
    kept = [way.value for way in problem.would_work if way.field == "lettering" and way.value]
    beginnings = [text[:n].rstrip() for n in range(1, len(text) + 1)]
    best = max((start for start in beginnings if lettering_length(start, row) <= room), key=len, default="")
    whole_only = any(character.isdigit() for character in text)  # a phone number cut short is worse than none
    assert kept == ([best] if best and not whole_only else [])
    assert (f"the first {len(best)} characters fit" if best else "none of it fits") in str(problem.message)
    smaller = [way.value for way in problem.would_work if way.field == "stamp"]
    expected = [h for h in (9.0, 6.0) if h < height and lettering_length(text, SETS[h]) <= room]
    assert smaller == [f"{h:g} mm" for h in expected]


def test_lettering_is_centred_in_the_clear_run_and_never_under_the_tail() -> None:
    pattern = made(lettering="BELLA")
    (words,) = marks(pattern, "lettering")
    _, long = clear_zones(pattern.layout)
    assert words.x == pytest.approx((long.start + long.end) / 2)
    assert words.x > pattern.layout.ring


@pytest.mark.parametrize(("width", "tallest"), [(15.875, 9.0), (25.4, 12.0)])
def test_letters_keep_three_millimetres_to_both_edges(width: float, tallest: float) -> None:
    (words,) = marks(made(width=width, neck=600, lettering="A"), "lettering")
    assert words.height == tallest


@pytest.mark.parametrize(
    ("wish", "said", "stamps"),
    [
        (
            {"stamp": 12.0, "width": 15.875},
            "may be 9.9 mm high at most. Stamps that fit: 9 mm, 6 mm.",
            ["auto", "9 mm", "6 mm"],
        ),
        ({"stamp": 7.0}, "Stamps that fit: 12 mm, 9 mm, 6 mm.", ["auto", "12 mm", "9 mm", "6 mm"]),
    ],
)
def test_stamps_of_a_height_that_is_not_there_are_refused(
    wish: dict[str, float], said: str, stamps: list[str]
) -> None:
    problem = refusal(lettering="REX", **wish)
    assert problem.field == "stamp"
    assert said in str(problem.message)
    assert [way.value for way in problem.would_work if way.field != "width"] == stamps


def test_characters_without_a_stamp_are_named_and_the_rest_is_suggested() -> None:
    problem = refusal(lettering="ÉLAN ☆ 7")
    assert problem.field == "lettering"
    assert str(problem.message).startswith(
        "There is no letter stamp for É ☆. The stamps are A to Z, 0 to 9, space"
    )
    assert problem.would_work[0].value == "LAN  7"


def test_a_set_that_has_the_characters_is_taken_before_a_taller_one_that_lacks_them() -> None:
    tall, *others = demo().stamps
    plain = tall.model_copy(update={"advances": {"A": 1.0}})
    pattern = make_pattern(collar(lettering="A7"), workshop(stamps=(plain, *others)))
    (words,) = marks(pattern, "lettering")
    assert words.height == 9.0


@pytest.mark.parametrize(
    ("advances", "said"),
    [
        ({"A": 1.0, "B": 1.0}, "The stamps are AB."),
        (dict.fromkeys("0123456789-", 1.0), "The stamps are 0 to 9, -."),
    ],
)
def test_only_stamps_that_are_owned_are_named(advances: dict[str, float], said: str) -> None:
    stamps = tuple(row.model_copy(update={"advances": advances}) for row in demo().stamps)
    with pytest.raises(DoesNotFit) as caught:
        make_pattern(collar(lettering="Z"), workshop(stamps=stamps))
    assert said in str(caught.value.message)


def test_a_workshop_without_stamps_says_so() -> None:
    with pytest.raises(DoesNotFit, match="has no letter stamps") as caught:
        make_pattern(collar(lettering="REX"), workshop(stamps=()))
    assert [(way.field, way.value) for way in caught.value.would_work] == [("lettering", "")]


def test_a_strap_too_narrow_for_every_stamp_says_how_high_letters_may_be() -> None:
    big = tuple(row.model_copy(update={"height": 22.0}) for row in demo().stamps[:1])
    with pytest.raises(DoesNotFit, match=r"may be 19\.4 mm high at most"):
        make_pattern(collar(lettering="REX"), workshop(stamps=big))


# Phone numbers, by the numbering plans that the phonenumbers library carries; ITU-T E.164: at most 15 digits.


def questioned(text: str, region: str = "US") -> bool:
    return bool(phone_findings(text, region))


@pytest.mark.parametrize("form", [PhoneNumberFormat.E164, PhoneNumberFormat.INTERNATIONAL])
def test_the_example_number_of_every_country_is_right_everywhere(form: int) -> None:
    for region in sorted(phonenumbers.SUPPORTED_REGIONS):
        example = phonenumbers.example_number(region)
        assert example is not None
        assert not questioned(phonenumbers.format_number(example, form), "US"), region


def test_the_example_number_of_every_country_is_right_at_home_as_people_there_write_it() -> None:
    for region in sorted(phonenumbers.SUPPORTED_REGIONS):
        example = phonenumbers.example_number(region)
        assert example is not None
        national = phonenumbers.format_number(example, PhoneNumberFormat.NATIONAL)
        if sum(character.isdigit() for character in national) >= 6:
            assert not questioned(national, region), (region, national)


@pytest.mark.parametrize(
    ("text", "region", "asked"),
    [
        ("+44 20 7946 0958", "US", False),
        ("212 555 0123", "US", False),
        ("(212) 555-0123", "US", False),
        ("555 0100", "US", True),  # without its area code it can't be dialled from elsewhere
        ("020 7946 0958", "GB", False),
        ("020 7946 0958", "US", True),
        ("020 7946 095", "GB", True),
        ("+999 123 456 789", "US", True),  # no such country code
        ("BELLA 212 555 0123", "US", False),
        ("BELLA 212 555 012", "US", True),
        ("BELLA", "US", False),
        ("REX 2021", "US", False),  # too short to be meant as a number to call
        ("", "US", False),
    ],
)
def test_a_number_that_can_not_exist_is_asked_about(text: str, region: str, *, asked: bool) -> None:
    assert questioned(text, region) is asked


def test_fifteen_digits_are_the_most_a_number_can_have() -> None:
    # ITU-T E.164.
    (sixteen,) = phone_findings("+44" + "1" * 14, "US")
    assert "more than 15 digits" in str(sixteen.text)
    (fifteen,) = phone_findings("+44" + "1" * 13, "US")
    assert "more than 15 digits" not in str(fifteen.text)


def test_the_question_names_the_country_only_where_the_number_depends_on_it() -> None:
    assert "no number in use in US looks like this" in str(phone_findings("555 0100", "US")[0].text)
    assert "in use in US" not in str(phone_findings("+44 20 7946", "US")[0].text)


def test_a_wrong_number_is_a_question_and_no_refusal() -> None:
    pattern = made(lettering="555 0100")
    assert "phone" in codes(pattern)
    assert [finding.severity for finding in pattern.findings if finding.code == "phone"] == ["question"]


# Dye.


def test_a_dye_colours_undyed_leather_and_says_what_its_colour_is() -> None:
    pattern = made(leather="natural", dye="fern-dye")
    assert pattern.fittings.dye is not None
    assert pattern.fittings.colour == pattern.fittings.dye.colour == "#3f5a34"
    assert "Fern green dries to on undyed leather" in text_of(pattern, "dye-colour")
    plain = made(leather="natural")
    assert plain.fittings.colour == plain.fittings.leather.colour
    assert "dye-colour" not in codes(plain)
    assert plain.hardware == pattern.hardware
    assert plain.parts == pattern.parts


def test_dyed_leather_takes_no_dye_and_the_undyed_one_is_named() -> None:
    problem = refusal(leather="black", dye="fern-dye")
    assert problem.field == "dye"
    assert str(problem.message) == "Black bridle comes dyed already. Undyed: Natural veg tan."
    assert [(way.field, way.value) for way in problem.would_work] == [("leather", "natural"), ("dye", "")]


def test_where_all_leather_is_dyed_no_dye_is_the_way_out() -> None:
    shop = only("leathers", colouring="dyed")
    with pytest.raises(DoesNotFit) as caught:
        make_pattern(collar(dye="fern-dye"), shop)
    assert "has no undyed leather" in str(caught.value.message)
    assert [(way.field, way.value) for way in caught.value.would_work] == [("dye", "")]


def test_a_dye_asked_for_without_a_leather_goes_on_the_first_that_takes_it() -> None:
    assert read_collar({"neck": "19 in", "dye": "fern-dye"}, demo()).leather == "natural"
    assert read_collar({"neck": "19 in"}, demo()).leather == "chestnut"


@pytest.mark.parametrize(
    ("dyes", "said"), [((), "The workshop has no dyes."), (None, "Choose one of: Bog oak")]
)
def test_a_dye_that_there_is_not_is_refused(dyes: tuple[()] | None, said: str) -> None:
    shop = demo() if dyes is None else workshop(dyes=dyes)
    with pytest.raises(DesignRefused) as caught:
        read_collar({"neck": "19 in", "dye": "woad"}, shop)
    (problem,) = caught.value.problems
    assert problem.field == "dye"
    assert str(problem.message).startswith(said)


@pytest.mark.parametrize("row", demo().leathers, ids=lambda row: row.code)
def test_letters_on_dark_leather_are_said_to_be_read_by_their_relief(row: Leather) -> None:
    # WCAG 2.2, 1.4.3: 3 to 1 for large letters. Blind stamping makes leather darker, black being the most.
    dark = contrast(row.colour, "#000000") < LARGE_TEXT
    assert ("letters-dark" in codes(made(leather=row.code, lettering="REX"))) == dark
    assert "letters-dark" not in codes(made(leather=row.code))


def test_a_dye_that_darkens_the_leather_darkens_the_ground_of_the_letters() -> None:
    assert "letters-dark" not in codes(made(leather="natural", lettering="REX"))
    assert "1.3 to 1" in text_of(made(leather="natural", dye="soot-dye", lettering="REX"), "letters-dark")
