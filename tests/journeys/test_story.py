"""The whole story in a real browser, from both sides: asked for, quoted, proofed, changed, approved.

It is told in every language and unit of measure, on a phone and on a desk, with and without script; of these
the five tellings below have every pair.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final, Literal

import pytest
from playwright.sync_api import Page, expect

from service.language import Language
from service.settings import ROOT
from service.web import read_languages
from service.web.texts import LITERAL
from tests.journeys.conftest import serving
from tests.journeys.test_customer import SIZES, well
from tests.journeys.test_maker import OVER, TARGETS, move_in, signed_in
from tests.journeys.visitor import Visitor

pytestmark = pytest.mark.browser

LANGUAGES = read_languages(ROOT / "service" / "translations")
PLACE = re.compile(r"\{\{.*?\}\}|\{\w+\}")
ANSWER = '{{ "Look the proof over and answer" if page.proof.waits else "See the proof" }}'
NAMES: Final = {"en": "Ada Example", "de": "Änne Beispiel"}

Script = Literal["script", "blocked", "none"]
"""`blocked`: the page's own scripts don't arrive, as on a bad line. Pages can be looked at all the same."""


@dataclass(frozen=True)
class Telling:
    """In which language and units, how wide the screen is, and whether scripts run."""

    tag: str
    units: Literal["in", "cm"]
    script: Script
    size: tuple[int, int]

    @property
    def language(self) -> Language:
        return LANGUAGES[self.tag]

    @property
    def necks(self) -> tuple[str, str]:
        """What is typed first, and after the change."""
        return ("19 in", "20 in") if self.units == "in" else ("48 cm", "51,5 cm")

    @property
    def change(self) -> str:
        """The new neck as it is read back."""
        metric = f"51{self.language.decimal_sign}5 cm (20 1/4 in)"
        return "20 in (508 mm)" if self.units == "in" else metric

    def t(self, text: str, *values: str) -> str:
        """A text of the pages in the telling's language, with values in its places."""
        rest = iter(values)
        return PLACE.sub(lambda _: next(rest), self.language.catalogue.gettext(text))

    def open(self, visit: Visitor, path: str, *, maker: bool = False) -> Page:
        """A page in the language that is chosen at its foot."""

        def before(page: Page) -> None:
            if maker:
                signed_in(page, visit.base)
            if self.script == "blocked":
                page.route(re.compile(r"\.js"), lambda route: route.abort())

        width, height = self.size
        page = visit(path, width=width, height=height, script=self.script != "none", before=before)
        if self.tag != "en":
            page.get_by_role("button", name=self.language.name).click()
        expect(page.locator("html")).to_have_attribute("lang", self.tag)
        return page

    def look(self, page: Page) -> None:
        """Look at a page as everyone does."""
        well(page, script=self.script != "none")

    def look_in_shop(self, page: Page) -> None:
        """The same of a page of the shop, whose bars scroll."""
        well(page, script=self.script != "none", targets=TARGETS, over=OVER)


PHONE, DESK = SIZES
TELLINGS = (
    Telling("en", "in", "script", PHONE),
    Telling("en", "cm", "blocked", DESK),
    Telling("de", "in", "none", DESK),
    Telling("de", "cm", "script", DESK),
    Telling("de", "cm", "blocked", PHONE),
)


def test_the_tellings_have_every_pair() -> None:
    kinds = [(one.tag, one.units, one.script == "script", one.size) for one in TELLINGS]
    for first in range(4):
        for second in range(first + 1, 4):
            assert len({(kind[first], kind[second]) for kind in kinds}) == 4


@pytest.fixture(scope="module")
def base(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """The address of a service of its own, in which a maker is signed in."""
    folder = tmp_path_factory.mktemp("story")
    with serving(folder) as (address, log):
        move_in(folder / "data")
        yield address
        assert "/o/" not in log.read_text("utf-8", "replace")


def ask(tell: Telling, visit: Visitor) -> Page:
    """The customer goes from the configurator to the order's page, and forgets something on the way."""
    neck, name = tell.necks[0].replace(" ", "+"), NAMES[tell.tag]
    page = tell.open(visit, f"/?neck={neck}&lettering=BISCUIT&weight=20+kg")
    tell.look(page)
    page.get_by_role("link", name=tell.t("Ask the shop to make it")).first.click()
    send = page.get_by_role("button", name=tell.t("Ask {{ page.shop }} to make it", "Oxlip Bench"))
    page.get_by_label(tell.t("Your name"), exact=True).fill(name)
    send.click()
    expect(page).to_have_title(re.compile(tell.t("Error: {{ page.heading }} – {{ page.shop }}", ".+", ".+")))
    expect(page.get_by_label(tell.t("Your name"), exact=True)).to_have_value(name)
    tell.look(page)
    page.get_by_label(tell.t("E-mail")).fill("ada@mail.example")
    page.get_by_label(tell.t("Your dog's name")).fill("Biscuit")
    page.get_by_label(tell.t("Yes, keep this for my order")).check()
    send.click()
    expect(page.get_by_role("heading", level=1)).to_have_text(tell.t("Enquiry"))
    tell.look(page)
    return page


def quote(tell: Telling, visit: Visitor) -> Page:
    """The maker finds the order and names its price."""
    page = tell.open(visit, "/shop", maker=True)
    page.locator("main .ticket").first.click()
    page.get_by_role("button", name=re.compile(tell.t("Quote it at {price}", ".+"))).click()
    expect(page.locator("#next-heading")).to_have_text(tell.t("Quoted"))
    return page


def prove(tell: Telling, shop: Page, number: int) -> None:
    """The maker makes a proof."""
    shop.get_by_role("button", name=tell.t("Make proof {{ page.proof }}", str(number))).click()
    expect(shop.locator("#next-heading")).to_have_text(tell.t("Proof sent"))


def change(tell: Telling, shop: Page) -> None:
    """The maker changes the neck as asked."""
    shop.reload()
    expect(shop.locator("#next-heading")).to_have_text(tell.t("Changes asked"))
    shop.get_by_role("link", name=tell.t("Change the design")).click()
    shop.get_by_label(tell.t("Neck"), exact=True).fill(tell.necks[1])
    if tell.script != "script":
        shop.get_by_role("button", name=tell.t("Show what changes")).click()
    expect(shop.locator("#keep tbody")).to_contain_text(tell.change)
    tell.look_in_shop(shop)
    shop.get_by_role("button", name=tell.t("Keep this design")).click()
    expect(shop.locator("#people")).to_contain_text(tell.change)


# The check tells one in each language, on a phone with scripts and on a desk without; the soak tells all.
@pytest.mark.parametrize(
    "tell",
    [pytest.param(one, marks=() if n in {0, 2} else pytest.mark.slow) for n, one in enumerate(TELLINGS)],
    ids=[f"{one.tag}-{one.units}-{one.script}-{one.size[0]}" for one in TELLINGS],
)
def test_a_collar_is_asked_for_quoted_proofed_changed_and_approved(visit: Visitor, tell: Telling) -> None:
    name = NAMES[tell.tag]
    page = ask(tell, visit)
    home = page.url
    shop = quote(tell, visit)
    page.reload()
    expect(page.get_by_role("heading", level=1)).to_have_text(tell.t("Quoted"))
    tell.look(page)
    prove(tell, shop, 1)
    # Whoever opens the link elsewhere reads it as the customer does.
    page.context.clear_cookies(name="language")
    page.reload()
    page.get_by_role("link", name=LITERAL.findall(tell.language.catalogue.gettext(ANSWER))[0][0]).click()
    expect(page.get_by_text("BISCUIT", exact=True)).to_be_visible()
    expect(page.locator(".sum")).to_have_text(
        re.compile(rf"[0-9]{re.escape(tell.language.decimal_sign)}[0-9]{{2}}")
    )
    page.get_by_role("button", name=tell.t("Approve version {{ page.version }}", "1")).click()
    expect(page.get_by_text(tell.t("Type your name to approve.")).first).to_be_visible()
    tell.look(page)
    page.get_by_label(tell.t("What should be different")).fill(tell.necks[1])
    page.get_by_role("button", name=tell.t("Ask for changes")).click()
    expect(page.get_by_role("heading", name=tell.t("Changes asked for"))).to_be_visible()
    tell.look(page)
    change(tell, shop)
    prove(tell, shop, 2)
    page.reload()
    differs = tell.t("What differs from version {{ page.changed.since }}", "1")
    expect(page.get_by_role("heading", name=differs)).to_be_visible()
    expect(page.locator(".changes ins").filter(has_text=tell.change).first).to_be_visible()
    tell.look(page)
    page.get_by_label(tell.t("Your name"), exact=True).fill(name)
    page.get_by_role("button", name=tell.t("Approve version {{ page.version }}", "2")).click()
    expect(page.get_by_text(re.compile(rf"{name} .*2")).first).to_be_visible()
    expect(page.get_by_role("button", name=tell.t("Ask for changes"))).to_have_count(0)
    tell.look(page)
    with page.expect_download() as loaded:
        page.get_by_role("link", name=tell.t("Save this proof (PDF)")).click()
    assert loaded.value.suggested_filename.endswith("-version-2.pdf")
    page.get_by_role("link", name=tell.t("Back to your order")).click()
    expect(page).to_have_url(home)
    expect(page.get_by_role("heading", level=1)).to_have_text(tell.t("Approved"))
    tell.look(page)
    shop.reload()
    expect(shop.locator("#next-heading")).to_have_text(tell.t("Approved"))
    tell.look_in_shop(shop)
