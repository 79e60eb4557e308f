"""The service with a mistake made on purpose: the controls that the soak has to find.

python -m tests.soak.careless early serve ...    answers are sent before they are kept
python -m tests.soak.careless faulty serve ...   a collar with lettering can't be drawn
"""

import sys
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from threading import Timer
from typing import Any, Final
from unittest.mock import patch

from service.commands import main
from service.design import CollarPattern
from service.drawing import preview_svg
from service.storage import Connection, Database
from service.units import System
from service.web import routes

LATE_S: Final = 0.3
"""How long after its answer a careless service keeps what it was told."""
in_time = Database.writing


@contextmanager
def too_late(database: Database) -> Iterator[Connection]:
    """Write, and keep it some time after the block has ended."""
    with ExitStack() as stack:
        yield stack.enter_context(in_time(database))
        Timer(LATE_S, stack.pop_all().close).start()


def without_lettering(pattern: CollarPattern, system: System) -> str:
    """Draw a collar, unless it has lettering."""
    if pattern.spec.lettering:
        raise ZeroDivisionError
    return preview_svg(pattern, system)


MISTAKES: Final[dict[str, tuple[Any, str, Any]]] = {
    "early": (Database, "writing", too_late),
    "faulty": (routes, "preview_svg", without_lettering),
}

if __name__ == "__main__":
    with patch.object(*MISTAKES[sys.argv[1]]):
        sys.exit(main(sys.argv[2:]))
