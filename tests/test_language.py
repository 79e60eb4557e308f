"""The reader's language: words looked up when they are shown, for one reader and no other."""

from concurrent.futures import ThreadPoolExecutor
from contextvars import copy_context
from io import BytesIO

from babel.messages.catalog import Catalog
from babel.messages.mofile import write_mo
from babel.support import Translations

from service.language import ENGLISH, Language, mark, speak, speaking, spoken, tr, tr_many
from service.units import show_both, show_mass, show_mm


def german() -> Language:
    catalog = Catalog("de")
    catalog.add("Order {number}", "Auftrag {number}")
    catalog.add("Neck", "Hals")
    catalog.add(("{count} hole", "{count} holes"), ("{count} Loch", "{count} Löcher"))
    file = BytesIO()
    write_mo(file, catalog)
    file.seek(0)
    return Language("de", "Deutsch", Translations(file), ",")


def test_texts_are_english_until_a_language_is_spoken() -> None:
    assert spoken() is ENGLISH
    assert tr("Order {number}", number=3) == "Order 3"
    assert [tr_many("{count} hole", "{count} holes", n) for n in (1, 6)] == ["1 hole", "6 holes"]


def test_a_text_is_looked_up_where_it_is_shown() -> None:
    label = mark("Neck")
    with speaking(german()):
        assert (tr(label), tr("Order {number}", number=3)) == ("Hals", "Auftrag 3")
        assert [tr_many("{count} hole", "{count} holes", n) for n in (1, 6)] == ["1 Loch", "6 Löcher"]
        assert tr("") == "", "gettext answers the empty text with the catalogue's own header"
    assert tr(label) == "Neck"


def test_decimals_follow_the_language_and_inches_stay_fractions() -> None:
    with speaking(german()):
        assert show_mm(12.7) == "12,7 mm"
        assert show_both(419.1, "metric") == "41,9 cm (16 1/2 in)"
        assert show_mass(0.4536, "imperial") == "1 lb"
    assert show_mm(12.7) == "12.7 mm"


def test_one_readers_language_is_not_anothers() -> None:
    def said() -> str:
        speak(german())
        return spoken().code

    with ThreadPoolExecutor(1) as pool:
        assert pool.submit(copy_context().run, said).result() == "de"
    assert spoken() is ENGLISH
