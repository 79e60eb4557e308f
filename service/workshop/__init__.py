"""What a workshop owns and decides, as values: leathers, dyes, hardware, tools, time standards and rates."""

from service.workshop.rows import (
    Buckle,
    Consumable,
    Dye,
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
    "Dye",
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
