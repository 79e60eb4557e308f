import re
from pathlib import Path

import pytest
from jinja2 import UndefinedError, meta

from service.language import ENGLISH
from service.settings import ROOT
from service.web.pages import Pages
from service.web.static import fingerprints

TEMPLATES = ROOT / "templates"
PAGES = Pages(TEMPLATES, ROOT / "static", [ENGLISH])
PAGES.know("is_demo", lambda: False)
ENGLISH_PAGES = PAGES.sets["en"]
NAMES = ENGLISH_PAGES.list_templates()


def test_the_pages_there_are_have_a_template() -> None:
    assert {"base.html", "error.html", "configurator/page.html", "configurator/_parts.html"} <= set(NAMES)


@pytest.mark.parametrize("name", NAMES)
def test_every_template_compiles(name: str) -> None:
    PAGES.get_template(name)


@pytest.mark.parametrize("name", NAMES)
def test_every_template_a_template_names_exists(name: str) -> None:
    source = (TEMPLATES / name).read_text(encoding="utf-8")
    assert set(meta.find_referenced_templates(ENGLISH_PAGES.parse(source))) <= set(NAMES)


@pytest.mark.parametrize("name", NAMES)
def test_every_asset_a_template_names_exists(name: str) -> None:
    source = (TEMPLATES / name).read_text(encoding="utf-8")
    assert set(re.findall(r"asset\(['\"]([^'\"]+)", source)) <= set(fingerprints(ROOT / "static"))


@pytest.mark.parametrize("name", NAMES)
def test_no_template_holds_script_or_style_of_its_own(name: str) -> None:
    source = (TEMPLATES / name).read_text(encoding="utf-8")
    assert not re.search(r"<style|<script(?![^>]*\bsrc=)|\sstyle=|\son[a-z]+=|hx-on|javascript:|js:", source)


def test_a_value_nobody_gave_is_an_error_and_not_an_empty_place() -> None:
    with pytest.raises(UndefinedError):
        PAGES.get_template("error.html").render(title="Title", status=404)


def test_every_value_is_escaped() -> None:
    text = PAGES.get_template("error.html").render(title="<b>", message="<script>", status=404, start="/")
    assert "<b>" not in text
    assert "<script>" not in text
    assert "&lt;script&gt;" in text


def test_an_address_of_an_asset_carries_its_fingerprint() -> None:
    made = ENGLISH_PAGES.from_string("{{ asset('img/favicon.svg') }}").render()
    assert made == f"/static/img/favicon.svg?v={fingerprints(ROOT / 'static')['img/favicon.svg']}"


def test_what_a_macro_made_once_is_shown_again_for_the_same_values_only() -> None:
    macro = "{% macro tag(text) %}<b>{{ text }}{{ asked() }}</b>{% endmacro %}"
    page = ENGLISH_PAGES.from_string(macro + "{% for text in texts %}{{ once(tag, text) }}{% endfor %}")
    asked = iter("12")
    shown = page.render(texts=["<a>", "c", "<a>"], asked=lambda: next(asked))
    assert shown == "<b>&lt;a&gt;1</b><b>c2</b><b>&lt;a&gt;1</b>"


def test_a_size_stays_on_one_line_where_it_is_read_and_as_it_is_where_it_is_typed(tmp_path: Path) -> None:
    (tmp_path / "page.html").write_text(
        '<p title="{{ size }}">{{ size }}: {{ words }}</p><input value="{{ size }}">'
        "<textarea>\n{{ size }}\n</textarea>"
    )
    page = Pages(tmp_path, ROOT / "static", [ENGLISH]).get_template("page.html")
    made = page.render(size='"16 1/2 in" (419.1 mm) & 7 % of 240 N', words="6 indoors, 2 or 3")
    plain = "&#34;16 1/2 in&#34; (419.1 mm) &amp; 7 % of 240 N"
    firm = "&#34;16_1/2_in&#34; (419.1_mm) &amp; 7_% of 240_N".replace("_", "\N{NO-BREAK SPACE}")
    shown = f'<p title="{plain}">{firm}: 6 indoors, 2 or 3</p>'
    assert made == f'{shown}<input value="{plain}"><textarea>\n{plain}\n</textarea>'


def test_what_a_template_includes_is_put_in_its_place(tmp_path: Path) -> None:
    (tmp_path / "outer.html").write_text('<ul>\n  {% include "inner.html" %}\n</ul>\n')
    (tmp_path / "inner.html").write_text('<li>{{ word }}</li>\n{% include "last.html" %}\n')
    (tmp_path / "last.html").write_text("<li>{{ word|upper }}</li>\n")
    made = Pages(tmp_path, ROOT / "static", [ENGLISH]).get_template("outer.html").render(word="<a>")
    assert "".join(made.split()) == "<ul><li>&lt;a&gt;</li><li>&lt;A&gt;</li></ul>"


def test_a_page_is_sent_without_the_room_before_its_lines() -> None:
    text = PAGES.get_template("error.html").render(title="  T", message="M", status=404, start="/")
    assert not re.search(r"\n[ \t]+<", text)
    assert "  T" in text
