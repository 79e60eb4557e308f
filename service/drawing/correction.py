"""Print correction: what a 100 mm square measured on paper goes back in, and the next print is right."""

from collections.abc import Iterator
from dataclasses import dataclass

from service.drawing.sheet import SADDLE, Item, Text
from service.drawing.typeface import wrapped
from service.language import tr
from service.units import show_mm

TRUE = 100.0
"""Side of the square that is measured [mm]."""
SIDE, BASE, SIZE = 10.0, 5.6, 2.3
"""Where a corrected page says so: from its left, from its foot, and how large [mm]."""


@dataclass(frozen=True, slots=True)
class Correction:
    """What the square of 100 mm measured on a print, across and down the page as it is read [mm]."""

    across: float = TRUE
    down: float = TRUE

    @property
    def is_none(self) -> bool:
        """Whether there is nothing to correct."""
        return self == AS_IT_IS

    @property
    def scale(self) -> tuple[float, float]:
        """By how much to stretch across and down. Worked: 99.2 mm is stretched by 100/99.2, 1.00806."""
        return TRUE / self.across, TRUE / self.down

    def note(self, width: float, height: float) -> Iterator[Item]:
        """Yield what stands at the foot of a corrected page so wide and high [mm], under all else."""
        if self.is_none:
            return
        said = tr(
            "Corrected for a printer that prints 100 mm as {across} across and {down} down. Now the squares"
            " must measure 100 mm and 4 in; if not, print without the correction and measure again.",
            across=show_mm(self.across),
            down=show_mm(self.down),
        )
        lines = wrapped(said, width - 2 * SIDE, SIZE, "bold")
        for n, line in enumerate(reversed(lines)):
            yield Text(line, (SIDE, height - BASE - n * SIZE * 1.3), SIZE, "bold", colour=SADDLE)


AS_IT_IS = Correction()
"""No correction."""
