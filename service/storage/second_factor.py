"""What is kept of a member's second factor."""

from datetime import datetime

from pydantic import BaseModel, ConfigDict, Field


class SecondFactor(BaseModel):
    """Codes from an application that shares a secret with the service (TOTP, RFC 6238).

    It is asked for from `since` on: until then it waits for its first code. `last_step` is the time step of
    the last code taken, so that none is taken twice; `recovery` are hashes of the codes that stand in for
    a lost telephone, each once. The secret has to be kept as it is: whoever reads the store, or a backup of
    it, can make its codes.
    """

    model_config = ConfigDict(frozen=True, extra="forbid")

    secret: str = Field(repr=False)
    since: datetime | None = None
    last_step: int = 0
    recovery: tuple[str, ...] = Field(default=(), repr=False)
