"""What the configurator page shows, as one typed value: templates compute nothing."""

from dataclasses import dataclass
from typing import Final

from service.design import USUAL_KIND
from service.drawing import Figures

ABREAST: Final = frozenset(
    [
        "leather",
        "dye",
        "width",
        "stamp",
        "studs",
        "stud_rows",
        "grooves",
        "border",
        "lacing",
        "letters",
        "ring_at",
    ]
)
"""Fields whose choices are short enough for two in a row of a telephone."""


@dataclass(frozen=True, slots=True)
class Fix:
    """A way out of a problem: a plain sentence and the address of the design with that one change."""

    text: str
    href: str


@dataclass(frozen=True, slots=True)
class Choice:
    """One option of a field; `note` is a few words under its name.

    `swatch` is a colour, #7a3b1d, and `picture` path data in a box of 40 by 16; either may be empty.
    """

    value: str
    label: str
    chosen: bool
    note: str = ""
    swatch: str = ""
    picture: str = ""


@dataclass(frozen=True, slots=True)
class FormField:
    """One form field. `typed` is exactly what was typed; `echo` how it was read ("16 1/2 in (419 mm)").

    `choices` is empty for a text field; `error` is empty when there is none; `fixes` lead out of the error.
    """

    name: str
    label: str
    hint: str
    typed: str
    choices: tuple[Choice, ...] = ()
    echo: str = ""
    error: str = ""
    fixes: tuple[Fix, ...] = ()

    @property
    def ident(self) -> str:
        """The id of the input, and with `note-` in front that of the line under it."""
        return f"field-{self.name}"

    @property
    def abreast(self) -> bool:
        """Whether its choices stand side by side: their names are short."""
        return self.name in ABREAST


@dataclass(frozen=True, slots=True)
class Says:
    """A finding in plain words; `severity` is question, warning, advice or note; `source` where from."""

    severity: str
    text: str
    source: str
    fixes: tuple[Fix, ...] = ()


@dataclass(frozen=True, slots=True)
class HoleRow:
    """One row of the fit table, already in words: numbers are shown in the person's own system.

    `wanted` marks the one that leaves the fingers that were asked for.
    """

    number: int
    target: bool
    wanted: bool
    girth: str
    ease: str
    fingers: str
    tail: str
    ring: str


@dataclass(frozen=True, slots=True)
class Row:
    """A name, and one or two values, for summaries and tables of parts, hardware and distances."""

    name: str
    value: str
    other: str = ""


@dataclass(frozen=True, slots=True)
class Outcome:
    """Everything that follows from a readable design; `ask_url` and `compare_url` are empty for the example.

    `query` is the design as the end of an address, with its "?". What few look at is fetched from pages that
    take it, under `frame`, the address of the framed page, or nothing: there links away open another window.
    """

    example: bool
    title: str
    sentence: str
    figures: Figures
    summary: tuple[Row, ...]
    total: str
    total_note: str
    included: tuple[str, ...]
    sits: tuple[str, ...]
    mass: str
    holes: tuple[HoleRow, ...]
    says: tuple[Says, ...]
    share_url: str
    ask_url: str
    compare_url: str
    query: str
    downloads: tuple[tuple[str, str, str], ...]
    frame: str = ""

    @property
    def window(self) -> str:
        """Where links that lead away open, as HTML calls it."""
        return "_blank" if self.frame else "_self"


@dataclass(frozen=True, slots=True)
class ConfiguratorPage:
    """The whole page; `problems` lists every field with an error, and then `outcome` is None.

    `problems_title` is the heading over them. When nothing but the neck is missing there is both: the error,
    and the example with the other choices. `main` fields are asked first (neck, weight, measured, fingers,
    coat, width, leather, finish, style); `more` are folded away under plain headings (end, lettering, stamp,
    studs, fastening, holes, pitch). `here` is the page's own address, `query` what was asked as the end of
    one, with its "?"; `kind` is what is made; of `kinds` each value is the address of its page.
    """

    shop: str
    main: tuple[FormField, ...]
    more: tuple[tuple[str, tuple[FormField, ...]], ...]
    problems: tuple[FormField, ...]
    problems_title: str
    outcome: Outcome | None
    cautions: tuple[str, ...]
    status_sentence: str
    here: str = "/"
    query: str = ""
    kind: str = USUAL_KIND
    kinds: tuple[Choice, ...] = ()

    @property
    def frame(self) -> str:
        """The address under which parts for this page are, where it stands in a frame."""
        return "" if self.here == "/" else self.here

    @property
    def window(self) -> str:
        """Where a link that leads away opens, as HTML calls it: from a frame in another window."""
        return "_blank" if self.frame else "_self"
