"""A second factor: codes of six figures from a telephone (TOTP, RFC 6238), and codes for when it is lost."""

import secrets
from base64 import b32encode
from dataclasses import dataclass
from datetime import datetime, timedelta
from hashlib import sha256
from hmac import compare_digest, digest
from typing import Final

from pyotp import TOTP, random_base32
from pyotp.exceptions import OTPVerificationError

from service.storage import Member, SecondFactor

SPARE: Final = 10
"""So many codes stand in for a lost telephone."""
SPARE_BYTES: Final = 15
"""Random bytes of such a code, 120 bits: enough for a plain hash to be kept of it (OWASP ASVS 5, 6.5.2)."""
DRIFT: Final = 1
"""So many time steps a telephone's clock may be off (RFC 6238, 5.2)."""
TICKET_LASTS: Final = timedelta(minutes=5)
"""How long after the password the code may come."""


@dataclass(frozen=True, slots=True)
class Used:
    """What is left of a second factor after a code; `spare` when that was one for a lost telephone."""

    factor: SecondFactor
    spare: bool


def begun() -> SecondFactor:
    """Return a second factor with a new secret of 160 random bits, not asked for yet."""
    return SecondFactor(secret=random_base32())


def address_of(factor: SecondFactor, shop: str, name: str) -> str:
    """Return the address that an application for codes takes a secret from."""
    return TOTP(factor.secret).provisioning_uri(name=name, issuer_name=shop)


def spare_codes() -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Return codes for when the telephone is lost, as they are shown, and their hashes, as they are kept."""
    plain = [b32encode(secrets.token_bytes(SPARE_BYTES)).decode().lower() for _ in range(SPARE)]
    shown = ("-".join(code[at : at + 4] for at in range(0, len(code), 4)) for code in plain)
    return tuple(shown), tuple(map(_hash, plain))


def used(factor: SecondFactor, typed: str, now: datetime) -> Used | None:
    """Return what is left of a second factor after a code, or None when the code is wrong or an old one.

    A code of a time step that has been taken, or of one before it, is refused (RFC 6238, 5.2).
    """
    code = "".join(sign for sign in typed.casefold() if sign.isalnum())[:64]
    if code.isdigit():
        try:
            step = TOTP(factor.secret).verify_and_get_timecode(code, for_time=now, valid_window=DRIFT)
        except OTPVerificationError:
            return None
        return (
            Used(factor.model_copy(update={"last_step": step}), spare=False)
            if step > factor.last_step
            else None
        )
    kept = tuple(one for one in factor.recovery if not compare_digest(one, _hash(code)))
    if len(kept) == len(factor.recovery):
        return None
    return Used(factor.model_copy(update={"recovery": kept}), spare=True)


def asked_of(member: Member) -> SecondFactor | None:
    """Return the second factor that a member has to show, or None."""
    factor = member.second_factor
    return factor if factor is not None and factor.since is not None else None


def ticket_for(member: Member, now: datetime) -> str:
    """Return what says that a member's password was right just now; it is worth nothing without a code.

    It is signed with the hash of that password, which nobody outside has: so it ends with the password too.
    """
    until = str(int((now + TICKET_LASTS).timestamp()))
    return f"{member.id}.{until}.{_signed(member, until)}"


def is_ticket_of(member: Member, ticket: str, now: datetime) -> bool:
    """Tell whether a ticket is a member's, and not too old."""
    key, _, rest = ticket.partition(".")
    until, _, signed = rest.partition(".")
    if not (until.isascii() and until.isdigit() and signed.isascii()):
        return False
    fresh = now.timestamp() <= int(until[:12]) <= (now + TICKET_LASTS).timestamp()
    return key == member.id and fresh and compare_digest(signed, _signed(member, until))


def _signed(member: Member, until: str) -> str:
    return digest(member.password_hash.encode(), f"{member.id}.{until}".encode(), "sha256").hex()


def _hash(code: str) -> str:
    return sha256(code.encode()).hexdigest()
