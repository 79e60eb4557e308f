"""What mails say: plain text with one link, that greets nobody by name."""

import pytest

from service.post.letters import (
    Letter,
    answer_to_shop,
    enquiry_to_customer,
    enquiry_to_shop,
    order_link,
    proof_link,
    receipt_letter,
)

LINK = "https://collars.example/p/secret"
WITH_LINK = (
    enquiry_to_shop(12, LINK),
    enquiry_to_customer("Oxlip Bench", 12, LINK),
    order_link("Oxlip Bench", 12, LINK),
    proof_link("Oxlip Bench", 12, LINK),
    answer_to_shop(12, 3, "", LINK),
    answer_to_shop(12, 3, "Wider, please.\n\nAnd black.", LINK),
)


@pytest.mark.parametrize("letter", WITH_LINK)
def test_a_link_stands_on_a_line_of_its_own_so_that_every_program_makes_it_one(letter: Letter) -> None:
    assert letter.body.splitlines().count(LINK) == 1
    assert "Order 12" in letter.subject


@pytest.mark.parametrize("letter", [one for one in WITH_LINK if "Hello" in one.body])
def test_a_mail_to_a_customer_says_from_whom_it_is_and_who_else_could_use_its_link(letter: Letter) -> None:
    assert letter.subject.endswith("– Oxlip Bench")
    assert letter.body.endswith("\n\nOxlip Bench\n")
    assert "keep it to yourself" in letter.body


def test_what_a_customer_wants_changed_is_told_apart_from_what_the_service_says() -> None:
    assert (
        "\n> Wider, please.\n> \n> And black.\n"
        in answer_to_shop(1, 1, "Wider, please.\n\nAnd black.", "l").body
    )


def test_the_receipt_is_in_the_mail_word_for_word() -> None:
    receipt = "Oxlip Bench, order 12\nRecorded 2026-11-25 14:02 UTC\n"
    assert receipt in receipt_letter("Oxlip Bench", 12, 3, receipt).body
