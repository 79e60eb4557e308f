"""What whoever watches over the service should know: refusals, each a line of JSON on the error output.

What was done is on the workshop's record; this is what was not let happen. No line holds what was typed, a
name or a whole address: who it was about is told by a member's id.
"""

import json
import logging
from typing import Final

from starlette.requests import Request

from service.storage import Member, moment_text
from service.web.access import short_address
from service.web.house import house_of

LOG: Final = logging.getLogger("girthwright.refused")


def refused(request: Request, what: str, member: Member | None = None) -> None:
    """Note that something was refused: "password", "code", "role", "sent from elsewhere"."""
    line = {
        "at": moment_text(house_of(request).now()),
        "refused": what,
        "method": request.method,
        "from": short_address(request),
        "member": "" if member is None else member.id,
    }
    LOG.warning(json.dumps(line))
