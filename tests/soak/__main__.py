"""Prints the table of what holds, and how long each promise was put to it; beside each, a control that fails.

    python -m tests.soak                        everything, about half an hour on two cores
    python -m tests.soak kills fuzz             only these parts
    python -m tests.soak --scale 0.1            a tenth of everything

It needs what `deploy/test` brings, and CHROMIUM and POSTGRES_BIN as that sets them where they aren't found.
The status is 1 if a promise was broken, or a control went unnoticed.
"""

import argparse
import sys
import tempfile
from pathlib import Path
from time import monotonic

from tests.soak.parts import PARTS, Figure


def main() -> int:
    parser = argparse.ArgumentParser(prog="python -m tests.soak", description="What holds, and for how long.")
    parser.add_argument(
        "parts", nargs="*", metavar="PART", help=f"of {', '.join(PARTS)}; all if none is named"
    )
    parser.add_argument("--scale", type=float, default=1.0, help="how much of each, 1 for everything")
    given = parser.parse_args()
    if unknown := {*given.parts} - {*PARTS}:
        parser.error(f"there is no {', '.join(sorted(unknown))}; the parts are {', '.join(PARTS)}")
    print("| promise | how it was put to it | came to | control | |\n|---|---|---|---|---|", flush=True)
    came = [ran(name, given.scale) for name in given.parts or PARTS]
    return 0 if all(came) else 1


def ran(name: str, scale: float) -> bool:
    """Run a part, print its rows as they come, and tell whether all of it holds."""
    holds = True
    with tempfile.TemporaryDirectory(prefix="girthwright-soak-") as folder:
        before = monotonic()
        for figure in PARTS[name](Path(folder), scale):
            print(row(figure, monotonic() - before), flush=True)
            holds, before = holds and figure.holds, monotonic()
    return holds


def row(figure: Figure, seconds: float) -> str:
    """A figure as a line of the table."""
    verdict = "holds" if figure.holds else "**BROKEN**"
    return (
        f"| {figure.promise} | {figure.how} | {figure.came} | {figure.control} | {verdict}, {seconds:.0f} s |"
    )


if __name__ == "__main__":
    sys.exit(main())
