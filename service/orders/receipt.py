"""The receipt: what a customer keeps of their answer, in plain text."""

from datetime import UTC, datetime

from service.language import mark, tr
from service.orders.audit import Entry
from service.orders.decisions import Decision
from service.orders.proof import Proof

DID = {
    "approve": mark("{name} approved this proof."),
    "ask-changes": mark("{name} asked for changes to this proof."),
}


def receipt(decision: Decision, proof: Proof, entry: Entry) -> str:
    """Return the receipt of an answer to a proof, recorded in an entry of the audit, as lines of plain text.

    It holds the whole hash of what was seen and that of the entry, so that it bears witness for both.
    Source: derived. Worked: "Recorded 2026-11-25 14:02 UTC, version 3, code BA78-16BF" is its second line.
    """
    body = proof.body
    price = "; ".join(f"{line.name} {line.price.words}" for line in body.price.lines)
    total = tr(
        "Price: {price} ({lines}). {tax}", price=body.price.total.words, lines=price, tax=body.price.tax
    )
    said = {"at": _moment(decision.at), "version": proof.version, "code": proof.code}
    lines = [
        tr("{shop}, order {number}", shop=body.shop, number=body.order),
        tr("Recorded {at}, version {version}, code {code}", **said),
        "",
        tr(DID[decision.kind], name=decision.name or tr("The customer")),
        *([tr("Wanted: {message}", message=decision.message)] if decision.message else []),
        "",
        body.title,
        tr("For {dog}", dog=body.dog),
        total,
        tr("Promised: {day}", day=body.promised),
        tr("Terms: version {version}", version=body.terms.version),
        "",
        tr("Fingerprint of the proof (SHA-256 of RFC 8785): {hash}", hash=proof.sha256),
        tr("Entry {number} of the shop's record: {hash}", number=entry.number, hash=entry.hash),
        tr("Keep this: it shows what was answered, whatever happens to the shop's own records."),
    ]
    return "\n".join(lines) + "\n"


def _moment(at: str) -> str:
    moment = datetime.fromisoformat(at)
    if moment.tzinfo is not None:
        moment = moment.astimezone(UTC)
    return f"{moment:%Y-%m-%d %H:%M} UTC"
