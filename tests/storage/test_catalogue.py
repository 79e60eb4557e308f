"""The catalogue: what is wrong in a file is said so that its owner finds the place."""

from decimal import Decimal
from pathlib import Path

import pytest

from service.storage import load_workshop
from service.storage.catalogue import CatalogueUnusable

DEMO = Path(__file__).parents[2] / "deploy" / "demo" / "workshop.toml"
TEXT = DEMO.read_text("utf-8")


def complaints(folder: Path, text: str) -> tuple[str, ...]:
    path = folder / "workshop.toml"
    path.write_text(text, "utf-8")
    with pytest.raises(CatalogueUnusable) as refusal:
        load_workshop(path)
    assert refusal.value.path == path
    assert all(complaint in str(refusal.value) for complaint in refusal.value.complaints)
    return refusal.value.complaints


@pytest.mark.parametrize(
    ("good", "bad", "said"),
    [
        (
            "prong = 2.5",
            "prong = -2.5",
            ("buckles, row 1 (brass-centre-bar-5-8-in), prong: write millimetres above 0 and", "-2.5"),
        ),
        ("prong = 2.5", "prong = nan", ("buckles, row 1", "prong", "NaN")),
        ("prong = 2.5", 'prong = "thick"', ("buckles, row 1", "prong", "thick")),
        ("prong = 2.5", "", ("buckles, row 1", "prong: this is missing: write millimetres")),
        (
            "prong = 2.5",
            "prong = 2.5\nweight = 3",
            ("row 1", "weight: nothing is called that here; there"),
        ),
        (
            'style = "heel-bar"',
            'style = "roller"',
            ("row 2", "style: write centre-bar or heel-bar (it is r"),
        ),
        ("wire = 3.0", "wire = 300", ("rings, row 1 (brass-d-ring-5-8-in), wire", "300")),
        ("price = 2.39", "price = inf", ("buckles, row 1", "price: write a sum from 0", "Infinity")),
        ('code = "havana"', 'code = "black"', ("leathers", "black", "2 times")),
        ('code = "havana"', 'code = "Havana brown"', ("leathers, row 3 (Havana brown), code",)),
        (
            'finish = "brass"',
            'finish = "gold"',
            ("brass-centre-bar-5-8-in", "no finish gold", "black, brass, nickel"),
        ),
        ("grip_min = 3.4", "grip_min = 9", ("fasteners, row 1 (brass-rivet-short)", "grip_min is larger")),
        (
            '"!" = 0.479',
            '"!" = -1',
            ("stamps, row 1 (capitals-12), advances, !: write one", "-1"),
        ),
        (
            '"!" = 0.479',
            '"!!" = 1',
            ("advances, !!: write one character in quotes",),
        ),
        ('"!" = 0.479', '"!" = nan', ("stamps, row 1 (capitals-12), advances, !",)),
        ('region = "US"', 'region = "UK"', ("UK", "ISO 3166", "GB")),
        (
            "margin = 0.25",
            "margin = 1",
            ("rates, margin: write a share", "7 % is 0.07", "(it is 1)"),
        ),
        ("labour_per_hour = 24", "labour_per_hour = -1", ("rates, labour_per_hour", "-1")),
        ('units = "in"', 'units = "cubits"', ("units: write in or cm (it is cubits)",)),
        ("[[leathers]]", "[[leathers", (f"line {TEXT[: TEXT.index(chr(91) * 2)].count(chr(10)) + 1}",)),
        (
            'currency = "USD"',
            'currency = "dollars"',
            ("rates, currency: write", "such as EUR (it is dollars)"),
        ),
    ],
)
def test_a_wrong_row_is_named_as_a_person_would(
    tmp_path: Path, good: str, bad: str, said: tuple[str, ...]
) -> None:
    found = complaints(tmp_path, TEXT.replace(good, bad, 1))
    assert any(all(word in complaint for word in said) for complaint in found), found


def test_every_wrong_row_is_named_at_once(tmp_path: Path) -> None:
    broken = TEXT.replace("prong = 2.5", "prong = 0", 1).replace("wire = 3.0", "wire = 0", 1)
    assert len(complaints(tmp_path, broken.replace("margin = 0.25", "margin = 2"))) == 3


def test_a_missing_file_a_folder_and_a_file_that_is_no_text_are_said(tmp_path: Path) -> None:
    with pytest.raises(CatalogueUnusable, match=r"nowhere\.toml"):
        load_workshop(tmp_path / "nowhere.toml")
    with pytest.raises(CatalogueUnusable):
        load_workshop(tmp_path)
    (tmp_path / "latin").write_bytes('name = "Sévère"'.encode("latin-1"))
    with pytest.raises(CatalogueUnusable, match="UTF-8"):
        load_workshop(tmp_path / "latin")


def test_a_file_saved_by_a_windows_editor_is_read(tmp_path: Path) -> None:
    path = tmp_path / "workshop.toml"
    path.write_bytes(b"\xef\xbb\xbf" + TEXT.replace("\n", "\r\n").encode())
    assert load_workshop(path) == load_workshop(DEMO)


def test_money_is_read_as_it_is_written() -> None:
    shop = load_workshop(DEMO)
    assert shop.buckles[0].price == Decimal("2.39")
    assert shop.rates.tax == Decimal("0.07")
