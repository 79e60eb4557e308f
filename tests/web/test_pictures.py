"""Photos made anew: what comes out, and what is refused."""

import struct
import zlib
from io import BytesIO

import pytest
from PIL import ExifTags, Image, ImageCms

from service.web.pictures import CONTENT_MAX, PictureRefused, picture, small_picture
from tests.web.photo_makers import BLUE, RED, near, opened, photo_file


def placed() -> bytes:
    """Metadata as a phone writes it: turned by a quarter, with a place and a name (Exif 2.32, 4.6)."""
    exif = Image.Exif()
    exif[ExifTags.Base.Orientation] = 6
    exif[ExifTags.Base.Artist] = "Ada Example"
    exif.get_ifd(ExifTags.IFD.GPSInfo)[ExifTags.GPS.GPSLatitude] = (51.0, 28.0, 38.0)
    return exif.tobytes()


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_a_photo_becomes_a_jpeg_of_at_most_1600_pixels(kind: str) -> None:
    made = picture(photo_file(kind, (3200, 1200)))
    image = opened(made.content)
    assert (image.format, image.size, (made.width, made.height)) == ("JPEG", (1600, 600), (1600, 600))
    assert near(image.getpixel((100, 300)), RED)
    assert near(image.getpixel((1500, 300)), BLUE)


def test_a_small_photo_is_not_blown_up() -> None:
    assert (picture(photo_file(size=(80, 60))).width, picture(photo_file(size=(80, 60))).height) == (80, 60)


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_it_stands_upright_and_tells_neither_place_nor_name(kind: str) -> None:
    sent = photo_file(kind, exif=placed())
    assert b"Ada Example" in sent
    made = picture(sent).content
    image = opened(made)
    assert image.size == (600, 800)
    assert near(image.getpixel((300, 50)), RED)  # what was on the left is above: Exif 2.32, orientation 6
    assert not image.getexif()
    assert b"Exif" not in made
    assert b"Ada Example" not in made


def test_whatever_was_hung_on_the_file_stays_behind() -> None:
    page = b"<script>alert(1)</script>PK\x03\x04"
    made = picture(photo_file("JPEG", comment=page) + page).content
    assert b"script" not in made
    assert b"PK\x03\x04" not in made


def test_what_is_clear_is_white() -> None:
    out = BytesIO()
    Image.new("RGBA", (50, 50), (0, 0, 0, 0)).save(out, "PNG")
    assert opened(picture(out.getvalue()).content).getpixel((20, 20)) == (255, 255, 255)


def test_colours_are_seen_as_their_profile_says() -> None:
    lab = Image.new("RGB", (40, 40), (120, 200, 90))
    out = BytesIO()
    swapped = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    lab.save(out, "JPEG", icc_profile=swapped, quality=95)
    made = opened(picture(out.getvalue()).content)
    assert near(made.getpixel((20, 20)), (120, 200, 90))
    assert "icc_profile" not in made.info


def test_a_broken_profile_costs_no_photo() -> None:
    assert picture(photo_file("JPEG", icc_profile=b"no profile at all")).width == 800


def chunk(kind: bytes, data: bytes) -> bytes:
    """A chunk of a PNG file (W3C PNG, 5.3)."""
    return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))


def bomb(width: int, height: int) -> bytes:
    """A small PNG file that says it is very large (W3C PNG, 11.2.1)."""
    head = struct.pack(">IIBBBBB", width, height, 8, 0, 0, 0, 0)
    return (
        b"\x89PNG\r\n\x1a\n"
        + chunk(b"IHDR", head)
        + chunk(b"IDAT", zlib.compress(bytes(1000)))
        + chunk(b"IEND", b"")
    )


@pytest.mark.parametrize(
    "content",
    [
        b"",
        b"not a photo",
        b"<html><script>alert(1)</script></html>",
        photo_file("GIF"),
        photo_file("BMP"),
        photo_file("TIFF"),
        photo_file()[:2000],
        photo_file("PNG")[:200],
        photo_file("WEBP")[:200],
        b"GIF89a" + photo_file(),
    ],
)
def test_what_is_no_photo_is_refused_with_what_would_work(content: bytes) -> None:
    with pytest.raises(PictureRefused, match="JPEG, PNG or WebP"):
        picture(content)


@pytest.mark.parametrize("size", [(8000, 5001), (10_000, 10_000), (60_000, 60_000)])
def test_too_many_pixels_are_refused_before_they_are_unpacked(size: tuple[int, int]) -> None:
    with pytest.raises(PictureRefused, match="40 megapixels"):
        picture(bomb(*size))


def test_too_large_a_file_is_refused() -> None:
    with pytest.raises(PictureRefused, match="10 MB"):
        picture(bytes(CONTENT_MAX + 1))


def test_a_small_one_is_small() -> None:
    noise = Image.effect_noise((1600, 1200), 60).convert("RGB")
    out = BytesIO()
    noise.save(out, "JPEG")
    small = small_picture(picture(out.getvalue()).content)
    assert max(opened(small).size) == 320
    assert len(small) < 50_000
    assert len(small_picture(picture(photo_file()).content)) < 4_000
