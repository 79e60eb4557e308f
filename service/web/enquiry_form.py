"""The form of an enquiry: its fields, how they are read, and what is wrong with them."""

import re
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Final

import phonenumbers

from service.errors import Unreadable
from service.language import mark, tr
from service.storage import SentPhoto
from service.text import clean_line
from service.web.photo_form import SentForm
from service.workshop import Workshop

NAME_MAX, EMAIL_MAX, PHONE_MAX, NOTES_MAX = 80, 254, 40, 2000
"""Longest texts [characters]. Source of the second: RFC 5321, 4.5.3.1.3, less the two brackets."""
EMAIL: Final = re.compile(r"[^@\s]+@[^@\s.]+(\.[^@\s.]+)+")
AGREED: Final = "yes"
NO_WAY_BACK: Final = mark(
    "Give an e-mail address or a phone number: the shop needs one of them to answer you."
)


@dataclass(frozen=True, slots=True)
class AskField:
    """A field of the form as it is shown."""

    name: str
    label: str
    typed: str
    hint: str = ""
    error: str = ""
    autocomplete: str = "off"
    mode: str = "text"
    longest: int = 200
    lines: bool = False

    @property
    def ident(self) -> str:
        """The id of its input."""
        return f"field-{self.name}"


@dataclass(frozen=True, slots=True)
class Typed:
    """What a form sent, by field: as typed, as it was read, what is wrong with it, and its photos."""

    fields: Mapping[str, str]
    read: dict[str, str] = field(default_factory=dict)
    errors: dict[str, str] = field(default_factory=dict)
    photos: tuple[SentPhoto, ...] = ()


def read_ask(sent: SentForm, workshop: Workshop) -> Typed:
    """Return what a form sent, read as far as it can be."""
    fields = sent.fields
    typed = Typed(fields, photos=sent.photos)
    if sent.wrong:
        typed.errors["photos"] = " ".join(sent.wrong)
    for name, longest, missing in (
        ("name", NAME_MAX, tr("Type your name, as the shop should write it.")),
        ("email", EMAIL_MAX, ""),
        ("phone", PHONE_MAX, ""),
        ("dog", NAME_MAX, tr("Type your dog's name: the shop keeps the measure under it.")),
    ):
        _read_line(typed, name, longest, missing)
    _read_notes(typed)
    _read_contacts(typed, workshop)
    if fields.get("agreed") != AGREED:
        typed.errors["agreed"] = tr("Tick this so that the shop may keep what it needs to make it.")
    return typed


def _read_line(typed: Typed, name: str, longest: int, missing: str) -> None:
    try:
        typed.read[name] = clean_line(typed.fields.get(name, ""), longest)
    except Unreadable as fault:
        typed.errors[name] = str(fault.reason)
        typed.read[name] = ""
        return
    if missing and not typed.read[name]:
        typed.errors[name] = missing


def _read_notes(typed: Typed) -> None:
    text = typed.fields.get("notes", "")
    try:
        lines = "\n".join(clean_line(line, NOTES_MAX) for line in text.splitlines()).strip("\n")
    except Unreadable as fault:
        typed.errors["notes"] = str(fault.reason)
        return
    typed.read["notes"] = lines
    if len(lines) > NOTES_MAX:
        typed.errors["notes"] = tr(
            "That is {count} characters, and {limit} is the most.", count=len(lines), limit=NOTES_MAX
        )


def _read_contacts(typed: Typed, workshop: Workshop) -> None:
    email, phone = typed.read["email"], typed.read["phone"]
    if email and EMAIL.fullmatch(email) is None:
        typed.errors["email"] = tr(
            "That is not a whole e-mail address. One looks like ada@mail.example: one @, and a dot after it."
        )
    if phone and not _may_ring(phone, workshop.region):
        typed.errors["phone"] = tr("That number can't be dialled. Type it with its area code.")
    if not (email or phone or typed.errors.get("email") or typed.errors.get("phone")):
        typed.errors["email"] = tr(NO_WAY_BACK)


def _may_ring(phone: str, region: str) -> bool:
    try:
        return phonenumbers.is_possible_number(phonenumbers.parse(phone, region))
    except phonenumbers.NumberParseException:
        return False


def ask_fields(typed: Typed) -> tuple[AskField, ...]:
    """Return the fields with what was typed in them."""
    contact = tr("E-mail or phone: one is enough.")

    def one(name: str, label: str, hint: str = "", auto: str = "off", mode: str = "text") -> AskField:
        text, error = typed.fields.get(name, ""), typed.errors.get(name, "")
        return AskField(name, label, text, hint, error, auto, mode)

    notes = one(
        "notes",
        tr("Anything the shop should know"),
        tr("You may leave this empty. For example: the day you need it by, or a wish."),
    )
    return (
        one("name", tr("Your name"), auto="name"),
        one("email", tr("E-mail"), contact, "email", "email"),
        one("phone", tr("Phone"), contact, "tel", "tel"),
        one("dog", tr("Your dog's name")),
        replace(notes, lines=True, longest=NOTES_MAX),
    )
