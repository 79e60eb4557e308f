"""Fingers, coat, take-up and the necks a collar fits: what is sized by them, and what is said about them."""

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.design import Collar, CollarPattern, make_pattern, room_words, wearable_sentence, with_coat
from service.design.fit import (
    FINGER_WIDTH,
    THICK_COAT,
    block_ease,
    expanded_uncertainty,
    nearest_hole,
    wearable,
)
from service.saying import named
from service.storage import load_workshop
from tests.design.makers import PROJECT, codes, collar, demo, made, only, table, text_of, typed

TAPES = ("tape-two-fingers", "tape-snug")
OLD = table("fit_before_fingers.csv")
"""What the engine made of these wishes before fingers and coat could be asked for, kept 2026-11-25."""

necks = st.floats(180, 850)


def three(**wish: object) -> list[CollarPattern]:
    return [made(**wish, fingers=fingers) for fingers in (1, 2, 3)]


# What is sized by fingers.


@given(necks, st.sampled_from([1, 2, 3]))
def test_a_snug_tape_gets_exactly_the_ease_of_the_fingers_wanted(neck: float, fingers: int) -> None:
    fit = made(neck=neck, measured="tape-snug", fingers=fingers).fit
    assert fit.ease == pytest.approx(block_ease(neck, 18 * fingers), abs=1e-9)
    assert fit.fingers == pytest.approx(fingers)
    assert fit.neck == neck


@given(necks, st.sampled_from([1, 2, 3]))
def test_a_tape_over_two_fingers_gets_what_the_fingers_wanted_take_more_or_less(
    girth: float, fingers: int
) -> None:
    plain = made(neck=girth, measured="tape-two-fingers").fit
    fit = made(neck=girth, measured="tape-two-fingers", fingers=fingers).fit
    more = block_ease(plain.neck, 18 * fingers) - block_ease(plain.neck, 36)
    assert fit.neck == plain.neck
    assert fit.inside_girth == pytest.approx(girth + more, abs=1e-9)
    assert fit.fingers == pytest.approx(fingers)


@given(necks, st.sampled_from(TAPES))
def test_more_fingers_make_a_longer_collar_on_every_hole(neck: float, measured: str) -> None:
    for less, more in pairwise(three(neck=neck, measured=measured, holes=5, pitch=20.0, width=15.875)):
        assert less.layout.length < more.layout.length
        for tight, loose in zip(less.fit.holes, more.fit.holes, strict=True):
            assert tight.inside_girth < loose.inside_girth


@given(necks, st.sampled_from([1, 2, 3]))
def test_both_tapes_agree_on_a_dog_for_any_fingers(neck: float, fingers: int) -> None:
    snug = made(neck=neck, measured="tape-snug", fingers=fingers)
    girth = neck + block_ease(neck, 2 * FINGER_WIDTH)
    loose = made(neck=girth, measured="tape-two-fingers", fingers=fingers)
    assert loose.layout.length == pytest.approx(snug.layout.length, abs=1e-6)


@given(necks, st.sampled_from(["short", "thick-over", "thick-under"]))
def test_an_existing_collar_is_copied_whatever_the_fingers_and_the_coat(neck: float, coat: str) -> None:
    plain = made(neck=neck)
    for pattern in three(neck=neck, coat=coat):
        assert pattern.parts == plain.parts
        assert pattern.fit == plain.fit


# What was kept and linked before.


@pytest.mark.parametrize("row", OLD, ids=lambda row: f"{row['neck']} {row['measured']} {row['width']}")
def test_an_old_link_gives_the_same_collar(row: dict[str, str]) -> None:
    pattern = typed(**{name: row[name] for name in ("neck", "measured", "width", "leather", "style")})
    fit = pattern.fit
    now = (pattern.layout.length, fit.flat, fit.neck, fit.inside_girth, fit.ease, fit.uncertainty)
    names = ("length", "flat", "neck_mm", "inside_girth", "ease", "uncertainty")
    assert [f"{value:.6f}" for value in now] == [row[name] for name in names]
    assert len(pattern.layout.holes) == int(row["holes"])


def test_a_design_kept_before_there_were_fingers_and_coat_is_read_as_it_was() -> None:
    kept = (
        '{"kind":"collar","schema_version":1,"neck":400.0,"measured":"tape-snug","weight":null,"width":25.4,'
        '"style":"centre-bar","end":"english-point","holes":null,"pitch":null,"leather":"chestnut",'
        '"finish":"brass","fastening":"rivet","studs":null,"lettering":"","stamp":null}'
    )
    assert Collar.model_validate_json(kept) == collar(neck=400, measured="tape-snug", fingers=2, coat="short")


# The coat.


@given(necks, st.sampled_from(TAPES), st.sampled_from(["thick-over", "thick-under"]))
def test_a_thick_coat_never_sizes_but_makes_the_measure_less_sure(
    neck: float, measured: str, coat: str
) -> None:
    plain = made(neck=neck, measured=measured)
    thick = made(neck=neck, measured=measured, coat=coat)
    assert thick.parts == plain.parts
    assert thick.fit.holes == plain.fit.holes
    # Root-sum-square: JCGM 100:2008, 5.1.2; k = 2.
    wider = (plain.fit.uncertainty / 2) ** 2 + THICK_COAT**2
    assert (thick.fit.uncertainty / 2) ** 2 == pytest.approx(wider)


def test_the_coats_part_is_that_of_a_depth_anywhere_within_2_mm() -> None:
    # Rectangular distribution: half width over root 3 (JCGM 100:2008, 4.3.7); the depth goes all round.
    assert pytest.approx(2 * 3.14159265 * 2 / 1.7320508) == THICK_COAT
    assert expanded_uncertainty("tape-snug", "thick-over") == pytest.approx(16.48, abs=0.01)
    assert expanded_uncertainty("existing-collar", "thick-over") == expanded_uncertainty("existing-collar")


def test_over_a_thick_coat_the_collar_gets_looser_and_the_tighter_hole_is_named() -> None:
    said = text_of(made(neck=400, measured="tape-snug", coat="thick-over"), "thick-coat")
    assert "clipped, wet or moulted" in said
    assert "hole 1 is 1 in (25.4 mm) tighter" in said


@pytest.mark.parametrize(
    ("holes", "pitch", "said"),
    [
        (6, 25.4, "number 3, 1 in (25.4 mm) looser, is the first"),
        (6, 8.0, "number 4, 5/8 in (16 mm) looser, is the first"),
        (3, 8.0, "No hole has room for one more finger"),
    ],
)
def test_under_a_thick_coat_the_hole_with_one_more_finger_is_named(
    holes: int, pitch: float, said: str
) -> None:
    # On 350 mm a third finger takes 32.98 - 24.25 = 8.7 mm: more than one hole of 8 mm, less than two.
    assert 8 < block_ease(350, 54) - block_ease(350, 36) < 16
    wish = {"neck": 350, "measured": "tape-snug", "coat": "thick-under", "holes": holes, "pitch": pitch}
    assert said in text_of(made(**wish), "thick-coat")


def test_a_short_coat_is_not_spoken_of() -> None:
    for measured in ("existing-collar", *TAPES):
        assert not {"thick-coat", "coat-copied"} & set(codes(made(neck=400, measured=measured)))


# An existing collar.


def test_asking_for_other_fingers_or_a_coat_on_an_existing_collar_is_answered() -> None:
    assert not {"fingers-copied", "coat-copied"} & set(codes(made()))
    assert "hole 2" in text_of(made(fingers=1), "fingers-copied")
    close = made(fingers=3, pitch=8.0, holes=6)
    number = nearest_hole(close.fit, 3).number
    assert number > 2
    assert f"nearest to three fingers is hole {number}" in text_of(close, "fingers-copied")
    assert "nothing is added for the coat" in text_of(made(coat="thick-under"), "coat-copied")
    assert str(room_words(close.spec)) == "as on the collar that was measured"
    assert with_coat(named("existing collar"), collar(coat="thick-over")) == named("existing collar")


@given(necks, st.sampled_from([1, 2, 3]), st.sampled_from(TAPES))
def test_on_a_tapes_measure_the_hole_to_wear_has_the_fingers_wanted(
    neck: float, fingers: int, measured: str
) -> None:
    assert nearest_hole(made(neck=neck, measured=measured, fingers=fingers).fit, fingers).target


# Take-up.


def test_it_is_said_which_take_up_was_used() -> None:
    wish = collar(neck=400, measured="tape-snug")
    # pi (4 + 3) / 4 = 5.5 mm on a bar of 4 mm and leather of 3 mm.
    assert "reckoned to take up 5.5 mm" in text_of(make_pattern(wish, demo()), "take-up")
    measured = make_pattern(wish, only("buckles", take_up=7.5))
    assert "takes up 7.5 mm of the girth, as the workshop measured it" in text_of(measured, "take-up")
    assert "take-up" not in codes(made())  # a copied collar has its buckle's take-up in it already


def test_a_workshop_gives_a_buckles_take_up_in_its_catalogue(
    tmp_path_factory: pytest.TempPathFactory,
) -> None:
    demo_file = (PROJECT / "deploy" / "demo" / "workshop.toml").read_text(encoding="utf-8")
    file = tmp_path_factory.mktemp("shop") / "workshop.toml"
    file.write_text(
        demo_file.replace("bar = 4.0\nprong", "bar = 4.0\ntake_up = 7.5\nprong"), encoding="utf-8"
    )
    plain = made(neck=400, measured="tape-snug")
    own = make_pattern(collar(neck=400, measured="tape-snug"), load_workshop(file))
    assert own.layout.length - plain.layout.length == pytest.approx(7.5 - 3.14159265 * 7 / 4)


# The necks it fits.


@given(necks, st.sampled_from([1, 2, 3]), st.sampled_from(["existing-collar", *TAPES]))
def test_first_and_last_hole_leave_the_fingers_wanted_on_the_necks_named(
    neck: float, fingers: int, measured: str
) -> None:
    fit = made(neck=neck, measured=measured, fingers=fingers).fit
    least, most = wearable(fit, fingers)
    for end, hole in ((least, fit.holes[0]), (most, fit.holes[-1])):
        if end:
            assert end + block_ease(end, 18 * fingers) == pytest.approx(hole.inside_girth, abs=1e-6)
    assert least < most
    if measured != "existing-collar":
        assert least < fit.neck < most


def test_the_necks_are_said_in_the_readers_measures_with_how_long_it_lasts() -> None:
    pattern = made(neck=400, measured="tape-snug", fingers=3)
    said = wearable_sentence(pattern.spec, pattern.fit).said("metric")
    # Girth 400 + 29.9 mm on hole 2, six holes 25.4 mm apart: 404.5 to 531.5 mm. Three fingers take 31.4 mm on
    # the one and 25.1 mm on the other.
    assert said.startswith("Wearable on necks from 37.3 cm (14 11/16 in) to 50.6 cm (19 15/16 in) with three")
    assert "It lasts a growing dog until its neck is 50.6 cm (19 15/16 in)" in said


def test_a_first_hole_too_small_for_the_fingers_alone_has_no_least_neck() -> None:
    shop = only("buckles", take_up=30.0)
    wish = collar(neck=165, fingers=3, holes=3, pitch=8.5, width=15.875, leather="moss")
    pattern = make_pattern(wish, shop)
    assert pattern.fit.holes[0].inside_girth < block_ease(0, 54)
    assert wearable(pattern.fit, 3)[0] == 0
    assert str(wearable_sentence(wish, pattern.fit)).startswith("Wearable on necks up to ")
