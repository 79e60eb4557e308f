"""A form that may bring a file: the fields and the file's bytes, whichever way the browser sent them."""

from collections.abc import Mapping
from typing import Final

from anyio import from_thread
from starlette.datastructures import UploadFile
from starlette.exceptions import HTTPException
from starlette.requests import Request

from service.web.access import FormUnreadable, form

PARTS: Final = "multipart/form-data"
FIELDS_MAX: Final = 20


def form_with_file(request: Request, name: str, largest: int) -> tuple[Mapping[str, str], bytes]:
    """Return what a form sent, and the content of the file in the field `name`, at most `largest` bytes.

    Empty when no file was chosen; a byte more than `largest` when it is larger. Raises FormUnreadable. For
    routes that run in a thread.
    """
    kind = request.headers.get("content-type", "").partition(";")[0].strip().lower()
    if kind != PARTS:
        return form(request), b""
    return from_thread.run(_parts, request, name, largest)


async def _parts(request: Request, name: str, largest: int) -> tuple[Mapping[str, str], bytes]:
    try:
        async with request.form(max_files=1, max_fields=FIELDS_MAX) as parts:
            fields = {key: value for key, value in parts.items() if isinstance(value, str)}
            sent = parts.get(name)
            return fields, await sent.read(largest + 1) if isinstance(sent, UploadFile) else b""
    except HTTPException as fault:
        if fault.status_code != 400:  # noqa: PLR2004 - what can't be taken apart; others have their answers
            raise
        raise FormUnreadable("The form can't be taken apart.") from fault
