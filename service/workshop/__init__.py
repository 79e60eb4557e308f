"""What a workshop owns and decides, as values: leathers, hardware, tools, time standards and rates."""

from service.workshop.rows import (
    Buckle,
    Consumable,
    Fastener,
    Fastening,
    Finish,
    Leather,
    LetterStamps,
    Rates,
    Ring,
    Row,
    Stud,
    Style,
    TimePer,
    TimeStandard,
    Workshop,
)

__all__ = [
    "Buckle",
    "Consumable",
    "Fastener",
    "Fastening",
    "Finish",
    "Leather",
    "LetterStamps",
    "Rates",
    "Ring",
    "Row",
    "Stud",
    "Style",
    "TimePer",
    "TimeStandard",
    "Workshop",
]
