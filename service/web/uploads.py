"""Forms with photos: what came in their fields and files."""

from collections.abc import Awaitable, Callable, Iterable, Mapping
from dataclasses import dataclass
from functools import partial
from http import HTTPStatus
from typing import Final

from anyio import from_thread
from starlette.datastructures import FormData, UploadFile
from starlette.exceptions import HTTPException
from starlette.requests import Request

from service.errors import Unreadable
from service.text import clean_line
from service.web.access import FIELDS_MAX, PLAIN_FORM, FormUnreadable, form
from service.web.family import FORM_MAX
from service.web.pictures import CONTENT_MAX, PictureRefused, picture
from service.web.waiting import SentPhoto

PHOTOS_MAX: Final = 5
"""How many photos one form brings at most."""
FILES_MAX: Final = 100
"""How many files of a form are looked at: with more than `PHOTOS_MAX` people are told which were too many."""
UPLOAD_MAX: Final = PHOTOS_MAX * CONTENT_MAX + FORM_MAX
"""The largest form with photos [bytes]."""
TOO_MANY: Final = f"{PHOTOS_MAX} photos are the most. Left out: "
LOST: Final = "The photos that came before are no longer here: choose them again, or send the form without."
KEPT: Final = "photo-"
"""Before the number of a photo that waits, in the name of its tick."""
PHOTO_FORM: Final = "multipart/form-data"


@dataclass(frozen=True, slots=True)
class SentForm:
    """A form's fields, the photos that came with it, and what is wrong with those that couldn't be taken."""

    fields: Mapping[str, str]
    photos: tuple[SentPhoto, ...] = ()
    wrong: tuple[str, ...] = ()


def photo_form(request: Request) -> SentForm:
    """Return what a form sent, plain or with photos; raises FormUnreadable. For routes in a thread."""
    if request.headers.get("content-type", "").partition(";")[0].strip().lower() == PLAIN_FORM:
        return SentForm(form(request))
    data = _taken_apart(request)
    try:
        fields, files = _sorted(data)
        photos, wrong = _photos(files)
    finally:
        from_thread.run(data.close)
    return SentForm(fields, photos, wrong)


def with_waiting(sent: SentForm, waiting: tuple[SentPhoto, ...]) -> SentForm:
    """Return a form with its new photos after those that it brought before and that are still ticked."""
    ticked = {name.removeprefix(KEPT) for name in sent.fields if name.startswith(KEPT)}
    before = tuple(photo for number, photo in enumerate(waiting, 1) if str(number) in ticked)
    photos, wrong = (*before, *sent.photos), list(sent.wrong)
    if len(before) < len(ticked):
        wrong.append(LOST)
    if over := photos[PHOTOS_MAX:]:
        wrong.append(f"{TOO_MANY}{', '.join(photo.name for photo in over)}.")
    return SentForm(sent.fields, photos[:PHOTOS_MAX], tuple(wrong))


def _taken_apart(request: Request) -> FormData:
    if request.headers.get("content-type", "").partition(";")[0].strip().lower() != PHOTO_FORM:
        raise FormUnreadable("This address takes a form.")
    read = partial(request.form, max_files=FILES_MAX, max_fields=FIELDS_MAX, max_part_size=FORM_MAX)
    try:
        data: FormData = from_thread.run(_awaited, read)
    except HTTPException as fault:
        if fault.status_code != HTTPStatus.BAD_REQUEST:  # a body that is too large has a page of its own
            raise
        said = f"The form can't be taken apart. At most {FILES_MAX} files go with it, and 64 kB of text."
        raise FormUnreadable(said) from fault
    return data


async def _awaited(read: Callable[[], Awaitable[FormData]]) -> FormData:
    return await read()


def _sorted(data: FormData) -> tuple[dict[str, str], list[UploadFile]]:
    fields: dict[str, str] = {}
    files: list[UploadFile] = []
    for name, value in data.multi_items():
        if isinstance(value, UploadFile):
            if value.filename and value.size:  # an input without a file sends an empty one
                files.append(value)
        elif name in fields:
            raise FormUnreadable("The form holds a field twice.")
        else:
            fields[name] = value
    return fields, files


def _photos(files: Iterable[UploadFile]) -> tuple[tuple[SentPhoto, ...], tuple[str, ...]]:
    photos: list[SentPhoto] = []
    wrong: list[str] = []
    over: list[str] = []
    for number, file in enumerate(files, 1):
        name = _called(file.filename or "", number)
        if len(photos) >= PHOTOS_MAX:
            over.append(name)
            continue
        try:
            photos.append(SentPhoto(name, picture(file.file.read(CONTENT_MAX + 1))))
        except PictureRefused as fault:
            wrong.append(f"{name}: {fault.reason}")
    if over:
        wrong.append(f"{TOO_MANY}{', '.join(over)}.")
    return tuple(photos), tuple(wrong)


def _called(name: str, number: int) -> str:
    """What people know a file by; one with a name that can't be shown is counted instead."""
    try:
        line = clean_line(name.replace("\\", "/").rpartition("/")[2], 60)
    except Unreadable:
        line = ""
    return line or f"photo {number}"
