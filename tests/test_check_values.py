"""Every case of check_values.csv is put to the service, or does not apply to what it does."""

import re
from pathlib import Path
from typing import Final

from service.settings import ROOT
from tests.design.makers import table

QUOTED: Final = re.compile(r"""["']([A-Z][0-9]{1,2})["']""")
APART: Final = {
    "B1": "a metal's bend, whose neutral line is at 0.44 of its thickness; leather's is its middle: B2",
    **dict.fromkeys(
        ("J3", "J4", "J8", "J12"),
        "a bolt's own shear: what a rivet or post bears is its supplier's figure, or unknown",
    ),
    **dict.fromkeys(
        ("J14", "J15", "J16"),
        "a path between staggered holes: a row of holes in leather is counted lower than any of them: L2",
    ),
    **dict.fromkeys(("R3", "R4"), "how far a ring stretches before it yields is nowhere told"),
    "K1": "a worker's rating: a workshop types the times it works in",
    **dict.fromkeys(
        ("E1", "E2"), "limits of a substance: the supplier's declaration says that they are kept"
    ),
    **dict.fromkeys(("K4", "K5"), "learning over a batch: a price holds for one, whatever else is made"),
}
"""Cases that do not apply, and why."""


def test_every_published_case_is_put_to_the_service_or_does_not_apply() -> None:
    cases = {row["id"] for row in table("check_values.csv")}
    here = Path(__file__).name
    tests = [path for path in (ROOT / "tests").rglob("test_*.py") if path.name != here]
    asked = set(QUOTED.findall("".join(path.read_text(encoding="utf-8") for path in tests)))
    assert cases - asked == set(APART)
