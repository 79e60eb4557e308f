"""Plates riveted on a strap: their outline, their rivets and what is engraved, on screen and on the sheet."""

from collections.abc import Iterable, Iterator
from math import tau

from service.design import CollarPattern, Mark, Pattern, Plated
from service.drawing.elements import group, path, turned
from service.drawing.eye import QUARTER, View, seen
from service.drawing.letters import FINE, Contour, advance, contours, outline
from service.drawing.materials import Look
from service.drawing.palette import engraved_in, tone
from service.drawing.scan_code import QUIET, code_path, code_runs
from service.drawing.sheet import FILL, MARK, Item, Path, Run
from service.geometry import Point

CORNER = 2.0
"""Radius of a plate's corners [mm]. By eye."""
GAP = 0.12
"""Between two engraved letters, in capital heights, as in `design/plates.py`."""
BEND = 0.5522847498
"""Control length of the cubic for a quarter circle of radius 1."""


def plates_among(pattern: Pattern) -> tuple[Mark, ...]:
    """Return the plates on a pattern's strap, in the order of its fittings."""
    return tuple(mark for mark in pattern.strap.marks if mark.kind == "plate")


def plate_rivets(plated: Plated, mark: Mark) -> tuple[float, float]:
    """Return where along the strap the rivets of a plate are [mm]."""
    half = plated.plate.hole_distance / 2
    return mark.x - half, mark.x + half


def plate_path(mark: Mark) -> str:
    """Return path data of a plate on the flat strap [mm]."""
    half, tall = (mark.length or 0.0) / 2, (mark.width or 0.0) / 2
    r, x, y = CORNER, mark.x, -mark.y
    return (
        f"M{x - half:.2f} {y - tall + r:.2f}a{r} {r} 0 0 1 {r}-{r}H{x + half - r:.2f}a{r} {r} 0 0 1 {r} {r}"
        f"V{y + tall - r:.2f}a{r} {r} 0 0 1-{r} {r}H{x - half + r:.2f}a{r} {r} 0 0 1-{r}-{r}Z"
    )


def rounded(x: float, y: float, mark: Mark) -> Run:
    """Return a plate's outline as a run on a sheet on which its middle lies at a place [mm]."""
    half, tall, r = (mark.length or 0.0) / 2, (mark.width or 0.0) / 2, CORNER
    k = r * (1 - BEND)
    left, right, top, foot = x - half, x + half, y - tall, y + tall
    return Run(
        (left, top + r),
        (
            ((left, top + k), (left + k, top), (left + r, top)),
            ((right - r, top),),
            ((right - k, top), (right, top + k), (right, top + r)),
            ((right, foot - r),),
            ((right, foot - k), (right - k, foot), (right - r, foot)),
            ((left + r, foot),),
            ((left + k, foot), (left, foot - k), (left, foot - r)),
        ),
        closed=True,
    )


def plate_items(marks: Iterable[Mark], at: Point) -> Iterator[Item]:
    """Yield the plates among a strap's marks and what is engraved on them, the strap laid at a point [mm]."""
    for mark in marks:
        x, y = at[0] + mark.x, at[1] - mark.y
        if mark.kind == "plate":
            yield Path(MARK, (rounded(x, y, mark),), "plate")
        elif mark.kind == "engraving":
            shapes = engraving(mark, (x, y))
            yield Path(MARK, tuple(Run(one.start, one.steps, closed=True) for one in shapes), "engraving")
        elif mark.kind == "code" and mark.text and mark.length is not None:
            corner = x - mark.length / 2, y - mark.length / 2
            yield Path(FILL, tuple(code_runs(mark.text, corner, mark.length)), "code")


def engraving(mark: Mark, at: Point) -> tuple[Contour, ...]:
    """Return the outlines [mm] of a line of engraved text about a point [mm]."""
    height = mark.height or 0.0
    return contours(mark.text or "", at, height, GAP * height)


def engraving_path(mark: Mark) -> str:
    """Return the same on the flat strap as path data, in parts of a millimetre (`letters.FINE`)."""
    height = mark.height or 0.0
    return outline(mark.text or "", (mark.x, -mark.y), height, GAP * height)


def code_on(mark: Mark, place: str, size: float) -> str:
    """Return a code as an element `size` times as large as on the strap [mm], moved by a transform before."""
    module = (mark.length or 0.0) / ((mark.count or 0) + 2 * QUIET) * size
    return turned(code_path(mark.text or ""), f"{place}scale({module:.4f})")


def worn_plates(pattern: CollarPattern, view: View, own: Look) -> str:
    """Return the plates bent round the neck as an eye sees them; what has gone behind it is left out."""
    fold, turn, metal = pattern.layout.fold, tau / view.flat, own.metal
    drawn = []
    for one, mark in zip(pattern.fittings.plates, plates_among(pattern), strict=True):
        middle, half = view.angle(mark.x - fold), (mark.length or 0.0) / 2 * turn
        if abs(middle) >= QUARTER + half:
            continue
        off = one.plate.gauge * view.scale
        face = view.strip(middle - half, middle + half, (mark.width or 0.0) / 2 * view.scale, off)
        drawn.append(path(face, fill=tone(metal, 0.12), stroke=tone(metal, -0.5), stroke_width=6))
        size = one.fastener.cap / 20 * view.scale
        angles = (view.angle(x - fold) for x in plate_rivets(one, mark))
        drawn += [own.cap.draw(view.lying(angle, 0, size, off)) for angle in angles if seen(angle)]
    letters = [
        turned(shape, place)
        for mark in pattern.strap.marks
        if mark.kind == "engraving"
        for shape, place in _bent(mark, fold, view)
    ]
    letters += (
        code_on(mark, view.lying(view.angle(mark.x - fold), 0.0, view.scale), 1.0)
        for mark in pattern.strap.marks
        if mark.kind == "code" and seen(view.angle(mark.x - fold))
    )
    return "".join(drawn) + (group("".join(letters), fill=engraved_in(metal)) if letters else "")


def _bent(mark: Mark, fold: float, view: View) -> Iterator[tuple[str, str]]:
    """Each letter that is seen, about its own middle, and where it lies."""
    height = mark.height or 0.0
    x = mark.x - (mark.length or 0.0) / 2 - fold
    for sign in mark.text or "":
        wide = advance(sign, height)
        angle = view.angle(x + wide / 2)
        x += wide + GAP * height
        if sign != " " and seen(angle):
            shape = outline(sign, (0.0, 0.0), height)
            yield shape, view.lying(angle, mark.y * view.scale, view.scale / FINE)
