"""How leather and metal look round a neck: bands, pieces laid on, rods and domes, with light and shadow."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from service.drawing.elements import Brush, brush, definitions, gradient, group, number, path
from service.drawing.eye import BOX, RADIUS, SIN_TILT, View, front
from service.drawing.palette import pressed, raised, tone


@dataclass(frozen=True, slots=True)
class Look:
    """Everything about a drawing that depends on a leather's and a metal's colour and on nothing else.

    `ground` are the gradients and the neck; the brushes are named for what they draw.
    """

    leather: str
    metal: str
    ground: str
    skin: str
    under: Brush
    face: Brush
    rim: Brush
    groove: Brush
    glint: Brush
    hole: Brush
    tail_groove: Brush
    hump: Brush
    crest: Brush
    dome: Brush


@lru_cache(maxsize=256)
def look(leather: str, metal: str) -> Look:
    """Return the look of a leather and a metal, given as colours such as #7a3b1d."""
    skin, shine = f"url(#skin-{leather[1:]})", f"url(#shine-{metal[1:]})"
    dark, light = pressed(leather), raised(leather)
    return Look(
        leather=leather,
        metal=metal,
        ground=_ground(leather, metal),
        skin=skin,
        under=brush(fill="none", stroke="#000", stroke_width=4, stroke_opacity=0.16),
        face=brush(fill=skin),
        rim=brush(fill=tone(leather, -0.5)),
        groove=brush(fill="none", stroke=dark, stroke_width=0.9, stroke_opacity=0.75),
        glint=brush(fill="none", stroke=light, stroke_width=0.6, stroke_opacity=0.5),
        hole=brush(fill=dark),
        tail_groove=brush(fill="none", stroke=dark, stroke_width=0.8, stroke_opacity=0.6),
        hump=brush(fill=skin, stroke=tone(leather, -0.5), stroke_width=0.6),
        crest=brush(stroke=light, stroke_width=1.6, stroke_opacity=0.6, stroke_linecap="round"),
        dome=brush(fill=shine, stroke=tone(metal, -0.62), stroke_width=1.1),
    )


def _ground(leather: str, metal: str) -> str:
    skin = [(0, -0.66), (0.08, -0.42), (0.34, 0.17), (0.52, 0.03), (0.84, -0.26), (0.94, -0.44), (1, -0.66)]
    shine = [(0, 0.55), (0.3, 0.08), (0.62, -0.38), (1, 0.20)]
    fade = [(0.0, 0.0), (0.36, 0.22), (0.62, 0.24), (0.97, 0.0)]
    defs = definitions(
        gradient(
            f"skin-{leather[1:]}",
            (-RADIUS, 0, RADIUS, 0),
            [(at, tone(leather, amount), 1.0) for at, amount in skin],
        ),
        gradient(
            f"shine-{metal[1:]}",
            (0, 0, 9, 20),
            [(at, tone(metal, amount), 1.0) for at, amount in shine],
            spreadMethod="reflect",
        ),
        gradient("neck", (0, BOX[1], 0, BOX[1] + BOX[3]), [(at, "#5d6668", share) for at, share in fade]),
    )
    return defs + path(NECK, fill="url(#neck)")


NECK = "M-88-88C-88-58-91-34-95-14C-97 12-97 40-106 88H106C97 40 97 12 95-14C91-34 88-58 88-88Z"
"""Outline of the neck: narrower towards the head, wider towards the shoulders."""


def groove(view: View) -> float:
    """How far the edge groove runs from the edge [units]: 3 mm, less on a narrow strap. Common practice."""
    return min(3 * view.scale, view.width * 0.16)


def band(view: View, own: Look) -> str:
    """The strap itself, as far as it is seen."""
    half, line_in = view.width / 2, view.width / 2 - groove(view)
    top = f"M{front(half, 0)}"
    dark = f"M{front(line_in, 0)}M{front(-line_in, 0)}"
    light = f"M{front(line_in - 0.9, 0)}M{front(-line_in - 0.9, 0)}M{front(half - 0.4, 0)}"
    return "".join(
        (
            own.under.draw(f"M{front(-half - 1.2, -2.5)}"),
            own.face.draw(f"{top}L{front(-half, 0, back=True)}Z"),
            own.rim.draw(f"{top}L{front(half, -view.thick, back=True)}Z"),
            own.groove.draw(dark),
            own.glint.draw(light),
        )
    )


def laid_on(view: View, own: Look, face: str) -> str:
    """A piece lying on the strap, given as path data: its shadow, its cut edge and its face."""
    return face.join(_layers(own.leather, own.skin, round(view.thick * SIN_TILT, 1)))


@lru_cache(maxsize=512)
def _layers(leather: str, skin: str, edge: float) -> tuple[str, ...]:
    """What is written round the path data. From above, a cut edge shows over the face by its thickness."""
    shadow = brush(fill="#000", fill_opacity=0.30, transform="translate(1.2 2.4)")
    rim = brush(fill=tone(leather, -0.55), transform=f"translate(0 -{number(edge)})")
    face = brush(fill=skin, stroke=raised(leather), stroke_width=0.5, stroke_opacity=0.45)
    return shadow.before, shadow.after + rim.before, rim.after + face.before, face.after


def rod(own: Look, d: str, wire: float) -> str:
    """A round wire [units] along path data: its shadow, its dark edge, its body and the light along it."""
    return d.join(_wire(own.metal, round(wire, 1)))


@lru_cache(maxsize=1024)
def _wire(metal: str, wide: float) -> tuple[str, ...]:
    shadow = brush(stroke="#000", stroke_width=wide, stroke_opacity=0.28, transform="translate(1.4 2.4)")
    edge = brush(stroke=tone(metal, -0.62), stroke_width=round(wide + 0.9, 1))
    body = brush(stroke=f"url(#shine-{metal[1:]})", stroke_width=wide)
    shift = f"translate(-{number(wide * 0.16)} -{number(wide * 0.2)})"
    light = brush(
        stroke=tone(metal, 0.8), stroke_width=round(wide * 0.2, 2), stroke_opacity=0.75, transform=shift
    )
    whole = "".join(each.draw(_HERE) for each in (shadow, edge, body, light))
    return tuple(group(whole, fill="none", stroke_linejoin="round", stroke_linecap="round").split(_HERE))


_HERE = "HERE"


def domes(view: View, own: Look, angles: Sequence[float], radius: float, off: float) -> str:
    """Domed caps of rivets or studs along the strap's middle."""
    if not angles:
        return ""
    base = "".join([view.round_at(angle, 0, radius, off) for angle in angles])
    # A point drawn with a round pen is a dot: the light on a dome is too small to be seen aslant.
    lights = [view.at(angle - radius / 400, radius * 0.28, off + radius * 0.15) for angle in angles]
    light = brush(
        stroke=tone(own.metal, 0.85),
        stroke_width=round(radius * 0.5, 1),
        stroke_opacity=0.8,
        stroke_linecap="round",
    )
    return own.dome.draw(base) + light.draw("".join(map(_DOT, lights)))


_DOT = "M%.1f %.1fh0".__mod__
