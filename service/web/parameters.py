"""The one table of what can be asked: the form's labels and help, and the parameters of the interface."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from math import isclose
from typing import Any

from service.design import PAINTS, QR_MAX, widths
from service.language import mark, tr
from service.units import IN, System, show_both, show_inches, show_mm
from service.workshop import Leather, Workshop


@dataclass(frozen=True, slots=True)
class Option:
    """One value that can be chosen, with its name, a few words under it and a colour."""

    value: str
    label: str
    note: str = ""
    swatch: str = ""


Options = Callable[[Workshop, System], tuple[Option, ...]]


@dataclass(frozen=True, slots=True)
class Parameter:
    """A parameter: label and hint for the form, `about` for the description of the interface.

    `fixed` are its choices where every workshop has the same, `rows` makes them from its rows; with `free`
    another value than these may be typed. `longest` is in characters.
    """

    name: str
    label: str
    hint: str
    about: str
    example: str
    fixed: tuple[Option, ...] = ()
    rows: Options | None = None
    free: bool = False
    longest: int = 40

    def options(self, workshop: Workshop, system: System) -> tuple[Option, ...]:
        """Return its choices in this workshop, sizes shown in this system; none where all is typed."""
        if self.rows is not None:
            return self.rows(workshop, system)
        return tuple(replace(one, label=tr(one.label), note=tr(one.note)) for one in self.fixed)

    def offered(self, workshop: Workshop) -> bool:
        """Whether there is anything to ask: a workshop without a row to choose has no field for it."""
        return self.rows is None or bool(self.rows(workshop, "metric"))

    def schema(self, workshop: Workshop) -> dict[str, Any]:
        """Return the JSON Schema of a value that can be given."""
        values = [option.value for option in self.options(workshop, "imperial")]
        if values and not self.free:
            return {"type": "string", "enum": values, "examples": [self.example]}
        return {"type": "string", "maxLength": self.longest, "examples": [self.example]}


def width_value(mm: float) -> str:
    """A strap width as an address has it: "1 in" when it is a whole number of sixteenths, else "30 mm"."""
    return show_inches(mm) if _is_inch_size(mm) else f"{mm:g} mm"


def _is_inch_size(mm: float) -> bool:
    return isclose(mm / IN * 16, round(mm / IN * 16))


def _widths(workshop: Workshop, system: System) -> tuple[Option, ...]:
    return width_options(widths(workshop), system)


def width_options(sizes: tuple[float, ...], system: System) -> tuple[Option, ...]:
    """Return strap widths [mm] as they are chosen."""
    # Hardware made in millimetres is called by its millimetres everywhere: nobody knows it as 13/16 in.
    return tuple(
        Option(width_value(mm), show_both(mm, system if _is_inch_size(mm) else "metric")) for mm in sizes
    )


def _leathers(workshop: Workshop, _system: System) -> tuple[Option, ...]:
    def note(row: Leather) -> str:
        thick = show_mm(row.thickness)
        if row.colouring == "undyed":
            return tr("{thickness} thick, undyed", thickness=thick)
        return tr("{thickness} thick", thickness=thick)

    return tuple(Option(row.code, row.name, note(row), row.colour) for row in workshop.leathers)


def _dyes(workshop: Workshop, _system: System) -> tuple[Option, ...]:
    if not workshop.dyes or all(row.colouring == "dyed" for row in workshop.leathers):
        return ()
    return (
        Option("", tr("None")),
        *(Option(row.code, row.name, swatch=row.colour) for row in workshop.dyes),
    )


def _linings(workshop: Workshop, _system: System) -> tuple[Option, ...]:
    if not (workshop.linings and workshop.threads):
        return ()
    rows = (Option(row.code, row.name, swatch=row.colour) for row in workshop.linings)
    return (Option("", tr("Unlined")), *rows)


def _threads(workshop: Workshop, _system: System) -> tuple[Option, ...]:
    if not workshop.linings:
        return ()
    rows = (Option(row.code, row.name, swatch=row.colour) for row in workshop.threads)
    return (Option("", tr("As usual")), *rows)


def _finishes(workshop: Workshop, _system: System) -> tuple[Option, ...]:
    return tuple(Option(row.code, row.name, swatch=row.colour) for row in workshop.finishes)


def _studs(_workshop: Workshop, system: System) -> tuple[Option, ...]:
    named = (25.4, tr("Close")), (38.1, tr("Even")), (50.8, tr("Wide"))
    return (
        Option("", tr("None")),
        *(
            Option(show_inches(mm), name, tr("about {length} apart", length=show_both(mm, system)))
            for mm, name in named
        ),
    )


def _stamps(workshop: Workshop, _system: System) -> tuple[Option, ...]:
    owned = sorted(workshop.stamps, key=lambda row: -row.height)
    largest = Option("auto", tr("Largest that fits"))
    return (
        largest,
        *(Option(f"{row.height:g} mm", tr("{height} high", height=show_mm(row.height))) for row in owned),
    )


def _letters(workshop: Workshop, _system: System) -> tuple[Option, ...]:
    return tuple(
        Option(code, tr(name), swatch=INKS.get(code) or PAINTS[code].colour)
        for code, name in LETTERS.items()
        if code != "plate" or workshop.plates
    )


LETTERS = {
    "stamped": mark("Plain"),
    "plate": mark("On a plate"),
    "white": mark("White"),
    "gold": mark("Gold"),
    "red": mark("Red"),
    "blue": mark("Blue"),
    "black": mark("Black"),
}
INKS = {"stamped": "#34200f", "plate": "#ddd5c5"}
"""How letters that have no paint are drawn beside their names, on brown leather. By eye."""
ALL = {
    parameter.name: parameter
    for parameter in (
        Parameter(
            "kind",
            mark("What to make"),
            "",
            "What is made.",
            "collar",
            (
                Option("collar", mark("Buckle collar")),
                Option("limited-slip", mark("Limited-slip collar")),
                Option("set", mark("Collar and lead")),
                Option("lead", mark("Lead")),
            ),
        ),
        Parameter(
            "neck",
            mark("Neck"),
            mark("With its unit: 16 1/2 in, 42 cm."),
            "The neck as it was measured, with its unit; without one, the workshop's own unit is meant.",
            "19 in",
        ),
        Parameter(
            "head",
            mark("Head"),
            mark("Round its widest part, in front of the ears, with its unit."),
            "Girth of the head at its widest, which a limited-slip collar is pulled over, with its unit.",
            "18 in",
        ),
        Parameter(
            "length",
            mark("Length"),
            mark("Taut, from the snap's tip, or a slip lead's ring, to the handle's end: 60 in, 150 cm."),
            "Finished length of a lead, taut, with its unit.",
            "60 in",
        ),
        Parameter(
            "make",
            mark("Make"),
            "",
            "How a lead is made.",
            "plain",
            (
                Option("plain", mark("Straps, billet and handle")),
                Option("one-piece", mark("One piece"), mark("Folded at both ends.")),
                Option("two-part", mark("Two parts"), mark("A short and a long lead on an O-ring.")),
                Option("traffic-loop", mark("Traffic loop"), mark("A second, short grip near the snap.")),
                Option("slip", mark("Slip lead"), mark("A noose with a stop, no snap.")),
                Option("coupler", mark("Coupler"), mark("For two dogs.")),
                Option("plaited-handle", mark("Plaited handle"), mark("Of cords cut from the strap.")),
            ),
        ),
        Parameter(
            "measured",
            mark("How did you measure?"),
            mark("The surest way is to measure a collar that already fits."),
            "How the neck was measured.",
            "existing-collar",
            (
                Option(
                    "existing-collar",
                    mark("An existing collar"),
                    mark("Lay it flat: from the fold at the buckle to the hole in use."),
                ),
                Option(
                    "tape-two-fingers",
                    mark("Tape, two fingers under it"),
                    mark("Round the neck where the collar sits, with two fingers flat under the tape."),
                ),
                Option(
                    "tape-snug",
                    mark("Tape, snug"),
                    mark(
                        "Round the neck with nothing under the tape, not pulled. Room for fingers is added."
                    ),
                ),
            ),
        ),
        Parameter(
            "fingers",
            mark("Fingers under the collar"),
            mark("Two is usual. Added to a tape's measure; an existing collar is copied as it is."),
            "Fingers that go under the collar on the hole to wear. An existing collar is copied as it is.",
            "2",
            (Option("1", mark("One")), Option("2", mark("Two")), Option("3", mark("Three"))),
        ),
        Parameter(
            "coat",
            mark("A thick coat?"),
            mark("If so, where did the tape lie: over it, or under it on the skin?"),
            "Whether the coat is thick, and where the tape lay on it. Nothing is added for it.",
            "short",
            (
                Option("short", mark("No")),
                Option("thick-over", mark("Over it")),
                Option("thick-under", mark("Under it")),
            ),
        ),
        Parameter(
            "adult",
            mark("Still growing? Its neck when grown"),
            mark("Measured snug, on a grown dog of its kind. Leave it empty for a grown dog."),
            "The snug neck that a growing dog will have, with its unit; leave it out for a grown one.",
            "18 in",
        ),
        Parameter(
            "width",
            mark("Width"),
            mark("Wider spreads the pull; narrower is lighter on a small dog."),
            "Width of the strap, with its unit: one the workshop's hardware comes in.",
            "1 in",
            rows=_widths,
            free=True,
        ),
        Parameter(
            "leather", mark("Leather"), "", "Code of a leather of the workshop.", "chestnut", rows=_leathers
        ),
        Parameter(
            "dye",
            mark("Dye"),
            mark("On undyed leather only, in the colour it dries to there."),
            "Code of a dye of the workshop, for undyed leather; leave it out for none.",
            "",
            rows=_dyes,
        ),
        Parameter(
            "lining",
            mark("Lining"),
            mark("Sewn in by hand, for a soft inside. Padded, it is the softest, and thicker."),
            "Code of a lining of the workshop; leave it out for none.",
            "",
            rows=_linings,
        ),
        Parameter(
            "thread",
            mark("Stitching"),
            mark("Seen along both edges of a lined collar."),
            "Code of a thread of the workshop to sew a lining with; left out, its usual one.",
            "",
            rows=_threads,
        ),
        Parameter(
            "finish",
            mark("Metal"),
            mark("All the metal comes in this finish."),
            "Code of a metal finish of the workshop.",
            "brass",
            rows=_finishes,
        ),
        Parameter(
            "style",
            mark("Buckle"),
            "",
            "Kind of buckle.",
            "centre-bar",
            (
                Option(
                    "centre-bar",
                    mark("Centre bar"),
                    mark("The tail tucks under the buckle's own frame; no keeper needed."),
                ),
                Option(
                    "heel-bar",
                    mark("Heel bar"),
                    mark("A plain buckle and a fixed leather keeper that holds the tail."),
                ),
            ),
        ),
        Parameter(
            "keepers",
            mark("Keepers"),
            mark("Loops that hold the tail. One that slides holds it wherever it ends."),
            "Keepers: as few as the buckle needs, or one more that slides along the tail.",
            "fewest",
            (
                Option(
                    "fewest", mark("As the buckle needs"), mark("None on a centre bar, one on a heel bar.")
                ),
                Option("sliding", mark("One more, sliding"), mark("A loose loop round strap and tail.")),
            ),
        ),
        Parameter(
            "end",
            mark("Shape of the end"),
            "",
            "Shape of the strap's end.",
            "english-point",
            (
                Option(
                    "english-point",
                    mark("English point"),
                    mark("A long arched point; slips through the buckle easily."),
                ),
                Option("round", mark("Round"), mark("A half circle.")),
                Option("square", mark("Square, corners clipped"), mark("Plain and sturdy.")),
            ),
        ),
        Parameter(
            "holes",
            mark("Number of holes"),
            mark("auto, or a whole number from 3 to 12. On auto as many as leave the ring clear."),
            'Number of size holes: "auto", or a whole number from 3 to 12.',
            "auto",
        ),
        Parameter(
            "pitch",
            mark("Distance between holes"),
            mark("auto, or a length such as 1 in or 25 mm."),
            'Distance between size holes with its unit, or "auto".',
            "auto",
        ),
        Parameter(
            "ring_at",
            mark("The ring hangs"),
            "",
            "Where the ring hangs: opposite the buckle, under a tab or in a folded one, or in the fold.",
            "tab",
            (
                Option("tab", mark("Opposite the buckle")),
                Option("folded-tab", mark("Opposite, in a folded tab")),
                Option("fold", mark("Beside the buckle")),
            ),
        ),
        Parameter(
            "throat",
            mark("Width at the throat, if tapered"),
            "",
            "Width in the middle of a tapered strap, with its unit; leave it out for straight edges.",
            "",
        ),
        Parameter(
            "fastening",
            mark("Held together by"),
            "",
            "What holds the fold and the ring tab.",
            "rivet",
            (
                Option("rivet", mark("Rivets"), mark("Set for good.")),
                Option(
                    "screw-post",
                    mark("Screw posts"),
                    mark("Can be opened again, to change a buckle or a ring."),
                ),
            ),
        ),
        Parameter(
            "grooves",
            mark("Edge grooves"),
            mark("Lines pressed along both edges."),
            "Lines pressed along each edge of the strap.",
            "one",
            (
                Option("none", mark("None")),
                Option("one", mark("One line")),
                Option("two", mark("Two lines")),
                Option("three", mark("Three lines")),
            ),
        ),
        Parameter(
            "border",
            mark("Border"),
            "",
            "A stamp struck side by side along both edges; leave it out for none.",
            "rope",
            (
                Option("", mark("None")),
                Option("dots", mark("Dots")),
                Option("rope", mark("Rope")),
                Option("scallop", mark("Scallops")),
                Option("leaf", mark("Leaves")),
            ),
        ),
        Parameter(
            "lacing",
            mark("Laced edges"),
            "",
            "How both edges are laced; leave it out for not at all.",
            "",
            (
                Option("", mark("None")),
                Option("whip", mark("Whipstitch")),
                Option("loop", mark("Single loop")),
                Option("double-loop", mark("Double loop")),
            ),
        ),
        Parameter(
            "studs",
            mark("Studs"),
            "",
            "Distance between studs with its unit, made even along the strap; leave it out for none.",
            "2 in",
            rows=_studs,
            free=True,
        ),
        Parameter(
            "stud_rows",
            mark("Studs stand"),
            "",
            "How studs stand: in one row or two, by turns above and below the middle, or in threes.",
            "single",
            (
                Option("single", mark("In one row")),
                Option("double", mark("In two rows")),
                Option("zigzag", mark("In a zigzag")),
                Option("threes", mark("In threes")),
            ),
        ),
        Parameter(
            "lettering",
            mark("Name or phone number"),
            mark("Stamped into the leather in capitals. Leave it empty for none."),
            "Text stamped into the strap or engraved on a plate, as long as its clear run allows.",
            "BELLA",
        ),
        Parameter(
            "letters",
            mark("Letters are"),
            "",
            "How the text is put on: stamped and plain, stamped and painted, or engraved on a plate.",
            "white",
            rows=_letters,
        ),
        Parameter(
            "qr",
            mark("QR tag"),
            mark("A phone number or an address, to be scanned."),
            "A phone number, web or mail address that a riveted tag says when scanned; left out, none.",
            "",
            longest=QR_MAX,
        ),
        Parameter(
            "stamp",
            mark("Size of the letters"),
            "",
            'Height of the letter stamps with its unit, or "auto" for the largest that fit.',
            "auto",
            rows=_stamps,
            free=True,
        ),
        Parameter(
            "weight",
            mark("Dog's weight, if known"),
            mark("To check neck and strength: 45 lb, 20 kg."),
            "The dog's weight with its unit. Nothing is cut by it: neck and strength are judged by it.",
            "45 lb",
        ),
    )
}
"""Every parameter of a design, by name."""

MAIN = (
    "neck",
    "head",
    "weight",
    "measured",
    "fingers",
    "coat",
    "length",
    "make",
    "width",
    "leather",
    "finish",
    "style",
)
"""The fields asked first."""

MORE = (
    (mark("Dye"), ("dye",)),
    (mark("Lining and stitching"), ("lining", "thread")),
    (mark("Lettering"), ("lettering", "letters", "stamp", "qr")),
    (mark("Studs, grooves and border"), ("studs", "stud_rows", "grooves", "border", "lacing")),
    (mark("Holes, end and keepers"), ("end", "holes", "pitch", "throat", "adult", "keepers", "ring_at")),
    (mark("Rivets or screw posts"), ("fastening",)),
)
"""The fields folded away, under their headings."""
