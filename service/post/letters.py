"""What each mail says: a subject, and plain text. None greets by name: an address may have been mistyped."""

from dataclasses import dataclass

from service.language import tr


@dataclass(frozen=True, slots=True)
class Letter:
    """A mail's subject and its text."""

    subject: str
    body: str


def enquiry_to_shop(number: int, link: str) -> Letter:
    """An enquiry came in; who asks is not for a mail to tell."""
    said = tr("Somebody asks for something to be made. The design, who asks and how to answer them:")
    return Letter(tr("Order {number}: a new enquiry", number=number), f"{said}\n\n{link}\n")


def enquiry_to_customer(shop: str, number: int, link: str) -> Letter:
    """The shop has the enquiry; the link is to the order's page."""
    return _letter(
        shop,
        tr("Order {number}: your enquiry has arrived", number=number),
        tr("{shop} has your enquiry. It is order {number}.", shop=shop, number=number),
        tr(
            "Nothing is bought by asking. The shop answers with a proof: drawings, sizes and the price, for"
            " you to approve or to have changed. Nothing is cut before you approve it."
        ),
        _with_link(tr("This page follows your order for a year:"), link),
        tr("Whoever has its address can see the order and answer its proof, so keep it to yourself."),
        tr(
            "If you have asked for nothing here, somebody has mistyped their address. Answer this mail with a"
            " word, and the shop takes yours off the order."
        ),
    )


def order_link(shop: str, number: int, link: str) -> Letter:
    """The shop sends the order's page."""
    return _letter(
        shop,
        tr("Order {number}: how far it is", number=number),
        _with_link(tr("Here is your order, with its price and how far it is:"), link),
        tr(
            "The link opens for two weeks. Whoever has it can see the order and answer its proof, so keep it"
            " to yourself."
        ),
    )


def proof_link(shop: str, number: int, link: str) -> Letter:
    """The shop sends a proof to be answered."""
    return _letter(
        shop,
        tr("Order {number}: a proof for you to look over", number=number),
        _with_link(tr("The proof of your order is ready: drawings, sizes and the price."), link),
        tr("Look it over, then approve it or ask for changes. Nothing is cut before you approve it."),
        tr("The link opens for two weeks. Whoever has it can answer, so keep it to yourself."),
    )


def answer_to_shop(number: int, version: int, message: str, link: str) -> Letter:
    """A customer has answered a proof; `message` is what they want changed, empty for an approval."""
    if not message:
        said = tr("Version {version} of the proof is approved. Make it exactly as approved:", version=version)
        subject = tr("Order {number}: proof {version} is approved", number=number, version=version)
        return Letter(subject, f"{said}\n\n{link}\n")
    said = tr("Changes to version {version} of the proof are asked for:", version=version)
    subject = tr("Order {number}: changes to proof {version}", number=number, version=version)
    wanted = "\n".join(f"> {line}" for line in message.splitlines())
    return Letter(subject, f"{said}\n\n{wanted}\n\n{link}\n")


def receipt_letter(shop: str, number: int, version: int, receipt: str) -> Letter:
    """The receipt of an approval, word for word."""
    return _letter(
        shop,
        tr("Order {number}: receipt for proof {version}", number=number, version=version),
        receipt.strip("\n"),
        tr("If it was not you who approved, answer this mail at once, before anything is cut."),
    )


def _with_link(said: str, link: str) -> str:
    return f"{said}\n{link}"


def _letter(shop: str, subject: str, *said: str) -> Letter:
    return Letter(f"{subject} – {shop}", "\n\n".join([tr("Hello,"), *said, shop]) + "\n")
