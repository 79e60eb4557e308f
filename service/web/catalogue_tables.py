"""The tables of the catalogue in words: what each column is called, counted in, and an example of it."""

from collections.abc import Mapping
from operator import itemgetter
from typing import Final

from babel import Locale
from phonenumbers import SUPPORTED_REGIONS

from service.language import mark, spoken, tr
from service.storage import RowKind
from service.web.catalogue_columns import Column, Options, Sheet
from service.web.clock import every_zone, zones_of
from service.web.parameters import ALL
from service.workshop import (
    Assumptions,
    Buckle,
    Consumable,
    Dye,
    Fastener,
    Finish,
    Leather,
    LetterStamps,
    Lining,
    ORing,
    Plate,
    Rates,
    Ring,
    Snap,
    Stud,
    Thread,
    TimePer,
    TimeStandard,
    Workshop,
)

MM, G, N = mark("mm, or with its unit: 1/8 in"), "g", mark("N, or with its unit: kg, lb")
STRESS = "N/mm²"


def _fixed(words: Mapping[str, str]) -> Options:
    return lambda _workshop: tuple((value, tr(label)) for value, label in words.items())


def _finishes(workshop: Workshop) -> tuple[tuple[str, str], ...]:
    return tuple((row.code, row.name) for row in workshop.finishes)


def _regions(_workshop: Workshop) -> tuple[tuple[str, str], ...]:
    names = Locale.parse(spoken().code, sep="-").territories
    known = {code: str(names[code]) for code in SUPPORTED_REGIONS if code in names}
    return tuple(sorted(known.items(), key=itemgetter(1)))


def _zones(workshop: Workshop) -> tuple[tuple[str, str], ...]:
    """The country's own first, then all others."""
    names = sorted(every_zone(), key=lambda name: (name not in zones_of(workshop.region), name))
    return (
        ("", tr("The country's, where it has one")),
        *((name, name.replace("_", " ")) for name in names),
    )


CODE = Column(
    "code",
    mark("Code"),
    "code",
    hint=mark("Stands in addresses and files, and stays. Left empty, it is made from the name."),
)
FINISH = Column("finish", mark("Metal finish"), "choice", options=_finishes)
PRICE = Column("price", mark("Price"), "money", hint=mark("For one piece."), example="2.40")
MASS = Column(
    "mass_g", mark("Mass"), "grams", G, mark("Of one piece. Leave it empty if you don't know."), "35"
)
LOAD = Column(
    "rated_load_n",
    mark("Rated load"),
    "newtons",
    N,
    mark("Only what the supplier states in writing, for this part alone. It says nothing of the whole."),
    "1500",
)
SUPPLIER = Column(
    "supplier", mark("Supplier"), hint=mark("From whom, and its number there. Only the workshop sees it.")
)
WIDTH = Column("width", mark("Strap width"), "width", MM, mark("The widest strap it takes."), "25.4 mm")


COLOUR = Column("colour", mark("Colour"), "colour", hint=mark("How it is drawn."), example="#7a3b1d")


def _named(example: str) -> tuple[Column, Column]:
    return Column("name", mark("Name"), example=example), CODE


PER: dict[TimePer, str] = {
    "collar": mark("the whole piece"),
    "part": mark("each part cut"),
    "dyed part": mark("each part dyed"),
    "hole": mark("each hole"),
    "fastener": mark("each rivet or post"),
    "stud": mark("each stud"),
    "plate": mark("each plate"),
    "letter": mark("each letter"),
    "painted letter": mark("each painted letter"),
    "border stamp": mark("each stamp of a border"),
    "lace hole": mark("each lace hole"),
    "metre of lace": mark("each metre of lace"),
    "metre of edge": mark("each metre of edge"),
    "metre of further groove": mark("each metre of groove beyond the first"),
    "stitch": mark("each stitch"),
}
COUNTED = Column(
    "per", mark("Counted by"), "choice", options=_fixed({str(key): text for key, text in PER.items()})
)
TABLES: Final[Mapping[RowKind, Sheet]] = {
    "leathers": Sheet(
        "leathers",
        mark("Leathers"),
        mark("Add a leather"),
        mark("New leather"),
        Leather,
        (
            *_named(mark("Chestnut bridle")),
            COLOUR,
            Column(
                "colouring",
                mark("As it comes"),
                "choice",
                hint=mark("Undyed leather takes your dyes."),
                options=_fixed({"dyed": mark("Dyed"), "undyed": mark("Undyed")}),
            ),
            Column("thickness", mark("Thickness"), "thickness", mark("mm, or leather ounces: 8 oz"), "", "3"),
            Column(
                "price_per_m2",
                mark("Price of a square metre"),
                "money",
                hint=mark("A square foot's price times 10.764."),
                example="145",
            ),
            Column(
                "longest",
                mark("Longest strap"),
                "width",
                MM,
                mark("7 to 8 ft from a side, about 24 in from a shoulder. Left empty, it is 7 ft."),
                "84 in",
            ),
            Column(
                "strength_n_mm2",
                mark("Strength"),
                "figure",
                STRESS,
                mark(
                    "What the supplier states for it in tension, or a test gave. Left empty, it is assumed."
                ),
                "20",
            ),
            SUPPLIER,
        ),
        mark("The first one is what the page shows before anything is chosen."),
    ),
    "dyes": Sheet(
        "dyes",
        mark("Dyes"),
        mark("Add a dye"),
        mark("New dye"),
        Dye,
        (
            *_named(mark("Bog oak")),
            Column("colour", mark("Colour"), "colour", hint=mark("As it dries on undyed leather.")),
            Column(
                "bottle_ml", mark("Bottle size"), "volume", mark("ml, or with its unit: 4 fl oz"), "", "120"
            ),
            Column(
                "covers_m2",
                mark("Coverage"),
                "area",
                mark("m², or with its unit: 10 sq ft"),
                mark("What one bottle covers in one coat: as its label says, or as you found."),
                "0.9",
            ),
            Column("price", mark("Price"), "money", hint=mark("For one bottle."), example="8.50"),
            SUPPLIER,
        ),
    ),
    "linings": Sheet(
        "linings",
        mark("Linings"),
        mark("Add a lining"),
        mark("New lining"),
        Lining,
        (
            *_named(mark("Soft calf")),
            COLOUR,
            Column("thickness", mark("Thickness"), "thickness", mark("mm, or leather ounces: 3 oz"), "", "1"),
            Column(
                "padding",
                mark("Padding"),
                "length",
                MM,
                mark("Between strap and lining, as thick as it stays once worn. 0 where there is none."),
                "0",
            ),
            Column(
                "price_per_m2",
                mark("Price of a square metre"),
                "money",
                hint=mark("With its padding. A square foot's price times 10.764."),
                example="60",
            ),
            SUPPLIER,
        ),
        mark("What a collar is lined with. It is sewn on with one of your threads."),
    ),
    "threads": Sheet(
        "threads",
        mark("Threads"),
        mark("Add a thread"),
        mark("New thread"),
        Thread,
        (
            *_named(mark("Waxed polyester, natural")),
            COLOUR,
            Column(
                "tex",
                mark("Size"),
                "tex",
                mark("Tex, or as it is sold: ticket 14, Nm 20/3, 1890 denier"),
                "",
                "210",
            ),
            Column("stitch", mark("Stitch"), "length", MM, mark("How long a stitch you make with it."), "4"),
            Column("price_per_m", mark("Price of a metre"), "money", example="0.06"),
            Column(
                "strength_n",
                mark("Breaks at"),
                "newtons",
                N,
                mark("Only what the supplier states in writing. Left empty, it is called unknown."),
                "110",
            ),
            SUPPLIER,
        ),
        mark("The first one is taken where a customer chooses none."),
    ),
    "finishes": Sheet(
        "finishes",
        mark("Metal finishes"),
        mark("Add a metal finish"),
        mark("New metal finish"),
        Finish,
        (*_named(mark("Solid brass")), COLOUR),
        mark("All the metal of one piece comes in one finish: buckle, rings, snap, rivets and studs."),
    ),
    "buckles": Sheet(
        "buckles",
        mark("Buckles"),
        mark("Add a buckle"),
        mark("New buckle"),
        Buckle,
        (
            *_named(mark("Heel-bar buckle 1 in")),
            Column(
                "style",
                mark("Kind"),
                "choice",
                options=_fixed({one.value: one.label for one in ALL["style"].fixed}),
            ),
            FINISH,
            WIDTH,
            Column("bar", mark("Bar"), "length", MM, mark("Diameter of the bar the strap folds round."), "4"),
            Column("prong", mark("Prong"), "length", MM, mark("Diameter of the prong."), "3"),
            Column(
                "take_up",
                mark("Take-up"),
                "length",
                MM,
                mark(
                    "Girth the buckle itself uses, measured on a finished collar. Left empty, it is reckoned."
                ),
                "6",
            ),
            PRICE,
            MASS,
            LOAD,
            SUPPLIER,
        ),
    ),
    "rings": Sheet(
        "rings",
        mark("D-rings"),
        mark("Add a D-ring"),
        mark("New D-ring"),
        Ring,
        (
            *_named(mark("D-ring 1 in")),
            FINISH,
            WIDTH,
            Column("wire", mark("Wire"), "length", MM, mark("Diameter of the wire."), "4"),
            PRICE,
            MASS,
            LOAD,
            SUPPLIER,
        ),
    ),
    "o_rings": Sheet(
        "o_rings",
        mark("O-rings"),
        mark("Add an O-ring"),
        mark("New O-ring"),
        ORing,
        (
            *_named(mark("O-ring 1 in")),
            FINISH,
            Column("inside", mark("Inside"), "width", MM, mark("Diameter of the opening."), "25.4 mm"),
            Column("wire", mark("Wire"), "length", MM, mark("Diameter of the wire."), "4"),
            PRICE,
            MASS,
            LOAD,
            SUPPLIER,
        ),
        mark("For leads in two parts, slip leads and couplers."),
    ),
    "snaps": Sheet(
        "snaps",
        mark("Snaps"),
        mark("Add a snap"),
        mark("New snap"),
        Snap,
        (
            *_named(mark("Swivel snap 3/4 in")),
            FINISH,
            WIDTH,
            Column("bar", mark("Eye"), "length", MM, mark("Diameter of the eye's wire."), "4"),
            Column(
                "length",
                mark("Length"),
                "length",
                MM,
                mark("From the eye's far side, on which the strap pulls, to the tip."),
                "76",
            ),
            PRICE,
            MASS,
            Column(
                "rated_load_n",
                mark("Breaks at"),
                "newtons",
                N,
                mark("Only what the supplier states in writing. Left empty, it is called unknown."),
                "1500",
            ),
            SUPPLIER,
        ),
        mark("What a lead is fastened with."),
    ),
    "fasteners": Sheet(
        "fasteners",
        mark("Rivets and posts"),
        mark("Add a rivet or post"),
        mark("New rivet or post"),
        Fastener,
        (
            *_named(mark("Double-cap rivet, medium")),
            Column(
                "kind",
                mark("Kind"),
                "choice",
                options=_fixed({"rivet": mark("Rivet"), "screw-post": mark("Screw post")}),
            ),
            FINISH,
            Column("cap", mark("Cap"), "length", MM, mark("Diameter of the visible head."), "9"),
            Column("hole", mark("Hole"), "length", MM, mark("Diameter of the hole to punch."), "3"),
            Column(
                "grip_min",
                mark("Closes from"),
                "length",
                MM,
                mark("The thinnest stack of leather it holds."),
                "5",
            ),
            Column(
                "grip_max",
                mark("Closes to"),
                "length",
                MM,
                mark("The thickest stack of leather it holds."),
                "6.6",
            ),
            Column(
                "post",
                mark("Post"),
                "length",
                MM,
                mark("Length of a rivet's post before it is set. Leave it empty for a screw post."),
                "8.2",
            ),
            PRICE,
            MASS,
            Column(
                "rated_load_n",
                mark("Rated load"),
                "newtons",
                N,
                mark("Of one: what the supplier states, or what one set in leather held in your own test."),
                "300",
            ),
            SUPPLIER,
        ),
    ),
    "studs": Sheet(
        "studs",
        mark("Studs"),
        mark("Add a stud"),
        mark("New stud"),
        Stud,
        (
            *_named(mark("Round spot 9.5 mm")),
            FINISH,
            Column("diameter", mark("Diameter"), "length", MM, "", "9.5"),
            PRICE,
            MASS,
            SUPPLIER,
        ),
        mark("Of each finish the first is used."),
    ),
    "plates": Sheet(
        "plates",
        mark("Name plates"),
        mark("Add a name plate"),
        mark("New name plate"),
        Plate,
        (
            *_named(mark("Name plate 50 × 16 mm")),
            FINISH,
            Column("length", mark("Length"), "length", MM, mark("Along the strap."), "50"),
            Column("width", mark("Width"), "length", MM, mark("Across the strap."), "16"),
            Column("hole_distance", mark("Hole to hole"), "length", MM, mark("From middle to middle."), "43"),
            Column("gauge", mark("Thickness"), "length", MM, mark("Of the metal."), "1"),
            PRICE,
            MASS,
            SUPPLIER,
        ),
        mark("For an engraved name or number. The one on which the text stands largest is used."),
    ),
    "stamps": Sheet(
        "stamps",
        mark("Letter stamps"),
        mark("Add a set of letter stamps"),
        mark("New set of letter stamps"),
        LetterStamps,
        (
            *_named(mark("Capitals 9 mm")),
            Column("height", mark("Height"), "length", MM, mark("Of a capital."), "9"),
            Column("gap", mark("Gap"), "length", MM, mark("Left between two stamps."), "0.9"),
            Column(
                "advances",
                mark("Signs"),
                "signs",
                hint=mark(
                    "Each sign you own a stamp of on a line of its own, with its width as a share of its"
                    " height. Write space for the gap between words."
                ),
                example="A 1.2",
            ),
        ),
    ),
    "times": Sheet(
        "times",
        mark("Step times"),
        mark("Add a step"),
        mark("New step"),
        TimeStandard,
        (
            Column("step", mark("Step"), example=mark("Punch holes")),
            Column(
                "basic",
                mark("Time"),
                "minutes",
                mark("min"),
                mark("At an ordinary pace, without rests: those are an allowance among the rates."),
                "2.5",
            ),
            COUNTED,
        ),
        mark("From these comes the labour in every price."),
        "step",
    ),
    "consumables": Sheet(
        "consumables",
        mark("Consumables"),
        mark("Add a consumable"),
        mark("New consumable"),
        Consumable,
        (
            Column("name", mark("Name"), example=mark("Thread and wax")),
            Column(
                "price", mark("Price"), "money", hint=mark("For as much as it is counted by."), example="0.60"
            ),
            COUNTED,
        ),
        mark("What a piece uses up: thread, paint, finish, cement, packing."),
        "name",
    ),
}
"""The tables a maker edits, in the order of the overview."""

RATES: Final = Sheet(
    "rates",
    mark("Rates and tax"),
    "",
    "",
    Rates,
    (
        Column(
            "currency",
            mark("Currency"),
            "currency",
            hint=mark("Its three letters. Prices keep their numbers when it changes."),
            example="USD",
        ),
        Column(
            "minor_digits",
            mark("Decimals of a price"),
            "whole",
            hint=mark("2 for most currencies."),
            example="2",
        ),
        Column("labour_per_hour", mark("Labour"), "money", mark("for an hour"), "", "24"),
        Column(
            "rest",
            mark("Rest"),
            "share",
            "",
            mark("Allowance on the step times, for resting and personal needs."),
            "12 %",
        ),
        Column(
            "contingency",
            mark("Contingency"),
            "share",
            "",
            mark("Allowance on the step times, for what goes wrong."),
            "5 %",
        ),
        Column(
            "overhead_per_month",
            mark("Overhead"),
            "money",
            mark("for a month"),
            mark("Rent, power, tools, insurance."),
            "950",
        ),
        Column(
            "productive_hours_per_month",
            mark("Productive time"),
            "hours",
            mark("h in a month"),
            mark("Hours at the bench that the overhead is shared among."),
            "110",
        ),
        Column(
            "waste",
            mark("Waste"),
            "share",
            "",
            mark("Share of the leather bought that never becomes a part."),
            "30 %",
        ),
        Column(
            "margin",
            mark("Margin"),
            "share",
            "",
            mark("Share of the price before tax that is not cost."),
            "25 %",
        ),
        Column("tax", mark("Tax"), "share", "", mark("Added to the price. 0 % if you charge none."), "7 %"),
        Column("tax_name", mark("The tax is called"), example=mark("Sales tax")),
    ),
)
ASSUMPTIONS: Final = Sheet(
    "assumptions",
    mark("Assumptions on strength"),
    "",
    "",
    Assumptions,
    (
        Column(
            "leather_n_mm2",
            mark("Leather's strength"),
            "figure",
            STRESS,
            mark("For leathers without a figure of their own. The trade asks for 15; 8 to 25 are published."),
            "15",
        ),
        Column(
            "holes_low",
            mark("A row of holes leaves at least"),
            "share",
            "",
            mark(
                "Of the solid strap. 21 to 36 % by old belting practice; what is left beside a hole flatters."
            ),
            "21 %",
        ),
        Column("holes_high", mark("A row of holes leaves at most"), "share", "", "", "36 %"),
        Column(
            "metal_n_mm2",
            mark("Metal bends at"),
            "figure",
            STRESS,
            mark("For rings and buckles without a rated load. 120 is soft brass, 235 mild steel."),
            "120",
        ),
        Column(
            "lead_n_m",
            mark("Lead's stiffness"),
            "figure",
            "N/m",
            mark("5000 is leather 19 by 3.5 mm, 1.3 m long. Longer and thinner leads give more."),
            "5000",
        ),
        Column(
            "speed_m_s",
            mark("Dog's speed at the lead's end"),
            "figure",
            "m/s",
            mark("4 is a trot about to be a run."),
            "4",
        ),
        Column(
            "pull_n",
            mark("Pull that goes on meanwhile"),
            "figure",
            "N",
            mark("What the dog still pulls with when the lead is taut. 0 leaves it out."),
            "0",
        ),
    ),
)
OWN: Final = Sheet(
    "workshop",
    mark("The workshop itself"),
    "",
    "",
    Workshop,
    (
        Column("name", mark("Name"), hint=mark("Customers read it on every page."), example="Oxlip Bench"),
        Column(
            "region",
            mark("Country"),
            "choice",
            hint=mark("How money, days and phone numbers are written."),
            options=_regions,
        ),
        Column(
            "units",
            mark("A bare number means"),
            "choice",
            options=_fixed({"in": mark("inches"), "cm": mark("centimetres")}),
            hint=mark("Where a customer types no unit."),
        ),
        Column(
            "zone",
            mark("Time zone"),
            "choice",
            hint=mark("Days and times on every page are those of its clock."),
            options=_zones,
        ),
        Column(
            "languages",
            mark("Languages"),
            "languages",
            hint=mark("Codes (ISO 639-1) of those your pages are offered in, yours first."),
            example="en",
        ),
    ),
)
