from urllib.parse import parse_qs, urlsplit

import pytest

from service.design import KINDS, Pattern
from service.errors import DesignError, DesignRefused, Suggestion
from service.saying import say
from service.web.fields import fixes, form, system_of
from service.web.page import FormField
from service.web.parameters import ALL
from service.web.query import Asked, design
from service.workshop import Workshop
from tests.makers import workshop, workshop_with


def fields(**typed: str) -> dict[str, FormField]:
    asked = Asked(typed)
    pattern: Pattern | None = None
    problems: tuple[DesignError, ...] = ()
    try:
        pattern = design(asked, workshop())
    except DesignRefused as refused:
        problems = refused.problems
    main, more, _ = form(asked, workshop(), problems, pattern)
    return {field.name: field for field in (*main, *(field for _, group in more for field in group))}


def chosen(field: FormField) -> list[str]:
    return [choice.value for choice in field.choices if choice.chosen]


def test_every_parameter_but_the_kind_has_a_field() -> None:
    assert set(fields(neck="19 in")) == {*KINDS["collar"].asks}
    assert set(fields(kind="limited-slip", neck="14 in", head="17 in")) == {
        *KINDS["limited-slip"].asks,
        "kind",
    }
    assert set(fields(kind="lead")) == {*KINDS["lead"].asks, "kind"}
    assert set(ALL) == {"kind"}.union(*(kind.asks for kind in KINDS.values()))


def test_a_neck_says_how_it_was_read_in_both_measures() -> None:
    assert fields(neck="16 1/2 in")["neck"].echo == "16 1/2 in (419 mm)"
    assert fields(neck="41,9 cm")["neck"].echo == "41.9 cm (16 1/2 in)"
    assert fields(neck="16.5")["neck"].echo == "16 1/2 in (419 mm), read as inches"
    assert fields(neck="big")["neck"].echo == ""


def test_a_weight_says_how_it_was_read_in_both_measures() -> None:
    assert fields(neck="19 in", weight="20 kg")["weight"].echo == "20 kg (44.1 lb)"
    assert fields(neck="19 in", weight="45")["weight"].echo == "45 lb (20.4 kg), read as pounds"
    assert fields(neck="19 in", weight="heavy")["weight"].echo == ""


def test_what_the_engine_chose_is_said_beside_its_field() -> None:
    made = fields(neck="14 in", lettering="bella")
    assert made["holes"].echo == "six holes for this collar"
    assert made["pitch"].echo == "3/4 in on this collar"
    assert made["lettering"].echo == "Stamped as BELLA"
    asked = fields(neck="19 in", holes="5", pitch="1 in", lettering="BELLA")
    assert [asked[name].echo for name in ("holes", "pitch", "lettering")] == ["", "", ""]


def test_each_field_with_choices_has_one_chosen() -> None:
    for made in (fields(), fields(neck="19 in")):
        assert {name: len(chosen(field)) for name, field in made.items() if field.choices} == {
            name: 1 for name, field in made.items() if field.choices
        }


def test_widths_are_shown_in_inches_when_they_are_an_inch_size_and_else_in_millimetres() -> None:
    assert [choice.value for choice in fields(neck="19 in")["width"].choices] == [
        "5/8 in", "3/4 in", "20 mm", "1 in", "30 mm", "1 1/4 in", "1 1/2 in", "40 mm", "2 in",
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("typed", "value"), [("25.4 mm", "1 in"), ("1.25 in", "1 1/4 in"), ("1", "1 in"), ("", "1 in")]
)
def test_a_width_typed_another_way_is_the_same_choice(typed: str, value: str) -> None:
    assert chosen(fields(neck="19 in", width=typed)["width"]) == [value]


@pytest.mark.parametrize(
    ("name", "typed"), [("width", "25 mm"), ("width", "3 in"), ("studs", "33 mm"), ("stamp", "7 mm")]
)
def test_a_size_that_is_no_choice_stays_and_can_be_sent_again(name: str, typed: str) -> None:
    field = fields(**{"neck": "19 in", name: typed})[name]
    assert chosen(field) == [typed]
    assert field.typed == typed


def test_a_finish_that_is_not_complete_says_so() -> None:
    notes = {choice.value: choice.note for choice in fields(neck="19 in", width="2 in")["finish"].choices}
    assert notes == {"brass": "", "nickel": "", "black": "not complete in this width and style"}


def test_an_error_stands_beside_its_field_with_ways_out_that_change_one_thing() -> None:
    width = fields(neck="19 in", width="3 in", lettering="A & B")["width"]
    assert "no hardware" in width.error
    for fix in width.fixes:
        query = parse_qs(urlsplit(fix.href).query)
        assert query["neck"] == ["19 in"]
        assert query["lettering"] == ["A & B"]
        assert query["width"] != ["3 in"]


def test_a_way_out_that_empties_a_field_leaves_it_out() -> None:
    asked = Asked({"neck": "19 in", "studs": "1 in"})
    (fix,) = fixes([Suggestion("studs", "", say("no studs"))], asked, workshop())
    assert fix.href == "/?neck=19+in"


def test_ways_out_leave_out_what_nobody_knows() -> None:
    asked = Asked({"neck": "19 in", "colour": "red"})
    _, _, wrong = form(
        asked, workshop(), [DesignError(field="colour", message=say("There is no colour here."))]
    )
    assert [(field.name, field.typed, [fix.href for fix in field.fixes]) for field in wrong] == [
        ("colour", "red", ["/?neck=19+in"])
    ]


def test_measures_follow_what_was_typed_and_else_the_workshop() -> None:
    metric = workshop_with(units="cm")
    assert system_of(Asked({"neck": "42 cm"}), workshop()) == "metric"
    assert system_of(Asked({"neck": "16 in"}), metric) == "imperial"
    assert [system_of(Asked({"neck": "16"}), workshop()), system_of(Asked({"neck": "40"}), metric)] == [
        "imperial",
        "metric",
    ]
    assert [system_of(Asked({}), workshop()), system_of(Asked({}), metric)] == ["imperial", "metric"]


@pytest.mark.parametrize(
    "rows",
    [
        workshop_with(dyes=()),
        workshop_with(leathers=tuple(row for row in workshop().leathers if row.colouring == "dyed")),
    ],
    ids=["no dyes", "no undyed leather"],
)
def test_where_nothing_can_be_dyed_there_is_no_field_for_a_dye(rows: Workshop) -> None:
    main, more, wrong = form(Asked({"neck": "19 in"}), rows)
    names = [field.name for field in (*main, *(field for _, group in more for field in group))]
    assert sorted(names) == sorted({*KINDS["collar"].asks} - {"dye"})
    assert not wrong
    asked = Asked({"neck": "19 in", "dye": "fern-dye"})
    with pytest.raises(DesignRefused) as refused:
        design(asked, rows)
    _, _, (stray,) = form(asked, rows, refused.value.problems)
    assert (stray.label, stray.fixes[-1].text) == ("Dye", "no dye")
