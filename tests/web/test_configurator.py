from decimal import Decimal

import pytest

from service.design import FOR_THE_WEARER
from service.errors import DesignRefused
from service.pricing import estimate
from service.web.configurator import made_page, refused_page
from service.web.page import ConfiguratorPage, Outcome
from service.web.query import Asked, design
from service.workshop import Workshop
from tests.makers import pattern, workshop, workshop_with

BASE = "https://collars.example"


def outcome(rows: Workshop | None = None, **typed: str) -> Outcome:
    made = made_page(Asked({"neck": "19 in", **typed}), rows or workshop(), BASE).outcome
    assert made is not None
    return made


def refused(**typed: str) -> ConfiguratorPage:
    asked = Asked(typed)
    with pytest.raises(DesignRefused) as caught:
        design(asked, workshop())
    return refused_page(asked, caught.value.problems, workshop(), BASE)


def test_with_nothing_asked_an_example_is_shown_and_the_neck_stays_empty() -> None:
    page = made_page(Asked({}), workshop(), BASE)
    assert page.outcome is not None
    assert page.outcome.example
    assert page.main[0].name == "neck"
    assert page.main[0].typed == ""
    assert page.outcome.sentence.startswith("For example: ")
    assert not page.problems


def test_the_example_is_in_the_workshops_own_measures() -> None:
    page = made_page(Asked({}), workshop_with(units="cm"), BASE)
    assert page.outcome is not None
    assert "40 cm" in page.outcome.title


def test_a_design_has_its_link_and_its_downloads() -> None:
    made = outcome(width="1 1/4 in", studs="")
    assert not made.example
    assert made.share_url == f"{BASE}/?neck=19+in&width=1+1%2F4+in"
    hrefs = [href for _, href, _ in made.downloads]
    assert hrefs[0] == "/pattern.pdf?neck=19+in&width=1+1%2F4+in&paper=letter"
    assert [href.partition("?")[0] for href in hrefs[3:]] == [
        "/templates.pdf",
        "/prints",
        "/pattern.svg",
        "/pattern.dxf",
        "/preview.svg",
        "/design.json",
    ]


def test_a_workshop_outside_letter_countries_offers_a4_first() -> None:
    assert outcome(workshop_with(region="GB")).downloads[0][1].endswith("paper=a4")


def test_the_total_is_the_estimate() -> None:
    made = outcome(studs="2 in", lettering="Bella")
    quote = estimate(pattern(studs="2 in", lettering="Bella"), workshop())
    assert made.total == f"${quote.total:.2f}"
    assert "Chestnut bridle strap, 1 in (25.4 mm) wide" in made.included
    assert "Chestnut bridle strap, 25.4 mm (1 in) wide" in outcome(neck="38 cm").included
    assert made.total_note == "An estimate, with 7 % sales tax."
    assert outcome(workshop_with(rates={"tax": Decimal(0)})).total_note == "An estimate; no tax is added."


def test_the_fit_table_has_a_row_for_each_hole_and_marks_the_one_to_wear() -> None:
    rows = outcome().holes
    assert [row.number for row in rows] == [1, 2, 3, 4, 5, 6]
    assert [row.number for row in rows if row.target] == [2]
    assert (rows[0].fingers, rows[1].fingers, rows[5].fingers) == ("too tight", "about 2", "4 or more")


@pytest.mark.parametrize(
    ("typed", "marked"),
    [
        ({}, [2]),
        ({"measured": "tape-snug", "fingers": "3"}, [2]),
        ({"fingers": "3", "pitch": "8 mm", "holes": "6"}, [3]),
        ({"fingers": "1"}, []),  # a copied collar with holes 1 in apart has none with one finger
    ],
)
def test_the_fit_table_marks_the_hole_with_the_fingers_wanted(
    typed: dict[str, str], marked: list[int]
) -> None:
    assert [row.number for row in outcome(None, **typed).holes if row.wanted] == marked


def test_the_necks_it_can_be_worn_on_are_said() -> None:
    assert outcome(measured="tape-snug", fingers="1").sits[1].startswith("Wearable on necks from ")
    assert " with one finger. It lasts a growing dog until " in outcome(fingers="1").sits[1]


def test_sizes_are_in_the_measures_the_neck_was_typed_in() -> None:
    assert "in" in outcome().holes[1].tail.split()
    assert "mm" in outcome(neck="48 cm").holes[1].tail.split()


def test_the_summary_names_every_choice() -> None:
    rows = {row.name: row.value for row in outcome(studs="2 in", lettering="Bella", style="heel-bar").summary}
    assert rows["Leather"] == "Chestnut bridle"
    assert rows["Metal"] == "Solid brass"
    assert rows["Buckle"] == "Heel-bar buckle"
    assert rows["Lettering"] == "“BELLA”"
    assert int(rows["Studs"]) > 2


def test_findings_keep_their_source_and_lead_to_what_they_suggest() -> None:
    said = {one.text: one for one in outcome(neck="30 in", weight="20 lb").says}
    question = next(one for one in said.values() if one.severity == "question")
    assert question.source
    assert all(fix.href.startswith("/?") for fix in question.fixes)


def test_the_cautions_are_always_there() -> None:
    assert made_page(Asked({}), workshop(), BASE).cautions == FOR_THE_WEARER
    assert refused(neck="none").cautions == FOR_THE_WEARER


def test_a_design_that_cannot_be_read_keeps_everything_typed_and_names_each_error() -> None:
    page = refused(neck="lots", width="3 in", lettering="Bella", holes="99")
    assert page.outcome is None
    assert [field.name for field in page.problems] == ["neck", "width", "holes"]
    typed = {
        field.name: field.typed
        for field in (*page.main, *(field for _, group in page.more for field in group))
    }
    assert typed["neck"] == "lots"
    assert typed["lettering"] == "Bella"
    assert typed["holes"] == "99"
    assert page.status_sentence.startswith("Three things to put right.")


def test_when_only_the_neck_is_missing_the_example_shows_the_other_choices() -> None:
    page = refused(neck="", leather="black")
    assert page.outcome is not None
    assert page.outcome.example
    assert "Black bridle" in page.outcome.title
    assert [field.name for field in page.problems] == ["neck"]


def test_a_link_without_a_measure_asks_for_it_and_finds_no_fault() -> None:
    page = refused(leather="black")
    assert page.outcome is not None
    assert page.outcome.example
    assert (page.problems, page.problems_title) == ((), "")
    assert page.status_sentence.startswith("Type the dog's neck")


def test_when_the_example_cannot_be_made_either_both_errors_are_named() -> None:
    page = refused(neck="", finish="black", width="2 in")
    assert page.outcome is None
    assert [field.name for field in page.problems] == ["neck", "finish"]


def test_a_parameter_nobody_knows_is_a_problem_of_its_own() -> None:
    page = refused(neck="19 in", colour="red")
    assert [(field.name, field.typed) for field in page.problems] == [("colour", "red")]
    assert page.problems[0].fixes[0].href == "/?neck=19+in"


def test_a_dyed_collar_is_told_as_dyed_and_drawn_in_its_colour() -> None:
    made = outcome(leather="natural", dye="rowan-dye")
    assert "dyed rowan, solid brass" in made.sentence
    assert ("Dye", "Rowan") in [(row.name, row.value) for row in made.summary]
    assert "dye=rowan-dye" in made.share_url
    assert "a2392b" in made.figures.flat[0]
    assert "d9a874" not in made.figures.flat[0]
    plain = outcome(leather="natural")
    assert "dyed" not in plain.sentence
    assert "Dye" not in [row.name for row in plain.summary]


def test_a_column_of_rooms_is_in_one_unit() -> None:
    # 98 mm above 12.3 cm was read as getting tighter.
    made = outcome(neck="45 cm", width="1 1/4 in")
    assert [row.ease.partition(" ")[2] for row in made.holes] == ["mm"] * len(made.holes)
    assert max(int(row.ease.partition(" ")[0]) for row in made.holes) > 100
