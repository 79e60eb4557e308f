"""The design engine: a wish becomes parts, marks, hardware, fit and findings. Knows no web or files."""

from service.design.cautions import AT_THE_BENCH, FOR_THE_WEARER
from service.design.collar import make_pattern, try_pattern
from service.design.decoration import Zone, clear_zones
from service.design.fit import fingers_in_words
from service.design.hardware import complete_finishes, complete_widths, ranges_in_words, widths
from service.design.joints import KEEPER_CLOSING, joint_notes
from service.design.pattern import (
    Finding,
    Fit,
    Fittings,
    HardwareLine,
    HoleFit,
    Joint,
    Layout,
    Mark,
    Part,
    Pattern,
    Station,
)
from service.design.reading import CHOICE_NAMES, PARAMETERS, read_collar, with_unit
from service.design.spec import Collar

__all__ = [
    "AT_THE_BENCH",
    "CHOICE_NAMES",
    "FOR_THE_WEARER",
    "KEEPER_CLOSING",
    "PARAMETERS",
    "Collar",
    "Finding",
    "Fit",
    "Fittings",
    "HardwareLine",
    "HoleFit",
    "Joint",
    "Layout",
    "Mark",
    "Part",
    "Pattern",
    "Station",
    "Zone",
    "clear_zones",
    "complete_finishes",
    "complete_widths",
    "fingers_in_words",
    "joint_notes",
    "make_pattern",
    "ranges_in_words",
    "read_collar",
    "try_pattern",
    "widths",
    "with_unit",
]
