"""An estimate of strength in words: rounded to what it is worth, compared with what was measured."""

from math import floor, log10

from service.design import Pattern
from service.language import decimals, tr
from service.saying import Mass
from service.strength import Demand, Mode, ratio
from service.units import LB, System
from service.workshop import Assumptions

GRAVITY = 9.80665
"""Standard acceleration of free fall [m/s²]. ISO 80000-3."""
FIGURES = 2
"""Figures that an estimate is shown with."""
FULL = 0.995
"""From here on a capacity is told as so many times a demand, below it as per cent."""
TENFOLD = 9.95
NOISE = 1e-9


def rough(number: float) -> str:
    """A number without figures that nobody knows, never more than it is: 240.03 is "240", 1143 is "1100"."""
    places = floor(log10(number)) - FIGURES + 1 if number > 0 else 0
    step = 10.0 ** max(places, 0)
    return f"{floor(number / step + NOISE) * step:.0f}"


def demanded(one: Demand) -> str:
    """What is asked: as it was measured, or without figures that nobody knows."""
    return tr("{force} N", force=f"{one.newtons:.0f}" if one.kind == "hand" else rough(one.newtons))


def force_range(mode: Mode) -> str:
    """What a mode bears: "240 to 410 N", or that it isn't known."""
    if mode.low is None or mode.high is None:
        return tr("unknown: test it")
    low, high = rough(mode.low), rough(mode.high)
    return tr("{force} N", force=low) if low == high else tr("{low} to {high} N", low=low, high=high)


def as_weight(newtons: float) -> str:
    """The mass that weighs so much: "the weight of 24 kg or 54 lb"."""
    kg = newtons / GRAVITY
    return tr("the weight of {kg} kg or {lb} lb", kg=rough(kg), lb=rough(kg / LB))


def times(mode: Mode, demand: Demand) -> str:
    """How much of a demand the least is that a mode bears: "1.5 times" or "17 %"."""
    share = ratio(mode, demand)
    if share < FULL:
        return tr("{share} %", share=f"{100 * share:.0f}")
    return tr("{count} times", count=_count(share))


def compared(mode: Mode, demand: Demand, system: System) -> str:
    """The same as a sentence."""
    said = {"force": demanded(demand), "demand": demand.name.said(system)}
    share = ratio(mode, demand)
    if share < FULL:
        return tr("At the least {share} % of {force}, {demand}.", share=f"{100 * share:.0f}", **said)
    return tr("At the least {count} times {force}, {demand}.", count=_count(share), **said)


def _count(share: float) -> str:
    return decimals(f"{share:.1f}" if share < TENFOLD else f"{share:.0f}")


HOLES = ("size-hole", "rivet-hole")


def assumed_words(pattern: Pattern, assumed: Assumptions, system: System) -> tuple[str, ...]:
    """Everything that the estimate takes for granted, one after the other."""
    own = pattern.fittings.leather.strength_n_mm2
    hole = max(mark.diameter or 0.0 for mark in pattern.strap.marks if mark.kind in HOLES)
    beside = 100 * (1 - hole / pattern.strap.width)
    low, high = (decimals(f"{float(share) * 100:g}") for share in (assumed.holes_low, assumed.holes_high))
    return (
        tr("The leather bears {figure} N/mm², as its supplier or a test says.", figure=_figure(own))
        if own
        else tr(
            "The leather bears {figure} N/mm². The trade asks 15 of cattle leather above 1.25 mm; 8 to 25"
            " are published. Belly leather bears less, and straps are cut along the backbone.",
            figure=_figure(assumed.leather_n_mm2),
        ),
        tr(
            "A row of holes leaves {low} to {high} % of the solid strap, as lace holes did in old belts."
            " Beside a hole {rest} % of the width is left here, but leather tears long before that.",
            low=low,
            high=high,
            rest=f"{beside:.0f}",
        ),
        tr("In shear leather bears 0.577 times as much, as metal does: no figure of its own is published."),
        tr(
            "Rings and bars without a supplier's figure bend for good at {figure} N/mm², and are closed:"
            " welded or cast.",
            figure=_figure(assumed.metal_n_mm2),
        ),
        tr(
            "Every place takes the whole pull. The collar's two sides share it only while they run side by"
            " side."
        ),
        _slack_lead(pattern.spec.weight, assumed, system),
        tr(
            "Leather and hardware are new, dry and sound. Wet, worn or cracked ones bear less. No margin is"
            " taken off."
        ),
    )


def _slack_lead(weight: float | None, assumed: Assumptions, system: System) -> str:
    mass = tr("a dog whose weight is not known") if weight is None else Mass(weight).said(system)
    return tr(
        "At the end of a slack lead: {mass} at {speed} m/s, a lead of {stiffness} N/m, and {pull} N that go"
        " on pulling. The lead alone stretches; an arm that gives takes much of it off.",
        mass=mass,
        speed=_figure(assumed.speed_m_s),
        stiffness=_figure(assumed.lead_n_m),
        pull=_figure(assumed.pull_n),
    )


def _figure(number: float | None) -> str:
    return decimals(f"{number or 0:g}")
