"""Where every command starts: words to exit code, errors to sentences."""

import traceback
from collections.abc import Sequence

from triage.cli.parser import build_parser
from triage.cli.printing import ReaderGone, remark
from triage.cli.stopping import stop_on_signals
from triage.errors import Stopped, TriageError

BUG = 70
"""Exit code of a bug; Python's own, 1, means "some files could not be read" here."""


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command.

    Parameters
    ----------
    argv : sequence of str, optional
        The words after the program's name; those the process was started with when not given.

    Returns
    -------
    int
        Exit code, as in README under "Exit codes".
    """
    with stop_on_signals() as stop:
        try:
            words = build_parser().parse_args(argv)
            return int(words.run(words, stop))
        except SystemExit as leaving:  # argparse has said what it had to say
            return int(leaving.code or 0)
        except KeyboardInterrupt:
            remark("Stopped.")
            return Stopped.exit_code
        except ReaderGone as gone:
            return gone.exit_code
        except TriageError as error:
            remark(f"triage: {error}" if not isinstance(error, Stopped) else f"{error}")
            return error.exit_code
        except Exception:  # noqa: BLE001 - shown whole; but a bug must not leave with a code that says "done"
            traceback.print_exc()
            remark("triage: This is a bug in Card Triage. Nothing on the card was changed.")
            return BUG
