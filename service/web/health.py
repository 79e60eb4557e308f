"""Whether the service is well, for whoever watches it: its store, its disk, its mail, its backups."""

from http import HTTPStatus
from shutil import disk_usage

from fastapi import Request
from fastapi.responses import Response
from pydantic_core import to_json

from service.storage import StorageUnavailable, backups_in, mail_waiting, shape
from service.web.answers import HealthAnswer, MailAnswer
from service.web.house import House, house_of


def health(request: Request) -> Response:
    """Whether the service can answer and keep what it is told."""
    house = house_of(request)
    fits = shape(house.database).fits
    newest = next(iter(backups_in(house.settings.backups)), None)
    answer: HealthAnswer = {
        "status": "ok" if fits else "trouble",
        "version": house.version,
        "workshop": house.workshop.name,
        "migrations": "fit" if fits else "do not fit",
        "free_disk_mb": _free_disk(house),
        "mail": _mail(house) if fits else None,
        "last_backup": newest.at.isoformat(timespec="seconds") if newest else None,
    }
    status = HTTPStatus.OK if fits else HTTPStatus.SERVICE_UNAVAILABLE
    return Response(to_json(answer), status, {"Cache-Control": "no-store"}, media_type="application/json")


def _free_disk(house: House) -> int:
    """Room on the disk of the data folder [MB]."""
    try:
        return disk_usage(house.settings.data).free // 1_000_000
    except OSError as fault:
        raise StorageUnavailable(f"the data folder: {fault.strerror}") from fault


def _mail(house: House) -> MailAnswer:
    with house.database.reading() as connection:
        mail = mail_waiting(connection)
    return {
        "sent_out": house.settings.smtp is not None,
        "waiting": mail.waiting,
        "oldest_waits_s": int((house.now() - mail.oldest).total_seconds()) if mail.oldest else 0,
        "given_up": mail.given_up,
    }
