"""What a file of the catalogue says of the shelves: what there is of each row, and what there was."""

from collections.abc import Mapping
from hashlib import sha256
from typing import Final

from service.errors import Unreadable
from service.language import mark, tr
from service.storage import Counted, Stock
from service.web.catalogue_changes import CellChange
from service.web.catalogue_columns import Column
from service.web.catalogue_stock import COUNT_FIRST, amount_words, read_amount, shown_amount

STOCK: Final = Column("stock", mark("In stock"))
LOW: Final = Column("low", mark("Low below"))
STOCK_WAS: Final = Column("stock_was", mark("In stock when downloaded"))
COUNTS: Final = (STOCK, LOW, STOCK_WAS)
"""The columns that the file of a table with a shelf has after its own."""


def count_cells(kind: str, kept: Stock | None) -> list[str]:
    """Return what stands in these columns for a row."""
    count, low = (kept.count, kept.low) if kept else (None, None)
    return [shown_amount(kind, each) for each in (count, low, count)]


def read_counts(
    kind: str, code: str, kept: Stock | None, typed: Mapping[str, str], errors: dict[str, str]
) -> Counted | None:
    """Return what a file counts of a row, None where that is what is known; `errors` by column.

    A count that was left as it was downloaded is none: the pieces that orders took meanwhile stay taken.
    """
    known = dict(zip((one.name for one in COUNTS), count_cells(kind, kept), strict=True))
    read = {name: _read(kind, name, typed.get(name, cell), errors) for name, cell in known.items()}
    if errors:
        return None
    there, low = (kept.count, kept.low) if kept else (None, None)
    count = there if read["stock"] == read["stock_was"] else read["stock"]
    if count != there and read["stock_was"] != there:
        errors["stock"] = tr(
            "It has moved since this was downloaded: {was} then, {now} now. Count it again, and write {now}"
            " in the column stock_was.",
            was=typed["stock_was"].strip() or tr("nothing"),
            now=known["stock"] or tr("nothing"),
        )
    elif count != there and count is not None and count < 0:
        errors["stock"] = tr("A number can't be negative here.")
    elif count is None and read["low"] is not None:
        errors["low"] = tr(COUNT_FIRST)
    if errors or (count, read["low"]) == (there, low):
        return None
    return Counted(kind, code, count, read["low"], kept.row_version if kept else 0)


def _read(kind: str, name: str, text: str, errors: dict[str, str]) -> int | None:
    """An amount; more may have gone out than was counted, so what was there may be less than nothing."""
    text = text.strip()
    less = name != LOW.name and text.startswith("-")
    try:
        amount = read_amount(kind, text.removeprefix("-") if less else text)
    except Unreadable as fault:
        errors[name] = fault.message.said("metric")
        return None
    return -amount if less and amount is not None else amount


def count_changes(counted: Counted, kept: Stock | None) -> tuple[CellChange, ...]:
    """Return in words how what was counted differs from what is kept."""
    was = (kept.count, kept.low) if kept else (None, None)
    pairs = ((STOCK, was[0], counted.count), (LOW, was[1], counted.low))
    return tuple(
        CellChange(tr(column.label), _words(counted.kind, old), _words(counted.kind, new) or tr("nothing"))
        for column, old, new in pairs
        if old != new
    )


def _words(kind: str, count: int | None) -> str:
    return "" if count is None else amount_words(kind, count)


def shelf_mark(shelf: Mapping[str, Stock]) -> str:
    """Return a mark that is another one as soon as anything on a shelf has moved."""
    rows = sorted((row.code, row.count, row.low, row.row_version) for row in shelf.values())
    return sha256(repr(rows).encode()).hexdigest()[:20]
