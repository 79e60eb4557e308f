"""The command: `python -m service serve`; with `--help` it says what else there is."""

import sys

from service.commands import main

if __name__ == "__main__":
    sys.exit(main())
