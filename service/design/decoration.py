"""Studs and lettering, placed in the clear zones of the strap."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache

import phonenumbers

from service.design.pattern import Finding, Layout, Mark
from service.errors import DoesNotFit, Suggestion
from service.units import show_both, show_mm
from service.workshop import LetterStamps, Stud, Workshop

EDGE_MARGIN = 3.0
"""Decoration keeps this far [mm] from the strap's edge and from the ends of a clear zone. Common practice."""
LETTER_SIDE = 6.0
"""Lettering keeps this far [mm] from studs, tab and holes. From memory."""


@dataclass(frozen=True, slots=True)
class Zone:
    """A clear run of the strap's outer side, from `start` to `end` along the blank [mm]."""

    start: float
    end: float

    @property
    def length(self) -> float:
        """Length of the run [mm]; not below 0."""
        return max(0.0, self.end - self.start)

    @property
    def middle(self) -> float:
        """Middle of the run [mm]."""
        return (self.start + self.end) / 2


def clear_zones(layout: Layout) -> tuple[Zone, Zone]:
    """Return the two clear zones of a collar: tail end to ring tab, and ring tab to the tightest hole.

    The first is covered by nothing even on the tightest hole. 3 mm are kept free at each end. Source: common
    practice. Worked: 482.6 mm on a 25.4 mm strap: 42.8 - 6 mm long, and 241.3 - 25.4 - 20.7 - 2 - 6 mm long.
    """
    tab_start, tab_end = layout.ring - layout.tab_half, layout.ring + layout.tab_half
    # A short neck's tail may end on the folded leg, where the rivets are.
    covered = max(layout.fold + layout.tail, 2 * layout.fold)
    return (
        Zone(covered + EDGE_MARGIN, tab_start - EDGE_MARGIN),
        Zone(tab_end + EDGE_MARGIN, layout.holes[0] - layout.hole_diameter / 2 - EDGE_MARGIN),
    )


def even_pitch(run: float, nominal: float) -> tuple[int, float]:
    """Return the number of gaps and the pitch [mm] nearest to `nominal` [mm] that divides a run [mm] evenly.

    Source: common practice. Worked: a run of 187 mm at 50.8 mm: four gaps of 46.75 mm (three would be 62.3 mm).
    """
    floor = max(1, int(run // nominal))
    gaps = min((floor, floor + 1), key=lambda n: abs(run / n - nominal))
    return gaps, run / gaps


def stud_marks(layout: Layout, stud: Stud, nominal: float, words: Mark | None) -> tuple[tuple[Mark, ...], tuple[Finding, ...]]:
    """Return the studs of a collar and what was done to place them; `nominal` pitch [mm], `words` the lettering.

    The pitch divides the long clear zone evenly. The studs stand at equal distances either side of the ring, as far
    as the tail leaves the other side clear. Studs that would touch the lettering are left out.
    Source: common practice. Worked: a 19 in collar 1 in wide at 2 in: five studs at 46.0 mm and one opposite.
    Raises DoesNotFit when a stud is too large for the strap, the pitch or the zone.
    """
    short, long = clear_zones(layout)
    _guard_studs(layout, stud, nominal, long)
    radius = stud.diameter / 2
    gaps, pitch = even_pitch(long.length - stud.diameter, nominal)
    near = long.start + radius - layout.ring
    offsets = [near + i * pitch for i in range(gaps + 1)]
    far = [layout.ring + d for d in offsets]
    clear = [x for x in far if not _touches(words, x, radius)]
    left = [layout.ring - d for d in offsets if layout.ring - d - radius >= short.start]
    places = sorted([*left, *clear])
    if not clear:
        raise DoesNotFit(
            field="studs",
            message="The lettering leaves no room for studs: choose one or the other, or a smaller stamp.",
            would_work=(Suggestion("studs", "", "no studs"), Suggestion("lettering", "", "no lettering")),
        )
    marks = tuple(Mark("stud", x, diameter=stud.diameter) for x in places)
    return marks, _stud_findings(nominal, pitch, len(left), len(far) - len(clear), len(clear))


def _guard_studs(layout: Layout, stud: Stud, nominal: float, zone: Zone) -> None:
    if layout.width < stud.diameter + 2 * EDGE_MARGIN:
        raise DoesNotFit(
            field="studs",
            message=f"Studs {show_mm(stud.diameter)} wide need a strap of {show_mm(stud.diameter + 2 * EDGE_MARGIN)}"
            " or wider.",
            would_work=(Suggestion("studs", "", "no studs"),),
        )
    if nominal < stud.diameter + 1:
        raise DoesNotFit(
            field="studs",
            message=f"Studs {show_mm(stud.diameter)} wide need a pitch of at least {show_mm(stud.diameter + 1)}.",
            would_work=(Suggestion("studs", "25.4 mm", "a pitch of 1 in"),),
        )
    if zone.length < stud.diameter * 2 + 1:
        raise DoesNotFit(
            field="studs",
            message="There is no clear run long enough for studs on a collar this short.",
            would_work=(Suggestion("studs", "", "no studs"),),
        )


def _touches(words: Mark | None, x: float, radius: float) -> bool:
    if words is None or words.length is None:
        return False
    return abs(x - words.x) < words.length / 2 + LETTER_SIDE + radius


def _stud_findings(nominal: float, pitch: float, mirrored: int, dropped: int, kept: int) -> tuple[Finding, ...]:
    text = (
        f"Studs at {show_both(pitch, 'imperial')}, the pitch nearest to {show_both(nominal, 'imperial')} that comes"
        f" out even. {kept} on the long side of the ring; {mirrored or 'none'} opposite, where the tail leaves room."
    )
    if dropped:
        text += f" {dropped} left out for the lettering."
    return (Finding("studs-spaced", "note", text, "common practice", "studs"),)


def lettering_length(text: str, stamps: LetterStamps) -> float:
    """Return the length [mm] of a text set with a set of stamps: the sum of advances and the gaps between them.

    Source: common practice. Raises KeyError for a character without a stamp. Worked: two stamps of 6 mm with a gap
    of 1 mm are 13 mm.
    """
    return lettering_width(text, stamps.advances, stamps.height) + stamps.gap * max(0, len(text) - 1)


def lettering_width(text: str, advances: Mapping[str, float], height: float) -> float:
    """Return the sum of advances [mm] of a text at a cap height [mm], without gaps."""
    return sum(advances[character] for character in text) * height


def stamps_for(
    workshop: Workshop, layout: Layout, text: str, height: float | None, stud: Stud | None = None
) -> LetterStamps:
    """Return the stamp set to use: the one of the height asked for [mm], else the tallest that fits.

    With studs asked for as well, room is kept for one at each end of the lettering.
    Source: common practice. Raises DoesNotFit with the longest text that fits when none does.
    """
    spare = LETTER_SIDE - EDGE_MARGIN if stud is None else LETTER_SIDE + stud.diameter
    room = clear_zones(layout)[1].length - 2 * spare
    owned = sorted(workshop.stamps, key=lambda row: -row.height)
    asked = [row for row in owned if height is None or abs(row.height - height) < 0.05]
    upright = [row for row in asked if row.height <= layout.width - 2 * EDGE_MARGIN]
    if not upright:
        raise _too_tall(owned, layout, asked)
    for row in upright:
        _guard_characters(text, row)
        if lettering_length(text, row) <= room:
            return row
    raise _too_long(text, upright[-1], room, owned, layout)


def _too_tall(owned: list[LetterStamps], layout: Layout, asked: list[LetterStamps]) -> DoesNotFit:
    limit = layout.width - 2 * EDGE_MARGIN
    fit = [row for row in owned if row.height <= limit]
    if not fit:
        return DoesNotFit(
            field="lettering",
            message=f"No stamps fit: on this strap letters may be {show_mm(limit)} high at most.",
            would_work=(Suggestion("lettering", "", "no lettering"),),
        )
    sizes = ", ".join(show_mm(row.height) for row in fit)
    lead = "These stamps are too tall for this strap" if asked else "The workshop has no stamps of this height"
    return DoesNotFit(
        field="stamp",
        message=f"{lead}. Stamps that fit: {sizes}.",
        would_work=(
            Suggestion("stamp", "auto", "let the workshop choose"),
            *(Suggestion("stamp", f"{row.height:g} mm", show_mm(row.height)) for row in fit),
        ),
    )


def _guard_characters(text: str, stamps: LetterStamps) -> None:
    lacking = sorted({character for character in text if character not in stamps.advances})
    if lacking:
        owned = "".join(sorted(c for c in stamps.advances if not c.isalnum() and c != " "))
        message = (
            f"There is no letter stamp for {' '.join(lacking)}. The stamps are A to Z, 0 to 9, space and {owned}"
        )
        kept = "".join(character for character in text if character in stamps.advances).strip()
        would_work = (Suggestion("lettering", kept, f"“{kept}”"),) if kept else ()
        raise DoesNotFit(field="lettering", message=message, would_work=would_work)


def _too_long(text: str, stamps: LetterStamps, room: float, owned: list[LetterStamps], layout: Layout) -> DoesNotFit:
    kept = text
    while kept and lettering_length(kept, stamps) > room:
        kept = kept[:-1].rstrip()
    smaller = [
        row
        for row in owned
        if row.height < stamps.height and lettering_length(text, row) <= room
    ]
    message = (
        f"“{text}” is {show_mm(lettering_length(text, stamps))} long in {show_mm(stamps.height)} stamps and the clear"
        f" run is {show_mm(max(0.0, room))}: the first {len(kept)} characters fit."
    )
    would_work = (
        *(Suggestion("stamp", f"{row.height:g} mm", f"{show_mm(row.height)} stamps") for row in smaller[:1]),
        *((Suggestion("lettering", kept, f"“{kept}”"),) if kept else ()),
    )
    return DoesNotFit(field="lettering", message=message, would_work=would_work)


def lettering_mark(layout: Layout, text: str, stamps: LetterStamps) -> Mark:
    """Return the lettering, centred in the clear run between ring tab and holes, where no tail covers it.

    Source: common practice. Worked: on 482.6 mm the middle is 131 mm past the ring's centre.
    """
    middle = clear_zones(layout)[1].middle
    return Mark("lettering", middle, length=lettering_length(text, stamps), height=stamps.height, text=text)


@lru_cache(maxsize=1024)
def phone_findings(text: str, region: str) -> tuple[Finding, ...]:
    """Return a question when a text looks like a phone number and no such number can exist.

    `region` is the workshop's country (ISO 3166 two letters), used when there is no + in front.
    Source: the numbering plans in the phonenumbers library; ITU-T E.164 (at most 15 digits).
    Worked: "555 0100" in the US is questioned, "+44 20 7946 0958" is not.
    """
    digits = [character for character in text if character.isdigit()]
    if len(digits) < 6 or any(character.isalpha() for character in text):
        return ()
    try:
        number = phonenumbers.parse(text, region)
    except phonenumbers.NumberParseException:
        number = None
    if number is not None and phonenumbers.is_valid_number(number):
        return ()
    reason = "more than 15 digits" if len(digits) > 15 else f"no number in use in {region} looks like this"
    said = f"“{text}” does not look like a complete phone number ({reason}). Read it back with the customer; a number from another country starts with + and its country code."
    return (Finding("phone", "question", said, "ITU-T E.164 and the phonenumbers library", "lettering"),)
