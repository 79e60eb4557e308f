"""The workshop's terms: written by an owner, read by everybody, stated by every proof from then on."""

from service.storage import newest_proof
from service.web.terms import LONGEST, WorkshopTerms, terms_of
from tests.makers import SHOP, client, parsed
from tests.web.customers import ASK
from tests.web.shop_makers import Shop, words

HERE = "/shop/catalogue/terms"


def kept(shop: Shop) -> WorkshopTerms:
    with shop.database.reading() as connection:
        return terms_of(connection, SHOP)[0]


def seen(shop: Shop) -> str:
    page = parsed(shop.browsers["owner"].get(HERE).text)
    return str(page.xpath("//input[@name='seen']/@value")[0])


def test_terms_are_kept_version_by_version_and_open_for_everybody() -> None:
    shop, visitor = Shop(), client(Shop().app)
    assert "no terms down" in words(visitor.get("/terms"))
    visitor = client(shop.app)
    for text in ("Half in advance.", "Half in advance.\r\n\r\nRepairs for a <year>."):
        answer = shop.post(HERE, "owner", terms=text, seen=seen(shop))
        assert answer.headers["location"] == "/shop/catalogue?done=kept"
    assert (kept(shop).terms, kept(shop).terms_version) == ("Half in advance.\n\nRepairs for a <year>.", 2)
    page = visitor.get("/terms")
    assert "Version 2, since" in words(page)
    assert "Repairs for a &lt;year&gt;." in page.text
    assert shop.post(HERE, "owner", terms=kept(shop).terms, seen="0").headers["location"].endswith("same")


def test_terms_somebody_else_has_changed_are_not_overwritten_unseen() -> None:
    shop = Shop()
    old = seen(shop)
    shop.post(HERE, "owner", terms="Half in advance.", seen=old)
    for number in (old, "x", ""):
        answer = shop.post(HERE, "owner", terms="All in advance.", seen=number)
        assert answer.status_code == 409
        assert "Half in advance." in words(answer)
        assert parsed(answer.text).get_element_by_id("field-terms").text.strip() == "All in advance."
    assert kept(shop).terms == "Half in advance."


def test_terms_that_can_not_be_shown_are_said_and_stay_in_the_form() -> None:
    shop = Shop()
    for text in ("Bell \x07", "x\n" * LONGEST):
        answer = shop.post(HERE, "owner", terms=text, seen=seen(shop))
        assert answer.status_code == 422
        assert parsed(answer.text).get_element_by_id("wrong-terms").text
    assert kept(shop) == WorkshopTerms()


def test_a_proof_states_the_terms_of_its_day_and_links_to_those_of_today() -> None:
    shop = Shop()
    number = shop.order(stage="quoted").number
    shop.post(HERE, "owner", terms="Half in advance.", seen=seen(shop))
    shop.proof(number)
    shop.post(HERE, "owner", terms="All in advance.", seen=seen(shop))
    with shop.database.reading() as connection:
        proof = newest_proof(connection, shop.kept(number).id)
    assert proof is not None
    assert (proof.body.terms.version, proof.body.terms.text) == ("1", "Half in advance.")
    assert parsed(client(shop.app).get(ASK).text).xpath("//a[@href='/terms']")
