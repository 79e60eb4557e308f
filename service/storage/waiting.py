"""Photos that wait for their form to be right: a browser never fills in files again.

They lie in the store, where every process of the service finds them, for two hours and so many at most.
Nobody has agreed yet to their being kept: no backup holds them (`PASSING`).
"""

from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final

from sqlalchemy import Connection, delete, func, insert, select

from service.storage.database import Database
from service.storage.links import token_hash
from service.storage.rows import all_as, as_row, select_as
from service.storage.tables import waiting_photo

WAIT: Final = timedelta(hours=2)
WAITING_MAX: Final = 60
"""Photos that wait at the same time, at about 0.3 MB each."""


@dataclass(frozen=True, slots=True)
class SentPhoto:
    """A photo that came with a form, encoded anew: what its file was called, its size [pixels], the JPEG."""

    name: str
    width: int
    height: int
    content: bytes


def waiting_photos(connection: Connection, key: str, at: datetime) -> tuple[SentPhoto, ...]:
    """Return the photos that wait for the form with this key; they stay, since it may be sent twice."""
    own = waiting_photo.c
    chosen = select_as(SentPhoto, waiting_photo).where(own.form_hash == token_hash(key), own.at > at - WAIT)
    return all_as(SentPhoto, connection, chosen.order_by(own.number))


def let_wait(connection: Connection, key: str, photos: tuple[SentPhoto, ...], at: datetime) -> None:
    """Keep a form's photos in place of those it had; where too many wait, those of the oldest forms go."""
    own, form = waiting_photo.c, token_hash(key)
    connection.execute(delete(waiting_photo).where((own.form_hash == form) | (own.at <= at - WAIT)))
    if not photos:
        return
    rows = [
        {"form_hash": form, "number": number, "at": at, **as_row(one)} for number, one in enumerate(photos)
    ]
    connection.execute(insert(waiting_photo), rows)
    forms = select(own.form_hash, func.count()).group_by(own.form_hash).order_by(func.max(own.at).desc())
    count = 0
    for other, photos_of_it in connection.execute(forms).all():
        count += photos_of_it
        if count > WAITING_MAX:
            connection.execute(delete(waiting_photo).where(own.form_hash == other))


def forget_waiting(database: Database, at: datetime) -> None:
    """Drop the photos whose time is over; where there are none nothing is written."""
    over = waiting_photo.c.at <= at - WAIT
    with database.reading() as connection:
        if connection.execute(select(waiting_photo.c.number).where(over).limit(1)).first() is None:
            return
    with database.writing() as connection:
        connection.execute(delete(waiting_photo).where(over))
