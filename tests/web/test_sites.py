import pytest

from service.web.sites import MOST, SitesRefused, read_sites, shown_sites


@pytest.mark.parametrize(
    ("typed", "origin"),
    [
        ("https://www.shop.example", "https://www.shop.example"),
        (" https://WWW.Shop.example/ ", "https://www.shop.example"),
        # RFC 6454, 6.2: the port that goes without saying is left out of an origin.
        ("https://shop.example:443", "https://shop.example"),
        ("https://shop.example:8443", "https://shop.example:8443"),
        ("https://shop.example:08443", "https://shop.example:8443"),
        ("http://localhost:3000", "http://localhost:3000"),
        ("http://127.0.0.1:80", "http://127.0.0.1"),
        ("http://[::1]:3000", "http://[::1]:3000"),
        ("https://xn--kter-5qa.example", "https://xn--kter-5qa.example"),
    ],
)
def test_a_site_is_read_as_the_origin_that_browsers_write(typed: str, origin: str) -> None:
    assert read_sites(typed) == (origin,)


@pytest.mark.parametrize(
    ("typed", "would_work"),
    [
        ("http://shop.example", "give https://shop.example"),
        ("https://shop.example/collars", "https://shop.example"),
        ("https://shop.example?x=1", "https://shop.example"),
        ("shop.example", "https://shop.example"),
        ("https://ada@shop.example", "looks like https://www.shop.example"),
        ("https://*.shop.example", "whole name"),
        ("https://köter.example", "address bar"),
        ("'self'", "looks like"),
        ("https://shop.example; script-src *", "whole name"),
        ("https://shop.example:99999", "65535"),
        ("https://shop.example:0", "65535"),
        ("javascript:alert(1)", "looks like"),
        ("https://" + "a" * 300, "looks like"),
        ("null", "looks like"),
    ],
)
def test_what_is_no_exact_secure_site_is_refused_with_what_would_work(typed: str, would_work: str) -> None:
    with pytest.raises(SitesRefused) as told:
        read_sites(f"https://good.example\n{typed}")
    assert would_work in str(told.value)


def test_sites_are_listed_once_each_and_shown_as_they_are_read() -> None:
    origins = read_sites("https://b.example\r\n\r\nhttps://a.example\nhttps://B.example/")
    assert origins == ("https://b.example", "https://a.example")
    assert read_sites(shown_sites(origins)) == origins
    assert read_sites(" \n") == ()


def test_there_are_no_more_sites_than_a_header_has_room_for() -> None:
    lines = [f"https://s{n}.example" for n in range(MOST + 1)]
    assert len(read_sites("\n".join(lines[:MOST]))) == MOST
    with pytest.raises(SitesRefused, match="20 is the most"):
        read_sites("\n".join(lines))
