"""Whether a text is written for its reader: their own units first, the others in brackets behind."""

import re

from service.units import System

AMOUNT = r"±?[0-9][0-9 ./]*"
UNITS = {"imperial": r"(?:in|lb|oz)\b", "metric": r"(?:mm|cm|kg|g)\b"}
MEANT = re.compile(r"I meant .*|Did you mean [^?]*\?")
"""What somebody may have meant to type is in the unit that they would have typed."""
EXACT = re.compile(AMOUNT + r"mm\b")
"""Thicknesses, holes and stamps are in millimetres for everybody."""


def misread(text: str, system: System) -> list[str]:
    """Every amount in the other system that doesn't stand in brackets behind one in the reader's own."""
    own, other = UNITS[system], UNITS["metric" if system == "imperial" else "imperial"]
    rest = re.sub(rf"({AMOUNT}{own}) \({AMOUNT}{other}\)", r"\1", MEANT.sub("", text))
    if system == "imperial":
        rest = EXACT.sub("", rest)
    return re.findall(AMOUNT + other, rest)
