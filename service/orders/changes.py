"""What differs between two proofs, in plain words, with nothing left out."""

from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, fields, is_dataclass
from typing import Any

from service.orders.body import Amount, ProofBody

WORDS = {
    "schema_version": "form of this proof",
    "engine": "version of the drawing engine",
    "language": "language",
    "shop": "shop",
    "order": "order number",
    "customer": "customer",
    "dog": "dog",
    "title": "title",
    "sentence": "in one sentence",
    "measures": "measures",
    "choices": "choices",
    "lettering": "lettering",
    "sizes": "sizes",
    "holes": "holes",
    "parts": "parts",
    "distances": "distances from the buckle end",
    "hardware": "hardware",
    "included": "what is included",
    "agreed": "what else was agreed",
    "price": "price",
    "promised": "promised",
    "terms": "terms",
    "remarks": "remarks",
    "cautions": "cautions",
    "rounding": "rounding",
    "drawings": "drawings",
    "typed": "as typed",
    "how": "how it was measured",
    "size": "size",
    "name": "name",
    "value": "choice",
    "number": "number",
    "target": "the one to wear",
    "inside": "inside",
    "ease": "ease",
    "tail": "tail",
    "fingers": "fingers",
    "quantity": "how many",
    "length": "length",
    "width": "width",
    "thickness": "thickness",
    "finish": "finish",
    "place": "where",
    "currency": "currency",
    "lines": "lines",
    "total": "total",
    "tax": "tax",
    "version": "version",
    "text": "text",
    "sha256": "fingerprint",
}
"""What each field of a proof is called."""

ROWS = {
    "holes": "hole ",
    "distances": "from the buckle end, ",
    "hardware": "hardware, ",
    "lines": "price, ",
    "drawings": "drawing, ",
}
"""What stands before the name of a row where the name alone would not say which table it is in."""


@dataclass(frozen=True, slots=True)
class Change:
    """Something that differs: what it is, what it was and what it is now; None is not there at all."""

    what: str
    was: str | None
    now: str | None


def differences(old: ProofBody, new: ProofBody) -> tuple[Change, ...]:
    """Return everything in which one body differs from another; nothing when they are the same.

    Rows are compared by their names: what was added or left out is shown whole, and so is another order.
    Source: derived. Worked: a neck of 20 in for 19 in: "Neck, as typed", "Neck, size", then the sizes,
    holes, parts and distances that follow from it.
    """
    return tuple(_of_fields("", old, new))


def _of_fields(owner: str, old: Any, new: Any) -> Iterator[Change]:  # noqa: ANN401 - any dataclass
    for field in fields(old):
        what = f"{owner}, {WORDS[field.name]}" if owner else WORDS[field.name]
        yield from _of_values(what, field.name, getattr(old, field.name), getattr(new, field.name))


def _of_values(what: str, field: str, old: Any, new: Any) -> Iterator[Change]:  # noqa: ANN401 - any field
    if old == new:
        return
    if isinstance(old, tuple):
        yield from _of_rows(what, field, old, new)
    elif is_dataclass(old) and not isinstance(old, Amount):
        yield from _of_fields(what, old, new)
    else:
        exactly = isinstance(old, Amount) and isinstance(new, Amount) and old.words == new.words
        yield _change(what, _text(old, exactly=exactly), _text(new, exactly=exactly))


def _of_rows(what: str, field: str, old: Iterable[Any], new: Iterable[Any]) -> Iterator[Change]:
    was, now = _by_name(old), _by_name(new)
    for name in [*was, *(name for name in now if name not in was)]:
        before, after = was.get(name), now.get(name)
        label = what if isinstance(after if before is None else before, str) else _label(field, name)
        if before is None or after is None:
            yield _change(label, _whole(before), _whole(after))
        elif before != after:
            yield from _of_row(label, before, after)
    kept_was, kept_now = [name for name in was if name in now], [name for name in now if name in was]
    if kept_was != kept_now:
        yield _change(f"{what}, in which order", _listed(kept_was), _listed(kept_now))


def _of_row(label: str, old: Any, new: Any) -> Iterator[Change]:  # noqa: ANN401 - any row
    _, *rest = fields(old)
    for field in rest:
        what = label if len(rest) == 1 else f"{label}, {WORDS[field.name]}"
        yield from _of_values(what, field.name, getattr(old, field.name), getattr(new, field.name))


def _by_name(rows: Iterable[Any]) -> dict[tuple[str, int], Any]:
    """Rows by their first field, or by themselves, and how many times that came before."""
    found: dict[tuple[str, int], Any] = {}
    times: Counter[str] = Counter()
    for row in rows:
        name = row if isinstance(row, str) else str(getattr(row, fields(row)[0].name))
        times[name] += 1
        found[name, times[name]] = row
    return found


def _label(field: str, name: tuple[str, int]) -> str:
    return f"{ROWS.get(field, '')}{_listed([name])}"


def _listed(names: Iterable[tuple[str, int]]) -> str:
    return "; ".join(name if time == 1 else f"{name} ({time})" for name, time in names)


def _whole(row: Any) -> str | None:  # noqa: ANN401 - any row, or none
    if row is None or isinstance(row, str):
        return row
    _, *rest = fields(row)
    texts = [(WORDS[field.name], _text(getattr(row, field.name))) for field in rest]
    return texts[0][1] if len(texts) == 1 else "; ".join(f"{word}: {text}" for word, text in texts if text)


def _text(value: Any, *, exactly: bool = False) -> str:  # noqa: ANN401 - any leaf
    if isinstance(value, Amount):
        return f"{value.words}, exactly {value.count} × {value.unit}" if exactly else value.words
    if isinstance(value, bool):
        return "yes" if value else "no"
    return str(value)


def _change(what: str, was: str | None, now: str | None) -> Change:
    return Change(what[:1].upper() + what[1:], was, now)
