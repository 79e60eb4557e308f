"""The catalogue on the shop's pages: seen by every member, changed by those who may, never unseen."""

import json
from typing import Any
from urllib.parse import quote

import pytest
from sqlalchemy import text

from service.orders import pieces_for
from service.storage import (
    SHELVES,
    Act,
    Catalogue,
    Counted,
    Role,
    count_stock,
    current_catalogue,
    last_entry,
    old_catalogue,
    stock_of,
)
from service.web.catalogue_form import typed_row
from service.web.catalogue_tables import OWN, RATES, TABLES
from tests.makers import SHOP, client, parsed, pattern, store, workshop, workshop_with
from tests.web.shop_makers import Shop, words

HERE = "/shop/catalogue"
FERN = {"name": "Fern", "code": "", "colour": "#335533", "thickness": "8 oz", "price_per_m2": "$151.50"}
EMPTY = workshop_with(leathers=(), finishes=(), buckles=(), rings=(), fasteners=(), studs=(), times=())


@pytest.fixture
def shop() -> Shop:
    return Shop()


def in_force(shop: Shop) -> Catalogue:
    with shop.database.reading() as connection:
        return current_catalogue(connection, SHOP)


def row_form(shop: Shop, kind: str, key: str, **text: str) -> dict[str, str]:
    """What the form of a row sends, with some of it changed."""
    page = parsed(shop.maker.get(f"{HERE}/{kind}/row?key={quote(key)}").text)
    form = page.xpath("//form[contains(@class, 'cells')]")[0]
    typed = {one.get("name"): one.get("value", "") for one in form.xpath(".//input[@name]")}
    typed |= {one.get("name"): one.text or "" for one in form.xpath(".//textarea")}
    for one in form.xpath(".//select"):
        typed[one.get("name")] = one.xpath("./option[@selected]/@value")[0]
    return {**typed, **text}


def wrong(answer: Any, name: str) -> str:  # noqa: ANN401 - a response
    """What stands beside a field."""
    page = parsed(answer.text)
    field = page.get_element_by_id(f"field-{name}")
    assert field.get("aria-invalid") == "true"
    assert f"wrong-{name}" in field.get("aria-describedby")
    return str(page.get_element_by_id(f"wrong-{name}").text_content())


def test_nobody_sees_it_who_is_not_signed_in(shop: Shop) -> None:
    stranger = client(shop.app)
    stranger.follow_redirects = False
    for path in (
        "",
        "/leathers",
        "/leathers.csv",
        "/leathers/row",
        "/history",
        "/rates",
        "/assumptions",
        "/terms",
        "/rings/stock",
    ):
        assert stranger.get(f"{HERE}{path}").headers["location"].startswith("/shop/sign-in")


@pytest.mark.parametrize("role", ["owner", "maker", "read-only"])
def test_every_member_sees_every_page_and_only_those_who_may_see_a_button(shop: Shop, role: Role) -> None:
    paths = ["", "/workshop", "/rates", "/assumptions", "/terms", "/history", "/history/1"]
    for sheet in TABLES.values():
        key = str(getattr(getattr(workshop(), sheet.kind)[0], sheet.key))
        paths += [f"/{sheet.kind}", f"/{sheet.kind}/row?key={quote(key)}", f"/{sheet.kind}.csv"]
    paths += [f"/{kind}/stock" for kind in SHELVES]
    for path in paths:
        answer = shop.browsers[role].get(f"{HERE}{path}")
        assert answer.status_code == 200, path
        if path.endswith(".csv"):
            continue
        buttons = parsed(answer.text).xpath("//main//form[@method='post']//button")
        owners = path in {"/workshop", "/rates", "/assumptions", "/terms"}
        may = role != "read-only" and (role == "owner" or not owners)
        forms = "/row" in path or "/stock" in path or owners
        assert bool(buttons) == (may and forms), path


def test_what_a_role_may_not_do_is_refused(shop: Shop) -> None:
    rates = {**typed_row(RATES, workshop().rates, workshop()), "seen": "1"}
    tries: tuple[tuple[Role, str, dict[str, str]], ...] = (
        ("read-only", "/leathers/row", FERN),
        ("read-only", "/leathers/remove", {"key": "moss", "seen": "1"}),
        ("read-only", "/leathers/import", {"text": "code"}),
        ("read-only", "/leathers/stock", {}),
        ("maker", "/rates", rates),
        ("maker", "/assumptions", {"seen": "1"}),
        ("maker", "/workshop", {}),
        ("maker", "/terms", {"terms": "Half first."}),
        ("maker", "/history/1", {"seen": "1"}),
    )
    for role, path, typed in tries:
        assert shop.post(f"{HERE}{path}", role, **typed).status_code == 403, path
    assert in_force(shop).version == 1


def test_a_row_is_added_and_is_in_force_at_once(shop: Shop) -> None:
    answer = shop.post(f"{HERE}/leathers/row", **FERN, seen="1")
    assert answer.headers["location"] == f"{HERE}/leathers?done=kept"
    assert "Fern" in words(shop.maker.get(answer.headers["location"]))
    row = in_force(shop).rows.leathers[-1]
    assert (row.code, row.thickness, str(row.price_per_m2)) == ("fern", 3.175, "151.50")
    page = client(shop.app).get("/?neck=19+in&leather=fern")
    assert "Fern collar" in page.text
    with shop.database.reading() as connection:
        entry = last_entry(connection, SHOP)
    assert entry is not None
    assert (entry.fact.action, entry.fact.who) == ("catalogue-changed", "maker")


def test_what_is_wrong_is_said_beside_its_field_and_nothing_typed_is_lost(shop: Shop) -> None:
    typed = {**FERN, "thickness": "9", "price_per_m2": "dear", "supplier": "Ask <Ola>"}
    answer = shop.post(f"{HERE}/leathers/row", **typed, seen="1")
    assert answer.status_code == 422
    assert "from 1.2 mm to 6 mm" in wrong(answer, "thickness")
    assert "plain number" in wrong(answer, "price_per_m2")
    inputs = parsed(answer.text).xpath("//form[contains(@class, 'cells')]//input[@id]")
    kept = {one.get("name"): one.get("value") for one in inputs}
    assert kept == {**typed, "longest": "", "strength_n_mm2": ""}
    assert in_force(shop).version == 1


def test_a_row_is_changed_and_stays_in_its_place(shop: Shop) -> None:
    typed = row_form(
        shop, "buckles", "brass-heel-bar-1-in", price="3.75", rated_load_n="1.5 kN", mass_g="1 oz"
    )
    assert shop.post(f"{HERE}/buckles/row", **typed).status_code == 303
    before, after = workshop().buckles, in_force(shop).rows.buckles
    place = next(n for n, row in enumerate(before) if row.code == "brass-heel-bar-1-in")
    assert [row.code for row in after] == [row.code for row in before]
    assert (str(after[place].price), after[place].rated_load_n) == ("3.75", 1500.0)
    card = words(shop.maker.get(f"{HERE}/buckles"))
    assert "Rated load 1500 N" in card
    assert "Mass 28.3495 g" in card


def test_a_form_that_changes_nothing_makes_no_version(shop: Shop) -> None:
    answer = shop.post(f"{HERE}/buckles/row", **row_form(shop, "buckles", "brass-heel-bar-1-in"))
    assert answer.headers["location"].endswith("done=same")
    assert in_force(shop).version == 1


def test_a_step_and_a_consumable_may_get_another_name_and_a_code_may_not(shop: Shop) -> None:
    typed = row_form(shop, "times", "Set rivets or posts", step="Set rivets / posts")
    assert shop.post(f"{HERE}/times/row", **typed).status_code == 303
    steps = [row.step for row in in_force(shop).rows.times]
    assert "Set rivets / posts" in steps
    assert len(steps) == len(workshop().times)
    assert shop.maker.get(f"{HERE}/times/row?key={quote('Set rivets / posts')}").status_code == 200
    typed = row_form(shop, "leathers", "moss", code="fern", name="Fern")
    shop.post(f"{HERE}/leathers/row", **typed)
    assert [(row.code, row.name) for row in in_force(shop).rows.leathers if row.name == "Fern"] == [
        ("moss", "Fern")
    ]


@pytest.mark.parametrize(
    ("kind", "typed", "field"),
    [
        ("leathers", {**FERN, "code": "moss"}, "code"),
        ("consumables", {"name": "Dye and finish", "price": "1"}, "name"),
    ],
)
def test_a_code_or_a_name_that_is_taken_overwrites_nothing(
    shop: Shop, kind: str, typed: dict[str, str], field: str
) -> None:
    answer = shop.post(f"{HERE}/{kind}/row", **typed, seen="1")
    assert answer.status_code == 422
    assert "already" in wrong(answer, field)
    assert in_force(shop).version == 1


def test_a_row_is_copied_and_put_first(shop: Shop) -> None:
    page = parsed(shop.maker.get(f"{HERE}/leathers/row?copy=moss").text)
    assert page.get_element_by_id("field-name").get("value") == "Moss harness"
    assert page.get_element_by_id("field-code").get("value") == ""
    assert page.xpath("//input[@name='key']") == []
    typed = row_form(shop, "leathers", "moss", first="yes")
    assert shop.post(f"{HERE}/leathers/row", **typed).status_code == 303
    assert in_force(shop).rows.leathers[0].code == "moss"
    assert client(shop.app).get("/design.json?neck=19+in").json()["spec"]["leather"] == "moss"


def test_a_row_is_removed_once_and_what_others_need_is_not(shop: Shop) -> None:
    for _ in range(2):
        answer = shop.post(f"{HERE}/leathers/remove", key="moss", seen="1")
        assert answer.headers["location"] == f"{HERE}/leathers?done=removed"
    assert in_force(shop).version == 2
    answer = shop.post(f"{HERE}/finishes/remove", key="brass", seen="2")
    assert answer.status_code == 409
    assert "Buckles 18, D-rings 9" in words(answer)
    assert in_force(shop).version == 2


def test_two_who_change_different_rows_do_not_disturb_each_other(shop: Shop) -> None:
    mine = row_form(shop, "leathers", "moss", price_per_m2="171")
    theirs = row_form(shop, "leathers", "havana", price_per_m2="172")
    assert shop.post(f"{HERE}/leathers/row", **mine).status_code == 303
    assert shop.post(f"{HERE}/leathers/row", "owner", **theirs).status_code == 303
    prices = {row.code: str(row.price_per_m2) for row in in_force(shop).rows.leathers}
    assert (prices["moss"], prices["havana"]) == ("171", "172")


def test_the_slower_of_two_who_change_one_row_sees_what_the_other_made_of_it(shop: Shop) -> None:
    slow = row_form(shop, "leathers", "moss", price_per_m2="171")
    shop.post(f"{HERE}/leathers/row", "owner", **row_form(shop, "leathers", "moss", price_per_m2="99"))
    answer = shop.post(f"{HERE}/leathers/row", **slow)
    assert answer.status_code == 409
    said = words(answer)
    assert "Somebody has changed this since you opened it" in said
    assert "Leathers: moss changed" in said
    assert "Ola Owner" in said
    against = parsed(answer.text).xpath("//table[@class='against']//td/text()")
    assert against == ["$99.00", "171"]
    again = {**slow, "seen": parsed(answer.text).xpath("//input[@name='seen']/@value")[0]}
    assert shop.post(f"{HERE}/leathers/row", **again).status_code == 303
    assert [str(row.price_per_m2) for row in in_force(shop).rows.leathers if row.code == "moss"] == ["171"]


def test_a_row_that_was_removed_meanwhile_is_added_again_only_when_that_is_meant(shop: Shop) -> None:
    slow = row_form(shop, "leathers", "moss", price_per_m2="171")
    shop.post(f"{HERE}/leathers/remove", "owner", key="moss", seen="1")
    answer = shop.post(f"{HERE}/leathers/row", **slow)
    assert answer.status_code == 409
    assert "Somebody has removed this row" in words(answer)
    page = parsed(answer.text)
    assert page.get_element_by_id("field-price_per_m2").get("value") == "171"
    again = {**slow, "seen": page.xpath("//input[@name='seen']/@value")[0], "key": ""}
    again["code"] = page.get_element_by_id("field-code").get("value")
    assert shop.post(f"{HERE}/leathers/row", **again).status_code == 303
    assert in_force(shop).rows.leathers[-1].code == "moss"


def test_a_row_changed_meanwhile_is_not_removed_unseen(shop: Shop) -> None:
    shop.post(f"{HERE}/leathers/row", **row_form(shop, "leathers", "moss", price_per_m2="171"))
    assert shop.post(f"{HERE}/leathers/remove", key="moss", seen="1").status_code == 409
    assert in_force(shop).version == 2


def test_rates_and_the_workshop_itself_are_changed_by_an_owner(shop: Shop) -> None:
    page = parsed(shop.browsers["owner"].get(f"{HERE}/rates").text)
    typed = {one.get("name"): one.get("value") for one in page.xpath("//form[@class='cells']//input")}
    typed |= {"tax": "8,5 %", "labour_per_hour": "$ 31.20"}
    assert shop.post(f"{HERE}/rates", "owner", **typed).status_code == 303
    rates = in_force(shop).rows.rates
    assert (str(rates.tax), str(rates.labour_per_hour)) == ("0.085", "31.20")
    own = {**typed_row(OWN, workshop(), workshop()), "units": "cm", "languages": "en, de", "seen": "2"}
    assert shop.post(f"{HERE}/workshop", "owner", **own).status_code == 303
    rows = in_force(shop).rows
    assert rows.rates == rates
    assert (rows.units, rows.languages) == ("cm", ("en", "de"))
    assert shop.post(f"{HERE}/workshop", "owner", **{**own, "seen": "3"}).headers["location"].endswith("same")
    bad = {**typed, "margin": "100 %", "seen": "3"}
    assert "from 0 % to 95 %" in wrong(shop.post(f"{HERE}/rates", "owner", **bad), "margin")


def test_assumptions_on_strength_are_changed_by_an_owner_and_every_estimate_follows(shop: Shop) -> None:
    estimate = "/strength?neck=19+in"
    assert "240 to 410 N" in words(shop.maker.get(estimate))
    page = parsed(shop.browsers["owner"].get(f"{HERE}/assumptions").text)
    typed = {one.get("name"): one.get("value") for one in page.xpath("//form[@class='cells']//input")}
    assert (typed["leather_n_mm2"], typed["holes_low"], typed["speed_m_s"]) == ("15 N/mm²", "21 %", "4 m/s")
    typed |= {"leather_n_mm2": "30", "speed_m_s": "5,5 m/s", "pull_n": ""}
    assert shop.post(f"{HERE}/assumptions", "owner", **typed).status_code == 303
    kept = in_force(shop).rows.assumptions
    assert (kept.leather_n_mm2, kept.speed_m_s, kept.pull_n) == (30, 5.5, 0)
    assert "480 to 820 N" in words(shop.maker.get(estimate))
    assert "Leather's strength" in words(shop.maker.get(f"{HERE}/history"))
    again = {**typed, "seen": "2"}
    assert shop.post(f"{HERE}/assumptions", "owner", **again).headers["location"].endswith("same")
    upside_down = {**again, "holes_low": "50 %"}
    assert "is larger than" in wrong(shop.post(f"{HERE}/assumptions", "owner", **upside_down), "holes_low")
    wild = {**again, "metal_n_mm2": "9000"}
    assert "at most 2000 N/mm²" in wrong(shop.post(f"{HERE}/assumptions", "owner", **wild), "metal_n_mm2")


def test_rates_that_somebody_else_has_changed_are_not_overwritten_unseen(shop: Shop) -> None:
    typed = typed_row(RATES, workshop().rates, workshop())
    assert shop.post(f"{HERE}/rates", "owner", **{**typed, "tax": "8 %"}, seen="1").status_code == 303
    answer = shop.post(f"{HERE}/rates", "owner", **{**typed, "tax": "9 %"}, seen="1")
    assert answer.status_code == 409
    assert parsed(answer.text).xpath("//table[@class='against']//td/text()") == ["8 %", "9 %"]
    # A change of something else is no reason to ask.
    shop.post(f"{HERE}/leathers/row", **FERN, seen="2")
    assert shop.post(f"{HERE}/rates", "owner", **{**typed, "tax": "9 %"}, seen="2").status_code == 303


def test_the_history_says_who_changed_what_and_an_old_version_is_put_back(shop: Shop) -> None:
    shop.post(f"{HERE}/leathers/row", **row_form(shop, "leathers", "moss", price_per_m2="171"))
    shop.post(f"{HERE}/leathers/remove", "owner", key="havana", seen="2")
    said = words(shop.maker.get(f"{HERE}/history"))
    assert "Leathers: havana removed Version 3, Ola Owner" in said
    assert "Leathers: moss changed Version 2, Mia Maker" in said
    assert "The workshop moved in Version 1, the service" in said
    one = words(shop.browsers["owner"].get(f"{HERE}/history/2"))
    assert "Price of a square metre $160.00 $171.00" in one
    assert "Leathers: Havana bridle added" in one, "what putting it back would change now"
    stale = shop.post(f"{HERE}/history/1", "owner", seen="2")
    assert (stale.status_code, in_force(shop).version) == (409, 3)
    assert shop.post(f"{HERE}/history/1", "owner", seen="3").status_code == 303
    now = in_force(shop)
    assert (now.version, now.rows, now.change) == (4, workshop(), "version 1 put back")
    assert shop.post(f"{HERE}/history/1", "owner", seen="4").headers["location"].endswith("same")
    with shop.database.reading() as connection:
        assert len(old_catalogue(connection, SHOP, 3).rows.leathers) == 6


def test_what_is_not_there_is_said_so(shop: Shop) -> None:
    for path in (
        "/hides",
        "/hides.csv",
        "/hides/row",
        "/leathers/row?key=none",
        "/times/stock",
        "/history/99",
    ):
        assert shop.maker.get(f"{HERE}{path}", headers={"Accept": "text/html"}).status_code == 404, path


@pytest.fixture
def empty() -> Shop:
    return Shop(store(EMPTY))


def test_an_empty_workshop_says_so_everywhere_and_leads_its_maker_to_the_first_collar(empty: Shop) -> None:
    visitor = client(empty.app)
    page = visitor.get("/")
    assert page.status_code == 200
    assert "Nothing can be made here yet" in page.text
    for path in (
        "/design.json?neck=19+in",
        "/preview.svg?neck=19+in",
        "/pattern.svg?neck=19+in",
        "/ask?neck=19+in",
    ):
        assert visitor.get(path).status_code == 422, path
    assert "needs: a leather" in visitor.get("/design.json?neck=19+in").json()["detail"]
    assert visitor.get("/?neck=19+in", headers={"HX-Request": "true"}).status_code == 422
    assert visitor.get("/openapi.json").status_code == 200
    assert empty.maker.get("/shop/quote").headers["location"] == HERE
    assert empty.post("/shop/quote", neck="19 in").headers["location"] == HERE
    steps = parsed(empty.maker.get(HERE).text).xpath("//ol[@class='first-steps']//a/@href")
    kinds = ("leathers", "finishes", "buckles", "rings", "fasteners")
    assert steps == [f"{HERE}/workshop", *(f"{HERE}/{kind}/row" for kind in kinds)]
    refused = empty.post(f"{HERE}/rings/row", name="Ring", finish="brass", width="25.4", seen="1")
    assert "add a metal finish first" in wrong(refused, "finish")


def test_the_first_steps_name_the_width_and_the_metal_that_are_begun() -> None:
    shop = Shop(
        store(EMPTY.model_copy(update={"finishes": workshop().finishes, "buckles": workshop().buckles[:1]}))
    )
    steps = parsed(shop.maker.get(HERE).text).xpath("//ol[@class='first-steps']//a")
    ring = next(step for step in steps if "D-ring" in step.text)
    assert ring.text == "Add a D-ring for a strap 5/8 in (15.9 mm) wide in this metal: Solid brass"
    form = parsed(shop.maker.get(ring.get("href")).text)
    assert form.get_element_by_id("field-width").get("value") == "5/8 in"
    assert form.xpath("//select[@name='finish']/option[@selected]/@value") == ["brass"]


def test_a_demo_that_is_complete_is_only_told_to_write_its_terms(shop: Shop) -> None:
    page = parsed(shop.maker.get(HERE).text)
    assert page.xpath("//ol[@class='first-steps']") == []
    assert page.xpath("//ul[@class='first-steps']//a/@href") == [f"{HERE}/terms"]


def counted(shop: Shop) -> dict[tuple[str, str], tuple[int, int | None]]:
    with shop.database.reading() as connection:
        return {(row.kind, row.code): (row.count, row.low) for row in stock_of(connection, SHOP)}


def stock_form(shop: Shop, kind: str) -> dict[str, str]:
    page = parsed(shop.maker.get(f"{HERE}/{kind}/stock").text)
    return {one.get("name"): one.get("value") for one in page.xpath("//form[@class='stocktaking']//input")}


def test_the_shelves_are_counted_and_only_what_was_typed_is_kept(shop: Shop) -> None:
    typed = stock_form(shop, "leathers") | {"count-moss": "4.2", "low-moss": "10 sq ft"}
    assert shop.post(f"{HERE}/leathers/stock", **typed).status_code == 303
    assert counted(shop) == {("leathers", "moss"): (42_000, 9290)}
    assert "In stock 4.20 m²" in words(shop.maker.get(f"{HERE}/leathers"))
    again = stock_form(shop, "leathers")
    assert (again["count-moss"], again["seen-moss"]) == ("4.2", "1")
    assert shop.post(f"{HERE}/leathers/stock", **again).headers["location"].endswith("same")
    gone = {**again, "count-moss": "", "low-moss": ""}
    assert shop.post(f"{HERE}/leathers/stock", **gone).status_code == 303
    assert counted(shop) == {}


def test_a_dye_is_kept_shown_and_counted(shop: Shop) -> None:
    dye = {
        "name": "Heather",
        "colour": "#7d4b6e",
        "bottle_ml": "4 fl oz",
        "covers_m2": "10 sq ft",
        "price": "9",
    }
    answer = shop.post(f"{HERE}/dyes/row", **{**dye, "covers_m2": "0", "bottle_ml": "20 l"}, seen="1")
    assert "more than 0 m², and at most 500 m²" in wrong(answer, "covers_m2")
    assert "at most 10000 ml" in wrong(answer, "bottle_ml")
    assert shop.post(f"{HERE}/dyes/row", **dye, seen="1").status_code == 303
    row = in_force(shop).rows.dyes[-1]
    assert (row.code, row.colour, row.bottle_ml, row.covers_m2) == (
        "heather",
        "#7d4b6e",
        118.29411825,
        0.9290304,
    )
    typed = stock_form(shop, "dyes") | {"count-heather": "8 fl oz", "low-heather": "60"}
    assert shop.post(f"{HERE}/dyes/stock", **typed).status_code == 303
    assert counted(shop) == {("dyes", "heather"): (237, 60)}
    page = parsed(shop.maker.get(f"{HERE}/dyes").text)
    assert page.xpath("//*[@class='swatch']/*/@fill")[-1] == "#7d4b6e"
    card = " ".join(page.xpath("string((//ul[@class='rows']/li)[last()])").split())
    assert card == (
        "Heather Bottle size 118.3 ml (4.0 fl oz); Coverage 0.929 m² (10.0 sq ft); Price $9.00;"
        " In stock 237 ml"
    )


def test_a_lining_and_a_thread_are_kept_shown_and_counted(shop: Shop) -> None:
    lining = {"name": "Goat", "colour": "#b98a5b", "thickness": "2 oz", "padding": "0", "price_per_m2": "55"}
    answer = shop.post(f"{HERE}/linings/row", **{**lining, "thickness": "6", "padding": "20"}, seen="1")
    assert "from 0.4 mm to 4 mm" in wrong(answer, "thickness")
    assert "from 0 mm to 8 mm" in wrong(answer, "padding")
    assert shop.post(f"{HERE}/linings/row", **lining, seen="1").status_code == 303
    thread = {
        "name": "Gorse",
        "colour": "#d9b13b",
        "tex": "ticket 10",
        "price_per_m": "0.07",
        "strength_n": "",
    }
    assert "no size of a thread. Try: Tex 210" in wrong(
        shop.post(f"{HERE}/threads/row", **{**thread, "tex": "fat"}, seen="2"), "tex"
    )
    assert shop.post(f"{HERE}/threads/row", **thread, seen="2").status_code == 303
    rows = in_force(shop).rows
    assert (rows.linings[-1].thickness, rows.linings[-1].padding) == (0.79375, 0.0)
    assert (rows.threads[-1].tex, rows.threads[-1].stitch, rows.threads[-1].strength_n) == (300.0, 4.0, None)
    for kind, count, said in (("linings", "1.5", "1.50 m²"), ("threads", "100 yd", "91.4 m")):
        code = getattr(rows, kind)[-1].code
        typed = stock_form(shop, kind) | {f"count-{code}": count}
        assert shop.post(f"{HERE}/{kind}/stock", **typed).status_code == 303
        assert f"In stock {said}" in words(shop.maker.get(f"{HERE}/{kind}"))
        again = stock_form(shop, kind)
        assert shop.post(f"{HERE}/{kind}/stock", **again).headers["location"].endswith("same")
    assert counted(shop) == {("linings", "goat"): (15_000, None), ("threads", "gorse"): (9144, None)}
    assert "Tex 300 (metric ticket 10)" in words(shop.maker.get(f"{HERE}/threads"))


def test_what_is_no_count_is_said_beside_its_fields(shop: Shop) -> None:
    code = workshop().studs[0].code
    for count, low, said in (
        ("2.5", "", "whole"),
        ("many", "", "plain number"),
        ("", "5", "how many"),
        ("9" * 9, "", "more than"),
    ):
        typed = stock_form(shop, "studs") | {f"count-{code}": count, f"low-{code}": low}
        answer = shop.post(f"{HERE}/studs/stock", **typed)
        assert answer.status_code == 422
        page = parsed(answer.text)
        assert said in page.get_element_by_id(f"wrong-{code}").text_content()
        assert page.get_element_by_id(f"count-{code}").get("value") == count
    assert counted(shop) == {}


def test_a_count_of_what_an_order_has_taken_meanwhile_is_asked_for_again(shop: Shop) -> None:
    made, number = pattern(), shop.order(stage="proof-sent").number
    rivet = next(line.code for line in made.hardware if line.kind == "rivet")
    with shop.database.writing() as connection:
        count_stock(connection, SHOP, [Counted("fasteners", rivet, 3, 2, 0)], Act("maker", "maker", shop.now))
    typed = stock_form(shop, "fasteners") | {f"count-{rivet}": "50"}
    shop.proof(number)
    shop.answer(number)
    assert "3 left, and the approved orders need 4" in words(shop.maker.get(HERE))
    shop.move(number, "making")
    assert counted(shop)["fasteners", rivet] == (-1, 2)
    answer = shop.post(f"{HERE}/fasteners/stock", **typed)
    assert answer.status_code == 409
    assert "Now -1" in words(answer)
    page = parsed(answer.text)
    again = {one.get("name"): one.get("value") for one in page.xpath("//form[@class='stocktaking']//input")}
    assert again[f"count-{rivet}"] == "50"
    assert shop.post(f"{HERE}/fasteners/stock", **again).status_code == 303
    assert counted(shop)["fasteners", rivet] == (50, 2)
    assert "Its pieces were taken off the shelves" in words(shop.maker.get(f"/shop/orders/{number}"))
    assert pieces_for(made, workshop().rates)[0].kind == "leathers"


def test_an_order_that_is_called_off_at_the_bench_gives_its_pieces_back(shop: Shop) -> None:
    made, number = pattern(), shop.order(stage="proof-sent").number
    buckle = made.fittings.buckle.code
    with shop.database.writing() as connection:
        count_stock(
            connection, SHOP, [Counted("buckles", buckle, 9, None, 0)], Act("maker", "maker", shop.now)
        )
    shop.proof(number)
    shop.answer(number)
    shop.move(number, "making")
    assert counted(shop)["buckles", buckle][0] == 8
    shop.move(number, "cancelled")
    assert counted(shop)["buckles", buckle][0] == 9
    assert shop.actions(shop.kept(number)).count("stock-put-back") == 1


def test_what_an_earlier_release_let_in_is_served_and_its_owner_is_told_what_to_put_right() -> None:
    database = store()
    rows = workshop().model_dump(mode="json")
    rows["rates"]["margin"] = "0.97"
    with database.writing() as connection:
        connection.execute(
            text(
                'INSERT INTO catalogue (workshop_id, version, schema_version, "rows", change, made_by,'
                " made_at) VALUES (:shop, 2, 1, :rows, 'from a file', 'start', '2026-11-25T12:00:00.000000Z')"
            ),
            {"shop": SHOP, "rows": json.dumps(rows)},
        )
        connection.execute(text("UPDATE workshop SET catalogue_version = 2"))
    shop = Shop(database)
    assert client(shop.app).get("/design.json?neck=19+in").status_code == 200
    for path in ("", "/leathers", "/rates", "/history/2"):
        assert shop.browsers["owner"].get(f"{HERE}{path}").status_code == 200
    rates = parsed(shop.browsers["owner"].get(f"{HERE}/rates").text)
    typed = {one.get("name"): one.get("value") for one in rates.xpath("//form[@class='cells']//input")}
    assert typed["margin"] == "97 %"
    assert "from 0 % to 95 %" in wrong(shop.post(f"{HERE}/rates", "owner", **typed), "margin")
    own = {**typed_row(OWN, in_force(shop).rows, workshop()), "name": "Oxlip", "seen": "2"}
    tries: tuple[tuple[Role, str, dict[str, str]], ...] = (
        ("maker", "/leathers/row", {**FERN, "seen": "2"}),
        ("maker", "/leathers/remove", {"key": "moss", "seen": "2"}),
        ("owner", "/workshop", own),
    )
    for role, path, form in tries:
        answer = shop.post(f"{HERE}{path}", role, **form)
        assert answer.status_code in {409, 422}
        assert "An older release let something in that is refused now" in words(answer)
        assert "rates, margin: write a share from 0 to 0.95" in words(answer)
    assert in_force(shop).version == 2
    assert shop.post(f"{HERE}/rates", "owner", **{**typed, "margin": "40 %"}).status_code == 303
    assert shop.post(f"{HERE}/leathers/row", **FERN, seen="3").status_code == 303
    back = shop.post(f"{HERE}/history/2", "owner", seen="4")
    assert back.status_code == 409
    assert "rates, margin: write a share" in words(back)
