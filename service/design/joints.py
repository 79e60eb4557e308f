"""Joints: where plies are held together, what holds them, and whether it can."""

from collections.abc import Iterable, Iterator, Sequence
from functools import reduce

from service.design.hardware import FASTENERS, PLIES, grips_of, ranges_in_words
from service.design.pattern import CollarFittings, Finding, Fittings, Joint, Layout
from service.language import decimals, mark, tr, within
from service.saying import Exact, Message, named, say
from service.units import IN, show_mm
from service.workshop import Fastener, Workshop

PROUD_MIN, PROUD_MAX = 1.6, 3.2
"""A rivet's post stands this far [mm] proud of the stack before it is set. Common practice."""
THICKER = IN / 128
"""A ply may be thicker [mm] than its leather is sold as: half an ounce, leather being sold in ranges an ounce
wide, as 7 to 8 oz. Common practice."""
KEEPER_CLOSING = mark("sewn, or glued and riveted")
"""How the lap of a keeper is closed. Common practice."""


def joints_of(
    layout: Layout, fittings: CollarFittings, tab_plies: int = PLIES, *, sliding: bool = False
) -> tuple[Joint, ...]:
    """Return every joint of a collar in the order of the strap, stacks and stations in mm.

    Source: common practice: two rivets hold the folded leg, two the ring tab; a keeper's ends are lapped, and
    one that slides has no station. A lining is a third ply of the fold.
    Worked: 3 mm leather: two plies, 6 mm, at each of them; on a strap 25.4 mm wide the outer rivet of the
    fold goes through the holes at 12.7 and 114.3 mm.
    """
    outer, inner, inner_back, outer_back = layout.rivets
    stack = PLIES * layout.thickness
    # The folded leg lies on the lining; the ring tab is riveted on before the lining covers it.
    plies, folded = PLIES + (fittings.lining is not None), layout.thickness + fittings.thickness
    row = fittings.fold_fastener
    joints = (
        held(mark("Fold, outer"), mark("fold"), (outer, outer_back), folded, row, plies=plies),
        held(mark("Fold, inner"), mark("fold"), (inner, inner_back), folded, row, plies=plies),
    )
    tabs: tuple[Joint, ...] = ()
    if layout.tab_rivets:
        plies, tabbed = tab_plies, tab_plies * layout.thickness
        row, where = fittings.tab_fastener, layout.tab_rivets
        tabs = (held(mark("Ring tab"), mark("ring tab"), where, tabbed, row, 2, plies),)
    fixed = () if layout.keeper is None else (_lapped(mark("Keeper lap"), (layout.keeper,), stack),)
    return *joints, *tabs, *fixed, *((_lapped(mark("Sliding keeper lap"), (), stack),) if sliding else ())


def _lapped(name: str, stations: tuple[float, ...], stack: float) -> Joint:
    return Joint(name, mark("keeper"), stations, PLIES, stack, None, closing=KEEPER_CLOSING)


def held(
    name: str,
    place: str,
    stations: tuple[float, ...],
    stack: float,
    row: Fastener,
    quantity: int = 1,
    plies: int = PLIES,
) -> Joint:
    """Return a joint that fasteners hold, with how proud they stand and what to skive it to, all in mm.

    Source: common practice. Worked: 6 mm, a post of 8.2 mm: 2.2 mm proud.
    """
    return Joint(
        name, place, stations, plies, stack, row, quantity, proud(row, stack), skive_to(row, plies, stack)
    )


def proud(row: Fastener, stack: float) -> float | None:
    """Return how far [mm] a rivet's post stands proud of a stack [mm], or None when its post isn't known.

    Source: derived. Worked: a post of 8.2 mm through 6 mm stands 2.2 mm proud.
    """
    return None if row.post is None else row.post - stack


def skive_to(row: Fastener, plies: int, stack: float) -> float | None:
    """Return the stack [mm] to skive to, or None when the fastener closes it even if the leather runs thick.

    Source: common practice: leather is sold in ranges an ounce (1/64 in) wide. Worked: grip to 6.6 mm, two
    plies of 3 mm: 6.4 mm at the most, so None; of 3.2 mm: 6.8 mm at the most, so 6.6 mm.
    """
    return row.grip_max if stack + plies * THICKER > row.grip_max else None


def grip_finding(joints: Sequence[Joint], fittings: Fittings, workshop: Workshop) -> Finding | None:
    """Return a warning of the joints whose stack [mm] no fastener of the workshop closes, or None.

    It names the joints, their plies and stack, what the workshop's fasteners of this finish close, and the
    cure for the nearest of them. Source: common practice. Worked: two plies, 8 mm in all, grip 5.2 to
    6.8 mm: skive to 6.8 mm in all, 3.4 mm a ply.
    """
    faulty = [(joint, joint.fastener) for joint in joints if joint.fastener and not joint.closes]
    if not faulty:
        return None
    joint, row = faulty[0]
    text = say(
        "At the {places} {plies} plies make {stack}, and the workshop's {fasteners} in {metal} close"
        " {closed}: {cure}.",
        places=_places(joint.place for joint, _ in faulty),
        plies=joint.plies,
        stack=Exact(joint.stack),
        fasteners=FASTENERS[row.kind],
        metal=within(fittings.finish.name),
        closed=ranges_in_words(grips_of(workshop, row.kind, row.finish)),
        cure=_cure(joint, row),
    )
    return Finding("grip", "warning", text, mark("common practice"), "fastening")


def _places(places: Iterable[str]) -> Message:
    named_once = (named(tr(place)) for place in dict.fromkeys(places))
    return reduce(lambda some, more: say("{some} and the {more}", some=some, more=more), named_once)


def _cure(joint: Joint, row: Fastener) -> Message:
    if joint.stack > row.grip_max:
        ply = Exact(row.grip_max / joint.plies)
        return say("skive to {most} in all, {ply} a ply", most=Exact(row.grip_max), ply=ply)
    least = Exact(row.grip_min)
    return say("add a washer or leather to bring it to {least}, or the post leans when set", least=least)


def joint_notes(joints: Sequence[Joint]) -> tuple[str, ...]:
    """Return what to know at the bench of joints, each thing once: how far posts stand proud, what to skive.

    Source: common practice: 1.6 to 3.2 mm proud. Worked: posts of 8.2 mm through 6 mm: "Fold, ring tab:
    2.2 mm proud before setting".
    """
    places: dict[str, dict[str, None]] = {}
    for joint in joints:
        for note in _notes(joint):
            places.setdefault(note, {})[joint.place] = None
    return tuple(
        tr("{places}: {note}", places=_capital(", ".join(map(tr, where))), note=note)
        for note, where in places.items()
    )


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def _notes(joint: Joint) -> Iterator[str]:
    if joint.proud is not None and joint.closes:
        by = show_mm(joint.proud)
        if PROUD_MIN <= round(joint.proud, 1) <= PROUD_MAX:
            yield tr("{length} proud before setting", length=by)
        else:
            least, most = decimals(f"{PROUD_MIN:g}"), decimals(f"{PROUD_MAX:g}")
            yield tr(
                "{length} proud before setting, not {least} to {most}", length=by, least=least, most=most
            )
    if joint.skive_to is not None:
        most = show_mm(joint.skive_to)
        yield (
            tr("skive to {most} if thicker", most=most) if joint.closes else tr("skive to {most}", most=most)
        )
