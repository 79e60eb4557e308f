"""Photos of an order, from its enquiry or of the work; one backup holds them with all else."""

from dataclasses import dataclass
from datetime import datetime
from typing import Literal

from sqlalchemy import Connection, delete, insert, select, update

from service.orders import sha256_hex
from service.storage.audit import Act, record
from service.storage.faults import NotKept
from service.storage.rows import all_as, as_row, by_id, select_as
from service.storage.tables import orders, photo

PhotoPurpose = Literal["enquiry", "bench", "finished"]
"""The customer sent it with the enquiry; the shop keeps it for itself; the shop shows it to the customer."""


@dataclass(frozen=True, slots=True)
class Photo:
    """A photo without its content; width and height in pixels."""

    id: str
    order_id: str
    purpose: PhotoPurpose
    caption: str
    media_type: str
    width: int
    height: int
    made_at: datetime


def add_photo(connection: Connection, new: Photo, content: bytes, act: Act) -> None:
    """Keep a photo, encoded anew by the caller."""
    connection.execute(insert(photo).values(**as_row(new), sha256=sha256_hex(content), content=content))
    _record(connection, new, act, "photo-added")


def photos_of(connection: Connection, order_id: str) -> tuple[Photo, ...]:
    """Return an order's photos, the oldest first."""
    chosen = select_as(Photo, photo).where(photo.c.order_id == order_id)
    return all_as(Photo, connection, chosen.order_by(photo.c.made_at, photo.c.id))


def photos_of_customer(connection: Connection, customer_id: str) -> tuple[Photo, ...]:
    """Return the photos of all a customer's orders, the oldest first."""
    own = select(orders.c.id).where(orders.c.customer_id == customer_id)
    chosen = select_as(Photo, photo).where(photo.c.order_id.in_(own))
    return all_as(Photo, connection, chosen.order_by(photo.c.made_at, photo.c.id))


def photo_by_id(connection: Connection, photo_id: str) -> Photo:
    """Return a photo without its content; raises NotKept."""
    return by_id(Photo, connection, photo, photo_id)


def photo_content(connection: Connection, photo_id: str) -> tuple[str, bytes]:
    """Return a photo's media type and content; raises NotKept."""
    chosen = select(photo.c.media_type, photo.c.content).where(photo.c.id == photo_id)
    row = connection.execute(chosen).first()
    if row is None:
        raise NotKept("photo", photo_id)
    return row.media_type, row.content


def change_photo(connection: Connection, changed: Photo, act: Act) -> None:
    """Keep a photo's caption, and who sees it."""
    changes = {"caption": changed.caption, "purpose": changed.purpose}
    connection.execute(update(photo).where(photo.c.id == changed.id).values(**changes))
    _record(connection, changed, act, "photo-changed")


def remove_photo(connection: Connection, photo_id: str, act: Act) -> None:
    """Take a photo away; raises NotKept."""
    gone = photo_by_id(connection, photo_id)
    connection.execute(delete(photo).where(photo.c.id == photo_id))
    _record(connection, gone, act, "photo-removed")


def _record(connection: Connection, of: Photo, act: Act, action: str) -> None:
    workshop_id = connection.execute(
        select(orders.c.workshop_id).where(orders.c.id == of.order_id)
    ).scalar_one()
    record(connection, workshop_id, action, act, order=of.order_id, detail=f"photo {of.id}")
