"""What adorns a collar besides its lettering, said alike in the summary, sentence, estimate and proof."""

from dataclasses import dataclass

from service.design.grooves import NAMES
from service.design.paint import paint_of
from service.design.pattern import Pattern
from service.design.spec import Collar
from service.design.studs import NAMES as ROWS
from service.design.taper import throat_words
from service.design.tooling import MOTIFS
from service.language import mark
from service.saying import Exact, Length, Message, named, say, say_many


@dataclass(frozen=True, slots=True)
class Adornment:
    """One thing that adorns a collar: its `name`, what it is there, and both as a phrase in a list."""

    name: str
    value: Message
    phrase: Message


def adornments(pattern: Pattern) -> tuple[Adornment, ...]:
    """Return what adorns a collar and is not as on a plain one. Lettering is said by itself.

    Source: derived. Worked: a collar with six studs: "Studs", "6", "6 studs"; a plain one: nothing.
    """
    spec = pattern.spec
    found = []
    if isinstance(spec, Collar) and spec.throat is not None:
        found.append(
            Adornment(mark("Throat"), say("{width}", width=Length(spec.throat)), throat_words(spec.throat))
        )
    if spec.grooves != "one":
        count = NAMES[spec.grooves]
        found.append(Adornment(mark("Edge grooves"), count, count))
    if spec.border:
        motif = MOTIFS[spec.border].name
        found.append(Adornment(mark("Border"), motif, say("a border of {motif}", motif=motif)))
    studs = sum(one.kind == "stud" for one in pattern.strap.marks)
    if studs:
        value, phrase = named(str(studs)), say_many("{count} stud", "{count} studs", studs)
        if spec.stud_rows != "single":
            value, phrase = (
                say("{studs}, {rows}", studs=one, rows=ROWS[spec.stud_rows]) for one in (value, phrase)
            )
        found.append(Adornment(mark("Studs"), value, phrase))
    for one in pattern.strap.marks:
        if one.kind == "plate":
            size = say("{length} × {width}", length=Exact(one.length or 0.0), width=Exact(one.width or 0.0))
            code = next(
                (row.text for row in pattern.strap.marks if row.kind == "code" and row.x == one.x), None
            )
            if code is None:
                found.append(Adornment(mark("Name plate"), size, say("a name plate {size}", size=size)))
            else:
                value = say("{text}, {size}", text=code, size=size)
                found.append(Adornment(mark("QR tag"), value, say("a QR tag {size}", size=size)))
    paint = paint_of(spec)
    if paint:
        phrase = say("letters painted {colour}", colour=paint.name)
        found.append(Adornment(mark("Paint"), paint.name, phrase))
    return tuple(found)
