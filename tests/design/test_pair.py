"""Sets: a collar and a lead that match, every part and piece of hardware of either, each counted once."""

import pytest
from hypothesis import given, reject
from hypothesis import strategies as st

from service.design import SetPattern, adornments, lace_of, make_pattern, read_wish
from service.design.lead_wish import MAKES
from service.errors import DesignError, DesignRefused
from tests.design.makers import demo


def made(**typed: str) -> SetPattern:
    pattern = make_pattern(read_wish({"kind": "set", "neck": "16 in", **typed}, demo()), demo())
    assert isinstance(pattern, SetPattern)
    return pattern


@given(
    st.sampled_from(sorted(MAKES)),
    st.sampled_from(("5/8 in", "3/4 in", "1 in", "1 1/4 in")),
    st.sampled_from(("chestnut", "havana", "moss")),
    st.integers(14, 26),
)
def test_collar_and_lead_match_and_nothing_is_lost_or_added(
    make: str, width: str, leather: str, neck: int
) -> None:
    try:
        pattern = made(make=make, width=width, leather=leather, neck=f"{neck} in")
    except (DesignError, DesignRefused):
        reject()
    collar, lead = pattern.collar, pattern.lead
    assert {part.width for part in (collar.strap, lead.strap)} == {pattern.spec.width}
    assert collar.fittings.leather == lead.fittings.leather
    assert collar.fittings.finish == lead.fittings.finish
    assert lead.length == pytest.approx(pattern.spec.length, abs=0.01)
    assert [part.length for part in pattern.parts] == [part.length for part in (*collar.parts, *lead.parts)]
    assert len({part.name for part in pattern.parts}) == len(pattern.parts)
    counted = sum(line.quantity for line in pattern.hardware)
    assert counted == sum(line.quantity for line in (*collar.hardware, *lead.hardware))
    assert len({(line.kind, line.code) for line in pattern.hardware}) == len(pattern.hardware)


def test_a_width_that_snaps_do_not_come_in_is_refused_with_those_that_they_do() -> None:
    with pytest.raises(DesignRefused) as refused:
        read_wish({"kind": "set", "neck": "16 in", "width": "2 in"}, demo())
    (problem,) = refused.value.problems
    assert problem.field == "width"
    assert [way.value for way in problem.would_work] == ["25.4 mm", "31.75 mm"]


def test_the_collar_of_a_set_is_lettered_and_its_lead_is_not() -> None:
    pattern = made(lettering="Bella", studs="2 in")
    assert any(mark.kind == "lettering" for mark in pattern.collar.strap.marks)
    assert not any(mark.kind == "lettering" for mark in pattern.lead.strap.marks)


def test_studs_of_a_set_are_on_both_at_the_nearest_even_pitches_and_all_are_listed() -> None:
    # Common practice: matching pitch on collar and lead.
    pattern = made(studs="2 in", make="two-part")
    pitches = []
    for strap in (pattern.collar.strap, pattern.lead.strap):
        studs = [mark.x for mark in strap.marks if mark.kind == "stud"]
        pitches.append(studs[-1] - studs[-2])
    # The collar's short run decides; the lead's long one comes within what no eye sees (by eye: 2 mm).
    assert pitches[0] == pytest.approx(50.8, abs=8)
    assert pitches[1] == pytest.approx(pitches[0], abs=2)
    (line,) = [one for one in pattern.hardware if one.kind == "stud"]
    assert line.quantity == sum(
        part.quantity * sum(mark.kind == "stud" for mark in part.marks) for part in pattern.parts
    )


def test_edges_of_a_set_match_and_all_of_them_are_counted() -> None:
    # Common practice: what is on the collar's edges is on the lead's.
    pattern = made(border="rope")
    for strap in (pattern.collar.strap, pattern.lead.strap):
        rows = [mark for mark in strap.marks if mark.kind == "border"]
        assert {mark.name for mark in rows} == {"rope"}
        assert [(mark.length or 0) / (mark.count or 1) for mark in rows] == pytest.approx(
            [3.1] * len(rows), abs=0.1
        )
    laced = made(lacing="loop")
    assert all(any(mark.kind == "lacing" for mark in one.strap.marks) for one in (laced.collar, laced.lead))
    assert adornments(laced)[-1].phrase == adornments(laced.collar)[-1].phrase
    whole = lace_of(laced.parts)
    assert whole == pytest.approx(sum(lace_of((one.strap,)) for one in (laced.collar, laced.lead)), rel=1e-9)


def test_a_tail_that_lifts_the_ring_tab_of_a_set_is_warned_of_with_cures_that_work() -> None:
    pattern = made(neck="14 in", holes="6", pitch="1 in")
    (tail,) = [one for one in pattern.findings if one.code == "tail"]
    assert "Any one of these clears it: " in str(tail.text)
    assert tail.suggestions
    for way in tail.suggestions:
        cured = made(**{"neck": "14 in", "holes": "6", "pitch": "1 in", **way.values})
        assert "tail" not in [one.code for one in cured.findings]


@pytest.mark.parametrize(
    ("typed", "field"),
    [
        ({"width": "5/8 in", "border": "leaf", "grooves": "two", "studs": ""}, "grooves"),
        ({"border": "leaf"}, "studs"),
    ],
)
def test_what_does_not_fit_on_both_is_refused_with_what_works(typed: dict[str, str], field: str) -> None:
    wish = {"studs": "2 in", **typed}
    with pytest.raises(DesignError) as refused:
        made(**wish)
    assert field == refused.value.field or field in [way.field for way in refused.value.would_work]
    assert refused.value.would_work
    for way in refused.value.would_work:
        made(**{**wish, **way.values})
