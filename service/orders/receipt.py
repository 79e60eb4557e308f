"""The receipt: what a customer keeps of their answer, in plain text."""

from datetime import UTC, datetime

from service.orders.audit import Entry
from service.orders.decisions import Decision
from service.orders.proof import Proof

DID = {"approve": "approved this proof", "ask-changes": "asked for changes to this proof"}


def receipt(decision: Decision, proof: Proof, entry: Entry) -> str:
    """Return the receipt of an answer to a proof, recorded in an entry of the audit, as lines of plain text.

    It holds the whole hash of what was seen and that of the entry, so that it bears witness for both.
    Source: derived. Worked: "Recorded 2026-11-25 14:02 UTC, version 3, code BA78-16BF" is its second line.
    """
    body = proof.body
    price = "; ".join(f"{line.name} {line.price.words}" for line in body.price.lines)
    lines = [
        f"{body.shop}, order {body.order}",
        f"Recorded {_moment(decision.at)}, version {proof.version}, code {proof.code}",
        "",
        f"{decision.name or 'The customer'} {DID[decision.kind]}.",
        *([f"Wanted: {decision.message}"] if decision.message else []),
        "",
        body.title,
        f"For {body.dog}",
        f"Price: {body.price.total.words} ({price}). {body.price.tax}",
        f"Promised: {body.promised}",
        f"Terms: version {body.terms.version}",
        "",
        f"Fingerprint of the proof (SHA-256 of RFC 8785): {proof.sha256}",
        f"Entry {entry.number} of the shop's record: {entry.hash}",
        "Keep this: it shows what was answered, whatever happens to the shop's own records.",
    ]
    return "\n".join(lines) + "\n"


def _moment(at: str) -> str:
    moment = datetime.fromisoformat(at)
    if moment.tzinfo is not None:
        moment = moment.astimezone(UTC)
    return f"{moment:%Y-%m-%d %H:%M} UTC"
