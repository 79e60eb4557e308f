"""An estimate of strength as `/design.json` answers it. Forces in N, lengths in mm, stresses in N/mm²."""

from typing_extensions import TypedDict  # pydantic needs this one before Python 3.12

from service.strength import Demand, Estimate, Mode
from service.units import System
from service.workshop import Assumptions

NOISE = 6
"""Decimals kept: what lies beyond is the noise of floats."""


class ModeAnswer(TypedDict):
    """A way to fail: from `low` to `high`, both null where no figure is known, which is not to say strong.

    `ends` is "lets go" when the dog is loose after it, "gives" when something has bent or stretched for good.
    `stations` are distances from the strap's buckle end.
    """

    code: str
    ends: str
    text: str
    stations: list[float]
    low: float | None
    high: float | None
    formula: str
    source: str


class DemandAnswer(TypedDict):
    """A pull that was measured by "hand", or reckoned for a "snatch" at the end of a slack lead."""

    code: str
    kind: str
    text: str
    newtons: float
    source: str


class AssumptionsAnswer(TypedDict):
    """What is assumed where no supplier's figure is known; see the catalogue's columns of these names."""

    leather_n_mm2: float
    holes_low: float
    holes_high: float
    metal_n_mm2: float
    lead_n_m: float
    speed_m_s: float
    pull_n: float


class StrengthAnswer(TypedDict):
    """An estimate, never a rating: modes with the weakest first, the unknown last; `weakest` of the known."""

    weakest: str
    modes: list[ModeAnswer]
    demands: list[DemandAnswer]
    assumptions: AssumptionsAnswer


def strength_answer(found: Estimate, assumed: Assumptions, system: System) -> StrengthAnswer:
    """Return an estimate as it is answered to a reader of this system."""
    return {
        "weakest": found.weakest.code,
        "modes": [_mode(mode, system) for mode in (*found.breaking, *found.giving)],
        "demands": [_demand(one, system) for one in found.demands],
        "assumptions": {
            "leather_n_mm2": assumed.leather_n_mm2,
            "holes_low": float(assumed.holes_low),
            "holes_high": float(assumed.holes_high),
            "metal_n_mm2": assumed.metal_n_mm2,
            "lead_n_m": assumed.lead_n_m,
            "speed_m_s": assumed.speed_m_s,
            "pull_n": assumed.pull_n,
        },
    }


def _mode(mode: Mode, system: System) -> ModeAnswer:
    return {
        "code": mode.code,
        "ends": mode.ends,
        "text": mode.name.said(system),
        "stations": [round(x, NOISE) for x in mode.stations],
        "low": None if mode.low is None else round(mode.low, NOISE),
        "high": None if mode.high is None else round(mode.high, NOISE),
        "formula": mode.formula,
        "source": mode.source,
    }


def _demand(one: Demand, system: System) -> DemandAnswer:
    return {
        "code": one.code,
        "kind": one.kind,
        "text": one.name.said(system),
        "newtons": round(one.newtons, NOISE),
        "source": one.source,
    }
