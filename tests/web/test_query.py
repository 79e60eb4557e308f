from urllib.parse import parse_qsl, urlencode

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.errors import DesignError, DesignRefused
from service.saying import say
from service.web.query import (
    MOST_PARAMETERS,
    Asked,
    QueryTooLong,
    QueryUnreadable,
    address,
    design,
    linked,
    read_query,
)
from tests.makers import workshop, workshop_with

LIMIT = 4096
WORDS = st.text(st.characters(exclude_categories=["Cs"]), max_size=20)


def test_what_was_left_empty_is_kept_but_not_given() -> None:
    asked = read_query(b"neck=&width=1+in&lettering=%20", LIMIT)
    assert asked.typed == {"neck": "", "width": "1 in", "lettering": " "}
    assert asked.given == {"width": "1 in"}


@given(st.dictionaries(WORDS, WORDS, max_size=8))
def test_whatever_a_form_sends_is_read_back(typed: dict[str, str]) -> None:
    assert read_query(urlencode(typed).encode(), 100_000).typed == typed


def test_a_name_without_a_value_is_an_empty_one() -> None:
    assert read_query(b"neck", LIMIT).typed == {"neck": ""}


def test_of_a_parameter_given_twice_the_last_is_kept_and_the_name_noted() -> None:
    asked = read_query(b"neck=1&width=2&neck=3", LIMIT)
    assert asked == Asked({"neck": "3", "width": "2"}, ("neck",))
    assert asked.without("neck") == Asked({"width": "2"})


@pytest.mark.parametrize("query", [b"neck=%ff", b"neck=%ed%a0%80", b"neck=\xff", b"%C3=1", b"neck=%C3%28"])
def test_what_is_not_utf8_is_refused(query: bytes) -> None:
    with pytest.raises(QueryUnreadable, match="UTF-8"):
        read_query(query, LIMIT)


def test_the_length_of_a_query_is_limited_to_the_character() -> None:
    query = b"neck=" + b"1" * 95
    assert read_query(query, 100).typed["neck"] == "1" * 95
    with pytest.raises(QueryTooLong) as caught:
        read_query(query + b"1", 100)
    assert (caught.value.length, caught.value.limit) == (101, 100)


def test_the_number_of_parameters_is_limited() -> None:
    most = "&".join(f"p{n}=" for n in range(MOST_PARAMETERS)).encode()
    assert len(read_query(most, LIMIT).typed) == MOST_PARAMETERS
    with pytest.raises(QueryUnreadable, match=f"more than {MOST_PARAMETERS}"):
        read_query(most + b"&one=more", LIMIT)


def test_an_address_holds_what_was_given_with_a_change_and_nothing_empty() -> None:
    made = address("/", {"neck": "19 in", "studs": "2 in", "lettering": "A&B=C"}, studs="", width="1 1/4 in")
    assert dict(parse_qsl(made.removeprefix("/?"))) == {
        "neck": "19 in",
        "lettering": "A&B=C",
        "width": "1 1/4 in",
    }
    assert address("/", {"neck": ""}) == "/"


def test_a_link_carries_the_units_that_were_meant_and_nothing_empty() -> None:
    typed = {
        "neck": "19",
        "weight": "45",
        "width": " 1 ",
        "pitch": "auto",
        "studs": "",
        "stamp": "9",
        "leather": "moss",
    }
    meant = {"pitch": "auto", "stamp": "9 mm", "leather": "moss"}
    assert linked(Asked(typed), workshop()) == {**meant, "neck": "19 in", "weight": "45 lb", "width": "1 in"}
    metric = workshop_with(units="cm")
    assert linked(Asked({**typed, "neck": "48", "width": "25"}), metric) == {
        **meant,
        "neck": "48 cm",
        "weight": "45 kg",
        "width": "25 mm",
    }


def test_a_link_keeps_what_can_not_be_read() -> None:
    typed = {"neck": "lots", "colour": "red", "weight": "12 lb 3"}
    assert linked(Asked(typed), workshop()) == typed


def test_every_problem_of_a_design_is_gathered() -> None:
    asked = read_query(b"neck=lots&neck=more&leather=plaid&colour=red", LIMIT)
    with pytest.raises(DesignRefused) as caught:
        design(asked, workshop())
    assert [problem.field for problem in caught.value.problems] == ["neck", "colour", "neck", "leather"]


def test_a_repeated_parameter_alone_refuses_the_design_and_the_last_would_work() -> None:
    with pytest.raises(DesignRefused) as caught:
        design(read_query(b"neck=19+in&neck=20+in", LIMIT), workshop())
    (problem,) = caught.value.problems
    assert [(way.field, way.value) for way in problem.would_work] == [("neck", "20 in")]


def test_what_cannot_be_made_is_refused_like_what_cannot_be_read() -> None:
    with pytest.raises(DesignRefused) as caught:
        design(read_query(b"neck=7+in&width=2+in", LIMIT), workshop())
    assert [problem.field for problem in caught.value.problems] == ["width"]


@pytest.mark.parametrize(
    ("typed", "fields"),
    [
        # Without a neck nothing can be reckoned; what no stamp can write is known all the same.
        ({"neck": "x", "lettering": "É", "colour": "red"}, ["colour", "neck", "lettering"]),
        # These shape no collar, so the collar is tried and found wanting too.
        ({"neck": "19 in", "weight": "fat", "x": "1", "lettering": "É"}, ["x", "weight", "lettering"]),
        ({"neck": "7 in", "width": "2 in", "weight": "fat"}, ["weight", "width"]),
        # Studs and lettering don't hang on each other.
        ({"neck": "19 in", "studs": "9 mm", "lettering": "É"}, ["studs", "lettering"]),
        # On this strap there are neither studs nor lettering to speak of, and no one change helps.
        ({"neck": "7 in", "width": "2 in", "studs": "9 mm", "lettering": "É"}, ["neck"]),
        # What follows from a width that can't be read can't be told.
        ({"neck": "19 in", "width": "wide", "studs": "9 mm"}, ["width"]),
    ],
)  # fmt: skip
def test_what_stands_in_the_way_is_named_in_one_answer_as_far_as_it_can_be_told(
    typed: dict[str, str], fields: list[str]
) -> None:
    with pytest.raises(DesignRefused) as caught:
        design(Asked(typed), workshop())
    assert [problem.field for problem in caught.value.problems] == fields


def test_what_is_already_known_to_be_wrong_refuses_a_design_that_could_be_made() -> None:
    known = DesignError(field="paper", message=say("There is no such paper."))
    with pytest.raises(DesignRefused) as caught:
        design(Asked({"neck": "19 in"}), workshop(), [known])
    assert caught.value.problems == (known,)
