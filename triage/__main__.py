"""Run the command: ``python -m triage``."""

import sys

from triage.cli.entry import main

if __name__ == "__main__":
    sys.exit(main())
