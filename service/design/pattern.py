"""The result of the engine: parts with outlines and marks, hardware, fit and findings, as frozen values.

Axes: x [mm] runs along a blank from its buckle end, y [mm] across it, 0 on the centre line, up.
"""

from dataclasses import dataclass
from operator import attrgetter
from typing import Literal, NamedTuple

from service.design.spec import Border, Collar, Lacing, Wish
from service.errors import Suggestion
from service.geometry import Point, Swell
from service.language import mark, tr
from service.saying import Message
from service.workshop import (
    Buckle,
    Dye,
    Fastener,
    Finish,
    Hardware,
    Leather,
    LetterStamps,
    Lining,
    Plate,
    Ring,
    Stud,
    Thread,
)

MarkKind = Literal[
    "rivet-hole",
    "size-hole",
    "slot",
    "fold",
    "ring",
    "ring-tab",
    "stud",
    "lettering",
    "keeper",
    "lap",
    "groove",
    "border",
    "slit",
    "plate",
    "engraving",
    "width",
    "code",
    "lacing",
    "stitch",
]
Cut = Literal["leather", "lining", "padding"]
"""What a part is cut from."""
RIGHT_END = mark("Right end")
"""What the end is called that distances are told towards, where it has no name of its own."""
Severity = Literal["question", "warning", "advice", "note"]
"""A question may change the order; a warning averts harm; advice makes it better; a note tells the rest."""


class Mark(NamedTuple):
    """Something to do at a place on a part: its kind, its centre x, y [mm] and the sizes [mm] that apply.

    A lap's x is the line to which the part's other end comes, its `length` how far they lie on each other.
    A size hole has its `number` and whether it is the `target`; `name` tells marks of one kind apart. A
    border is `count` stamps side by side, `length` in all and `height` across. A line that isn't straight
    goes through the points of `line`.
    """

    kind: MarkKind
    x: float
    y: float = 0.0
    diameter: float | None = None
    length: float | None = None
    width: float | None = None
    height: float | None = None
    text: str | None = None
    name: str = ""
    number: int | None = None
    target: bool = False
    count: int | None = None  # type: ignore[assignment]  # hides a tuple's own
    line: tuple[Point, ...] = ()


@dataclass(frozen=True, slots=True)
class Part:
    """A piece to cut: closed outline [mm], length, width and thickness [mm], its marks, and of what it is."""

    name: str
    title: str
    quantity: int
    length: float
    width: float
    thickness: float
    outline: tuple[Point, ...]
    marks: tuple[Mark, ...]
    of: Cut = "leather"


class HoleFit(NamedTuple):
    """How the collar fits on one size hole; holes are numbered from the buckle, so 1 is the tightest.

    `flat` is fold to hole, `inside_girth` what the neck gets, `ease` that less the neck, `tail` what
    reaches past the bar, all [mm]; `fingers` is the ease in fingers; `ring_offset_deg` how far the ring
    leaves the nape.
    """

    number: int
    flat: float
    inside_girth: float
    ease: float
    fingers: float
    tail: float
    ring_offset_deg: float
    target: bool


@dataclass(frozen=True, slots=True)
class Fit:
    """The fit on the target hole, the neck it is judged against and the uncertainty (k = 2), all [mm]."""

    flat: float
    inside_girth: float
    ease: float
    fingers: float
    neck: float
    uncertainty: float
    holes: tuple[HoleFit, ...]


class HardwareLine(NamedTuple):
    """A line of the hardware list: what, how many, where it goes."""

    kind: Literal["buckle", "ring", "o-ring", "snap", "rivet", "screw-post", "stud", "plate"]
    code: str
    name: str
    finish: str
    quantity: int
    place: str


class Joint(NamedTuple):
    """Plies that are held together: at which `stations` from the buckle end, how thick a stack, all [mm].

    `fastener` holds it, `quantity` of them, `proud` of the stack before they are set, where that is known;
    `skive_to` is the stack to skive to when it is over, or may be over, what the fastener closes. A joint
    without a fastener says in `closing` how it is closed.
    """

    name: str
    place: str
    stations: tuple[float, ...]
    plies: int
    stack: float
    fastener: Fastener | None
    quantity: int = 0
    proud: float | None = None
    skive_to: float | None = None
    closing: str = ""

    @property
    def closes(self) -> bool:
        """Whether the stack is in the fastener's grip range; what has no fastener always closes."""
        row = self.fastener
        return row is None or row.grip_min <= self.stack <= row.grip_max


class Finding(NamedTuple):
    """Something a careful saddler would say about the design, with where the rule comes from."""

    code: str
    severity: Severity
    text: Message
    source: str
    field: str | None = None
    suggestions: tuple[Suggestion, ...] = ()


@dataclass(frozen=True, slots=True)
class Plated:
    """A plate with what it is riveted on by."""

    plate: Plate
    fastener: Fastener


@dataclass(frozen=True, slots=True, kw_only=True)
class Fittings:
    """The catalogue rows that a design of any kind uses."""

    leather: Leather
    finish: Finish
    stud: Stud | None = None
    stamps: LetterStamps | None = None
    plates: tuple[Plated, ...] = ()
    dye: Dye | None = None
    lining: Lining | None = None
    thread: Thread | None = None

    @property
    def thickness(self) -> float:
        """How thick the strap is with its lining [mm]; padding lies between and ends before the holes."""
        return self.leather.thickness + (0.0 if self.lining is None else self.lining.thickness)

    @property
    def colour(self) -> str:
        """The colour of the finished strap, #7a3b1d: its dye's, or that in which the leather comes."""
        return self.leather.colour if self.dye is None else self.dye.colour

    @property
    def hardware(self) -> dict[tuple[str, str], Hardware]:
        """The rows of the hardware by what a line of the hardware list calls them: kind and code."""
        rows: dict[tuple[str, str], Hardware] = {}
        if self.stud is not None:
            rows["stud", self.stud.code] = self.stud
        for one in self.plates:
            rows["plate", one.plate.code] = one.plate
            rows[one.fastener.kind, one.fastener.code] = one.fastener
        return rows


@dataclass(frozen=True, slots=True, kw_only=True)
class CollarFittings(Fittings):
    """The catalogue rows that a buckle collar uses."""

    buckle: Buckle
    ring: Ring
    fold_fastener: Fastener
    tab_fastener: Fastener

    @property
    def hardware(self) -> dict[tuple[str, str], Hardware]:
        """The rows of the hardware by what a line of the hardware list calls them: kind and code."""
        return {
            ("buckle", self.buckle.code): self.buckle,
            ("ring", self.ring.code): self.ring,
            (self.fold_fastener.kind, self.fold_fastener.code): self.fold_fastener,
            (self.tab_fastener.kind, self.tab_fastener.code): self.tab_fastener,
            **super(CollarFittings, self).hardware,
        }


@dataclass(frozen=True, slots=True)
class Layout:
    """Where everything lies along the strap blank, x from the buckle end [mm].

    `rivets` are the four fold rivet holes; `holes` are numbered from the buckle (the first is the tightest)
    and `target` is the x of the second; `tip` is last hole to tip; `tail` the longest tail past the bar;
    `tab_half` is what is kept clear for the ring's tab on either side of it, `tab_reach` ring to its first
    rivet, `tab_rivets` where both are and `tab_span` from where to where it lies; `keeper` the middle
    of the fixed keeper or None; `grooves` how far in the edge grooves run, `border` which stamp is struck
    along them, `lacing` how they are laced, `margin` how far all other decoration keeps from the edges;
    `swell` where it widens, if it does: `width` is that of its ends; `lined` is where a lining begins and
    `padded` from where to where it is padded, None without; `frame` how far the buckle's frame reaches from
    its bar over the strap that comes in.
    """

    length: float
    width: float
    thickness: float
    rivets: tuple[float, float, float, float]
    fold: float
    slot_length: float
    slot_width: float
    ring: float
    tab_half: float
    tab_reach: float
    tab_rivets: tuple[float, ...]
    tab_span: tuple[float, float]
    holes: tuple[float, ...]
    hole_diameter: float
    pitch: float
    target: float
    tip: float
    taper: float
    tail: float
    keeper: float | None
    grooves: tuple[float, ...]
    border: Border
    lacing: Lacing
    margin: float
    swell: Swell | None = None
    lined: float | None = None
    padded: tuple[float, float] | None = None
    frame: float = 0.0


@dataclass(frozen=True, slots=True)
class Station:
    """A distance from the buckle end [mm] that the maker marks, with what it is."""

    name: str
    x: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Pattern:
    """Everything that follows from one wish in one workshop, whatever is made; a kind adds its own."""

    spec: Wish
    fittings: Fittings
    parts: tuple[Part, ...]
    hardware: tuple[HardwareLine, ...]
    joints: tuple[Joint, ...]
    findings: tuple[Finding, ...]

    @property
    def ends(self) -> tuple[str, str]:
        """What the strap's ends are called, the one that distances are told from first."""
        return mark("Left end"), RIGHT_END

    @property
    def strap(self) -> Part:
        """The main strap."""
        return self.parts[0]

    @property
    def stations(self) -> tuple[Station, ...]:
        """Every distance from the buckle end that the maker marks on the strap, nearest first."""
        return self.stations_on(self.strap)

    def stations_on(self, part: Part) -> tuple[Station, ...]:
        """Every distance that the maker marks on a part, its end among them; none where nothing is on it."""
        rows = [station for one in part.marks for station in _stations(one)]
        if rows or part is self.strap:
            rows.append(Station(tr(self.ends[1] if part is self.strap else RIGHT_END), part.length))
        # What stands above and below the centre line at one distance is marked once.
        return tuple(sorted(dict.fromkeys(rows), key=attrgetter("x")))


@dataclass(frozen=True, slots=True, kw_only=True)
class CollarPattern(Pattern):
    """A buckle collar's pattern: where everything lies along its strap, and how it fits."""

    spec: Collar
    fittings: CollarFittings
    layout: Layout
    fit: Fit

    @property
    def ends(self) -> tuple[str, str]:
        """What the strap's ends are called, the one that distances are told from first."""
        return mark("Buckle end"), mark("Tip")


AT: dict[MarkKind, str] = {
    "rivet-hole": mark("Rivet"),
    "fold": mark("Fold"),
    "ring": mark("Ring"),
    "keeper": mark("Keeper"),
    "stud": mark("Stud"),
    "width": "",
    "lap": mark("Lap to this line"),
}
"""What is at the one place of a mark that has no name of its own; marks of other kinds have more, or none."""
FROM_TO: dict[MarkKind, tuple[str, str]] = {
    "slot": (mark("Slot begins"), mark("Slot ends")),
    "lettering": (mark("Lettering begins"), mark("Lettering ends")),
    "border": (mark("Border begins"), mark("Border ends")),
    "lacing": (mark("Lacing begins"), mark("Lacing ends")),
    "stitch": (mark("Seam begins"), mark("Seam ends")),
    "slit": (mark("Slits begin"), mark("Slits end")),
}
"""What begins and ends where a long mark does."""


def _stations(one: Mark) -> tuple[Station, ...]:
    if one.number is not None:
        text = tr("Hole {number}, target", number=one.number)
        return (Station(text if one.target else tr("Hole {number}", number=one.number), one.x),)
    if one.kind in FROM_TO and one.length is not None:
        begins, ends = FROM_TO[one.kind]
        return Station(tr(begins), one.x - one.length / 2), Station(tr(ends), one.x + one.length / 2)
    if one.kind in AT:
        name = (
            AT[one.kind] if one.kind == "lap" else one.name or AT[one.kind]
        )  # a lap's name is how it is held
        return (Station(tr(name), one.x),)
    return ()
