"""What a maker types about a customer in a hurry: one line that is an e-mail address or a phone number."""

import re
from collections.abc import Mapping, MutableMapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Final

import phonenumbers

from service.errors import Unreadable
from service.language import tr
from service.text import clean_line
from service.web.enquiry_form import EMAIL

NAME_MAX: Final = 80
CONTACT_MAX: Final = 120
PRICE: Final = re.compile(r"([0-9]{1,6})(?:[.,]([0-9]{1,4}))?")
DAYS_MAX: Final = 366 * 3
"""A promise for later than that is a slip of the thumb."""


@dataclass(frozen=True, slots=True)
class TypedContact:
    """A customer as typed: the name, one of e-mail and phone, and what the dog is called."""

    name: str
    email: str
    phone: str
    called: str


def read_contact(typed: Mapping[str, str], errors: MutableMapping[str, str], region: str) -> TypedContact:
    """Return the customer that a form names; what is wrong goes into `errors`, by field."""
    name = read_line(typed, "name", NAME_MAX, errors)
    contact = read_line(typed, "contact", CONTACT_MAX, errors)
    called = read_line(typed, "called", NAME_MAX, errors)
    if not name:
        errors.setdefault("name", tr("Type the customer's name, for example Ada Example."))
    email, phone = ("", contact) if "@" not in contact else (contact, "")
    wrong: dict[str, str] = {}
    check_contacts(email, phone, region, wrong)
    for said in wrong.values():
        errors.setdefault("contact", said)
    return TypedContact(name, email, phone, called)


def check_contacts(email: str, phone: str, region: str, errors: MutableMapping[str, str]) -> None:
    """Say in `errors` what is wrong with an e-mail address and a phone number; one of them is needed."""
    if email and EMAIL.fullmatch(email) is None:
        errors.setdefault("email", tr("An e-mail address looks like ada@mail.example."))
    if phone and not may_ring(phone, region):
        errors.setdefault(
            "phone", tr("That is no phone number that can be dialled. Give it with its area code.")
        )
    if not (email or phone or "email" in errors or "phone" in errors):
        errors["phone"] = tr("Type a phone number or an e-mail address, so that you can answer.")


def read_line(typed: Mapping[str, str], name: str, longest: int, errors: MutableMapping[str, str]) -> str:
    """Return one clean line of a form; what can't be shown goes into `errors`."""
    try:
        return clean_line(typed.get(name, ""), longest)
    except Unreadable as fault:
        errors[name] = str(fault)
        return ""


def read_lines(typed: Mapping[str, str], name: str, longest: int, errors: MutableMapping[str, str]) -> str:
    """Return clean text of several lines."""
    try:
        lines = "\n".join(clean_line(line, longest) for line in typed.get(name, "").splitlines()).strip("\n")
    except Unreadable as fault:
        errors[name] = str(fault)
        return ""
    if len(lines) > longest:
        errors[name] = tr(
            "That is {count} characters, and {limit} is the most.", count=len(lines), limit=longest
        )
    return lines


def read_day(
    typed: Mapping[str, str], name: str, errors: MutableMapping[str, str], today: date
) -> date | None:
    """Return the day a form names, None for none."""
    text = typed.get(name, "").strip()
    if not text:
        return None
    example = tr("Type the day as year-month-day, for example {day}.", day=today.isoformat())
    try:
        day = date.fromisoformat(text)
    except ValueError:
        errors[name] = example
        return None
    if abs((day - today).days) > DAYS_MAX:
        errors[name] = " ".join((tr("That is more than three years away."), example))
    return day


def read_price(
    typed: Mapping[str, str], name: str, errors: MutableMapping[str, str], digits: int
) -> Decimal | None:
    """Return the sum a form names, None for none; `digits` is how many decimals its currency has."""
    text = typed.get(name, "").strip()
    if not text:
        return None
    found = PRICE.fullmatch(text)
    if found is None or len(found[2] or "") > digits or not int(found[1] + (found[2] or "")):
        example = "45" if digits == 0 else tr("45 or 45.50")
        errors[name] = tr(
            "Type the price as a plain number, such as {example}, or leave it empty.", example=example
        )
        return None
    return Decimal(f"{found[1]}.{found[2] or 0}")


def may_ring(phone: str, region: str) -> bool:
    """Tell whether a phone number could be dialled, from the shop's own country."""
    try:
        return phonenumbers.is_possible_number(phonenumbers.parse(phone, region))
    except phonenumbers.NumberParseException:
        return False
