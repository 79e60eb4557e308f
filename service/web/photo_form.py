"""Forms with photos: what came in their fields, the photos, and what was wrong with some."""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import Final

from starlette.requests import Request

from service.errors import Unreadable
from service.language import mark, tr
from service.storage import SentPhoto
from service.text import clean_line
from service.web.family import FORM_MAX
from service.web.pictures import CONTENT_MAX, PictureRefused, picture
from service.web.upload import SentFile, form_with_files

PHOTOS_MAX: Final = 5
"""How many photos one form brings at most."""
FILES_MAX: Final = 100
"""How many files of a form are looked at: with more than `PHOTOS_MAX` people are told which were too many."""
UPLOAD_MAX: Final = PHOTOS_MAX * CONTENT_MAX + FORM_MAX
"""The largest form with photos [bytes]."""
TOO_MANY: Final = mark("{count} photos are the most. Left out: {names}.")
LOST: Final = mark(
    "The photos that came before are no longer here: choose them again, or send the form without."
)
KEPT: Final = "photo-"
"""Before the number of a photo that waits, in the name of its tick."""


@dataclass(frozen=True, slots=True)
class SentForm:
    """A form's fields, the photos that came with it, and what is wrong with those that couldn't be taken."""

    fields: Mapping[str, str]
    photos: tuple[SentPhoto, ...] = ()
    wrong: tuple[str, ...] = ()


def photo_form(request: Request, refuse: Callable[[int], str] = lambda _size: "") -> SentForm:
    """Return what a form sent, plain or with photos; raises FormUnreadable. For routes in a thread.

    Photos of so many bytes are not looked at, which takes time, where `refuse` says why.
    """
    fields, files = form_with_files(request, FILES_MAX, CONTENT_MAX)
    if files and (why := refuse(sum(len(file.content) for file in files))):
        return SentForm(fields, wrong=(why,))
    return SentForm(fields, *_photos(files))


def ticked(sent: SentForm) -> frozenset[str]:
    """Return the numbers of those photos, brought before, that the form is still to have."""
    return frozenset(name.removeprefix(KEPT) for name in sent.fields if name.startswith(KEPT))


def with_waiting(sent: SentForm, waiting: tuple[SentPhoto, ...]) -> SentForm:
    """Return a form with its new photos after those that it brought before and that are still ticked."""
    wanted = ticked(sent)
    before = tuple(photo for number, photo in enumerate(waiting, 1) if str(number) in wanted)
    photos, wrong = (*before, *sent.photos), list(sent.wrong)
    if len(before) < len(wanted):
        wrong.append(tr(LOST))
    if over := photos[PHOTOS_MAX:]:
        wrong.append(_left_out(photo.name for photo in over))
    return SentForm(sent.fields, photos[:PHOTOS_MAX], tuple(wrong))


def _photos(files: Iterable[SentFile]) -> tuple[tuple[SentPhoto, ...], tuple[str, ...]]:
    photos: list[SentPhoto] = []
    wrong: list[str] = []
    over: list[str] = []
    for number, file in enumerate(files, 1):
        name = _called(file.name, number)
        if len(photos) >= PHOTOS_MAX:
            over.append(name)
            continue
        try:
            made = picture(file.content)
            photos.append(SentPhoto(name, made.width, made.height, made.content))
        except PictureRefused as fault:
            wrong.append(f"{name}: {fault}")
    if over:
        wrong.append(_left_out(over))
    return tuple(photos), tuple(wrong)


def _left_out(names: Iterable[str]) -> str:
    return tr(TOO_MANY, count=PHOTOS_MAX, names=", ".join(names))


def _called(name: str, number: int) -> str:
    """What people know a file by; one with a name that can't be shown is counted instead."""
    try:
        line = clean_line(name.replace("\\", "/").rpartition("/")[2], 60)
    except Unreadable:
        line = ""
    return line or tr("photo {number}", number=number)
