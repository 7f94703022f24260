"""The command line: words in, exit codes out; the only layer that prints."""

from triage.cli.entry import main

__all__ = ["main"]
