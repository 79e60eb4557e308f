"""Where the ring hangs: on a tab of its own, opposite the buckle, or in the fold beside the buckle."""

from service.design.pattern import CollarFittings, Layout, Mark
from service.design.spec import Buckled, Collar
from service.errors import DoesNotFit, Suggestion
from service.language import mark
from service.saying import Exact, Message, say

TAB_SLOPE = 2.0
"""Run [mm] between a ring's bar and a rivet cap in which the leather comes down. From memory."""
NAMES: dict[str, Message] = {
    "tab": say("on its tab, opposite the buckle"),
    "folded-tab": say("on a folded tab, opposite the buckle"),
    "fold": say("in the fold beside the buckle"),
}
ON_TAB = Suggestion("ring_at", "tab", NAMES["tab"])


def in_fold(spec: Buckled) -> bool:
    """Tell whether the ring hangs in the fold, between the two rivets of each leg, and has no tab.

    Source: common practice: the tail goes under it, as through a keeper. Worked: not unless it is asked for.
    """
    return spec.ring_at == "fold"


def guard_fold(spec: Collar, fittings: CollarFittings, pitch: float) -> None:
    """Raise DoesNotFit when a ring has no room between the fold's rivets, `pitch` apart [mm].

    Both legs part round the bar, alike, so that their holes still meet; they come together before the caps.
    Source: derived. Worked: wire 4, cap 8: 2 + 4 + 2 mm of 12.7 mm.
    """
    if not in_fold(spec):
        return
    if spec.style == "heel-bar":
        message = say("A heel-bar buckle's keeper sits in the fold where the ring would hang.")
        ways = Suggestion("style", "centre-bar", say("a centre-bar buckle")), ON_TAB
        raise DoesNotFit(field="ring_at", message=message, would_work=ways)
    needed = fittings.ring.wire / 2 + fittings.fold_fastener.cap / 2 + TAB_SLOPE
    if needed > pitch / 2:
        message = say(
            "The ring's wire and the rivets' caps leave no room for it in the fold: {needed} of {room}.",
            needed=Exact(needed),
            room=Exact(pitch / 2),
        )
        raise DoesNotFit(field="ring_at", message=message, would_work=(ON_TAB,))


def ring_x(spec: Collar, fold: float, flat: float, between: float) -> float:
    """Return where the ring hangs [mm from the buckle end]: fold to target hole is `flat` [mm].

    In the fold it is `between` the rivets [mm from the cut end], on the outer leg. Source: common practice.
    Worked: fold 63.5, flat 482.6: 304.8 mm; in the fold, 25.4 mm from the cut end: 101.6 mm.
    """
    return 2 * fold - between if in_fold(spec) else fold + flat / 2


def ring_marks(layout: Layout, hole: float) -> tuple[Mark, ...]:
    """Return the marks of the ring and of its tab's rivets, whose holes are so wide [mm], if it has a tab.

    Source: common practice. Worked: in the fold: the ring alone.
    """
    ring = Mark("ring", layout.ring, width=layout.width)
    if not layout.tab_rivets:
        return (ring,)
    start, end = layout.tab_span
    rivets = (Mark("rivet-hole", x, diameter=hole, name=mark("Ring tab, rivet")) for x in layout.tab_rivets)
    tab = Mark("ring-tab", (start + end) / 2, length=end - start, width=layout.width)
    return (tab, *sorted((*rivets, ring), key=lambda one: one.x))
