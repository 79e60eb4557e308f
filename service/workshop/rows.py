"""Rows of a workshop's catalogue: lengths in mm, times in minutes, money in the workshop's currency."""

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from decimal import Decimal
from functools import cache, cached_property
from typing import Annotated, Any, Literal, Self
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from phonenumbers import SUPPORTED_REGIONS
from pydantic import BaseModel, ConfigDict, Field, model_validator

from service.language import tr

Style = Literal["centre-bar", "heel-bar"]
Fastening = Literal["rivet", "screw-post"]
TimePer = Literal[
    "collar",
    "part",
    "dyed part",
    "hole",
    "fastener",
    "stud",
    "plate",
    "letter",
    "painted letter",
    "border stamp",
    "lace hole",
    "metre of lace",
    "metre of edge",
    "metre of further groove",
    "stitch",
]
Colouring = Literal["dyed", "undyed"]

Code = Annotated[str, Field(pattern=r"^[a-z0-9][a-z0-9-]{0,39}$")]
Name = Annotated[str, Field(min_length=1, max_length=60)]
Colour = Annotated[str, Field(pattern=r"^#[0-9a-f]{6}$")]
Wire = Annotated[float, Field(gt=0, le=12)]
StrapLength = Annotated[float, Field(ge=600, le=5_000)]
StrapWidth = Annotated[float, Field(ge=8, le=80)]
Size = Annotated[float, Field(gt=0, le=50)]
Reach = Annotated[float, Field(gt=0, le=250)]
Character = Annotated[str, Field(min_length=1, max_length=1)]
Advance = Annotated[float, Field(gt=0, le=5)]
# Wide enough for currencies whose coin is a hundred-thousandth of a dollar; narrow enough that the dearest
# collar of the slowest workshop has fewer figures than decimals are reckoned with.
Money = Annotated[Decimal, Field(ge=0, le=100_000_000, decimal_places=6)]
Share = Annotated[Decimal, Field(ge=0, le=Decimal("0.95"), decimal_places=6)]
HolesShare = Annotated[Decimal, Field(gt=0, le=1, decimal_places=6)]
Minutes = Annotated[Decimal, Field(ge=0, le=600, decimal_places=6)]
Hours = Annotated[Decimal, Field(ge=1, le=800, decimal_places=2)]
Grams = Annotated[float, Field(gt=0, le=5_000)]
Newtons = Annotated[float, Field(gt=0, le=100_000)]
Millilitres = Annotated[float, Field(gt=0, le=10_000)]
SquareMetres = Annotated[float, Field(gt=0, le=500)]
Stress = Annotated[float, Field(gt=0, le=2_000)]
Tex = Annotated[float, Field(ge=10, le=1_000)]
Stitch = Annotated[float, Field(ge=2, le=12)]
Note = Annotated[str, Field(max_length=120)]
Language = Annotated[str, Field(pattern=r"^[a-z]{2}$")]


class Row(BaseModel):
    """A frozen row that refuses columns it does not know."""

    model_config = ConfigDict(frozen=True, extra="forbid")


class Leather(Row):
    """A leather the workshop cuts straps from; thickness [mm], price per square metre.

    An undyed one takes the workshop's dyes. `longest` [mm] is the longest strap that can be cut from it: 7 to
    8 ft from a side, about 24 in from a shoulder (common practice). `strength_n_mm2` [N/mm²] is what it bears
    in tension, where the supplier states it or the maker tested it.
    `supplier` is the maker's own note, here and in the rows below: from whom it comes, its number there.
    """

    code: Code
    name: Name
    colour: Colour
    colouring: Colouring = "dyed"
    thickness: Annotated[float, Field(ge=1.2, le=6)]
    price_per_m2: Money
    longest: StrapLength = 2133.6
    strength_n_mm2: Stress | None = None
    supplier: Note = ""


class Dye(Row):
    """A leather dye by the bottle, in the colour it dries to on undyed leather; price of a bottle.

    A bottle holds `bottle_ml` [ml] and covers `covers_m2` [m²] in one coat, as its label says or as the maker
    found.
    """

    code: Code
    name: Name
    colour: Colour
    bottle_ml: Millilitres
    covers_m2: SquareMetres
    price: Money
    supplier: Note = ""


class Lining(Row):
    """What a strap is lined with: its thickness [mm], price per square metre with its padding.

    A padded one has `padding` between it and the strap, so thick [mm] as it is once worn, none at 0.
    """

    code: Code
    name: Name
    colour: Colour
    thickness: Annotated[float, Field(ge=0.4, le=4)]
    padding: Annotated[float, Field(ge=0, le=8)] = 0.0
    price_per_m2: Money
    supplier: Note = ""


class Thread(Row):
    """A thread to stitch with, by its size in `tex` [g/km]; a `stitch` is made so long with it [mm].

    `price_per_m` is that of a metre. `strength_n` [N] is what it breaks at, where the supplier states it.
    """

    code: Code
    name: Name
    colour: Colour
    tex: Tex
    stitch: Stitch = 4.0
    price_per_m: Money
    strength_n: Newtons | None = None
    supplier: Note = ""


class Finish(Row):
    """A metal finish, with the colour it is drawn in."""

    code: Code
    name: Name
    colour: Colour


class Buckle(Row):
    """A buckle for a strap of `width` [mm]; `bar` and `prong` are wire diameters [mm].

    `take_up` [mm] is what the maker measured on a finished collar: the girth the buckle itself uses up.
    `rated_load_n` [N] is what the supplier states for the part alone, where they state it.
    """

    code: Code
    name: Name
    style: Style
    width: StrapWidth
    finish: Code
    bar: Wire
    prong: Wire
    take_up: Annotated[float, Field(ge=0, le=30)] | None = None
    price: Money
    mass_g: Grams | None = None
    rated_load_n: Newtons | None = None
    supplier: Note = ""


class Ring(Row):
    """A D-ring whose straight side takes a strap of `width` [mm]; `wire` is its diameter [mm].

    `rated_load_n` [N] is what the supplier states for the part alone, where they state it.
    """

    code: Code
    name: Name
    width: StrapWidth
    finish: Code
    wire: Wire
    price: Money
    mass_g: Grams | None = None
    rated_load_n: Newtons | None = None
    supplier: Note = ""


class ORing(Row):
    """A round ring, `inside` [mm] across its opening; `wire` is its diameter [mm].

    `rated_load_n` [N] is what the supplier states for the part alone, where they state it.
    """

    code: Code
    name: Name
    finish: Code
    inside: Reach
    wire: Wire
    price: Money
    mass_g: Grams | None = None
    rated_load_n: Newtons | None = None
    supplier: Note = ""


class Snap(Row):
    """A snap for a lead: its swivel eye takes a strap of `width` [mm], `bar` is the eye's wire diameter [mm].

    `length` [mm] is from the eye's far side, on which the strap pulls, to the tip. `rated_load_n` [N] is the
    figure at which it breaks by its supplier, where they state one.
    """

    code: Code
    name: Name
    width: StrapWidth
    finish: Code
    bar: Wire
    length: Reach
    price: Money
    mass_g: Grams | None = None
    rated_load_n: Newtons | None = None
    supplier: Note = ""


class Fastener(Row):
    """A rivet or a screw post: cap and hole diameters [mm], and the stack [mm] it closes well.

    `post` is the length [mm] of a rivet's post before it is set, where the maker measured it. `rated_load_n`
    [N] is what the supplier states for one, or the maker found in a test of it set in leather.
    """

    code: Code
    name: Name
    kind: Fastening
    finish: Code
    cap: Size
    hole: Size
    grip_min: Size
    grip_max: Size
    post: Size | None = None
    price: Money
    mass_g: Grams | None = None
    rated_load_n: Newtons | None = None
    supplier: Note = ""

    @model_validator(mode="after")
    def _closes_something(self) -> Self:
        if self.grip_min > self.grip_max:
            raise ValueError(tr("grip_min is larger than grip_max: no stack fits between them"))
        if self.post is not None and self.kind != "rivet":
            raise ValueError(tr("post is a rivet's: a screw post isn't hammered, so leave it out"))
        if self.post is not None and self.post <= self.grip_max:
            raise ValueError(tr("post is no longer than grip_max: nothing stands proud to be set"))
        return self


class Stud(Row):
    """A decorative stud (spot) of this diameter [mm]."""

    code: Code
    name: Name
    finish: Code
    diameter: Size
    price: Money
    mass_g: Grams | None = None
    supplier: Note = ""


class Plate(Row):
    """A metal plate to engrave, riveted on: length and width, `gauge` its thickness, all [mm].

    `hole_distance` [mm] is from the middle of one rivet hole to that of the other, one at each end.
    """

    code: Code
    name: Name
    finish: Code
    length: Reach
    width: StrapWidth
    hole_distance: Reach
    gauge: Wire = 1.0
    price: Money
    mass_g: Grams | None = None
    supplier: Note = ""

    @model_validator(mode="after")
    def _holds_its_holes(self) -> Self:
        if self.hole_distance >= self.length:
            raise ValueError(tr("hole_distance is no less than length: the holes lie off the plate"))
        return self


Hardware = Buckle | Ring | ORing | Snap | Fastener | Stud | Plate
"""A row that stands for one piece of metal."""


class LetterStamps(Row):
    """A set of letter stamps: height of a capital [mm] and the gap left between two stamps [mm].

    `advances` gives each stamp's width as a share of the height; a character without one is a stamp the
    workshop does not own.
    """

    code: Code
    name: Name
    height: Annotated[float, Field(ge=3, le=25)]
    gap: Annotated[float, Field(ge=0, le=10)]
    advances: dict[Character, Advance]


class TimeStandard(Row):
    """One step at the bench: basic time [min] at a rating of 100, and what it is counted by."""

    step: Name
    basic: Minutes
    per: TimePer


class Consumable(Row):
    """Something used up on collars: thread, paint, finish, cement; its price for what it is counted by."""

    name: Name
    price: Money
    per: TimePer = "collar"


class Rates(Row):
    """What the workshop charges by. Shares are fractions: 0.35 is 35 %.

    `rest` and `contingency` are allowances on basic time; `waste` is the share of leather bought that never
    becomes a part; `margin` is the share of the price that is not cost; `tax` is added to the price.
    """

    currency: Annotated[str, Field(pattern=r"^[A-Z]{3}$")]
    minor_digits: Annotated[int, Field(ge=0, le=4)] = 2
    labour_per_hour: Money
    rest: Share
    contingency: Share
    overhead_per_month: Money
    productive_hours_per_month: Hours
    waste: Share
    margin: Share
    tax: Share
    tax_name: Name


class Assumptions(Row):
    """What estimates of strength are made from where nothing better is known; a workshop sets its own.

    `leather_n_mm2` [N/mm²] is what leather bears: the trade asks for 15 of cattle leather above 1.25 mm, and
    8 to 25 are published. `holes_low`, `holes_high` are what a row of holes leaves of a solid strap: in old
    belting 200 lbf per inch through lace holes, of 3/16 in at 3000 to 5000 psi. `metal_n_mm2` [N/mm²] is
    where wire of an unknown metal begins to bend for good: soft brass, from memory. `lead_n_m` [N/m] is a
    lead's stiffness: 19 by 3.5 mm, 1.3 m long, at 100 N/mm², from memory. `speed_m_s` [m/s] is how fast a
    dog comes to the lead's end, `pull_n` [N] how hard it goes on pulling then: from memory.
    """

    leather_n_mm2: Stress = 15.0
    holes_low: HolesShare = Decimal("0.21")
    holes_high: HolesShare = Decimal("0.36")
    metal_n_mm2: Stress = 120.0
    lead_n_m: Annotated[float, Field(gt=0, le=1_000_000)] = 5000.0
    speed_m_s: Annotated[float, Field(ge=0, le=20)] = 4.0
    pull_n: Annotated[float, Field(ge=0, le=5_000)] = 0.0

    @model_validator(mode="after")
    def _from_low_to_high(self) -> Self:
        if self.holes_low > self.holes_high:
            raise ValueError(tr("holes_low is larger than holes_high: the least is more than the most"))
        return self


def _hashable(value: object) -> object:
    if isinstance(value, Row):
        return tuple(_hashable(getattr(value, name)) for name in type(value).model_fields)
    if isinstance(value, tuple):
        return tuple(map(_hashable, value))
    return frozenset(value.items()) if isinstance(value, dict) else value


class Workshop(Row):
    """Everything a workshop's designs and prices are made from.

    A new workshop has no rows yet. `languages` [ISO 639-1] are those its pages are offered in, its own first;
    `zone` is the time zone of its clock (IANA, "Europe/London"); left empty, that of its country.
    """

    name: Name
    region: Annotated[str, Field(pattern=r"^[A-Z]{2}$")]
    units: Literal["in", "cm"]
    zone: Annotated[str, Field(max_length=60)] = ""
    languages: Annotated[tuple[Language, ...], Field(min_length=1, max_length=8)] = ("en",)
    leathers: tuple[Leather, ...] = ()
    dyes: tuple[Dye, ...] = ()
    linings: tuple[Lining, ...] = ()
    threads: tuple[Thread, ...] = ()
    finishes: tuple[Finish, ...] = ()
    buckles: tuple[Buckle, ...] = ()
    rings: tuple[Ring, ...] = ()
    o_rings: tuple[ORing, ...] = ()
    snaps: tuple[Snap, ...] = ()
    fasteners: tuple[Fastener, ...] = ()
    studs: tuple[Stud, ...] = ()
    plates: tuple[Plate, ...] = ()
    stamps: tuple[LetterStamps, ...] = ()
    times: Annotated[tuple[TimeStandard, ...], Field(max_length=100)] = ()
    consumables: Annotated[tuple[Consumable, ...], Field(max_length=100)] = ()
    rates: Rates
    assumptions: Assumptions = Assumptions()

    def __hash__(self) -> int:
        return self._content

    @cached_property
    def _content(self) -> int:
        # Reckoned once: each design looks its hardware up by the workshop, and versions of a catalogue
        # that differ in a row have to be told apart without comparing every row.
        return hash(_hashable(self))

    def model_copy(self, *, update: Mapping[str, Any] | None = None, deep: bool = False) -> Self:
        """Return a copy with some columns changed; its hash is its own."""
        made = super().model_copy(update=update, deep=deep)
        made.__dict__.pop("_content", None)
        return made

    @model_validator(mode="after")
    def _rows_agree(self) -> Self:
        faults = [*self._twice(), *self._without_finish()]
        if self.region not in SUPPORTED_REGIONS:
            said = tr("{code} is no country's two letters (ISO 3166), such as GB or US", code=self.region)
            faults.append(f"region: {said}")
        if self.zone and not _is_zone(self.zone):
            said = tr("{zone} is no time zone (IANA), such as Europe/London", zone=self.zone)
            faults.append(f"zone: {said}")
        if faults:
            raise ValueError("; ".join(faults))
        return self

    def _twice(self) -> Iterator[str]:
        tables: dict[str, Iterable[Leather | Dye | Lining | Thread | Finish | Hardware | LetterStamps]] = {
            "leathers": self.leathers,
            "dyes": self.dyes,
            "linings": self.linings,
            "threads": self.threads,
            "finishes": self.finishes,
            "buckles": self.buckles,
            "rings": self.rings,
            "o_rings": self.o_rings,
            "snaps": self.snaps,
            "fasteners": self.fasteners,
            "studs": self.studs,
            "plates": self.plates,
            "stamps": self.stamps,
        }
        for table, rows in tables.items():
            for code, times in Counter(row.code for row in rows).items():
                if times > 1:
                    said = tr("the code {code} is used {count} times", code=code, count=times)
                    yield f"{table}: {said}"

    def _without_finish(self) -> Iterator[str]:
        known = {row.code for row in self.finishes}
        rows: Iterable[Hardware]
        rows = (
            *self.buckles,
            *self.rings,
            *self.o_rings,
            *self.snaps,
            *self.fasteners,
            *self.studs,
            *self.plates,
        )
        for row in rows:
            if row.finish not in known:
                among = tr(
                    "there is no finish {finish} among {known}",
                    finish=row.finish,
                    known=", ".join(sorted(known)),
                )
                none = tr("there is no finish {finish}: no finish is known yet", finish=row.finish)
                yield f"{row.code}: {among if known else none}"


@cache
def _is_zone(name: str) -> bool:
    try:
        ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        return False
    return True
