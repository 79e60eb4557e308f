"""The live preview: worn views, the flat strap folded into rows, and details of both ends."""

from dataclasses import dataclass

from service.design import Pattern


@dataclass(frozen=True, slots=True)
class Figures:
    """Inline SVG elements, ready for a page: two worn views, the flat strap in pieces to wrap, two details."""

    worn_buckle: str
    worn_ring: str
    flat: tuple[str, ...]
    buckle_end: str
    point: str


def figures(pattern: Pattern) -> Figures:
    raise NotImplementedError


def preview_svg(pattern: Pattern) -> str:
    raise NotImplementedError
