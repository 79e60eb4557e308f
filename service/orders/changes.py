"""What differs between two proofs, in plain words, with nothing left out."""

from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field, fields, is_dataclass, replace
from typing import Any

from service.language import mark, tr
from service.orders.body import Amount, ProofBody

WORDS = {
    "schema_version": mark("form of this proof"),
    "engine": mark("version of the drawing engine"),
    "language": mark("language"),
    "shop": mark("shop"),
    "order": mark("order number"),
    "customer": mark("customer"),
    "dog": mark("dog"),
    "title": mark("title"),
    "sentence": mark("in one sentence"),
    "measures": mark("measures"),
    "choices": mark("choices"),
    "lettering": mark("lettering"),
    "sizes": mark("sizes"),
    "holes": mark("holes"),
    "parts": mark("parts"),
    "distances": mark("distances along the strap"),
    "hardware": mark("hardware"),
    "included": mark("what is included"),
    "agreed": mark("what else was agreed"),
    "price": mark("price"),
    "promised": mark("promised"),
    "terms": mark("terms"),
    "remarks": mark("remarks"),
    "cautions": mark("cautions"),
    "rounding": mark("rounding"),
    "drawings": mark("drawings"),
    "typed": mark("as typed"),
    "how": mark("how it was measured"),
    "size": mark("size"),
    "name": mark("name"),
    "value": mark("choice"),
    "number": mark("number"),
    "target": mark("the one to wear"),
    "inside": mark("inside"),
    "ease": mark("ease"),
    "tail": mark("tail"),
    "fingers": mark("fingers"),
    "quantity": mark("how many"),
    "length": mark("length"),
    "width": mark("width"),
    "thickness": mark("thickness"),
    "finish": mark("finish"),
    "place": mark("where"),
    "currency": mark("currency"),
    "lines": mark("lines"),
    "total": mark("total"),
    "tax": mark("tax"),
    "version": mark("version"),
    "text": mark("text"),
    "sha256": mark("fingerprint"),
}
"""What each field of a proof is called."""

ROWS = {
    "holes": mark("hole {name}"),
    "distances": mark("along the strap, {name}"),
    "hardware": mark("hardware, {name}"),
    "lines": mark("price, {name}"),
    "drawings": mark("drawing, {name}"),
}
"""What a row is called where the name alone would not say which table it is in."""


@dataclass(frozen=True, slots=True)
class Change:
    """Something that differs: what it is, what it was and what it is now; None is not there at all.

    `field` is the field of the proof that it belongs to.
    """

    what: str
    was: str | None
    now: str | None
    field: str = field(default="", compare=False)


def differences(old: ProofBody, new: ProofBody) -> tuple[Change, ...]:
    """Return everything in which one body differs from another; nothing when they are the same.

    Rows are compared by their names: what was added or left out is shown whole, and so is another order.
    Source: derived. Worked: a neck of 20 in for 19 in: "Neck, as typed", "Neck, size", then the sizes,
    holes, parts and distances that follow from it.
    """
    return tuple(
        replace(change, field=part.name)
        for part in fields(old)
        for change in _of_values(
            tr(WORDS[part.name]), part.name, getattr(old, part.name), getattr(new, part.name)
        )
    )


def _of_fields(owner: str, old: Any, new: Any) -> Iterator[Change]:  # noqa: ANN401 - any dataclass
    for part in fields(old):
        what = f"{owner}, {tr(WORDS[part.name])}"
        yield from _of_values(what, part.name, getattr(old, part.name), getattr(new, part.name))


def _of_values(what: str, part: str, old: Any, new: Any) -> Iterator[Change]:  # noqa: ANN401 - any field
    if old == new:
        return
    if isinstance(old, tuple):
        yield from _of_rows(what, part, old, new)
    elif is_dataclass(old) and not isinstance(old, Amount):
        yield from _of_fields(what, old, new)
    else:
        exactly = isinstance(old, Amount) and isinstance(new, Amount) and old.words == new.words
        yield _change(what, _text(old, exactly=exactly), _text(new, exactly=exactly))


def _of_rows(what: str, part: str, old: Iterable[Any], new: Iterable[Any]) -> Iterator[Change]:
    was, now = _by_name(old), _by_name(new)
    for name in [*was, *(name for name in now if name not in was)]:
        before, after = was.get(name), now.get(name)
        label = what if isinstance(after if before is None else before, str) else _label(part, name)
        if before is None or after is None:
            yield _change(label, _whole(before), _whole(after))
        elif before != after:
            yield from _of_row(label, before, after)
    kept_was, kept_now = [name for name in was if name in now], [name for name in now if name in was]
    if kept_was != kept_now:
        yield _change(tr("{what}, in which order", what=what), _listed(kept_was), _listed(kept_now))


def _of_row(label: str, old: Any, new: Any) -> Iterator[Change]:  # noqa: ANN401 - any row
    _, *rest = fields(old)
    for part in rest:
        what = label if len(rest) == 1 else f"{label}, {tr(WORDS[part.name])}"
        yield from _of_values(what, part.name, getattr(old, part.name), getattr(new, part.name))


def _by_name(rows: Iterable[Any]) -> dict[tuple[str, int], Any]:
    """Rows by their first field, or by themselves, and how many times that came before."""
    found: dict[tuple[str, int], Any] = {}
    times: Counter[str] = Counter()
    for row in rows:
        name = row if isinstance(row, str) else str(getattr(row, fields(row)[0].name))
        times[name] += 1
        found[name, times[name]] = row
    return found


def _label(part: str, name: tuple[str, int]) -> str:
    listed = _listed([name])
    return tr(ROWS[part], name=listed) if part in ROWS else listed


def _listed(names: Iterable[tuple[str, int]]) -> str:
    return "; ".join(name if time == 1 else f"{name} ({time})" for name, time in names)


def _whole(row: Any) -> str | None:  # noqa: ANN401 - any row, or none
    if row is None or isinstance(row, str):
        return row
    _, *rest = fields(row)
    texts = [(tr(WORDS[part.name]), _text(getattr(row, part.name))) for part in rest]
    return texts[0][1] if len(texts) == 1 else "; ".join(f"{word}: {text}" for word, text in texts if text)


def _text(value: Any, *, exactly: bool = False) -> str:  # noqa: ANN401 - any leaf
    if isinstance(value, Amount):
        if not exactly:
            return value.words
        return tr("{words}, exactly {count} × {unit}", words=value.words, count=value.count, unit=value.unit)
    if isinstance(value, bool):
        return tr("yes") if value else tr("no")
    return str(value)


def _change(what: str, was: str | None, now: str | None) -> Change:
    return Change(what[:1].upper() + what[1:], was, now)
