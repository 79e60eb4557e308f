"""Errors are facts: they carry their data, say it in plain words and can be handed on."""

from __future__ import annotations

import pickle

import pytest

from service.errors import (
    DesignError,
    DesignRefused,
    DoesNotFit,
    GirthwrightError,
    NotStocked,
    Suggestion,
    Unreadable,
)
from service.saying import Length, say

NARROWER = Suggestion("width", "3/4 in", say("Take a strap of 3/4 in."))
ONE_OF_EACH = (
    Unreadable("16 kg", say("“kg” measures a weight, and a length is needed."), "16 1/2 in"),
    DesignError(field="style", message=say("No buckle of this kind.")),
    DoesNotFit(
        field="holes",
        message=say("Nine holes don't fit."),
        would_work=(Suggestion("holes", "7", say("Take 7.")),),
    ),
    NotStocked(
        field="finish", message=say("No brass buckle at {width}.", width=Length(25.4)), would_work=(NARROWER,)
    ),
)


@pytest.mark.parametrize("error", ONE_OF_EACH, ids=lambda error: type(error).__name__)
def test_every_error_survives_the_way_out_of_another_process(error: GirthwrightError) -> None:
    again = pickle.loads(pickle.dumps(error))  # noqa: S301 (made in the line itself)
    assert (type(again), vars(again), str(again)) == (type(error), vars(error), str(error))


def test_an_unreadable_text_says_what_is_wrong_and_what_would_work() -> None:
    assert str(ONE_OF_EACH[0]) == "“kg” measures a weight, and a length is needed. Try: 16 1/2 in"


def test_a_design_that_cant_be_made_says_why_and_every_way_out() -> None:
    error = ONE_OF_EACH[3]
    assert isinstance(error, DesignError)
    assert (error.field, error.would_work) == ("finish", (NARROWER,))
    assert str(error) == "No brass buckle at 1 in (25.4 mm). Take a strap of 3/4 in."


def test_problems_gathered_are_said_one_after_the_other() -> None:
    first, second = ONE_OF_EACH[1], ONE_OF_EACH[2]
    assert isinstance(first, DesignError)
    assert isinstance(second, DesignError)
    gathered = DesignRefused((first, second))
    assert gathered.problems == (first, second)
    assert str(gathered) == "No buckle of this kind. Nine holes don't fit."


def test_the_family_tree_in_the_docstring_names_every_error() -> None:
    import service.errors as family  # noqa: PLC0415

    for name, kind in vars(family).items():
        if isinstance(kind, type) and issubclass(kind, Exception):
            assert name in (family.__doc__ or "")
            assert issubclass(kind, GirthwrightError)
