"""Proofs and the answers to them: what was sent is kept as it was, and one answer to each version counts."""

from collections.abc import Iterable
from dataclasses import asdict, dataclass, replace
from typing import Any

from sqlalchemy import Connection, RowMapping, insert, select

from service.orders import (
    Accepted,
    Decision,
    Entry,
    Head,
    Proof,
    Replayed,
    Seen,
    canonical_json,
    judge,
    sha256_hex,
    unseal,
)
from service.storage.audit import Act, record, record_of
from service.storage.faults import NotKept
from service.storage.orders import Order, order_by_id, write_order
from service.storage.rows import as_row, first_as, overwrite, select_as
from service.storage.tables import decision, orders, proof, proof_drawing


@dataclass(frozen=True, slots=True)
class ProofDrawing:
    """A drawing that a proof shows, as it was sent."""

    name: str
    media_type: str
    sha256: str
    content: bytes


@dataclass(frozen=True, slots=True)
class Answered:
    """What became of an answer, and its entry on the workshop's record."""

    verdict: Accepted | Replayed
    entry: Entry


def drawing(name: str, media_type: str, content: bytes) -> ProofDrawing:
    """Return a drawing under the hash of its content."""
    return ProofDrawing(name, media_type, sha256_hex(content), content)


def send_proof(
    connection: Connection, order: Order, sealed: Proof, drawings: Iterable[ProofDrawing], act: Act
) -> Order:
    """Keep an order's next proof with its drawings, and the order, changed as it may be, at "proof-sent".

    Raises StaleWrite when someone else has changed the order since it was read, MoveRefused where no proof
    can be sent any more.
    """
    now = order_by_id(connection, order.id)
    if sealed.seen.order != order.id or sealed.version != now.version + 1:
        raise ValueError(f"the next proof of {order.id} is version {now.version + 1}, not {sealed.seen}")
    sent = replace(order, stage="proof-sent", version=sealed.version)
    sent = write_order(connection, now, sent, act, "proof-sent", sha256=sealed.sha256)
    place = {"order_id": order.id, "version": sealed.version}
    body = canonical_json(asdict(sealed.body)).decode()
    made = {"sha256": sealed.sha256, "body": body, "made_by": act.who, "made_at": act.at}
    connection.execute(insert(proof).values(**place, **made))
    for each in drawings:
        connection.execute(insert(proof_drawing).values(**place, **as_row(each)))
    return sent


def newest_proof(connection: Connection, order_id: str) -> Proof | None:
    """Return an order's newest proof; raises ProofDamaged when it is not what was sent."""
    chosen = select(proof).where(proof.c.order_id == order_id).order_by(proof.c.version.desc()).limit(1)
    row = connection.execute(chosen).mappings().first()
    return None if row is None else _proof(row)


def proof_of_version(connection: Connection, order_id: str, version: int) -> Proof:
    """Return one version; raises NotKept, ProofDamaged."""
    here = (proof.c.order_id == order_id) & (proof.c.version == version)
    row = connection.execute(select(proof).where(here)).mappings().first()
    if row is None:
        raise NotKept("proof", f"version {version}")
    return _proof(row)


def proof_drawing_of(connection: Connection, seen: Seen, name: str) -> ProofDrawing:
    """Return a drawing as it was sent; raises NotKept."""
    table = proof_drawing.c
    here = (table.order_id == seen.order) & (table.version == seen.version) & (table.name == name)
    found = first_as(ProofDrawing, connection, select_as(ProofDrawing, proof_drawing).where(here))
    if found is None:
        raise NotKept("drawing", name)
    return found


def answers_of(connection: Connection, order_id: str) -> tuple[Decision, ...]:
    """Return the answers to an order's proofs, the first version first."""
    chosen = select(decision).where(decision.c.order_id == order_id).order_by(decision.c.version)
    return tuple(_decision(row) for row in connection.execute(chosen).mappings())


def answer_proof(connection: Connection, wish: Decision, act: Act) -> Answered:
    """Judge a customer's answer and keep it if it counts; raises as `service.orders.judge` does, or NotKept.

    The order is held until the end of the writing, so that of two answers, or of an answer and a newer proof,
    one is first.
    """
    held = select(orders.c.workshop_id, orders.c.stage, orders.c.row_version)
    order = connection.execute(held.where(orders.c.id == wish.seen.order).with_for_update()).first()
    newest = newest_proof(connection, wish.seen.order)
    if order is None or newest is None:
        raise NotKept("proof", wish.seen.order)
    verdict = judge(
        wish,
        Head(order.stage, newest),
        keyed=_keyed(connection, wish.key),
        answers=answers_of(connection, wish.seen.order),
        seen=_seen(connection, wish.seen),
    )
    if isinstance(verdict, Replayed):
        return Answered(verdict, entry_of(connection, order.workshop_id, verdict.decision))
    connection.execute(insert(decision).values(_row(wish)))
    changes = {"stage": verdict.stage, "changed_at": act.at}
    overwrite(connection, orders, wish.seen.order, seen=order.row_version, changes=changes)
    order_id, version, sha256 = wish.seen.order, wish.seen.version, wish.seen.sha256
    entry = record(
        connection, order.workshop_id, wish.kind, act, order=order_id, version=version, sha256=sha256
    )
    return Answered(verdict, entry)


def entry_of(connection: Connection, workshop_id: str, kept: Decision) -> Entry:
    """Return the entry of an answer on the workshop's record."""
    entries = record_of(connection, workshop_id, kept.seen.order)
    return next(e for e in entries if e.fact.action == kept.kind and e.fact.version == kept.seen.version)


def _keyed(connection: Connection, key: str) -> Decision | None:
    row = connection.execute(select(decision).where(decision.c.key == key)).mappings().first()
    return None if row is None else _decision(row)


def _seen(connection: Connection, seen: Seen) -> Proof | None:
    here = (proof.c.order_id == seen.order) & (proof.c.sha256 == seen.sha256)
    row = connection.execute(select(proof).where(here, proof.c.version == seen.version)).mappings().first()
    return None if row is None else _proof(row)


def _proof(row: RowMapping) -> Proof:
    return unseal(Seen(row["order_id"], row["version"], row["sha256"]), row["body"].encode())


def _decision(row: RowMapping) -> Decision:
    seen = Seen(row["order_id"], row["version"], row["sha256"])
    return Decision(seen, row["key"], row["kind"], row["name"], row["message"], row["at"])


def _row(kept: Decision) -> dict[str, Any]:
    seen = kept.seen
    place = {"order_id": seen.order, "version": seen.version, "sha256": seen.sha256}
    return {**place, **{name: getattr(kept, name) for name in ("key", "kind", "name", "message", "at")}}
