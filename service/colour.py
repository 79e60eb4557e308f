"""Colours as the eye weighs them: sRGB to CIELAB, difference, contrast, and what a picture is made of."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from math import atan2, cos, degrees, exp, hypot, radians, sin, sqrt

Rgb = tuple[int, int, int]
Lab = tuple[float, float, float]
"""L* from 0 to 100, a* and b*, for the white of D65."""

WHITE = (0.9505, 1.0, 1.0890)
"""X, Y, Z of sRGB's white, D65. IEC 61966-2-1."""
TO_XYZ = ((0.4124, 0.3576, 0.1805), (0.2126, 0.7152, 0.0722), (0.0193, 0.1192, 0.9505))
"""Linear red, green and blue to X, Y and Z. IEC 61966-2-1."""
DARKEST = 0.04045
"""Up to this value of a channel sRGB is straight. IEC 61966-2-1."""
FAR = 25.0**7
HALF, WHOLE = 180.0, 360.0
BIN = 16
"""Steps of a channel that are counted as one colour when a picture is looked at."""
ROUNDS = 20
"""More rounds than that move no middle any further."""
ALIKE = 10.0
"""Groups of a picture's colours nearer than this [CIEDE2000] are one: light and shade of one coat. By eye."""
LEAST_SHARE = 0.06
"""A group with less of a picture than this is left out: eyes, nose, a glint. By eye."""


@dataclass(frozen=True, slots=True)
class Dominant:
    """A colour that a picture shows, #7a3b1d, and its share of it, 0 to 1."""

    colour: str
    share: float


def rgb_of(colour: str) -> Rgb:
    """Return the three bytes of a colour such as #7a3b1d."""
    return int(colour[1:3], 16), int(colour[3:5], 16), int(colour[5:7], 16)


def _linear(byte: int) -> float:
    """Light of a channel, 0 to 1. IEC 61966-2-1."""
    value = byte / 255
    return value / 12.92 if value <= DARKEST else ((value + 0.055) / 1.055) ** 2.4


LINEAR = tuple(map(_linear, range(256)))


@lru_cache(maxsize=4096)
def lab_of(rgb: Rgb) -> Lab:
    """Return the CIELAB colour of three bytes of sRGB.

    Source: IEC 61966-2-1 to X, Y, Z, ISO/CIE 11664-4 to L*, a*, b*. Worked: white is (100, 0, 0), red
    (255, 0, 0) about (53.2, 80.1, 67.2).
    """
    light = [LINEAR[byte] for byte in rgb]
    x, y, z = (
        _root(sum(map(float.__mul__, row, light)) / white) for row, white in zip(TO_XYZ, WHITE, strict=True)
    )
    return 116 * y - 16, 500 * (x - y), 200 * (y - z)


def _root(share: float) -> float:
    edge = 6 / 29
    return share ** (1 / 3) if share > edge**3 else share / (3 * edge**2) + 4 / 29


def difference(one: Lab, other: Lab) -> float:
    """Return how far two colours differ to the eye, by CIEDE2000 with all weights 1.

    Source: ISO/CIE 11664-6; Sharma, Wu and Dalal, "The CIEDE2000 color-difference formula" (2005), whose 34
    pairs it is tested on. Worked: (50, 2.6772, -79.7751) and (50, 0, -82.7485) differ by 2.0425.
    """
    (l1, a1, b1), (l2, a2, b2) = one, other
    mean = (hypot(a1, b1) + hypot(a2, b2)) / 2
    grey = 1.5 - 0.5 * sqrt(mean**7 / (mean**7 + FAR))  # 1 + G: greys lie nearer than a* tells
    c1, c2 = hypot(grey * a1, b1), hypot(grey * a2, b2)
    h1, h2 = _hue(grey * a1, b1), _hue(grey * a2, b2)
    turn = _turn(h1, h2) if c1 * c2 else 0.0
    dl, dc, dh = l2 - l1, c2 - c1, 2 * sqrt(c1 * c2) * sin(radians(turn / 2))
    lightness, chroma = (l1 + l2) / 2, (c1 + c2) / 2
    hue = _mean_hue(h1, h2) if c1 * c2 else h1 + h2
    t = (
        1
        - 0.17 * cos(radians(hue - 30))
        + 0.24 * cos(radians(2 * hue))
        + 0.32 * cos(radians(3 * hue + 6))
        - 0.20 * cos(radians(4 * hue - 63))
    )
    off = (lightness - 50) ** 2
    sl, sc, sh = 1 + 0.015 * off / sqrt(20 + off), 1 + 0.045 * chroma, 1 + 0.015 * chroma * t
    blue = 30 * exp(-(((hue - 275) / 25) ** 2))
    rotation = -2 * sqrt(chroma**7 / (chroma**7 + FAR)) * sin(radians(2 * blue))
    dl, dc, dh = dl / sl, dc / sc, dh / sh
    return sqrt(max(0.0, dl**2 + dc**2 + dh**2 + rotation * dc * dh))


def _hue(a: float, b: float) -> float:
    return degrees(atan2(b, a)) % WHOLE if a or b else 0.0


def _turn(h1: float, h2: float) -> float:
    """From one hue to the other the shorter way round [degrees]."""
    turn = h2 - h1
    return turn - WHOLE if turn > HALF else turn + WHOLE if turn < -HALF else turn


def _mean_hue(h1: float, h2: float) -> float:
    both = h1 + h2
    if abs(h1 - h2) <= HALF:
        return both / 2
    return (both + WHOLE if both < WHOLE else both - WHOLE) / 2


def contrast(one: str, other: str) -> float:
    """Return the contrast of two colours such as #7a3b1d, from 1 to 21.

    Source: WCAG 2.2, "contrast ratio" and "relative luminance". Worked: black on white 21, #767676 on white
    4.54.
    """
    dark, light = sorted((_luminance(one), _luminance(other)))
    return (light + 0.05) / (dark + 0.05)


@lru_cache(maxsize=1024)
def _luminance(colour: str) -> float:
    return sum(weight * LINEAR[byte] for weight, byte in zip(TO_XYZ[1], rgb_of(colour), strict=True))


@dataclass(frozen=True, slots=True)
class _Spot:
    """Pixels of nearly one colour: its mean, in sRGB and in CIELAB, and how many."""

    rgb: tuple[float, float, float]
    lab: Lab
    count: int


def dominant(pixels: Iterable[Rgb], most: int = 4) -> tuple[Dominant, ...]:
    """Return the colours that a picture is mostly made of, the largest first; the same for the same pixels.

    Pixels are counted by nearly equal colour, grouped round `most` middles in CIELAB (Lloyd's rounds, begun
    with the commonest colour and then with what is furthest from all), and groups alike are joined. Source:
    derived. Worked: 60 red pixels and 40 white ones are #ff0000 with 0.6 and #ffffff with 0.4.
    """
    spots = _spots(pixels)
    if not spots:
        return ()
    middles = _begun(spots, most)
    for _ in range(ROUNDS):
        moved = [_middle(group) for group in _grouped(spots, middles)]
        if moved == middles:
            break
        middles = moved
    groups = _joined([group for group in _grouped(spots, middles) if group])
    total = sum(spot.count for spot in spots)
    shares = [(sum(spot.count for spot in group) / total, _mean_colour(group)) for group in groups]
    found = sorted((-share, colour) for share, colour in shares if share >= LEAST_SHARE)
    return tuple(Dominant(colour, -share) for share, colour in found)


def _spots(pixels: Iterable[Rgb]) -> list[_Spot]:
    sums: Mapping[Rgb, list[int]] = defaultdict(lambda: [0, 0, 0, 0])
    for red, green, blue in pixels:
        held = sums[red // BIN, green // BIN, blue // BIN]
        held[0] += red
        held[1] += green
        held[2] += blue
        held[3] += 1
    spots = []
    for _, (red, green, blue, count) in sorted(sums.items()):
        mean = red / count, green / count, blue / count
        spots.append(_Spot(mean, lab_of((round(mean[0]), round(mean[1]), round(mean[2]))), count))
    return spots


def _begun(spots: list[_Spot], most: int) -> list[Lab]:
    """Middles to begin with: the commonest, then by turns the one that is most, and furthest, off."""
    middles = [max(spots, key=lambda spot: spot.count).lab]
    while len(middles) < min(most, len(spots)):
        far = max(spots, key=lambda spot: spot.count * min(_apart(spot.lab, one) for one in middles))
        if far.lab in middles:
            break
        middles.append(far.lab)
    return middles


def _apart(one: Lab, other: Lab) -> float:
    """How far apart, squared, as the crow flies: enough to tell which middle is nearest."""
    return (one[0] - other[0]) ** 2 + (one[1] - other[1]) ** 2 + (one[2] - other[2]) ** 2


def _grouped(spots: list[_Spot], middles: list[Lab]) -> list[list[_Spot]]:
    groups: list[list[_Spot]] = [[] for _ in middles]
    for spot in spots:
        nearest = min(range(len(middles)), key=lambda i: _apart(spot.lab, middles[i]))
        groups[nearest].append(spot)
    return [group for group in groups if group]


def _middle(group: list[_Spot]) -> Lab:
    count = sum(spot.count for spot in group)
    red, green, blue = (sum(spot.lab[i] * spot.count for spot in group) / count for i in range(3))
    return red, green, blue


def _joined(groups: list[list[_Spot]]) -> list[list[_Spot]]:
    """The same groups, the two nearest made one for as long as they are alike."""
    while len(groups) > 1:
        pairs = [(i, j) for i in range(len(groups)) for j in range(i)]
        middles = [_middle(group) for group in groups]
        apart, i, j = min((difference(middles[i], middles[j]), i, j) for i, j in pairs)
        if apart >= ALIKE:
            break
        groups[j] = [*groups[j], *groups[i]]
        del groups[i]
    return groups


def _mean_colour(group: list[_Spot]) -> str:
    count = sum(spot.count for spot in group)
    means = (round(sum(spot.rgb[i] * spot.count for spot in group) / count) for i in range(3))
    return "#" + "".join(f"{mean:02x}" for mean in means)
