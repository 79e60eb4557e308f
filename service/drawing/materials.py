"""How leather and metal look round a neck: bands, pieces laid on, rods and domes, with light and shadow."""

from collections.abc import Sequence
from functools import lru_cache

from service.drawing.elements import definitions, gradient, group, number, path
from service.drawing.eye import BOX, RADIUS, SIN_TILT, View, front
from service.drawing.palette import pressed, raised, tone
from service.geometry import Point


@lru_cache(maxsize=256)
def paints(leather: str, metal: str) -> str:
    """Return the gradients for a leather and a metal, and the neck: what depends on nothing but colours."""
    skin = [(0, -0.66), (0.08, -0.42), (0.34, 0.17), (0.52, 0.03), (0.84, -0.26), (0.94, -0.44), (1, -0.66)]
    shine = [(0, 0.55), (0.3, 0.08), (0.62, -0.38), (1, 0.20)]
    fade = [(0.0, "#5d6668", 0.0), (0.34, "#5d6668", 0.26), (0.62, "#5d6668", 0.30), (1.0, "#5d6668", 0.0)]
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
        gradient("neck", (0, BOX[1], 0, BOX[1] + BOX[3]), fade),
    )
    return defs + path(NECK, fill="url(#neck)")


NECK = "M-84-88C-86-56-91-34-95-14C-99 12-100 40-116 88H116C100 40 99 12 95-14C91-34 86-56 84-88Z"
"""Outline of the neck: narrower towards the head, wider towards the shoulders."""


def groove(view: View) -> float:
    """How far the edge groove runs from the edge [units]: 3 mm, less on a narrow strap. Common practice."""
    return min(3 * view.scale, view.width * 0.16)


def band(view: View) -> str:
    half, line_in = view.width / 2, view.width / 2 - groove(view)
    leather = view.leather
    return "".join(
        (
            path(
                f"M{front(-half - 1.2, -2.5)}",
                fill="none",
                stroke="#000",
                stroke_width=4,
                stroke_opacity=0.16,
            ),
            path(f"M{front(half, 0)}L{front(-half, 0, back=True)}Z", fill=view.skin),
            path(f"M{front(half, 0)}L{front(half, -view.thick, back=True)}Z", fill=tone(leather, -0.5)),
            path(
                f"M{front(line_in, 0)}M{front(-line_in, 0)}",
                fill="none",
                stroke=pressed(leather),
                stroke_width=0.9,
                stroke_opacity=0.75,
            ),
            path(
                f"M{front(line_in - 0.9, 0)}M{front(-line_in - 0.9, 0)}M{front(half - 0.4, 0)}",
                fill="none",
                stroke=raised(leather),
                stroke_width=0.6,
                stroke_opacity=0.5,
            ),
        )
    )


def laid_on(view: View, start: float, corners: Sequence[Point], off: float) -> str:
    """A piece lying on the strap, with its shadow, its cut edge and its face."""
    face = view.piece(start, corners, off)
    leather = view.leather
    # From above, the cut edge of a piece shows over its face by its thickness, foreshortened.
    edge = f"translate(0 -{view.thick * SIN_TILT:.1f})"
    return "".join(
        (
            path(face, fill="#000", fill_opacity=0.30, transform="translate(1.2 2.4)"),
            path(face, fill=tone(leather, -0.55), transform=edge),
            path(face, fill=view.skin, stroke=raised(leather), stroke_width=0.5, stroke_opacity=0.45),
        )
    )


def rod(view: View, d: str, wire: float) -> str:
    """A round wire: its shadow, its dark edge, its body and the light along it."""
    wide = round(wire, 1)
    up = f"translate(-{number(wide * 0.16)} -{number(wide * 0.2)})"
    body = "".join(
        (
            path(d, stroke="#000", stroke_width=wide, stroke_opacity=0.28, transform="translate(1.4 2.4)"),
            path(d, stroke=tone(view.metal, -0.62), stroke_width=round(wide + 0.9, 1)),
            path(d, stroke=view.shine, stroke_width=wide),
            path(
                d,
                stroke=tone(view.metal, 0.8),
                stroke_width=round(wide * 0.2, 2),
                stroke_opacity=0.75,
                transform=up,
            ),
        )
    )
    return group(body, fill="none", stroke_linejoin="round", stroke_linecap="round")


def domes(view: View, angles: Sequence[float], radius: float, off: float) -> str:
    """Domed caps of rivets or studs along the strap's middle."""
    if not angles:
        return ""
    ring = "".join(view.round_at(angle, 0, radius, off) for angle in angles)
    dome = "".join(view.round_at(angle, 0, radius * 0.86, off + radius * 0.28) for angle in angles)
    light = "".join(
        view.round_at(angle - 0.02, radius * 0.3, radius * 0.28, off + radius * 0.4) for angle in angles
    )
    return "".join(
        (
            path(ring, fill=tone(view.metal, -0.62), stroke="#000", stroke_width=1.2, stroke_opacity=0.25),
            path(dome, fill=view.shine),
            path(light, fill=tone(view.metal, 0.85), fill_opacity=0.7),
        )
    )
