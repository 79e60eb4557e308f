"""Photos of orders: kept, listed and sent to those who may see them."""

from dataclasses import dataclass
from datetime import timedelta
from typing import Final

from starlette.responses import Response

from service.storage import (
    Act,
    Connection,
    NotKept,
    Order,
    Photo,
    PhotoPurpose,
    SentPhoto,
    add_photo,
    photo_by_id,
    photo_content,
)
from service.web.house import House
from service.web.pictures import MEDIA_TYPE, small_picture

FOR_CUSTOMERS: Final[frozenset[PhotoPurpose]] = frozenset({"enquiry", "finished"})
"""What the customer sees: what they sent, and what the shop shows them."""
SMALL: Final = "small"


@dataclass(frozen=True, slots=True)
class PhotoShown:
    """A photo on a page: where it is and a small one of it, its size [pixels], and what is said of it."""

    id: str
    href: str
    small: str
    width: int
    height: int
    caption: str
    purpose: PhotoPurpose


@dataclass(frozen=True, slots=True)
class PhotosTyped:
    """What is wrong with the photos that a maker sent, with their caption, and the caption as typed."""

    wrong: str
    caption_wrong: str
    caption: str


def photos_shown(photos: tuple[Photo, ...], path: str) -> tuple[PhotoShown, ...]:
    """Return photos as a page shows them; their addresses begin with `path`."""
    return tuple(
        PhotoShown(
            one.id,
            f"{path}/{one.id}.jpg",
            f"{path}/{one.id}.jpg?size={SMALL}",
            one.width,
            one.height,
            one.caption,
            one.purpose,
        )
        for one in photos
    )


def kept_photos(
    connection: Connection,
    house: House,
    order: Order,
    photos: tuple[SentPhoto, ...],
    by: Act,
    purpose: PhotoPurpose = "enquiry",
    caption: str = "",
) -> None:
    """Keep photos with an order, in the order in which they came."""
    for number, sent in enumerate(photos):
        at = by.at + timedelta(milliseconds=number)
        new = Photo(house.reference(), order.id, purpose, caption, MEDIA_TYPE, sent.width, sent.height, at)
        add_photo(connection, new, sent.content, by)


def photo_of(connection: Connection, order_id: str, photo_id: str) -> Photo:
    """Return a photo of this order; raises NotKept for that of another."""
    found = photo_by_id(connection, photo_id) if photo_id.isprintable() else None
    if found is None or found.order_id != order_id:
        raise NotKept("photo", photo_id[:40])
    return found


def photo_answer(connection: Connection, photo: Photo, name: str, size: str) -> Response:
    """Return a photo as a file of that name; a small one where `size` says so."""
    media_type, content = photo_content(connection, photo.id)
    if size == SMALL:
        content = small_picture(content)
    headers = {"Content-Disposition": f'inline; filename="{name}.jpg"'}
    return Response(content, headers=headers, media_type=media_type)
