"""Nothing that is sent to the shop's pages is answered with a fault of ours."""

from random import Random

from tests.web.shop_makers import Shop

NAMES = [
    "to",
    "seen",
    "entry",
    "version",
    "promised_on",
    "due_on",
    "notes",
    "bench_notes",
    "label",
    "purpose",
    "neck",
    "measured",
    "weight",
    "width",
    "leather",
    "finish",
    "lettering",
    "as",
    "name",
    "contact",
    "called",
    "agreed",
    "promised",
    "key",
    "minor",
    "customer",
    "dog",
    "phone",
    "email",
    "breed",
    "sure",
    "holes",
    "studs",
    "q",
    "stage",
    "paper",
    "square-down",
    "dogs",
    "code",
    "colour",
    "thickness",
    "price_per_m2",
    "bar",
    "advances",
    "tax",
    "currency",
    "languages",
    "terms",
    "text",
    "rest",
    "copy",
    "before",
    "first",
    "count-moss",
    "was-moss",
]
VALUES = (
    "",
    "\x00",
    "x" * 3000,
    "9" * 5000,
    "-1",
    "1",
    "²",
    "１",
    "quoted",
    "cancelled",
    "proof",
    "order",
    "19 in",
    "42 cm",
    "1 in",
    "chestnut",
    "brass",
    "2026-02-30",
    "2026-12-24",
    "🐕",
    "'; --",
    "%",
    "ada@mail.example",
    "(201) 555-0123",
    "\N{RIGHT-TO-LEFT OVERRIDE}abc",
    "auto",
    "tape-snug",
    "45 lb",
)
ORDER = "/shop/orders/1"
TAKES = ("stage", "details", "proofs", "links", "measures", "design", "links/x/end", "links/x/revoke")
CATALOGUE = tuple(
    f"/shop/catalogue/{place}"
    for place in (
        "leathers/row",
        "buckles/row",
        "stamps/row",
        "times/row",
        "finishes/remove",
        "leathers/stock",
        "studs/import",
        "rates",
        "workshop",
        "terms",
        "history/1",
    )
)
SHOWS = (
    *(path for path in CATALOGUE if not path.endswith("remove")),
    "/shop/catalogue",
    "/shop/catalogue/rings",
    "/shop/catalogue/history",
    "/terms",
    "/shop",
    "/shop/quote",
    "/shop/customers",
    ORDER,
    f"{ORDER}/design",
    f"{ORDER}/pattern.svg",
    f"{ORDER}/pattern.dxf",
    f"{ORDER}/prints",
    f"{ORDER}/strip.pdf",
    f"{ORDER}/templates.pdf",
    "/shop/run",
    "/prints",
    "/tape.pdf",
    "/templates.pdf",
)


def test_nothing_that_is_sent_is_answered_with_a_fault() -> None:
    shop, chance = Shop(), Random(7)  # noqa: S311 - the same each time
    shop.order()
    customer = f"/shop/customers/{shop.kept(1).customer_id}"
    takes = (
        *CATALOGUE,
        "/shop/quote",
        "/shop/run",
        customer,
        f"{customer}/dogs",
        *(f"{ORDER}/{place}" for place in TAKES),
    )
    answered: set[int] = set()
    for _ in range(350):
        fields = {name: chance.choice(VALUES) for name in chance.sample(NAMES, chance.randint(0, 12))}
        if chance.random() < 0.5:  # something that is taken, now and then
            fields |= {"seen": str(shop.kept(1).row_version), "neck": "19 in"}
        answered.add(shop.post(chance.choice(takes), "owner", **fields).status_code)
        asked = {name: chance.choice(VALUES[:3] + VALUES[4:]) for name in chance.sample(NAMES, 3)}
        asked = {name: value for name, value in asked.items() if len(value) < 4000}
        answered.add(shop.maker.get(chance.choice(SHOWS), params=asked).status_code)
    assert answered <= {200, 303, 403, 404, 409, 414, 422}
    assert {200, 303, 404, 409, 422} <= answered


def test_a_form_with_nothing_in_it_is_answered_without_a_fault() -> None:
    shop = Shop()
    shop.order()
    for place in (*CATALOGUE, "/shop/quote", "/shop/run", *(f"{ORDER}/{place}" for place in TAKES)):
        assert shop.post(place, "owner").status_code < 500, place
