"""Photos on the maker's page of an order: taken at the bench, shown to the customer if the maker likes."""

from dataclasses import replace
from http import HTTPStatus
from typing import Final

from fastapi import FastAPI, Request
from fastapi.responses import Response

from service.language import mark, tr
from service.storage import (
    Connection,
    Member,
    Order,
    PhotoPurpose,
    change_photo,
    photos_of,
    remove_photo,
)
from service.web.access import act, form, signed_in
from service.web.family import add_page, go_on, shown
from service.web.house import House, house_of
from service.web.kept import the_order
from service.web.order_page import made_order_page
from service.web.photo_form import UPLOAD_MAX, photo_form
from service.web.photos import PhotosTyped, kept_photos, photo_answer, photo_of
from service.web.typed_contact import read_line

CAPTION_MAX: Final = 120
ORDER_MAX: Final = 30
"""How many photos one order has at most."""
NONE_CHOSEN: Final = mark("Take a photo or choose one first.")
FULL: Final = mark("An order keeps {count} photos at most. Remove some first.")


def photo_adder(request: Request, number: str) -> Response:
    """Keep photos with an order."""
    member = signed_in(request, "maker")
    house, sent = house_of(request), photo_form(request)
    typed = sent.fields
    errors: dict[str, str] = {}
    caption, wrong = read_line(typed, "caption", CAPTION_MAX, errors), list(sent.wrong)
    if not sent.photos and not wrong:
        wrong.append(tr(NONE_CHOSEN))
    with house.database.writing() as connection:
        order = the_order(connection, house, number)
        if len(photos_of(connection, order.id)) + len(sent.photos) > ORDER_MAX:
            wrong.append(tr(FULL, count=ORDER_MAX))
        elif not errors:
            purpose = _purpose(typed.get("shown"))
            kept_photos(connection, house, order, sent.photos, act(request, member), purpose, caption)
        if wrong or errors:
            said = PhotosTyped(" ".join(wrong), errors.get("caption", ""), typed.get("caption", ""))
            return _said(request, house, connection, member, order, said)
    return go_on(f"/shop/orders/{number}#photos")


def photo_changer(request: Request, number: str, photo: str) -> Response:
    """Keep a photo's caption and who sees it, or remove it."""
    member = signed_in(request, "maker")
    house, typed = house_of(request), form(request)
    errors: dict[str, str] = {}
    caption = read_line(typed, "caption", CAPTION_MAX, errors)
    with house.database.writing() as connection:
        order = the_order(connection, house, number)
        found = photo_of(connection, order.id, photo)
        if typed.get("do") == "remove":
            remove_photo(connection, found.id, act(request, member))
        elif errors:
            said = PhotosTyped("", errors["caption"], typed.get("caption", ""))
            return _said(request, house, connection, member, order, said)
        else:
            purpose = found.purpose if found.purpose == "enquiry" else _purpose(typed.get("shown"))
            changed = replace(found, caption=caption, purpose=purpose)
            if changed != found:
                change_photo(connection, changed, act(request, member))
    return go_on(f"/shop/orders/{number}#photos")


def photo_shower(request: Request, number: str, photo: str) -> Response:
    """A photo of an order."""
    signed_in(request)
    house = house_of(request)
    with house.database.reading() as connection:
        found = photo_of(connection, the_order(connection, house, number).id, photo)
        return photo_answer(connection, found, f"order-{number}-photo", request.query_params.get("size", ""))


def _purpose(tick: str | None) -> PhotoPurpose:
    return "finished" if tick else "bench"


def _said(
    request: Request, house: House, connection: Connection, member: Member, order: Order, said: PhotosTyped
) -> Response:
    page = replace(made_order_page(house, connection, member, order), photos_typed=said)
    return shown(request, "maker_order/page.html", page, HTTPStatus.UNPROCESSABLE_ENTITY)


def photo_routes(app: FastAPI) -> None:
    """Add the addresses of an order's photos."""
    path = "/shop/orders/{number}/photos"
    add_page(app, path, take=photo_adder, body_max=UPLOAD_MAX)
    add_page(app, f"{path}/{{photo}}.jpg", photo_shower)
    add_page(app, f"{path}/{{photo}}", take=photo_changer)
