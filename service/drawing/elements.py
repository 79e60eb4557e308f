"""Building blocks of the preview: elements written by svgwrite, numbers as short as they may be.

svgwrite writes each kind of element once for each set of attributes, with a gap where the path data or the
text goes; a drawing then only fills the gaps. That is many times faster than building the elements anew, and
what can come from a person (text) is escaped where it is filled in.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from xml.etree.ElementTree import tostring
from xml.sax.saxutils import escape

from svgwrite.base import BaseElement
from svgwrite.container import SVG, Defs, Group
from svgwrite.gradients import LinearGradient, RadialGradient
from svgwrite.path import Path
from svgwrite.text import Text

from service.geometry import Point

Attribute = str | float
Box = tuple[float, float, float, float]
"""A view box: left, top, width, height."""
_GAP = "GAP"
_POINT = "%.2f %.2f".__mod__


def number(value: float) -> str:
    """Write a coordinate to two decimals, without needless noughts."""
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def line(points: Iterable[Point], *, closed: bool = False) -> str:
    """Return path data for a run of points, to two decimals."""
    text = "M" + " ".join(map(_POINT, points))
    return text + "Z" if closed else text


def disc(x: float, y: float, radius: float) -> str:
    """Return path data of a circle."""
    return f"M{x - radius:.2f} {y:.2f}{_round_it(radius)}"


@lru_cache(maxsize=1024)
def _round_it(r: float) -> str:
    """From a circle's left all round: the same for each circle of a size."""
    return f"a{r:.2f} {r:.2f} 0 1 0 {2 * r:.2f} 0a{r:.2f} {r:.2f} 0 1 0 -{2 * r:.2f} 0Z"


@lru_cache(maxsize=4096)
def _parts(kind: type[BaseElement], attributes: tuple[tuple[str, Attribute], ...]) -> tuple[str, str]:
    """What svgwrite writes before and after the gap of an element."""
    fixed = dict(attributes)
    element: BaseElement
    if kind is Path:
        element = Path(d=_GAP, debug=False, **fixed)
    elif kind is Text:
        element = Text(_GAP, debug=False, **fixed)
    else:
        element = Group(debug=False, **fixed)
        element.add(Text(_GAP, debug=False))
    before, after = tostring(element.get_xml(), encoding="unicode").split(_GAP)
    if kind is Group:
        return before.removesuffix("<text>"), after.removeprefix("</text>")
    return before, after


_BARE_TEXT = _parts(Text, ())


@dataclass(frozen=True, slots=True)
class Brush:
    """What svgwrite writes before and after the data of a path with certain attributes."""

    before: str
    after: str

    def draw(self, d: str) -> str:
        """Return the path with this data."""
        return f"{self.before}{d}{self.after}"


@lru_cache(maxsize=4096)
def brush(**attributes: Attribute) -> Brush:
    """Return the brush for these presentation attributes."""
    return Brush(*_parts(Path, tuple(attributes.items())))


def path(d: str, **attributes: Attribute) -> str:
    """Return a path with presentation attributes only."""
    return brush(**attributes).draw(d)


def words(text: str, x: float, y: float, **attributes: Attribute) -> str:
    """Return a text element with its anchor at a place; the text is escaped."""
    before, after = _parts(Text, tuple(attributes.items())) if attributes else _BARE_TEXT
    return f'{before[:-1]} x="{x:.2f}" y="{y:.2f}">{_escaped(text)}{after}'


@lru_cache(maxsize=1024)
def _escaped(text: str) -> str:
    return escape(text)


def group(content: str, **attributes: Attribute) -> str:
    """Return a group round elements already written."""
    before, after = _parts(Group, tuple(attributes.items()))
    return before + content + after


def gradient(
    ident: str, ends: Sequence[float], stops: Sequence[tuple[float, str, float]], **more: str
) -> BaseElement:
    """Return a linear gradient from (x1, y1) to (x2, y2) [units]; a stop is offset, colour, opacity."""
    x1, y1, x2, y2 = ends
    element = LinearGradient(
        (x1, y1), (x2, y2), id=ident, gradientUnits="userSpaceOnUse", debug=False, **more
    )
    for offset, colour, opacity in stops:
        element.add_stop_color(offset, colour, None if opacity == 1 else opacity)
    return element


def glow(ident: str, stops: Sequence[tuple[float, str, float]], focal: Point = (0.5, 0.5)) -> BaseElement:
    """Return a radial gradient that fills whatever it paints; a stop is offset, colour, opacity."""
    element = RadialGradient(id=ident, fx=focal[0], fy=focal[1], debug=False)
    for offset, colour, opacity in stops:
        element.add_stop_color(offset, colour, None if opacity == 1 else opacity)
    return element


def definitions(*gradients: BaseElement) -> str:
    """Return a `defs` element holding these."""
    defs = Defs(debug=False)
    for element in gradients:
        defs.add(element)
    return tostring(defs.get_xml(), encoding="unicode")


def named(content: str, ident: str) -> str:
    """Return elements already written that are drawn only where `placed` puts them."""
    return f"<defs>{group(content, id=ident)}</defs>"


def again(ident: str, **attributes: Attribute) -> str:
    """Return an element that draws what has this name once more; what it leaves unsaid, these say."""
    before, after = _parts(Group, tuple(attributes.items()))
    return f'{before}<use href="#{ident}"/>{after}'


@lru_cache(maxsize=1024)
def placed(ident: str) -> Brush:
    """Return the brush that draws what has this name; its data is a transform."""
    return Brush(f'<use href="#{ident}" transform="', '"/>')


def turned(d: str, transform: str) -> str:
    """Return a path with a transform of its own, which no other shares."""
    return f'<path d="{d}" transform="{transform}"/>'


def moved(content: str, dx: float, dy: float) -> str:
    """Return elements already written, moved to one side and down."""
    return f'<g transform="translate({dx:.2f} {dy:.2f})">{content}</g>'


@dataclass(frozen=True, slots=True)
class Figure:
    """A drawing not yet written: view box, elements, what it shows in words, and its class on a page."""

    box: Box
    content: str
    label: str
    kind: str

    def inline(self) -> str:
        """Return the figure as an `svg` element for a page, which gives it its size."""
        start, end = _frame(self.label, self.kind)
        x, y, wide, high = self.box
        return f'{start} viewBox="{x:.2f} {y:.2f} {wide:.2f} {high:.2f}">{self.content}{end}'

    def placed(self, left: float, top: float, width: float) -> tuple[str, float]:
        """Return the figure as an `svg` element at a place in another, this wide, and its height there."""
        start, end = _frame(self.label, self.kind)
        x, y, wide, high = self.box
        height = width * high / wide
        place = f'x="{left:.2f}" y="{top:.2f}" width="{width:.2f}" height="{height:.2f}"'
        box = f'viewBox="{x:.2f} {y:.2f} {wide:.2f} {high:.2f}"'
        return f"{start} {place} {box}>{self.content}{end}", height


@lru_cache(maxsize=256)
def _frame(label: str, kind: str) -> tuple[str, str]:
    """What svgwrite writes before and after the content of an `svg` element, without the first `>`."""
    element = SVG(debug=False, class_=kind, role="img", aria_label=label)
    element.elements.clear()  # an empty <defs> that svgwrite always adds
    element.add(Text(_GAP, debug=False))
    element.attribs["xmlns"] = "http://www.w3.org/2000/svg"
    before, after = tostring(element.get_xml(), encoding="unicode").split(_GAP)
    return before.removesuffix("><text>"), after.removeprefix("</text>")
