"""Writes pages as PDF: points from millimetres, y turned up, fonts embedded, the same bytes every time."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from io import BytesIO
from math import floor
from threading import Lock

from reportlab.lib.colors import HexColor
from reportlab.pdfgen.canvas import Canvas
from reportlab.pdfgen.pathobject import PDFPathObject

from service.drawing.correction import AS_IT_IS, Correction
from service.drawing.sheet import PENS, Box, Circle, Item, Path, Pen, Run, Text
from service.drawing.typeface import Weight, font, showable, writable
from service.language import spoken
from service.units import IN

POINT = 72 / IN
"""Points in a millimetre. Source: ISO 32000-1, 8.3.2.3 (default user space, 1/72 in)."""

# reportlab's fonts are not made for two documents at the same time.
_ONE_WRITER = Lock()


@dataclass(frozen=True, slots=True)
class Layer:
    """Things to draw, moved right and down [mm], and the window [mm] they show through, if any."""

    items: tuple[Item, ...]
    dx: float = 0.0
    dy: float = 0.0
    window: Box | None = None


@dataclass(frozen=True, slots=True)
class Page:
    """A page of this width and height [mm] and its layers; one from a roll `grows` with what is on it."""

    width: float
    height: float
    layers: tuple[Layer, ...]
    grows: bool = False


def write_pdf(pages: Sequence[Page], title: str, subject: str, correction: Correction = AS_IT_IS) -> bytes:
    """Return a PDF that asks to be printed without scaling; the same pages give the same bytes.

    What is drawn is corrected for the printer, on a sheet about its middle, and each page says so.
    """
    out = BytesIO()
    with _ONE_WRITER:
        canvas = Canvas(out, invariant=True, pageCompression=1, pdfVersion=(1, 6), lang=spoken().code)
        canvas.setTitle(writable(title))
        canvas.setSubject(writable(subject))
        canvas.setCreator("Girthwright")
        canvas.setAuthor("")
        canvas.setViewerPreference("PrintScaling", "None")
        stamps = _Stamps(canvas)
        for page in pages:
            _lay(canvas, page, correction)
            note = Layer(tuple(correction.note(page.width, page.height)))
            for layer in (*page.layers, note):
                _Replay(canvas, page.height, layer, stamps).draw()
            canvas.showPage()
        canvas.save()
    return out.getvalue()


def _lay(canvas: Canvas, page: Page, correction: Correction) -> None:
    """Set the page's size, and stretch whatever is drawn on it."""
    across, down = correction.scale
    width, height = page.width * POINT, page.height * POINT
    if page.grows:
        canvas.setPageSize((width * across, height * down))
        x = y = 0.0
    else:
        canvas.setPageSize((width, height))
        x, y = width / 2 * (1 - across), height / 2 * (1 - down)
    if not correction.is_none:
        canvas.transform(across, 0, 0, down, x, y)


class _Stamps:
    """Shapes that are drawn in many places: each is in the file once, as a form (ISO 32000-1, 8.10)."""

    def __init__(self, canvas: Canvas) -> None:
        self._canvas = canvas
        self._names: dict[tuple[Pen, tuple[Run, ...]], str] = {}

    def name(self, item: Path) -> str:
        """Return what a shape's form is called: about its own origin [points], for the pen in use."""
        key = item.pen, item.runs
        if key not in self._names:
            name = self._names[key] = f"stamp-{len(self._names) + 1}"
            x0, y0, x1, y1 = (size * POINT for size in Path(item.pen, item.runs).box)
            room = item.pen.width * POINT
            self._canvas.beginForm(name, floor(x0 - room), floor(-y1 - room), x1 + room, -y0 + room)
            _draw(self._canvas, item, 0.0, 0.0)
            self._canvas.endForm()
        return self._names[key]


def _draw(canvas: Canvas, shape: Path | Circle, left: float, top: float) -> None:
    """Draw a shape whose origin is at a place [points] with the pen in use."""
    path = canvas.beginPath()
    if isinstance(shape, Circle):
        x, y = shape.centre
        path.circle(left + x * POINT, top - y * POINT, shape.radius * POINT)
    else:
        for run in shape.runs:
            _stroke(run, path, left, top)
    canvas.drawPath(path, stroke=int(shape.pen.width > 0), fill=int(shape.pen.width == 0))


def _stroke(run: Run, path: PDFPathObject, left: float, top: float) -> None:
    path.moveTo(left + run.start[0] * POINT, top - run.start[1] * POINT)
    for step in run.steps:
        flat = [number for x, y in step for number in (left + x * POINT, top - y * POINT)]
        if len(step) == 1:
            path.lineTo(*flat)
        else:
            path.curveTo(*flat)
    if run.closed:
        path.close()


class _Replay:
    """Draws one layer on a canvas whose y runs up."""

    def __init__(self, canvas: Canvas, page_height: float, layer: Layer, stamps: _Stamps) -> None:
        self._canvas = canvas
        self._stamps = stamps
        self._left = layer.dx * POINT
        self._top = (page_height - layer.dy) * POINT
        self._page_height = page_height
        self._layer = layer

    def draw(self) -> None:
        self._canvas.saveState()
        window = self._layer.window
        if window is not None:
            x0, y0, x1, y1 = window
            clip = self._canvas.beginPath()
            clip.rect(x0 * POINT, (self._page_height - y1) * POINT, (x1 - x0) * POINT, (y1 - y0) * POINT)
            self._canvas.clipPath(clip, stroke=0, fill=0)
        self._shapes()
        self._texts()
        self._canvas.restoreState()

    def _shapes(self) -> None:
        shapes: dict[Pen, list[Path | Circle]] = {}
        for item in self._layer.items:
            if not isinstance(item, Text):
                shapes.setdefault(item.pen, []).append(item)
        for pen in PENS:
            if pen in shapes:
                self._take(pen)
                for shape in shapes[pen]:
                    if isinstance(shape, Path) and shape.places:
                        self._stamp(shape)
                    else:
                        _draw(self._canvas, shape, self._left, self._top)

    def _stamp(self, shape: Path) -> None:
        """Draw a shape at all of its places that show."""
        name, alone = self._stamps.name(shape), replace(shape, places=())
        left, top, right, foot = alone.box
        for x, y in shape.places:
            if self._shows((left + x, top + y, right + x, foot + y)):
                self._canvas.saveState()
                self._canvas.translate(self._x(x), self._y(y))
                self._canvas.doForm(name)
                self._canvas.restoreState()

    def _shows(self, box: Box) -> bool:
        """Whether any of what lies in a box [mm] is in the layer's window."""
        if self._layer.window is None:
            return True
        x0, y0, x1, y1 = self._layer.window
        dx, dy = self._layer.dx, self._layer.dy
        return box[0] + dx <= x1 and box[2] + dx >= x0 and box[1] + dy <= y1 and box[3] + dy >= y0

    def _take(self, pen: Pen) -> None:
        if pen.width:
            self._canvas.setLineWidth(pen.width * POINT)
            self._canvas.setStrokeColor(HexColor(pen.colour))
            self._canvas.setDash([length * POINT for length in pen.dashes])
        else:
            self._canvas.setFillColor(HexColor(pen.colour))

    def _texts(self) -> None:
        for style, texts in _by_style(self._layer.items).items():
            weight, size, colour = style
            font(weight)
            self._canvas.setFont(weight, size * POINT)
            self._canvas.setFillColor(HexColor(colour))
            for text in texts:
                self._text(text)

    def _text(self, text: Text) -> None:
        shown = showable(text.text, text.weight)
        share = {"start": 0.0, "middle": 0.5, "end": 1.0}[text.anchor]
        x = text.at[0] - share * text.width
        self._canvas.drawString(self._x(x), self._y(text.at[1]), shown)

    def _x(self, x: float) -> float:
        return self._left + x * POINT

    def _y(self, y: float) -> float:
        return self._top - y * POINT


def _by_style(items: Iterable[Item]) -> dict[tuple[Weight, float, str], list[Text]]:
    styles: dict[tuple[Weight, float, str], list[Text]] = {}
    for item in items:
        if isinstance(item, Text):
            styles.setdefault((item.weight, item.size, item.colour), []).append(item)
    return styles
