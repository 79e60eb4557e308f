"""Photos that somebody sent, made anew: small enough for a phone, with nothing left of the file they were.

Only pixels are carried over. Whatever else a file held, places, names, programs or pages, stays behind.
"""

import struct
import zlib
from collections.abc import Callable
from dataclasses import dataclass
from io import BytesIO
from threading import Lock
from typing import Final, TypeVar

from PIL import Image, ImageCms, ImageOps

from service.colour import Rgb
from service.errors import GirthwrightError
from service.language import mark, tr

FORMATS: Final = ("JPEG", "PNG", "WEBP")
MEDIA_TYPE: Final = "image/jpeg"
"""Every phone shows and saves it, and a small one is read from it without reading it whole."""
CONTENT_MAX: Final = 10_000_000
"""The largest file [bytes]."""
PIXELS_MAX: Final = 40_000_000
SIDE_MAX, SMALL_SIDE, LOOKED_AT = 1600, 320, 160
"""The longer side of a photo, of a small one, and of one whose colours are looked at [pixels]."""
QUALITY, SMALL_QUALITY = 82, 70
# What Pillow raises for files that are broken, or made to break it.
_BROKEN: Final = (
    OSError,
    ValueError,
    SyntaxError,
    EOFError,
    IndexError,
    KeyError,
    TypeError,
    OverflowError,
    MemoryError,
    struct.error,
    zlib.error,
)
TOO_MANY_PIXELS: Final = mark("It has more than 40 megapixels. Send it in a smaller size.")
TOO_LARGE: Final = mark("It is larger than 10 MB. Send it in a smaller size.")
UNREADABLE: Final = mark(
    "It can't be read as a photo. Send a JPEG, PNG or WebP file that opens on your device."
)
CLEAR: Final = mark("There is nothing in its middle. Send a photo with the coat in the middle.")
SOLID: Final = 128
"""A pixel as dense as that [of 255] is part of what a photo shows."""
Made = TypeVar("Made")
# A photo that is taken apart fills some hundred megabytes: never two at once.
_ONE_AT_A_TIME: Final = Lock()


@dataclass(frozen=True, slots=True)
class Picture:
    """A photo made anew: JPEG, and its size [pixels]."""

    content: bytes
    width: int
    height: int


class PictureRefused(GirthwrightError):
    """A file can't be taken as a photo; `reason` says why, and what would work, in English."""

    def __init__(self, reason: str) -> None:
        self.reason = reason
        super().__init__(tr(reason))


def picture(content: bytes) -> Picture:
    """Return a photo made anew from the bytes of a file; raises PictureRefused."""
    return _decoded(content, _made)


def middle_pixels(content: bytes) -> tuple[Rgb, ...]:
    """Return the pixels of a photo's middle, half as wide and high as it is, made small; nothing is kept.

    Raises PictureRefused.
    """
    return _decoded(content, _middle)


def _decoded(content: bytes, make: Callable[[bytes], Made]) -> Made:
    if len(content) > CONTENT_MAX:
        raise PictureRefused(TOO_LARGE)
    with _ONE_AT_A_TIME:
        try:
            return make(content)
        except (Image.DecompressionBombError, Image.DecompressionBombWarning) as fault:
            raise PictureRefused(TOO_MANY_PIXELS) from fault
        except _BROKEN as fault:
            raise PictureRefused(UNREADABLE) from fault


def small_picture(content: bytes) -> bytes:
    """Return a small JPEG of a photo that `picture` made."""
    with _ONE_AT_A_TIME, Image.open(BytesIO(content), formats=("JPEG",)) as opened:
        opened.draft("RGB", (SMALL_SIDE, SMALL_SIDE))
        opened.thumbnail((SMALL_SIDE, SMALL_SIDE), Image.Resampling.LANCZOS)
        return _written(opened, SMALL_QUALITY)


def _made(content: bytes) -> Picture:
    pixels = _flat(_upright(content, SIDE_MAX))
    return Picture(_written(pixels, QUALITY), *pixels.size)


def _middle(content: bytes) -> tuple[Rgb, ...]:
    """Of a dog that was cut out of its photo, what is clear is no coat."""
    layered = _upright(content, LOOKED_AT).convert("RGBA")
    width, height = layered.size
    middle = layered.crop((width // 4, height // 4, width - width // 4, height - height // 4))
    raw = middle.tobytes()
    pixels = zip(raw[::4], raw[1::4], raw[2::4], raw[3::4], strict=True)
    seen = tuple((red, green, blue) for red, green, blue, dense in pixels if dense >= SOLID)
    if not seen:
        raise PictureRefused(CLEAR)
    return seen


def _upright(content: bytes, side: int) -> Image.Image:
    with Image.open(BytesIO(content), formats=FORMATS) as opened:
        width, height = opened.size
        if width * height > PIXELS_MAX:
            raise PictureRefused(TOO_MANY_PIXELS)
        opened.draft("RGB", (side, side))  # a JPEG is read at the size that is wanted of it
        upright = ImageOps.exif_transpose(opened)
        upright.thumbnail((side, side), Image.Resampling.LANCZOS)
        return _as_seen(upright)


def _as_seen(photo: Image.Image) -> Image.Image:
    """The photo in the colours that screens take for granted: leather is chosen by its colour."""
    profile = photo.info.get("icc_profile")
    if not profile or photo.mode not in {"RGB", "RGBA"}:
        return photo
    try:
        own = ImageCms.ImageCmsProfile(BytesIO(profile))
        seen = ImageCms.profileToProfile(photo, own, ImageCms.createProfile("sRGB"))
    except (ImageCms.PyCMSError, OSError, ValueError):
        return photo  # colours a shade off are better than no photo
    return photo if seen is None else seen


def _flat(photo: Image.Image) -> Image.Image:
    """Pixels alone, on white where the photo is clear."""
    ground = Image.new("RGB", photo.size, "white")
    if photo.has_transparency_data:
        layered = photo.convert("RGBA")
        ground.paste(layered, mask=layered)
    else:
        ground.paste(photo.convert("RGB"))
    return ground


def _written(photo: Image.Image, quality: int) -> bytes:
    out = BytesIO()
    photo.save(out, "JPEG", quality=quality, optimize=True)
    return out.getvalue()
