"""How leather, metal and the form they are shown on look: strap, pieces laid on, wire, light and shadow."""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache

from svgwrite.base import BaseElement

from service.drawing.elements import Brush, brush, definitions, glow, gradient, group, named, path, placed
from service.drawing.eye import RADIUS, SIN_TILT, View, between, level, round_line
from service.drawing.palette import pressed, raised, tone

_WHOLE = "M10 0a10 10 0 1 0-20 0a10 10 0 1 0 20 0Z"
"""A circle of radius 10: what lies on the strap is drawn so, face on, and placed by the view."""
ABOVE, BELOW = 80.0, 100.0
"""How far the form reaches above the strap and below it [units]."""


@dataclass(frozen=True, slots=True)
class Look:
    """Everything about a drawing that depends on its colours and on nothing else.

    `ground` holds the paints, the form and the strap, with gaps for the shapes of `collar`; the brushes are
    named for what they draw.
    """

    leather: str
    metal: str
    ground: str
    skin: str
    shine: str
    words: str
    groove: Brush
    hump: Brush
    crest: Brush
    hole: Brush
    stud: Brush
    cap: Brush


@lru_cache(maxsize=512)
def look(view: str, leather: str, metal: str, inside: str = "", *, slotted: bool) -> Look:
    """Return the look of a leather, a metal and what the leather is lined with, as colours such as #7a3b1d.

    `view` makes the names of its paints its own: two views stand on one page. Caps are `slotted` if they are
    those of screw posts.
    """
    skin, hole = f"{view}-skin-{leather[1:]}", f"{view}-hole-{leather[1:]}"
    shine, dome, stud, post = (f"{view}-{name}-{metal[1:]}" for name in ("shine", "dome", "stud", "post"))
    form, top, shade = (f"{view}-{name}" for name in ("form", "top", "shade"))
    paints = (
        _skin(skin, leather),
        _shine(shine, metal),
        _dome(dome, metal),
        *_form(form, top),
        _shade(shade),
    )
    things = [named(_hole(leather), hole), named(_stud(dome, metal), stud)]
    if slotted:
        things.append(named(_stud(dome, metal) + _slot(metal), post))
    return Look(
        leather=leather,
        metal=metal,
        ground=definitions(*paints)
        + "".join((*things, *_layers_of_collar((leather, inside or leather), skin, form, top, shade))),
        skin=f"url(#{skin})",
        shine=f"url(#{shine})",
        words=f"{view}-words",
        groove=brush(fill="none", stroke=pressed(leather), stroke_width=9, stroke_opacity=0.75),
        hump=brush(fill=f"url(#{skin})", stroke=tone(leather, -0.5), stroke_width=6),
        crest=brush(stroke=raised(leather), stroke_width=16, stroke_opacity=0.6, stroke_linecap="round"),
        hole=placed(hole),
        stud=placed(stud),
        cap=placed(post if slotted else stud),
    )


Stops = list[tuple[float, float]]


def _skin(name: str, leather: str) -> BaseElement:
    """Leather round a neck: light from the left and from above, dark where it turns away."""
    turns: Stops = [
        (0, -0.52), (0.07, -0.32), (0.2, -0.05), (0.34, 0.12),
        (0.48, 0.06), (0.64, -0.08), (0.84, -0.27), (1, -0.54),
    ]  # fmt: skip
    stops = [(at, tone(leather, amount), 1.0) for at, amount in turns]
    return gradient(name, (-RADIUS, 0, RADIUS, 0), stops)


def _shine(name: str, metal: str) -> BaseElement:
    """Polished wire mirrors light and dark by turns."""
    turns: Stops = [(0, 0.5), (0.34, 0.08), (0.66, -0.3), (1, 0.12)]
    stops = [(at, tone(metal, amount), 1.0) for at, amount in turns]
    return gradient(name, (0, 0, 130, 310), stops, spreadMethod="reflect")


def _dome(name: str, metal: str) -> BaseElement:
    turns: Stops = [(0, 0.8), (0.3, 0.25), (0.7, -0.22), (1, -0.55)]
    return glow(name, [(at, tone(metal, amount), 1.0) for at, amount in turns], focal=(0.34, 0.28))


def _form(name: str, top: str) -> tuple[BaseElement, BaseElement]:
    """The form the collar is shown on, and its top: chalk, so that any leather stands out from it."""
    body = [(0.0, "#949e9b", 1.0), (0.3, "#e6eae8", 1.0), (0.55, "#d4dad8", 1.0), (1.0, "#828d8a", 1.0)]
    face = glow(top, [(0.0, "#e4e9e7", 1.0), (1.0, "#d1d8d5", 1.0)], focal=(0.36, 0.6))
    return gradient(name, (-RADIUS, 0, RADIUS, 0), body), face


def _shade(name: str) -> BaseElement:
    """What the form keeps the light from, on the ground."""
    return glow(name, [(0.0, "#000", 0.34), (0.7, "#000", 0.2), (1.0, "#000", 0.0)])


def _hole(leather: str) -> str:
    lit = path(_WHOLE, fill=raised(leather), fill_opacity=0.6, transform="translate(1 2)")
    return lit + path(_WHOLE, fill=pressed(leather))


def _stud(dome: str, metal: str) -> str:
    shadow = path(_WHOLE, fill="#000", fill_opacity=0.35, transform="translate(1.2 2.2)")
    return shadow + path(_WHOLE, fill=f"url(#{dome})", stroke=tone(metal, -0.62), stroke_width=1)


def _slot(metal: str) -> str:
    return path("M-7 3 7-3", stroke=tone(metal, -0.62), stroke_width=2)


def collar(view: View, grooves: tuple[float, ...]) -> tuple[str, ...]:
    """Path data of the form and the strap round it, from the ground up: the same whichever way they turn.

    `grooves` are how far in from the edges lines run [mm].
    """
    half, inner, neck = view.width / 2, RADIUS - view.deep, round(view.neck)
    top, foot = half + ABOVE, -half - BELOW
    lines = [half - inset * view.scale for inset in grooves]
    shadows = ((38, 64), (14, 34))
    return (
        level(neck * 1.2, foot),
        between(inner, half, inner, -half, far=True),
        level(RADIUS, half) + level(inner, half),
        between(neck, foot, neck, top),
        level(neck, top),
        level(neck - 34, top + 6),
        *(
            between(inner, half, neck, half + up) + between(RADIUS, -half, neck, -half - down)
            for up, down in shadows
        ),
        between(RADIUS, half, inner, half),
        between(RADIUS, -half, RADIUS, half),
        "".join([round_line(y) + round_line(-y) for y in lines]) + round_line(5 - half),
        "".join([round_line(y - 9) + round_line(-y - 9) for y in lines]) + round_line(half - 4),
    )


def _layers_of_collar(colours: tuple[str, str], skin: str, form: str, top: str, shade: str) -> Iterator[str]:
    """The paths that the shapes of `collar` fill, one after the other."""
    leather, inside = colours
    edge, dim = tone(leather, -0.5), brush(fill="#000", fill_opacity=0.13)
    for each in (
        brush(fill=f"url(#{shade})"),
        brush(fill=tone(inside, -0.42 if inside == leather else -0.2)),
        brush(fill=edge, fill_rule="evenodd"),
        brush(fill=f"url(#{form})"),
        brush(fill="#f0f3f2"),
        brush(fill=f"url(#{top})"),
        *(dim, dim),
        brush(fill=edge),
        brush(fill=f"url(#{skin})"),
        brush(fill="none", stroke=pressed(leather), stroke_width=9, stroke_opacity=0.75),
        brush(fill="none", stroke=raised(leather), stroke_width=6, stroke_opacity=0.5),
    ):
        yield each.draw("%s")


def laid_on(view: View, own: Look, face: str) -> str:
    """A piece lying on the strap, given as path data: its shadow, its cut edge and its face."""
    return face.join(_layers(own.leather, own.skin, round(view.thick * SIN_TILT)))


@lru_cache(maxsize=1024)
def _layers(leather: str, skin: str, edge: int) -> tuple[str, ...]:
    """What is written round the path data. From above, a cut edge shows over the face by its thickness."""
    shadow = brush(fill="#000", fill_opacity=0.30, transform="translate(10 20)")
    rim = brush(fill=tone(leather, -0.55), transform=f"translate(0 -{edge})")
    face = brush(fill=skin, stroke=raised(leather), stroke_width=5, stroke_opacity=0.45)
    return shadow.before, shadow.after + rim.before, rim.after + face.before, face.after


def rod(own: Look, d: str, wire: float) -> str:
    """A round wire [units] along path data: its shadow, its dark edge, its body and the light along it."""
    return d.join(_wire(own.metal, own.shine, round(wire)))


@lru_cache(maxsize=2048)
def _wire(metal: str, shine: str, wide: int) -> tuple[str, ...]:
    shadow = brush(stroke="#000", stroke_width=wide, stroke_opacity=0.24, transform="translate(12 26)")
    edge = brush(stroke=tone(metal, -0.62), stroke_width=wide + 9)
    body = brush(stroke=shine, stroke_width=wide)
    shift = f"translate(-{wide * 0.16:.0f} -{wide * 0.2:.0f})"
    light = brush(
        stroke=tone(metal, 0.8), stroke_width=round(wide * 0.2), stroke_opacity=0.75, transform=shift
    )
    whole = "".join(each.draw(_HERE) for each in (shadow, edge, body, light))
    return tuple(group(whole, fill="none", stroke_linejoin="round", stroke_linecap="round").split(_HERE))


_HERE = "HERE"
