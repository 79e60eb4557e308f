"""The proof as its customer sees it, and the two answers to it: approve, or ask for changes.

Reading never writes. An answer is a form that carries exactly what was before the reader: version and hash,
and a key of its own, so that the same answer sent twice is one answer.
"""

from collections.abc import Mapping
from http import HTTPStatus
from typing import Final

from fastapi import FastAPI
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response

from service.errors import Unreadable
from service.language import mark, tr
from service.orders import (
    Accepted,
    AlreadyApproved,
    ChangesAlreadyAsked,
    Decision,
    DecisionRefused,
    KeyReused,
    Kind,
    OrderClosed,
    Proof,
    ProofChanged,
    Seen,
    read_decision,
)
from service.storage import (
    StorageUnavailable,
    answer_proof,
    keep_for_receipt,
    proof_drawing_of,
    proof_of_version,
)
from service.web.access import FormUnreadable, act, form
from service.web.family import add_page, go_on, shown
from service.web.followed import LinkEnded, ended
from service.web.house import house_of
from service.web.mailing import tell_of_answer
from service.web.pace import PAGES, TooOften, keep_pace
from service.web.proofs import PRINT
from service.web.shown_proof import (
    Opened,
    RefusedPage,
    Said,
    found_proof,
    given_to,
    in_words,
    made_proof_page,
    receipt_of,
)

NOT_RECORDED: Final = mark(
    "Not recorded: the shop's records can't be written just now. What you typed is still here: send it again."
)
NO_KEY: Final = mark(
    "Not recorded: the form came without its key. What you typed is still here: send it again."
)
SAID: Final[Mapping[type[DecisionRefused], str]] = {
    KeyReused: mark("You have answered on this page before"),
    AlreadyApproved: mark("This proof is approved already"),
    ChangesAlreadyAsked: mark("Changes were asked for already"),
    OrderClosed: mark("This proof can't be answered any more"),
}
"""What the page is headed with for each reason not to take an answer."""


def show_proof(request: Request, token: str) -> Response:
    """The newest proof of an order; reading it changes nothing."""
    try:
        with house_of(request).database.reading() as connection:
            found = found_proof(request, connection, token)
            page = made_proof_page(request, connection, found, Said())
    except LinkEnded:
        return ended(request)
    return shown(request, "proof/page.html", page)


def show_print(request: Request, token: str, version: str) -> Response:
    """A version of the proof to print, as it was sent."""
    try:
        with house_of(request).database.reading() as connection:
            found = found_proof(request, connection, token)
            if not (version.isascii() and version.isdigit() and 0 < int(version[:9]) <= found.proof.version):
                raise HTTPException(HTTPStatus.NOT_FOUND)
            seen = proof_of_version(connection, found.order.id, int(version)).seen
            printed = proof_drawing_of(connection, seen, PRINT)
    except LinkEnded:
        return ended(request)
    name = f"proof-{found.order.number}-version-{seen.version}.pdf"
    return _file(printed.content, printed.media_type, name)


def show_receipt(request: Request, token: str) -> Response:
    """The receipt of the answer to the newest proof, as text to keep."""
    try:
        with house_of(request).database.reading() as connection:
            found = found_proof(request, connection, token)
            text = receipt_of(connection, found, given_to(connection, found.proof))
    except LinkEnded:
        return ended(request)
    if not text:
        raise HTTPException(HTTPStatus.NOT_FOUND)
    name = f"receipt-{found.order.number}-version-{found.proof.version}.txt"
    return _file(text.encode(), "text/plain; charset=utf-8", name)


def take_answer(request: Request, token: str) -> Response:
    """Take an answer once, or say why it is not taken and which one stands."""
    typed = form(request)
    kind = _kind(typed)
    try:
        with house_of(request).database.reading() as connection:
            found = found_proof(request, connection, token)
    except LinkEnded:
        return ended(request, typed.get("message" if kind == "ask-changes" else "name", ""))
    by = act(request, link=found.link)
    seen = Seen(found.order.id, _whole(typed.get("version", "")), typed.get("sha256", ""))
    name, message = _own(kind, typed)
    try:
        keep_pace(request, PAGES)
        wish = read_decision(
            kind, seen, typed.get("key", ""), name=name, message=message, at=by.at.isoformat()
        )
        with house_of(request).database.writing() as connection:
            answered = answer_proof(connection, wish, by)
            if isinstance(answered.verdict, Accepted):
                tell_of_answer(connection, house_of(request), wish)
                if kind == "approve":
                    keep_for_receipt(connection, found.order.id, by.at)
    except Unreadable as fault:
        return _put_right(request, token, kind, typed, seen, fault)
    except ProofChanged as refused:
        return _anew(request, token, typed, refused.seen)
    except DecisionRefused as refused:
        return _refused(request, found, refused, typed)
    except (StorageUnavailable, TooOften) as fault:
        return _not_recorded(request, token, kind, typed, seen, fault)
    return go_on(f"/p/{found.token}#answer")


def proof_page_routes(app: FastAPI) -> None:
    """Add the proof, its prints and its answers."""
    add_page(app, "/p/{token}", show_proof)
    add_page(app, "/p/{token}/version-{version}.pdf", show_print)
    add_page(app, "/p/{token}/receipt.txt", show_receipt)
    add_page(app, "/p/{token}/answer", take=take_answer)


def _file(content: bytes, media_type: str, name: str) -> Response:
    headers = {"Content-Disposition": f'attachment; filename="{name}"'}
    return Response(content, headers=headers, media_type=media_type)


def _kind(typed: Mapping[str, str]) -> Kind:
    match typed.get("kind"):
        case "approve":
            return "approve"
        case "ask-changes":
            return "ask-changes"
    raise FormUnreadable(tr("The form doesn't say whether it approves or asks for changes."))


def _whole(text: str) -> int:
    return int(text) if text.isascii() and text.isdigit() and len(text) < 10 else 0  # noqa: PLR2004 - fits


def _own(kind: Kind, typed: Mapping[str, str]) -> tuple[str, str]:
    """Name and message, each only from the form it belongs to."""
    if kind == "approve":
        return typed.get("name", ""), ""
    return "", typed.get("message", "")


def _said(kind: Kind, typed: Mapping[str, str], error: str = "", notice: str = "") -> Said:
    name, message = _own(kind, typed)
    wrong = (error, "") if kind == "approve" else ("", error)
    return Said(name, message, *wrong, notice)


def _put_right(
    request: Request, token: str, kind: Kind, typed: Mapping[str, str], seen: Seen, fault: Unreadable
) -> Response:
    """The same proof again with the error beside its field, or a newer one if there is one by now."""
    key = typed.get("key", "")
    if fault.text == key and fault.text != "".join(_own(kind, typed)):
        said, key = _said(kind, typed, notice=tr(NO_KEY)), ""
    else:
        said = _said(kind, typed, error=str(fault.reason))
    return _again(request, token, said, HTTPStatus.UNPROCESSABLE_ENTITY, seen, key)


def _not_recorded(
    request: Request,
    token: str,
    kind: Kind,
    typed: Mapping[str, str],
    seen: Seen,
    fault: StorageUnavailable | TooOften,
) -> Response:
    """The same proof again with what was typed, and when to send it again."""
    notice, status, again = tr(NOT_RECORDED), HTTPStatus.SERVICE_UNAVAILABLE, "5"
    if isinstance(fault, TooOften):
        notice = tr("Not recorded. {why} What you typed is kept.", why=fault)
        status, again = HTTPStatus.TOO_MANY_REQUESTS, fault.seconds
    answer = _again(request, token, _said(kind, typed, notice=notice), status, seen, typed.get("key", ""))
    answer.headers["Retry-After"] = again
    return answer


def _again(request: Request, token: str, said: Said, status: int, seen: Seen, key: str) -> Response:
    try:
        with house_of(request).database.reading() as connection:
            found = found_proof(request, connection, token)
            if found.proof.seen != seen:
                page = made_proof_page(request, connection, found, said, is_stale=True)
                return shown(request, "proof/page.html", page, HTTPStatus.CONFLICT)
            page = made_proof_page(request, connection, found, said, key=key)
    except LinkEnded:
        return ended(request, said.message or said.name)
    return shown(request, "proof/page.html", page, status)


def _anew(request: Request, token: str, typed: Mapping[str, str], stale: Proof | None) -> Response:
    """The newest proof, with what differs from the one that was answered; nothing was recorded."""
    said = Said(typed.get("name", ""), typed.get("message", ""))
    try:
        with house_of(request).database.reading() as connection:
            found = found_proof(request, connection, token)
            page = made_proof_page(request, connection, found, said, stale=stale, is_stale=True)
    except LinkEnded:
        return ended(request, said.message or said.name)
    return shown(request, "proof/page.html", page, HTTPStatus.CONFLICT)


def _refused(request: Request, found: Opened, refused: DecisionRefused, typed: Mapping[str, str]) -> Response:
    stands: Decision | None = None
    match refused:
        case KeyReused(earlier=stands) | AlreadyApproved(approval=stands):
            pass
        case ChangesAlreadyAsked(request=stands):
            pass
    page = RefusedPage(
        found.proof.body.shop,
        tr(SAID[type(refused)]),
        str(refused),
        in_words(stands, house_of(request).workshop)
        if stands and stands.seen.order == found.order.id
        else None,
        "".join(_own(_kind(typed), typed)),
        f"/p/{found.token}",
    )
    return shown(request, "proof/refused.html", page, HTTPStatus.CONFLICT)
