"""Photos of an order, from its enquiry or of the finished work; one backup holds them with all else."""

from dataclasses import dataclass
from datetime import datetime
from typing import Literal

from sqlalchemy import Connection, delete, insert, select

from service.orders import sha256_hex
from service.storage.faults import NotKept
from service.storage.rows import all_as, as_row, select_as
from service.storage.tables import photo


@dataclass(frozen=True, slots=True)
class Photo:
    """A photo without its content; width and height in pixels."""

    id: str
    order_id: str
    purpose: Literal["enquiry", "finished"]
    caption: str
    media_type: str
    width: int
    height: int
    made_at: datetime


def add_photo(connection: Connection, new: Photo, content: bytes) -> None:
    """Keep a photo, encoded anew by the caller."""
    connection.execute(insert(photo).values(**as_row(new), sha256=sha256_hex(content), content=content))


def photos_of(connection: Connection, order_id: str) -> tuple[Photo, ...]:
    """Return an order's photos, the oldest first."""
    chosen = select_as(Photo, photo).where(photo.c.order_id == order_id)
    return all_as(Photo, connection, chosen.order_by(photo.c.made_at, photo.c.id))


def photo_content(connection: Connection, photo_id: str) -> tuple[str, bytes]:
    """Return a photo's media type and content; raises NotKept."""
    chosen = select(photo.c.media_type, photo.c.content).where(photo.c.id == photo_id)
    row = connection.execute(chosen).first()
    if row is None:
        raise NotKept("photo", photo_id)
    return row.media_type, row.content


def remove_photo(connection: Connection, photo_id: str) -> None:
    """Take a photo away."""
    connection.execute(delete(photo).where(photo.c.id == photo_id))
