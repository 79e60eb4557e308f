"""What stands round every page of the shop: its name, who is signed in, and where they are."""

from dataclasses import dataclass
from typing import Literal

from service.storage import Member, Role

Here = Literal["board", "quote", "customers", "catalogue", "members", ""]


@dataclass(frozen=True, slots=True)
class Frame:
    """The shop's name, the member signed in, and which of the places in the bar this page is."""

    shop: str
    member: str
    role: Role
    here: Here

    @property
    def may_change(self) -> bool:
        """Whether this member may change anything: buttons that would be refused are not shown."""
        return self.role != "read-only"

    @property
    def is_owner(self) -> bool:
        """Whether this member sees the page of members."""
        return self.role == "owner"


def frame_for(member: Member, shop: str, here: Here = "") -> Frame:
    """Return the frame of a page that a member looks at."""
    return Frame(shop, member.name, member.role, here)
