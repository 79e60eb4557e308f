"""Proof that it is the member who is asking, and not whoever found their browser open."""

from starlette.requests import Request

from service.errors import GirthwrightError
from service.language import tr
from service.storage import Member
from service.web.house import house_of
from service.web.passwords import matches
from service.web.throttle import take_turn, too_often, turns_of, went_well
from service.web.watch import refused


class WrongNow(GirthwrightError):
    """The password of now is not the one that was typed."""


def prove(request: Request, member: Member, password: str) -> None:
    """Take a member's password once more; raises WrongNow. Tries are counted as at the door."""
    house, turns = house_of(request), turns_of(request, member.name)
    if not password:
        raise WrongNow(tr("Type your password of now."))
    with house.database.writing() as connection:
        wait = take_turn(connection, turns, house.now())
    if wait is not None:
        raise WrongNow(too_often(wait))
    if not matches(password, member.password_hash):
        refused(request, "password", member)
        raise WrongNow(tr("That is not your password of now."))
    with house.database.writing() as connection:
        went_well(connection, turns)
