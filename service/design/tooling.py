"""Border tooling: one stamp struck side by side along both edges, and the room that it takes."""

from dataclasses import dataclass

from service.design.grooves import EDGE_MARGIN, FROM_GROOVE, GROOVE_IN, NAMES, SEVERAL
from service.design.pattern import Finding, Mark
from service.design.spec import Border
from service.design.zones import Ground, even_pitch, mirrored_runs
from service.errors import DoesNotFit, Suggestion
from service.language import mark
from service.saying import Exact, Length, Limit, Message, in_turn, say

FROM_BORDER = 1.0
"""Studs and letters keep this far [mm] from a border. From memory."""
BETWEEN = 2.0
"""Between the borders of both edges this much is left [mm] at the least. From memory."""
FEWEST = 3
"""Fewest stamps side by side that are seen as a border. By eye."""
STRUCK = say(
    "Scribe the line and prick the step before the first blow, on damp leather, and try the stamp on a piece"
    " cut off it."
)
"""How a border is tooled. Common practice."""
FEWER_GROOVES = (
    Suggestion("grooves", "one", NAMES["one"]),
    Suggestion("grooves", "none", NAMES["none"]),
)
NO_BORDER = Suggestion("border", "", say("no border"))
NO_LACING = Suggestion("lacing", "", say("no lacing"))


@dataclass(frozen=True, slots=True)
class Motif:
    """What a stamp leaves: `length` along the edge, `height` across it, its usual `step`, all [mm]."""

    name: Message
    length: float
    height: float
    step: float


MOTIFS: dict[str, Motif] = {
    "dots": Motif(say("dots"), 2.0, 2.0, 3.2),
    "rope": Motif(say("rope"), 3.0, 2.6, 3.1),
    "scallop": Motif(say("scallops"), 4.6, 2.8, 5.0),
    "leaf": Motif(say("leaves"), 6.4, 3.0, 7.2),
}
"""Stamps of our own drawing (their shapes: `drawing/motifs.py`), lowest first. Sizes: by eye."""


def border_edge(insets: tuple[float, ...]) -> float:
    """Return how far in from the edge a border begins [mm], for grooves so far in [mm].

    Source: common practice, 3 mm; 1 mm from a groove, from memory. Worked: a groove 3 mm in: 4 mm.
    """
    return max(EDGE_MARGIN, *(inset + FROM_GROOVE for inset in insets), 0.0)


def border_margin(border: Border, width: float, insets: tuple[float, ...]) -> float:
    """Return how far all else keeps from the strap's edges [mm] where a border runs along them.

    Source: derived. Worked: rope, 2.6 mm high, beside a groove 3 mm in: 4 + 2.6 + 1 = 7.6 mm. Raises
    DoesNotFit when both borders leave less than 2 mm of a strap of this width [mm] between them.
    """
    inner = border_edge(insets) + MOTIFS[border].height
    if width - 2 * inner >= BETWEEN:
        return inner + FROM_BORDER
    # On a wider strap the grooves come no further in than this.
    grown = max(0.0, GROOVE_IN - insets[0]) if insets else 0.0
    message = say(
        "A border of {motif} along both edges takes a strap {width} wide, with these grooves.",
        motif=MOTIFS[border].name,
        width=Limit(2 * (inner + grown) + BETWEEN, "least"),
    )
    raise DoesNotFit(field="border", message=message, would_work=past_border(border))


def past_border(border: Border) -> tuple[Suggestion, ...]:
    """Return what would leave more room than a border does: lower ones, fewer grooves, none.

    Source: derived. Worked: of dots: one groove, no groove, no border.
    """
    if not border:
        return ()
    lower = (one for one, motif in MOTIFS.items() if motif.height < MOTIFS[border].height)
    return (
        *(Suggestion("border", one, say("a border of {motif}", motif=MOTIFS[one].name)) for one in lower),
        *FEWER_GROOVES,
        NO_BORDER,
    )


def past_edge(ground: Ground) -> tuple[Suggestion, ...]:
    """Return what would leave more room than what is on the edges does.

    Source: derived. Worked: of a laced strap: no lacing; of one with three grooves: one groove, none.
    """
    if ground.lacing:
        return (NO_LACING,)
    if ground.border:
        return past_border(ground.border)
    return FEWER_GROOVES if len(ground.grooves) >= SEVERAL else ()


def border_marks(ground: Ground) -> tuple[tuple[Mark, ...], tuple[Finding, ...]]:
    """Return the borders of both edges as marks, each a run of stamps, and what was done; none without one.

    Count times step is the length of the run between ring tab and holes; before the ring as many stamps
    stand at the same step as the tail leaves room for, at the same distance from it, if that is three.
    Source: common practice.
    Worked: dots on a 19 in collar 1 in wide: 187.2 mm are 59 stamps at 3.17 mm (58 would stand at 3.23 mm).
    Raises DoesNotFit when there is no room for three stamps.
    """
    if not ground.border:
        return (), ()
    motif = MOTIFS[ground.border]
    main = ground.main
    if main.length < FEWEST * motif.length:
        message = say(
            "There is no clear run long enough for a border: {room}.",
            room=Length(main.length),
        )
        raise DoesNotFit(field="border", message=message, would_work=past_border(ground.border))
    count, step = even_pitch(main.length, motif.step, motif.length)
    runs = mirrored_runs(ground, count, step, FEWEST)
    y = ground.width / 2 - border_edge(ground.grooves) - motif.height / 2
    marks = tuple(
        Mark(
            "border",
            start + n * step / 2,
            side * y,
            length=n * step,
            height=motif.height,
            name=ground.border,
            count=n,
        )
        for start, n in runs
        for side in (1, -1)
    )
    mirrored = None if ground.opposite is None else sum(n for _, n in runs[1:])
    return marks, (_finding(motif, step, count, mirrored),)


def _finding(motif: Motif, step: float, count: int, mirrored: int | None) -> Finding:
    if mirrored is None:
        run = say(
            "A border of {motif}: {count} stamps along each edge, at {step} from one to the next, so that"
            " it comes out even.",
            motif=motif.name,
            count=count,
            step=Exact(step, 2),
        )
    else:
        run = say(
            "A border of {motif}: {count} stamps along each edge, {mirrored} more opposite, at {step} from"
            " one to the next, so that each run comes out even.",
            motif=motif.name,
            count=count,
            mirrored=mirrored or say("none"),
            step=Exact(step, 2),
        )
    text = in_turn(run, STRUCK)
    return Finding("border-spaced", "note", text, mark("common practice"), "border")
