"""The stamped letters as outlines: Besley Bold's shapes at a capital height, ready for any writer.

Everything is in millimetres with y running down the sheet, and outlines fill by the non-zero rule. Shapes
are read once from the font and kept in capital heights: a letter of any size is one multiplication away.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache, lru_cache
from io import BytesIO
from pathlib import Path
from threading import Lock
from types import MappingProxyType

from fontTools.pens.qu2cuPen import Qu2CuPen
from fontTools.pens.recordingPen import DecomposingRecordingPen, RecordingPen
from fontTools.ttLib import TTFont

from service.geometry import Point

CHARACTERS = frozenset("ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789&.,-+'!?/# ")
"""What a well-stocked set of letter stamps holds, and the space between words (common practice)."""

Step = tuple[Point, ...]

_FONT_FILE = Path(__file__).with_name("fonts") / "besley-700.ttf"
_FONT_ADVANCES: Mapping[str, float] = MappingProxyType({})
# Cubics need half the steps of the font's quadratics, and PDF knows no others. In the font's units, 1500 to a
# capital: 0.008 mm on a letter 8 mm high, far under what a stamp leaves in leather.
_CURVE_TOLERANCE = 1.5
# fontTools reads its tables when first asked for and is not made for two threads doing so at once.
_ONE_READER = Lock()

FINE = 20
"""Parts of a millimetre in which letters are drawn on a screen: as whole numbers, finer than it shows."""


@dataclass(frozen=True, slots=True)
class Contour:
    """One closed outline [mm]: its start, and the steps from there, closed by a line back to the start.

    A step of one point is the end of a line; one of three is the control points and the end of a cubic curve.
    """

    start: Point
    steps: tuple[Step, ...]


@dataclass(frozen=True, slots=True)
class _Letter:
    """A letter in capital heights: its advance, and its contours from its left on the baseline."""

    advance: float
    contours: tuple[Contour, ...]


# Drawn for a stamp the font has no shape for, so that a gap in the font shows and stays harmless.
_FRAME = _Letter(
    0.7,
    (
        Contour((0.05, 0.0), (((0.05, -1.0),), ((0.65, -1.0),), ((0.65, 0.0),))),
        Contour((0.12, -0.07), (((0.58, -0.07),), ((0.58, -0.93),), ((0.12, -0.93),))),
    ),
)


@cache
def _font() -> TTFont:
    return TTFont(BytesIO(_FONT_FILE.read_bytes()))


@lru_cache(maxsize=512)
def _letter(character: str) -> _Letter:
    with _ONE_READER:
        font = _font()
        name = font.getBestCmap().get(ord(character))
        if name is None:
            return _FRAME
        capital = float(font["OS/2"].sCapHeight)
        glyphs = font.getGlyphSet()
        quadratics = DecomposingRecordingPen(glyphs)
        glyphs[name].draw(quadratics)
    cubics = RecordingPen()
    quadratics.replay(Qu2CuPen(cubics, _CURVE_TOLERANCE, all_cubic=True))
    return _Letter(glyphs[name].width / capital, tuple(_contours_of(cubics, capital)))


def _contours_of(recording: RecordingPen, capital: float) -> Iterator[Contour]:
    steps: list[Step] = []
    for command, points in recording.value:
        if command == "closePath":
            yield Contour(steps[0][0], tuple(steps[1:]))
            steps = []
        else:
            steps.append(tuple((x / capital, -y / capital) for x, y in points))


def advance(character: str, cap_height: float) -> float:
    """Return how far [mm] one character takes the next one along at a capital height [mm], by the font.

    A character the font has no shape for takes the width of the frame drawn in its place.
    Source: the font's horizontal metrics (hmtx) over its capital height (OS/2 sCapHeight), derived.
    Worked: an H of Besley Bold 10 mm high takes 12.633 mm.
    """
    return _letter(character).advance * cap_height


def stamp_advances() -> dict[str, float]:
    """Return the advance of each of CHARACTERS as a share of the capital height, in order of character.

    Source: derived, see `advance`. Worked: the entry for H is 1.263.
    """
    return {character: advance(character, 1.0) for character in sorted(CHARACTERS)}


def _placed(
    text: str, at: Point, cap_height: float, spacing: float, advances: Mapping[str, float]
) -> Iterator[tuple[str, float, float]]:
    """Yield each character with its left [mm] and its baseline [mm], the text centred on a point [mm]."""
    own = [advance(character, cap_height) for character in text]
    cells = [
        advances[character] * cap_height if character in advances else width
        for character, width in zip(text, own, strict=True)
    ]
    left = at[0] - (sum(cells) + spacing * (len(text) - 1)) / 2
    baseline = at[1] + cap_height / 2
    for character, width, cell in zip(text, own, cells, strict=True):
        yield character, left + (cell - width) / 2, baseline
        left += cell + spacing


def contours(
    text: str,
    at: Point,
    cap_height: float,
    spacing: float = 0.0,
    advances: Mapping[str, float] = _FONT_ADVANCES,
) -> tuple[Contour, ...]:
    """Return the closed outlines [mm] of a text whose capitals are centred on a point [mm], unrounded.

    Capitals are `cap_height` [mm] tall, `spacing` [mm] is the gap left between stamps, and `advances` gives
    the width of each stamp as a share of the capital height: a letter stands in the middle of its stamp. A
    character without an advance takes the font's; one without a shape is drawn as an empty frame. Fill by the
    non-zero rule.
    Source: derived. Worked: "H" 10 mm high at (0, 0) runs from y -5 to y 5.
    """
    return tuple(
        Contour(
            (x + contour.start[0] * cap_height, y + contour.start[1] * cap_height),
            tuple(
                tuple((x + px * cap_height, y + py * cap_height) for px, py in step) for step in contour.steps
            ),
        )
        for character, x, y in _placed(text, at, cap_height, spacing, advances)
        for contour in _letter(character).contours
    )


def outline(
    text: str,
    at: Point,
    cap_height: float,
    spacing: float = 0.0,
    advances: Mapping[str, float] = _FONT_ADVANCES,
    fine: int = FINE,
) -> str:
    """Return what `contours` returns for the same arguments [mm] as SVG path data, `fine` units to a mm.

    This is writer's output and so it is rounded to whole units: where each letter begins, and its shape.
    Steps are differences of rounded places, so they add up exactly and nothing drifts; being the same
    wherever a letter stands, they are written once for each letter and height.
    Source: SVG 2, section 9.3 (path data). Worked: a space gives the empty string.
    """
    place = at[0] * fine, at[1] * fine
    letters = (
        (x, y, _written(character, cap_height * fine))
        for character, x, y in _placed(text, place, cap_height * fine, spacing * fine, advances)
    )
    return "".join(
        [f"M{x + start[0]:.0f} {y + start[1]:.0f}{shape}" for x, y, (start, shape) in letters if shape]
    )


@lru_cache(maxsize=1024)
def outline_of(character: str, cap_height: float) -> str:
    """Return `outline` of one character about 0, kept: a worn view sets each letter by itself."""
    return outline(character, (0.0, 0.0), cap_height)


@lru_cache(maxsize=1024)
def _written(character: str, cap_height: float) -> tuple[tuple[int, int], str]:
    """Return where a letter begins, from its origin [units], and its shape; a space has none."""
    begun = x, y = (0, 0)
    written: list[str] = []
    for contour in _letter(character).contours:
        start = _rounded(contour.start, cap_height)
        if written:  # a closed contour ends where it began
            written.append("m" + _joined([start[0] - x, start[1] - y]))
        else:
            begun = start
        x, y = start
        written.append(_steps(contour, cap_height))
    return begun, "".join(written)


def _rounded(point: Point, cap_height: float) -> tuple[int, int]:
    return round(point[0] * cap_height), round(point[1] * cap_height)


def _steps(contour: Contour, cap_height: float) -> str:
    x, y = _rounded(contour.start, cap_height)
    written = []
    for step in contour.steps:
        places = [_rounded(point, cap_height) for point in step]
        command = "l" if len(places) == 1 else "c"
        written.append(command + _joined([number for px, py in places for number in (px - x, py - y)]))
        x, y = places[-1]
    return "".join((*written, "z"))


def _joined(numbers: list[int]) -> str:
    """Write numbers as short as SVG allows: a minus sign separates."""
    return "".join(str(number) if number < 0 else f" {number}" for number in numbers).lstrip()
