"""Tones of leather and metal for the preview, from the colours in the catalogue."""

from functools import lru_cache

Rgb = tuple[float, float, float]


def _read(colour: str) -> Rgb:
    return int(colour[1:3], 16), int(colour[3:5], 16), int(colour[5:7], 16)


def _write(rgb: Rgb) -> str:
    return "#" + "".join(f"{round(max(0.0, min(255.0, channel))):02x}" for channel in rgb)


@lru_cache(maxsize=2048)
def tone(colour: str, amount: float) -> str:
    """Return a colour such as #7a3b1d moved towards white (amount up to 1) or black (amount down to -1).

    Worked: #804020 at 0.5 is #c0a090, at -0.5 is #402010.
    """
    goal = 255.0 if amount > 0 else 0.0
    share = abs(amount)
    red, green, blue = _read(colour)
    return _write((red + (goal - red) * share, green + (goal - green) * share, blue + (goal - blue) * share))


@lru_cache(maxsize=256)
def lightness(colour: str) -> float:
    """Return how light a colour is, 0 to 1, by the luma weights of ITU-R BT.709.

    Worked: white is 1.0, #7a3b1d about 0.28.
    """
    red, green, blue = _read(colour)
    return (0.2126 * red + 0.7152 * green + 0.0722 * blue) / 255


DARK = 0.2
"""Leather darker than this shows a groove no longer as a darker line. By eye."""


def pressed(colour: str) -> str:
    """Return the tone of a hole, groove or letter pressed into leather of this colour: darker."""
    return tone(colour, -0.62) if lightness(colour) > DARK else "#0c0b0a"


def raised(colour: str) -> str:
    """Return the tone of an edge that catches the light on leather of this colour."""
    return tone(colour, 0.30 if lightness(colour) > DARK else 0.24)


def engraved_in(metal: str) -> str:
    """Return the tone of letters engraved in a metal of this colour: dark on light metal, light on dark."""
    return tone(metal, -0.75) if lightness(metal) > DARK else tone(metal, 0.75)
