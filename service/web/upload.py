"""Forms that may bring files: the fields and the files' bytes, whichever way the browser sent them."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import partial
from http import HTTPStatus
from typing import Final

from anyio import from_thread
from starlette.datastructures import FormData, UploadFile
from starlette.exceptions import HTTPException
from starlette.formparsers import MultiPartException, MultiPartParser
from starlette.requests import Request

from service.language import tr, tr_many
from service.web.access import FIELDS_MAX, FormUnreadable, form
from service.web.again import sent_with
from service.web.family import FORM_MAX

PARTS: Final = "multipart/form-data"


@dataclass(frozen=True, slots=True)
class SentFile:
    """A file that came with a form: its field, what it was called, and its bytes."""

    field: str
    name: str
    content: bytes


def form_with_files(
    request: Request, count: int, largest: int
) -> tuple[Mapping[str, str], tuple[SentFile, ...]]:
    """Return what a form sent, and at most `count` files of at most `largest` bytes.

    Of a larger one a byte more than `largest` is returned. Raises FormUnreadable. For routes in a thread.
    """
    if request.headers.get("content-type", "").partition(";")[0].strip().lower() != PARTS:
        return form(request), ()
    fields, files = from_thread.run(_parts, request, count, largest)
    sent_with(request, fields)
    return fields, files


def form_with_file(request: Request, name: str, largest: int) -> tuple[Mapping[str, str], bytes]:
    """Return the same of a form with one file, in the field `name`; empty when no file was chosen."""
    fields, files = form_with_files(request, 1, largest)
    return fields, next((file.content for file in files if file.field == name), b"")


def form_in_memory(request: Request, name: str, largest: int) -> tuple[Mapping[str, str], bytes]:
    """Return the same, of which nothing is written to a disk on the way; its route bounds its size."""
    if request.headers.get("content-type", "").partition(";")[0].strip().lower() != PARTS:
        return form(request), b""
    fields, files = from_thread.run(partial(_parts, request, 1, largest, held=True))
    return fields, next((file.content for file in files if file.field == name), b"")


class _Held(MultiPartParser):
    """Takes a form apart without a file on the disk for what is large in it."""

    spool_max_size = 0  # as tempfile has it: however large


async def _taken_apart(request: Request, sizes: Mapping[str, int], *, held: bool) -> FormData:
    if not held:
        return await request.form(**sizes)
    try:
        return await _Held(request.headers, request.stream(), **sizes).parse()
    except MultiPartException as fault:
        raise HTTPException(HTTPStatus.BAD_REQUEST, fault.message) from fault


async def _parts(
    request: Request,
    count: int,
    largest: int,
    *,
    held: bool = False,
) -> tuple[Mapping[str, str], tuple[SentFile, ...]]:
    sizes = {"max_files": count, "max_fields": FIELDS_MAX, "max_part_size": FORM_MAX}
    try:
        data = await _taken_apart(request, sizes, held=held)
        try:
            return _fields(data), tuple(
                [
                    SentFile(name, file.filename, await file.read(largest + 1))
                    for name, file in data.multi_items()
                    # An input in which nothing was chosen sends an empty file without a name.
                    if isinstance(file, UploadFile) and file.filename and file.size
                ]
            )
        finally:
            await data.close()
    except HTTPException as fault:
        if fault.status_code != HTTPStatus.BAD_REQUEST:  # what is too large has an answer of its own
            raise
        said = tr_many(
            "The form can't be taken apart. At most one file goes with it, and 64 kB of text.",
            "The form can't be taken apart. At most {count} files go with it, and 64 kB of text.",
            count,
        )
        raise FormUnreadable(said) from fault


def _fields(data: FormData) -> dict[str, str]:
    pairs = [(name, value) for name, value in data.multi_items() if isinstance(value, str)]
    fields = dict(pairs)
    if len(fields) < len(pairs):
        raise FormUnreadable(tr("The form holds a field twice."))
    return fields
