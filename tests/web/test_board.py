"""The board: which orders need the maker today, and how any order is found."""

from datetime import date, timedelta

import pytest

from service.orders import WORDS
from tests.makers import client, parsed
from tests.web.shop_makers import Shop, words


def numbers(text: str, under: str) -> list[str]:
    """The numbers of the tickets in a section."""
    tickets = parsed(text).xpath(
        f'//section[@aria-labelledby="{under}"]//a[contains(@class, "ticket")]/@href'
    )
    return [href.rsplit("/", 1)[1] for href in tickets]


def on(shop: Shop, days: int) -> date:
    """So many days from today by the workshop's clock, which may have another date than Greenwich."""
    today: date = shop.app.state.house.today
    return today + timedelta(days=days)


def test_an_empty_board_says_what_to_do() -> None:
    shop = Shop()
    response = shop.maker.get("/shop")
    assert response.status_code == 200
    assert "No orders yet" in words(response)
    assert "/shop/quote" in parsed(response.text).xpath("//main//section//a/@href")


def test_whoever_is_not_signed_in_is_asked_to() -> None:
    response = client(Shop().app).get("/shop", follow_redirects=False)
    assert response.status_code == 303
    assert response.headers["location"] == "/shop/sign-in?next=%2Fshop"


def test_first_comes_what_needs_the_maker_today_the_overdue_before_all() -> None:
    shop = Shop()
    shop.order("Ada", "Rex")  # 1: an enquiry waits for an answer
    shop.order("Bo", "Otto", stage="quoted", due_on=on(shop, 30))  # 2: the customer has the quote, and time
    shop.order("Cy", "Pip", stage="quoted", promised_on=on(shop, 2))  # 3: due soon
    shop.order("Di", "Moss", stage="quoted", promised_on=on(shop, -1))  # 4: overdue
    text = shop.maker.get("/shop").text
    assert numbers(text, "today-heading") == ["4", "3", "1"]
    assert numbers(text, "stage-quoted") == ["4", "3", "2"]
    tickets = parsed(text).xpath('//section[@aria-labelledby="today-heading"]//a')
    said = [" ".join(one.text_content().split()) for one in tickets]
    assert "Overdue by 1 day" in said[0]
    assert "Due in 2 days" in said[1]
    assert WORDS["enquiry"].maker in said[2]


def test_the_promised_day_counts_before_the_day_the_customer_named() -> None:
    shop = Shop()
    shop.order(stage="quoted", promised_on=on(shop, 20), due_on=on(shop, 1))
    assert numbers(shop.maker.get("/shop").text, "today-heading") == []


@pytest.mark.parametrize("search", ["7", "pia", "REX pia", "rex"])
def test_an_order_is_found_by_number_name_and_dog(search: str) -> None:
    shop = Shop()
    for index in range(6):
        shop.order(f"Someone {'abcdef'[index]}", "Otto")
    shop.order("Pia Example", "Rex")
    text = shop.maker.get("/shop", params={"q": search}).text
    assert numbers(text, "stage-enquiry") == ["7"]


@pytest.mark.parametrize("search", ["%", "_", "'", "\x00", "x" * 5000, "🐕"])
def test_nothing_that_is_searched_for_breaks_the_board(search: str) -> None:
    shop = Shop()
    shop.order()
    assert shop.maker.get("/shop", params={"q": search}).status_code == 200


def test_stages_are_counted_and_shown_alone() -> None:
    shop = Shop()
    shop.order("Ada", "Rex")
    shop.order("Bo", "Otto", stage="quoted")
    shop.order("Cy", "Pip", stage="cancelled")
    board = parsed(shop.maker.get("/shop").text)
    said = {" ".join(one.text_content().split()) for one in board.xpath('//nav[@aria-label="Stages"]//a')}
    assert {"Enquiry 1", "Quoted 1", "Cancelled 1", "Making 0"} <= said
    assert numbers(shop.maker.get("/shop").text, "stage-cancelled") == []
    assert numbers(shop.maker.get("/shop?stage=cancelled").text, "stage-cancelled") == ["3"]


def test_a_stage_nobody_knows_shows_the_whole_board() -> None:
    shop = Shop()
    shop.order()
    assert numbers(shop.maker.get("/shop?stage=polished").text, "stage-enquiry") == ["1"]


def test_a_reader_sees_the_board_and_its_pages_are_kept_from_others() -> None:
    shop = Shop()
    shop.order()
    response = shop.browsers["read-only"].get("/shop")
    assert response.status_code == 200
    assert response.headers["cache-control"] == "no-store"
    assert "noindex" in response.headers["x-robots-tag"]
    assert ">Members<" not in response.text
    assert ">Members<" in shop.browsers["owner"].get("/shop").text
