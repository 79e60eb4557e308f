"""The table of what each hole gives, in both systems, the reader's first."""

from collections.abc import Iterator
from dataclasses import replace

from service.design import Fit, fingers_in_words
from service.drawing.sheet import SOFT, Block
from service.drawing.text_blocks import Column, Setting, spread, table
from service.language import tr
from service.units import System, show_both, show_inches, show_mm

SMALL = 0.86
"""Size of the other system's type beside the reader's."""
LEAST = 2.2
"""No type is smaller than that [mm], 6 1/4 pt."""


def fit_table(fit: Fit, system: System, setting: Setting) -> Block:
    """Return inside girth, ease, fingers and tail on every hole, whole millimetres beside sixteenths."""
    rows = tuple(_rows(fit, system))
    title = tr("Fit on a neck of {neck}", neck=show_both(fit.neck, system))
    return table(title, spread(_columns(setting), rows, setting), rows, setting)


def _columns(setting: Setting) -> tuple[Column, ...]:
    first = Column(0.0, 1.0, "end")
    second = replace(first, colour=SOFT, size=max(SMALL, LEAST / setting.body), before=0.6)
    return replace(first, anchor="start", weight="bold"), *(first, second) * 2, first, first, second


def _rows(fit: Fit, system: System) -> Iterator[tuple[str, ...]]:
    units = ("in", "mm") if system == "imperial" else ("mm", "in")
    yield tr("Hole"), tr("inside"), "", tr("ease"), "", tr("fingers"), tr("tail"), ""
    yield "", *units, *units, "", *units
    for hole in fit.holes:
        yield (
            tr("{number}, target", number=hole.number) if hole.target else str(hole.number),
            *_length(hole.inside_girth, system),
            *_length(hole.ease, system),
            fingers_in_words(hole.fingers),
            *_length(hole.tail, system),
        )


def _length(mm: float, system: System) -> tuple[str, str]:
    inches, metric = show_inches(mm).removesuffix(" in"), show_mm(mm, 0).removesuffix(" mm")
    return (inches, metric) if system == "imperial" else (metric, inches)
