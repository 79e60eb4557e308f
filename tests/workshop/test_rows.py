"""Rows of a catalogue, and the demo workshop: what it must have for every width to be made in some finish."""

import json
from decimal import Decimal
from itertools import pairwise
from string import ascii_uppercase, digits

import pytest
from pydantic import ValidationError

from service.design import Collar, complete_finishes, make_pattern, widths
from service.pricing import estimate
from service.workshop import Fastener, Hardware, Workshop
from tests.design.makers import collar, demo, mm, only
from tests.makers import DATA


def test_everything_in_the_demo_workshop_has_a_price_above_nothing() -> None:
    shop = demo()
    metal: tuple[Hardware, ...]
    metal = (
        *shop.buckles,
        *shop.rings,
        *shop.o_rings,
        *shop.snaps,
        *shop.fasteners,
        *shop.studs,
        *shop.plates,
    )
    assert all(row.price > 0 for row in metal)
    for table in (shop.dyes, shop.consumables):
        assert all(row.price > 0 for row in table)
    assert all(row.price_per_m2 > 0 for row in shop.leathers)


def test_every_code_of_the_demo_workshop_is_used_once_in_the_whole_file() -> None:
    shop = demo()
    codes: list[str] = []
    # Black is a leather and a finish; they are never asked for under one name.
    for table in (
        shop.leathers,
        shop.dyes,
        shop.buckles,
        shop.rings,
        shop.o_rings,
        shop.snaps,
        shop.fasteners,
        shop.studs,
        shop.plates,
        shop.stamps,
    ):
        codes += [row.code for row in table]
    assert len(set(codes)) == len(codes)


@pytest.mark.parametrize("width", widths(demo()))
def test_every_width_of_the_demo_workshop_is_complete_in_some_finish(width: float) -> None:
    wish: Collar = collar(width=width)
    assert complete_finishes(demo(), wish)


def test_the_demo_workshop_has_the_usual_inch_widths_and_metric_ones() -> None:
    inches = {mm(size) for size in ("5/8", "3/4", "1", "1 1/4", "1 1/2", "2")}
    assert inches | {20.0, 30.0, 40.0} <= set(widths(demo()))


def test_leads_of_the_usual_widths_have_a_snap_and_an_o_ring_they_run_through_in_every_finish() -> None:
    # Usual widths of a lead are 5/8 to 3/4 in, or 1 in to match the collar: common practice.
    shop = demo()
    for finish in (row.code for row in shop.finishes):
        for width in (mm("3/4"), mm("1")):
            assert any(row.finish == finish and row.width == width for row in shop.snaps)
            assert any(row.finish == finish and row.inside > width for row in shop.o_rings)


def test_the_demo_workshop_lacks_something_so_that_the_answer_to_that_can_be_seen() -> None:
    assert any(len(complete_finishes(demo(), collar(width=width))) < 3 for width in widths(demo()))


def test_every_set_of_stamps_has_capitals_figures_space_and_what_a_phone_number_needs() -> None:
    for row in demo().stamps:
        assert set(ascii_uppercase + digits + " +-") <= row.advances.keys()


def test_rivets_close_every_stack_of_two_plies_that_the_demo_leathers_make() -> None:
    for leather in demo().leathers:
        stack = 2 * leather.thickness
        assert any(row.grip_min <= stack <= row.grip_max for row in demo().fasteners if row.kind == "rivet")


def test_grip_ranges_of_one_kind_and_finish_leave_no_gap() -> None:
    kinds = {(row.kind, row.finish) for row in demo().fasteners}
    for kind, finish in kinds:
        ranges = sorted(
            (row.grip_min, row.grip_max)
            for row in demo().fasteners
            if row.kind == kind and row.finish == finish
        )
        assert all(low <= before for (_, before), (low, _) in pairwise(ranges))


def test_a_row_can_not_be_changed() -> None:
    with pytest.raises(ValidationError, match="frozen"):
        demo().buckles[0].bar = 9.0  # type: ignore[misc]


def test_a_workshop_is_found_again_by_its_value() -> None:
    same = Workshop.model_validate_json(demo().model_dump_json())
    assert same == demo()
    assert hash(same) == hash(demo())
    assert only("buckles", bar=9.0) != demo()


def test_a_workshop_with_nothing_in_it_yet_is_one() -> None:
    empty = Workshop(name="New", region="GB", units="cm", rates=demo().rates)
    assert not any((empty.leathers, empty.buckles, empty.times))


def test_versions_of_a_catalogue_are_told_apart_by_their_hash_and_copies_have_their_own() -> None:
    dearer = only("buckles", price=99)
    copied = demo().model_copy(update={"buckles": dearer.buckles})
    assert len({hash(demo()), hash(dearer), hash(demo().model_copy(update={"leathers": ()}))}) == 3
    assert (copied, hash(copied)) == (dearer, hash(dearer))


def test_rows_kept_before_there_was_mass_load_and_supplier_are_read_drawn_and_priced_as_they_were() -> None:
    # What the release of 2026-11-25 kept with an order, and the strap [mm] and total it gave.
    text = (DATA / "kept_rows_2026_11_25.json").read_text(encoding="utf-8")
    rows = Workshop.model_validate_json(text)
    assert json.loads(rows.model_dump_json(exclude_unset=True)) == json.loads(text)
    made = make_pattern(collar(studs=50.8, lettering="BELLA"), rows)
    assert made.strap.length == pytest.approx(698.5, abs=1e-9)
    assert estimate(made, rows).total == Decimal("50.45")
    assert (rows.buckles[0].mass_g, rows.rings[0].rated_load_n, rows.languages) == (None, None, ("en",))
    assert (rows.dyes, rows.o_rings, rows.snaps, rows.plates) == ((), (), (), ())
    # Longest strap from a side: 7 to 8 ft, common practice.
    assert rows.leathers[0].longest == pytest.approx(mm("84"))


@pytest.mark.parametrize("row", [row for row in demo().fasteners if row.post], ids=lambda row: row.code)
def test_the_grip_of_a_demo_rivet_is_its_post_less_what_must_stand_proud(row: Fastener) -> None:
    # Common practice: the post stands 1/16 to just under 1/8 in (1.6 to 3.2 mm) proud before setting.
    assert row.post is not None
    assert (row.grip_min, row.grip_max) == pytest.approx((row.post - 3.2, row.post - 1.6))


@pytest.mark.parametrize(
    ("kind", "post", "said"),
    [
        ("rivet", 6.6, "nothing stands proud"),
        ("rivet", 5.0, "nothing stands proud"),
        ("screw-post", 8.2, "leave it out"),
    ],
)
def test_a_post_that_makes_no_sense_is_refused_and_said_why(kind: str, post: float, said: str) -> None:
    row = next(row for row in demo().fasteners if row.code == "brass-rivet-medium")
    with pytest.raises(ValidationError, match=said):
        Fastener.model_validate({**row.model_dump(), "kind": kind, "post": post})


def test_a_catalogue_from_before_posts_were_measured_is_still_read() -> None:
    row = demo().fasteners[0].model_dump()
    del row["post"]
    assert Fastener.model_validate(row).post is None
