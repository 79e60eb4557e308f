"""What the pages load that was not written here: unchanged, complete, licensed and small."""

import gzip
import re
from hashlib import sha256
from pathlib import Path
from string import ascii_letters, digits

import pytest
from fontTools.ttLib import TTFont

PROJECT = Path(__file__).parents[2]
VENDOR = PROJECT / "static" / "vendor"
FOLDERS = (VENDOR, PROJECT / "static" / "fonts", PROJECT / "service" / "drawing" / "fonts")
OURS = {"SHA256SUMS", "README.md"}
RARE = "\\^`{|}~"
"""Signs that no page of ours sets."""
BASIC = "".join(sign for sign in map(chr, range(0x20, 0x7F)) if sign not in RARE) + (
    "\u00a0£°±·¼½¾×é–—‘’“”•…⁄€−äöüÄÖÜß‚„»«"
)
HEADINGS = ascii_letters + digits + " !\"#$%&'()+,-./:;?\u00a0£¼½¾×é–—‘’“”⁄€−äöüÄÖÜß‚„»«"
WEIGHED = ("htmx-4.0.1.min.js", "besley-700.woff2", "atkinson-hyperlegible-next-400-700.woff2")


def published() -> dict[Path, str]:
    lines = (VENDOR / "SHA256SUMS").read_text("utf-8").splitlines()
    return {(VENDOR / name).resolve(): digest for digest, name in (line.split("  ") for line in lines)}


def delivered() -> set[Path]:
    files = {file for folder in FOLDERS for file in folder.rglob("*") if file.is_file()}
    return {file.resolve() for file in files if file.name not in OURS}


def test_every_vendored_file_and_no_other_has_a_checksum() -> None:
    assert set(published()) == delivered()


@pytest.mark.parametrize("file", sorted(published()), ids=lambda file: str(file.relative_to(PROJECT)))
def test_a_vendored_file_is_unchanged(file: Path) -> None:
    assert sha256(file.read_bytes()).hexdigest() == published()[file]


def test_the_checksum_of_a_changed_file_differs() -> None:
    script = VENDOR / "htmx-4.0.1.min.js"
    assert sha256(script.read_bytes() + b" ").hexdigest() != published()[script.resolve()]


def test_the_script_is_the_release_its_name_says() -> None:
    script = (VENDOR / "htmx-4.0.1.min.js").read_text("utf-8")
    assert re.findall(r'this\.version="([^"]+)"', script) == ["4.0.1"]
    assert "sourceMappingURL" not in script


@pytest.mark.parametrize("catalogue", sorted((PROJECT / "service" / "translations").glob("*/*/*.po")))
def test_a_heading_is_set_in_one_font_in_every_language(catalogue: Path) -> None:
    letters = {sign for sign in catalogue.read_text("utf-8") if sign.isalpha()}
    with TTFont(FOLDERS[1] / "besley-700.woff2") as font:
        assert letters <= set(map(chr, font.getBestCmap()))


@pytest.mark.parametrize("file", sorted(FOLDERS[1].glob("*.woff2")), ids=lambda file: file.name)
def test_a_web_font_drops_hinting(file: Path) -> None:
    with TTFont(file) as font:
        assert not {"fpgm", "prep", "cvt "} & set(font.keys())


def test_headings_keep_their_kerning() -> None:
    with TTFont(FOLDERS[1] / "besley-700.woff2") as font:
        assert "kern" in {record.FeatureTag for record in font["GPOS"].table.FeatureList.FeatureRecord}


@pytest.mark.parametrize(
    ("name", "characters"),
    [("besley-700", HEADINGS), ("atkinson-hyperlegible-next-400-700", BASIC)],
)
def test_a_web_font_has_the_characters_it_is_for(name: str, characters: str) -> None:
    with TTFont(FOLDERS[1] / f"{name}.woff2") as font:
        assert set(font.getBestCmap()) == set(map(ord, characters))


def test_the_text_font_has_figures_of_one_width() -> None:
    with TTFont(FOLDERS[1] / "atkinson-hyperlegible-next-400-700.woff2") as font:
        assert "tnum" in {record.FeatureTag for record in font["GSUB"].table.FeatureList.FeatureRecord}


def test_the_text_font_covers_the_weights_its_name_says() -> None:
    with TTFont(FOLDERS[1] / "atkinson-hyperlegible-next-400-700.woff2") as font:
        (axis,) = font["fvar"].axes
        assert (axis.axisTag, axis.minValue, axis.maxValue) == ("wght", 400, 700)


def test_the_two_halves_of_the_text_font_share_no_character_and_make_latin_1() -> None:
    halves = []
    for part in ("", "-latin-1"):
        with TTFont(FOLDERS[1] / f"atkinson-hyperlegible-next-400-700{part}.woff2") as font:
            halves.append(set(font.getBestCmap()))
    basic, rest = halves
    assert basic & rest == set()
    assert {*range(0x20, 0x7F), *range(0xC0, 0x100)} <= basic | rest


@pytest.mark.parametrize("folder", FOLDERS[1:], ids=lambda folder: folder.parent.name)
def test_each_font_has_its_licence_beside_it(folder: Path) -> None:
    for file in (*folder.glob("*.woff2"), *folder.glob("*.ttf")):
        family = re.sub(r"-\d.*", "", file.stem)
        licence = (folder / f"{family}-OFL.txt").read_text("utf-8")
        assert "SIL OPEN FONT LICENSE Version 1.1" in licence
        with TTFont(file) as font:
            assert font["name"].getDebugName(1).casefold().startswith(family.replace("-", " "))
            assert licence.startswith(font["name"].getDebugName(0))
            assert (
                "with Reserved Font Name" not in licence
            )  # how a licence says so: OFL FAQ, "Reserved Font Names"


def test_scripts_and_fonts_of_a_first_load_leave_room_for_the_page() -> None:
    script = len(gzip.compress((VENDOR / WEIGHED[0]).read_bytes(), 6))
    fonts = sum((FOLDERS[1] / name).stat().st_size for name in WEIGHED[1:])
    assert script + fonts <= 36_500


def test_our_scripts_keep_nothing_in_the_browser() -> None:
    for script in (PROJECT / "static" / "js").glob("*.js"):
        text = script.read_text(encoding="utf-8")
        assert not re.search(r"Storage|indexedDB|document\.cookie|__proto__|eval\(|innerHTML|outerHTML", text)
