"""The wish for a lead: how long, how it is made. Lengths in mm."""

from typing import Annotated, Literal

from pydantic import Field

from service.design.spec import NECK_MAX, NECK_MIN, Wish
from service.saying import Message, say

Make = Literal["plain", "one-piece", "two-part", "traffic-loop", "slip", "coupler", "plaited-handle"]
"""How a lead is made: of straps, billet and handle; of one strap folded at both ends; in two leads that snap
together; with a second, short grip near the snap; with a noose instead of a snap; for two dogs; or with a
handle of plaited cords."""

MAKES: dict[Make, Message] = {
    "plain": say("straps, billet and handle"),
    "one-piece": say("one piece, folded at both ends"),
    "two-part": say("two parts, a short and a long lead"),
    "traffic-loop": say("with a traffic loop"),
    "slip": say("slip lead with a stop"),
    "coupler": say("coupler for two dogs"),
    "plaited-handle": say("with a plaited handle"),
}
"""What the makes of a lead are called."""
LEAD_MIN, LEAD_MAX = 300.0, 15_000.0
"""Shortest and longest lead [mm] that is read: a tab for traffic to a tracking line. From memory."""


class Lead(Wish):
    """A lead, `length` from its snap's tip to its handle's end, taut; of a slip lead from its ring's end.

    `neck` is where the stop of a slip lead is set so that the noose closes no tighter [mm]; None for a stop
    that slides. Nothing else has a use for it.
    """

    kind: Literal["lead"] = "lead"
    length: Annotated[float, Field(ge=LEAD_MIN, le=LEAD_MAX)] = 1524.0
    make: Make = "plain"
    width: Annotated[float, Field(ge=7, le=81)] = 19.05
    neck: Annotated[float, Field(ge=NECK_MIN, le=NECK_MAX)] | None = None
