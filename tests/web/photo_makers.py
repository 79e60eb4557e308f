"""Photos for the tests: drawn, never taken."""

from io import BytesIO
from typing import Any

from PIL import Image

RED, BLUE = (200, 40, 40), (40, 40, 200)


def photo_file(kind: str = "JPEG", size: tuple[int, int] = (800, 600), **saved: Any) -> bytes:  # noqa: ANN401
    """A file whose left half is red and whose right half is blue."""
    image = Image.new("RGB", size, RED)
    image.paste(BLUE, (size[0] // 2, 0, *size))
    out = BytesIO()
    image.save(out, kind, **saved)
    return out.getvalue()


def opened(content: bytes) -> Image.Image:
    """A photo read back."""
    image = Image.open(BytesIO(content))
    image.load()
    return image


def near(pixel: Any, colour: tuple[int, int, int]) -> bool:  # noqa: ANN401 - whatever Pillow gives
    """Whether a pixel is of a colour, as far as JPEG keeps it."""
    return all(abs(have - want) < 12 for have, want in zip(pixel, colour, strict=True))
