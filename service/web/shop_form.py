"""The configurator's fields on the shop's own pages: the same parameters, leading to another address."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from urllib.parse import urlsplit

from service.design import PARAMETERS, Pattern
from service.errors import DesignError
from service.web.fields import form
from service.web.page import FormField
from service.web.query import Asked
from service.workshop import Workshop


@dataclass(frozen=True, slots=True)
class DesignFields:
    """The fields of a design: those asked first, those folded away, and every one with an error."""

    main: tuple[FormField, ...]
    more: tuple[tuple[str, tuple[FormField, ...]], ...]
    problems: tuple[FormField, ...]


def design_fields(
    path: str,
    asked: Asked,
    workshop: Workshop,
    problems: Iterable[DesignError] = (),
    pattern: Pattern | None = None,
) -> DesignFields:
    """Return the form of a design whose ways out of a problem lead to `path`, "/shop/quote?dog=…&"."""
    main, more, wrong = form(asked, workshop, problems, pattern)
    return DesignFields(
        tuple(_led_to(path, field) for field in main),
        tuple((heading, tuple(_led_to(path, field) for field in fields)) for heading, fields in more),
        tuple(_led_to(path, field) for field in wrong),
    )


def _led_to(path: str, field: FormField) -> FormField:
    return replace(field, fixes=tuple(replace(fix, href=led_to(path, fix.href)) for fix in field.fixes))


def led_to(path: str, design: str) -> str:
    """Return the address of a design, "/?neck=19+in", as the one of the same design at `path`."""
    return f"{path}{'&' if '?' in path else '?'}{urlsplit(design).query}"


def only_design(typed: Mapping[str, str]) -> Asked:
    """Return the parameters of a design among everything that a form sent."""
    return Asked({name: text for name, text in typed.items() if name in PARAMETERS})
