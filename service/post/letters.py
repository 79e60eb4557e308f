"""What each mail says: a subject, and plain text. None greets by name: an address may have been mistyped."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Letter:
    """A mail's subject and its text."""

    subject: str
    body: str


def enquiry_to_shop(number: int, link: str) -> Letter:
    """An enquiry came in; who asks is not for a mail to tell."""
    return Letter(
        f"Order {number}: a new enquiry",
        f"Somebody asks for a collar. The design, who asks and how to answer them:\n\n{link}\n",
    )


def enquiry_to_customer(shop: str, number: int, link: str) -> Letter:
    """The shop has the enquiry; the link is to the order's page."""
    return _letter(
        shop,
        f"Order {number}: your enquiry has arrived",
        f"{shop} has your enquiry. It is order {number}.",
        "Nothing is bought by asking. The shop answers with a proof: drawings, sizes and the price, for you"
        " to approve or to have changed. Nothing is cut before you approve it.",
        f"This page follows your order for a year:\n{link}",
        "Whoever has its address can see the order and answer its proof, so keep it to yourself.",
        "If you have asked for no collar, somebody has mistyped their address. Answer this mail with a word,"
        " and the shop takes yours off the order.",
    )


def order_link(shop: str, number: int, link: str) -> Letter:
    """The shop sends the order's page."""
    return _letter(
        shop,
        f"Order {number}: your collar",
        f"Here is your order, with its price and how far it is:\n{link}",
        "The link opens for two weeks. Whoever has it can see the order and answer its proof, so keep it to"
        " yourself.",
    )


def proof_link(shop: str, number: int, link: str) -> Letter:
    """The shop sends a proof to be answered."""
    return _letter(
        shop,
        f"Order {number}: a proof for you to look over",
        f"The proof of your collar is ready: drawings, sizes and the price.\n{link}",
        "Look it over, then approve it or ask for changes. Nothing is cut before you approve it.",
        "The link opens for two weeks. Whoever has it can answer, so keep it to yourself.",
    )


def answer_to_shop(number: int, version: int, message: str, link: str) -> Letter:
    """A customer has answered a proof; `message` is what they want changed, empty for an approval."""
    if not message:
        return Letter(
            f"Order {number}: proof {version} is approved",
            f"Version {version} of the proof is approved. Make it exactly as approved:\n\n{link}\n",
        )
    said = "\n".join(f"> {line}" for line in message.splitlines())
    return Letter(
        f"Order {number}: changes to proof {version}",
        f"Changes to version {version} of the proof are asked for:\n\n{said}\n\n{link}\n",
    )


def receipt_letter(shop: str, number: int, version: int, receipt: str) -> Letter:
    """The receipt of an approval, word for word."""
    return _letter(
        shop,
        f"Order {number}: receipt for proof {version}",
        receipt.strip("\n"),
        "If it was not you who approved, answer this mail at once, before anything is cut.",
    )


def _letter(shop: str, subject: str, *said: str) -> Letter:
    return Letter(f"{subject} – {shop}", "\n\n".join(["Hello,", *said, shop]) + "\n")
