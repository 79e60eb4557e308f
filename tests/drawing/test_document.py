"""The written document: nothing in it is shortened, lost or set over an edge."""

import pypdfium2
import pytest

from service.drawing import Document, Section, document_pdf
from tests.makers import pattern

A4, LETTER = (595.276, 841.89), (612.0, 792.0)
"""Points: ISO 216, 210 mm × 297 mm; ANSI Y14.1 size A, 8 1/2 in × 11 in."""
LONG = " ".join(f"word{number}" for number in range(900))
WRITTEN = Document(
    "A proof",
    ("Under the title",),
    (
        Section("Long", ((LONG,),)),
        Section("Table", tuple((f"name{n}", f"value{n} " * 12) for n in range(60)), (0.3, 0.7), (1,)),
        Section("Empty", ()),
    ),
    "Order 7",
)


def pages(paper: str) -> list[str]:
    made = document_pdf(WRITTEN, pattern(lettering="REX"), paper)  # type: ignore[arg-type]
    with pypdfium2.PdfDocument(made) as pdf:
        return [page.get_textpage().get_text_bounded() for page in pdf]


@pytest.mark.parametrize(("paper", "size"), [("a4", A4), ("letter", LETTER)])
def test_pages_are_upright_sheets_of_the_paper(paper: str, size: tuple[float, float]) -> None:
    made = document_pdf(WRITTEN, pattern(), paper)  # type: ignore[arg-type]
    with pypdfium2.PdfDocument(made) as pdf:
        assert [page.get_size() for page in pdf] == [pytest.approx(size, abs=0.01)] * len(pdf)


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_every_word_of_it_is_there_and_every_page_is_numbered(paper: str) -> None:
    found = pages(paper)
    words = " ".join(found).split()
    assert [word for word in LONG.split() if word not in words] == []
    assert [n for n in range(60) if words.count(f"value{n}") != 12] == []
    assert "Empty" not in words
    for number, text in enumerate(found, 1):
        assert f"Page {number} of {len(found)}" in " ".join(text.split())
        assert "Order 7" in text


def test_the_pattern_follows_whole_with_every_distance() -> None:
    text = " ".join(" ".join(pages("a4")).split())
    made = pattern(lettering="REX")
    assert f"{made.strap.length:.1f} mm" in text
    assert all(f"{row.x:.1f}".removesuffix(".0") in text for row in made.stations)


def test_the_same_document_is_the_same_bytes() -> None:
    assert document_pdf(WRITTEN, pattern(), "a4") == document_pdf(WRITTEN, pattern(), "a4")


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_the_pattern_begins_under_the_text_where_there_is_room(paper: str) -> None:
    short = Document("A proof", (), (Section("Price", (("Collar", "50 USD"),), (0.7, 0.3)),), "Order 7")
    made = document_pdf(short, pattern(), paper)  # type: ignore[arg-type]
    with pypdfium2.PdfDocument(made) as pdf:
        first = pdf[0].get_textpage().get_text_bounded()
        assert len(pdf) == 2
    assert "50 USD" in first
    assert "Strap, cut 1" in first


def test_a_short_table_is_never_divided_between_two_pages() -> None:
    table = Section("Table", tuple((f"name{n}", f"value{n}") for n in range(8)), (0.3, 0.7))
    for lines in range(30, 60):
        written = Document("A proof", (), (Section("Text", (("Line.",),) * lines), table), "Order 7")
        with pypdfium2.PdfDocument(document_pdf(written, pattern(), "a4")) as pdf:
            texts = [page.get_textpage().get_text_bounded() for page in pdf]
        assert [sum(f"name{n}" in text for n in range(8)) for text in texts if "name" in text] == [8]
