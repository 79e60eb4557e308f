import csv
import io
import json
from typing import Any
from zipfile import ZipFile

import pytest
from starlette.testclient import TestClient

from service.storage import Act, Photo, add_photo, order_by_number, record_of, send_proof
from service.storage.giving import FORMULAS, SECRETS, WITHHELD
from service.storage.tables import METADATA
from service.web.proofs import make_proof
from tests.makers import LINK, SHOP, parsed
from tests.web.customers import WHO, hidden
from tests.web.door_makers import PASSWORD, Door
from tests.web.test_second_factor import set_up

HERE = "/shop/data"
ASK = f"/ask?{LINK}"
FORMULA = "=HYPERLINK(0)"


@pytest.fixture
def door() -> Door:
    """A shop with an order that has a proof and a photo."""
    made = Door()
    browser = made.browser()
    browser.post(ASK, data={**hidden(browser.get(ASK).text), **WHO, "notes": FORMULA})
    with made.database.reading() as connection:
        order = order_by_number(connection, SHOP, 1)
    proof = make_proof(made.house, order)
    photo = Photo("photo-1", order.id, "enquiry", "", "image/webp", 2, 2, made.now)
    with made.database.writing() as connection:
        send_proof(connection, proof.order, proof.proof, proof.drawings, Act("maker", "ola", made.now))
        add_photo(connection, photo, b"a photo", Act("maker", "ola", made.now))
    return made


def opened(answer: Any) -> dict[str, bytes]:  # noqa: ANN401 - a response
    assert answer.status_code == 200, answer.text
    assert answer.headers["Content-Type"] == "application/zip"
    assert answer.headers["Cache-Control"] == "no-store"
    assert int(answer.headers["Content-Length"]) == len(answer.content)
    with ZipFile(io.BytesIO(answer.content)) as archive:
        assert archive.testzip() is None
        return {name: archive.read(name) for name in archive.namelist()}


def customer_path(browser: TestClient) -> str:
    page = parsed(browser.get("/shop/customers").text)
    return str(next(href for href in page.xpath("//main//a/@href") if href.startswith("/shop/customers/")))


def test_an_owner_takes_everything_away(door: Door) -> None:
    owner = door.signed_in("Ola Owner")
    files = opened(owner.post(HERE, data={"now": PASSWORD}))
    given = {name for name in METADATA.tables if name not in WITHHELD}
    assert {name for name in files if name.startswith("json/")} == {f"json/{name}.json" for name in given}
    assert {name for name in files if name.startswith("csv/")} == {f"csv/{name}.csv" for name in given}
    for name in given:
        rows = json.loads(files[f"json/{name}.json"])
        lines = list(csv.reader(io.StringIO(files[f"csv/{name}.csv"].decode("utf-8-sig"), newline="")))
        assert len(lines) == len(rows) + 1, name
    (order,) = json.loads(files["json/orders.json"])
    assert (order["number"], order["notes"]) == (1, FORMULA)
    assert json.loads(files["json/customer.json"])[0]["name"] == WHO["name"]
    drawings = [name for name in files if name.startswith("drawings/order-1/proof-1/")]
    assert {"drawings/order-1/proof-1/print.pdf", "drawings/order-1/proof-1/worn-buckle.svg"} <= {*drawings}
    assert files["drawings/order-1/proof-1/print.pdf"].startswith(b"%PDF")
    assert files["photos/order-1/enquiry-photo-1.webp"] == b"a photo"


def test_nothing_that_opens_anything_is_in_it(door: Door) -> None:
    secret, _ = set_up(door, door.signed_in("Mia Maker"))
    files = opened(door.signed_in("Ola Owner").post(HERE, data={"now": PASSWORD}))
    told = b"".join(files.values())
    assert secret.encode() not in told
    assert b"argon2" not in told
    assert not [name for name in SECRETS if f'"{name}"'.encode() in told]


def test_no_cell_is_a_formula(door: Door) -> None:
    files = opened(door.signed_in("Ola Owner").post(HERE, data={"now": PASSWORD}))
    cells = [
        cell
        for name, content in files.items()
        if name.startswith("csv/")
        for row in csv.reader(io.StringIO(content.decode("utf-8-sig"), newline=""))
        for cell in row
    ]
    assert f"'{FORMULA}" in cells
    assert not [cell for cell in cells if cell.startswith(FORMULAS) and not cell.lstrip("-").isdigit()]


@pytest.mark.parametrize("now", ["", "not the password at all"])
def test_without_the_password_nothing_is_given_out(door: Door, now: str) -> None:
    owner = door.signed_in("Ola Owner")
    for path in (HERE, f"{customer_path(owner)}/everything"):
        answer = owner.post(path, data={"now": now})
        assert answer.status_code == 422
        assert "password of now" in parsed(answer.text).xpath("string(//*[@class='wrong'])")
    with door.database.reading() as connection:
        assert not [one for one in record_of(connection, SHOP) if one.fact.action.endswith("-given")]


def test_only_an_owner_is_given_anything(door: Door) -> None:
    maker = door.signed_in("Mia Maker")
    assert maker.get(HERE).status_code == 403
    assert maker.post(HERE, data={"now": PASSWORD}).status_code == 403
    assert maker.post(f"{customer_path(maker)}/everything", data={"now": PASSWORD}).status_code == 403
    assert door.browser().post(HERE, data={"now": PASSWORD}).status_code == 403
    assert door.signed_in("Ola Owner").get(HERE).status_code == 200


def test_a_customer_is_given_what_is_kept_about_them_and_nobody_elses(door: Door) -> None:
    browser = door.browser()
    other = {**WHO, "name": "Bo Placeholder", "email": "bo@mail.example"}
    browser.post(ASK, data={**hidden(browser.get(ASK).text), **other})
    owner = door.signed_in("Ola Owner")
    files = opened(owner.post(f"{customer_path(owner)}/everything", data={"now": PASSWORD}))
    kept = json.loads(files["customer.json"])
    assert kept["customer"]["name"] == WHO["name"]
    assert [order["number"] for order in kept["orders"]] == [1]
    assert "photos/order-1/enquiry-photo-1.webp" in files
    assert "drawings/order-1/proof-1/print.pdf" in files
    assert b"Bo Placeholder" not in b"".join(files.values())
    assert "token" not in files["customer.json"].decode()
    with door.database.reading() as connection:
        assert "customer-given" in {one.fact.action for one in record_of(connection, SHOP)}
