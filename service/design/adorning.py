"""What adorns a collar besides its lettering, said alike in the summary, sentence, estimate and proof."""

from collections.abc import Iterator
from dataclasses import dataclass

from service.design.grooves import NAMES
from service.design.lacing import LACE, LACINGS, lace_of
from service.design.lining import sewn
from service.design.paint import paint_of
from service.design.pattern import Pattern
from service.design.spec import Buckled
from service.design.studs import NAMES as ROWS
from service.design.taper import throat_words
from service.design.tooling import MOTIFS
from service.language import mark, within
from service.saying import Exact, Length, Message, OffSpool, named, say, say_many


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
    return *_lining(pattern), *_edges(pattern), *_studs(pattern), *_plates(pattern), *_paint(pattern)


def laid_out(pattern: Pattern) -> tuple[tuple[Message, str], ...]:
    """Return what is laid out beside the hardware, each with its place: lace for edges, thread for a lining.

    Source: derived. Worked: a plain collar: nothing.
    """
    lace, seam = lace_of(pattern.parts), sewn(pattern.strap.marks, pattern.fittings)
    rows: list[tuple[Message, str]] = []
    if lace:
        text = say("Lace, {width} wide: {lace}", width=Exact(LACE), lace=OffSpool(lace))
        rows.append((text, mark("edges")))
    thread = pattern.fittings.thread
    if seam is not None and thread is not None:
        text = say("{thread}: {length}", thread=thread.name, length=OffSpool(seam.thread))
        rows.append((text, mark("lining")))
    return tuple(rows)


def _lining(pattern: Pattern) -> Iterator[Adornment]:
    lining, thread = pattern.fittings.lining, pattern.fittings.thread
    if lining is not None and thread is not None:
        yield Adornment(
            mark("Lining"), named(lining.name), say("lined with {lining}", lining=within(lining.name))
        )
        yield Adornment(
            mark("Stitching"), named(thread.name), say("stitched in {thread}", thread=within(thread.name))
        )


def _edges(pattern: Pattern) -> Iterator[Adornment]:
    spec = pattern.spec
    if isinstance(spec, Buckled) and spec.throat is not None:
        width = say("{width}", width=Length(spec.throat))
        yield Adornment(mark("Throat"), width, throat_words(spec.throat))
    if spec.grooves != "one":
        count = NAMES[spec.grooves]
        yield Adornment(mark("Edge grooves"), count, count)
    if spec.border:
        motif = MOTIFS[spec.border].name
        yield Adornment(mark("Border"), motif, say("a border of {motif}", motif=motif))
    lace = lace_of(pattern.parts)
    if lace:
        name = LACINGS[spec.lacing].name
        value = say("{lacing}, {lace} of lace", lacing=name, lace=OffSpool(lace))
        yield Adornment(mark("Laced edges"), value, say("edges laced in {lacing}", lacing=name))


def _studs(pattern: Pattern) -> Iterator[Adornment]:
    studs = sum(line.quantity for line in pattern.hardware if line.kind == "stud")
    rows = pattern.spec.stud_rows
    if studs:
        value, phrase = named(str(studs)), say_many("{count} stud", "{count} studs", studs)
        if rows != "single":
            value, phrase = (say("{studs}, {rows}", studs=one, rows=ROWS[rows]) for one in (value, phrase))
        yield Adornment(mark("Studs"), value, phrase)


def _plates(pattern: Pattern) -> Iterator[Adornment]:
    codes = {one.x: one.text or "" for one in pattern.strap.marks if one.kind == "code"}
    for one in pattern.strap.marks:
        if one.kind != "plate":
            continue
        size = say("{length} × {width}", length=Exact(one.length or 0.0), width=Exact(one.width or 0.0))
        if one.x in codes:
            value = say("“{text}”, {size}", text=codes[one.x], size=size)
            yield Adornment(mark("QR tag"), value, say("a QR tag {size}", size=size))
        else:
            yield Adornment(mark("Name plate"), size, say("a name plate {size}", size=size))


def _paint(pattern: Pattern) -> Iterator[Adornment]:
    paint = paint_of(pattern.spec)
    if paint:
        phrase = say("letters painted {colour}", colour=paint.name)
        yield Adornment(mark("Paint"), paint.name, phrase)
