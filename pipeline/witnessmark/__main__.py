"""``python -m witnessmark`` is the ``witnessmark`` command."""

import sys

from witnessmark.cli import main

if __name__ == "__main__":
    sys.exit(main())
