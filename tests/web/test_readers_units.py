"""Wherever the service answers, its sentences are in the units of whoever asked."""

from typing import get_args
from urllib.parse import urlencode

import pytest
from starlette.testclient import TestClient

from service.errors import DesignRefused
from service.units import System
from service.web.configurator import made_page, refused_page
from service.web.query import Asked, design
from tests.makers import client, parsed, pattern, workshop
from tests.orders.makers import body_of
from tests.readers import misread

NECKS: dict[System, str] = {"imperial": "16 1/2 in", "metric": "42 cm"}
"""A neck as readers of either system type it."""
DOUBTFUL = {"holes": "9", "pitch": "1 in", "studs": "2 in", "weight": "5 kg"}
"""What brings about questions, warnings and notes with sizes in them."""
WRONG = {"pitch": "3 in", "weight": "999 lb", "width": "3 in", "studs": "1 mm"}
"""What can't be made, each of it for a size."""

systems = pytest.mark.parametrize("system", get_args(System))


@pytest.fixture(scope="module")
def ask() -> TestClient:
    return client()


@systems
def test_findings_on_the_page_and_in_the_numbers_are_in_the_units_of_the_neck(
    ask: TestClient, system: System
) -> None:
    typed = {"neck": NECKS[system], **DOUBTFUL}
    outcome = made_page(Asked(typed), workshop(), "").outcome
    assert outcome is not None
    said = [text for one in outcome.says for text in (one.text, *(fix.text for fix in one.fixes))]
    found = ask.get(f"/design.json?{urlencode(typed)}").json()["findings"]
    assert [one["text"] for one in found] == [one.text for one in outcome.says]
    assert [text for text in said if misread(text, system)] == []
    assert sum("(" in text for text in said) > 2


@systems
def test_complaints_on_the_page_and_in_problem_details_are_in_the_units_of_the_neck(
    ask: TestClient, system: System
) -> None:
    typed = {"neck": NECKS[system], **WRONG}
    with pytest.raises(DesignRefused) as caught:
        design(Asked(typed), workshop())
    page = refused_page(Asked(typed), caught.value.problems, workshop(), "")
    said = [text for one in page.problems for text in (one.error, *(fix.text for fix in one.fixes))]
    answer = ask.get(f"/design.json?{urlencode(typed)}").json()
    details = [text for one in answer["errors"] for text in (one["detail"], *_texts(one["would_work"]))]
    assert sorted(details) == sorted(said)
    assert [text for text in (*said, answer["detail"], page.status_sentence) if misread(text, system)] == []
    assert len(page.problems) == len(WRONG)


def _texts(ways: list[dict[str, str]]) -> list[str]:
    return [way["text"] for way in ways]


@systems
def test_findings_on_the_print_are_in_the_units_of_the_neck(ask: TestClient, system: System) -> None:
    typed = {"neck": NECKS[system], **DOUBTFUL}
    drawn = parsed(ask.get(f"/pattern.svg?{urlencode(typed)}").content.decode().partition("?>")[2])
    printed = " ".join(drawn.xpath("//text/text()"))
    for finding in pattern(**typed).findings:
        if finding.severity != "note":
            assert finding.text.said(system) in printed


@systems
def test_remarks_on_a_proof_are_in_the_customers_units(system: System) -> None:
    remarks = body_of(pattern(neck=NECKS[system], **DOUBTFUL), system=system).remarks
    assert remarks
    assert [text for text in remarks if misread(text, system)] == []


@systems
def test_an_unreadable_neck_is_answered_in_the_workshops_units(system: System) -> None:
    rows = workshop().model_copy(update={"units": "in" if system == "imperial" else "cm"})
    with pytest.raises(DesignRefused) as caught:
        design(Asked({"neck": "lots"}), rows)
    page = refused_page(Asked({"neck": "lots"}), caught.value.problems, rows, "")
    assert page.problems[0].error.endswith({"imperial": "Try: 16 1/2 in", "metric": "Try: 42 cm"}[system])
