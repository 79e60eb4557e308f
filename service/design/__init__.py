"""The design engine: a wish becomes parts, marks, hardware, fit and findings. Knows no web or files."""

from service.design.adorning import Adornment, adornments, laid_out
from service.design.cautions import AT_THE_BENCH, FOR_THE_WEARER, STRAIN_MAX
from service.design.fit import fingers_in_words, nearest_hole, take_up, wearable
from service.design.hardware import ranges_in_words, widths
from service.design.joints import KEEPER_CLOSING, joint_notes
from service.design.kinds import collar_in, make_pattern, told, try_pattern
from service.design.lacing import HOLE as LACE_HOLE
from service.design.lacing import LACINGS, lace_holes, lace_of, lace_stations
from service.design.layout import AUTO_PITCHES, frame_reach
from service.design.lead import LeadPattern, make_lead
from service.design.lead_lengths import Run
from service.design.lead_parts import PLAIT
from service.design.lead_rows import LeadFittings, lead_widths
from service.design.lead_wish import Lead
from service.design.lining import SEAM_IN, STITCH_HOLE, seam_in, sewn, stitch_holes, stitch_of, thread_size
from service.design.mass import Weighed, weigh
from service.design.paint import PAINTS, Paint, paint_of
from service.design.pair import SetFittings, SetPattern
from service.design.pair_wish import CollarAndLead
from service.design.pattern import (
    CollarFittings,
    CollarPattern,
    Cut,
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
    Plated,
    Station,
)
from service.design.plates import PLATE_RIVET
from service.design.readiness import Lack, first_needs, not_ready, usual_choices
from service.design.reading import CHOICE_NAMES, PARAMETERS, choices_of, read_wish, with_unit
from service.design.room import room_words, wearable_sentence, with_coat
from service.design.scan_tag import squares_of
from service.design.slip import SlipFittings, SlipPattern
from service.design.slip_layout import SlipFit, SlipLayout
from service.design.spec import QR_MAX, Buckled, Collar, LimitedSlip, Wish, Worn
from service.design.telling import Fact, Told
from service.design.templates import EndTemplates, SizeRow, TipEnd, end_templates
from service.design.tooling import MOTIFS
from service.design.wishes import KINDS, USUAL_KIND, WISHES, AnyWish, Kind, complete_finishes, kind_of
from service.design.zones import Zone, clear_zones

__all__ = [
    "AT_THE_BENCH",
    "AUTO_PITCHES",
    "CHOICE_NAMES",
    "FOR_THE_WEARER",
    "KEEPER_CLOSING",
    "KINDS",
    "LACE_HOLE",
    "LACINGS",
    "MOTIFS",
    "PAINTS",
    "PARAMETERS",
    "PLAIT",
    "PLATE_RIVET",
    "QR_MAX",
    "SEAM_IN",
    "STITCH_HOLE",
    "STRAIN_MAX",
    "USUAL_KIND",
    "WISHES",
    "Adornment",
    "AnyWish",
    "Buckled",
    "Collar",
    "CollarAndLead",
    "CollarFittings",
    "CollarPattern",
    "Cut",
    "EndTemplates",
    "Fact",
    "Finding",
    "Fit",
    "Fittings",
    "HardwareLine",
    "HoleFit",
    "Joint",
    "Kind",
    "Lack",
    "Layout",
    "Lead",
    "LeadFittings",
    "LeadPattern",
    "LimitedSlip",
    "Mark",
    "Paint",
    "Part",
    "Pattern",
    "Plated",
    "Run",
    "SetFittings",
    "SetPattern",
    "SizeRow",
    "SlipFit",
    "SlipFittings",
    "SlipLayout",
    "SlipPattern",
    "Station",
    "TipEnd",
    "Told",
    "Weighed",
    "Wish",
    "Worn",
    "Zone",
    "adornments",
    "choices_of",
    "clear_zones",
    "collar_in",
    "complete_finishes",
    "end_templates",
    "fingers_in_words",
    "first_needs",
    "frame_reach",
    "joint_notes",
    "kind_of",
    "lace_holes",
    "lace_of",
    "lace_stations",
    "laid_out",
    "lead_widths",
    "make_lead",
    "make_pattern",
    "nearest_hole",
    "not_ready",
    "paint_of",
    "ranges_in_words",
    "read_wish",
    "room_words",
    "seam_in",
    "sewn",
    "squares_of",
    "stitch_holes",
    "stitch_of",
    "take_up",
    "thread_size",
    "told",
    "try_pattern",
    "usual_choices",
    "wearable",
    "wearable_sentence",
    "weigh",
    "widths",
    "with_coat",
    "with_unit",
]
