"""A customer's mail is in the language they asked in, the shop's in its own."""

from gettext import NullTranslations

import pytest

from service.language import ENGLISH, Language
from tests.post.mail_server import Box, running
from tests.post.offices import Office


class Loud(NullTranslations):
    """A language of the tests, which shouts everything but the places to be filled."""

    def gettext(self, message: str) -> str:
        return "".join(part if part[:1] == "{" else part.upper() for part in _parts(message))


def _parts(message: str) -> list[str]:
    return message.replace("{", "\0{").replace("}", "}\0").split("\0")


@pytest.mark.parametrize("language", ["en", "la", "xx"])
def test_each_reader_is_written_to_in_their_language(language: str) -> None:
    box = Box()
    with running(box) as server:
        office = Office(server)
        office.post.languages = {"en": ENGLISH, "la": Language("la", "Loud", Loud())}
        order = office.order(language=language)
        office.queue(order, "enquiry-to-customer")
        office.queue(order, "enquiry-to-shop")
        office.deliver()
    (mail,) = box.to("ada@mail.example")
    loud = language == "la"
    assert ("HELLO," in mail.get_content()) is loud
    assert ("ORDER 1: YOUR ENQUIRY" in mail["Subject"]) is loud
    assert "https://collars.example/o/" in mail.get_content()
    (mail,) = box.to("ola@collars.example")
    assert mail["Subject"] == "Order 1: a new enquiry"
