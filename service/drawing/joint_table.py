"""The table of joints on the information page: plies, stack, what holds them and what it closes."""

from service.design import Joint, Pattern, joint_notes
from service.drawing.sheet import SOFT, Block
from service.drawing.text_blocks import Column, Setting, spread, table
from service.language import mark, tr
from service.units import show_mm

TITLE = mark("Joints, mm")
HEADS = ("", mark("plies"), mark("stack"), mark("held by"), mark("closes"))
COLUMNS = (
    Column(0.0, 1.0),
    Column(0.0, 1.0, "end"),
    Column(0.0, 1.0, "end", "bold", before=0.6),
    Column(0.0, 1.0),
    Column(0.0, 1.0, "end"),
)
NOTE = Column(0.0, 1.0, colour=SOFT)
"""A line of its own under the joints."""


def joint_table(pattern: Pattern, setting: Setting) -> Block:
    """Return the table of a pattern's joints, with what to know of them in lines under it."""
    rows = [tuple(map(tr, HEADS)), *map(_row, pattern.joints)]
    columns = (*spread(COLUMNS, rows, setting), NOTE)
    notes = [(*[""] * len(COLUMNS), note) for note in joint_notes(pattern.joints)]
    return table(tr(TITLE), columns, [*((*row, "") for row in rows), *notes], setting)


def _row(joint: Joint) -> tuple[str, ...]:
    row = joint.fastener
    held_by = tr(joint.closing) if row is None else row.name
    closes = "" if row is None else tr("{low} to {high}", low=_bare(row.grip_min), high=_bare(row.grip_max))
    return tr(joint.name), str(joint.plies), _bare(joint.stack), held_by, closes


def _bare(mm: float) -> str:
    return show_mm(mm).removesuffix(" mm")
