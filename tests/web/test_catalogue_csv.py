"""A table of the catalogue as a file: it comes back as it was, and nothing in a file can do harm."""

import csv
import io
import unicodedata
from contextlib import suppress
from random import Random
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.storage import (
    Act,
    Catalogue,
    Counted,
    count_stock,
    current_catalogue,
    record_of,
    stock_of,
    verify_record,
)
from service.web.catalogue_csv import (
    BYTES_MAX,
    FORMULA,
    ROWS_MAX,
    FileUnreadable,
    file_text,
    read_csv,
    to_csv,
)
from service.web.catalogue_tables import TABLES
from service.workshop import Leather, Workshop
from tests.makers import SHOP, parsed, workshop, workshop_with
from tests.web.shop_makers import Shop, words

LEATHERS = TABLES["leathers"]
HERE = "/shop/catalogue/leathers"
HEAD = "code,name,colour,thickness,price_per_m2,supplier"
FERN = "fern,Fern,#335533,3.1,151.50,"
PRINTABLE = st.text(
    st.characters(
        exclude_categories=["C", "Z"], exclude_characters="\ufffd", include_characters=" ;,\"'=+-@"
    ),
    max_size=40,
)


@pytest.mark.parametrize("sheet", TABLES.values(), ids=lambda sheet: sheet.kind)
def test_every_table_of_the_demo_comes_back_as_it_was(sheet: Any) -> None:  # noqa: ANN401 - a table
    text = to_csv(sheet, workshop(), {})
    found = read_csv(sheet, text, workshop(), {})
    assert found.mistakes == ()
    assert tuple(found.rows.values()) == getattr(workshop(), sheet.kind)
    assert len(text.split("\r\n")) == len(found.rows) + 2, "the heading, a line for each row, nothing after"


@given(
    st.lists(
        st.builds(
            Leather,
            code=st.from_regex(r"[a-z0-9][a-z0-9-]{0,39}", fullmatch=True),
            name=PRINTABLE.map(lambda text: " ".join(text.split())).filter(bool),
            colour=st.from_regex(r"#[0-9a-f]{6}", fullmatch=True),
            thickness=st.floats(1.2, 6),
            price_per_m2=st.decimals(0, 100_000, places=4),
            supplier=PRINTABLE.map(lambda text: " ".join(text.split())),
        ),
        unique_by=lambda row: row.code,
        max_size=5,
    ),
    st.sampled_from(",;\t"),
)
def test_whatever_a_table_holds_comes_back_whichever_sign_parts_its_columns(
    rows: list[Leather], sign: str
) -> None:
    rows = [
        row.model_copy(
            update={
                "name": unicodedata.normalize("NFC", row.name)[:60],
                "supplier": unicodedata.normalize("NFC", row.supplier)[:120],
            }
        )
        for row in rows
    ]
    shop = workshop_with(leathers=tuple(rows))
    out = io.StringIO(newline="")
    csv.writer(out, delimiter=sign).writerows(csv.reader(io.StringIO(to_csv(LEATHERS, shop, {}), newline="")))
    found = read_csv(LEATHERS, out.getvalue(), workshop_with(leathers=()), {})
    assert found.mistakes == ()
    assert [*found.rows.values()] == rows


def test_no_cell_of_a_file_is_a_formula() -> None:
    shop = workshop_with(
        leathers=tuple(
            workshop()
            .leathers[0]
            .model_copy(update={"code": f"c{n}", "name": f"{sign}1+1", "supplier": sign})
            for n, sign in enumerate([*FORMULA[:4], "'", "'="])
        )
    )
    text = to_csv(LEATHERS, shop, {})
    cells = [cell for row in csv.reader(io.StringIO(text, newline="")) for cell in row]
    assert not [cell for cell in cells if cell.startswith(FORMULA)]
    assert tuple(read_csv(LEATHERS, text, workshop_with(leathers=()), {}).rows.values()) == shop.leathers


@pytest.mark.parametrize(
    "text",
    [
        f"{HEAD}\n{FERN}\n",
        f"\ufeff{HEAD}\r\n{FERN}\r\n",
        f"\r\n\r\n{HEAD}\r\n\r\n{FERN}",
        "code;name;colour;thickness;price_per_m2\nfern;Fern;#335533;3,1;151,50",
        "Code\tName\tColour\tThickness\tPrice of a square metre\nfern\tFern\t#335533\t3,1 mm\t$151.50",
        'name,code,thickness,colour,price_per_m2\n"Fern",fern,"3.1",#335533,"151.5"',
        "code,name,colour,thickness,price_per_m2,supplier\rfern,Fern,#335533,3.1,151.50,\r",
    ],
)
def test_a_file_is_read_however_a_spreadsheet_writes_it(text: str) -> None:
    found = read_csv(LEATHERS, text, workshop(), {})
    assert found.mistakes == ()
    assert [(row.code, row.thickness, str(row.price_per_m2)) for row in found.rows.values()] in (  # type: ignore[attr-defined]
        [("fern", 3.1, "151.50")],
        [("fern", 3.1, "151.5")],
    )


def test_a_column_that_a_file_leaves_out_stays_as_it_is() -> None:
    found = read_csv(LEATHERS, "code,price_per_m2\nmoss,171\n", workshop(), {})
    moss = next(row for row in workshop().leathers if row.code == "moss")
    assert [str(row) for row in found.rows.values()] == [
        str(moss.model_copy(update={"price_per_m2": type(moss.price_per_m2)(171)}))
    ]


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "nothing in it"),
        ("\n , ,\n", "nothing in it"),
        ("code,weight\n", "“weight” is no column here"),
        ("code,,name\n", "has no heading"),
        ("code,code,name\n", "twice"),
        ("name,colour\nFern,#335533\n", "column code is missing"),
        (f'{HEAD}\nfern,"Fern\n', "quotation mark"),
        (f"{HEAD}\nfern,\x00\n", "no text has"),
        (HEAD + "\n" + FERN * 1 + "\nx" * (ROWS_MAX + 1), f"{ROWS_MAX} is the most"),
    ],
)
def test_a_file_that_can_not_be_taken_apart_is_said_in_a_sentence(text: str, said: str) -> None:
    with pytest.raises(FileUnreadable, match=said):
        read_csv(LEATHERS, text, workshop(), {})


def test_a_file_that_is_too_large_or_no_utf_8_is_said_so() -> None:
    with pytest.raises(FileUnreadable, match="200000"):
        file_text(b"x" * (BYTES_MAX + 1))
    with pytest.raises(FileUnreadable, match="CSV UTF-8"):
        file_text("code,name\nfern,Größe".encode("latin-1"))
    assert file_text(b"\xef\xbb\xbfcode") == "code"


def test_every_mistake_is_named_by_its_row_and_column() -> None:
    text = f"{HEAD}\nfern,,#335533,9,151.50,\n\nmoss,Moss,green,3.1,1,000,\nhavana,H,#335533,3,1,x,y,z\n"
    text += f"{FERN}\n{FERN}"
    found = read_csv(LEATHERS, text, workshop(), {})
    said = [(one.row, one.column, one.said.partition(".")[0]) for one in found.mistakes]
    assert said[:3] == [
        (2, "Name", "Name is needed"),
        (2, "Thickness", "Thickness must be from 1"),
        (4, "", "It has 7 cells under 6 headings"),
    ]
    assert said[3] == (5, "", "It has 8 cells under 6 headings")
    assert said[-1] == (7, "Code", "“fern” stands in the file twice")


HOSTILE = (
    "",
    "=1+1",
    "@SUM(A1)",
    "'",
    '"',
    '""',
    "\n",
    "\r\n",
    ",",
    ";",
    "\t",
    "\x00",
    "\x07",
    "\N{RIGHT-TO-LEFT OVERRIDE}x",
    "\ud800",
    "\ufffe",
    "9" * 400,
    "1e999",
    "NaN",
    "-inf",
    "½",
    "1,234",
    "²",
    "٣",
    "<script>alert(1)</script>",
    "{{7*7}}",
    "%s%n",
    "'; DROP TABLE catalogue; --",
    "../../etc/passwd",
    "漢" * 90,
    "e\u0301" * 200,
    "🐕",
    "#GGGGGG",
    "true",
    "None",
    "0",
    "-0",
    "3 mm",
    "8 oz",
    "brass",
    "Fern",
)


def test_five_thousand_hostile_cells_are_read_or_named_and_never_a_fault() -> None:
    chance, cells, read = Random(5), 0, 0  # noqa: S311 - the same each time
    kinds = [*TABLES.values()]
    while cells < 5000:
        sheet = chance.choice(kinds)
        names = [column.name for column in sheet.columns]
        lines = [[chance.choice(HOSTILE) for _ in names] for _ in range(4)]
        out = io.StringIO(newline="")
        writer = csv.writer(out, delimiter=chance.choice(",;\t"), quoting=csv.QUOTE_ALL)
        writer.writerows([names, *lines])
        cells += sum(map(len, lines))
        text = out.getvalue().encode("utf-8", "surrogatepass").decode("utf-8", "replace")
        try:
            found = read_csv(sheet, text, workshop(), {})
        except FileUnreadable:
            continue
        read += 1
        assert found.mistakes
        assert all(one.said and one.said.isprintable() for one in found.mistakes), found.mistakes
    assert read > 50


@settings(max_examples=200)
@given(st.text(max_size=200), st.sampled_from([*TABLES]))
def test_any_text_is_a_file_or_said_to_be_none(text: str, kind: Any) -> None:  # noqa: ANN401 - a table's name
    with suppress(FileUnreadable):
        assert read_csv(TABLES[kind], text, workshop(), {}).rows is not None


def in_force(shop: Shop) -> Catalogue:
    with shop.database.reading() as connection:
        return current_catalogue(connection, SHOP)


def sure(answer: Any) -> dict[str, str]:  # noqa: ANN401 - a response
    """What the button sends that keeps what was shown."""
    page = parsed(answer.text)
    return {
        one.get("name"): one.get("value")
        for one in page.xpath("//main//form[not(@enctype)][contains(@action, 'import')]//input")
    }


def test_a_file_is_shown_and_then_kept_whole() -> None:
    shop = Shop()
    text = to_csv(LEATHERS, workshop(), {}).replace(",160,", ",171,") + FERN.replace(",3.1", ",dyed,3.1")
    answer = shop.maker.post(
        f"{HERE}/import", data={"rest": "keep"}, files={"file": ("l.csv", text.encode("utf-8-sig"))}
    )
    assert answer.status_code == 200
    said = words(answer)
    assert "1 added, 1 changed, 0 removed, 6 as they are" in said
    assert "Price of a square metre $160.00 $171.00" in said
    assert in_force(shop).version == 1
    kept = shop.post(f"{HERE}/import", **sure(answer))
    assert kept.headers["location"] == f"{HERE}?done=brought"
    now = in_force(shop)
    assert [row.code for row in now.rows.leathers][-1] == "fern"
    assert now.change == "leathers: from a file, 1 added, 1 changed, 0 removed"
    again = shop.maker.get(f"{HERE}.csv")
    assert again.headers["content-type"] == "text/csv; charset=utf-8"
    assert "attachment" in again.headers["content-disposition"]
    same = shop.post(f"{HERE}/import", text=again.text)
    assert "Nothing: the file says what the catalogue says already" in words(same)


def test_rows_that_are_not_in_the_file_go_only_when_that_was_chosen() -> None:
    shop = Shop()
    keep = shop.post(f"{HERE}/import", text=f"{HEAD}\n{FERN}")
    assert "1 added, 0 changed, 0 removed, 7 as they are" in words(keep)
    remove = shop.post(f"{HERE}/import", text=f"{HEAD}\n{FERN}", rest="remove")
    assert "1 added, 0 changed, 7 removed, 0 as they are" in words(remove)
    shop.post(f"{HERE}/import", **sure(remove))
    assert [row.code for row in in_force(shop).rows.leathers] == ["fern"]


def test_a_file_with_a_mistake_changes_nothing_and_stays_in_the_form() -> None:
    shop = Shop()
    text = f"{HEAD}\n{FERN}\nmoss,Moss,green,3,1,"
    answer = shop.post(f"{HERE}/import", text=text, sure="yes", seen="1", rest="remove")
    assert answer.status_code == 422
    assert "Row 3, Colour: A colour is # and six figures" in words(answer)
    page = parsed(answer.text)
    assert page.get_element_by_id("field-text").text.replace("\r", "").removeprefix("\n") == text
    assert page.xpath("//input[@name='rest'][@checked]/@value") == ["remove"]
    assert in_force(shop).version == 1


def test_a_file_that_would_leave_hardware_without_its_finish_is_refused_whole() -> None:
    shop = Shop()
    here = "/shop/catalogue/finishes"
    shown = shop.post(f"{here}/import", text="code,name,colour\ngold,Gold,#ffdd00", rest="remove")
    answer = shop.post(f"{here}/import", **sure(shown))
    assert answer.status_code == 422
    assert "there is no finish brass" in words(answer)
    assert in_force(shop).version == 1


def test_what_changed_while_a_file_was_looked_at_is_shown_anew() -> None:
    shop = Shop()
    shown = shop.post(f"{HERE}/import", text="code,price_per_m2\nmoss,171")
    other = shop.post(f"{HERE}/import", "owner", text="code,price_per_m2\nmoss,99")
    shop.post(f"{HERE}/import", "owner", **sure(other))
    answer = shop.post(f"{HERE}/import", **sure(shown))
    assert answer.status_code == 409
    assert "Price of a square metre $99.00 $171.00" in words(answer)
    assert shop.post(f"{HERE}/import", **sure(answer)).status_code == 303
    assert in_force(shop).version == 3


def test_what_is_no_form_and_what_is_too_much_is_answered_so() -> None:
    shop = Shop()
    kind = {"Content-Type": "multipart/form-data; boundary=x", "Accept": "text/html"}
    for body, status in ((b"--y\r\n", 422), (b"", 422), (b"x" * 900_000, 413)):
        assert shop.maker.post(f"{HERE}/import", content=body, headers=kind).status_code == status
    none = {"Content-Type": "multipart/form-data", "Accept": "text/html"}
    assert shop.maker.post(f"{HERE}/import", content=b"--x", headers=none).status_code == 422
    large = shop.maker.post(f"{HERE}/import", files={"file": ("l.csv", b"x" * (BYTES_MAX + 5))})
    assert "200000 is the most" in words(large)


def test_the_form_that_takes_a_file_works_for_an_empty_table_too() -> None:
    shop = Shop()
    shop.post("/shop/catalogue/studs/import", text="code\n", rest="remove")
    assert shop.maker.get("/shop/catalogue/studs/import").status_code == 200
    shown = shop.post("/shop/catalogue/studs/import", text="code\n", rest="remove")
    shop.post("/shop/catalogue/studs/import", **sure(shown))
    assert in_force(shop).rows.studs == ()
    assert Workshop.model_validate(in_force(shop).rows.model_dump()) == in_force(shop).rows


# What is on the shelves.

RIVETS = TABLES["fasteners"]
RIVET, POST = "brass-rivet-short", "brass-post-6"
MOSS = "leathers", "moss"


def counted(shop: Shop) -> dict[str, tuple[int, int | None]]:
    with shop.database.reading() as connection:
        return {row.code: (row.count, row.low) for row in stock_of(connection, SHOP)}


def count(shop: Shop, kind: str, code: str, number: int, low: int | None = None) -> None:
    """Somebody counts, or an order takes something."""
    with shop.database.writing() as connection:
        there = {(row.kind, row.code): row.row_version for row in stock_of(connection, SHOP)}
        row = Counted(kind, code, number, low, there.get((kind, code), 0))
        count_stock(connection, SHOP, [row], Act("maker", "maker", shop.now))


def table(text: str) -> list[dict[str, str]]:
    return [*csv.DictReader(io.StringIO(text.removeprefix("\ufeff"), newline=""))]


def test_a_file_holds_what_is_counted_and_brought_back_it_changes_nothing() -> None:
    shop = Shop()
    count(shop, *MOSS, 1_234_567, 5000)
    count(shop, "leathers", "havana", -40)
    text = shop.maker.get(f"{HERE}.csv").text
    cells = {row["code"]: [row[name] for name in ("stock", "low", "stock_was")] for row in table(text)}
    assert cells["moss"] == ["123.4567", "0.5", "123.4567"]
    assert cells["havana"] == ["'-0.004", "", "'-0.004"]
    assert cells["black"] == ["", "", ""]
    assert "says what the catalogue says already" in words(shop.post(f"{HERE}/import", text=text))
    # A spreadsheet writes the same numbers with a comma, and a unit is as good as none.
    other = "code;stock;low;stock_was\nmoss;123,4567 m²;0,5;123,4567\nhavana;-0,004;;-0.004"
    assert "says what the catalogue says already" in words(shop.post(f"{HERE}/import", text=other))
    uncounted = shop.maker.get("/shop/catalogue/stamps.csv").text
    assert [*table(uncounted)[0]] == ["name", "code", "height", "gap", "advances"]


def test_counts_are_brought_in_with_their_rows_shown_first_and_put_on_the_record() -> None:
    shop = Shop()
    count(shop, "fasteners", RIVET, 96, 20)
    here = "/shop/catalogue/fasteners"
    price = next(row.price for row in workshop().fasteners if row.code == RIVET)
    text = f"code,price,stock,low\n{RIVET},{price},120,25\n{POST},0.47,40,\n"
    shown = shop.post(f"{here}/import", text=text)
    assert "0 added, 2 changed, 0 removed" in words(shown)
    assert "In stock 96 120" in words(shown)
    assert "Low below 20 25" in words(shown)
    assert counted(shop) == {RIVET: (96, 20)}
    assert shop.post(f"{here}/import", **sure(shown)).headers["location"] == f"{here}?done=brought"
    assert counted(shop) == {RIVET: (120, 25), POST: (40, None)}
    assert in_force(shop).change == "fasteners: from a file, 0 added, 1 changed, 0 removed"
    with shop.database.reading() as connection:
        facts = [entry.fact for entry in record_of(connection, SHOP)][-2:]
        verify_record(connection, SHOP)
    assert [(fact.action, fact.who, fact.detail) for fact in facts] == [
        ("stock-counted", "maker", f"fasteners {RIVET}: 120"),
        ("stock-counted", "maker", f"fasteners {POST}: 40"),
    ]
    # Counts alone are no new version of the catalogue; an empty cell is no longer counted.
    shown = shop.post(f"{here}/import", text=f"code,stock,low\n{POST},,\n{RIVET},121")
    shop.post(f"{here}/import", **sure(shown))
    assert (in_force(shop).version, counted(shop)) == (2, {RIVET: (121, 25)})


def test_what_orders_took_since_the_download_stays_taken() -> None:
    shop = Shop()
    count(shop, "fasteners", RIVET, 100)
    count(shop, "fasteners", POST, 50)
    here = "/shop/catalogue/fasteners"
    text = shop.maker.get(f"{here}.csv").text
    count(shop, "fasteners", RIVET, 96)
    dearer = text.replace(",0.45,", ",0.46,", 1)
    shown = shop.post(f"{here}/import", text=dearer)
    assert "0 added, 1 changed, 0 removed" in words(shown)
    assert "In stock" not in words(shown).partition("Another file")[0]
    assert shop.post(f"{here}/import", **sure(shown)).status_code == 303
    assert counted(shop) == {RIVET: (96, None), POST: (50, None)}
    # Counted anew in the old file: nobody knows whether before or after the four went out.
    again = text.replace(",100,,100", ",110,,100").replace(",50,,50", ",55,,50")
    refused = shop.post(f"{here}/import", text=again)
    assert refused.status_code == 422
    assert "In stock: It has moved since this was downloaded: 100 then, 96 now." in words(refused)
    mended = again.replace(",110,,100", ",110,,96")
    shop.post(f"{here}/import", **sure(shop.post(f"{here}/import", text=mended)))
    assert counted(shop) == {RIVET: (110, None), POST: (55, None)}


def test_a_count_that_moved_while_the_file_was_looked_at_is_shown_anew() -> None:
    shop = Shop()
    count(shop, *MOSS, 50_000)
    shown = shop.post(f"{HERE}/import", text="code,stock\nmoss,7")
    count(shop, *MOSS, 49_000)
    answer = shop.post(f"{HERE}/import", **sure(shown))
    assert answer.status_code == 409
    assert "In stock 4.90 m² 7.00 m²" in words(answer)
    assert shop.post(f"{HERE}/import", **sure(answer)).status_code == 303
    assert counted(shop) == {"moss": (70_000, None)}


def test_a_count_that_is_none_is_named_by_its_row_and_column_and_nothing_is_kept() -> None:
    shop = Shop()
    text = f"code,stock,low\n{RIVET},2.5,\n{POST},,9\nbrass-rivet-long,-3,many\nbrass-rivet-large,-3,"
    answer = shop.post("/shop/catalogue/fasteners/import", text=text, sure="yes", seen="1")
    assert answer.status_code == 422
    for said in (
        "Row 2, In stock: Pieces are counted whole.",
        "Row 3, Low below: Say how many there are too",
        "Row 4, Low below: That is no plain number.",
        "Row 5, In stock: A number can't be negative here.",
    ):
        assert said in words(answer)
    assert counted(shop) == {}


def test_a_row_that_a_file_adds_is_counted_under_its_new_code() -> None:
    shop = Shop()
    text = "code,name,colour,bottle_ml,covers_m2,price,stock\n,Heather,#7d4b6e,120,0.9,9,300 ml"
    shown = shop.post("/shop/catalogue/dyes/import", text=text)
    assert "In stock 300 ml" in words(shown)
    shop.post("/shop/catalogue/dyes/import", **sure(shown))
    assert in_force(shop).rows.dyes[-1].code == "heather"
    assert counted(shop) == {"heather": (300, None)}
