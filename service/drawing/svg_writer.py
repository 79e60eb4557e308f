"""Writes a sheet as SVG in millimetres: only presentation attributes, coordinates absolute, rounded once."""

from collections.abc import Iterable, Iterator

from svgwrite import Drawing
from svgwrite.base import BaseElement
from svgwrite.container import Group
from svgwrite.path import Path as SvgPath
from svgwrite.shapes import Circle as SvgCircle
from svgwrite.text import Text as SvgText

from service.drawing.sheet import PENS, Anchor, Circle, Item, Path, Pen, Run, Sheet, Text
from service.drawing.typeface import FAMILIES, Weight, writable

PLACES = 3
"""Decimals of a millimetre that are written."""


def write_svg(sheet: Sheet, title: str) -> str:
    """Return an SVG document, as wide and high in mm as the sheet, one unit of the view box to 1 mm."""
    width, height = _number(sheet.width), _number(sheet.height)
    drawing = Drawing(size=(f"{width}mm", f"{height}mm"), viewBox=f"0 0 {width} {height}", debug=False)
    drawing.set_desc(title=writable(title))
    for group in _layers(sheet.items):
        drawing.add(group)
    return f'<?xml version="1.0" encoding="utf-8"?>\n{drawing.tostring()}\n'


def _layers(items: Iterable[Item]) -> Iterator[Group]:
    """One group for each pen, named for it, then the text."""
    by_pen: dict[Pen, list[Path | Circle]] = {pen: [] for pen in PENS}
    texts: list[Text] = []
    for item in items:
        if isinstance(item, Text):
            texts.append(item)
        else:
            by_pen[item.pen].append(item)
    for pen, shapes in by_pen.items():
        if shapes:
            yield _group(pen, (_shape(shape) for shape in shapes))
    yield _lettering(texts)


def _group(pen: Pen, shapes: Iterable[BaseElement]) -> Group:
    paint: dict[str, str]
    if pen.width:
        paint = {"fill": "none", "stroke": pen.colour, "stroke_width": _number(pen.width)}
        if pen.dashes:
            paint["stroke_dasharray"] = " ".join(map(_number, pen.dashes))
    else:
        paint = {"fill": pen.colour}
    group = Group(id=pen.name, debug=False, **paint)
    for shape in shapes:
        group.add(shape)
    return group


def _shape(shape: Path | Circle) -> BaseElement:
    named = {"class_": shape.name} if shape.name else {}
    if isinstance(shape, Circle):
        centre = _number(shape.centre[0]), _number(shape.centre[1])
        return SvgCircle(centre, _number(shape.radius), debug=False, **named)
    return SvgPath("".join(map(_run, shape.strokes)), debug=False, **named)


def _run(run: Run) -> str:
    steps = (("L" if len(step) == 1 else "C") + " ".join(map(_pair, step)) for step in run.steps)
    return f"M{_pair(run.start)}{''.join(steps)}{'Z' if run.closed else ''}"


def _lettering(texts: Iterable[Text]) -> Group:
    """All text, in one group for each weight, colour and anchor."""
    styles: dict[tuple[Weight, str, Anchor], list[Text]] = {}
    for text in texts:
        styles.setdefault((text.weight, text.colour, text.anchor), []).append(text)
    group = Group(id="text", debug=False)
    for (weight, colour, anchor), alike in styles.items():
        family = f"'{FAMILIES[weight]}', {'serif' if weight == 'display' else 'sans-serif'}"
        thick = "400" if weight == "regular" else "700"
        style = Group(debug=False, fill=colour, font_family=family, font_weight=thick, text_anchor=anchor)
        for text in alike:
            style.add(_text(text))
        group.add(style)
    return group


def _text(text: Text) -> SvgText:
    # Drawn in whatever font there is, a text keeps to the width that was planned for it.
    return SvgText(
        writable(text.text),
        (_number(text.at[0]), _number(text.at[1])),
        debug=False,
        font_size=_number(text.size),
        textLength=_number(text.width),
        lengthAdjust="spacingAndGlyphs",
    )


def _pair(point: tuple[float, float]) -> str:
    return f"{_number(point[0])} {_number(point[1])}"


def _number(value: float) -> str:
    text = f"{value:.{PLACES}f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text
