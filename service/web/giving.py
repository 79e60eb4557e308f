"""Everything that is kept, to take away as one file; an owner's, once the password was typed anew."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from http import HTTPStatus
from tempfile import SpooledTemporaryFile
from typing import IO, Final
from zipfile import ZIP_DEFLATED, ZipFile

from fastapi import FastAPI
from starlette.requests import Request
from starlette.responses import Response, StreamingResponse

from service.storage import Given, everything, record
from service.web.access import act, form, signed_in
from service.web.family import add_page, shown
from service.web.frame import Frame, frame_for
from service.web.house import house_of
from service.web.proving import WrongNow, prove

HERE: Final = "/shop/data"
IN_MEMORY: Final = 16_777_216
"""A larger file is put together on disk [bytes]."""
PIECE: Final = 65_536
"""It is sent so much at a time [bytes]."""


@dataclass(frozen=True, slots=True)
class DataPage:
    """The page; `error` is what is wrong with the password."""

    frame: Frame
    error: str = ""


def giving_routes(app: FastAPI) -> None:
    """Add the page of the workshop's data."""
    add_page(app, HERE, data_page, take_away)


def data_page(request: Request) -> Response:
    """What there is to take away."""
    member = signed_in(request, "owner")
    page = DataPage(frame_for(member, house_of(request).workshop.name, "members"))
    return shown(request, "members/data.html", page)


def take_away(request: Request) -> Response:
    """Everything, as one ZIP file."""
    member, house = signed_in(request, "owner"), house_of(request)
    try:
        prove(request, member, form(request).get("now", ""))
    except WrongNow as fault:
        page = DataPage(frame_for(member, house.workshop.name, "members"), str(fault))
        return shown(request, "members/data.html", page, HTTPStatus.UNPROCESSABLE_ENTITY)
    with house.database.writing() as connection:
        record(connection, house.workshop_id, "workshop-given", act(request, member))
    with house.database.reading() as connection:
        return zipped(everything(connection), f"workshop-{house.today.isoformat()}.zip")


def zipped(files: Iterable[Given], name: str) -> Response:
    """Return files as one to save; all of it is read before the first byte is sent."""
    held = SpooledTemporaryFile(IN_MEMORY)  # noqa: SIM115 - closed when it is sent
    with ZipFile(held, "w", ZIP_DEFLATED) as archive:
        for one in files:
            with archive.open(one.name, "w", force_zip64=True) as place:
                for piece in one.pieces:
                    place.write(piece)
    headers = {"Content-Disposition": f'attachment; filename="{name}"', "Content-Length": str(held.tell())}
    held.seek(0)
    return StreamingResponse(_sent(held), headers=headers, media_type="application/zip")


def _sent(held: IO[bytes]) -> Iterator[bytes]:
    with held:
        while piece := held.read(PIECE):
            yield piece
